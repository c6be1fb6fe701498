"""One function turns a prior into a posterior, for stickers and for weighings alike."""

from dataclasses import replace

import numpy as np

from steelyard.estimate.estimate import Array, Estimate, Memory, Reading, marginal
from steelyard.estimate.linearise import linearise
from steelyard.estimate.memory import beside

SETTLED = 1e-8
"""Standard deviations of the prior: a round that moves every parameter less is the last."""
DEPTH = 6
"""Rounds that the next one learns from."""
HALVINGS = 6
"""Times that a step onto no rig at all is halved before it is given up."""


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
    observed = np.array([reading.value for reading in readings])
    noise = np.diag([reading.sd**2 for reading in readings])
    unit = np.maximum(estimate.sd, 1e-300)
    point, tried = estimate.mean, list[tuple[Array, Array]]()
    last = point
    while True:
        point, predicted, slope = _standing(estimate, readings, point, last)
        gain = _gain(estimate.cov, slope, noise)
        moved = estimate.mean + gain @ (observed - predicted - slope @ (estimate.mean - point))
        tried.append((moved, (moved - point) / unit))
        moving = SETTLED <= np.max(np.abs(tried[-1][1])) < np.inf  # no more where none can mend it
        if len(tried) >= rounds or not moving:
            return replace(estimate, mean=moved, cov=_posterior(estimate.cov, gain, slope, noise))
        last, point = point, _mixed(tried[-DEPTH:])


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


def _standing(
    estimate: Estimate, readings: list[Reading], point: Array, last: Array
) -> tuple[Array, Array, Array]:
    """`linearise` at a point or, where no rig could stand, half way back to the last, and so on."""
    with np.errstate(all="ignore"):
        predicted, slope = linearise(estimate, readings, point)
        for _ in range(HALVINGS if point is not last else 0):
            if np.isfinite(predicted).all() and np.isfinite(slope).all():
                break
            point = 0.5 * (point + last)
            predicted, slope = linearise(estimate, readings, point)
    return point, predicted, slope


def _mixed(tried: list[tuple[Array, Array]]) -> Array:
    """Where to go from the last rounds' ends and steps: Anderson, J. ACM 12 (1965) 547-560."""
    ends, steps = (np.array(part).T for part in zip(*tried, strict=True))
    if len(tried) == 1:
        return ends[:, 0]
    share = np.linalg.lstsq(np.diff(steps), steps[:, -1], rcond=None)[0]
    return np.asarray(ends[:, -1] - np.diff(ends) @ share)


def _gain(cov: Array, slope: Array, noise: Array) -> Array:
    spread = slope @ cov @ slope.T + noise
    try:
        return np.asarray(np.linalg.solve(spread, slope @ cov).T)
    except np.linalg.LinAlgError:  # readings that differ by nothing but their noise, far too small
        return np.asarray(np.linalg.lstsq(spread, slope @ cov, rcond=None)[0].T)


def _posterior(cov: Array, gain: Array, slope: Array, noise: Array) -> Array:
    """Joseph's form: symmetric and never negative, whatever the rounding."""
    left = np.eye(len(cov)) - gain @ slope
    return np.asarray(left @ cov @ left.T + gain @ noise @ gain.T)
