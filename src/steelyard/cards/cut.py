"""Cutting to the room there is, never silently."""

from collections.abc import Sequence
from typing import TypeVar

_T = TypeVar("_T")


def cut(things: Sequence[_T], most: int, where: str = "in the file") -> tuple[tuple[_T, ...], str]:
    """The first of some things, and words for how many were left out.

    >>> cut("abc", 2)
    (('a', 'b'), '… and 1 more in the file')
    """
    rest = len(things) - most
    return tuple(things[:most]), f"… and {rest} more {where}" if rest > 0 else ""


def clipped(text: str, most: int) -> str:
    """One line of text no longer than `most` letters, an ellipsis where it was cut."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return line if len(line) <= most else line[: most - 1].rstrip() + "…"
