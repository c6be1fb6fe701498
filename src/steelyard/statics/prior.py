"""The prior of a rig: typical values, with every sticker and tie read by the one `condition`."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from steelyard.estimate import Array, Estimate, Reading, Values, condition, unread, updated
from steelyard.quantity import Z95, F, Floats, Value
from steelyard.rig import Rig
from steelyard.statics.lever import axle_loads, tongue_weight
from steelyard.statics.linkage import group_station
from steelyard.statics.masses import seat
from steelyard.typical import fill
from steelyard.typical.contents import (
    aboard,
    driver_aboard,
    fluids_missing,
    fuel_aboard,
    held_by,
    listed_apart,
    word_for,
)
from steelyard.typical.hitch import over_receiver
from steelyard.typical.sheet import Sheet
from steelyard.typical.shipped_tables import default_sd

BUMPER = 0.1
"""m from the end of the box to the end of the trailer, where only `length` is stated."""
LEVEL_SD = 0.08 / Z95
"""People pick a ball height that leaves the trailer level within about 8 cm (assumed)."""
SQUAT = 0.04
"""m an unladen ball stands above the level coupler (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """What a rig file alone lets one believe, with the sheet it rests on."""

    estimate: Estimate
    sheet: Sheet


def prior(rig: Rig) -> Prior:
    """The estimate of a rig from its file: typical values conditioned on stickers and ties.

    None of these tells of a thing that rides, so that what was found of the last rig holds for one
    in which only things were moved.
    """
    sheet, bare = fill(rig), rig.model_copy(update={"items": {}, "places": {}})
    own = {name: one for name, one in sheet.parameters.items() if not name.startswith("items.")}
    for known, of, found in _LATEST:
        if known.parameters == own and known.ties == sheet.ties and of == bare:
            return Prior(estimate=updated(unread(sheet), found), sheet=sheet)
    alone = replace(sheet, parameters=own)
    found = condition(unread(alone), readings(rig, sheet))
    _LATEST[:] = [(alone, bare, found)]
    return Prior(estimate=updated(unread(sheet), found), sheet=sheet)


_LATEST: list[tuple[Sheet, Rig, Estimate]] = []
"""Of the last rig without what rides: its sheet, itself, and what was found."""


def readings(rig: Rig[F], sheet: Sheet[F]) -> list[Reading[F]]:
    """What the prior is conditioned on: the sheet's ties, the level ball, the rig's stickers."""
    return list(_ties(rig, sheet)) + list(_stickers(rig))


_RELATIONS: dict[str, Callable[[Rig[Floats], Values], Array]] = {
    "tongue_share": lambda rig, v: 1.0 - v["trailer.empty.cg"] / group_station(rig, v),
    "front_share": lambda rig, v: 1.0 - v["vehicle.cg"] / v["vehicle.wheelbase"],
    "axle_place": lambda rig, v: (
        (v["trailer.axles.station"] - v["trailer.box_start"]) / v["trailer.box_length"]
    ),
    "length": lambda rig, v: (
        np.maximum(v["trailer.box_start"], 0.0) + v["trailer.box_length"] + BUMPER
    ),
}


def _ties(rig: Rig[F], sheet: Sheet[F]) -> Iterator[Reading[F]]:
    for name, typical in sheet.ties.items():
        if name == "front_share" and (rig.vehicle.front.weight or rig.vehicle.rear.weight):
            continue
        yield Reading(
            name=name,
            predict=partial(_RELATIONS[name], rig),
            value=typical.value,
            sd=typical.sd,
        )
    taped = rig.hitch.ball_height is not None or over_receiver(rig) is not None
    if not taped or rig.trailer.coupler_height is None:
        yield Reading(
            name="level",
            predict=lambda v: v["hitch.ball_height"] - v["trailer.coupler_height"],
            value=SQUAT,
            sd=LEVEL_SD,
        )


def _stickers(rig: Rig[F]) -> Iterator[Reading[F]]:
    vehicle = rig.vehicle
    if vehicle.weight is not None and aboard(vehicle.weight) is not None:
        yield _mass_reading(rig, "vehicle.weight", vehicle.weight, 0)
    for number, axle in enumerate((vehicle.front, vehicle.rear)):
        if axle.weight is not None:
            name = f"vehicle.{('front', 'rear')[number]}.weight"
            yield _mass_reading(rig, name, axle.weight, 1 + number)
    tongue = rig.trailer.empty.tongue_weight
    if tongue is not None and rig.trailer.empty.cg is None:
        yield _tongue_reading(rig, tongue)


def _mass_reading(rig: Rig[F], name: str, stated: Value[F], which: int) -> Reading[F]:
    """Total (0), front (1) or rear (2) weight of the vehicle with what the sticker includes, kg."""

    def predict(v: Values) -> Array:
        weight, moment = _as_weighed(rig, stated, v)
        front, rear = axle_loads(weight, moment, v["vehicle.wheelbase"])
        return np.asarray((weight, front, rear)[which])

    word = word_for(stated)
    sd = default_sd(word, stated.value, "mass") if stated.sd is None else stated.sd
    return Reading(name=name, predict=predict, value=stated.value, sd=sd)


def _as_weighed(rig: Rig[Floats], stated: Value[Floats], v: Values) -> tuple[Array, Array]:
    """Weight and moment of the vehicle with full fuel, or with just what the weight holds."""
    words = aboard(stated)
    weight = v["vehicle.weight"] - fluids_missing(stated)
    moment = weight * v["vehicle.cg"]
    if words is None:
        return weight, moment
    if not rig.vehicle.electric:
        full = v["vehicle.tanks.fuel.capacity"]
        there = fuel_aboard(stated, full, _fuel(rig)) if "fuel" in words else 0.0
        weight = weight + (there - full)
        moment = moment + (there - full) * v["vehicle.tanks.fuel.station"]
    if "driver" in words:
        person, station = _driver(rig, stated, v)
        weight, moment = weight + person, moment + person * station
    if "ball mount" in words:
        mount = v["hitch.ball_mount.weight"]
        weight, moment = weight + mount, moment + mount * v["hitch.ball_mount.station"]
    if "accessories" in words and "vehicle.accessories" in v:
        fitted = v["vehicle.accessories"]
        weight, moment = weight + fitted, moment + fitted * v["vehicle.accessories_station"]
    return weight, moment


def _fuel(rig: Rig[Floats]) -> str:
    """What the fuel tank holds."""
    tank = rig.vehicle.tanks.get("fuel")
    return tank.content if tank else "gasoline"


def _driver(
    rig: Rig[Floats], stated: Value[Floats], v: Values
) -> tuple[Array | float, Array | float]:
    """Mass and station of whoever sits at the wheel: as the plate's definition counts, else the
    driver named, else a typical person."""
    counted = driver_aboard(stated)
    if counted is not None:
        return counted, seat(rig, "driver", v)[0]
    for name, person in rig.people.items():
        if person.seat == "driver":
            return v[f"people.{name}.weight"], seat(rig, "driver", v)[0]
    return 80.0, seat(rig, "driver", v)[0]


def _tongue_reading(rig: Rig[F], stated: Value[F]) -> Reading[F]:
    """The stated tongue weight of the empty trailer, kg on a level stand."""
    held = held_by(stated)
    listed = [one for one in listed_apart(rig.trailer, stated) if one[0] != "water"]

    def predict(v: Values) -> Array:
        weight = v["trailer.empty.weight"]
        moment = weight * v["trailer.empty.cg"]
        if {"propane", "battery"} & held and "trailer.gas_and_battery" in v:
            gas = v["trailer.gas_and_battery"]
            weight = weight + gas
            moment = moment + gas * v["trailer.gas_and_battery_station"]
        if "options" in held and "trailer.options" in v:
            options = v["trailer.options"]
            station = v["trailer.empty.cg"] + v["trailer.options_offset"]
            weight, moment = weight + options, moment + options * station
        for name, _ in listed:
            part = v[f"{name}.{'weight' if '.equipment.' in name else 'capacity'}"]
            weight, moment = weight + part, moment + part * v[f"{name}.station"]
        return np.asarray(tongue_weight(weight, moment, group_station(rig, v)))

    weighed = stated.basis == "weighed" or stated.kind == "scale"
    word = "scale" if weighed else "tongue-sticker"
    sd = default_sd(word, stated.value, "mass") if stated.sd is None else stated.sd
    return Reading(name="trailer.empty.tongue_weight", predict=predict, value=stated.value, sd=sd)
