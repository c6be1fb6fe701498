"""The vehicle from the side: its body in thin line, from its own lengths."""

from collections.abc import Callable
from functools import lru_cache
from typing import Final

from steelyard.drawing.outline import Corner, outline
from steelyard.drawing.paper import DASH, INK, LINE, PAPER, stroke
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import VEHICLE_WHEEL, Sizes
from steelyard.drawing.svg import Markup, element, join
from steelyard.rig import CARS

Profile = list[tuple[float, float, str, str]]
"""Corners x and height, m, each with the name of the size it rests on."""
SILL: Final = 0.42
"""m, height of the sill; the shape between the sizes is a likeness, not a measure."""


@lru_cache(maxsize=64)
def drawn_vehicle(rule: Ruler, size: Sizes) -> Markup:
    """Body, bed floor and wheels."""
    shape = _SHAPES.get(size.klass, _pickup)(size)
    corners = [
        Corner(
            x=rule.x("vehicle", x),
            y=rule.y(z),
            x_assumed=size.is_assumed(by_x),
            y_assumed=size.is_assumed(by_z),
        )
        for x, z, by_x, by_z in shape
    ]
    body = element(
        "polygon",
        points=" ".join(f"{c.x:.1f},{c.y:.1f}" for c in corners),
        fill=PAPER,
        stroke="none",
    )
    return join(body, outline(corners, 9.0 if rule.wide else 3.0), _bed(rule, size))


@lru_cache(maxsize=64)
def vehicle_wheels(rule: Ruler, size: Sizes) -> Markup:
    """Front and rear wheel, drawn over what is behind them."""
    rear = size.is_assumed("wheelbase")
    return join(
        wheel(rule, rule.x("vehicle", 0.0), VEHICLE_WHEEL),
        wheel(rule, rule.x("vehicle", size.wheelbase), VEHICLE_WHEEL, dashed=rear),
    )


def wheel(rule: Ruler, x: float, radius: float, *, dashed: bool = False) -> Markup:
    """A wheel standing on the ground."""
    r = radius * rule.scale
    tyre = element(
        "circle",
        cx=x,
        cy=rule.ground - r,
        r=r,
        fill=PAPER,
        stroke=INK,
        stroke_width=1.6,
        stroke_dasharray=DASH if dashed else None,
    )
    hub = element("circle", cx=x, cy=rule.ground - r, r=max(1.5, 0.12 * r), fill=INK)
    return join(tyre, hub)


def cab_end(size: Sizes) -> float:
    """Station of the back of a pickup's cab."""
    return min(size.rows[1] + 0.45, size.wheelbase - 0.35)


def has_bed(size: Sizes) -> bool:
    """Whether the vehicle is a pickup."""
    return size.klass not in _SHAPES


def _bed(rule: Ruler, size: Sizes) -> Markup:
    if not has_bed(size):
        return Markup("")
    start, end = cab_end(size) + 0.08, size.wheelbase + size.rear_overhang - 0.05
    y = rule.y(size.bed_floor)
    return stroke(rule.x("vehicle", start), y, rule.x("vehicle", end), y, 1.0, stroke=LINE)


def _nose(size: Sizes, hood: float, *, screen: float) -> Profile:
    """Bumper, hood and windscreen up to the roof; `hood` as a share of the roof's height."""
    front, first, roof = -size.front_overhang, size.rows[0], size.vehicle_roof
    return [
        (front, SILL, "front_overhang", ""),
        (front, 0.46 * roof, "front_overhang", "vehicle_roof"),
        (front + 0.12, hood * roof - 0.08, "front_overhang", "vehicle_roof"),
        (first - screen, hood * roof, "", "vehicle_roof"),
        (first - 0.25, roof, "", "vehicle_roof"),
    ]


def _pickup(size: Sizes) -> Profile:
    end, cab = size.wheelbase + size.rear_overhang, cab_end(size)
    rail = min(size.bed_floor + 0.5, 0.78 * size.vehicle_roof)
    return [
        *_nose(size, 0.60, screen=0.95),
        (cab - 0.12, size.vehicle_roof, "", "vehicle_roof"),
        (cab, rail, "", "vehicle_roof"),
        (end, rail, "rear_overhang", "vehicle_roof"),
        (end, SILL, "rear_overhang", ""),
    ]


def _wagon(size: Sizes) -> Profile:
    end, roof = size.wheelbase + size.rear_overhang, size.vehicle_roof
    return [
        *_nose(size, 0.60, screen=0.9),
        (end - 0.28, roof - 0.03, "rear_overhang", "vehicle_roof"),
        (end - 0.03, 0.58 * roof, "rear_overhang", "vehicle_roof"),
        (end, SILL, "rear_overhang", ""),
    ]


def _van(size: Sizes) -> Profile:
    end, roof = size.wheelbase + size.rear_overhang, size.vehicle_roof
    return [
        *_nose(size, 0.50, screen=0.75),
        (end - 0.08, roof, "rear_overhang", "vehicle_roof"),
        (end, SILL, "rear_overhang", ""),
    ]


def _car(size: Sizes) -> Profile:
    end, roof, second = size.wheelbase + size.rear_overhang, size.vehicle_roof, size.rows[1]
    return [
        *_nose(size, 0.62, screen=0.85),
        (second + 0.2, roof - 0.03, "", "vehicle_roof"),
        (second + 0.85, 0.68 * roof, "", "vehicle_roof"),
        (end - 0.05, 0.66 * roof, "rear_overhang", "vehicle_roof"),
        (end, SILL, "rear_overhang", ""),
    ]


_SHAPES: Final[dict[str, Callable[[Sizes], Profile]]] = {
    "full-size-suv": _wagon,
    "mid-size-suv": _wagon,
    "small-suv": _wagon,
    "minivan": _wagon,
    "van": _van,
    **dict.fromkeys(CARS, _car),
}
