"""A small hierarchical model: styles within a kind, makers between, rows within, tails heavy.

y_i = m + a_style(i) + b_maker(i) + e_i, with a ~ t_3(0, t_a), b ~ N(0, t_b²), e ~ t_v(0, s_style).
A style unlike the others keeps its own mean, and has a scatter of its own, drawn to the kind's; v
is one of `TAILS`, all alike at first. Half-Cauchy priors on t_a and t_b (as inverse gammas mixed:
Makalic and Schmidt 2016, from memory), scaled inverse chi-squares on s². All steps conjugate, it
is a Gibbs sampler (Gelman et al., Bayesian Data Analysis, chapters 11 and 15, from memory).
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import lgamma, log
from typing import Final

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

Array = NDArray[np.float64]

TAILS: Final = np.array([4.0, 8.0, 16.0, 64.0])
"""Degrees of freedom that the rows' scatter may have, from heavy tails to nearly none."""
STYLE_TAIL: Final = 3.0
"""Degrees of freedom of the styles' means."""
POOL: Final = 8.0
"""Rows that the kind's scatter is worth to a style's own."""
ROUNDS: Final = 6000
WARM: Final = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """One style: middle and half-width of the 95 % interval of one more row by any maker, the
    half-width of the style's own mean, rows and makers behind it."""

    middle: float
    half_width: float
    mean_half_width: float
    rows: int
    makers: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """Posterior draws (rounds, ...): style means, maker sd, scatter of each style's rows, and the
    degrees of freedom of that scatter."""

    mean: Array
    between: Array
    within: Array
    tail: Array


def sample(
    y: Array,
    style: NDArray[np.intp],
    maker: NDArray[np.intp],
    *,
    alone: NDArray[np.bool_],
    between: float | None = None,
    seed: int = 0,
) -> Draws:
    """Draws for rows y (n,) of styles and makers numbered from zero; any unit.

    `alone` (styles,): those whose mean is not drawn towards the others'. `between`: sd between
    makers where that is assumed, not fitted. Rows are scaled to sd 1 inside.
    """
    rng = np.random.default_rng(seed)
    centre, scale = float(np.mean(y)), float(np.std(y)) or 1.0
    z = (y - centre) / scale
    S, M = int(style.max()) + 1, int(maker.max()) + 1
    a, b, heavy, apart = np.zeros(S), np.zeros(M), np.ones(len(z)), np.ones(S)
    m, var_a, var_s, var_0 = 0.0, 1.0, np.ones(S), 1.0
    var_b = 0.25 if between is None else (between / scale) ** 2
    found: list[tuple[Array, float, Array, float]] = []
    for round_ in range(WARM + ROUNDS):
        weight = heavy / var_s[style]
        a = _effects(rng, z - m - b[maker], weight, style, S, np.where(alone, 100.0, var_a / apart))
        b = _effects(rng, z - m - a[style], weight, maker, M, var_b)
        m = _effects(rng, z - a[style] - b[maker], weight, np.zeros_like(style), 1, 100.0)[0]
        residual = z - m - a[style] - b[maker]
        tail = _tail(rng, residual**2 / var_s[style])
        heavy = rng.gamma((tail + 1) / 2, 2 / (tail + residual**2 / var_s[style]))
        squares = np.bincount(style, heavy * residual**2, S)
        counts = np.bincount(style, minlength=S)
        var_s = (POOL * var_0 + squares) / rng.chisquare(POOL + counts)
        var_0 = rng.gamma(1 + S * POOL / 2, 1 / (1 + POOL / 2 * np.sum(1 / var_s)))
        apart = rng.gamma((STYLE_TAIL + 1) / 2, 2 / (STYLE_TAIL + a**2 / var_a))
        var_a = _variance(rng, (a * np.sqrt(apart))[~alone], var_a)
        var_b = _variance(rng, b, var_b) if between is None else var_b
        if round_ >= WARM:
            found.append((m + a, var_b**0.5, np.sqrt(var_s), tail))
    mean, between_, within, tails = (np.array(part) for part in zip(*found, strict=True))
    return Draws(
        mean=centre + scale * mean, between=scale * between_, within=scale * within, tail=tails
    )


def _tail(rng: Generator, squares: Array) -> float:
    """Degrees of freedom, given each row's squared distance in units of its scatter (n,)."""
    v = TAILS[:, None]
    density = np.array([lgamma((x + 1) / 2) - lgamma(x / 2) - log(x) / 2 for x in TAILS])
    log_density = len(squares) * density - np.sum((v + 1) / 2 * np.log1p(squares / v), axis=1)
    chance = np.exp(log_density - log_density.max())
    return float(rng.choice(TAILS, p=chance / chance.sum()))


def _effects(
    rng: Generator, rest: Array, weight: Array, group: NDArray[np.intp], n: int, var: Array | float
) -> Array:
    """Normal effects (n,) of prior variance `var`, given what is left of each row."""
    precision = np.bincount(group, weight, n) + 1 / var
    return np.asarray(rng.normal(np.bincount(group, weight * rest, n) / precision, precision**-0.5))


def _variance(rng: Generator, effects: Array, var: float) -> float:
    """One variance under a half-Cauchy prior of scale one half on its root."""
    mixed = 1 / rng.gamma(1.0, 1 / (4.0 + 1 / var))
    rate = 1 / mixed + float(np.sum(effects**2)) / 2
    return float(1 / rng.gamma((1 + len(effects)) / 2, 1 / rate))


def fit(
    y: Sequence[float],
    style: Sequence[str],
    maker: Sequence[str],
    *,
    alone: Collection[str],
    between: float | None = None,
    seed: int = 0,
) -> Mapping[str, Fit]:
    """Each style's interval for one more row by a maker nobody has asked yet; see `sample`."""
    styles, makers = sorted(set(style)), sorted(set(maker))
    of_style = np.array([styles.index(word) for word in style])
    of_maker = np.array([makers.index(word) for word in maker])
    own = np.array([word in alone for word in styles])
    draws = sample(np.array(y), of_style, of_maker, alone=own, between=between, seed=seed)
    rng = np.random.default_rng(seed + 1)
    n = len(draws.between)
    other = draws.between * rng.standard_normal(n)
    found = {}
    for number, word in enumerate(styles):
        new = draws.mean[:, number] + other + draws.within[:, number] * rng.standard_t(draws.tail)
        low, high = np.percentile(new, (2.5, 97.5))
        mean = np.percentile(draws.mean[:, number], (2.5, 97.5))
        rows = of_style == number
        found[word] = Fit(
            middle=float(low + high) / 2,
            half_width=float(high - low) / 2,
            mean_half_width=float(mean[1] - mean[0]) / 2,
            rows=int(np.sum(rows)),
            makers=len(set(of_maker[rows].tolist())),
        )
    return found
