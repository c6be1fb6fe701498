"""What no single field can see: names that must exist, weights that must fit, order of parts."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING, Final

from steelyard.quantity import Value

if TYPE_CHECKING:
    from steelyard.rig.rig import Rig

SEAT_ROWS: Final = {
    "driver": ("first", 1),
    "passenger": ("first", -1),
    "first-middle": ("first", 0),
    "second-left": ("second", 1),
    "second-middle": ("second", 0),
    "second-right": ("second", -1),
    "third-left": ("third", 1),
    "third-middle": ("third", 0),
    "third-right": ("third", -1),
}
"""Seats every vehicle class knows without being told: row, and side (left +1, right -1)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One contradiction in a rig: where it stands and why it cannot be."""

    path: tuple[str, ...]
    why: str


def first_fault(rig: "Rig") -> Fault | None:
    """The first contradiction in the rig, or None."""
    return next(_faults(rig), None)


def _faults(rig: "Rig") -> Iterator[Fault]:
    yield from _trailer_faults(rig)
    yield from _hitch_faults(rig)
    yield from _item_faults(rig)
    yield from _people_faults(rig)
    yield from _stage_faults(rig)


def nearest(found: str, known: Iterable[str]) -> str:
    """`' (did you mean "x"?)'` for the closest known name, or nothing."""
    close = get_close_matches(found, list(known), n=1, cutoff=0.6)
    return f' (did you mean "{close[0]}"?)' if close else ""


def _missing(path: tuple[str, ...], kind: str, found: str, known: Iterable[str]) -> Fault:
    names = list(known)
    listed = ", ".join(names[:8]) if names else "none is given"
    why = f'expected one of the {kind} ({listed}), found "{found}"{nearest(found, names)}'
    return Fault(path=path, why=why)


def _trailer_faults(rig: "Rig") -> Iterator[Fault]:
    trailer, axles = rig.trailer, rig.trailer.axles
    if trailer.empty.weight is None and trailer.gvwr is None:
        why = "expected the trailer's empty weight or its GVWR (trailer.gvwr), found neither"
        yield Fault(path=("trailer", "empty", "weight"), why=why)
    named = {"first": axles.first, "second": axles.second, "third": axles.third}
    places: list[tuple[tuple[str, ...], Value | None]] = [(("station",), axles.station)]
    places += [((name, "station"), one.station) for name, one in named.items() if one]
    for key, station in places:
        if station is not None and station.value <= 0:
            why = f"expected the axle behind the coupler (above zero), found {station.text!r}"
            yield Fault(path=("trailer", "axles", *key), why=why)
    for number, (name, one) in enumerate(named.items(), start=1):
        if one and axles.count is not None and number > axles.count:
            why = f"expected no {name} axle on a trailer with {axles.count}, found one"
            yield Fault(path=("trailer", "axles", name), why=why)
    tongue, weight = trailer.empty.tongue_weight, trailer.empty.weight
    if tongue and weight and tongue.value >= weight.value:
        why = f"expected less than the empty weight {weight.text!r}, found {tongue.text!r}"
        yield Fault(path=("trailer", "empty", "tongue_weight"), why=why)


def _hitch_faults(rig: "Rig") -> Iterator[Fault]:
    bars = rig.hitch.bars
    if bars is None:
        return
    if bars.preset is not None and bars.restoration is not None:
        why = "expected preset or restoration, found both; each follows from the other"
        yield Fault(path=("hitch", "bars", "restoration"), why=why)
    if bars.set_at is not None and bars.set_at not in rig.stages:
        yield _missing(("hitch", "bars", "set_at"), "stages", bars.set_at, rig.stages)
    if rig.hitch.kind in ("fifth-wheel", "gooseneck"):
        why = f"expected no spring bars on a {rig.hitch.kind} hitch, found some"
        yield Fault(path=("hitch", "bars"), why=why)


def _item_faults(rig: "Rig") -> Iterator[Fault]:
    for name, item in rig.items.items():
        place = rig.places.get(item.place)
        if place is None:
            yield _missing(("items", name, "place"), "places", item.place, rig.places)
        elif place.capacity is not None and item.weight.value > place.capacity.value:
            why = (
                f'expected at most {place.capacity.text!r}, what the place "{item.place}" may hold,'
                f" found {item.weight.text!r}"
            )
            yield Fault(path=("items", name, "weight"), why=why)


def _people_faults(rig: "Rig") -> Iterator[Fault]:
    known = {**SEAT_ROWS, **rig.vehicle.seats}
    for name, seat in rig.vehicle.seats.items():
        if name not in SEAT_ROWS and seat.station is None:
            why = "expected the station of a seat with a name of your own, found none"
            yield Fault(path=("vehicle", "seats", name), why=why)
    taken: dict[str, str] = {}
    for name, person in rig.people.items():
        if person.seat not in known:
            yield _missing(("people", name, "seat"), "seats", person.seat, known)
        if person.seat in taken:
            why = f'expected an empty seat, found "{person.seat}", where {taken[person.seat]} sits'
            yield Fault(path=("people", name, "seat"), why=why)
        taken[person.seat] = name


def _stage_faults(rig: "Rig") -> Iterator[Fault]:
    for name, stage in rig.stages.items():
        lists = (
            ("people", stage.people or (), rig.people),
            ("items", stage.items or (), rig.items),
            ("without", stage.without, rig.items),
        )
        for key, found, known in lists:
            for word in found:
                if word not in known:
                    kind = "people" if key == "people" else "items"
                    yield _missing(("stages", name, key), kind, word, known)
        yield from _level_faults(rig, name)


def _level_faults(rig: "Rig", name: str) -> Iterator[Fault]:
    stage = rig.stages[name]
    for tank, level in stage.tanks.items():
        path = ("stages", name, "tanks", tank)
        if tank not in rig.trailer.tanks:
            yield _missing(path, "trailer's tanks", tank, rig.trailer.tanks)
        elif level.volume and level.volume.value > rig.trailer.tanks[tank].capacity.value:
            full = rig.trailer.tanks[tank].capacity.text
            why = f"expected at most the full tank, {full!r}, found {level.volume.text!r}"
            yield Fault(path=path, why=why)
    for tank, level in stage.vehicle_tanks.items():
        path = ("stages", name, "vehicle_tanks", tank)
        known = {"fuel": None, **rig.vehicle.tanks}
        if tank not in known:
            yield _missing(path, "vehicle's tanks", tank, known)
            continue
        capacity = rig.vehicle.tanks[tank].capacity if tank in rig.vehicle.tanks else None
        if level.volume and capacity and level.volume.value > capacity.value:
            why = f"expected at most the full tank, {capacity.text!r}, found {level.volume.text!r}"
            yield Fault(path=path, why=why)
