"""A frame for charts: scales with round ticks and titles, a curve, a band, marks."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, isfinite, log10
from typing import Final

from steelyard.drawing import paper
from steelyard.drawing.labels import spaced
from steelyard.drawing.svg import Attribute, Markup, element, join, number

STEPS: Final = (1.0, 2.0, 2.5, 5.0, 10.0)
TITLED: Final = 24.0
"""Units above a frame for the title of its upright scale."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axes:
    """A plot's frame in units of the drawing, and the values at its edges."""

    left: float
    right: float
    top: float
    bottom: float
    x0: float
    x1: float
    y0: float
    y1: float

    def x(self, value: float) -> float:
        """Where a value stands across, kept within the frame."""
        part = (value - self.x0) / ((self.x1 - self.x0) or 1.0)
        return self.left + min(max(part, 0.0), 1.0) * (self.right - self.left)

    def y(self, value: float) -> float:
        """Where a value stands up, kept within the frame."""
        part = (value - self.y0) / ((self.y1 - self.y0) or 1.0)
        return self.bottom - min(max(part, 0.0), 1.0) * (self.bottom - self.top)

    def level(self, value: float, width: float, **more: Attribute) -> Markup:
        """A line across at a value."""
        return paper.stroke(self.left, self.y(value), self.right, self.y(value), width, **more)

    def curve(
        self, xs: Sequence[float], ys: Sequence[float], width: float = 2.0, **more: Attribute
    ) -> Markup:
        """A line through points; what is not a number breaks it."""
        parts, pen = [], "M"
        for a, b in zip(xs, ys, strict=True):
            if not (isfinite(a) and isfinite(b)):
                pen = "M"
                continue
            parts.append(f"{pen}{number(self.x(a))} {number(self.y(b))}")
            pen = "L"
        more.setdefault("stroke", paper.PRESS)
        look = {"fill": "none", "stroke_width": width, "stroke_linejoin": "round", **more}
        return element("path", d="".join(parts), **look)

    def ribbon(self, xs: Sequence[float], low: Sequence[float], high: Sequence[float]) -> Markup:
        """The spread between two curves."""
        both = zip(xs, low, high, strict=True)
        kept = [(x, a, b) for x, a, b in both if isfinite(a) and isfinite(b)]
        out = [(x, b) for x, _, b in kept] + [(x, a) for x, a, _ in reversed(kept)]
        points = "L".join(f"{number(self.x(a))} {number(self.y(b))}" for a, b in out)
        d = f"M{points}Z" if kept else "M0 0"
        return element("path", d=d, fill=paper.SPREAD, fill_opacity=0.55, class_="spread")


def frame(
    xs: Sequence[float], ys: Sequence[float], top: float, height: float, *, wide: bool
) -> Axes:
    """A frame across the sheet whose edges are the first and last of two runs of ticks."""
    return Axes(
        left=70.0 if wide else 48.0,
        right=paper.WIDTH[wide] - 24.0,
        top=top + TITLED,
        bottom=top + TITLED + height,
        x0=xs[0],
        x1=xs[-1],
        y0=ys[0],
        y1=ys[-1],
    )


def chart(
    kind: str,
    title: str,
    below: str,
    said: str,
    xs: Sequence[float],
    ys: Sequence[float],
    draw: Callable[[Axes], Iterable[str]],
    *,
    height: float,
    across: str,
    up: str,
    ground: Callable[[Axes], Iterable[str]] = lambda _: (),
    aside: float = 0.0,
    foot: float = 46.0,
    wide: bool = True,
) -> str:
    """A whole chart: heading, what lies under its scales, the scales, and what `draw` puts on them;
    `said` tells it to those who do not see it, `aside` is left free at the right."""
    head, top = paper.heading(title, below, wide=wide)
    whole = frame(xs, ys, top, height, wide=wide)
    axes = replace(whole, right=whole.right - aside)
    scale = scales(axes, written(xs), written(ys), wide=wide, across=across, up=up)
    size = (paper.WIDTH[wide], axes.bottom + foot)
    told = f"{title}: {below}" if below else title
    return paper.sheet(kind, told, said, size, head, *ground(axes), scale, *draw(axes))


def ticks(low: float, high: float, about: int = 5, *, around: bool = False) -> list[float]:
    """Round numbers between two values, about so many; `around`: one beyond at either end, so that
    they span what lies between."""
    if not (isfinite(low) and isfinite(high)) or high <= low:
        return [low] if isfinite(low) else []
    raw = (high - low) / max(about, 1)
    base = 10.0 ** floor(log10(raw))
    step = next(s * base for s in STEPS if s * base >= raw * 0.999)
    if around:
        first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
    else:
        first, last = ceil(low / step - 1e-9), floor(high / step + 1e-9)
    return [step * i for i in range(first, last + 1)]


def written(at: Sequence[float], unit: str = "") -> dict[float, str]:
    """Ticks as text, with no more decimals than they need."""
    places = next((n for n in range(4) if all(abs(round(t, n) - t) < 1e-9 for t in at)), 4)
    return {t: f"{t + 0.0:,.{places}f}{unit}" for t in at}


def scales(
    frame: Axes,
    xs: dict[float, str],
    ys: dict[float, str],
    *,
    wide: bool,
    across: str = "",
    up: str = "",
) -> Markup:
    """Tick labels below and at the left, with a faint line at each on the left, and the titles of
    both scales: the one across below its right end, the upright one above its top."""
    size = paper.TEXT[wide]
    parts = []
    if up:
        left = paper.LEFT[wide]
        parts.append(paper.words(left, frame.top - 13, up, size, fill=paper.FAINT))
    if across:
        y = frame.bottom + 10 + 2.2 * size
        parts.append(paper.words(frame.right, y, across, size, anchor="end", fill=paper.FAINT))
    upright = sorted(ys, reverse=True)
    lines = [frame.y(value) for value in upright]
    bases = spaced(lines, [size + 1.0] * len(lines), frame.top - 8, frame.bottom + 8, 0.0)
    for value, y, base in zip(upright, lines, bases, strict=True):
        parts.append(paper.stroke(frame.left, y, frame.right, y, 0.6, stroke=paper.LINE))
        parts.append(
            paper.words(frame.left - 6, base + 4, ys[value], size, anchor="end", fill=paper.FAINT)
        )
    for value, text in xs.items():
        x = frame.x(value)
        parts.append(paper.stroke(x, frame.bottom, x, frame.bottom + 5, 1.0, stroke=paper.FAINT))
        parts.append(
            paper.words(x, frame.bottom + 6 + size, text, size, anchor="middle", fill=paper.FAINT)
        )
    return join(*parts)
