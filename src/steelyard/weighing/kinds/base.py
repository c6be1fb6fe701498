"""What every kind of reading can say of itself."""

from typing import ClassVar

from pydantic import Field

from steelyard.estimate import Array, Values
from steelyard.quantity import Dimension, PositiveMass, Scale, Value
from steelyard.rig.base import Fact, Name
from steelyard.weighing.instrument import ErrorModel, Instrument, error_model
from steelyard.weighing.pose import Arrangement, Pose

SPEAKS_OF: dict[str, str] = {
    "front": "front axle",
    "rear": "rear axle",
    "trailer": "trailer axles",
    "trailer-1": "trailer axle 1",
    "trailer-2": "trailer axle 2",
    "trailer-3": "trailer axle 3",
    "all": "the whole",
}


class ReadingFact(Fact):
    """One number off an instrument. A kind says what it should be (`predict`) in SI units."""

    dimension: ClassVar[Dimension] = "mass"
    arrangements: ClassVar[tuple[Arrangement, ...]] = ("vehicle-alone", "coupled", "trailer-alone")
    kind: str
    scale: Name | None = Field(default=None, description="which of the ticket's scales, if named")

    def value(self) -> Value:
        """The number as written."""
        raise NotImplementedError

    def predict(self, pose: Pose, v: Values) -> Array:
        """What the instrument should show, in SI (a weight as kg); arrays (n,)."""
        raise NotImplementedError

    def label(self) -> str:
        """What was read, for people."""
        return self.kind.replace("-", " ")

    def target(self) -> tuple[str, ...]:
        """What was read, for telling two readings apart."""
        return (self.kind, self.label())

    def error(self, stated: Instrument | None) -> ErrorModel:
        """How wrong it may be; a spread written with the number stands for its own error."""
        model = error_model(self.kind, self.dimension, stated)
        own = self.value().sd
        if own is None:
            return model
        return ErrorModel(own=own, slope=0.0, source="the spread written on the ticket")

    def nuisances(self) -> list[tuple[str, Scale, float, float]]:
        """Parameters this reading needs that no rig has: (name, scale, value, sd)."""
        return []


class WeightFact(ReadingFact):
    """A weight off a scale."""

    weight: PositiveMass

    def value(self) -> Value:
        """The weight shown."""
        return self.weight
