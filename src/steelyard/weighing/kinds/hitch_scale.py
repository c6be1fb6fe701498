"""A hitch that weighs: its cell at the ball, or in shank or receiver."""

from typing import ClassVar, Literal

import numpy as np
from pydantic import Field

from steelyard.estimate import Array, Values
from steelyard.quantity import GRAVITY
from steelyard.weighing.kinds.base import WeightFact
from steelyard.weighing.pose import Arrangement, Pose


class HitchScale(WeightFact):
    """What the hitch shows. With bars on, a cell in the shank reads the net coupling force and one
    at the ball the contact; neither is the tongue weight."""

    arrangements: ClassVar[tuple[Arrangement, ...]] = ("coupled",)
    kind: Literal["hitch-scale"] = "hitch-scale"
    cell: Literal["ball", "shank", "receiver"] = Field(description="where its load cell sits")

    def label(self) -> str:
        """Where the cell is."""
        return f"hitch scale, cell in {self.cell}" if self.cell != "ball" else "hitch scale, ball"

    def predict(self, pose: Pose, _v: Values) -> Array:
        """Net coupling force, or ball contact."""
        return np.asarray(pose.at_hitch(self.cell) / GRAVITY)
