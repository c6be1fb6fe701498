"""Heights by tape: fenders and ball."""

from typing import ClassVar, Literal

import numpy as np
from pydantic import Field

from steelyard.estimate import Array, Values
from steelyard.quantity import Dimension, Height, Scale, Value
from steelyard.weighing.instrument import friction
from steelyard.weighing.kinds.base import ReadingFact
from steelyard.weighing.pose import Arrangement, Pose

FRICTION = "ticket.friction"
ARCH = 0.9
"""m: a wheel arch stands about here; known to 0.2 m at best until measured."""


class FenderHeight(ReadingFact):
    """Ground to wheel arch, above the wheel. Two passes tell a change, one tells nothing."""

    dimension: ClassVar[Dimension] = "length"
    arrangements: ClassVar[tuple[Arrangement, ...]] = ("vehicle-alone", "coupled")
    kind: Literal["fender-height"] = "fender-height"
    at: Literal["front", "rear"]
    height: Height
    settled: Literal["bounced", "loading", "unloading"] = Field(
        default="bounced", description="how it came to rest: spring friction lags a change"
    )

    def value(self) -> Value:
        """The height read."""
        return self.height

    def label(self) -> str:
        """Which fender."""
        return f"{self.at} fender height"

    def predict(self, pose: Pose, v: Values) -> Array:
        """Arch height of the empty vehicle less the axle's drop, friction lagging behind it."""
        standing = pose.standing
        drop = standing.front_drop if self.at == "front" else standing.rear_drop
        lag = {"bounced": 0.0, "loading": -1.0, "unloading": 1.0}[self.settled]
        held = 1.0 + lag * v[FRICTION] if lag else 1.0
        return np.asarray(v[f"ticket.fender.{self.at}"] - drop * held)

    def nuisances(self) -> list[tuple[str, Scale, float, float]]:
        """The arch's own height and, unless bounced, the friction shared by all such readings."""
        found: list[tuple[str, Scale, float, float]] = [
            (f"ticket.fender.{self.at}", "linear", ARCH, 0.2)
        ]
        if self.settled != "bounced":
            share, sd = friction()
            found.append((FRICTION, "log", share, sd))
        return found


class BallHeight(ReadingFact):
    """Ground to the top of the ball, as the rig's `ball_height`; coupled, to the inside top of the
    coupler that sits on it (outside, less the metal's thickness)."""

    dimension: ClassVar[Dimension] = "length"
    arrangements: ClassVar[tuple[Arrangement, ...]] = ("vehicle-alone", "coupled")
    kind: Literal["ball-height"] = "ball-height"
    height: Height

    def value(self) -> Value:
        """The height read."""
        return self.height

    def predict(self, pose: Pose, _v: Values) -> Array:
        """Height of the ball in this arrangement."""
        return pose.standing.ball
