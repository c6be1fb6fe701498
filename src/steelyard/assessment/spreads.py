"""Spreads of drawn arrays at all stages at once."""

import numpy as np

from steelyard.assessment.result import Spread
from steelyard.estimate import Array, Moments


def spreads(x: Array, stages: int, moments: Moments, size: float = 1.0) -> list[Spread]:
    """One spread for each stage of x (S, n), or of what is alike at all stages, in units of `size`.

    Column 0 is the best estimate. The median is the judge's; where most draws would tip it is that
    of the others, and so are the other numbers.
    """
    low, middle, high = moments.edges(x)
    median = moments.median(x)
    middle = np.where(np.isnan(median), middle, np.minimum(median, high))
    best = np.atleast_2d(x)[:, 0]
    columns = np.array([middle, best, moments.sd(x), low, high]) / size
    found = [
        Spread(value=value, best=best, sd=sd, low=least, high=most)
        for value, best, sd, least, most in zip(*columns.tolist(), strict=True)
    ]
    return found if len(found) == stages else found * stages
