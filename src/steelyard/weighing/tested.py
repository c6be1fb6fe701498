"""The linear problem that every test of a ticket is of; and which reading does not belong.

The suspect is an error in one reading, against a file that is off. Files are wrong more often than
scales, and by how much nobody knows: it is averaged over how many times as wide as it says the file
may be, each width weighed by how well the readings bear it out.
"""

from dataclasses import dataclass
from functools import cached_property
from math import log, log1p, sqrt
from typing import Final

import numpy as np

from steelyard.estimate import Array, linearise
from steelyard.weighing.laid_ticket import Weighed

WIDTHS: Final = ((1.0, 0.6), (1.5, 0.25), (2.2, 0.1), (3.2, 0.05))
"""Times the file's sds that truths may scatter by, and the chance of each (assumed)."""
WRONG: Final = 6.0
"""sd of a wrong reading's error, in sds of what all else leaves it (assumed)."""
LIKELIER: Final = 1.1
"""Times likelier than that none is wrong, from which a reading is named: so that of right tickets 4
in 100 have one named where truths are 1.5 times as wide as the file says (measured)."""


def suspicion(innovation: Array, file: Array, noise: Array) -> Array:
    """(m,) logarithms of how many times likelier it is that each reading alone is wrong than that
    none is, before `LIKELIER`; which of them would be is as likely for all.

    innovation: (m,), whose covariance (m, m) is what the file leaves open and, noise, the errors.
    """
    borne, wrong = [], []
    for times, share in WIDTHS:
        spread = times**2 * file + noise
        weight = inverse(spread)
        pull = weight @ innovation
        fit = -0.5 * (np.linalg.slogdet(spread)[1] + innovation @ pull)
        borne.append(log(share) + fit)
        wrong.append(0.5 * pull**2 / np.diag(weight) / (1.0 + WRONG**-2) - 0.5 * log1p(WRONG**2))
    either = np.array(borne)[:, None] + np.array(wrong)
    none = np.logaddexp.reduce(borne)
    return np.asarray(np.logaddexp.reduce(either, axis=0) - none - log(len(innovation)))


def far(readings: int) -> float:
    """How many sd off one of so many is named, were it known how wide the file is."""
    odds = log(LIKELIER * readings) + 0.5 * log1p(WRONG**2)
    return sqrt(2.0 * (1.0 + WRONG**-2) * odds)


def inverse(spread: Array) -> Array:
    """Of a covariance; the nearest to it where two readings differ by nothing."""
    try:
        return np.asarray(np.linalg.inv(spread))
    except np.linalg.LinAlgError:
        return np.asarray(np.linalg.pinv(spread))


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
