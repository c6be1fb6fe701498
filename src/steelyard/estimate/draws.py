"""Draws from an estimate: Latin hypercube base points, made once and shared by all questions."""

from functools import lru_cache
from statistics import NormalDist
from typing import Final
from zlib import crc32

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
    points = np.tile(_strata(n)[:, None], (1, p))
    np.random.default_rng(seed).permuted(points, axis=0, out=points)
    points.flags.writeable = False
    return points


@lru_cache(maxsize=1024)
def _column(name: str, n: int, seed: int) -> Array:
    """One parameter's points, the same in whatever company it is drawn, (n,)."""
    points = np.random.default_rng([seed, crc32(name.encode())]).permuted(_strata(n))
    points.flags.writeable = False
    return points


@lru_cache(maxsize=8)
def _strata(n: int) -> Array:
    """The middle of each of n equally likely parts of the standard normal, in order."""
    np.empty(BLOCK)
    normal = NormalDist()
    return np.array([normal.inv_cdf((i + 0.5) / n) for i in range(n)])


@lru_cache(maxsize=4)
def named_points(names: tuple[str, ...], n: int, seed: int) -> Array:
    """(p, n) standard normal points of parameters, each from a stream of its own name: a rig with
    one parameter more or less, or in another order, is drawn at the same points in the others."""
    points = np.array([_column(name, n, seed) for name in names]).reshape(len(names), n)
    points.flags.writeable = False
    return points


def draws(estimate: Estimate, n: int, seed: int) -> Array:
    """(n, p) draws on the estimate's scales, with its mean and covariance or as it remembers."""
    if estimate.memory is not None:
        columns = np.empty((len(estimate.names), n))
        _remembered(estimate, n, seed, columns)
        return np.ascontiguousarray(columns.T)
    points = root(estimate.cov) @ named_points(estimate.names, n, seed)
    points += estimate.mean[:, None]  # in place: a second (p, n) array costs more than the product
    return np.ascontiguousarray(points.T)


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
        _product(root(estimate.cov), named_points(estimate.names, n, seed), columns[:, m:])
        columns[:, m:] += estimate.mean[:, None]
    estimate.off_scales(columns)
    return estimate.named(columns)


def _remembered(estimate: Estimate, n: int, seed: int, out: Array) -> None:
    """Draws (p, n) of what is still as weighed by the memory, of the rest on its own, into `out`.

    The two are independent; so are their base points: what was stated anew has points of its own.
    """
    memory = estimate.memory
    assert memory is not None
    here, there = memory.kept(estimate)
    made = memory.drawn(n, seed)
    out[here] = made[there]
    fresh = np.setdiff1d(np.arange(len(estimate.names)), here)
    if fresh.size:
        own = np.ix_(fresh, fresh)
        known = memory.posterior.index
        names = (estimate.names[place] for place in fresh)
        base = named_points(tuple(f"{x} anew" if x in known else x for x in names), n, seed)
        out[fresh] = root(estimate.cov[own]) @ base + estimate.mean[fresh, None]


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
