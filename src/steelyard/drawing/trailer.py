"""The trailer from the side, by its style: box, deck, frame or neck, from its own lengths."""

from collections.abc import Callable
from functools import lru_cache
from typing import Final

from steelyard.drawing.outline import Corner, outline
from steelyard.drawing.paper import DASH, FAINT, INK, PAPER, stroke
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import TRAILER_WHEEL, Sizes
from steelyard.drawing.svg import Markup, element, join, path
from steelyard.drawing.vehicle import wheel
from steelyard.rig import FIFTH_WHEELS

BELLY: Final = 0.24
"""m from floor to underside (assumed)."""
RAIL: Final = 0.4


@lru_cache(maxsize=64)
def drawn_trailer(rule: Ruler, size: Sizes) -> Markup:
    """Body and frame by style; wheels come later, over them."""
    return _STYLES.get(size.style, _box)(rule, size)


@lru_cache(maxsize=64)
def trailer_wheels(rule: Ruler, size: Sizes) -> Markup:
    """One wheel for each axle."""
    dashed = size.is_assumed("axles")
    radius = TRAILER_WHEEL
    if len(size.axles) > 1:
        radius = min(radius, 0.48 * (size.axles[1] - size.axles[0]))
    return join(*(wheel(rule, rule.x("trailer", s), radius, dashed=dashed) for s in size.axles))


@lru_cache(maxsize=64)
def coupling(rule: Ruler, size: Sizes) -> Markup:
    """Ball and what joins it to the vehicle."""
    x, y = rule.ball, rule.y(size.ball_height)
    ball = element("circle", cx=x, cy=y, r=5.5 if rule.wide else 3.0, fill=INK, class_="ball")
    if size.pin:
        return join(stroke(x, y, x, rule.y(size.bed_floor), 3.0), ball)
    end = rule.x("vehicle", size.wheelbase + size.rear_overhang)
    low = rule.y(min(0.5, size.ball_height - 0.05))
    mount = element(
        "path", d=path([(end - 8, low), (x, low), (x, y)]), fill="none", stroke=INK, stroke_width=3
    )
    return join(mount, ball)


def _corner(
    rule: Ruler, size: Sizes, x: float, z: float, by_x: str = "box_start", by_z: str = "floor"
) -> Corner:
    return Corner(
        x=rule.x("trailer", x),
        y=rule.y(z),
        x_assumed=size.is_assumed(by_x),
        y_assumed=size.is_assumed(by_z),
    )


def _filled(corners: list[Corner], radius: float) -> Markup:
    points = " ".join(f"{c.x:.1f},{c.y:.1f}" for c in corners)
    return join(
        element("polygon", points=points, fill=PAPER, stroke="none"), outline(corners, radius)
    )


def _tongue(rule: Ruler, size: Sizes, to: float) -> Markup:
    """The frame from the ball to `to` (m)."""
    z = size.ball_height - 0.06
    dash = DASH if size.is_assumed("box_start", "ball_height") else None
    return stroke(
        rule.ball,
        rule.y(z),
        rule.x("trailer", to),
        rule.y(min(z, size.floor - 0.1)),
        3.0,
        stroke_dasharray=dash,
    )


def _box(rule: Ruler, size: Sizes, slope: float = 0.45) -> Markup:
    """Walls and roof; the front leans back a little, as its style has it."""
    low, start, end, roof = size.floor - BELLY, size.box_start, size.box_end, size.roof
    corners = [
        _corner(rule, size, start, low),
        _corner(rule, size, start, roof - 0.5, by_z="roof"),
        _corner(rule, size, start + slope, roof, by_z="roof"),
        _corner(rule, size, end, roof, "box_end", "roof"),
        _corner(rule, size, end, low, "box_end"),
    ]
    return join(_tongue(rule, size, start), _filled(corners, 10.0 if rule.wide else 4.0))


def _enclosed(rule: Ruler, size: Sizes) -> Markup:
    return _box(rule, size, 0.08)


def _flatbed(rule: Ruler, size: Sizes) -> Markup:
    return join(_tongue(rule, size, size.box_start), _deck(rule, size))


def _deck(rule: Ruler, size: Sizes) -> Markup:
    corners = [
        _corner(rule, size, size.box_start, size.floor - 0.16),
        _corner(rule, size, size.box_start, size.floor),
        _corner(rule, size, size.box_end, size.floor, "box_end"),
        _corner(rule, size, size.box_end, size.floor - 0.16, "box_end"),
    ]
    return _filled(corners, 2.0)


def _utility(rule: Ruler, size: Sizes) -> Markup:
    """A deck with rails, their height assumed."""
    y, low = rule.y(size.floor + RAIL), rule.y(size.floor)
    left, right = (rule.x("trailer", s) for s in (size.box_start, size.box_end))
    rails = element(
        "path",
        d=path([(left, low), (left, y), (right, y), (right, low)]),
        fill="none",
        stroke=FAINT,
        stroke_width=1,
        stroke_dasharray=DASH,
    )
    return join(_flatbed(rule, size), rails)


def _gooseneck(rule: Ruler, size: Sizes) -> Markup:
    """A deck behind a neck that stands on the ball in the bed."""
    top = size.ball_height + 0.5
    neck = [
        Corner(x=rule.ball, y=rule.y(size.ball_height)),
        Corner(x=rule.ball, y=rule.y(top), y_assumed=True),
        _corner(rule, size, size.box_start - 0.1, top, by_z="roof"),
        _corner(rule, size, size.box_start, size.floor),
    ]
    return join(outline(neck, 8.0, closed=False), _deck(rule, size))


def _fifth_wheel(rule: Ruler, size: Sizes) -> Markup:
    """A box whose front steps up over the bed, on its pin."""
    low, nose = size.floor - BELLY, size.floor_at(size.box_start) - 0.1
    start, end, roof = size.box_start, size.box_end, size.roof
    corners = [
        _corner(rule, size, start, nose, by_z="ball_height"),
        _corner(rule, size, start, roof - 0.7, by_z="roof"),
        _corner(rule, size, start + 0.5, roof, by_z="roof"),
        _corner(rule, size, end, roof, "box_end", "roof"),
        _corner(rule, size, end, low, "box_end"),
        Corner(x=rule.x("trailer", size.step), y=rule.y(low), x_assumed=True),
        Corner(x=rule.x("trailer", size.step), y=rule.y(nose), x_assumed=True),
    ]
    pin = stroke(rule.ball, rule.y(nose), rule.ball, rule.y(size.ball_height), 4.0)
    return join(pin, _filled(corners, 10.0 if rule.wide else 4.0))


def _boat(rule: Ruler, size: Sizes) -> Markup:
    """A frame with a winch post; the boat on it is an item."""
    z, start, end = size.floor - 0.15, size.box_start, size.box_end
    frame = [
        Corner(x=rule.ball, y=rule.y(size.ball_height - 0.06)),
        _corner(rule, size, start, z),
        _corner(rule, size, end, z, "box_end"),
    ]
    post = stroke(
        rule.x("trailer", start), rule.y(z), rule.x("trailer", start - 0.1), rule.y(z + 0.7), 2.0
    )
    return join(outline(frame, 4.0, closed=False), post)


_STYLES: Final[dict[str, Callable[[Ruler, Sizes], Markup]]] = {
    "enclosed-cargo": _enclosed,
    "horse": _enclosed,
    "flatbed-equipment": _flatbed,
    "car-hauler": _flatbed,
    "open-utility": _utility,
    "boat": _boat,
    **dict.fromkeys(FIFTH_WHEELS, _fifth_wheel),
    "gooseneck": _gooseneck,
}
