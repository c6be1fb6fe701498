"""Limits on the vehicle: payload, gross weight, axles, combined weight, towing."""

from collections.abc import Iterator

import numpy as np

from steelyard.quantity import GRAVITY, Floats, Value
from steelyard.ratings.check import Check, at_most, known_where
from steelyard.scene import Scene, summed


def newtons(rating: Value[Floats] | None) -> Floats | None:
    """A rated mass as the weight it stands for."""
    return None if rating is None else rating.value * GRAVITY


def payload(scene: Scene[Floats]) -> Iterator[Check]:
    """Everyone and everything the placard counts, and the tongue with bars off; fuel is not."""
    stated = scene.rig.vehicle.payload
    if stated is None and scene.region != "north-america":
        return  # no such figure on a placard there (from memory): the permitted masses bind
    kinds = ("person", "item", "unlisted", "accessory", "hitch", "tank")
    carried = scene.by_kind("vehicle", *kinds) * GRAVITY
    yield at_most(
        "payload",
        "vehicle.payload",
        "placard payload",
        carried + scene.loads.tongue,
        newtons(stated),
        due="the tyre and loading placard on the driver's door pillar",
    )


def gross(scene: Scene[Floats]) -> Iterator[Check]:
    """Vehicle gross weight: both axles as driven."""
    yield at_most(
        "gross weight",
        "vehicle.gvwr",
        "vehicle GVWR",
        scene.loads.front + scene.loads.rear,
        newtons(scene.rig.vehicle.gvwr),
        due="the certification label on the driver's door pillar",
    )


def axles(scene: Scene[Floats]) -> Iterator[Check]:
    """Front and rear axle ratings, as driven."""
    pairs = (("front", scene.loads.front), ("rear", scene.loads.rear))
    for end, load in pairs:
        yield at_most(
            "axle",
            f"vehicle.{end}.gawr",
            f"{end} axle",
            load,
            newtons(getattr(scene.rig.vehicle, end).gawr),
            due="GAWR on the certification label on the driver's door pillar",
        )


def front_lift(scene: Scene[Floats]) -> Iterator[Check]:
    """What a trailer with bars takes off the front wheels once they are unhooked, against what the
    empty vehicle has on them: beyond it the rig stands on its bars alone."""
    if scene.rig.hitch.bars is None:
        return
    v = scene.values
    own = v["vehicle.weight"] * (1.0 - v["vehicle.cg"] / v["vehicle.wheelbase"]) * GRAVITY
    yield at_most(
        "front lift",
        "vehicle.front.lift",
        "front wheels lift with bars off",
        own - scene.loads.front_off,
        own,
        due="",
        source="the balance with the bars unhooked: the front wheels must stay on the ground",
    )


def combined(scene: Scene[Floats]) -> Iterator[Check]:
    """Vehicle as loaded and the whole trailer; the tongue counts once."""
    yield at_most(
        "combined weight",
        "vehicle.gcwr",
        "GCWR",
        scene.loads.vehicle + scene.loads.trailer,
        newtons(scene.rig.vehicle.gcwr),
        due="the towing pages of the owner's manual",
    )


def towing(scene: Scene[Floats]) -> Iterator[Check]:
    """Whole trailer against the tow rating, braked or unbraked.

    Of a trailer that may have brakes or not, both are asked. It is not known which one binds, but
    for a trailer that never weighs more than the unbraked one. What a limit is never depends on
    the load: a plan moves the one and is held by the other.
    """
    vehicle, braked, trailer = scene.rig.vehicle, scene.rig.trailer.brakes, scene.loads.trailer
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
    free, most = newtons(vehicle.tow_rating_unbraked), newtons(scene.rig.trailer.gvwr)
    if braked is None:
        free = None if free is None or most is None else known_where(most <= free, free)
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


def distribution(scene: Scene[Floats]) -> Iterator[Check]:
    """What the vehicle's maker says of weight distribution."""
    vehicle, fitted = scene.rig.vehicle, scene.rig.hitch.bars is not None
    trailer = scene.loads.trailer
    if vehicle.distribution == "required" and not fitted:
        yield at_most(
            "distribution",
            "vehicle.distribution",
            "trailer weight without weight distribution",
            trailer,
            0.0 if (least := newtons(vehicle.distribution_from)) is None else least,
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


def ratio(scene: Scene[Floats]) -> Iterator[Check]:
    """Laden trailer to laden vehicle, where the file asks for a ratio."""
    if scene.rig.vehicle.max_trailer_ratio is not None:
        yield at_most(
            "ratio",
            "vehicle.max_trailer_ratio",
            "trailer to vehicle weight",
            scene.loads.trailer / scene.loads.vehicle,
            scene.rig.vehicle.max_trailer_ratio,
            due="your own rule",
            measure="ratio",
        )


def places(scene: Scene[Floats]) -> Iterator[Check]:
    """What each place holds against what it may hold."""
    rows = scene.loads.balance.rows
    for name, place in scene.rig.places.items():
        if place.capacity is not None:
            held = [row.kg for row in rows if row.kind == "item" and row.place == name]
            total = summed(held)
            yield at_most(
                "place",
                f"places.{name}.capacity",
                f"place: {place.title or name.replace('-', ' ')}",
                total * GRAVITY,
                newtons(place.capacity),
                due="a label at the place, or its maker",
            )
