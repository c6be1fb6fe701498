"""Axle-group and whole-rig platforms: any axles that stood on one pad together."""

from typing import ClassVar, Literal

import numpy as np
from pydantic import Field

from steelyard.estimate import Array, Values
from steelyard.quantity import GRAVITY
from steelyard.weighing.kinds.base import SPEAKS_OF, WeightFact
from steelyard.weighing.pose import Arrangement, Pose

AxleName = Literal["front", "rear", "trailer", "trailer-1", "trailer-2", "trailer-3", "all"]


class Platform(WeightFact):
    """A platform's reading with some axles on it."""

    arrangements: ClassVar[tuple[Arrangement, ...]] = ("vehicle-alone", "coupled", "trailer-alone")
    kind: Literal["platform"] = "platform"
    axles: tuple[AxleName, ...] = Field(description="axles on this pad")

    def label(self) -> str:
        """Which axles."""
        return " + ".join(SPEAKS_OF[name] for name in self.axles)

    def named(self, pose: Pose) -> tuple[str, ...]:
        """Axles on the pad; `all` is whatever the arrangement has."""
        if "all" not in self.axles:
            return self.axles
        return ("front", "rear", *(() if pose.arrangement == "vehicle-alone" else ("trailer",)))

    def predict(self, pose: Pose, _v: Values) -> Array:
        """Sum of the axles' loads; all of a trailer alone is that and what its tongue stands on."""
        if "all" in self.axles and pose.arrangement == "trailer-alone":
            return pose.whole_trailer() / GRAVITY
        return np.asarray(sum(pose.axle(name) for name in self.named(pose)) / GRAVITY)
