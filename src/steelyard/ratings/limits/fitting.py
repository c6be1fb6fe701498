"""Parts of the coupling that must be of one size."""

from collections.abc import Iterator

import numpy as np

from steelyard.quantity.columns import Floats
from steelyard.ratings.check import Check
from steelyard.ratings.part_sizes import pairs
from steelyard.scene import Scene


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
