"""A verdict's mark as a shape, told without colour or a font; a column's end at its notch."""

from functools import cache
from math import isfinite
from typing import Final

from steelyard.drawing.paper import INK, SPREAD, block, stroke, words
from steelyard.drawing.svg import Markup, element
from steelyard.quantity import Z95, System
from steelyard.ratings import LimitStatus, Verdict
from steelyard.words.assessed import measured

SIDE: Final = 24.0


@cache
def mark(verdict: Verdict, size: float = SIDE) -> Markup:
    """Disc within, half disc tight, a box crossed by its notch cannot tell, triangle exceeded,
    question mark unknown; a root of its own, hidden from who is told the word beside it."""
    return element(
        "svg",
        *_shapes(verdict),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {SIDE:g} {SIDE:g}",
        width=size,
        height=size,
        class_="mark-shape",
        aria_hidden="true",
    )


def _shapes(verdict: Verdict) -> tuple[Markup, ...]:
    line = {"fill": "none", "stroke": INK}
    if verdict == "within":
        return (element("circle", cx=12, cy=12, r=9.5, fill=INK),)
    if verdict == "tight":
        return (
            element("circle", cx=12, cy=12, r=8.8, stroke_width=2.2, **line),
            element("path", d="M12 3.2a8.8 8.8 0 0 0 0 17.6z", fill=INK),
        )
    if verdict == "cannot tell":
        return (
            element("path", d="M6 1.6h12v20.8H6z", stroke_width=2.6, **line),
            element("path", d="M0 12h24", stroke_width=5, **line),
        )
    if verdict == "exceeded":
        return (element("path", d="M12 1.6 23 21.6H1z", fill=INK),)
    bow = "M6.2 8.2a5.8 5.6 0 1 1 8.6 4.8c-2 1.2-2.8 2-2.8 4"
    return (
        element("path", d=bow, stroke_width=3.4, **line),
        element("circle", cx=12, cy=21, r=2.3, fill=INK),
    )


WIDE, TALL = 96.0, 84.0
_EDGE: Final = 12.0
"""Units kept free above and below what is shown."""
_LEAST: Final = 0.02
"""Part of the rating that the picture spans at least."""


def notch(one: LimitStatus, system: System) -> Markup:
    """The deciding column's end as SVG, 96 by 84 units; nothing where there is no number or notch.

    Downwards is more: the end of the load in ink, its spread behind it, the rating a stroke
    across. What has no rating ends at a question mark.
    """
    if one.kind == "part's size":  # a gap between two parts is no load on a scale
        return Markup("")
    if not isfinite(one.value):
        return Markup("")
    half = Z95 * one.sd if isfinite(one.sd) else 0.0
    known = isfinite(one.rating)
    edge = one.rating if known else one.value + 1.5 * half + 0.05 * abs(one.value)
    low, high = min(one.value - half, edge), max(one.value + half, edge)
    span = max(high - low, _LEAST * abs(edge), 1e-12)
    middle = (low + high) / 2

    def at(x: float) -> float:
        return TALL / 2 + (x - middle) / span * (TALL - 2 * _EDGE)

    return element(
        "svg",
        *_shown(one, at(one.value), at(one.value - half), at(one.value + half), at(edge), system),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDE:g} {TALL:g}",
        class_="notch",
        role="img",
        aria_label="end of the deciding column beside its notch, enlarged",
        font_family="var(--sans,system-ui,sans-serif)",
    )


def _shown(
    one: LimitStatus, end: float, top: float, foot: float, edge: float, system: System
) -> tuple[Markup, ...]:
    known = isfinite(one.rating)
    said = measured(one.rating, one, system).rsplit(" ", 1)[0] if known else "?"
    above = edge - 9.0 if edge > 24.0 else edge + 22.0
    across = {"stroke_width": 6.5} if known else {"stroke_width": 2.0, "stroke_dasharray": "3 5"}
    return (
        block(6, top, 36, foot - top, fill=SPREAD, class_="spread"),
        block(13, 0, 22, end, fill=INK),
        stroke(6, top, 42, top, 2.6),
        stroke(6, foot, 42, foot, 2.6),
        element("line", x1=0, y1=edge, x2=WIDE, y2=edge, stroke=INK, **across),
        words(WIDE, above, said, 15.0, anchor="end", bold=True),
    )
