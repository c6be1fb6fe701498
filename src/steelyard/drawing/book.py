"""A rig in a list: its outline on the list's one scale, ball under ball."""

from dataclasses import dataclass
from typing import Final

from steelyard.assessment import Assessment
from steelyard.drawing.paper import INK, stroke
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import sizes
from steelyard.drawing.svg import Markup, element, join
from steelyard.drawing.trailer import coupling, drawn_trailer, trailer_wheels
from steelyard.drawing.vehicle import drawn_vehicle, vehicle_wheels

PER_METRE: Final = 17.0
"""Units per metre in every list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """A rig's side view as SVG elements, the ball at x = 0 and the ground at y = 0; how far it
    reaches left and right of the ball and above the ground, in units."""

    drawing: str
    left: float
    right: float
    above: float


def rig_outline(found: Assessment) -> Outline:
    """The outline of an assessed rig, without what it carries."""
    size = sizes(found)
    front = -size.ball * PER_METRE
    rule = Ruler(scale=PER_METRE, front=front, ball=0.0, ground=0.0, width=0.0, wide=False)
    left = front - size.front_overhang * PER_METRE
    right = max(size.box_end, size.axles[-1] + 0.4) * PER_METRE
    parts = (
        drawn_vehicle(rule, size),
        drawn_trailer(rule, size),
        coupling(rule, size),
        vehicle_wheels(rule, size),
        trailer_wheels(rule, size),
    )
    return Outline(
        drawing=join(*parts),
        left=4.0 - left,
        right=right + 4.0,
        above=size.highest * PER_METRE + 4.0,
    )


def outline_sheet(one: Outline, room: tuple[float, float, float], title: str) -> Markup:
    """An outline in the frame that all of a list share: `room` left, right and above."""
    left, right, above = (max(part, 1.0) for part in room)
    ground = stroke(-left, 0.0, right, 0.0, 1.2, stroke=INK)
    return element(
        "svg",
        element("title", title),
        ground,
        Markup(one.drawing),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"{-left:.0f} {-above:.0f} {left + right:.0f} {above + 2:.0f}",
        class_="drawing outline",
        role="img",
        aria_label=title,
    )
