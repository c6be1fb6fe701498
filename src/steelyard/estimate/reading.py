"""What was read: the number, how far off it may be, and what it should be given the parameters."""

from collections.abc import Callable
from dataclasses import dataclass

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


def linearise(estimate: Estimate, readings: list[Reading], point: Array) -> tuple[Array, Array]:
    """Predictions (m,) and their slopes (m, p) at a point (p,) on the scales, in one batch call."""
    p = len(estimate.names)
    steps = np.diag(STEP * estimate.sd)
    values = estimate.values(np.concatenate([point[None], point + steps, point - steps]))
    shape = (2 * p + 1,)
    seen = np.array([np.broadcast_to(reading.predict(values), shape) for reading in readings])
    width = np.where(estimate.sd > 0, 2 * STEP * estimate.sd, 1.0)
    return seen[:, 0], (seen[:, 1 : p + 1] - seen[:, p + 1 :]) / width
