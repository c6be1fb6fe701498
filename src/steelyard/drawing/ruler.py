"""The one ruler: side view, loads and beam share it, so a thing and its column stand in line."""

from dataclasses import dataclass
from typing import Final

from steelyard.assessment import Assessment, StageResult
from steelyard.drawing.paper import WIDTH
from steelyard.drawing.sizes import Sizes
from steelyard.rig import Place

MARGIN: Final = {True: (44.0, 84.0), False: (12.0, 12.0)}
"""Units left and right: wide, words stand beside the last wheel."""
USUAL_LENGTH: Final = 0.9
"""m: length of a place that states none."""
ABOVE: Final = {True: 16.0, False: 8.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruler:
    """Drawing units from metres: `scale` per metre; `front` axle and `ball` by their x, `ground`
    by its y."""

    scale: float
    front: float
    ball: float
    ground: float
    width: float
    wide: bool

    def x(self, body: str, station: float) -> float:
        """x of a station in its body's frame."""
        return (self.ball if body == "trailer" else self.front) + station * self.scale

    def y(self, height: float) -> float:
        """y of a height above ground."""
        return self.ground - height * self.scale


def ruler(found: Assessment, stage: StageResult, size: Sizes, *, wide: bool) -> Ruler:
    """The ruler on which the whole rig, and all it carries, has room."""
    width, (before, after) = WIDTH[wide], MARGIN[wide]
    aft = {"vehicle": 0.0, "trailer": size.ball}
    things = [entry for entry in stage.ledger.entries if entry.name in found.rig.items]
    ends = [aft[one.body] + one.station for one in things]
    ends += [aft[one.on] + end for one in found.rig.places.values() for end in span(one)]
    left = min([-size.front_overhang, *ends])
    right = max([size.ball + size.box_end, size.ball + size.axles[-1] + 0.4, *ends])
    scale = (width - before - after) / max(right - left, 1.0)
    front = before - left * scale
    return Ruler(
        scale=scale,
        front=front,
        ball=front + size.ball * scale,
        ground=ABOVE[wide] + size.highest * scale,
        width=width,
        wide=wide,
    )


def span(place: Place) -> tuple[float, float]:
    """Where a place begins and ends, m in its body's frame."""
    half = (place.length.value if place.length else USUAL_LENGTH) / 2
    return place.station.value - half, place.station.value + half


def axle_x(rule: Ruler, size: Sizes, axle: str) -> float:
    """x of `front`, `rear` or `trailer 2`."""
    if axle in ("front", "rear"):
        return rule.x("vehicle", 0.0 if axle == "front" else size.wheelbase)
    return rule.x("trailer", size.axles[int(axle.split()[-1]) - 1])
