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
    yield from _circles(rig)
    yield from _flow_faults(rig)


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
    for number, (name, stage) in enumerate(rig.stages.items()):
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
