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
        found = [_standing(row, part) for row, part in zip(rows, drawn, strict=True)]
    else:
        parts = (rows[:, 0], moments.sd(x), *_tails(drawn))
        found = [
            Spread(value=value, sd=sd, low=low, high=high)
            for value, sd, low, high in zip(*(part.tolist() for part in parts), strict=True)
        ]
    return found if len(found) == stages else found * stages


def _standing(row: Array, drawn: Array) -> Spread:
    """The spread of the draws that stand."""
    drawn = drawn[~np.isnan(drawn)]
    low, high = _tails(drawn[None]) if drawn.size else (np.array([np.nan]),) * 2
    sd = float(np.std(drawn)) if drawn.size else float("nan")
    return Spread(value=float(row[0]), sd=sd, low=float(low[0]), high=float(high[0]))


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
