"""A scale under the coupler or the jack of the uncoupled trailer, direct or through a lever."""

from typing import ClassVar, Literal

import numpy as np
from pydantic import Field

from steelyard.estimate import Array, Values
from steelyard.quantity import GRAVITY, Length, Mass, Station
from steelyard.weighing.kinds.base import WeightFact
from steelyard.weighing.pose import Arrangement, Pose


class UnderTongue(WeightFact):
    """Anything that holds the tongue up and weighs it."""

    arrangements: ClassVar[tuple[Arrangement, ...]] = ("trailer-alone",)
    station: Station = Field(description="where it stands, aft of the ball; 0 under the coupler")


class TongueScale(UnderTongue):
    """A scale under the tongue. Behind the ball it reads more than the tongue weight."""

    kind: Literal["tongue-scale"] = "tongue-scale"

    def predict(self, pose: Pose, _v: Values) -> Array:
        """T s_a/(s_a - s_j)."""
        return np.asarray(pose.under_tongue(self.station.value) / GRAVITY)


class Lever(UnderTongue):
    """A plank on two supports, a scale under one: the tongue stands between them."""

    kind: Literal["lever"] = "lever"
    support_to_tongue: Length = Field(description="plank: fixed support to where the tongue stands")
    tongue_to_scale: Length = Field(description="plank: where the tongue stands to the scale")
    plank: Mass | None = Field(default=None, description="what the scale shows before; 0 if zeroed")

    def label(self) -> str:
        """What it is."""
        return "scale under a plank"

    def predict(self, pose: Pose, _v: Values) -> Array:
        """Tongue force times a/(a + b), and the plank's own share."""
        a, b = self.support_to_tongue.value, self.tongue_to_scale.value
        own = self.plank.value if self.plank else 0.0
        pressed = pose.under_tongue(self.station.value) / GRAVITY
        return np.asarray(pressed * a / (a + b) + own)
