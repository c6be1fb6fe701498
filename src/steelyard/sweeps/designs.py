"""Where in the ranges variants stand: a grid, Latin hypercubes, or a Sobol sequence, by part.

A part's points hang on its number alone, never on who works it out or on what came before.
"""

from collections.abc import Callable
from typing import Any, Final, Literal

import numpy as np

from steelyard.estimate import Array
from steelyard.fault import Fault, FaultError

By = Literal["grid", "lhs", "sobol"]
BYS: Final[tuple[By, ...]] = ("grid", "lhs", "sobol")
MOST: Final = 1_000_000_000
"""Variants of a sweep."""


def how_many(by: By, n: int, count: int) -> int:
    """How many variants: n, or, of a grid over `count` ranges, n in each.

    FaultError for too many.
    """
    if n < 1:
        raise FaultError(Fault(argument="n", due="at least one variant", found=str(n)))
    whole = n**count if by == "grid" else n
    if whole > MOST:
        each = f"{n} in each of {count} ranges is " if by == "grid" else ""
        due = f"at most {MOST:,} variants"
        raise FaultError(Fault(argument="n", due=due, found=f"{each}{whole:,}"))
    return whole


def points(by: By, n: int, count: int, start: int, stop: int, seed: int) -> Array:
    """Variants start to stop, (stop - start, count), each in 0 to 1.

    grid: n values of each range, ends included, the last range fastest; lhs: a Latin hypercube of
    each part's own size; sobol: scrambled.
    """
    return _WAYS[by](n, count, start, stop, seed)


def _grid(n: int, count: int, start: int, stop: int, seed: int) -> Array:
    del seed
    place, found = np.arange(start, stop), np.empty((stop - start, count))
    for column in range(count - 1, -1, -1):
        place, left = np.divmod(place, n)
        found[:, column] = left / (n - 1) if n > 1 else 0.5
    return found


def _lhs(n: int, count: int, start: int, stop: int, seed: int) -> Array:
    del n
    rng = np.random.default_rng([seed, start])
    return np.asarray(scipy_qmc().LatinHypercube(count, rng=rng).random(stop - start))


def _sobol(n: int, count: int, start: int, stop: int, seed: int) -> Array:
    del n
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
        raise FaultError(Fault(due="SciPy", found="none", hint=hint)) from None
    return stats
