"""Draws of a posterior that reproduce what was read, by randomising and then optimising.

With f the predictions, x0 the posterior's mean, C its covariance, H the slope of f at x0, R the
noise and K = C Hᵀ R⁻¹, each x solves

    x + K (f(x) - f(x0) - H (x - x0)) = x0 + ξ,    ξ normal with covariance C,

the perturbed normal equations of the least-squares problem (Bardsley, Solonen, Haario & Laine,
SIAM J. Sci. Comput. 36 (2014) A1895-A1910, from memory). The density that this leaves behind is
det(I + K (H(x) - H)) times exp(wᵀ bend) too large, w = R⁻¹ (y - f(x0)); both are taken off to the
first order that moves mean and covariance: the first by a shift, the second in C.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate.estimate import Array, Estimate, Reading, marginal
from steelyard.estimate.points import named_points, root, tied_rows, turned
from steelyard.estimate.propagate import STEP, linearise

ROUNDS: Final = 20
"""Rounds in which a draw must settle."""
DEPTH: Final = 2
"""Steps back that the next round learns from."""
NEAR: Final = 0.01
"""Part of a reading's own sd within which a draw must meet it, or of `LEAST`."""
LEAST: Final = 1e-4
"""Part of the spread with which a reading was foretold; nothing is solved more finely."""
HALVINGS: Final = 4
"""Times that a draw which does not settle is taken half way to the mean."""
MOST: Final = 4.0
"""Factor by which curvature may change a variance: beyond, the second order says nothing."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tangent:
    """A posterior over q parameters at its mean, with m readings that look at d of them.

    used: places (d,) of those; shown: predictions (m,); slope: (m, d); gain: K, (q, m); mean: (q,),
    shifted, and root (q, q), bent: what the draws ξ are made with; near: (m,), how closely a draw
    must be solved; belief, fixed: what turns columns of the used parameters into values.
    """

    names: tuple[str, ...]
    readings: tuple[Reading, ...]
    used: NDArray[np.intp]
    shown: Array
    slope: Array
    gain: Array
    centre: Array
    mean: Array
    root: Array
    near: Array
    belief: Estimate
    fixed: dict[str, Array]

    def predict(self, columns: Array) -> Array:
        """Predictions (m, n) at columns (d, n) of the used parameters on their scales."""
        rows = columns.copy()
        self.belief.off_scales(rows)
        v = {**self.fixed, **self.belief.named(rows)}
        return np.array([np.broadcast_to(one.predict(v), rows.shape[1:]) for one in self.readings])

    def bent(self, columns: Array) -> Array:
        """What the predictions are beyond the straight line through the mean, (m, n)."""
        straight = self.slope @ (columns - self.centre[self.used, None])
        return np.asarray(self.predict(columns) - self.shown[:, None] - straight)


@np.errstate(all="ignore")
def tangent(prior: Estimate, readings: Sequence[Reading], posterior: Estimate) -> Tangent:
    """A posterior with its readings made ready for drawing: some thousand predictions.

    Where these are no numbers, no reading is looked at: the draws are those of mean and covariance.
    """
    shown, slope = linearise(prior, readings, posterior.mean)
    noise = np.array([reading.sd**2 for reading in readings])
    foretold = slope @ prior.cov @ slope.T + np.diag(noise)
    sound = bool(np.isfinite(foretold).all())
    crossed = slope @ prior.cov
    gain = np.linalg.lstsq(foretold, crossed, rcond=None)[0].T if sound else 0.0 * crossed.T
    used = np.flatnonzero(np.any(slope != 0.0, axis=0) & sound)
    flat = Tangent(
        names=posterior.names,
        readings=tuple(readings),
        used=used,
        shown=shown,
        slope=slope[:, used],
        gain=np.asarray(gain),
        centre=posterior.mean,
        mean=posterior.mean,
        root=root(posterior.cov),
        near=NEAR * np.maximum(np.sqrt(noise), LEAST * np.sqrt(np.diag(foretold))),
        belief=marginal(posterior, [posterior.names[place] for place in used]),
        fixed=dict(posterior.at_mean()),
    )
    pull = (np.array([reading.value for reading in readings]) - shown) / noise
    return _bent(flat, _bends(flat, STEP * prior.sd[used]), posterior.cov, pull)


def _bends(flat: Tangent, step: Array) -> Array:
    """Second derivatives (m, d, d) of the predictions, by forward differences in one batch."""
    d = len(step)
    i, j = np.triu_indices(d)
    apart = np.diag(step)
    points = flat.centre[flat.used] + np.concatenate([apart, apart[i] + apart[j]])
    shown = flat.predict(points.T)
    one, two = shown[:, :d], shown[:, d:]
    found = np.zeros((len(shown), d, d))
    found[:, i, j] = (two - one[:, i] - one[:, j] + flat.shown[:, None]) / (step[i] * step[j])
    found[:, j, i] = found[:, i, j]
    return found


def _bent(flat: Tangent, bends: Array, cov: Array, pull: Array) -> Tangent:
    """The shift for the determinant and the root for the curvature that the misfit weighs.

    No direction's variance is changed by more than `MOST` times.
    """
    used = flat.used
    if not used.size or not np.all(np.isfinite(bends)):
        return flat
    shift = -cov[:, used] @ np.einsum("ijk,ki->j", bends, flat.gain[used])
    seen = np.flatnonzero(np.any(flat.root[used] != 0.0, axis=0))
    part = flat.root[np.ix_(used, seen)]
    found, vectors = np.linalg.eigh(part.T @ np.einsum("i,ijk->jk", pull, bends) @ part)
    changed = 1.0 / np.sqrt(1.0 - np.clip(found, 1.0 - MOST, 1.0 - 1.0 / MOST))
    bent = flat.root.copy()  # what no reading looks at stays as it is, to the last digit
    bent[:, seen] = flat.root[:, seen] @ (vectors * changed) @ vectors.T
    return replace(flat, mean=flat.mean + shift, root=bent)


@np.errstate(all="ignore")
def projected(line: Tangent, n: int, seed: int) -> Array:
    """(q, n) draws on the scales: base points as `draws` has them, then moved onto the readings."""
    points = np.empty((len(line.names), n))
    turned(line.root, tied_rows(line.root), named_points(line.names, n, seed), points)
    points += line.mean[:, None]
    left = np.arange(n if line.used.size else 0)
    borne = np.flatnonzero(np.any(line.gain, axis=1))
    for _ in range(HALVINGS + 1):
        off, settled = _solved(line, points[line.used[:, None], left])
        points[np.ix_(borne, left[settled])] -= line.gain[borne] @ off[:, settled]
        left = left[~settled]
        if not left.size:
            break
        points[:, left] = 0.5 * (points[:, left] + line.mean[:, None])
    return np.asarray(points)


def _solved(line: Tangent, points: Array) -> tuple[Array, NDArray[np.bool_]]:
    """(m, n) what each draw's predictions are off the straight line where it ends, and whether it
    settled there. points: (d, n), where the draws would be were the predictions straight.

    Rounds of q = bent(points - K q), each mixed with the last (Anderson, J. ACM 12 (1965) 547-560).
    """
    m, n = len(line.shown), points.shape[1]
    found, settled, left = np.zeros((m, n)), np.zeros(n, dtype=bool), np.arange(n)
    off, past = np.zeros((m, n)), list[tuple[Array, Array]]()
    gain = line.gain[line.used]
    for _ in range(ROUNDS):
        bent = line.bent(points - gain @ off)
        moved = bent - off
        there = np.all(np.abs(moved) < line.near[:, None], axis=0)
        found[:, left[there]], settled[left[there]] = bent[:, there], True
        going = ~there & np.all(np.isfinite(bent), axis=0)
        left, points = left[going], points[:, going]
        if not left.size:
            break
        past = [(a[:, going], b[:, going]) for a, b in past[-DEPTH:]]
        past.append((bent[:, going], moved[:, going] / line.near[:, None]))
        off = _mixed(past)
    return found, settled


def _mixed(past: list[tuple[Array, Array]]) -> Array:
    """Where each draw goes from its last rounds' ends and steps, (m, n) each."""
    ends, steps = (np.stack(part) for part in zip(*past, strict=True))
    if len(past) == 1:
        return np.asarray(ends[0])
    between = np.diff(steps, axis=0)
    square = np.einsum("kan,lan->nkl", between, between)
    square += (1e-12 * np.trace(square, axis1=1, axis2=2) + 1e-300)[:, None, None] * np.eye(
        len(between)
    )
    share = np.linalg.solve(square, np.einsum("kan,an->nk", between, steps[-1])[..., None])[..., 0]
    return np.asarray(ends[-1] - np.einsum("kan,nk->an", np.diff(ends, axis=0), share))
