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
BINS: Final = 256
"""Bins that the draws of a row are counted into."""
FINE: Final = 16.0
"""Bins to a standard deviation."""
ENOUGH: Final = 512
"""Draws from which counting into bins is quicker than putting them in order."""


class Moments:
    """Medians, edges and standard deviations of the last `points` columns of arrays (R, n), by row.

    What was asked is remembered, arrays and all: make one for a question, drop it with the answer.
    """

    def __init__(self, points: int) -> None:
        self._points = points
        self._known: dict[int, tuple[Array, tuple[Array, Array]]] = {}
        self._ranked: dict[int, tuple[Array, Array]] = {}

    def drawn(self, x: Array) -> Array:
        """The draws alone, (R, points) or (R, 1), a view."""
        rows = np.atleast_2d(x)
        return rows[:, -self._points :] if rows.shape[1] > 1 else rows

    def median(self, x: Array) -> Array:
        """The middle draw of each row, (R,); draws that would tip (NaN) stand above all others."""
        return np.asarray(self.ranked(x)[:, 2])

    def edges(self, x: Array) -> tuple[Array, Array, Array]:
        """Of each row (R,) the 2.5 percentile, by the rule of `np.percentile`, the median, which is
        a draw of its own, and the 97.5 percentile; draws that would tip are left out."""
        ranked, points = self.ranked(x), self.drawn(x).shape[1]
        if not np.isnan(ranked[:, -1]).any():
            return _between(ranked, points)
        standing = [row[~np.isnan(row)] for row in self.drawn(x)]
        each = [_between(_at_ranks(row)[None], len(row)) for row in standing]
        low, middle, high = np.array(each).T[0]
        return low, middle, high

    def ranked(self, x: Array) -> Array:
        """Each row's draws at `ranks`, in order, (R, 5); those that would tip stand last."""
        known = self._ranked.get(id(x))
        if known is None:
            rows = self.drawn(x)
            if rows.shape[1] < ENOUGH:
                found = np.array([_at_ranks(row) for row in rows])
            else:
                found = _counted(rows, *self._moments(x))
            known = self._ranked[id(x)] = x, found
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


def _at_ranks(row: Array) -> Array:
    """A row's draws (n,) at `ranks`; NaN of none."""
    if not row.size:
        return np.full(5, np.nan)
    places = ranks(row.size)
    return np.asarray(np.partition(row, places)[places])


def _counted(rows: Array, mean: Array, sd: Array) -> Array:
    """`_at_ranks` of rows (R, n), by counting the draws into bins and putting those bins alone in
    order: Knuth, The Art of Computer Programming 3, 5.2.5 (distribution), from memory."""
    even = (sd > ROUGH * np.abs(mean)) & (sd < np.inf)
    places = ranks(rows.shape[1])
    found = np.empty((len(rows), len(places)))
    if not even.all():
        found[~even] = [_at_ranks(row) for row in rows[~even]]
        found[even] = _counted(rows[even], mean[even], sd[even])
        return found
    fine = FINE / sd
    at = rows * fine[:, None]
    at += (BINS / 2 - mean * fine)[:, None]
    bins = np.clip(at, 0.0, BINS - 1.0, out=at).astype(np.uint8)
    for k, (row, own) in enumerate(zip(rows, bins, strict=True)):
        count = np.bincount(own, minlength=BINS)
        home = count.cumsum().searchsorted(places, side="right")
        wanted = np.zeros(BINS, dtype=bool)
        wanted[home] = True
        some = row.compress(wanted.take(own))
        some.sort()
        count[wanted] = 0
        found[k] = some[places - count.cumsum()[home]]
    return found


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
