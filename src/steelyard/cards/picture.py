"""The rig from the side and its loads as columns, without a word: the card sets words large."""

import re
from collections.abc import Iterator, Sequence
from typing import Final

from steelyard.assessment import Assessment, StageResult
from steelyard.cards.result import Picture
from steelyard.drawing.columns import Column, columns
from steelyard.drawing.paper import FAINT, printable, stroke
from steelyard.drawing.plan_wheels import gauge
from steelyard.drawing.ruler import ruler
from steelyard.drawing.side import side_view
from steelyard.drawing.sizes import sizes
from steelyard.drawing.svg import Markup, element, path
from steelyard.quantity import System

LONGEST: Final = 128.0
"""Units that the longest load or rating hangs down."""
LEAD: Final = 44.0
"""Units from the longest column to the cells of the figures below."""
HALF: Final = 10.0
TALLEST: Final = 0.42
"""Most of its width that the drawing is high: a short, tall rig gets room at its sides."""
_WORDS: Final = re.compile(
    r"<text\b[^>]*>.*?</text>|<title>.*?</title>|<desc>.*?</desc>", re.DOTALL
)


def picture(found: Assessment, stage: StageResult, system: System) -> tuple[Picture, list[Column]]:
    """The drawing, as wide as its cells below, and the columns in the order of those cells."""
    size = sizes(found)
    rule = ruler(found, stage, size, wide=True)
    hung = shown_columns(columns(stage, rule, size, ()))
    side = Markup(_WORDS.sub("", side_view(found, stage, rule, size, system)))
    height = rule.ground + LONGEST + LEAD + 6.0
    pad = max((height / TALLEST - rule.width) / 2, 0.0)
    whole = rule.width + 2 * pad
    svg = element(
        "svg",
        side,
        stroke(0, rule.ground, rule.width, rule.ground, 3.0),
        element("g", *_hanging(hung, -pad, whole), transform=f"translate(0 {rule.ground:z.2f})"),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"{-pad:z.2f} 0 {whole:z.2f} {height:z.2f}",
        role="img",
    )
    return Picture(svg=printable(svg), aspect=whole / height), hung


def shown_columns(hung: Sequence[Column]) -> list[Column]:
    """All loads, or the heaviest alone where there are three trailer axles: cells must be wide."""
    rear = [one for one in hung if one.key.startswith("trailer")]
    if len(rear) < 3:
        return list(hung)
    heaviest = max(rear, key=lambda one: one.load.value)
    return [one for one in hung if one not in rear or one is heaviest]


def _hanging(hung: Sequence[Column], left: float, width: float) -> Iterator[Markup]:
    unit = LONGEST / max([1.0, *(one.reach for one in hung)])
    cell = width / len(hung)
    for number, one in enumerate(hung):
        yield from gauge(one.x, one.load, one.rating, unit, HALF, pen=1.5)
        x, end = left + cell * (number + 0.5), one.reach * unit + 6.0
        bend = LONGEST + 10.0
        yield element(
            "path",
            d=path([(one.x, end), (one.x, bend), (x, bend + LEAD - 14.0), (x, bend + LEAD - 6.0)]),
            fill="none",
            stroke=FAINT,
            stroke_width=1.6,
        )
