"""Whose rig and at which stage; undo, do again, save, what to do and the index, always at hand."""

from collections.abc import Mapping
from typing import Any, Final

from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.sections.headline import opens, to_do
from steelyard.web.session import Seen
from steelyard.words.headline import headline
from steelyard.words.next_steps import Kind

SHORT: Final[Mapping[Kind, str]] = {
    "move": "Find places",
    "set": "See where",
    "weigh": "Weigh it",
    "list": "List what rides",
    "look": "State the rating",
    "state": "Look at it again",
    "card": "Print the card",
}
ABOUT: Final = {"tongue": "Weigh the tongue", "readings": "See the readings", "place": "List it"}
"""What to do, for a thumb: by its kind, and where it is about more than that."""


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """The rig, its stages, and what can be undone, done again and saved."""
    work = seen.work
    found = work.found
    stage = next(one for one in found.stages if one.key == look.at(work))
    step = to_do(work, headline(found, look.system(work), stage, work.doubt))
    return {
        "do": ABOUT.get(step.about, SHORT[step.kind]),
        "go": opens(step, work.rig),
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
    name="tools",
    title="At hand",
    about="rig and stage, undo and save",
    facts=facts,
    own=lambda seen: (seen.path, seen.rig, seen.can_undo, seen.can_redo, seen.unsaved),
)
