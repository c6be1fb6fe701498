"""Many beliefs of one kind at once: the same parameters and readings, other numbers."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate.condition import SETTLED, condition
from steelyard.estimate.estimate import Array, Estimate, Reading, Values, marginal
from steelyard.estimate.propagate import STEP
from steelyard.quantity import Floats, Scale

ROUNDS = 40
"""Gauss-Newton rounds before a belief is left to `condition`, one by one."""


@dataclass(frozen=True, kw_only=True)
class Beliefs:
    """G estimates over the same p names: mean (G, p), cov (G, p, p), constants each (G,)."""

    kind: Estimate
    mean: Array
    cov: Array
    constants: Mapping[str, Array]

    def one(self, number: int) -> Estimate:
        """One of them as an estimate of its own."""
        return replace(
            self.kind,
            mean=self.mean[number],
            cov=self.cov[number],
            constants={name: float(value[number]) for name, value in self.constants.items()},
        )

    def values(self, points: Array) -> Values:
        """Parameters by name in SI, (G, ...), from points (G, ..., p); constants (G, 1, ...)."""
        named = dict(self.kind.values(points))
        ones = (1,) * (points.ndim - 2)
        named.update((name, x.reshape(-1, *ones)) for name, x in self.constants.items())
        return named


def condition_many(
    prior: Beliefs, readings: Sequence[Reading[Floats]], seen: Array, sd: Array
) -> Beliefs:
    """`condition` of each belief on its own readings, which differ in value and sd alone.

    readings: one of each kind, whose predictions serve all, and so may read nothing but the
    parameters, by their names; seen, sd: what each belief reads of them, (G, m). Gauss-Newton as
    there, unmixed, over what the predictions look at; what has not settled is conditioned one by
    one, so the answer is the same.
    """
    if not readings:
        return prior
    place = _asked(prior, readings)
    rest = np.setdiff1d(np.arange(len(prior.kind.names)), place)
    if np.any(prior.cov[:, place[:, None], rest]):
        return _conditioned(prior, readings, seen, sd)
    inner = place[:, None], place
    some = Beliefs(
        kind=marginal(prior.kind, [prior.kind.names[number] for number in place]),
        mean=prior.mean[:, place],
        cov=prior.cov[:, *inner],
        constants=prior.constants,
    )
    found = _conditioned(some, readings, seen, sd)
    mean, cov = prior.mean.copy(), prior.cov.copy()
    mean[:, place], cov[:, *inner] = found.mean, found.cov
    return replace(prior, mean=mean, cov=cov)


def condition_apart(
    names: tuple[str, ...],
    scales: tuple[Scale, ...],
    mean: Array,
    sd: Array,
    constants: Mapping[str, Array],
    readings: Sequence[Reading[Floats]],
    seen: Array,
    noise: Array,
) -> Beliefs:
    """`condition_many` of G beliefs whose p parameters know nothing of each other yet, mean and sd
    (G, p): what is believed of those alone that the readings look at."""
    everything = Estimate(
        names=names, scales=scales, mean=mean[0], cov=np.diag(sd[0] ** 2), constants={}
    )
    whole = Beliefs(kind=everything, mean=mean, cov=np.zeros((0, 0, 0)), constants=constants)
    place = _asked(whole, readings)
    cov = np.zeros((len(mean), len(place), len(place)))
    cov[:, range(len(place)), range(len(place))] = sd[:, place] ** 2
    some = Beliefs(
        kind=marginal(everything, [names[number] for number in place]),
        mean=mean[:, place],
        cov=cov,
        constants=constants,
    )
    return _conditioned(some, readings, seen, noise) if readings else some


class _Watched(dict[str, Array]):
    """Values by name that note which were asked for."""

    def __init__(self, values: Values) -> None:
        super().__init__(values)
        self.asked: set[str] = set()

    def __getitem__(self, name: str) -> Array:
        self.asked.add(name)
        return super().__getitem__(name)

    def get(self, name: str, default: Any = None) -> Any:
        """As of any mapping, and noted."""
        try:
            return self[name]
        except KeyError:
            return default


def _asked(prior: Beliefs, readings: Sequence[Reading[Floats]]) -> NDArray[np.intp]:
    """Places of the parameters that any reading's prediction looks at."""
    first = {name: float(value[0]) for name, value in prior.constants.items()}
    kind = replace(prior.kind, mean=prior.mean[0], constants=first)
    seen = _Watched(kind.at_mean())
    for reading in readings:
        reading.predict(seen)
    index = prior.kind.index
    return np.array(sorted(index[name] for name in seen.asked if name in index), dtype=np.intp)


