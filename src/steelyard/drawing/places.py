"""Places: where things can be dropped, from floor to ceiling, with their names."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from steelyard.assessment import Assessment
from steelyard.drawing.labels import Box, Label, Line, first_free
from steelyard.drawing.names import place_name
from steelyard.drawing.paper import FAINT, LINE, PAPER, SMALL, block, broken
from steelyard.drawing.ruler import Ruler, span
from steelyard.drawing.sizes import Sizes
from steelyard.drawing.svg import Markup, element, join
from steelyard.drawing.vehicle import cab_end, has_bed
from steelyard.rig import Place

WIDER: Final = 40.0
"""Units that a name may take beyond its place where no other is near."""
LOWER: Final = 15.0
"""Units that a name steps down where it would meet another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A place as drawn: left, right, and its floor and ceiling by their y."""

    name: str
    title: str
    left: float
    right: float
    floor: float
    ceiling: float

    @property
    def middle(self) -> float:
        """x of its middle."""
        return (self.left + self.right) / 2


def areas(found: Assessment, rule: Ruler, size: Sizes) -> dict[str, Area]:
    """Every place's drop area, by name."""
    rooms = {name: _room(place, size) for name, place in found.rig.places.items()}
    drawn = {}
    for name, place in found.rig.places.items():
        left, right, floor, ceiling = rooms[name]
        for other, (a, b, base, _) in rooms.items():
            if other != name and a < right and left < b and floor + 0.3 < base < ceiling:
                ceiling = base
        drawn[name] = Area(
            name=name,
            title=place_name(found.rig, name),
            left=rule.x(place.on, left),
            right=rule.x(place.on, right),
            floor=rule.y(floor),
            ceiling=rule.y(ceiling),
        )
    return drawn


def _room(place: Place, size: Sizes) -> tuple[float, float, float, float]:
    """Left, right (m in its body's frame), floor and ceiling (m) of a place."""
    middle = place.station.value
    if place.on == "trailer":
        floor, ceiling = size.floor_at(middle), size.ceiling
    else:
        floor, ceiling = size.bed_floor, size.vehicle_roof - (0.0 if has_bed(size) else 0.08)
        if size.pin and middle > cab_end(size):
            ceiling = min(ceiling, size.ball_height + 0.2)
    floor = place.height.value if place.height else floor
    if place.clearance:
        ceiling = floor + place.clearance.value
    return (*span(place), floor, max(ceiling, floor + 0.35))


def drawn_places(drawn: Mapping[str, Area], *, wide: bool) -> Markup:
    """The drop areas, with their names along the top on a wide drawing."""
    parts = [
        block(
            area.left,
            area.ceiling,
            area.right - area.left,
            area.floor - area.ceiling,
            element("title", area.title),
            class_="place",
            data_place=name,
            fill=PAPER,
            fill_opacity=0,
            stroke=LINE,
            stroke_dasharray="1.5 3.5",
        )
        for name, area in drawn.items()
    ]
    return join(*parts, *(_place_names(list(drawn.values())) if wide else ()))


def _place_names(drawn: list[Area]) -> list[Markup]:
    """Names under their ceilings, in lines as wide as the place; lower where they would meet, and
    cut only where there is room at no height."""
    taken: list[Box] = []
    parts = []
    for area in sorted(drawn, key=lambda one: one.middle):
        pitch = min((abs(a.middle - area.middle) for a in drawn if a is not area), default=1e9)
        own = area.right - area.left
        room = max(own - 6.0, min(pitch - 8.0, own + WIDER), 44.0)
        steps = range(max(int((area.floor - area.ceiling) / 2.0 / LOWER), 1))
        lines = broken(area.title, SMALL, room, max(len(steps) - 1, 1))
        label = Label(lines=tuple(Line(text=text, size=SMALL, fill=FAINT) for text in lines))
        spots = [(area.middle, area.ceiling + 3.0 + LOWER * step, "middle") for step in steps]
        spot = first_free(label, spots, taken, 4.0, 1276.0)
        if spot is not None:
            taken.append(label.box(*spot))
            parts.append(label.drawn(*spot))
    return parts
