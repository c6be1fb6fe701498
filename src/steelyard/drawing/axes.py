"""A frame for curves: scales with round ticks, and a band along a line."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10
from typing import Final

from steelyard.drawing.labels import spaced
from steelyard.drawing.paper import FAINT, LINE, PHONE, SMALL, stroke, words
from steelyard.drawing.svg import Markup, join, number

STEPS: Final = (1.0, 2.0, 2.5, 5.0, 10.0)


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

    def line(self, xs: Sequence[float], ys: Sequence[float]) -> str:
        """The `d` of a curve; what is not a number breaks it."""
        parts, pen = [], "M"
        for a, b in zip(xs, ys, strict=True):
            if not (isfinite(a) and isfinite(b)):
                pen = "M"
                continue
            parts.append(f"{pen}{number(self.x(a))} {number(self.y(b))}")
            pen = "L"
        return "".join(parts)

    def band(self, xs: Sequence[float], low: Sequence[float], high: Sequence[float]) -> str:
        """The `d` of the area between two curves."""
        kept = [
            (x, a, b) for x, a, b in zip(xs, low, high, strict=True) if isfinite(a) and isfinite(b)
        ]
        if not kept:
            return "M0 0"
        out = [(x, b) for x, _, b in kept] + [(x, a) for x, a, _ in reversed(kept)]
        points = "L".join(f"{number(self.x(a))} {number(self.y(b))}" for a, b in out)
        return f"M{points}Z"


def ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Round numbers between two values, about so many."""
    if not (isfinite(low) and isfinite(high)) or high <= low:
        return [low] if isfinite(low) else []
    raw = (high - low) / max(about, 1)
    base = 10.0 ** floor(log10(raw))
    step = next(s * base for s in STEPS if s * base >= raw * 0.999)
    first = ceil(low / step - 1e-9)
    return [step * i for i in range(first, floor(high / step + 1e-9) + 1)]


def scales(frame: Axes, xs: dict[float, str], ys: dict[float, str], *, wide: bool) -> Markup:
    """Tick labels below and at the left, with a faint line at each on the left."""
    size = SMALL if wide else PHONE
    parts = []
    upright = sorted(ys, reverse=True)
    lines = [frame.y(value) for value in upright]
    bases = spaced(lines, [size + 1.0] * len(lines), frame.top - 8, frame.bottom + 8, 0.0)
    for value, y, base in zip(upright, lines, bases, strict=True):
        parts.append(stroke(frame.left, y, frame.right, y, 0.6, stroke=LINE))
        parts.append(
            words(
                frame.left - 6,
                base + 4,
                ys[value].replace("-", "−"),
                size,
                anchor="end",
                fill=FAINT,
            )
        )
    for value, text in xs.items():
        x = frame.x(value)
        parts.append(stroke(x, frame.bottom, x, frame.bottom + 5, 1.0, stroke=FAINT))
        parts.append(words(x, frame.bottom + 6 + size, text, size, anchor="middle", fill=FAINT))
    return join(*parts)
