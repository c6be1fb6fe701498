"""What moves an answer: one panel a figure, a bar for each range, its own part dark within all."""

from collections.abc import Iterator, Sequence
from math import isfinite
from typing import Final

import numpy as np

from steelyard.drawing.paper import (
    FAINT,
    LEFT,
    LINE,
    NORMAL,
    PRESS,
    SMALL,
    SPREAD,
    WIDTH,
    block,
    fitted,
    heading,
    sheet,
    stroke,
    words,
)
from steelyard.drawing.svg import join
from steelyard.sweeps.designs import Sensitivity
from steelyard.sweeps.variants import Figure

ROW: Final = 22.0
NAMES: Final = 420.0
"""Units for the names of the ranges, left of their bars."""
FOOT: Final = 40.0


def moved_picture(
    found: Sensitivity, figures: Sequence[Figure], ranges: Sequence[str], stages: Sequence[str]
) -> str:
    """Part of each figure's variance by range, at the stage where the figure varies most."""
    below = (
        "Part of the variance over the ranges swept, best estimates: dark, what a range does by"
        " itself; light, with all it works with"
    )
    head, y = heading("What moves the answer", below, wide=True)
    parts: list[str] = [head]
    told: list[str] = []
    for number, figure in enumerate(figures):
        stage = int(np.argmax(np.nan_to_num(found.sd[number], nan=-1.0)))
        where = f"{figure.title}; {stages[stage]}" if len(stages) > 1 else figure.title
        own, whole = found.first[number, stage], found.total[number, stage]
        parts += _panel(y, where, ranges, own, whole)
        told.append(f"{where}: {_told(ranges, whole)}")
        y += NORMAL + 14.0 + ROW * len(ranges) + FOOT
    return sheet("moved", "What moves the answer", "; ".join(told), (WIDTH[True], y), *parts)


def _panel(
    y: float, title: str, ranges: Sequence[str], own: Sequence[float], whole: Sequence[float]
) -> Iterator[str]:
    left, right = LEFT[True] + NAMES, WIDTH[True] - 80.0
    yield words(LEFT[True], y + NORMAL, title, NORMAL, bold=True)
    top = y + NORMAL + 10.0
    bottom = top + ROW * len(ranges)
    for tick in (0.0, 0.25, 0.5, 0.75, 1.0):
        x = left + tick * (right - left)
        yield stroke(x, top, x, bottom, 0.6, stroke=LINE)
        yield words(x, bottom + SMALL + 4.0, f"{tick:.0%}", SMALL, anchor="middle", fill=FAINT)
    for row, (name, first, total) in enumerate(zip(ranges, own, whole, strict=True)):
        at = top + ROW * row
        base = at + ROW - 7.0
        yield words(left - 8.0, base, fitted(name, SMALL, NAMES - 12.0), SMALL, anchor="end")
        yield _bars(left, right, at, base, float(first), float(total))


def _bars(left: float, right: float, at: float, base: float, first: float, total: float) -> str:
    if not isfinite(total):
        return words(
            left + 8.0, base, "cannot be told: it does not vary, or tips", SMALL, fill=FAINT
        )
    wide, part = (
        (right - left) * min(max(x if isfinite(x) else 0.0, 0.0), 1.0) for x in (total, first)
    )
    return join(
        block(left, at + 4.0, wide, ROW - 8.0, fill=SPREAD),
        block(left, at + 7.0, min(part, wide), ROW - 14.0, fill=PRESS),
        words(left + wide + 6.0, base, f"{max(total, 0.0):.0%}", SMALL, fill=FAINT),
    )


def _told(ranges: Sequence[str], whole: Sequence[float]) -> str:
    known = [(x, name) for x, name in zip(whole, ranges, strict=True) if isfinite(x)]
    return ", ".join(f"{name} {x:.0%}" for x, name in sorted(known, reverse=True)) or "not told"
