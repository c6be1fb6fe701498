"""What rides: stations within places, people, and the habits that hold for all cargo together; the
starter list of things people bring.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np

from steelyard.quantity import F, Floats, Level
from steelyard.rig import Item, Place, Rig
from steelyard.typical.sheet import STATED, Builder, Parameter
from steelyard.typical.shipped_tables import (
    Typical,
    hitch_table,
    present,
    read_table,
    typical,
    vehicle_class,
)
from steelyard.typical.vehicle import person_typical, tank_names

UNIFORM = 12**0.5


def add_load(build: Builder[F], rig: Rig[F]) -> None:
    """Items, people and common cargo parameters."""
    for name, item in rig.items.items():
        _weight(build, name, item)
        _station(build, f"items.{name}.station", item, rig.places[item.place])
    for name, person in rig.people.items():
        build.take(f"people.{name}.weight", person.weight, person_typical(), "person")
    if rig.items:
        _habits(build, rig)
    _levels(build, rig)


def item_weights(rig: Rig[F]) -> dict[str, Parameter[F]]:
    """What each item weighs, by its key."""
    build = Builder[F]()
    for name, item in rig.items.items():
        _weight(build, name, item)
    return dict(zip(rig.items, build.parameters.values(), strict=True))


def _weight(build: Builder[F], name: str, item: Item[F]) -> None:
    word = "item-weighed" if item.weight.basis == "weighed" else "item-guessed"
    build.take(f"items.{name}.weight", item.weight, None, word)


def _station(build: Builder[F], path: str, item: Item[F], place: Place[F]) -> None:
    """Own station, or anywhere the item fits inside its place."""
    if item.station is not None:
        build.take(path, item.station, None, "tape")
        return
    own = item.size[0].value if item.size else 0.0
    room = np.maximum((place.length.value if place.length else _place_length()) - own, 0.0)
    source = f"anywhere in {item.place}" if place.length else f"in {item.place}, length assumed"
    near = Typical(value=place.station.value, sd=room / UNIFORM, source=source)
    build.take(path, None, near)


def _place_length() -> float:
    found = present(hitch_table(), "place_length", "length")
    return found.value


def _habits(build: Builder[F], rig: Rig[F]) -> None:
    table = hitch_table()
    build.take("load.item_height", None, typical(table, "item_height", "length"))
    build.take("load.offset", None, typical(table, "load_offset", "length"))
    bed = typical(vehicle_class(rig.vehicle.klass), "bed.height", "length")
    build.take("vehicle.bed_height", None, bed)


def _levels(build: Builder[F], rig: Rig[F]) -> None:
    """How full every tank is at every stage, as a share of its capacity."""
    for key in stage_names(rig):
        stage = rig.stages.get(key)
        for tank in rig.trailer.tanks:
            level = stage.tanks.get(tank) if stage else None
            capacity = rig.trailer.tanks[tank].capacity.value
            waste = rig.trailer.tanks[tank].content in ("grey", "black")
            word = "waste_level" if waste else "fresh_level"
            _level(build, f"stages.{key}.tanks.{tank}", level, capacity, word)
        for tank in tank_names(rig.vehicle):
            level = stage.vehicle_tanks.get(tank) if stage else None
            path = f"stages.{key}.vehicle_tanks.{tank}"
            known = rig.vehicle.tanks.get(tank)
            full = known.capacity.value if known and known.capacity else None
            _level(build, path, level, full, "fuel_level")


def stage_names(rig: Rig[Floats]) -> tuple[str, ...]:
    """The rig's stages in file order; a rig without any has one, as described."""
    return tuple(rig.stages) or ("as-described",)


def _level(
    build: Builder[F], path: str, stated: Level[F] | None, capacity: F | None, word: str
) -> None:
    if stated is not None and stated.share is not None:
        build.take(path, stated.share, None, "tank-level")
    elif stated is not None and stated.volume is not None and capacity is not None:
        share = stated.volume.value / capacity
        sd = 0.03 * share if stated.volume.sd is None else stated.volume.sd / capacity
        build.put(path, share, sd, "stated", STATED)
    else:
        build.take(path, None, typical(hitch_table(), word, "share"))


STARTERS = ("camping", "work", "animals")


def starter(kind: str) -> Mapping[str, Mapping[str, Any]]:
    """Items of one list (of `STARTERS`) by name: title, weight with spread, source."""
    found: Mapping[str, Mapping[str, Any]] = read_table("items.toml")[kind]
    return found
