"""Rows on one scale: a name, what it is with its spread, and words; for readings, rooms, shares."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Final

from steelyard.drawing import paper
from steelyard.drawing.axes import Axes, ticks, written
from steelyard.drawing.labels import spaced
from steelyard.drawing.svg import Markup, join

NAMES: Final = 290.0
SAID: Final = 300.0
"""Units at the left for names, at the right for words."""
APART: Final = 16.0
"""Units between the dots of one row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dot:
    """A value with its spread; `hollow` as it was before; `diamond` where it is bad."""

    value: float
    low: float
    high: float
    hollow: bool = False
    diamond: bool = False
    colour: str = paper.INK


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A name, dots one below another on its line of the scale, and words at its right."""

    name: str
    dots: tuple[Dot, ...]
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """The scale: its title with the unit, marks (value and word) across all rows, a wanted band."""

    title: str
    unit: str = ""
    marks: tuple[tuple[float, str], ...] = ()
    band: tuple[float, float] | None = None


def rows_picture(title: str, below: str, rows: Sequence[Row], scale: Scale) -> str:
    """Rows from top to bottom on one scale that spans all of them, as SVG."""
    head, top = paper.heading(title, below, wide=True)
    names = [paper.broken(row.name, paper.NORMAL, NAMES - 40.0, 9) for row in rows]
    said = [paper.broken(row.said, paper.SMALL, SAID - 40.0, 9) for row in rows]
    heights = [
        max(len(one), len(other), len(row.dots), 1) * APART + 12.0
        for one, other, row in zip(names, said, rows, strict=True)
    ]
    top += 18.0
    axes, at = _frame(rows, scale, top, top + sum(heights))
    parts, y = [head, _ground(axes, at, scale)], top
    for row, name, words_, height in zip(rows, names, said, heights, strict=True):
        middle = y + height / 2
        parts.append(_lines(24.0, middle, name, paper.NORMAL))
        parts.append(_lines(axes.right + 24.0, middle, words_, paper.SMALL))
        parts += [one for n, dot in enumerate(row.dots) for one in _dot(dot, row, n, middle, axes)]
        y += height
        parts.append(paper.stroke(24.0, y, paper.WIDTH[True] - 24.0, y, 0.5, stroke=paper.LINE))
    described = "; ".join(f"{row.name}: {row.said}" for row in rows)
    return paper.sheet("rows", title, described, (paper.WIDTH[True], axes.bottom + 44.0), *parts)


def _frame(rows: Sequence[Row], scale: Scale, top: float, low: float) -> tuple[Axes, list[float]]:
    ends = [x for row in rows for dot in row.dots for x in (dot.value, dot.low, dot.high)]
    ends += [x for x, _ in scale.marks] + list(scale.band or ())
    finite = [x for x in ends if isfinite(x)] or [0.0, 1.0]
    least, most = min(finite), max(finite)
    at = ticks(least, most if most > least else least + 1.0, 7, around=True)
    right = paper.WIDTH[True] - SAID
    return Axes(
        left=NAMES, right=right, top=top, bottom=low, x0=at[0], x1=at[-1], y0=0.0, y1=1.0
    ), at


def _ground(axes: Axes, at: Sequence[float], scale: Scale) -> Markup:
    """Band, marks, ticks below with the title of the scale."""
    parts = []
    if scale.band is not None:
        left, right = (axes.x(edge) for edge in scale.band)
        tall = axes.bottom - axes.top
        parts.append(
            paper.block(left, axes.top, right - left, tall, fill=paper.BAND, class_="wanted")
        )
    for value, text in written(at, scale.unit).items():
        x = axes.x(value)
        parts.append(paper.stroke(x, axes.top, x, axes.bottom, 0.6, stroke=paper.LINE))
        parts.append(
            paper.words(x, axes.bottom + 18, text, paper.SMALL, anchor="middle", fill=paper.FAINT)
        )
    lines = [axes.x(value) for value, _ in scale.marks]
    widths = [paper.lettering(word, paper.SMALL) for _, word in scale.marks]
    middles = spaced(lines, widths, axes.left - 40.0, paper.WIDTH[True] - 24.0, 14.0)
    for x, middle, (_, word) in zip(lines, middles, scale.marks, strict=True):
        parts.append(paper.stroke(x, axes.top, x, axes.bottom, 1.6))
        parts.append(paper.words(middle, axes.top - 6, word, paper.SMALL, anchor="middle"))
    parts.append(
        paper.words(
            axes.right, axes.bottom + 36, scale.title, paper.SMALL, anchor="end", fill=paper.FAINT
        )
    )
    return join(*parts)


def _lines(x: float, middle: float, lines: Sequence[str], size: float) -> Markup:
    first = middle - APART * (len(lines) - 1) / 2 + 0.35 * size
    return join(*(paper.words(x, first + APART * n, line, size) for n, line in enumerate(lines)))


def _dot(one: Dot, row: Row, n: int, middle: float, axes: Axes) -> Iterator[Markup]:
    y = middle + APART * (n - (len(row.dots) - 1) / 2)
    if not isfinite(one.value):
        return
    yield paper.whisker(axes.x(one.low), y, axes.x(one.high), y, 5.0, 1.4, stroke=one.colour)
    fill = paper.PAPER if one.hollow else one.colour
    yield paper.dot(
        axes.x(one.value), y, diamond=one.diamond, fill=fill, stroke=one.colour, stroke_width=1.6
    )
