"""What the signs of the rig's picture mean, in one row."""

from collections.abc import Callable
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
    stroke,
    words,
)
from steelyard.drawing.svg import Markup, join

TALL: Final = 24.0
"""Units that the row takes."""
_SAMPLE: Final = 26.0


def legend(y: float) -> Markup:
    """Load, spread, rating, what is assumed, where things can be put; the base line is at y."""
    middle = y - 4.5
    rows: dict[str, Callable[[float], Markup]] = {
        "a load": lambda x: block(x + 9, y - 12, 8, 14, fill=INK),
        "its spread, 95 %": lambda x: block(x, y - 10, 22, 10, fill=SPREAD, fill_opacity=0.55),
        "its rating": lambda x: stroke(x, middle, x + 22, middle, 3.0),
        "assumed": lambda x: stroke(x, middle, x + 22, middle, 1.4, stroke_dasharray=DASH),
        "a place for things": lambda x: block(
            x, y - 11, 22, 12, fill=PAPER, stroke=FAINT, stroke_dasharray="1.5 3.5"
        ),
    }
    parts, x = [], 24.0
    for text, sample in rows.items():
        parts += [sample(x), words(x + _SAMPLE, y, text, SMALL, fill=FAINT)]
        x += _SAMPLE + lettering(text, SMALL) + 30.0
    return join(*parts)