def _conditioned(
    prior: Beliefs, readings: Sequence[Reading[Floats]], seen: Array, sd: Array
) -> Beliefs:
    """Gauss-Newton over all the parameters there are."""
    predicts, noise = [reading.predict for reading in readings], sd**2
    unit = np.sqrt(np.maximum(np.einsum("gii->gi", prior.cov), 0.0))
    point, moving = prior.mean, np.ones(len(seen), dtype=bool)
    gain = slope = np.zeros(())
    with np.errstate(all="ignore"):
        for _ in range(ROUNDS):
            predicted, slope = _linearised(prior, predicts, point, unit)
            gain = _gains(prior.cov, slope, noise)
            off = seen - predicted - np.einsum("gmp,gp->gm", slope, prior.mean - point)
            moved = prior.mean + np.einsum("gpm,gm->gp", gain, off)
            moving = ~(np.max(np.abs(moved - point) / np.maximum(unit, 1e-300), axis=1) < SETTLED)
            point = moved
            if not moving.any():
                break
    whole = replace(prior, mean=point, cov=_posteriors(prior.cov, gain, slope, noise))
    return _mended(prior, whole, readings, seen, sd, np.flatnonzero(moving))


def _mended(
    prior: Beliefs,
    whole: Beliefs,
    readings: Sequence[Reading[Floats]],
    seen: Array,
    sd: Array,
    left: NDArray[np.intp],
) -> Beliefs:
    """The same with those that did not settle conditioned one by one."""
    mean, cov = whole.mean.copy(), whole.cov
    for number in left:
        own = zip(readings, seen[number], sd[number], strict=True)
        read = [
            Reading(name=one.name, predict=one.predict, value=float(value), sd=float(off))
            for one, value, off in own
        ]
        with np.errstate(all="ignore"):  # an absurd one is left as it comes out
            one = condition(prior.one(number), read)
        mean[number], cov[number] = one.mean, one.cov
    return replace(whole, mean=mean, cov=cov)


def _linearised(
    prior: Beliefs, predicts: Sequence[Callable[[Values], Array]], point: Array, sd: Array
) -> tuple[Array, Array]:
    """Predictions (G, m) and their slopes (G, m, p) at points (G, p), by central differences."""
    G, p = point.shape
    steps = STEP * sd[:, :, None] * np.eye(p)
    at = np.concatenate([point[:, None], point[:, None] + steps, point[:, None] - steps], axis=1)
    values, shape = prior.values(at), (G, 2 * p + 1)
    seen = np.stack([np.broadcast_to(predict(values), shape) for predict in predicts], axis=1)
    width = np.where(sd > 0, 2 * STEP * sd, 1.0)[:, None]
    return seen[..., 0], (seen[..., 1 : p + 1] - seen[..., p + 1 :]) / width


def _gains(cov: Array, slope: Array, noise: Array) -> Array:
    """(G, p, m) gain of each belief."""
    crossed = slope @ cov
    spread = crossed @ slope.swapaxes(1, 2) + noise[:, :, None] * np.eye(noise.shape[1])
    return np.asarray(np.linalg.solve(spread, crossed).swapaxes(1, 2))


def _posteriors(cov: Array, gain: Array, slope: Array, noise: Array) -> Array:
    """Joseph's form, as in `condition`."""
    left = np.eye(cov.shape[1]) - gain @ slope
    return np.asarray(
        left @ cov @ left.swapaxes(1, 2) + (gain * noise[:, None]) @ gain.swapaxes(1, 2)
    )
