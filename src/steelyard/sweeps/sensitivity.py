"""What moves the answer: Sobol's indices of first and total order, by SciPy."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from steelyard.estimate import Array
from steelyard.sweeps.designs import scipy_stats
from steelyard.sweeps.variants import Question, answered

BASE: Final = 512
"""Points of each of the two samples, a power of two."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """Of each figure (F) at each stage (S), the part of its variance that each range (d) accounts
    for by itself, `first`, and with all it works with, `total`: (F, S, d); NaN where the figure
    does not vary, or some variants would not stand. sd: (F, S), how far it varies. variants: how
    many were worked out for it."""

    columns: tuple[str, ...]
    first: Array
    total: Array
    sd: Array
    variants: int


def sensitivity(question: Question, base: int = BASE) -> Sensitivity:
    """Indices with every number uniform over its range, each independent of the others.

    Saltelli et al., Computer Physics Communications 181 (2010) 259-270, as SciPy has it.
    """
    stats, count = scipy_stats(), len(question.ranges)
    columns = tuple(f"best_{one.column}" for one in question.figures)
    rows, spread = list[int](), list[Array]()

    def asked(points: Array) -> Array:
        flat = points.reshape(count, -1).T
        given = answered(question, question.values(flat))
        found = np.stack([given[name] for name in columns])
        rows.append(len(flat))
        spread.append(np.nanstd(found, axis=-1))
        return found.reshape(-1, *points.shape[1:])

    with np.errstate(all="ignore"):
        found = stats.sobol_indices(
            func=asked, n=base, dists=[stats.uniform()] * count, rng=np.random.default_rng(0)
        )
    shape = (len(columns), -1, count)
    return Sensitivity(
        columns=columns,
        first=np.atleast_2d(found.first_order).reshape(shape),
        total=np.atleast_2d(found.total_order).reshape(shape),
        sd=spread[0],
        variants=sum(rows),
    )
