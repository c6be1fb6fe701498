"""Every kind of reading. A new kind is a new file and an entry here."""

from typing import Annotated

from pydantic import Field

from steelyard.weighing.kinds.base import ReadingFact
from steelyard.weighing.kinds.gauge import TankGauge
from steelyard.weighing.kinds.heights import BallHeight, FenderHeight
from steelyard.weighing.kinds.hitch_scale import HitchScale
from steelyard.weighing.kinds.platform import Platform
from steelyard.weighing.kinds.tongue_scale import Lever, TongueScale, UnderTongue
from steelyard.weighing.kinds.wheel import Wheel

OnScales = Platform | Wheel | HitchScale | TongueScale | Lever
AnyReading = Annotated[
    OnScales | FenderHeight | BallHeight | TankGauge, Field(discriminator="kind")
]

__all__ = ["AnyReading", "Platform", "ReadingFact", "UnderTongue", "Wheel"]
