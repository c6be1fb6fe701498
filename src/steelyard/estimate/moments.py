"""Standard deviations of drawn arrays, each array looked at once however many ask."""

import numpy as np

from steelyard.estimate.estimate import Array


class Moments:
    """Standard deviations of the last `points` columns of arrays (R, n), by row.

    What was asked is remembered, arrays and all: make one for a question, drop it with the answer.
    """

    def __init__(self, points: int) -> None:
        self._points = points
        self._known: dict[int, tuple[Array, Array]] = {}

    def drawn(self, x: Array) -> Array:
        """The draws alone, (R, points) or (R, 1), a view."""
        rows = np.atleast_2d(x)
        return rows[:, -self._points :] if rows.shape[1] > 1 else rows

    def sd(self, x: Array) -> Array:
        """One standard deviation of each row, (R,); 0 for what has no spread."""
        known = self._known.get(id(x))
        if known is None:
            rows = self.drawn(x)
            off = rows - rows.mean(axis=1)[:, None]
            known = x, np.sqrt(np.einsum("ij,ij->i", off, off) / rows.shape[1])
            self._known[id(x)] = known
        return known[1]
