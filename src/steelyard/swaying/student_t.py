"""Student's distribution without SciPy, whose loading costs more than a whole answer."""

from functools import cache
from math import atan, cos, pi, sin, sqrt


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
