"""What no single field can see: names that must exist, weights that must fit, order of parts."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from steelyard.fault import Fault, missing, quoted
from steelyard.quantity import Z95, Floats, Value, holds
from steelyard.rig.felt import felt_faults
from steelyard.rig.hitch import HitchPart
from steelyard.rig.kinds import NO_BED
from steelyard.rig.listing import Listing
from steelyard.rig.rules import rule_faults

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

FIFTH_WHEELS: Final = ("fifth-wheel", "fifth-wheel-toy-hauler")
PINS: Final = (*FIFTH_WHEELS, "gooseneck")
RIDES: Final = {"vehicle": 1, "trailer": 2}
"""Times its carrier's GVWR that no one item weighs; what is over a rating by less is answered."""
HEAVIEST: Final = 20_000.0
"""kg: no item behind or in a light vehicle is heavier."""
LONGEST: Final = 20.0
"""m: no trailer behind a light vehicle is longer."""


def first_fault(rig: Listing[Floats]) -> Fault | None:
    """The first contradiction in the rig, or None."""
    return next(_faults(rig), None)


def _faults(rig: Listing[Floats]) -> Iterator[Fault]:
    yield from _trailer_faults(rig)
    yield from _share_faults(rig)
    yield from _place_faults(rig)
    yield from _hitch_faults(rig)
    yield from hitch_part_faults(rig)
    yield from _item_faults(rig)
    yield from _weight_faults(rig)
    yield from rule_faults(rig)
    yield from _people_faults(rig)
    yield from _stage_faults(rig)
    yield from felt_faults(rig.felt, rig.stages)


def _trailer_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    trailer, axles = rig.trailer, rig.trailer.axles
    if trailer.empty.weight is None and trailer.gvwr is None:
        yield Fault(
            path=("trailer", "empty", "weight"),
            due="the trailer's empty weight or its GVWR (trailer.gvwr)",
            found="neither",
        )
    named = {"first": axles.first, "second": axles.second, "third": axles.third}
    places: list[tuple[tuple[str, ...], Value[Floats] | None]] = [(("station",), axles.station)]
    places += [((name, "station"), one.station) for name, one in named.items() if one]
    for key, station in places:
        if station is not None and holds(station.value <= 0):
            yield Fault(
                path=("trailer", "axles", *key),
                due="the axle behind the coupler (above zero)",
                found=quoted(station.text),
            )
    for number, (name, one) in enumerate(named.items(), start=1):
        if one and axles.count is not None and number > axles.count:
            yield Fault(
                path=("trailer", "axles", name),
                due=f"no {name} axle on a trailer with {axles.count}",
                found="one",
            )
    tongue, weight = trailer.empty.tongue_weight, trailer.empty.weight
    loose = Z95 * weight.sd if weight and weight.sd and weight.basis == "assumed" else 0.0
    if tongue and weight and holds(tongue.value >= weight.value + loose):
        yield Fault(
            path=("trailer", "empty", "tongue_weight"),
            due=f"less than the empty weight {weight.text!r}",
            found=quoted(tongue.text),
        )


def is_pin(rig: Listing[Floats]) -> bool:
    """Whether the coupling sits in the bed rather than behind the bumper."""
    return rig.hitch.kind in PINS or (rig.hitch.kind is None and rig.trailer.style in PINS)


def takes_bars(rig: Listing[Floats]) -> bool:
    """Whether spring bars are sold for the coupling: they work about a ball behind the bumper, and
    are hardly used in Europe (common practice)."""
    return rig.hitch.kind in (None, "ball") and not is_pin(rig) and rig.region != "europe"


def _share_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    axles = rig.trailer.axles
    stated = [one.share for one in (axles.first, axles.second, axles.third) if one and one.share]
    total = sum(share.value for share in stated)
    whole = len(stated) == axles.count
    if holds(total > 1.0 + 1e-6) or (whole and holds(total < 1.0 - 1e-6)):
        yield Fault(
            path=("trailer", "axles"),
            due="the axles' shares to come to 100 %",
            found=f"{100 * total:.6g} %",
        )


