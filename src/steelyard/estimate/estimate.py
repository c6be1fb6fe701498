"""What we believe: a mean vector and a covariance over the rig's named uncertain parameters."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from typing import Any, Generic

import numpy as np
from numpy.typing import NDArray

from steelyard.quantity import Z95, N, Scale
from steelyard.typical.sheet import Sheet

Array = NDArray[np.float64]
Values = Mapping[str, Array]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading(Generic[N]):
    """One number seen: what it should be given the parameters, and how far off it may be.

    `predict` maps parameter values (arrays with leading axes ...) to an array (...), in SI; `value`
    and `sd` are in the same unit.
    """

    name: str
    predict: Callable[[Values], Array]
    value: N
    sd: N


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """A normal belief over named parameters, each on the scale where it is normal.

    names and scales have length p; mean is (p,) and cov (p, p), both on those scales; constants are
    parameters known without spread, in SI. No draw of a `log` parameter is negative, and none of a
    `logit` one leaves 0 to 1. memory: what was weighed, if anything was, which its draws reproduce;
    seen: what `linearise` last found with its spreads, which stays behind when it is pickled.
    """

    names: tuple[str, ...]
    scales: tuple[Scale, ...]
    mean: Array
    cov: Array
    constants: Mapping[str, float]
    memory: "Memory | None" = None
    seen: list[Any] = field(default_factory=list, init=False, repr=False, compare=False)

    def __getstate__(self) -> dict[str, Any]:
        return {**self.__dict__, "seen": []}

    @cached_property
    def _logs(self) -> NDArray[np.bool_]:
        return np.array([scale == "log" for scale in self.scales], dtype=bool)

    @cached_property
    def _logits(self) -> NDArray[np.intp]:
        return np.flatnonzero([scale == "logit" for scale in self.scales])

    @cached_property
    def index(self) -> Mapping[str, int]:
        """Place of each name in the vectors."""
        return {name: place for place, name in enumerate(self.names)}

    @cached_property
    def sd(self) -> Array:
        """Standard deviations on the scales, (p,)."""
        return np.sqrt(np.maximum(np.diag(self.cov), 0.0))

    def natural(self, points: Array) -> Array:
        """Parameters by row: points (..., p) on the scales become (p, ...) in SI."""
        columns = np.array(np.moveaxis(points, -1, 0), dtype=float, order="C")
        self.off_scales(columns)
        return columns

    def off_scales(self, columns: Array) -> None:
        """Turn rows (p, ...) on the scales into SI in place: fresh memory costs more than exp."""
        logs = self._logs.reshape(-1, *[1] * (columns.ndim - 1))
        np.exp(columns, out=columns, where=logs)
        columns[self._logits] = off_scale(columns[self._logits], "logit")

    def values(self, points: Array) -> Values:
        """Every parameter by name in SI: arrays (...) from points (..., p); constants are 0-d."""
        return self.named(self.natural(points))

    def named(self, columns: Array) -> Values:
        """Rows (p, ...) in SI by name, and the constants, 0-d."""
        named: dict[str, Array] = dict(zip(self.names, columns, strict=True))
        named.update((name, np.asarray(value)) for name, value in self.constants.items())
        return named

    def at_mean(self) -> Values:
        """Every parameter at the mean of its scale, in SI."""
        return self.values(self.mean)


@dataclass(frozen=True, kw_only=True, eq=False)
class Memory:
    """Readings and the belief before and after them, over all q parameters, their own included.

    An estimate that has a memory still knows a parameter by it as long as it holds the same mean
    and spread of it as `posterior`; what was stated anew since is drawn on its own. It can be
    pickled if the readings can; `made`, the draws that `memory.remembered` has so far, stay behind.
    """

    prior: Estimate
    readings: tuple[Reading, ...]
    posterior: Estimate
    made: dict[Any, Any] = field(default_factory=dict, init=False, repr=False)

    def __getstate__(self) -> dict[str, Any]:
        own = {one.name: getattr(self, one.name) for one in fields(self)}
        return own | {"made": {}}

    def kept(self, estimate: Estimate) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Places in the estimate of what is still as weighed, and in the memory."""
        own, index = self.posterior, self.posterior.index
        pairs = [
            (i, j)
            for i, name in enumerate(estimate.names)
            if (j := index.get(name)) is not None
            and estimate.mean[i] == own.mean[j]
            and estimate.cov[i, i] == own.cov[j, j]
        ]
        places = np.array(pairs, dtype=np.intp).reshape(-1, 2)
        return places[:, 0], places[:, 1]


