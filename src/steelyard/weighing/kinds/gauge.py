"""A tank gauge, read in its steps."""

from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from steelyard.estimate import Array, Values
from steelyard.quantity import Dimension, Share, Value
from steelyard.rig.base import Name
from steelyard.weighing.instrument import ErrorModel, Instrument
from steelyard.weighing.kinds.base import ReadingFact
from steelyard.weighing.pose import Pose


class TankGauge(ReadingFact):
    """A level as the gauge shows it; between two steps it cannot tell."""

    dimension: ClassVar[Dimension] = "share"
    kind: Literal["tank-gauge"] = "tank-gauge"
    tank: Name
    level: Share
    steps: Annotated[int, Field(strict=True, ge=1, le=1000)] = Field(
        default=3, description="steps from empty to full: 3 for four lamps"
    )

    def value(self) -> Value:
        """The level shown."""
        return self.level

    def label(self) -> str:
        """Which tank."""
        return f"{self.tank} gauge"

    def predict(self, pose: Pose, _v: Values) -> Array:
        """The tank's level at this pass."""
        mine = ("trailer", "tank", self.tank)
        kg = next(one.kg for one in pose.weights.rows if (one.body, one.kind, one.place) == mine)
        return np.asarray(kg[pose.stage] / pose.values[f"trailer.tanks.{self.tank}.capacity"])

    def error(self, _stated: Instrument | None) -> ErrorModel:
        """Half a step either way, rectangular: step/sqrt(12) (JCGM 100:2008, 4.3.7)."""
        own = self.level.sd if self.level.sd is not None else 1.0 / self.steps / 12**0.5
        return ErrorModel(own=own, slope=0.0, source="JCGM 100:2008 4.3.7, one step of the gauge")
