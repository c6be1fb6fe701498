"""The card as a PDF: words go into the sheet as data, never as source."""

import json
import re
from dataclasses import asdict, replace
from functools import cache
from pathlib import Path
from typing import Any, Final

from steelyard.cards.result import Content, Paper

_SHEET: Final = Path(__file__).parent / "sheet.typ"
DRAWN: Final = ("svg", "text", "shape", "notch")
"""Fields that are no words: drawings, and the text of a code."""
_LONG: Final = re.compile(r"\S{20}")
_KNOWN: Final = (0x052F, 0x2000, 0x22FF)
"""The sheet's own fonts have Latin, Greek and Cyrillic, and the signs from 2000 to 22FF (hex)."""


def as_pdf(content: Content, paper: Paper | None = None) -> bytes:
    """Two pages, Letter or A4. May be called from several threads at once."""
    import typst

    chosen = content if paper is None else replace(content, paper=paper)
    said = json.dumps(_breakable(asdict(chosen)), ensure_ascii=False)
    made = typst.compile(
        _source(), sys_inputs={"card": said}, ignore_system_fonts=not needs_more(said)
    )
    assert isinstance(made, bytes)
    return made


def _breakable(said: Any) -> Any:
    """The same data with places to break in words too long for a column; drawings left alone."""
    if isinstance(said, dict):
        return {key: x if key in DRAWN else _breakable(x) for key, x in said.items()}
    if isinstance(said, tuple | list):
        return [_breakable(one) for one in said]
    return _LONG.sub("\\g<0>\u200b", said) if isinstance(said, str) else said


@cache
def _source() -> bytes:
    return _SHEET.read_bytes()


def needs_more(text: str) -> bool:
    """Whether letters are asked for that only the machine's own fonts may have."""
    latin, low, high = _KNOWN
    return any(ord(c) > latin and not low <= ord(c) <= high for c in set(text) - set("●◐▲☐\u200b"))