def extended(estimate: Estimate, extra: Sequence[tuple[str, Scale, float, float]]) -> Estimate:
    """The estimate with further independent parameters: (name, scale, value, sd), in SI."""
    scaled = [to_scale(value, sd, scale) for _, scale, value, sd in extra]
    old, new = len(estimate.names), len(extra)
    cov = np.zeros((old + new, old + new))
    cov[:old, :old] = estimate.cov
    cov[old:, old:] = np.diag([sd**2 for _, sd in scaled])
    return Estimate(
        names=(*estimate.names, *(name for name, *_ in extra)),
        scales=(*estimate.scales, *(scale for _, scale, *_ in extra)),
        mean=np.concatenate([estimate.mean, [mean for mean, _ in scaled]]),
        cov=cov,
        constants=estimate.constants,
        memory=estimate.memory,
    )


def marginal(estimate: Estimate, names: Sequence[str]) -> Estimate:
    """The belief about some of the parameters, whatever the others are."""
    keep = [estimate.index[name] for name in names]
    return Estimate(
        names=tuple(names),
        scales=tuple(estimate.scales[place] for place in keep),
        mean=estimate.mean[keep],
        cov=estimate.cov[np.ix_(keep, keep)],
        constants=estimate.constants,
        memory=estimate.memory,
    )


def unread(sheet: Sheet) -> Estimate:
    """The parameters of a sheet as a belief, before any tie or sticker is read: independent."""
    loose = [p for p in sheet.parameters.values() if p.sd > 0]
    scaled = [to_scale(p.value, p.sd, p.scale) for p in loose]
    return Estimate(
        names=tuple(p.name for p in loose),
        scales=tuple(p.scale for p in loose),
        mean=np.array([mean for mean, _ in scaled]),
        cov=np.diag([sd**2 for _, sd in scaled]),
        constants={p.name: p.value for p in sheet.parameters.values() if p.sd <= 0},
    )


def updated(estimate: Estimate, part: Estimate) -> Estimate:
    """The estimate with what `part` knows of some of its parameters, which the others know nothing
    of."""
    there = [estimate.index[name] for name in part.names]
    mean, cov = estimate.mean.copy(), estimate.cov.copy()
    mean[there] = part.mean
    cov[np.ix_(there, there)] = part.cov
    return replace(estimate, mean=mean, cov=cov)


def to_scale(value: float, sd: float, scale: Scale) -> tuple[float, float]:
    """Mean and sd on `scale` for a value and its sd in SI.

    First order, but on `logit` near empty or full, where first order would leave the interval by
    far: there the interval's edge on the side with room is met.
    """
    if scale == "log":
        return float(np.log(value)), sd / value
    if scale == "logit":
        return _to_logit(min(max(value, 0.02), 0.98), sd)
    return value, sd


def off_scale(points: Array, scale: Scale) -> Array:
    """Numbers on `scale` in SI."""
    if scale == "log":
        return np.exp(points)
    return 1.0 / (1.0 + np.exp(-points)) if scale == "logit" else points


def _to_logit(inside: float, sd: float) -> tuple[float, float]:
    reach = Z95 * sd
    if reach < min(inside, 1.0 - inside):
        return _logit(inside), sd / (inside * (1.0 - inside))
    edge = inside + reach * (1.0 if inside < 0.5 else -1.0)
    edge = min(max(edge, 0.005), 0.995)
    return _logit(inside), abs(_logit(edge) - _logit(inside)) / Z95


def _logit(share: float) -> float:
    return float(np.log(share / (1.0 - share)))
