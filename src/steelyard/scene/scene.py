"""A rig at its stages with a value for every parameter: what limits and answers look at."""

from dataclasses import dataclass
from functools import cached_property
from typing import Final, Generic, Self

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.quantity.columns import Floats
from steelyard.quantity.value import N
from steelyard.rig import Rig
from steelyard.statics.loads import Loads, loads
from steelyard.statics.masses import Mass
from steelyard.travel import StagePlan

DEFAULT_REGION: Final = "north-america"


class NoBalanceError(ValueError):
    """The rig as described cannot stand: some axle would leave the ground and stay up."""


def region_of(rig: Rig[Floats]) -> str:
    """The region whose rules hold: the rig's own, else North America."""
    return rig.region or DEFAULT_REGION


@dataclass(frozen=True, kw_only=True)
class Scene(Generic[N]):
    """A rig at S stages with values (n,) of every parameter, and `extra` weights it does not list.

    Nothing is worked out before it is asked for; what was asked is kept.
    """

    rig: Rig[N]
    stages: tuple[StagePlan, ...]
    values: Values
    extra: tuple[Mass, ...] = ()

    @property
    def region(self) -> str:
        """The region whose rules hold."""
        return region_of(self.rig)

    @cached_property
    def loads(self) -> Loads:
        """Loads at every stage and value, N, (S, n)."""
        return loads(self.rig, self.values, self.stages, self.extra)

    def by_kind(self, body: str, *kinds: str) -> Array:
        """Weight of the rows of these kinds on one body, kg, (S, n) or, always alike, (n,)."""
        rows = [row for row in self.loads.balance.rows if row.body == body and row.kind in kinds]
        return summed([row.kg for row in rows])

    def valued(self, values: Values, *extra: Mass) -> "Scene[N]":
        """The same rig and stages at other values, with other extra weights."""
        return Scene(rig=self.rig, stages=self.stages, values=values, extra=extra)

    def standing(self) -> Self:
        """Itself, unless the best estimate, the first value, of a stage would not stand.

        Raises NoBalanceError, plainly rather than in NaNs.
        """
        first = np.broadcast_to(self.loads.tongue[:, 0], len(self.stages))
        for plan, force in zip(self.stages, first, strict=True):
            if not np.isfinite(force):
                raise NoBalanceError(
                    f"{plan.title}: expected a rig that stands on its wheels, found one that would"
                    " tip; look at weights, stations and axle places"
                )
        return self


def summed(parts: list[Array]) -> Array:
    """Their sum; what is alike at all stages is summed before the stage axis."""
    return np.asarray(sum(sorted(parts, key=np.ndim), np.zeros(1)))
