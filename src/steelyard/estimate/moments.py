"""Medians, edges and standard deviations of drawn arrays, each array looked at once however many
ask."""

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate.estimate import Array

ROUGH: Final = 1e-9
"""Part of a mean's square below which a variance is worked out from the draws less their mean."""
EDGES: Final = (0.025, 0.975)
"""Of what is possible, where a spread begins and ends."""
ENOUGH: Final = 512
"""Draws from which setting some apart is quicker than putting all in order."""


class Moments:
    """Medians, edges and standard deviations of the last `points` columns of arrays (R, n), by row.

    What was asked is remembered, arrays and all: make one for a question, drop it with the answer.
    """

    def __init__(self, points: int) -> None:
        self._points = points
        self._known: dict[int, tuple[Array, tuple[Array, Array]]] = {}
        self._ranked: dict[int, tuple[Array, Array]] = {}
        self._middle: dict[int, tuple[Array, Array]] = {}

    def drawn(self, x: Array) -> Array:
        """The draws alone, (R, points) or (R, 1), a view."""
        rows = np.atleast_2d(x)
        return rows[:, -self._points :] if rows.shape[1] > 1 else rows

    def median(self, x: Array) -> Array:
        """The middle draw of each row, (R,); draws that would tip (NaN) stand above all others."""
        if id(x) in self._ranked:
            return np.asarray(self.ranked(x)[:, 2])
        known, rows = self._middle.get(id(x)), self.drawn(x)
        if rows.shape[1] == 1:
            return rows[:, 0]
        if known is None:
            middle = (rows.shape[1] - 1) // 2
            known = self._middle[id(x)] = x, np.partition(rows, middle, axis=1)[:, middle]
        return known[1]

    def edges(self, x: Array) -> tuple[Array, Array, Array]:
        """Of each row (R,) the 2.5 percentile, by the rule of `np.percentile`, the median, which is
        a draw of its own, and the 97.5 percentile; draws that would tip are left out."""
        ranked, points = self.ranked(x), self.drawn(x).shape[1]
        if not np.isnan(self._moments(x)[0]).any():
            return _between(ranked, points)
        standing = [row[None, ~np.isnan(row)] for row in self.drawn(x)]
        each = [_between(_at_ranks(row), row.size) for row in standing]
        low, middle, high = np.array(each).T[0]
        return low, middle, high

    def ranked(self, x: Array) -> Array:
        """Each row's draws at `ranks`, in order, (R, 5); those that would tip stand last."""
        known = self._ranked.get(id(x))
        if known is None:
            known = self._ranked[id(x)] = x, _at_ranks(self.drawn(x))
        return known[1]

    def sd(self, x: Array) -> Array:
        """One standard deviation of each row, (R,); 0 for what has no spread.

        Draws that would tip have no load and are left out.
        """
        rows = self.drawn(x)
        if rows.shape[1] == 1:
            return np.where(np.isfinite(rows[:, 0]), 0.0, np.nan)
        sd = self._moments(x)[1]
        return np.array([_of_standing(row) for row in rows]) if np.isnan(sd).any() else sd

    def _moments(self, x: Array) -> tuple[Array, Array]:
        """Mean and standard deviation of each row, NaN where a draw is."""
        known = self._known.get(id(x))
        if known is None:
            rows = self.drawn(x)
            mean = np.add.reduce(rows, axis=1) / rows.shape[1]
            square, size = mean * mean, rows.shape[1]
            variance = np.einsum("ij,ij->i", rows, rows) / size - square
            if (variance < ROUGH * square).any():  # too little spread to be told from rounding
                off = rows - mean[:, None]
                variance = np.einsum("ij,ij->i", off, off) / size
            sd = np.sqrt(np.maximum(variance, 0.0))
            known = self._known[id(x)] = x, (mean, sd)
        return known[1]


@cache
def ranks(points: int) -> NDArray[np.intp]:
    """Places among ordered draws, (5,): beside the lower edge, the median, beside the upper."""
    last = points - 1
    low, high = (int(edge * last) for edge in EDGES)
    return np.array([low, min(low + 1, last), last // 2, high, min(high + 1, last)])


def _at_ranks(rows: Array) -> Array:
    """Draws (R, n) at `ranks`, (R, 5), each part set apart once: what stands beside an edge is the
    least of those above it. NaN stands last, and alone where a row is empty."""
    if rows.shape[1] < ENOUGH:
        padded = rows if rows.size else np.full((len(rows), 1), np.nan)
        return np.asarray(np.sort(padded, axis=1)[:, ranks(padded.shape[1])])
    low, _, middle, high, _ = ranks(rows.shape[1])
    parted = np.partition(rows, high, axis=1)
    parted[:, :high].partition(middle, axis=1)
    parted[:, :middle].partition(low, axis=1)
    beside = np.fmin.reduce(parted[:, low + 1 : middle], axis=1)
    above = np.fmin.reduce(parted[:, high + 1 :], axis=1)
    columns = (parted[:, low], beside, parted[:, middle], parted[:, high], above)
    return np.stack(columns, axis=1)


def _between(ranked: Array, points: int) -> tuple[Array, Array, Array]:
    """Of rows at `ranks` (R, 5): between the two draws beside each edge, and the median."""
    low, high = (
        ranked[:, k] + (edge * (points - 1)) % 1.0 * (ranked[:, k + 1] - ranked[:, k])
        for k, edge in zip((0, 3), EDGES, strict=True)
    )
    return low, ranked[:, 2], high


def _of_standing(row: Array) -> float:
    there = row[~np.isnan(row)]
    return float(np.std(there)) if there.size else float("nan")
