"""Undo, do again, save and the index, always at hand."""

from collections.abc import Mapping
from typing import Any, Final

from steelyard.web.bench import Bench
from steelyard.web.look import Look
from steelyard.web.sections.base import Section


def facts(bench: Bench, look: Look) -> Mapping[str, Any]:
    """What can be undone, done again and saved."""
    del look
    return {
        "can_undo": bench.can_undo,
        "can_redo": bench.can_redo,
        "unsaved": bench.unsaved,
        "has_file": bench.path is not None,
    }


SECTION: Final = Section(name="tools", title="At hand", about="undo and save", facts=facts)
