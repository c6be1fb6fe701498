"""Spreads of drawn arrays at all stages at once."""

from collections.abc import Mapping
from typing import TypeVar

import numpy as np

from steelyard.assessment.result import Spread
from steelyard.estimate import Array, Moments

Name = TypeVar("Name")


def spreads(
    drawn: Mapping[Name, tuple[Array, float]], stages: int, moments: Moments
) -> dict[Name, list[Spread]]:
    """Of each array a spread for each stage; arrays (S, n), or of what is alike at all stages, each
    with the unit that it is told in.

    Column 0 is the best estimate. The median is the judge's; where most draws would tip it is that
    of the others, and so are the other numbers.
    """
    arrays = [np.atleast_2d(x) for x, _ in drawn.values()]
    rows = [len(x) for x in arrays]
    low, middle, high, sd = moments.edges(arrays)
    median = np.concatenate([moments.median(x) for x in arrays])
    middle = np.where(np.isnan(median), middle, np.minimum(median, high))
    best = np.concatenate([x[:, 0] for x in arrays])
    columns = np.stack((middle, best, sd, low, high)) / np.repeat(
        [size for _, size in drawn.values()], rows
    )
    found = (
        Spread(value=value, best=best, sd=sd, low=low, high=high)
        for value, best, sd, low, high in zip(*columns.tolist(), strict=True)
    )
    each = ([next(found) for _ in range(count)] for count in rows)
    return {
        name: own if len(own) == stages else own * stages
        for name, own in zip(drawn, each, strict=True)
    }
