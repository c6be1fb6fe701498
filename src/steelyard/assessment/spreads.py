"""Spreads of drawn arrays at all stages at once."""

from typing import Final

import numpy as np

from steelyard.assessment.result import Spread
from steelyard.estimate import Array, Moments

EDGES: Final = np.array([0.025, 0.975])
FEW: Final = 100
"""Draws below which a whole sort is as good."""


def spreads(x: Array, stages: int, moments: Moments) -> list[Spread]:
    """One spread for each stage of x (S, n), or of what is alike at all stages.

    Column 0 is the best estimate. Draws that would tip have no load and are left out.
    """
    rows, drawn = np.atleast_2d(x), moments.drawn(x)
    if np.isnan(drawn).any():
        parts = [_of_standing(part) for part in drawn]
        middle, low, high = (np.array(column) for column in zip(*parts, strict=True))
    else:
        middle, (low, high) = moments.median(x), _tails(drawn)
    columns = (middle, rows[:, 0], moments.sd(x), low, high)
    found = [
        Spread(value=value, best=best, sd=sd, low=least, high=most)
        for value, best, sd, least, most in zip(*(part.tolist() for part in columns), strict=True)
    ]
    return found if len(found) == stages else found * stages


def _of_standing(drawn: Array) -> tuple[float, float, float]:
    """Median, 2.5 and 97.5 percentile of the draws that stand."""
    there = drawn[~np.isnan(drawn)]
    if not there.size:
        return (float("nan"),) * 3
    low, high = _tails(there[None])
    return float(np.sort(there)[(there.size - 1) // 2]), float(low[0]), float(high[0])


def _tails(rows: Array) -> tuple[Array, Array]:
    """The 2.5 and 97.5 percentiles of rows (R, n) as `np.percentile` has them, sooner."""
    places = EDGES * (rows.shape[1] - 1)
    below = places.astype(int)
    low, high = _ordered(rows, int(below[0]), int(below[1]))
    share = places - below
    return low[0] + share[0] * (low[1] - low[0]), high[0] + share[1] * (high[1] - high[0])


def _ordered(rows: Array, low: int, high: int) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """Each row's numbers at places low and low + 1, high and high + 1 of its order.

    Two partitions around one place each take half the time of a sort, and of one around four.
    """
    if rows.shape[1] < FEW:
        whole = np.sort(rows, axis=1)
        last = rows.shape[1] - 1
        first, second = ((whole[:, k], whole[:, min(k + 1, last)]) for k in (low, high))
        return first, second
    start = np.partition(rows, low + 1, axis=1)
    rest = start[:, low + 2 :]
    rest.partition(high - low - 2, axis=1)
    least = start[:, : low + 1].max(axis=1), start[:, low + 1]
    end = rest[:, high - low - 2], rest[:, high - low - 1 :].min(axis=1)
    return least, end
