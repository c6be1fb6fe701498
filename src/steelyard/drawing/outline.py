"""Outlines in thin line: an edge that rests on an assumed number is dashed."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from steelyard.drawing.paper import DASH, INK
from steelyard.drawing.svg import Markup, element, join, number

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A corner: x and y in units of the drawing, and whether either rests on an assumption."""

    x: float
    y: float
    x_assumed: bool = False
    y_assumed: bool = False


def outline(corners: Sequence[Corner], radius: float = 6.0, *, closed: bool = True) -> Markup:
    """Edges between corners, rounded, each whole or dashed."""
    count = len(corners)
    edges = range(count if closed else count - 1)
    whole: list[str] = []
    dashed: list[str] = []
    for i in edges:
        one, other = corners[i], corners[(i + 1) % count]
        after = corners[(i + 2) % count] if closed or i + 2 < count else None
        start = _toward(one, other, radius if closed or i > 0 else 0.0)
        end = _toward(other, one, radius if after is not None else 0.0)
        d = f"M{_xy(start)}L{_xy(end)}"
        if after is not None:
            d += f"Q{number(other.x)} {number(other.y)} {_xy(_toward(other, after, radius))}"
        (dashed if _dashed(one, other) else whole).append(d)
    return join(_stroked(whole, None), _stroked(dashed, DASH))


def _stroked(parts: list[str], dash: str | None) -> Markup:
    if not parts:
        return Markup("")
    return element(
        "path",
        d="".join(parts),
        fill="none",
        stroke=INK,
        stroke_width=1.4,
        stroke_linecap="round",
        stroke_dasharray=dash,
        class_="assumed" if dash else None,
    )


def _dashed(one: Corner, other: Corner) -> bool:
    """An upright edge rests on x, a level one on y, a slanting one on both."""
    dx, dy = abs(one.x - other.x), abs(one.y - other.y)
    by_x = (one.x_assumed or other.x_assumed) and dy > 0.25 * dx
    by_y = (one.y_assumed or other.y_assumed) and dx > 0.25 * dy
    return by_x or by_y


def _toward(one: Corner, other: Corner, radius: float) -> Point:
    length = hypot(other.x - one.x, other.y - one.y)
    if length == 0:
        return one.x, one.y
    part = min(radius, length / 2) / length
    return one.x + part * (other.x - one.x), one.y + part * (other.y - one.y)


def _xy(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"
