"""What some rigs say of the next one: a normal model of three levels, integrated on a grid.

Rig i of style k is seen at y_i with sd s_i, whatever the style; unit-free:

    y_i ~ N(theta_i, s_i^2),  theta_i ~ N(mu_k, tau_k^2),  mu_k = shipped_k + kappa + lambda_k

kappa is shared by the styles of a kind, lambda_k is the style's own; both have a Student t with
`TAIL` degrees of freedom, so that rigs which speak clearly against a shipped value are believed.
tau has a half-t, times what the shipped rows say of it, and is integrated over, never estimated:
an estimate of few rigs is often zero (Gelman, Bayesian Analysis 1 (2006) 515-534, from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

TAIL: Final = 4.0
"""Degrees of freedom of kappa, lambda and tau (weakly informative; judgement)."""
SHARED: Final = 0.25
"""Of the variance of a shipped mean, the part that styles of a kind share (judgement)."""
TAU: Final = np.geomspace(0.02, 20.0, 70)
"""Grid of tau, in shipped sd; equal steps of the logarithm."""
OMEGA: Final = np.geomspace(0.1, 1e4, 28)
"""Grid of lambda's variance, over its scale's square."""
KAPPA: Final = np.linspace(-5.5, 5.5, 111)
"""Grid of kappa: the inverse hyperbolic sine of its scales."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shipped:
    """A typical value as shipped: what the next rig is foretold at, sd, and the rows behind it.

    Rigs are taken to scatter by the whole sd about a mean known to sd/sqrt(rows + 1).
    """

    value: float
    sd: float
    rows: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """Rigs of one style, one entry a rig: y (n,), s (n,) above zero; and the shipped value."""

    y: Array
    s: Array
    shipped: Shipped


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """The next rig of a style: value and sd; how well the style's mean is known, `mean_sd`; the
    root mean square of tau, `between`; and how many `rigs` were seen."""

    value: float
    sd: float
    mean_sd: float
    between: float
    rigs: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sums:
    """Of a style's rigs at each tau (T,): sums of w, w y, w y^2 and log w, w = 1/(s^2 + tau^2)."""

    w: Array
    wy: Array
    wyy: Array
    log: Array


def sums(y: Array, s: Array, tau: Array) -> Sums:
    """Sums over rigs (n,) at each tau (T,)."""
    w = 1.0 / (s**2 + tau[:, None] ** 2)
    return Sums(w=w.sum(axis=1), wy=w @ y, wyy=w @ y**2, log=np.log(w).sum(axis=1))


def mean_of(found: Sums, centre: Array, omega: Array) -> tuple[Array, Array, Array]:
    """A style's mean, its variance, and the log likelihood of tau, centre and omega, where the mean
    is N(centre, omega) before: all broadcast, tau last. The likelihood has sqrt(2 pi)s left out."""
    spread = 1.0 + omega * found.w
    mean = (omega * found.wy + centre) / spread
    off = found.wy - found.w * centre
    square = found.wyy - centre * (2.0 * found.wy - centre * found.w) - omega * off**2 / spread
    return mean, omega / spread, 0.5 * (found.log - np.log(spread) - square)


def learned(styles: Sequence[Seen]) -> tuple[Learned, ...]:
    """The next rig of each style of one kind; every style has at least one rig."""
    unit = float(np.median([one.shipped.sd / np.sqrt(one.shipped.rows + 1.0) for one in styles]))
    kappa = np.sinh(KAPPA) * unit * np.sqrt(SHARED * (TAIL - 2.0) / TAIL)
    log_kappa = _log_t(np.sinh(KAPPA)) + np.log(np.cosh(KAPPA))
    grids = [_grid(one, kappa) for one in styles]
    by_kappa = np.array([_log_sum(grid.log) for grid in grids])
    together = log_kappa + by_kappa.sum(axis=0)
    return tuple(
        _next(one, grid, together - mine)
        for one, grid, mine in zip(styles, grids, by_kappa, strict=True)
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Grid:
    """One style at each kappa, omega and tau (K, O, T): its mean, the mean's variance, the log of
    the likelihood times the priors of omega and tau; tau (T,)."""

    mean: Array
    variance: Array
    log: Array
    tau: Array


def _grid(one: Seen, kappa: Array) -> _Grid:
    rows, sd = one.shipped.rows, one.shipped.sd
    tau = TAU * sd
    scale = (1.0 - SHARED) * sd**2 / (rows + 1.0) * (TAIL - 2.0) / TAIL
    found = sums(one.y - one.shipped.value, one.s, tau)
    omega = (OMEGA * scale)[:, None]
    mean, variance, log = mean_of(found, kappa[:, None, None], omega)
    of_omega = -0.5 * TAIL * (np.log(OMEGA) + 1.0 / OMEGA)
    return _Grid(
        mean=mean,
        variance=np.broadcast_to(variance, mean.shape),
        log=log + of_omega[:, None] + log_between(TAU, rows),
        tau=tau,
    )


def log_between(ratio: Array, rows: float) -> Array:
    """Log prior of tau on the logarithm's steps, at `ratio` of what shipped rows scatter by.

    A half-t of that scale, and the likelihood of rows - 1 deviations of that size.
    """
    return np.asarray(
        _log_t(ratio) - (rows - 1.0) * (np.log(ratio) + 0.5 / ratio**2) + np.log(ratio)
    )


def _log_t(x: Array) -> Array:
    return np.asarray(-0.5 * (TAIL + 1.0) * np.log1p(x**2 / TAIL))


def _log_sum(log: Array) -> Array:
    """Log of the sum of exponentials over all but the first axis."""
    flat = log.reshape(len(log), -1)
    top = flat.max(axis=1)
    return np.asarray(top + np.log(np.exp(flat - top[:, None]).sum(axis=1)))


def _next(one: Seen, grid: _Grid, others: Array) -> Learned:
    """Moments of the mixture; `others` (K,): kappa's prior and what other styles say of it."""
    log = grid.log + others[:, None, None]
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    mean = float(np.sum(weight * grid.mean))
    variance = float(np.sum(weight * (grid.variance + (grid.mean - mean) ** 2)))
    between = float(np.sum(weight * grid.tau**2))
    return Learned(
        value=one.shipped.value + mean,
        sd=float(np.sqrt(variance + between)),
        mean_sd=float(np.sqrt(variance)),
        between=float(np.sqrt(between)),
        rigs=len(one.y),
    )
