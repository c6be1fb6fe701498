"""Parts of the coupling that must be of one size, and a nose that must turn behind its cab."""

from collections.abc import Iterator
from typing import Final

import numpy as np

from steelyard.quantity import Floats
from steelyard.ratings.check import Check, at_most
from steelyard.ratings.part_sizes import pairs
from steelyard.rig import is_pin
from steelyard.scene import Scene

TURN: Final = np.radians(15.0)
"""rad that every road asks of a nose behind a cab: where axles 7 m behind the pin stand on a bend
of 27 m radius (hand arithmetic; that no less will do is common practice, no source)."""
CAB: Final = "hitch.fit.cab"


def sizes(scene: Scene[Floats]) -> Iterator[Check]:
    """Ball in coupler and each bar in its tube, unknown where a size is unsaid; pins where said."""
    for pair in pairs(scene.rig, scene.region):
        difference = pair.difference
        unsaid = difference is None
        if unsaid and not pair.asked:
            continue
        yield Check(
            kind="part's size",
            name=f"hitch.fit.{pair.name}",
            at=f"hitch.fit.{pair.name}",
            title=pair.title,
            value=np.atleast_1d(np.nan if difference is None else difference),
            high=None if unsaid else np.asarray(pair.high),
            low=None if unsaid else np.asarray(pair.low),
            measure="length",
            source="sizes of the two parts stated in the rig file",
            rule=None,
            due=pair.due,
            chain=False,
            advice=False,
        )


def nose_and_cab(scene: Scene[Floats]) -> Iterator[Check]:
    """How far a pin trailer's nose reaches ahead, straight and turned a little, against the cab;
    square in plan, and only where all of it was taped."""
    vehicle, trailer = scene.rig.vehicle, scene.rig.trailer
    width, start = trailer.front_width or trailer.width, trailer.box_start
    if not is_pin(scene.rig) or width is None or start is None:
        return
    if vehicle.cab_to_axle is None or vehicle.overhang is None:
        return
    ahead, half = -np.asarray(scene.values["trailer.box_start"]), np.asarray(width.value) / 2
    turned = ahead * np.cos(TURN) + half * np.sin(TURN)
    yield at_most(
        "part's size",
        CAB,
        "nose against the cab, turned 15°",
        np.atleast_1d(np.maximum(ahead, turned)),
        vehicle.cab_to_axle.value + scene.values["vehicle.overhang"],
        due="pin to cab, by tape",
        measure="length",
        source="lengths stated in the rig file, the nose square in plan",
    )
