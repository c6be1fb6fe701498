"""One function turns a prior into a posterior, for stickers and for weighings alike."""

from dataclasses import dataclass, replace

import numpy as np

from steelyard.estimate.estimate import Array, Estimate, Memory, Reading, marginal
from steelyard.estimate.memory import beside
from steelyard.estimate.propagate import linearise

SETTLED = 1e-6
"""Standard deviations of the prior: a round that moves every parameter less is the last."""
DEPTH = 6
"""Rounds that the next one learns from."""
HALVINGS = 7
"""Ways along Gauss-Newton's step that are tried, the whole and then halves: onto no rig at all, or
onto one that fits worse, it does not go."""
ROUGH = 1e-6
"""Part of the misfit by which it may grow: rounding of readings that claim next to no error."""


def condition(estimate: Estimate, readings: list[Reading], rounds: int = 30) -> Estimate:
    """The estimate given the readings: maximum a posteriori by Gauss-Newton, posterior covariance.

    The iterated Kalman update (Bell & Cathey, IEEE TAC 38 (1993) 294-297, show it to be
    Gauss-Newton on the posterior). Readings' errors are independent of each other. Where the
    readings pull hard Gauss-Newton creeps; mixing its rounds ends on the same point sooner.

    What an estimate remembers is read anew together with the readings, and stays remembered; draws
    need not reproduce the new ones.
    """
    if not readings or not estimate.names:
        return estimate
    if estimate.memory is not None:
        return _again(estimate, estimate.memory, readings, rounds)
    unit = np.maximum(estimate.sd, 1e-300)
    here = _looked(estimate, readings, estimate.mean, np.zeros(len(estimate.mean)))
    tried = list[tuple[Array, Array]]()
    while True:
        moved, gain = _stepped(estimate, readings, here)
        tried.append((moved, (moved[0] - here.point) / unit))
        moving = SETTLED <= np.max(np.abs(tried[-1][1])) < np.inf  # no more where none can mend it
        further = moving and len(tried) < rounds
        ways = (_mixed(tried[-DEPTH:]), moved)
        there = _onward(estimate, readings, here, ways) if further else None
        if there is None:
            cov = _posterior(estimate.cov, gain, here.slope, _noise(readings))
            return replace(estimate, mean=here.point if further else moved[0], cov=cov)
        here = there


def _again(estimate: Estimate, memory: Memory, readings: list[Reading], rounds: int) -> Estimate:
    """What was weighed and what was read since, at one maximum; the new readings taken straight."""
    wider, weighed = beside(memory, estimate)
    full = condition(wider, [*weighed, *readings], rounds)
    with np.errstate(all="ignore"):
        predicted, slope = linearise(wider, readings, full.mean)
    noise = np.diag([reading.sd**2 for reading in readings])
    off = np.array([reading.value for reading in readings]) - predicted
    gain = _gain(wider.cov, slope, noise)
    before = replace(
        wider,
        mean=wider.mean + gain @ (off - slope @ (wider.mean - full.mean)),
        cov=_posterior(wider.cov, gain, slope, noise),
    )
    known = replace(marginal(full, estimate.names), constants=estimate.constants)
    return replace(known, memory=Memory(prior=before, readings=weighed, posterior=full))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Looked:
    """A point (p,) and the pull (p,), with which it is the mean + cov @ pull; what the readings
    should show there, their slopes, and twice the negative logarithm of the posterior."""

    point: Array
    pull: Array
    predicted: Array
    slope: Array
    cost: float

    @property
    def finite(self) -> bool:
        return bool(np.isfinite(self.predicted).all() and np.isfinite(self.slope).all())


def _looked(estimate: Estimate, readings: list[Reading], point: Array, pull: Array) -> _Looked:
    with np.errstate(all="ignore"):
        predicted, slope = linearise(estimate, readings, point)
        off = [(one.value - x) / one.sd for one, x in zip(readings, predicted, strict=True)]
        cost = float(pull @ (point - estimate.mean) + np.dot(off, off))
    return _Looked(point=point, pull=pull, predicted=predicted, slope=slope, cost=cost)


def _stepped(estimate: Estimate, readings: list[Reading], here: _Looked) -> tuple[Array, Array]:
    """Where Gauss-Newton goes from here, point and pull in rows (2, p), and its gain (p, m)."""
    observed = np.array([reading.value for reading in readings])
    off = observed - here.predicted - here.slope @ (estimate.mean - here.point)
    gain = _gain(estimate.cov, here.slope, _noise(readings))
    spread = here.slope @ estimate.cov @ here.slope.T + _noise(readings)
    pull = here.slope.T @ _solved(spread, off)
    return np.stack([estimate.mean + gain @ off, pull]), gain


def _onward(
    estimate: Estimate, readings: list[Reading], here: _Looked, ways: tuple[Array, Array]
) -> _Looked | None:
    """The first of two ways, the bold one and Gauss-Newton's, that is no worse than here; else the
    latter's half, and so on. A full step may land beyond a pole, where no rig could stand. None
    where every way is worse: as where a wheel would lift."""
    start = np.stack([here.point, here.pull])
    bold, end = ways
    for to in (bold, *(start + 0.5**n * (end - start) for n in range(HALVINGS))):
        there = _looked(estimate, readings, *to)
        if there.finite and not there.cost > here.cost + ROUGH * (1.0 + here.cost):
            return there
    return None


def _mixed(tried: list[tuple[Array, Array]]) -> Array:
    """Where to go from the last rounds' ends (2, p) and steps (p,): Anderson, J. ACM 12 (1965)
    547-560."""
    ends, steps = (np.stack(part, axis=-1) for part in zip(*tried, strict=True))
    if len(tried) == 1:
        return ends[..., 0]
    share = np.linalg.lstsq(np.diff(steps), steps[:, -1], rcond=None)[0]
    return np.asarray(ends[..., -1] - np.diff(ends) @ share)


def _noise(readings: list[Reading]) -> Array:
    return np.diag([reading.sd**2 for reading in readings])


def _gain(cov: Array, slope: Array, noise: Array) -> Array:
    return _solved(slope @ cov @ slope.T + noise, slope @ cov).T


def _solved(spread: Array, right: Array) -> Array:
    try:
        return np.asarray(np.linalg.solve(spread, right))
    except np.linalg.LinAlgError:  # readings that differ by nothing but their noise, far too small
        return np.asarray(np.linalg.lstsq(spread, right, rcond=None)[0])


def _posterior(cov: Array, gain: Array, slope: Array, noise: Array) -> Array:
    """Joseph's form: symmetric and never negative, whatever the rounding.

    What no reading bears on, itself or by what it is tied to, stays as it was: most parameters.
    """
    borne = np.flatnonzero(np.any(gain, axis=1) | np.any(slope, axis=0))
    block = np.ix_(borne, borne)
    left = np.eye(len(borne)) - gain[borne] @ slope[:, borne]
    found = cov.copy()
    found[block] = left @ cov[block] @ left.T + gain[borne] @ noise @ gain[borne].T
    return found
