"""Draws from an estimate: Latin hypercube base points, made once and shared by all questions."""

from functools import lru_cache
from statistics import NormalDist
from typing import Final

import numpy as np

from steelyard.estimate.estimate import Array, Estimate, Values

BLOCK: Final = 4_000_000
"""Numbers in a block taken and given back at once, never written. The C library keeps freed memory
for the next call up to twice the largest block ever given back (mallopt(3), M_MMAP_THRESHOLD);
without it a quarter of an assessment goes into fetching the same pages anew."""
FEW: Final = 400
"""Numbers in a matrix below which it is multiplied without the linear algebra library."""


@lru_cache(maxsize=8)
def base_points(n: int, p: int, seed: int) -> Array:
    """(n, p) standard normal points, one in each of n equal strata of every column.

    Centred Latin hypercube: McKay, Beckman & Conover, Technometrics 21 (1979) 239-245. The same
    (n, p, seed) gives the same array, read-only, so differences carry no sampling noise.
    """
    np.empty(BLOCK)
    normal = NormalDist()
    strata = np.array([normal.inv_cdf((i + 0.5) / n) for i in range(n)])
    points = np.tile(strata[:, None], (1, p))
    np.random.default_rng(seed).permuted(points, axis=0, out=points)
    points.flags.writeable = False
    return points


def draws(estimate: Estimate, n: int, seed: int) -> Array:
    """(n, p) draws on the estimate's scales, with its mean and covariance or as it remembers."""
    if estimate.memory is not None:
        columns = np.empty((len(estimate.names), n))
        _remembered(estimate, n, seed, columns)
        return np.ascontiguousarray(columns.T)
    base = base_points(n, len(estimate.names), seed)
    points = base @ root(estimate.cov).T
    points += estimate.mean  # in place: a second (n, p) array costs more than the product
    return points


def drawn(estimate: Estimate, n: int, seed: int, first: Array) -> Values:
    """Every parameter in SI at the points `first` (m, p) and at n draws after them, (m + n,).

    The same as `estimate.values` of both in a row, in one array of memory instead of three.
    """
    m, p = first.shape
    columns = np.empty((p, m + n))
    columns[:, :m] = first.T
    if estimate.memory is not None:
        _remembered(estimate, n, seed, columns[:, m:])
    else:
        _product(root(estimate.cov), _by_column(n, p, seed), columns[:, m:])
        columns[:, m:] += estimate.mean[:, None]
    estimate.off_scales(columns)
    return estimate.named(columns)


def _remembered(estimate: Estimate, n: int, seed: int, out: Array) -> None:
    """Draws (p, n) of what is still as weighed by the memory, of the rest on its own, into `out`.

    The two are independent; so are their base points, which come from further columns.
    """
    memory = estimate.memory
    assert memory is not None
    here, there = memory.kept(estimate)
    made = memory.drawn(n, seed)
    out[here] = made[there]
    fresh = np.setdiff1d(np.arange(len(estimate.names)), here)
    if fresh.size:
        own = np.ix_(fresh, fresh)
        base = base_points(n, len(made) + len(estimate.names), seed).T[len(made) + fresh]
        out[fresh] = root(estimate.cov[own]) @ base + estimate.mean[fresh, None]


@lru_cache(maxsize=2)
def _by_column(n: int, p: int, seed: int) -> Array:
    """`base_points` as (p, n), each parameter's points in one run of memory."""
    columns = np.ascontiguousarray(base_points(n, p, seed).T)
    columns.flags.writeable = False
    return columns


def _product(factor: Array, base: Array, out: Array) -> None:
    """factor (p, p) times base (p, n), into `out`.

    Most parameters know nothing of each other, so most of a root's rows are its diagonal alone.
    """
    tied = np.count_nonzero(factor, axis=1) > 1
    np.multiply(np.diag(factor)[:, None], base, out=out)
    if tied.any():
        used = np.flatnonzero(np.any(factor[tied] != 0.0, axis=0))
        part = factor[np.ix_(tied, used)]
        few = part.size < FEW  # not worth waking a second core, which then spins for a while
        out[tied] = np.einsum("ij,jk->ik", part, base[used]) if few else part @ base[used]


def root(cov: Array) -> Array:
    """(p, p) R with R Rᵀ = cov; works for covariances that are only semi-definite."""
    sd = np.sqrt(np.maximum(np.diag(cov), 0.0))
    scale = np.where(sd > 0, sd, 1.0)
    correlation = cov / np.outer(scale, scale)
    try:
        factor = np.linalg.cholesky(correlation + 1e-12 * np.eye(len(sd)))
    except np.linalg.LinAlgError:
        values, vectors = np.linalg.eigh(correlation)
        factor = vectors * np.sqrt(np.maximum(values, 0.0))
    return np.asarray(scale[:, None] * factor)
