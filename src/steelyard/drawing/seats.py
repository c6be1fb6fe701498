"""The seats of the vehicle, lightly, whether taken or not."""

from steelyard.assessment import Assessment
from steelyard.drawing.blocks import SEAT_FLOOR
from steelyard.drawing.paper import LINE
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.svg import Markup, element, join, path
from steelyard.typical.vehicle import seat_names, seat_place


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
