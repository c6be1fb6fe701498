"""The owner's own typical values beside the shipped ones."""

from collections.abc import Sequence

from steelyard.drawing.paper import FAINT, PRESS
from steelyard.drawing.rows import Dot, Row, Scale, rows_picture
from steelyard.learning import Learnt
from steelyard.quantity import Z95
from steelyard.words.learned import NAMES, NO_SAMPLE, sentence


def learned_picture(rows: Sequence[Learnt]) -> str:
    """Hollow as shipped, full as learned, in shipped spreads from the shipped value, as SVG."""
    drawn = [
        Row(name=f"{row.style}: {NAMES[row.name]}", dots=_dots(row), said=sentence(row))
        for row in rows
    ]
    below = f"hollow shipped, full your own; whiskers hold 95 % of rigs. {NO_SAMPLE}"
    scale = Scale(title="shipped spreads (half-widths of 95 %) from the shipped value")
    return rows_picture("Your own typical values", below, drawn, scale)


def _dots(row: Learnt) -> tuple[Dot, Dot]:
    half = Z95 * row.shipped_sd
    at, reach = (row.value - row.shipped) / half, row.sd / row.shipped_sd
    return (
        Dot(value=0.0, low=-1.0, high=1.0, hollow=True, colour=FAINT),
        Dot(value=at, low=at - reach, high=at + reach, colour=PRESS),
    )
