"""What readings should show and how fast that changes with each parameter, in one batch call."""

import numpy as np

from steelyard.estimate.estimate import Array, Estimate, Reading

STEP = 1e-3
"""Central-difference step, in standard deviations of the parameter."""


def linearise(estimate: Estimate, readings: list[Reading], point: Array) -> tuple[Array, Array]:
    """Predictions (m,) and their slopes (m, p) at a point (p,) on the scales, in one batch call."""
    p = len(estimate.names)
    steps = np.diag(STEP * estimate.sd)
    values = estimate.values(np.concatenate([point[None], point + steps, point - steps]))
    shape = (2 * p + 1,)
    seen = np.array([np.broadcast_to(reading.predict(values), shape) for reading in readings])
    width = np.where(estimate.sd > 0, 2 * STEP * estimate.sd, 1.0)
    return seen[:, 0], (seen[:, 1 : p + 1] - seen[:, p + 1 :]) / width
