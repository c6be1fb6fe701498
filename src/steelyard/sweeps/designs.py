"""Where in the ranges variants stand: a grid, Latin hypercubes, or a Sobol sequence, by part.

A part's points hang on its number alone, never on who works it out or on what came before.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np

from steelyard.estimate import Array
from steelyard.fault import FaultError
from steelyard.sweeps.variants import Question, answered

By = Literal["grid", "lhs", "sobol"]
BYS: Final[tuple[By, ...]] = ("grid", "lhs", "sobol")
MOST: Final = 1_000_000_000
"""Variants of a sweep."""


def how_many(by: By, n: int, count: int) -> int:
    """How many variants: n, or, of a grid over `count` ranges, n in each.

    FaultError for too many.
    """
    if n < 1:
        raise FaultError(argument="n", due="at least one variant", found=str(n))
    whole = n**count if by == "grid" else n
    if whole > MOST:
        each = f"{n} in each of {count} ranges is " if by == "grid" else ""
        raise FaultError(argument="n", due=f"at most {MOST:,} variants", found=f"{each}{whole:,}")
    return whole


def points(by: By, n: int, count: int, start: int, stop: int, seed: int) -> Array:
    """Variants start to stop, (stop - start, count), each in 0 to 1.

    grid: n values of each range, ends included, the last range fastest; lhs: a Latin hypercube of
    each part's own size; sobol: scrambled.
    """
    return _WAYS[by](n, count, start, stop, seed)


def _grid(n: int, count: int, start: int, stop: int, _seed: int) -> Array:
    place, found = np.arange(start, stop), np.empty((stop - start, count))
    for column in range(count - 1, -1, -1):
        place, left = np.divmod(place, n)
        found[:, column] = left / (n - 1) if n > 1 else 0.5
    return found


def _lhs(_n: int, count: int, start: int, stop: int, seed: int) -> Array:
    rng = np.random.default_rng([seed, start])
    return np.asarray(scipy_qmc().LatinHypercube(count, rng=rng).random(stop - start))


def _sobol(_n: int, count: int, start: int, stop: int, seed: int) -> Array:
    sequence = scipy_qmc().Sobol(count, rng=np.random.default_rng(seed))
    if start:
        sequence.fast_forward(start)
    return np.asarray(sequence.random(stop - start))


_WAYS: Final[dict[By, Callable[[int, int, int, int, int], Array]]] = {
    "grid": _grid,
    "lhs": _lhs,
    "sobol": _sobol,
}


def scipy_qmc() -> Any:
    """The library of designs; FaultError saying what to install."""
    return scipy_stats().qmc


def scipy_stats() -> Any:
    """The library of designs and sensitivities; FaultError saying what to install."""
    try:
        from scipy import stats
    except ModuleNotFoundError:
        hint = "install steelyard[sweep], or sweep a grid without a picture"
        raise FaultError(due="SciPy", found="none", hint=hint) from None
    return stats


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
