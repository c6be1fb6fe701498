"""Importance weights of projected draws: how much each counts in the exact posterior.

A draw x came from a normal ξ by x + K bent(x) = ξ, so its density is that of ξ times
|det(I + (H(x) - H) K)|; the posterior's is prior times the readings' normal errors. Their ratio is
the weight (Robert & Casella, Monte Carlo Statistical Methods, 2nd ed. 2004, section 3.3, from
memory). Where nearly all draws count alike the draws are the posterior.
"""

import numpy as np

from steelyard.estimate import Array, Memory
from steelyard.estimate.draws_as_read import Tangent, projected, tangent

STEP = 1e-3
"""Central-difference step, in prior sd."""


def weighted(memory: Memory, n: int, seed: int) -> tuple[Array, Array]:
    """Draws (p, n) on the scales and weights (n,) that sum to one."""
    line = tangent(memory.prior, memory.readings, memory.posterior)
    x = projected(line, n, seed)
    with np.errstate(all="ignore"):
        log = _posterior(memory, line, x) - _own(memory, line, x)
    log = np.where(np.isfinite(log), log, -np.inf)
    weight = np.exp(log - log.max())
    return x, np.asarray(weight / weight.sum())


def alike(weight: Array) -> float:
    """Part of the draws that count in effect (Kong, 1992): 1 where all weights are the same."""
    return float(1.0 / np.sum(weight**2) / len(weight))


def _posterior(memory: Memory, line: Tangent, x: Array) -> Array:
    """Log density of prior times readings, a constant apart."""
    off = x - memory.prior.mean[:, None]
    seen = np.array([one.value for one in memory.readings])[:, None]
    sd = np.array([one.sd for one in memory.readings])[:, None]
    own = np.einsum("in,in->n", off, np.linalg.solve(memory.prior.cov, off))
    return np.asarray(-0.5 * (own + np.sum(((line.predict(x[line.used]) - seen) / sd) ** 2, 0)))


def _own(memory: Memory, line: Tangent, x: Array) -> Array:
    """Log density with which the draws were made, a constant apart."""
    at = x[line.used]
    ksi = np.linalg.solve(line.root, x + line.gain @ line.bent(at) - line.mean[:, None])
    step = STEP * memory.prior.sd[line.used]
    slopes = np.stack(
        [
            (line.predict(at + up[:, None]) - line.predict(at - up[:, None])) / (2 * size)
            for up, size in zip(np.diag(step), step, strict=True)
        ]
    )
    turned = np.einsum("jmn,jk->nmk", slopes, line.gain[line.used])
    turned -= line.slope @ line.gain[line.used]
    sign, size = np.linalg.slogdet(np.eye(len(line.shown)) + turned)
    return np.asarray(-0.5 * np.sum(ksi**2, axis=0) + np.where(sign > 0, size, np.nan))
