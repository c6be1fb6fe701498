"""Whose rig and at which stage; undo, do again, save, what to do and the index, always at hand."""

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import Any, Final

from steelyard.web.look import Look
from steelyard.web.sections.base import REST, Section
from steelyard.web.sections.headline import headed, opens
from steelyard.web.session import Seen
from steelyard.words.next_steps import Kind, Step

SHORT: Final[Mapping[Kind, str]] = {
    "move": "Find places",
    "set": "See where",
    "weigh": "Weigh it",
    "list": "List what rides",
    "look": "State the rating",
    "state": "Look at it again",
    "card": "Print the card",
}
TONGUE: Final = Step(kind="weigh", words="", about="tongue")
ABOUT: Final = {
    "tongue": "Weigh the tongue",
    "readings": "See the readings",
    "place": "List it",
    "limits": "See the limits",
}
"""What to do, for a thumb: by its kind, and where it is about more than that."""


def facts(seen: Seen, look: Look, *, mending: bool = False) -> Mapping[str, Any]:
    """The rig, its stages, what can be undone, done again and saved, and the headline's one thing
    to do, which mends what is wrong where that is sought."""
    work = seen.work
    found = work.found
    first, stage = headed(work, look, mending=mending)
    step = first.step
    return {
        "do": ABOUT.get(step.about, SHORT[step.kind]),
        "go": opens(step, work.rig),
        "tongue": None if step.kind == "weigh" else opens(TONGUE, work.rig),
        "rig": found.rig.name,
        "stage": stage.key,
        "stages": found.stages,
        "worst": found.worst_stage,
        "can_undo": seen.can_undo,
        "can_redo": seen.can_redo,
        "unsaved": seen.unsaved,
        "has_file": seen.path is not None,
        "in_book": seen.rig is not None,
    }


SECTION: Final = Section(
    "tools",
    "At hand",
    "rig and stage, undo and save",
    facts,
    own=lambda seen: (seen.path, seen.rig, seen.can_undo, seen.can_redo, seen.unsaved),
)
MENDED: Final = replace(SECTION, facts=partial(facts, mending=True), slow=True, breath=REST)
"""The same beside the headline that names the moves."""
