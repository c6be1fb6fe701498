"""Wheel pads and single-wheel scales."""

from typing import Literal

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.quantity import GRAVITY
from steelyard.weighing.kinds.base import SPEAKS_OF, WeightFact
from steelyard.weighing.pose import Pose


class Wheel(WeightFact):
    """The wheel, or pair of wheels, on one side of one axle."""

    kind: Literal["wheel"] = "wheel"
    axle: Literal["front", "rear", "trailer-1", "trailer-2", "trailer-3"]
    side: Literal["left", "right"]

    def label(self) -> str:
        """Which wheel."""
        return f"{SPEAKS_OF[self.axle]} {self.side}"

    def predict(self, pose: Pose, _v: Values) -> Array:
        """Half the axle's load and its share of the lateral moment."""
        return np.asarray(pose.side(self.axle, self.side) / GRAVITY)
