"""A rig at its stages with a value for every parameter, and the belief these are drawn from."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from hashlib import sha256
from typing import Final, Generic, Self

import numpy as np

from steelyard.estimate import Array, Estimate, Values, extended, to_scale
from steelyard.quantity import Floats, N
from steelyard.rig import Rig
from steelyard.statics.loads import Loads, loads
from steelyard.statics.masses import Mass
from steelyard.travel import StagePlan
from steelyard.typical import fill
from steelyard.typical.sheet import Parameter

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


def said_of(rig: Rig) -> dict[str, Parameter]:
    """Every parameter by name, stated or typical, before any sticker is read."""
    return dict(fill(rig).parameters)


def assumed_of(rig: Rig) -> frozenset[str]:
    """The parameters that nobody stated."""
    return frozenset(name for name, one in said_of(rig).items() if one.basis == "assumed")


def beyond(estimate: Estimate, rig: Rig) -> Iterator[Parameter]:
    """The rig's parameters of which nothing is believed yet."""
    have = {*estimate.names, *estimate.constants}
    return (one for name, one in said_of(rig).items() if name not in have)


def restated(estimate: Estimate, rig: Rig, names: Iterable[str]) -> Estimate:
    """The belief with some parameters as the rig now says them, of nothing else's company.

    Those that keep their names keep their draws' points.
    """
    anew = tuple(names)
    if not anew:
        return estimate
    said = said_of(rig)
    mean, cov = estimate.mean.copy(), estimate.cov.copy()
    constants, fresh = dict(estimate.constants), []
    for new in map(said.__getitem__, anew):
        place = estimate.index.get(new.name)
        if place is not None:
            mean[place], sd = to_scale(new.value, new.sd, estimate.scales[place])
            cov[place], cov[:, place] = 0.0, 0.0
            cov[place, place] = sd**2
        elif new.sd > 0:
            constants.pop(new.name, None)
            fresh.append((new.name, new.scale, new.value, new.sd))
        else:
            constants[new.name] = new.value
    kept = replace(estimate, mean=mean, cov=cov, constants=constants)
    return extended(kept, fresh) if fresh else kept


def fingerprint(rig: Rig) -> str:
    """Names a rig by its parameters, so that a posterior is not mistaken for another rig's.

    As shipped: it stays the same rig when its owner has learned.
    """
    rows = said_of(rig.owning({})).values()
    text = "\n".join(f"{row.name} {row.value!r} {row.sd!r}" for row in rows)
    return sha256(text.encode("utf-8")).hexdigest()[:16]
