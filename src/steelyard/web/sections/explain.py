"""Why one puts more on the ball than the other: two loadings, two stages or two rigs."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from markupsafe import Markup

from steelyard.assessment import Assessment
from steelyard.drawing import difference_picture
from steelyard.files.demo import demo_rigs
from steelyard.matching import Comparison, compare
from steelyard.quantity import GRAVITY, System, shown
from steelyard.web.acts.compare import ASIDE
from steelyard.web.bench import Seen
from steelyard.web.look import Look
from steelyard.web.sections.base import Section, all_of
from steelyard.web.state import AskError, State
from steelyard.web.work import Work
from steelyard.words import share_spread, weight, weight_spread
from steelyard.words.matched import first_sentence


@dataclass(frozen=True, slots=True)
class _Row:
    name: str
    force: float


@dataclass(frozen=True, slots=True)
class _Book:
    entries: tuple[_Row, ...]


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
    return {"fault": None, "choices": choices, "wanted": wanted, **_told(found, look, system)}


def _told(found: Comparison, look: Look, system: System) -> dict[str, Any]:
    rows = tuple(_Row(row.name, row.difference) for row in found.rows)
    names = (found.name_a, found.name_b)
    picture = difference_picture(_Book(()), _Book(rows), system, names=names, wide=look.wide)
    return {
        "sentence": first_sentence(found, system),
        "picture": Markup(picture),
        "names": names,
        "sides": [
            {
                "name": name,
                "stage": stage.title,
                "trailer": weight_spread(stage.trailer, system),
                "ball": weight_spread(stage.tongue.weight, system),
                "share": share_spread(stage.tongue.share),
            }
            for name, stage in zip(names, (found.stage_a, found.stage_b), strict=True)
        ],
        "rows": [
            {
                "name": row.name,
                "kind": row.kind,
                "a": "" if row.force_a is None else weight(row.force_a, system),
                "b": "" if row.force_b is None else weight(row.force_b, system),
                "difference": _signed(row.difference, system),
                "assumed": row.assumed,
            }
            for row in found.rows
        ],
        "difference": _signed(found.difference, system),
    }


def _signed(newtons: float, system: System) -> str:
    sign = "+" if newtons >= 0 else "−"
    return sign + shown(abs(newtons) / GRAVITY, "mass", system, 1)


def _choices(seen: Seen, key: str) -> dict[str, str]:
    """What there is to compare with, by key."""
    found = {}
    if ASIDE in seen.laid:
        found["aside"] = "the loading laid aside"
    if seen.unsaved:
        found["file"] = "the rig as it is in its file"
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
    else:
        text = seen.text if wanted == "file" else demo_rigs()[wanted.removeprefix("demo:")]
        work = seen.works.of(State(data=tomllib.loads(text)), seen.name)
    there = any(stage.key == key for stage in work.found.stages)
    return work.found, key if there else None


SECTION: Final = Section(
    name="explain",
    title="Why they differ",
    about="two loadings or two rigs, by what each thing does to the ball",
    facts=facts,
    slow=True,
    own=all_of,
)
