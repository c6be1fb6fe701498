"""What the items' own rules and the trip's flows must not contradict."""

from collections.abc import Iterator

from steelyard.fault import Fault, missing
from steelyard.quantity import Floats
from steelyard.rig.listing import Listing


def rule_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    """Every contradiction among the rules of items, places and stages."""
    for name, place in rig.places.items():
        for stage in place.blocked_at:
            if stage not in rig.stages:
                yield missing("stages", stage, rig.stages, path=("places", name, "blocked_at"))
    for name, item in rig.items.items():
        for stage in item.reachable_at:
            if stage not in rig.stages:
                yield missing("stages", stage, rig.stages, path=("items", name, "reachable_at"))
        for key, others in (("together", item.together), ("apart", item.apart)):
            for other in others:
                if other not in rig.items:
                    yield missing("items", other, rig.items, path=("items", name, key))
    yield from _opposites(rig)
    yield from _circles(rig)
    yield from _flow_faults(rig)
    yield from _brake_faults(rig)


def bound_groups(rig: Listing[Floats]) -> list[frozenset[str]]:
    """Items that must share a place, directly or through others, as sets of two and more."""
    group = {name: {name} for name in rig.items}
    for name, item in rig.items.items():
        for other in item.together:
            joined = group[name] | group[other]
            for member in joined:
                group[member] = joined
    unique = {frozenset(names) for names in group.values() if len(names) > 1}
    return sorted(unique, key=sorted)


def _opposites(rig: Listing[Floats]) -> Iterator[Fault]:
    for name, item in rig.items.items():
        if item.opposite is not None and item.opposite not in rig.items:
            yield missing("items", item.opposite, rig.items, path=("items", name, "opposite"))
        if item.opposite == name:
            yield Fault(
                path=("items", name, "opposite"), due="another item than itself", found="itself"
            )


def _circles(rig: Listing[Floats]) -> Iterator[Fault]:
    if any(other not in rig.items for item in rig.items.values() for other in item.together):
        return
    for names in bound_groups(rig):
        for name in sorted(names):
            for other in rig.items[name].apart:
                if other in names:
                    due, found = f'"{other}" free to ride elsewhere', "it bound by together"
                    yield Fault(path=("items", name, "apart"), due=due, found=found)
    for name, item in rig.items.items():
        if name in item.apart:
            yield Fault(
                path=("items", name, "apart"), due="other items than itself", found="itself"
            )


def _flow_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    burnt = [("stages", name, "fuel_use") for name, one in rig.stages.items() if one.fuel_use]
    held = [("vehicle", "tanks", "fuel")] if "fuel" in rig.vehicle.tanks else []
    for path in (*held, *burnt) if rig.vehicle.electric else ():
        yield Fault(path=path, due="none of an electric vehicle", found="one")
    known = None
    water = any(tank.content in ("fresh", "water") for tank in rig.trailer.tanks.values())
    for number, (name, stage) in enumerate(rig.stages.items()):
        if stage.water_used and not water:
            yield Fault(
                path=("stages", name, "water_used"),
                due="a trailer tank of fresh water to draw it from",
                found="none",
            )
        known = stage.fuel_use or known
        path = ("stages", name, "distance")
        if number == 0 and (stage.distance or stage.water_used):
            key = "distance" if stage.distance else "water_used"
            yield Fault(
                path=("stages", name, key),
                due="none at the first stage, since nothing was before it",
                found="one",
            )
        elif stage.distance and "fuel" not in stage.vehicle_tanks and not rig.vehicle.electric:
            fuel = rig.vehicle.tanks.get("fuel")
            due = ["fuel_use beside it or at a stage before"] if known is None else []
            if fuel is None or fuel.capacity is None:
                due.append("vehicle.tanks.fuel.capacity, to turn fuel into a level")
            if due:
                yield Fault(path=path, due=" and ".join(due), found="none")


def _brake_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    """Brakes whose parts are stated and the whole denied, or more than there are axles."""
    trailer = rig.trailer
    parts = (
        ("brake_kind", trailer.brake_kind is not None),
        ("braked_axles", bool(trailer.braked_axles)),
        ("breakaway", bool(trailer.breakaway)),
        ("stability_brakes", bool(trailer.stability_brakes)),
    )
    for key, there in parts:
        if there and trailer.brakes is False:
            yield Fault(
                path=("trailer", key), due=f"no {key} on a trailer with brakes = false", found="one"
            )
    braked, count = trailer.braked_axles, trailer.axles.count
    if braked == 0 and trailer.brakes:
        yield Fault(
            path=("trailer", "braked_axles"),
            due="at least one braked axle on a trailer with brakes = true",
            found="0",
        )
    if braked is not None and count is not None and braked > count:
        yield Fault(
            path=("trailer", "braked_axles"),
            due=f"at most {count}, the axles there are",
            found=f"{braked}",
        )
