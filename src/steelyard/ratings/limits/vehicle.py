"""Limits on the vehicle: payload, gross weight, axles, combined weight, towing."""

from collections.abc import Iterator

import numpy as np

from steelyard.quantity import GRAVITY, Value
from steelyard.ratings.check import Check, at_most
from steelyard.scene import Scene, summed


def newtons(rating: Value | None) -> float | None:
    """A rated mass as the weight it stands for."""
    return None if rating is None else rating.value * GRAVITY


def payload(case: Scene) -> Iterator[Check]:
    """Everyone and everything the placard counts, and the tongue with bars off; fuel is not."""
    stated = case.rig.vehicle.payload
    if stated is None and case.region == "europe":
        return  # no such placard there: the permitted masses bind
    kinds = ("person", "item", "unlisted", "accessory", "hitch", "tank")
    carried = case.by_kind("vehicle", *kinds) * GRAVITY
    yield at_most(
        "payload",
        "vehicle.payload",
        "placard payload",
        carried + case.loads.tongue,
        newtons(stated),
        due="the tyre and loading placard on the driver's door pillar",
    )


def gross(case: Scene) -> Iterator[Check]:
    """Vehicle gross weight: both axles as driven."""
    yield at_most(
        "gross weight",
        "vehicle.gvwr",
        "vehicle GVWR",
        case.loads.front + case.loads.rear,
        newtons(case.rig.vehicle.gvwr),
        due="the certification label on the driver's door pillar",
    )


def axles(case: Scene) -> Iterator[Check]:
    """Front and rear axle ratings, as driven."""
    pairs = (("front", case.loads.front), ("rear", case.loads.rear))
    for end, load in pairs:
        yield at_most(
            "axle",
            f"vehicle.{end}.gawr",
            f"{end} axle",
            load,
            newtons(getattr(case.rig.vehicle, end).gawr),
            due="GAWR on the certification label on the driver's door pillar",
        )


def front_lift(case: Scene) -> Iterator[Check]:
    """What a trailer with bars takes off the front wheels once they are unhooked, against what the
    empty vehicle has on them: beyond it the rig stands on its bars alone."""
    if case.rig.hitch.bars is None:
        return
    v = case.values
    own = v["vehicle.weight"] * (1.0 - v["vehicle.cg"] / v["vehicle.wheelbase"]) * GRAVITY
    yield at_most(
        "front lift",
        "vehicle.front.lift",
        "front wheels lift with bars off",
        own - case.loads.front_off,
        own,
        due="",
        source="the balance with the bars unhooked: the front wheels must stay on the ground",
    )


def combined(case: Scene) -> Iterator[Check]:
    """Vehicle as loaded and the whole trailer; the tongue counts once."""
    yield at_most(
        "combined weight",
        "vehicle.gcwr",
        "GCWR",
        case.loads.vehicle + case.loads.trailer,
        newtons(case.rig.vehicle.gcwr),
        due="the towing pages of the owner's manual",
    )


def towing(case: Scene) -> Iterator[Check]:
    """Whole trailer against the tow rating, braked or unbraked.

    Of a trailer that may have brakes or not, both are asked. It is not known which one binds, but
    for a trailer that never weighs more than the unbraked one. What a limit is never depends on
    the load: a plan moves the one and is held by the other.
    """
    vehicle, braked, trailer = case.rig.vehicle, case.rig.trailer.brakes, case.loads.trailer
    manual = "the towing pages of the owner's manual"
    if braked is not False:
        yield at_most(
            "towing",
            "vehicle.tow_rating",
            "tow rating",
            trailer,
            newtons(vehicle.tow_rating),
            due=manual,
        )
    free, most = newtons(vehicle.tow_rating_unbraked), newtons(case.rig.trailer.gvwr)
    if braked is None:
        free = free if free is not None and most is not None and most <= free else None
        manual = f"whether the trailer has brakes (trailer.brakes); if not, {manual}"
    if braked is not True:
        yield at_most(
            "towing",
            "vehicle.tow_rating_unbraked",
            "tow rating, unbraked",
            trailer,
            free,
            due=manual,
        )


def distribution(case: Scene) -> Iterator[Check]:
    """What the vehicle's maker says of weight distribution."""
    vehicle, fitted = case.rig.vehicle, case.rig.hitch.bars is not None
    trailer = case.loads.trailer
    if vehicle.distribution == "required" and not fitted:
        yield at_most(
            "distribution",
            "vehicle.distribution",
            "trailer weight without weight distribution",
            trailer,
            newtons(vehicle.distribution_from) or 0.0,
            due="the towing pages of the owner's manual",
        )
    if vehicle.distribution == "forbidden" and fitted:
        yield at_most(
            "distribution",
            "vehicle.distribution",
            "bars the maker forbids",
            np.ones(1),
            0.0,
            due="the towing pages of the owner's manual",
            measure="fitted",
        )


def ratio(case: Scene) -> Iterator[Check]:
    """Laden trailer to laden vehicle, where the file asks for a ratio."""
    if case.rig.vehicle.max_trailer_ratio is not None:
        yield at_most(
            "ratio",
            "vehicle.max_trailer_ratio",
            "trailer to vehicle weight",
            case.loads.trailer / case.loads.vehicle,
            case.rig.vehicle.max_trailer_ratio,
            due="your own rule",
            measure="ratio",
        )


def places(case: Scene) -> Iterator[Check]:
    """What each place holds against what it may hold."""
    rows = case.loads.balance.rows
    for name, place in case.rig.places.items():
        if place.capacity is not None:
            held = [row.kg for row in rows if row.kind == "item" and row.place == name]
            total = summed(held)
            yield at_most(
                "place",
                f"places.{name}.capacity",
                f"place: {name}",
                total * GRAVITY,
                newtons(place.capacity),
                due="a label at the place, or its maker",
            )
