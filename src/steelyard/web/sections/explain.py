"""Why one puts more on the ball than the other: two loadings, two stages or two rigs."""

import tomllib
from collections.abc import Mapping
from contextlib import closing, suppress
from typing import Any, Final

from steelyard.assessment import Assessment
from steelyard.files.changes import AskError, asking
from steelyard.files.demo import demo_rigs
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.rigs import RigRow, Rigs
from steelyard.matching.compare import compare
from steelyard.web.acts.document import ASIDE
from steelyard.web.difference import difference
from steelyard.web.look import Look
from steelyard.web.sections.base import Section, all_of
from steelyard.web.session import Seen
from steelyard.web.state import State
from steelyard.web.work import Work


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """The rig as it is against what was chosen: the file, a stage, a loading laid aside, a demo."""
    work, system = seen.work, look.system(seen.work)
    key = look.at(work)
    choices = _choices(seen, key)
    wanted = look.choice.get("against", "")
    wanted = wanted if wanted in choices else next(iter(choices))
    try:
        other, stage = _other(seen, wanted, key)
        found = compare(other, work.found, stage, key)
    except (AskError, ValueError) as error:
        return {"fault": str(error), "choices": choices, "wanted": wanted}
    return {
        "fault": None,
        "choices": choices,
        "wanted": wanted,
        **difference(found, system),
    }


def _choices(seen: Seen, key: str) -> dict[str, str]:
    """What there is to compare with, by key."""
    found = {}
    if ASIDE in seen.laid:
        found["aside"] = "the loading laid aside"
    if seen.unsaved:
        found["file"] = "the rig as it is in its file"
    found |= {f"rig:{row.id}": f"the rig {row.name}" for row in _others(seen)}
    for stage in seen.work.found.stages:
        if stage.key != key:
            found[f"stage:{stage.key}"] = f"the stage {stage.title}"
    return found | {f"demo:{name}": f"the example {name}" for name in demo_rigs()}


def _other(seen: Seen, wanted: str, key: str) -> tuple[Assessment, str | None]:
    """What is compared with, and its stage: the one in view where it has it, else its worst."""
    if wanted.startswith("stage:"):
        return seen.work.found, wanted.removeprefix("stage:")
    if wanted == "aside":
        work: Work = seen.laid[ASIDE]
    elif wanted.startswith("rig:"):
        work = seen.works.of(_kept(seen, int(wanted.removeprefix("rig:"))), seen.name)
    else:
        text = seen.text if wanted == "file" else demo_rigs()[wanted.removeprefix("demo:")]
        work = seen.works.of(State(data=tomllib.loads(text)), seen.name)
    there = any(stage.key == key for stage in work.found.stages)
    return work.found, key if there else None


def _others(seen: Seen) -> tuple[RigRow, ...]:
    """The other rigs of the book, of a rig of the book, by name."""
    if seen.rig is None or seen.logged.path is None:
        return ()
    rows: list[RigRow] = []
    with closing(Rigs(seen.logged.path)) as rigs, suppress(LogbookError):
        rows = [row for row in rigs.rows()[0] if row.id != seen.rig and not row.away]
    return tuple(sorted(rows, key=lambda row: row.name.casefold()))


def _kept(seen: Seen, number: int) -> State:
    """Another rig of the book as it is now."""
    assert seen.logged.path is not None
    with closing(Rigs(seen.logged.path)) as rigs, asking(LogbookError):
        return State.read(rigs.now(number))


SECTION: Final = Section(
    "explain",
    "Why they differ",
    "two loadings or two rigs, by what each thing does to the ball",
    facts,
    slow=True,
    own=all_of,
)
