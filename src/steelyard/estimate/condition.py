"""One function turns a prior into a posterior, for stickers and for weighings alike."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from steelyard.estimate.estimate import Array, Estimate, Values

STEP = 1e-3
"""Central-difference step, in standard deviations of the parameter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One number seen: what it should be given the parameters, and how far off it may be.

    `predict` maps parameter values (arrays with leading axes ...) to an array (...), in SI; `value`
    and `sd` are in the same unit.
    """

    name: str
    predict: Callable[[Values], Array]
    value: float
    sd: float


def condition(estimate: Estimate, readings: list[Reading], rounds: int = 12) -> Estimate:
    """The estimate given the readings: maximum a posteriori by Gauss-Newton, posterior covariance.

    The iterated Kalman update (Bell & Cathey, IEEE TAC 38 (1993) 294-297, show it to be
    Gauss-Newton on the posterior). Readings' errors are independent of each other.
    """
    if not readings or not estimate.names:
        return estimate
    observed = np.array([reading.value for reading in readings])
    noise = np.diag([reading.sd**2 for reading in readings])
    point = estimate.mean
    for _ in range(rounds):
        predicted, slope = linearise(estimate, readings, point)
        gain = _gain(estimate.cov, slope, noise)
        step = observed - predicted - slope @ (estimate.mean - point)
        moved = estimate.mean + gain @ step
        settled = np.max(np.abs(moved - point) / np.maximum(estimate.sd, 1e-300)) < 1e-9
        point = moved
        if settled:
            break
    _, slope = linearise(estimate, readings, point)
    gain = _gain(estimate.cov, slope, noise)
    return replace(estimate, mean=point, cov=_posterior(estimate.cov, gain, slope, noise))


def linearise(estimate: Estimate, readings: list[Reading], point: Array) -> tuple[Array, Array]:
    """Predictions (m,) and their slopes (m, p) at a point (p,) on the scales, in one batch call."""
    p = len(estimate.names)
    steps = np.diag(STEP * estimate.sd)
    values = estimate.values(np.concatenate([point[None], point + steps, point - steps]))
    shape = (2 * p + 1,)
    seen = np.array([np.broadcast_to(reading.predict(values), shape) for reading in readings])
    width = np.where(estimate.sd > 0, 2 * STEP * estimate.sd, 1.0)
    return seen[:, 0], (seen[:, 1 : p + 1] - seen[:, p + 1 :]) / width


def _gain(cov: Array, slope: Array, noise: Array) -> Array:
    spread = slope @ cov @ slope.T + noise
    return np.asarray(np.linalg.solve(spread, slope @ cov).T)


def _posterior(cov: Array, gain: Array, slope: Array, noise: Array) -> Array:
    """Joseph's form: symmetric and never negative, whatever the rounding."""
    left = np.eye(len(cov)) - gain @ slope
    return np.asarray(left @ cov @ left.T + gain @ noise @ gain.T)
