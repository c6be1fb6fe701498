"""Tails of the normal, chi-square and Student distributions in closed form, without SciPy, whose
loading costs more than a whole answer."""

from functools import cache
from math import atan, cos, erfc, exp, isfinite, pi, sin, sqrt


def chi_square_chance(x: float, degrees: int) -> float:
    """Chance that a chi-square of `degrees` (whole) exceeds x.

    Closed form for whole degrees of freedom: Abramowitz & Stegun 26.4.4 and 26.4.5.
    """
    if not isfinite(x):
        return 0.0  # readings that no rig could give
    if degrees <= 0 or x <= 0:
        return 1.0
    half = x / 2
    if degrees % 2 == 0:
        term = total = exp(-half)
        for k in range(1, degrees // 2):
            term *= half / k
            total += term
        return min(total, 1.0)
    total = erfc(sqrt(half))
    term = 2.0 * sqrt(half / pi) * exp(-half)
    for k in range(degrees // 2):
        total += term
        term *= half / (k + 1.5)
    return min(total, 1.0)


def normal_below(z: float) -> float:
    """Standard normal distribution function."""
    return 0.5 * erfc(-z / sqrt(2.0))


def student_within(t: float, degrees: int) -> float:
    """Chance that |T| < t: the finite series of Abramowitz & Stegun 26.7.3 and 26.7.4."""
    angle = atan(t / sqrt(degrees))
    c, s = cos(angle), sin(angle)
    term, total = (c, c) if degrees % 2 else (1.0, 1.0)
    first = 3 if degrees % 2 else 2
    for k in range(first, degrees - 1, 2):
        term *= c * c * (k - 1) / k
        total += term
    if degrees % 2:
        return 2 / pi * (angle + (s * total if degrees > 1 else 0.0))
    return s * total


@cache
def student_quantile(p: float, degrees: int) -> float:
    """The t below which a share p > 0.5 lies; degrees above 400 are as 400 (1e-3 off at most)."""
    n = min(degrees, 400)
    low, high = 0.0, 1000.0
    for _ in range(80):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if student_within(middle, n) < 2 * p - 1 else (low, middle)
    return 0.5 * (low + high)
