"""How large the rig is, from its own numbers; what nobody stated is typical, and says so."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from steelyard.assessment import Assessment
from steelyard.rig import FIFTH_WHEELS, is_pin
from steelyard.statics.masses import axle_stations
from steelyard.typical.shipped_tables import trailer_style, typical, vehicle_class
from steelyard.typical.vehicle import seat_place
from steelyard.words.assessed import coupling

VEHICLE_WHEEL: Final = 0.38
TRAILER_WHEEL: Final = 0.35
"""m, radii drawn (assumed)."""
NOSE_STEP: Final = 2.3
"""m behind the pin to where a fifth wheel's floor steps down (assumed)."""

OPEN: Final = frozenset({"open-utility", "flatbed-equipment", "car-hauler", "boat", "gooseneck"})
PILE: Final = 1.8
"""m that things may be piled on an open deck, in the drawing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """Lengths in m: the vehicle's from its front axle, the trailer's from the ball, heights above
    ground. `assumed` names those that nobody stated; `seat` what the trailer rests on."""

    wheelbase: float
    overhang: float
    front_overhang: float
    rear_overhang: float
    vehicle_roof: float
    vehicle_width: float
    bed_floor: float
    rows: tuple[float, float]
    ball_height: float
    box_start: float
    box_end: float
    floor: float
    roof: float
    trailer_width: float
    axles: tuple[float, ...]
    track: float
    front_track: float
    rear_track: float
    pin: bool
    seat: str
    step: float
    klass: str
    style: str
    assumed: frozenset[str]

    @property
    def ball(self) -> float:
        """The ball, m aft of the front axle."""
        return self.wheelbase + self.overhang

    @property
    def boxed(self) -> bool:
        """Whether the trailer has walls and a roof."""
        return self.style not in OPEN

    @property
    def ceiling(self) -> float:
        """Height to which things can be piled on the trailer."""
        return self.roof - 0.1 if self.boxed else self.floor + PILE

    @property
    def highest(self) -> float:
        """Height of all there is to draw."""
        return max(self.roof, self.ceiling, self.vehicle_roof)

    def floor_at(self, station: float) -> float:
        """Height of the trailer's floor at a station."""
        raised = self.style in FIFTH_WHEELS and station < self.step
        return self.ball_height + 0.3 if raised else self.floor

    def is_assumed(self, *names: str) -> bool:
        """Whether any of these rests on an assumption."""
        return any(name in self.assumed for name in names)


@cache
def _usual_vehicle(klass: str) -> Mapping[str, float]:
    table = vehicle_class(klass)
    keys = ("roof_height", "front_overhang", "rear_overhang", "bed.height", "seats.height")
    found = {key: typical(table, key, "length") for key in (*keys, "width")}
    return {key: one.value for key, one in found.items() if one is not None}


@cache
def _usual_trailer(style: str) -> Mapping[str, float]:
    table = trailer_style(style)
    found = {key: typical(table, key, "length") for key in ("roof_height", "width")}
    return {key: one.value for key, one in found.items() if one is not None}


def sizes(found: Assessment) -> Sizes:
    """The sizes of an assessed rig at the best estimate."""
    rig, v = found.rig, found.estimate.at_mean()
    vehicle, trailer = rig.vehicle, rig.trailer
    usual, box = _usual_vehicle(vehicle.klass), _usual_trailer(trailer.style)
    stated = {
        "vehicle_roof": (vehicle.roof_height, usual["roof_height"]),
        "vehicle_width": (vehicle.width, usual["width"]),
        "front_overhang": (vehicle.front_overhang, usual["front_overhang"]),
        "rear_overhang": (vehicle.rear_overhang, usual["rear_overhang"]),
        "roof": (trailer.roof_height, box["roof_height"]),
        "trailer_width": (trailer.width, box["width"]),
    }
    named = {name: one.value if one else other for name, (one, other) in stated.items()}
    start, length = _at(v, "trailer.box_start"), _at(v, "trailer.box_length")
    axles = tuple(sorted(float(np.ravel(x)[0]) for x in axle_stations(rig, v)))
    overhang, wheelbase = _at(v, "vehicle.overhang"), _at(v, "vehicle.wheelbase")
    rear = named.pop("rear_overhang")
    pin = is_pin(rig)
    return Sizes(
        wheelbase=wheelbase,
        overhang=overhang,
        rear_overhang=rear if pin else min(rear, max(overhang - 0.08, 0.3)),
        bed_floor=float(v.get("vehicle.bed_height", usual["bed.height"])),
        rows=(seat_place(rig, "driver")[0], seat_place(rig, "second-left")[0]),
        ball_height=_at(v, "hitch.ball_height"),
        box_start=start,
        box_end=start + length,
        floor=_at(v, "trailer.floor_height"),
        axles=axles,
        track=_at(v, "trailer.axles.track"),
        front_track=_at(v, "vehicle.front.track"),
        rear_track=_at(v, "vehicle.rear.track"),
        pin=pin,
        seat=coupling(rig),
        step=min(max(NOSE_STEP, rear - overhang + 0.5), axles[0] - 0.9),
        klass=vehicle.klass,
        style=trailer.style,
        assumed=_assumed(found, {name for name, (one, _) in stated.items() if one is None}),
        **named,
    )


def _at(v: Mapping[str, object], name: str) -> float:
    return float(np.ravel(np.asarray(v[name]))[0])


_PATHS: Final = {
    "wheelbase": "vehicle.wheelbase",
    "overhang": "vehicle.overhang",
    "ball_height": "hitch.ball_height",
    "box_start": "trailer.box_start",
    "box_end": "trailer.box_length",
    "floor": "trailer.floor_height",
    "axles": "trailer.axles.station",
    "track": "trailer.axles.track",
}


def _assumed(found: Assessment, unstated: set[str]) -> frozenset[str]:
    paths = {row.name for row in found.assumed}
    return frozenset(unstated | {name for name, path in _PATHS.items() if path in paths})
