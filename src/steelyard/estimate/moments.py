"""Medians and standard deviations of drawn arrays, each array looked at once however many ask."""

from functools import cache
from typing import Final

import numpy as np

from steelyard.estimate.estimate import Array

ROUGH: Final = 1e-9
"""Part of a mean's square below which a variance is worked out from the draws less their mean."""

EDGES: Final = (0.025, 0.975)
"""Of what is possible, where a spread begins and ends."""


@cache
def ranks(points: int) -> tuple[int, ...]:
    """Places of the median and beside `EDGES` among ordered draws."""
    last = points - 1
    beside = {min(int(edge * last) + more, last) for edge in EDGES for more in (0, 1)}
    return tuple(sorted(beside | {last // 2}))


class Moments:
    """Medians and standard deviations of the last `points` columns of arrays (R, n), by row.

    What was asked is remembered, arrays and all: make one for a question, drop it with the answer.
    """

    def __init__(self, points: int) -> None:
        self._points = points
        self._sd: dict[int, tuple[Array, Array]] = {}
        self._median: dict[int, tuple[Array, Array]] = {}
        self._ordered: dict[int, tuple[Array, Array]] = {}

    def drawn(self, x: Array) -> Array:
        """The draws alone, (R, points) or (R, 1), a view."""
        rows = np.atleast_2d(x)
        return rows[:, -self._points :] if rows.shape[1] > 1 else rows

    def median(self, x: Array) -> Array:
        """The middle draw of each row, (R,); draws that would tip (NaN) stand above all others."""
        known = self._ordered.get(id(x)) or self._median.get(id(x))
        if known is None:
            rows = self.drawn(x)
            known = self._median[id(x)] = x, np.partition(rows, _middle(rows), axis=1)
        return np.asarray(known[1][:, _middle(known[1])])

    def ordered(self, x: Array) -> Array:
        """Each row's draws, (R, points) or (R, 1), in order at the median and beside `EDGES`, which
        takes half as long as whole; those that would tip last."""
        known = self._ordered.get(id(x))
        if known is None:
            rows = self.drawn(x)
            known = self._ordered[id(x)] = x, np.partition(rows, ranks(rows.shape[1]), axis=1)
        return known[1]

    def sd(self, x: Array) -> Array:
        """One standard deviation of each row, (R,); 0 for what has no spread.

        Draws that would tip have no load and are left out.
        """
        known = self._sd.get(id(x))
        if known is None:
            rows = self.drawn(x)
            if rows.shape[1] == 1:
                return np.where(np.isfinite(rows[:, 0]), 0.0, np.nan)
            mean = np.add.reduce(rows, axis=1) / rows.shape[1]
            square, size = mean * mean, rows.shape[1]
            variance = np.einsum("ij,ij->i", rows, rows) / size - square
            if (variance < ROUGH * square).any():  # too little spread to be told from rounding
                off = rows - mean[:, None]
                variance = np.einsum("ij,ij->i", off, off) / size
            sd = np.sqrt(np.maximum(variance, 0.0))
            if np.isnan(sd).any():
                sd = np.array([_of_standing(row) for row in rows])
            known = self._sd[id(x)] = x, sd
        return known[1]


def _middle(rows: Array) -> int:
    return int((rows.shape[1] - 1) // 2)


def _of_standing(row: Array) -> float:
    there = row[~np.isnan(row)]
    return float(np.std(there)) if there.size else float("nan")
