"""What nobody listed: a weight of its own in the cabin and in the trailer's box, never below zero.

It is what a list leaves of the usual load, wide while the file lists little and narrow where it
lists much; a file that says that everything is listed has none.
"""

from collections.abc import Mapping
from math import inf, sqrt
from typing import Any, Final

import numpy as np

from steelyard.quantity import F, parse
from steelyard.rig import Rig
from steelyard.typical.ride import cargo_kind, usual_cargo
from steelyard.typical.sheet import Builder
from steelyard.typical.shipped_tables import read_table, relation, typical, vehicle_class

UNLISTED: Final = ("vehicle.unlisted", "trailer.unlisted")
"""Its weights; each has a place of its own beside it."""
ANYWHERE: Final = 12**-0.5
"""sd of one thing that may be anywhere along a length, as part of it."""


def is_unlisted(name: str) -> bool:
    """Whether a parameter is of what nobody listed."""
    return name.startswith(UNLISTED)


def add_unlisted(build: Builder[F], rig: Rig[F]) -> None:
    """Both weights with their places, unless everything is listed; after all other parameters."""
    if rig.everything_listed:
        return
    table = read_table("load.toml")
    row = table["unlisted"]
    aboard, gear = _in_vehicle(build, rig, table)
    cargo = _in_trailer(build, rig, row)
    people = sum(_listed(build, "people.")) or _driver(table)
    things = sum(_listed(build, "items."))
    left = _left(row, things, gear + cargo)
    vehicle, trailer = aboard * _left(row, people, aboard) + gear * left, cargo * left
    for name, kg in zip(UNLISTED, (vehicle, trailer), strict=True):
        sd = float(row["spread"]) * kg
        build.put(name, kg, sd, "assumed", row["source"])
    _places(build, rig, row, vehicle, trailer)


def _left(row: Mapping[str, Any], listed: F, usual: F) -> F:
    """What is taken to be unlisted, as part of the usual load: some of what the list leaves of it,
    and what is always forgotten.

    Listing a kilogram takes off less than a kilogram, so no rig gets lighter by what is listed.
    """
    part = listed / usual
    return float(row["of_the_rest"]) * max(1.0 - part, 0.0) + float(row["forgotten"]) * max(part, 1)


def _listed(build: Builder[F], start: str) -> list[F]:
    """kg of what is listed, on whichever body: what is moved from one to the other stays listed."""
    rows = build.parameters.items()
    return [x.value for name, x in rows if name.startswith(start) and name.endswith(".weight")]


def _in_vehicle(build: Builder[F], rig: Rig[F], table: Mapping[str, Any]) -> tuple[F, F]:
    """Usual kg of people and of gear, no more than their part of the vehicle's payload."""
    everybody = [parse(one["weight"], "mass").value for one in table["people"].values()]
    people, gear = sum(everybody), parse(table["gear"]["weight"], "mass").value
    most = float(table["unlisted"]["of_payload"]) * _payload(build, rig)
    part = min(most / (people + gear), 1.0)
    return part * people, part * gear


def _payload(build: Builder[F], rig: Rig[F]) -> F:
    """Payload as stated, else what GVWR, or one usual of the class, leaves, kg."""
    vehicle, own = rig.vehicle, build.parameters["vehicle.weight"].value
    if vehicle.payload is not None:
        return vehicle.payload.value
    share = relation(vehicle_class(vehicle.klass), "weight_share_of_gvwr").value
    gross = vehicle.gvwr.value if vehicle.gvwr is not None else own / share
    return max(gross - own, 0.1 * own)


def _driver(table: Mapping[str, Any]) -> float:
    """kg of the driver who is assumed where nobody is listed, and so counted already."""
    return parse(table["people"]["driver"]["weight"], "mass").value


def _in_trailer(build: Builder[F], rig: Rig[F], row: Mapping[str, Any]) -> F:
    """Usual kg of cargo; once anything is listed, of a working trailer no more than usually rides
    beside what it was hitched for."""
    beside = row["beside"].get(cargo_kind(rig.trailer)) if rig.items else None
    most = parse(beside, "mass").value if beside else inf
    return min(_cargo(build, rig, row), most)


def _cargo(build: Builder[F], rig: Rig[F], row: Mapping[str, Any]) -> F:
    """A share of the room above the empty trailer or, without a rating, of the trailer itself."""
    trailer, usual = rig.trailer, usual_cargo(rig.trailer)
    empty = build.parameters["trailer.empty.weight"].value
    if trailer.gvwr is None:
        return usual.share.value * empty
    fitted: list[str] = [f"trailer.equipment.{name}.weight" for name in trailer.equipment]
    known = ("trailer.gas_and_battery", "trailer.options", *fitted)
    there = (name for name in known if name in build.parameters)
    full = empty + sum(build.parameters[name].value for name in there)
    gross = trailer.gvwr.value
    room: F = np.maximum(gross - full, float(row["least_room"]) * gross)
    return usual.share.value * room


def _places(build: Builder[F], rig: Rig[F], row: Mapping[str, Any], vehicle: F, trailer: F) -> None:
    """Centres, as of lots each of which may be anywhere: more of them scatter less."""
    lot, table = parse(row["lot"], "mass").value, vehicle_class(rig.vehicle.klass)
    ends = [typical(table, key, "length") for key in ("seats.first", "bed.station")]
    first, last = (end.value for end in ends if end is not None)
    sd = (last - first) * ANYWHERE / sqrt(max(vehicle / lot, 1.0))
    where = "assumed: anywhere from the front seats to the middle of bed or boot"
    build.put("vehicle.unlisted_station", (first + last) / 2, sd, "assumed", where)
    usual = usual_cargo(rig.trailer).place
    share = ANYWHERE / sqrt(max(trailer / lot, 1.0))
    where = "assumed: anywhere in the box"
    build.put("trailer.unlisted_place", usual.value, share, "assumed", where)
