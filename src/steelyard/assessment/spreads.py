"""Spreads of drawn arrays at all stages at once."""

import numpy as np

from steelyard.assessment.result import Spread
from steelyard.estimate import Array, Moments
from steelyard.estimate.moments import EDGES


def spreads(x: Array, stages: int, moments: Moments, size: float = 1.0) -> list[Spread]:
    """One spread for each stage of x (S, n), or of what is alike at all stages, in units of `size`.

    Column 0 is the best estimate. Draws that would tip have no load and are left out.
    """
    ordered, best = moments.ordered(x), np.atleast_2d(x)[:, 0]
    if np.isnan(ordered).any():
        standing = [np.sort(row[~np.isnan(row)])[None] for row in ordered]
        low, middle, high = np.array([_edges(row) for row in standing]).T[0]
    else:
        low, middle, high = _edges(ordered)
    columns = np.array([middle, best, moments.sd(x), low, high]) / size
    found = [
        Spread(value=value, best=best, sd=sd, low=least, high=most)
        for value, best, sd, least, most in zip(*columns.tolist(), strict=True)
    ]
    return found if len(found) == stages else found * stages


def _edges(ordered: Array) -> tuple[Array, Array, Array]:
    """Of rows (R, n) as `Moments.ordered` has them the 2.5 percentile, by the rule of
    `np.percentile`, the median, which is a draw of its own, and the 97.5 percentile."""
    last = ordered.shape[1] - 1
    if last < 0:
        return (np.full(len(ordered), np.nan),) * 3
    low, high = (_between(ordered, edge * last) for edge in EDGES)
    return low, ordered[:, last // 2], high


def _between(ordered: Array, place: float) -> Array:
    """Each row at a place, on the line between the two draws beside it."""
    below = int(place)
    at, share = ordered[:, below], place - below
    return at + share * (ordered[:, below + 1] - at) if share else at
