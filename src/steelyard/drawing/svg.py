"""Elements of a drawing as text: every word of a user is escaped, every number is short."""

import re
from functools import lru_cache
from math import isfinite
from typing import Final
from xml.sax.saxutils import escape, quoteattr

Attribute = str | float | None
_UNPRINTABLE: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class Markup(str):
    """Text that is markup already; any other text is escaped when it goes into an element."""

    __slots__ = ()


def element(tag: str, *children: str, **attributes: Attribute) -> Markup:
    """One element. `data_item` is written `data-item`, `class_` is `class`; None is left out."""
    head = "".join([_attribute(k, value) for k, value in attributes.items() if value is not None])
    if not children:
        return Markup(f"<{tag}{head}/>")
    return Markup(f"<{tag}{head}>{join(*children)}</{tag}>")


def join(*parts: str) -> Markup:
    """Parts one after another, plain text escaped."""
    return Markup("".join([p if isinstance(p, Markup) else _escaped(p) for p in parts]))


@lru_cache(maxsize=8192)
def number(x: float) -> str:
    """A coordinate to a hundredth of a unit, as short as it can be; 0 for what is no number."""
    if not isfinite(x):
        return "0"
    return format(round(x, 2) + 0.0, ".7g")


def path(points: list[tuple[float, float]], *, closed: bool = False) -> str:
    """The `d` of a line through points."""
    steps = " ".join(f"{number(x)} {number(y)}" for x, y in points)
    return f"M{steps}{'Z' if closed else ''}"


@lru_cache(maxsize=8192)
def _attribute(key: str, value: str | float) -> str:
    written = quoteattr(_clean(value)) if isinstance(value, str) else f'"{number(value)}"'
    return f" {key.rstrip('_').replace('_', '-')}={written}"


@lru_cache(maxsize=2048)
def _escaped(text: str) -> str:
    return escape(_clean(text))


def _clean(text: str) -> str:
    """Text without the characters that no XML may hold."""
    return _UNPRINTABLE.sub("\N{REPLACEMENT CHARACTER}", text)
