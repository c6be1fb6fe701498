"""The side view, to scale: vehicle, coupling, trailer, and what rides in both."""

from collections.abc import Container

from steelyard.assessment import Assessment, StageResult
from steelyard.drawing.blocks import SEAT_FLOOR, drawn_blocks
from steelyard.drawing.paper import INK, LINE, stroke
from steelyard.drawing.places import areas, drawn_places
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import Sizes
from steelyard.drawing.svg import Markup, element, join, path
from steelyard.drawing.tanks import drawn_tanks
from steelyard.drawing.trailer import coupling, drawn_trailer, trailer_wheels
from steelyard.drawing.vehicle import drawn_vehicle, vehicle_wheels
from steelyard.quantity import System
from steelyard.typical.vehicle import seat_names, seat_place


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


def drawn_seats(found: Assessment, rule: Ruler) -> Markup:
    """One seat from the side for every row; its names are in `data-seats`."""
    rows: dict[float, list[str]] = {}
    for name in seat_names(found.rig):
        rows.setdefault(round(seat_place(found.rig, name)[0], 2), []).append(name)
    return join(*(_seat(rule, station, names) for station, names in rows.items()))


def _seat(rule: Ruler, station: float, names: list[str]) -> Markup:
    """Cushion and back about where a person's weight acts."""
    shape = [
        (station - 0.32, SEAT_FLOOR - 0.04),
        (station + 0.22, SEAT_FLOOR - 0.06),
        (station + 0.40, SEAT_FLOOR + 0.62),
    ]
    points = [(rule.x("vehicle", s), rule.y(z)) for s, z in shape]
    return element(
        "path",
        element("title", ", ".join(name.replace("-", " ") for name in names)),
        d=path(points),
        fill="none",
        stroke=LINE,
        stroke_width=3.5 if rule.wide else 1.5,
        stroke_linecap="round",
        stroke_linejoin="round",
        class_="seat",
        data_seats=" ".join(names),
    )
