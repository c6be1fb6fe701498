"""The linear problem that every test of a ticket is of."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from steelyard.estimate import Array, linearise
from steelyard.weighing.laid_ticket import Weighed
from steelyard.weighing.suspicion import inverse


@dataclass(frozen=True, kw_only=True)
class Tested:
    """Linearised at a point: predictions and innovation (m,), slopes (m, p), the part of the
    innovation's covariance that is the prior's, and the readings' own, (m, m)."""

    predicted: Array
    innovation: Array
    slope: Array
    prior: Array
    noise: Array

    @cached_property
    def weight(self) -> Array:
        """The inverse of the innovation's covariance, (m, m)."""
        return inverse(self.prior + self.noise)

    @property
    def off(self) -> Array:
        """(m,) sd by which each reading lies from what all the others say: Baarda's w."""
        return np.asarray(self.weight @ self.innovation / np.sqrt(np.diag(self.weight)))

    def misfit(self, more: Array | float = 0.0) -> float:
        """The chi-square of all readings, with `more` (m,) on them."""
        off = self.innovation + more
        return float(off @ self.weight @ off)


def linearised(weighed: Weighed, point: Array) -> Tested:
    """The ticket's readings linearised at a point (p,)."""
    predicted, slope = linearise(weighed.prior, weighed.readings, point)
    observed = np.array([reading.value for reading in weighed.readings])
    return Tested(
        predicted=predicted,
        innovation=observed - predicted + slope @ (point - weighed.prior.mean),
        slope=slope,
        prior=slope @ weighed.prior.cov @ slope.T,
        noise=np.diag([reading.sd**2 for reading in weighed.readings]),
    )
