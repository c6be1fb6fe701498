"""What the signs of the rig's picture mean: in a corner that the rig leaves free, else below it."""

from collections.abc import Callable
from functools import cache, lru_cache
from typing import Final

from steelyard.drawing.paper import (
    DASH,
    FAINT,
    INK,
    PAPER,
    SMALL,
    SPREAD,
    block,
    lettering,
    shifted,
    stroke,
    words,
)
from steelyard.drawing.svg import Markup, join

TALL: Final = 24.0
"""Units that the row takes below the picture."""
HIGH: Final = 72.0
"""Units of free sky that the legend takes in a corner."""
_SAMPLE: Final = 26.0
_LEADING: Final = 19.0


def legend(y: float) -> Markup:
    """Load, spread, rating, what is assumed, where things can be put; the base line is at y."""
    return shifted(y, _row())


@lru_cache(maxsize=64)
def corner(x: float) -> Markup:
    """The same in two short columns at the upper edge, from x on."""
    found, aside = [], x
    signs = list(_signs().items())
    for few in (signs[:3], signs[3:]):
        for n, (text, sample) in enumerate(few):
            y = 18.0 + _LEADING * n
            found.append(
                shifted(y, sample(aside), words(aside + _SAMPLE, 0.0, text, SMALL, fill=FAINT))
            )
        aside += _SAMPLE + max(lettering(text, SMALL) for text, _ in few) + 30.0
    return join(*found)


@cache
def _row() -> Markup:
    """The row on a base line at zero."""
    parts, x = [], 24.0
    for text, sample in _signs().items():
        parts += [sample(x), words(x + _SAMPLE, 0.0, text, SMALL, fill=FAINT)]
        x += _SAMPLE + lettering(text, SMALL) + 30.0
    return join(*parts)


def _signs() -> dict[str, Callable[[float], Markup]]:
    """Each sign's words, and the sign from x on, on a base line at zero."""
    return {
        "a load": lambda x: block(x + 9, -12, 8, 14, fill=INK),
        "its spread, 95 %": lambda x: block(x, -10, 22, 10, fill=SPREAD, fill_opacity=0.55),
        "its rating": lambda x: stroke(x, -4.5, x + 22, -4.5, 3.0),
        "assumed": lambda x: stroke(x, -4.5, x + 22, -4.5, 1.4, stroke_dasharray=DASH),
        "a place for things": lambda x: block(
            x, -11, 22, 12, fill=PAPER, stroke=FAINT, stroke_dasharray="1.5 3.5"
        ),
    }
