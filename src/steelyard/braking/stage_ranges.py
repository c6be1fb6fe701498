"""One stage's row of an array over draws, and what it comes to."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from steelyard.braking.result import Range
from steelyard.estimate import Array

Mask = NDArray[np.bool_]


def row(x: Any, stage: int, like: Array) -> Array:
    """(1 + n,) of something that broadcasts to (S, 1 + n); best estimate first."""
    return np.asarray(np.broadcast_to(np.asarray(x), like.shape)[stage])


def drawn(x: Array) -> Array:
    """The draws after the best estimate; the best estimate itself where there are none."""
    return x[1:] if len(x) > 1 else x


def spread(x: Array) -> Range:
    """Median, best estimate and 95 % interval; draws without a balance (NaN) are left out."""
    there = drawn(x)[~np.isnan(drawn(x))]
    if there.size == 0:
        nothing = float("nan")
        return Range(value=nothing, best=float(x[0]), low=nothing, high=nothing)
    low, middle, high = np.quantile(there, (0.025, 0.5, 0.975), method="inverted_cdf")
    return Range(value=float(middle), best=float(x[0]), low=float(low), high=float(high))


def chance(x: Any) -> float:
    """Share of the draws in which `x` (1 + n, of bool) holds."""
    return float(np.mean(drawn(np.asarray(x))))
