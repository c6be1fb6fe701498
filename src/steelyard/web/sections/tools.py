"""Whose rig and at which stage; undo, do again, save and the index, always at hand."""

from collections.abc import Mapping
from typing import Any, Final

from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.session import Seen


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """The rig, its stages, and what can be undone, done again and saved."""
    found = seen.work.found
    return {
        "rig": found.rig.name,
        "stage": look.at(seen.work),
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
