"""Draws from an estimate: base points, shared by all questions, on its mean and covariance."""

from functools import lru_cache

import numpy as np

from steelyard.estimate.estimate import Array, Estimate, Values, off_scale
from steelyard.estimate.memory import remembered
from steelyard.estimate.points import column, named_points, root, tied_rows, turned
from steelyard.quantity import Scale


def draws(estimate: Estimate, n: int, seed: int) -> Array:
    """(n, p) draws on the estimate's scales, with its mean and covariance or as it remembers."""
    if estimate.memory is not None:
        columns = np.empty((len(estimate.names), n))
        _remembered(estimate, n, seed, columns)
        return np.ascontiguousarray(columns.T)
    points = root(estimate.cov) @ named_points(estimate.names, n, seed)
    points += estimate.mean[:, None]  # in place: a second (p, n) array costs more than the product
    return np.ascontiguousarray(points.T)


def drawn(estimate: Estimate, n: int, seed: int, first: Array, again: int = 0) -> Values:
    """Every parameter in SI at the points `first` (m, p) and at n draws after them, (m + n,); the
    first draws, `again` of them, stand between the two as well, for the caller to alter.

    The same as `estimate.values` of both in a row, in one array of memory instead of three.
    """
    m, p = len(first) + again, first.shape[1]
    columns = np.empty((p, m + n))
    columns[:, : len(first)] = first.T
    estimate.off_scales(columns[:, : len(first)])
    points = columns[:, m:]
    if estimate.memory is not None:
        _remembered(estimate, n, seed, points)
        estimate.off_scales(points)
    else:
        _without_memory(estimate, n, seed, points)
    columns[:, len(first) : m] = points[:, :again]
    return estimate.named(columns)


def _without_memory(estimate: Estimate, n: int, seed: int, out: Array) -> None:
    """Draws (p, n) in SI, into `out`, of an estimate without a memory."""
    factor = root(estimate.cov)
    tied = tied_rows(factor)
    turned(factor, tied, named_points(estimate.names, n, seed), out)
    out += estimate.mean[:, None]
    for place, (name, scale) in enumerate(zip(estimate.names, estimate.scales, strict=True)):
        if scale == "linear":
            continue
        if tied[place]:
            out[place] = off_scale(out[place], scale)
        else:
            mean, sd = float(estimate.mean[place]), float(factor[place, place])
            out[place] = _alone(name, scale, mean, sd, n, seed)


@lru_cache(maxsize=512)
def _alone(name: str, scale: Scale, mean: float, sd: float, n: int, seed: int) -> Array:
    """Draws (n,) in SI of a parameter that knows nothing of the others: what rides elsewhere in the
    same trailer changes few of them, and an exponential costs more than all else of a draw."""
    return off_scale(column(name, n, seed) * sd + mean, scale)


def _remembered(estimate: Estimate, n: int, seed: int, out: Array) -> None:
    """Draws (p, n) of what is still as weighed by the memory, of the rest on its own, into `out`.

    The two are independent; so are their base points: what was stated anew has points of its own.
    """
    memory = estimate.memory
    assert memory is not None
    here, there = memory.kept(estimate)
    made = remembered(memory, n, seed)
    out[here] = made[there]
    fresh = np.setdiff1d(np.arange(len(estimate.names)), here)
    if fresh.size:
        own = np.ix_(fresh, fresh)
        known = memory.posterior.index
        names = (estimate.names[place] for place in fresh)
        base = named_points(tuple(f"{x} anew" if x in known else x for x in names), n, seed)
        out[fresh] = root(estimate.cov[own]) @ base + estimate.mean[fresh, None]