def _place_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    """Places where no place can be: ahead of a ball, or behind the longest trailer."""
    low = -3.0 if is_pin(rig) else -0.5
    for name, place in rig.places.items():
        at = place.station.value
        if place.on == "trailer" and holds((at < low) | (at > LONGEST)):
            yield Fault(
                path=("places", name, "station"),
                due="a place on the trailer, behind the ball",
                found=quoted(place.station.text),
            )


def _hitch_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    yield from _sway_control_faults(rig)
    bars = rig.hitch.bars
    if is_pin(rig) and rig.vehicle.klass in NO_BED:
        yield Fault(
            path=("vehicle", "class"),
            due="a vehicle with a bed for this hitch",
            found=quoted(rig.vehicle.klass),
        )
    if bars is None:
        return
    if bars.preset is not None and bars.restoration is not None:
        yield Fault(
            path=("hitch", "bars", "restoration"),
            due="preset or restoration",
            found="both; each follows from the other",
        )
    if bars.set_at is not None and bars.set_at not in rig.stages:
        yield missing("stages", bars.set_at, rig.stages, path=("hitch", "bars", "set_at"))
    if is_pin(rig):
        yield Fault(
            path=("hitch", "bars"), due="no spring bars on a fifth wheel or gooseneck", found="some"
        )


def _sway_control_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    fitted, path = rig.hitch.sway_control, ("hitch", "sway_control")
    if fitted is None:
        return
    if is_pin(rig):
        due = "no sway control on a fifth wheel or gooseneck"
        yield Fault(path=path, due=due, found=f"one ({fitted.kind})")
    elif fitted.kind == "cam" and rig.hitch.bars is None:
        due = "spring bars (hitch.bars), in whose ends a cam works"
        yield Fault(path=(*path, "kind"), due=due, found="none")


def _item_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    for name, item in rig.items.items():
        place = rig.places.get(item.place)
        if place is None:
            fault = missing("places", item.place, rig.places, path=("items", name, "place"))
            hint = "" if rig.places else f"add a table [places.{item.place}] with its station"
            yield replace(fault, hint=hint or fault.hint)
        elif place.capacity and holds(item.weight.value > place.capacity.value):
            due = f'at most {place.capacity.text!r}, what the place "{item.place}" may hold'
            found = quoted(item.weight.text)
            yield Fault(path=("items", name, "weight"), due=due, found=found)


def _weight_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    """What no vehicle carries and no trailer holds, such as a weight with a digit too many."""
    gvwr = {"vehicle": rig.vehicle.gvwr, "trailer": rig.trailer.gvwr}
    for name, item in rig.items.items():
        carrier = rig.places[item.place].on if item.place in rig.places else "trailer"
        rating, times = gvwr[carrier], RIDES[carrier]
        most = times * rating.value if rating else HEAVIEST
        if holds(item.weight.value > most):
            whose = f"the {carrier}'s GVWR of {rating.text}" if rating else "any such rig"
            often = f"{times} times " if rating and times > 1 else ""
            due = f"less than {often}{whose}"
            found = quoted(item.weight.text)
            yield Fault(path=("items", name, "weight"), due=due, found=found)


def _people_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    known = {**SEAT_ROWS, **rig.vehicle.seats}
    for name, seat in rig.vehicle.seats.items():
        if name not in SEAT_ROWS and seat.station is None:
            yield Fault(
                path=("vehicle", "seats", name),
                due="the station of a seat with a name of your own",
                found="none",
            )
    taken: dict[str, str] = {}
    for name, person in rig.people.items():
        if person.seat not in known:
            yield missing("seats", person.seat, known, path=("people", name, "seat"))
        if person.seat in taken:
            found = f'"{person.seat}", where {taken[person.seat]} sits'
            yield Fault(path=("people", name, "seat"), due="an empty seat", found=found)
        taken[person.seat] = name


