"""A verdict's mark as a shape, so that it is told without colour and without its sign's font."""

from functools import cache
from typing import Final

from steelyard.drawing.paper import INK
from steelyard.drawing.svg import Markup, element
from steelyard.ratings import Verdict

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
