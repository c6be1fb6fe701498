"""Limits on the trailer: gross weight, axles, axle group."""

from collections.abc import Iterator

from steelyard.quantity import Floats, Value
from steelyard.ratings.check import Check, at_most
from steelyard.ratings.limits.vehicle import newtons
from steelyard.rig import TrailerAxles
from steelyard.scene import Scene
from steelyard.typical.trailer import ORDINALS


def gross(scene: Scene[Floats]) -> Iterator[Check]:
    """Whole trailer, tongue included."""
    yield at_most(
        "gross weight",
        "trailer.gvwr",
        "trailer GVWR",
        scene.loads.trailer,
        newtons(scene.rig.trailer.gvwr),
        due="the certification label, front left of the trailer",
    )


def group(scene: Scene[Floats]) -> Iterator[Check]:
    """What is on the axles together, where the trailer has a rating for it (GTM)."""
    if scene.rig.trailer.gtm is not None:
        yield at_most(
            "gross weight",
            "trailer.gtm",
            "trailer axles together",
            sum(scene.loads.trailer_axles),  # type: ignore[arg-type]
            newtons(scene.rig.trailer.gtm),
            due="the trailer's plate",
        )


def axles(scene: Scene[Floats]) -> Iterator[Check]:
    """Each trailer axle, as driven."""
    group_of = scene.rig.trailer.axles
    for number, load in enumerate(scene.loads.trailer_axles):
        yield at_most(
            "axle",
            f"trailer.axles.{ORDINALS[number]}.gawr",
            f"trailer axle {number + 1}",
            load,
            newtons(_rating(group_of, number)),
            at="trailer.axles.gawr",
            due="GAWR on the trailer's certification label",
        )


def _rating(group_of: TrailerAxles[Floats], number: int) -> Value[Floats] | None:
    own = getattr(group_of, ORDINALS[number])
    return own.gawr if own is not None and own.gawr is not None else group_of.gawr
