"""The chi-square and normal tails that a reconciliation needs, in closed form."""

from math import erfc, exp, isfinite, pi, sqrt


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
    for k in range((degrees - 1) // 2):
        total += term
        term *= half / (k + 1.5)
    return min(total, 1.0)


def normal_below(z: float) -> float:
    """Standard normal distribution function."""
    return 0.5 * erfc(-z / sqrt(2.0))
