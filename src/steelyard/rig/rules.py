"""What the items' own rules and the trip's flows must not contradict."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from steelyard.rig.fault import Fault, missing

if TYPE_CHECKING:
    from steelyard.rig.rig import Rig


def rule_faults(rig: "Rig") -> Iterator[Fault]:
    """Every contradiction among the rules of items, places and stages."""
    for name, place in rig.places.items():
        for stage in place.blocked_at:
            if stage not in rig.stages:
                yield missing(("places", name, "blocked_at"), "stages", stage, rig.stages)
    for name, item in rig.items.items():
        for stage in item.reachable_at:
            if stage not in rig.stages:
                yield missing(("items", name, "reachable_at"), "stages", stage, rig.stages)
        for key, others in (("together", item.together), ("apart", item.apart)):
            for other in others:
                if other not in rig.items:
                    yield missing(("items", name, key), "items", other, rig.items)
    yield from _opposites(rig)
    yield from _circles(rig)
    yield from _flow_faults(rig)
    yield from _brake_faults(rig)


def bound_groups(rig: "Rig") -> list[frozenset[str]]:
    """Items that must share a place, directly or through others, as sets of two and more."""
    group = {name: {name} for name in rig.items}
    for name, item in rig.items.items():
        for other in item.together:
            joined = group[name] | group[other]
            for member in joined:
                group[member] = joined
    unique = {frozenset(names) for names in group.values() if len(names) > 1}
    return sorted(unique, key=sorted)


def _opposites(rig: "Rig") -> Iterator[Fault]:
    for name, item in rig.items.items():
        if item.opposite is not None and item.opposite not in rig.items:
            yield missing(("items", name, "opposite"), "items", item.opposite, rig.items)
        if item.opposite == name:
            why = "expected another item than itself, found itself"
            yield Fault(path=("items", name, "opposite"), why=why)


def _circles(rig: "Rig") -> Iterator[Fault]:
    if any(other not in rig.items for item in rig.items.values() for other in item.together):
        return
    for names in bound_groups(rig):
        for name in sorted(names):
            for other in rig.items[name].apart:
                if other in names:
                    why = f'expected "{other}" free to ride elsewhere, found it bound by together'
                    yield Fault(path=("items", name, "apart"), why=why)
    for name, item in rig.items.items():
        if name in item.apart:
            why = "expected other items than itself, found itself"
            yield Fault(path=("items", name, "apart"), why=why)


def _flow_faults(rig: "Rig") -> Iterator[Fault]:
    known = None
    water = any(tank.content in ("fresh", "water") for tank in rig.trailer.tanks.values())
    for number, (name, stage) in enumerate(rig.stages.items()):
        if stage.water_used and not water:
            why = "expected a trailer tank of fresh water to draw it from, found none"
            yield Fault(path=("stages", name, "water_used"), why=why)
        known = stage.fuel_use or known
        path = ("stages", name, "distance")
        if number == 0 and (stage.distance or stage.water_used):
            key = "distance" if stage.distance else "water_used"
            why = "expected none at the first stage, since nothing was before it; found one"
            yield Fault(path=("stages", name, key), why=why)
        elif stage.distance and "fuel" not in stage.vehicle_tanks:
            if known is None:
                why = "expected fuel_use beside it or at a stage before, found none"
                yield Fault(path=path, why=why)
            fuel = rig.vehicle.tanks.get("fuel")
            if fuel is None or fuel.capacity is None:
                why = "expected vehicle.tanks.fuel.capacity, to turn fuel into a level; found none"
                yield Fault(path=path, why=why)


def _brake_faults(rig: "Rig") -> Iterator[Fault]:
    """Brakes whose parts are stated and the whole denied, or more than there are axles."""
    trailer = rig.trailer
    parts = (
        ("brake_kind", trailer.brake_kind is not None),
        ("braked_axles", bool(trailer.braked_axles)),
        ("breakaway", bool(trailer.breakaway)),
    )
    for key, there in parts:
        if there and trailer.brakes is False:
            why = f"expected no {key} on a trailer with brakes = false, found one"
            yield Fault(path=("trailer", key), why=why)
    braked, count = trailer.braked_axles, trailer.axles.count
    if braked == 0 and trailer.brakes:
        why = "expected at least one braked axle on a trailer with brakes = true, found 0"
        yield Fault(path=("trailer", "braked_axles"), why=why)
    if braked is not None and count is not None and braked > count:
        why = f"expected at most {count}, the axles there are, found {braked}"
        yield Fault(path=("trailer", "braked_axles"), why=why)
