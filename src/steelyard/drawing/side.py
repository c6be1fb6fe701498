"""The side view, to scale: vehicle, coupling, trailer, and what rides in both."""

from collections.abc import Container

from steelyard.assessment import Assessment, StageResult
from steelyard.drawing.blocks import drawn_blocks
from steelyard.drawing.paper import INK, stroke
from steelyard.drawing.places import areas, drawn_places
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.seats import drawn_seats
from steelyard.drawing.sizes import Sizes
from steelyard.drawing.svg import Markup, element
from steelyard.drawing.tanks import drawn_tanks
from steelyard.drawing.trailer import coupling, drawn_trailer, trailer_wheels
from steelyard.drawing.vehicle import drawn_vehicle, vehicle_wheels
from steelyard.quantity import System


def side_view(
    found: Assessment,
    stage: StageResult,
    rule: Ruler,
    size: Sizes,
    system: System,
    moved: Container[str] = (),
) -> Markup:
    """Everything above the ground, and the ground; what `moved` names is drawn thick."""
    places = areas(found, rule, size)
    return element(
        "g",
        drawn_vehicle(rule, size),
        drawn_seats(found, rule),
        drawn_trailer(rule, size),
        drawn_tanks(found, stage, rule, size),
        coupling(rule, size),
        vehicle_wheels(rule, size),
        trailer_wheels(rule, size),
        drawn_places(places, wide=rule.wide),
        drawn_blocks(found, stage, rule, size, places, system, moved),
        stroke(0, rule.ground, rule.width, rule.ground, 1.4, stroke=INK),
        class_="side",
    )
