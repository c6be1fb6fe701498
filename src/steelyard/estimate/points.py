"""Latin hypercube base points, made once and shared by all questions, and what turns them."""

from functools import lru_cache
from statistics import NormalDist
from typing import Final
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate.estimate import Array

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
def column(name: str, n: int, seed: int) -> Array:
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
    points = np.array([column(name, n, seed) for name in names]).reshape(len(names), n)
    points.flags.writeable = False
    return points


def root(cov: Array) -> Array:
    """(p, p) R with R Rᵀ = cov; works for covariances that are only semi-definite. A parameter tied
    to no other has its standard deviation on the diagonal, and nothing beside it."""
    sd = np.sqrt(np.maximum(np.diag(cov), 0.0))
    factor = np.diag(sd)
    tied = np.flatnonzero(np.any(cov - np.diag(np.diag(cov)), axis=1))
    if tied.size:
        block = np.ix_(tied, tied)
        factor[block] = _root_of_tied(cov[block], sd[tied])
    return factor


def _root_of_tied(cov: Array, sd: Array) -> Array:
    scale = np.where(sd > 0, sd, 1.0)
    correlation = cov / np.outer(scale, scale)
    try:
        factor = np.linalg.cholesky(correlation + 1e-12 * np.eye(len(sd)))
    except np.linalg.LinAlgError:
        values, vectors = np.linalg.eigh(correlation)
        factor = vectors * np.sqrt(np.maximum(values, 0.0))
    return np.asarray(scale[:, None] * factor)


def tied_rows(factor: Array) -> NDArray[np.bool_]:
    """Which rows (p,) of a root (p, p) hold more than the diagonal; most do not."""
    return np.asarray(np.any(factor != np.diag(np.diag(factor)), axis=1))


def turned(factor: Array, tied: NDArray[np.bool_], base: Array, out: Array) -> None:
    """factor (p, p) times base (p, n), into `out`; `tied`: rows of more than the diagonal."""
    np.multiply(np.diag(factor)[:, None], base, out=out)
    if tied.any():
        used = np.flatnonzero(np.any(factor[tied] != 0.0, axis=0))
        part = factor[np.ix_(tied, used)]
        few = part.size < FEW  # not worth waking a second core, which then spins for a while
        out[tied] = np.einsum("ij,jk->ik", part, base[used]) if few else part @ base[used]