def _stage_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    for name, stage in rig.stages.items():
        lists = (
            ("people", stage.people or (), rig.people),
            ("items", stage.items or (), rig.items),
            ("without", stage.without, rig.items),
            ("bought", stage.bought, rig.items),
            ("used_up", stage.used_up, rig.items),
        )
        for key, found, known in lists:
            for word in found:
                if word not in known:
                    kind = "people" if key == "people" else "items"
                    yield missing(kind, word, known, path=("stages", name, key))
        yield from _level_faults(rig, name)


def _level_faults(rig: Listing[Floats], name: str) -> Iterator[Fault]:
    stage = rig.stages[name]
    for tank, level in stage.tanks.items():
        path = ("stages", name, "tanks", tank)
        if tank not in rig.trailer.tanks:
            yield missing("trailer's tanks", tank, rig.trailer.tanks, path=path)
        elif level.volume and holds(level.volume.value > rig.trailer.tanks[tank].capacity.value):
            full = rig.trailer.tanks[tank].capacity.text
            yield Fault(
                path=path, due=f"at most the full tank, {full!r}", found=quoted(level.volume.text)
            )
    for tank, level in stage.vehicle_tanks.items():
        path = ("stages", name, "vehicle_tanks", tank)
        known = {**({} if rig.vehicle.electric else {"fuel": None}), **rig.vehicle.tanks}
        if tank not in known:
            yield missing("vehicle's tanks", tank, known, path=path)
            continue
        capacity = rig.vehicle.tanks[tank].capacity if tank in rig.vehicle.tanks else None
        if level.volume and capacity and holds(level.volume.value > capacity.value):
            yield Fault(
                path=path,
                due=f"at most the full tank, {capacity.text!r}",
                found=quoted(level.volume.text),
            )


BELONGS: Final = {
    "height": ("receiver",),
    "opening": ("receiver", "reducers"),
    "shank": ("reducers", "ball_mount"),
    "pin": ("receiver", "reducers", "ball_mount"),
    "drop": ("reducers", "ball_mount"),
    "rise": ("ball",),
    "size": ("ball", "coupler"),
}
"""Keys of a hitch part that only some of the parts have."""
REACH: Final = ("retracted", "travel", "drop_leg", "blocks")
LONGEST_JACK: Final = 2.0
"""m: nothing a tongue jack reaches with is longer."""


def hitch_part_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    """Keys on the wrong part, reducers that do not reduce, jacks of no possible length."""
    hitch = rig.hitch
    parts: dict[tuple[str, ...], HitchPart[Floats] | None] = {
        ("receiver",): hitch.receiver,
        **{("reducers", name): part for name, part in hitch.reducers.items()},
        ("ball_mount",): hitch.ball_mount,
        ("ball",): hitch.ball,
        ("coupler",): hitch.coupler,
    }
    for path, part in parts.items():
        for key, owners in BELONGS.items():
            if part is not None and getattr(part, key) is not None and path[0] not in owners:
                where = " or ".join(owners).replace("_", " ")
                yield Fault(
                    path=("hitch", *path, key), due=f"this key on {where} only", found="it here"
                )
    for name, sleeve in hitch.reducers.items():
        if sleeve.opening and sleeve.shank and holds(sleeve.opening.value >= sleeve.shank.value):
            yield Fault(
                path=("hitch", "reducers", name, "opening"),
                due=f"less than its outside {sleeve.shank.text!r}",
                found=quoted(sleeve.opening.text),
            )
    for key in REACH if hitch.jack else ():
        length = getattr(hitch.jack, key)
        if length is not None and holds(length.value > LONGEST_JACK):
            yield Fault(
                path=("hitch", "jack", key),
                due=f"at most {LONGEST_JACK:g} m",
                found=quoted(length.text),
            )
