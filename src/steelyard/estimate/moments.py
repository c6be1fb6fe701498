"""Medians, edges and standard deviations of drawn arrays, each array looked at once however many
ask."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
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
TOGETHER: Final = 500_000
"""Numbers looked at together."""


@dataclass(frozen=True, slots=True)
class Looked:
    """What is known of an array's rows (R,): mean and standard deviation, NaN where a draw would
    tip; the least, the middle and the greatest draw, the last NaN where one would tip; and perhaps
    the draws at `ranks`, (R, 5). Holds the array, so that its identity stays its own."""

    array: Array
    mean: Array
    sd: Array
    least: Array
    middle: Array
    most: Array
    ranked: Array | None


class Moments:
    """Medians, edges and standard deviations of the last `points` columns of arrays (R, n), by row.

    What was asked is remembered, arrays and all: make one for a question, drop it with the answer.
    """

    def __init__(self, points: int) -> None:
        self._points = points
        self._known: dict[int, Looked] = {}

    def drawn(self, x: Array) -> Array:
        """The draws alone, (R, points) or (R, 1), a view."""
        rows = x if x.ndim == 2 else np.atleast_2d(x)
        return rows[:, -self._points :] if rows.shape[1] > 1 else rows

    def look(self, arrays: Iterable[Array], *, edges: bool) -> None:
        """Look at arrays before they are asked about, some together; edges: at those too."""
        todo = {id(x): x for x in arrays if not self._seen(x, edges=edges)}
        for some in _together([(x, self.drawn(x)) for x in todo.values()]):
            rows = np.concatenate([drawn for _, drawn in some])
            found = (*_moments(rows), *_apart(rows, edges=edges))
            first = 0
            for x, drawn in some:
                own = slice(first, first + len(drawn))
                self._known[id(x)] = Looked(x, *(y if y is None else y[own] for y in found))  # type: ignore[arg-type]
                first = own.stop

    def _seen(self, x: Array, *, edges: bool) -> bool:
        known = self._known.get(id(x))
        return known is not None and (known.ranked is not None or not edges)

    def known(self, x: Array, *, edges: bool = False) -> Looked:
        """What is known of an array, looked at now if it was not."""
        if not self._seen(x, edges=edges):
            self.look([x], edges=edges)
        return self._known[id(x)]

    def median(self, x: Array) -> Array:
        """The middle draw of each row, (R,); draws that would tip (NaN) stand above all others."""
        return self.known(x).middle

    def edges(self, arrays: list[Array]) -> Array:
        """Of the rows of some arrays, one after another, the 2.5 percentile, by the rule of
        `np.percentile`, the median, which is a draw of its own, the 97.5 percentile, and the
        standard deviation, (4, R); draws that would tip are left out."""
        self.look(arrays, edges=True)
        known = [self._known[id(x)] for x in arrays]
        ranked = np.concatenate([one.ranked for one in known if one.ranked is not None])
        found = np.stack((*_between(ranked, self._points), np.concatenate([x.sd for x in known])))
        tipping = np.flatnonzero(np.isnan(np.concatenate([one.mean for one in known])))
        if tipping.size:
            rows = [row for x in arrays for row in self.drawn(x)]
            for row in tipping:
                there = rows[row][None, ~np.isnan(rows[row])]
                low, middle, high = _between(_ordered(there), there.size)
                found[:, row] = low[0], middle[0], high[0], _of_standing(there[0])
        return found

    def sd(self, x: Array) -> Array:
        """One standard deviation of each row, (R,); 0 for what has no spread.

        Draws that would tip have no load and are left out.
        """
        sd, drawn = self.known(x).sd, self.drawn(x)
        if drawn.shape[1] > 1 and np.isnan(sd).any():
            return np.array([_of_standing(row[~np.isnan(row)]) for row in drawn])
        return sd


def _together(arrays: list[tuple[Array, Array]]) -> Iterator[list[tuple[Array, Array]]]:
    """Arrays with as many draws, of some at once."""
    for width in {drawn.shape[1] for _, drawn in arrays}:
        some, size = list[tuple[Array, Array]](), 0
        for x, drawn in arrays:
            if drawn.shape[1] == width:
                if some and size + drawn.size > TOGETHER:
                    yield some
                    some, size = [], 0
                some.append((x, drawn))
                size += drawn.size
        yield some


def _moments(rows: Array) -> tuple[Array, Array]:
    """Mean and standard deviation of each row, NaN where a draw is."""
    count = rows.shape[1]
    if count == 1:
        return rows[:, 0].copy(), np.where(np.isfinite(rows[:, 0]), 0.0, np.nan)
    mean = np.add.reduce(rows, axis=1) / count
    square = mean * mean
    variance = np.einsum("ij,ij->i", rows, rows) / count - square
    rough = np.flatnonzero(variance < ROUGH * square)
    if rough.size:  # too little spread to be told from rounding
        off = rows[rough] - mean[rough, None]
        variance[rough] = np.einsum("ij,ij->i", off, off) / count
    return mean, np.sqrt(np.maximum(variance, 0.0))


@cache
def ranks(points: int) -> NDArray[np.intp]:
    """Places among ordered draws, (5,): beside the lower edge, the median, beside the upper."""
    last = points - 1
    low, high = (int(edge * last) for edge in EDGES)
    return np.array([low, min(low + 1, last), last // 2, high, min(high + 1, last)])


def _ordered(rows: Array) -> Array:
    """Draws (R, n) at `ranks`, (R, 5); NaN stands last, and alone where a row is empty."""
    padded = rows if rows.size else np.full((len(rows), 1), np.nan)
    return np.asarray(np.sort(padded, axis=1)[:, ranks(padded.shape[1])])


def _apart(rows: Array, *, edges: bool) -> tuple[Array, Array, Array, Array | None]:
    """The least, the middle and the greatest draw of rows (R, n), and those at `ranks`, (R, 5), if
    asked for; each part is set apart once, in place. What stands beside an edge is the greatest
    or the least of those beyond it; NaN stands last."""
    points = rows.shape[1]
    if points < ENOUGH:
        rows.sort(axis=1)
        least, middle, most = rows[:, [0, (points - 1) // 2, -1]].T
        return least, middle, most, rows[:, ranks(points)]
    _, beside, middle, high, _ = (int(place) for place in ranks(points))
    rows.partition(middle, axis=1)
    median, below, above = rows[:, middle].copy(), rows[:, :middle], rows[:, middle + 1 :]
    if not edges:
        return np.minimum.reduce(below, axis=1), median, np.maximum.reduce(above, axis=1), None
    high -= middle + 1
    below.partition(beside, axis=1)
    above.partition(high, axis=1)
    lowest, highest = below[:, :beside], above[:, high + 1 :]
    low, next_ = np.maximum.reduce(lowest, axis=1), np.fmin.reduce(highest, axis=1)
    ranked = np.stack((low, below[:, beside], median, above[:, high], next_), axis=1)
    return np.minimum.reduce(lowest, axis=1), median, np.maximum.reduce(highest, axis=1), ranked


def _between(ranked: Array, points: int) -> tuple[Array, Array, Array]:
    """Of rows at `ranks` (R, 5): between the two draws beside each edge, and the median."""
    low, high = (
        ranked[:, k] + (edge * (points - 1)) % 1.0 * (ranked[:, k + 1] - ranked[:, k])
        for k, edge in zip((0, 3), EDGES, strict=True)
    )
    return low, ranked[:, 2], high


def _of_standing(there: Array) -> float:
    return float(np.std(there)) if there.size else float("nan")
