"""Every weight of the rig as a row: what it is, which body carries it, how heavy, where it acts."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.quantity import Floats, Value
from steelyard.rig import SEAT_ROWS, Place, Rig
from steelyard.travel import StagePlan
from steelyard.typical.hitch import parts
from steelyard.typical.trailer import ORDINALS, axle_count
from steelyard.typical.vehicle import seat_place, tank_names

BED, THICK = 0.9, 0.35
"""m: a bed's height, and a thing's centre above what it stands on, where no parameter says."""
Body = Literal["vehicle", "trailer"]
Kind = Literal[
    "empty", "accessory", "hitch", "person", "item", "unlisted", "tank", "fuel", "equipment"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mass:
    """One weight: kg (S, n) or broadcastable to it; station, offset and height in its body's frame.

    `place` is the rig's place, seat or tank it rides in, if any.
    """

    name: str
    body: Body
    kind: Kind
    kg: Array
    station: Array
    offset: Array
    height: Array
    place: str | None


def masses(rig: Rig[Floats], stages: tuple[StagePlan, ...], v: Values) -> list[Mass]:
    """All weights at all stages: stages are the first axis of `kg`, draws the last.

    Values are (n,) or, where known without spread, 0-d.
    """
    items = list(_items(rig, stages, v, ("vehicle", "trailer")))
    return [*_vehicle_alone(rig, stages, v), *_trailer(rig, stages, v), *items]


def masses_of(body: Body, rig: Rig[Floats], stages: tuple[StagePlan, ...], v: Values) -> list[Mass]:
    """The weights of one body, from its own parameters."""
    own = _trailer(rig, stages, v) if body == "trailer" else _vehicle_alone(rig, stages, v)
    return [*own, *_items(rig, stages, v, (body,))]


def _vehicle_alone(rig: Rig[Floats], stages: tuple[StagePlan, ...], v: Values) -> Iterator[Mass]:
    yield from _vehicle(rig, stages, v)
    yield from _hitch(rig, v)
    yield from _people(rig, stages, v)
    if "vehicle.unlisted" in v:  # aboard at every stage, as is the trailer's
        kg, station = v["vehicle.unlisted"], v["vehicle.unlisted_station"]
        offset = v.get("load.offset", np.zeros(()))
        yield _row("not listed, in the vehicle", "vehicle", "unlisted", kg, station, offset)


def axle_stations(rig: Rig[Floats], v: Values) -> list[Array]:
    """Station of each trailer axle, m aft of the ball."""
    count = axle_count(rig)
    found = []
    for number, ordinal in enumerate(ORDINALS[:count]):
        own = f"trailer.axles.{ordinal}.station"
        if own in v:
            found.append(v[own])
        elif count == 1:
            found.append(v["trailer.axles.station"])
        else:
            place = number - (count - 1) / 2
            found.append(v["trailer.axles.station"] + place * v["trailer.axles.spacing"])
    return found


def _row(
    name: str,
    body: Body,
    kind: Kind,
    kg: Array,
    station: Array | float,
    offset: Array | float = 0.0,
    height: Array | float = 0.7,
    place: str | None = None,
) -> Mass:
    return Mass(
        name=name,
        body=body,
        kind=kind,
        kg=np.asarray(kg),
        station=np.asarray(station, dtype=float),
        offset=np.asarray(offset, dtype=float),
        height=np.asarray(height, dtype=float),
        place=place,
    )


def _aboard(flags: list[bool], kg: Array) -> Array:
    """A weight that is there at some stages only, (S, n); (n,) where it always is."""
    if all(flags):
        return kg
    return np.asarray(flags, dtype=float)[:, None] * kg


def _levels(stages: tuple[StagePlan, ...], tank: str, v: Values) -> Array:
    """Level of a tank (`tanks.fresh`) at each stage, (S, n)."""
    rows = [v[f"stages.{stage.key}.{tank}"] for stage in stages]
    return np.stack(np.broadcast_arrays(*(np.atleast_1d(row) for row in rows)))


def _vehicle(rig: Rig[Floats], stages: tuple[StagePlan, ...], v: Values) -> Iterator[Mass]:
    yield _row(
        "vehicle itself",
        "vehicle",
        "empty",
        v["vehicle.weight"],
        v["vehicle.cg"],
        v["vehicle.cg_offset"],
        v["vehicle.cg_height"],
    )
    for name in tank_names(rig.vehicle):
        path = f"vehicle.tanks.{name}"
        level = _levels(stages, f"vehicle_tanks.{name}", v)
        where = v[f"{path}.station"], v[f"{path}.offset"], v[f"{path}.height"], name
        capacity = v[f"{path}.capacity"]
        if name == "fuel":  # the vehicle's own weight includes it full
            yield _row("fuel short of full", "vehicle", "fuel", (level - 1.0) * capacity, *where)
        else:
            yield _row(f"{name} tank", "vehicle", "tank", level * capacity, *where)
    if "vehicle.accessories" in v:
        yield _row(
            "accessories",
            "vehicle",
            "accessory",
            v["vehicle.accessories"],
            v["vehicle.accessories_station"],
        )


def _hitch(rig: Rig[Floats], v: Values) -> Iterator[Mass]:
    height = v["hitch.ball_height"]
    for name in parts(rig):
        path = f"hitch.{name}"
        title = name.replace("reducers.", "reducer ").replace("_", " ")
        yield _row(
            title, "vehicle", "hitch", v[f"{path}.weight"], v[f"{path}.station"], 0.0, height
        )
    if rig.hitch.bars is not None:
        weight, station = v["hitch.bars.weight"], v["hitch.bars.station"]
        yield _row("spring bars", "vehicle", "hitch", weight, station, 0.0, height)


def _people(rig: Rig[Floats], stages: tuple[StagePlan, ...], v: Values) -> Iterator[Mass]:
    for name, person in rig.people.items():
        flags = [name in stage.people for stage in stages]
        kg = _aboard(flags, v[f"people.{name}.weight"])
        yield _row(name, "vehicle", "person", kg, *seat(rig, person.seat, v), person.seat)


def seat(rig: Rig[Floats], name: str, v: Values) -> tuple[Floats, Floats, Floats]:
    """Station, offset, height of a seat; the station follows its parameter where there is one."""
    station, offset, height = seat_place(rig, name)
    row = SEAT_ROWS.get(name, ("", 0))[0]
    for path in (f"vehicle.seats.{name}.station", f"vehicle.seats.{row}"):
        if path in v:
            return v[path], offset, height
    return station, offset, height


def _trailer(rig: Rig[Floats], stages: tuple[StagePlan, ...], v: Values) -> Iterator[Mass]:
    cg, height = v["trailer.empty.cg"], v["trailer.empty.cg_height"]
    offset = v["trailer.empty.cg_offset"]
    yield _row("trailer itself", "trailer", "empty", v["trailer.empty.weight"], cg, offset, height)
    if "trailer.gas_and_battery" in v:
        yield _row(
            "gas and battery",
            "trailer",
            "equipment",
            v["trailer.gas_and_battery"],
            v["trailer.gas_and_battery_station"],
        )
    if "trailer.options" in v:
        yield _row(
            "options",
            "trailer",
            "equipment",
            v["trailer.options"],
            cg + v["trailer.options_offset"],
            offset,
            height,
        )
    for name, part in rig.trailer.equipment.items():
        path = f"trailer.equipment.{name}"
        yield _row(
            name,
            "trailer",
            "equipment",
            v[f"{path}.weight"],
            v[f"{path}.station"],
            part.offset.value if part.offset else 0.0,
            part.height.value if part.height else 0.7,
        )
    for name, tank in rig.trailer.tanks.items():
        path = f"trailer.tanks.{name}"
        yield _row(
            f"{name} tank",
            "trailer",
            "tank",
            _levels(stages, f"tanks.{name}", v) * v[f"{path}.capacity"],
            v[f"{path}.station"],
            tank.offset.value if tank.offset else 0.0,
            tank.height.value if tank.height else 0.6,
            name,
        )
    if "trailer.unlisted" in v:
        kg, along = v["trailer.unlisted"], v["trailer.unlisted_place"]
        yield _row(
            "not listed, in the trailer",
            "trailer",
            "unlisted",
            kg,
            v["trailer.box_start"] + along * v["trailer.box_length"],
            v.get("load.offset", np.zeros(())),
            v["trailer.floor_height"] + THICK,
        )


def _items(
    rig: Rig[Floats], stages: tuple[StagePlan, ...], v: Values, bodies: tuple[Body, ...]
) -> Iterator[Mass]:
    for name, item in rig.items.items():
        place = rig.places[item.place]
        if place.on not in bodies:
            continue
        flags = [name in stage.items for stage in stages]
        kg, station = _aboard(flags, v[f"items.{name}.weight"]), v[f"items.{name}.station"]
        aside = item.offset or place.offset
        yield in_place(place, v, kg, station, aside, item.height, name=name, title=item.place)


def in_place(
    place: Place[Floats],
    v: Values,
    kg: Array,
    station: Array | float,
    offset: Value[Floats] | None,
    height: Value[Floats] | None,
    *,
    name: str = "",
    title: str | None = None,
) -> Mass:
    """A thing in a place: where its offset or height is unsaid, the usual one with its spread.

    Values that the rig has no parameter for, having nothing in it, are the usual ones.
    """
    floor = "trailer.floor_height" if place.on == "trailer" else "vehicle.bed_height"
    base: Array | float = place.height.value if place.height else v.get(floor, BED)
    return _row(
        name,
        place.on,
        "item",
        kg,
        station,
        offset.value if offset else v.get("load.offset", 0.0),
        height.value if height else base + v.get("load.item_height", THICK),
        title,
    )
