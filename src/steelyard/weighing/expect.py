"""What the rig file alone lets one expect of each reading, before it was read."""

from dataclasses import dataclass

import numpy as np

from steelyard.estimate import linearise
from steelyard.weighing.laid_ticket import Weighed


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """One reading as foretold: its value and one sd (SI), the instrument's own error left out."""

    value: float
    sd: float


def expected(weighed: Weighed) -> tuple[Expected, ...]:
    """A line a reading, in the ticket's order: linearised at the prior's mean."""
    prior = weighed.prior
    values, slopes = linearise(prior, weighed.readings, prior.mean)
    sds = np.sqrt(np.einsum("ij,jk,ik->i", slopes, prior.cov, slopes))
    return tuple(
        Expected(value=float(value), sd=float(sd)) for value, sd in zip(values, sds, strict=True)
    )
