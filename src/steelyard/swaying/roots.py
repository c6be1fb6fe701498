"""All roots of the characteristic polynomial for many rigs at once, without a matrix.

With tyres that all lag by one relaxation length, each cornering force is that of `model` times
1/(1 + t s), t = lag/u, so the determinant is a sum over how many tyre forces each product holds,

    (1 + t s)^3 P0(s) + (1 + t s)^2 P1(s) + (1 + t s) P2(s) + P3(s),

of degree 7; without lag it is the quartic of `model`. The least damped pair is followed by Newton's
method and held to a certificate: Sturm's chain counts the roots in the sector of lower damping,
which must be none. What the certificate leaves open goes back to the eigenvalues.
"""

from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.swaying.closed_forms import arguments, coefficients
from steelyard.swaying.combination import Combination

ROUNDS: Final = 12
"""Steps of Newton's method, at most."""
CLOSE: Final = 1e-11
"""Relative step at which a root has settled."""
FEW: Final = 0.003
"""Share that need not settle: those are left to the eigenvalues."""
SLACK: Final = 1e-3
"""Of damping ratio: another root no further above leaves open which is the least damped. Much less,
and beside a root that neither grows nor dies out the chain is all rounding."""
CLEAR: Final = 1e-9
"""Share of its parts that a leading coefficient of the chain must keep."""
RATE: Final = 5.0
"""1/s, of the order of the roots: what s is measured in without lag."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """Characteristic polynomials of n rigs, for any speed: the numbers of `coefficients` without
    the spring (12, n), damper, spring and lag (n,); `lagging` whether any tyre lags."""

    numbers: Array
    damper: Array
    spring: Array
    lag: Array
    lagging: bool

    def of(self, which: Any) -> "Family":
        """Some of the rigs."""
        return Family(
            numbers=self.numbers[:, which],
            damper=self.damper[which],
            spring=self.spring[which],
            lag=self.lag[which],
            lagging=self.lagging,
        )

    def rate(self, speed: Array) -> Array:
        """1/s, (n,): what s is measured in."""
        return speed / self.lag if self.lagging else np.full(self.lag.shape, RATE)

    def at(self, speed: Array) -> Array:
        """Coefficients (degree + 1, n) in z = s/rate at a speed (n,), highest first and 1."""
        p, x, c, k = self.numbers, 1.0 / speed, self.damper, self.spring
        g = 1.0 / self.rate(speed)
        g2 = g * g
        lead = 1.0 / p[0]
        free = (lead * p[2] * c * g, lead * p[2] * k * g2)
        one = (
            lead * p[1] * x * g,
            lead * (p[5] + c * p[4] * x) * g2,
            lead * (c * p[9] + k * p[4] * x) * g2 * g,
            lead * k * p[9] * g2 * g2,
        )
        two = (
            lead * p[3] * x * x * g2,
            lead * (p[8] + c * p[7] * x) * x * g2 * g,
            lead * (p[11] + k * p[7] * x * x) * g2 * g2,
        )
        three = (lead * p[6] * x**3 * g2 * g, lead * p[10] * x * x * g2 * g2)
        return _delayed(free, one, two, three) if self.lagging else _prompt(free, one, two, three)


def _prompt(free: Any, one: Any, two: Any, three: Any) -> Array:
    """The quartic (5, n)."""
    return np.stack(
        [
            np.ones_like(one[0]),
            free[0] + one[0],
            free[1] + one[1] + two[0],
            one[2] + two[1] + three[0],
            one[3] + two[2] + three[1],
        ]
    )


def _delayed(free: Any, one: Any, two: Any, three: Any) -> Array:
    """The septic (8, n): products with (1 + z)^3, (1 + z)^2 and 1 + z."""
    whole = np.zeros((8, *one[0].shape))
    for place, part in ((0, 1.0), (1, free[0]), (2, free[1])):
        for power, times in enumerate((1.0, 3.0, 3.0, 1.0)):
            whole[place + power] += times * part
    for place, part in enumerate(one):
        for power, times in enumerate((1.0, 2.0, 1.0)):
            whole[2 + place + power] += times * part
    for place, part in enumerate(two):
        whole[4 + place] += part
        whole[5 + place] += part
    whole[6] += three[0]
    whole[7] += three[1]
    return whole


def family(c: Combination) -> Family | None:
    """The polynomials of a combination (n,), or None where its tyres lag each their own way."""
    lags = [np.ravel(x) for x in (c.front_lag, c.rear_lag, c.trailer_lag)]
    some = [bool(np.all(x > 0)) for x in lags]
    if c.lagging and not (all(some) and all(np.array_equal(lags[0], x) for x in lags[1:])):
        return None
    n, still = c.shape[0], replace(c, spring=np.zeros(()))
    numbers = [np.broadcast_to(x, n) for x in coefficients(*arguments(still))]
    return Family(
        numbers=np.array(numbers),
        damper=np.broadcast_to(c.damper, n),
        spring=np.broadcast_to(c.spring, n),
        lag=np.broadcast_to(c.front_lag, n),
        lagging=c.lagging,
    )


def swung(poly: Array, start: NDArray[Any]) -> tuple[NDArray[Any], Any]:
    """The root (n,) that Newton finds from a start, and where it is sure to be the least damped.

    poly: monic, (k + 1, n), highest first. Sure: it has settled, it swings, and no other root lies
    in the sector of lower damping, by `beyond`.
    """
    z, step = _newton(poly, start)
    size = np.abs(z)
    sure = (step <= CLOSE * size) & (np.abs(z.imag) > 1e-6 * size)
    z = np.where(z.imag < 0, np.conj(z), z)
    ratio = -z.real / np.where(size > 0, size, 1.0)
    edge = np.minimum(ratio + SLACK, 1.0)
    known = 1 + (poly[-1] < 0).astype(np.intp) + (edge < 0)  # itself, a fold, its own conjugate
    found, clear = beyond(poly, edge)
    return z, sure & clear & (found == known)


def _newton(poly: Array, z: NDArray[Any]) -> tuple[NDArray[Any], Array]:
    """Newton's method from z (n,), and the size of its last step."""
    step = np.full(z.shape, np.inf)
    for _ in range(ROUNDS):
        value, slope = z + poly[1], np.ones_like(z)
        for part in poly[2:]:
            slope *= z
            slope += value
            value = value * z + part
        with np.errstate(all="ignore"):
            move = value / slope
        z = z - move
        step = np.abs(move)
        if np.count_nonzero(step > CLOSE * np.abs(z)) <= FEW * z.size:
            break
    return z, step


def beyond(poly: Array, ratio: Array) -> tuple[NDArray[np.intp], Any]:
    """How many roots (n,) lie beyond the ray of a damping ratio, and where that number is clear:
    in the half-plane to the right of the line through 0 and exp(i b), cos b = -ratio.

    On that line the polynomial is A(y) + i B(y) with real A and B; the number is that of agreeing
    signs in the leading coefficients of Sturm's chain of A and B (Routh; Gantmacher, Theory of
    Matrices II, chapter XV, from memory). Clear: no leading coefficient is what rounding left.
    """
    k = len(poly) - 1
    turn = np.empty(poly.shape, dtype=complex)
    turn[0], back = 1.0, np.conj(-ratio + 1j * np.sqrt(np.maximum(1.0 - ratio**2, 0.0)))
    for place in range(1, k + 1):
        turn[place] = turn[place - 1] * back
    first, second = poly * turn.real, (poly * turn.imag)[1:]
    agree, clear = (first[0] * second[0] > 0).astype(np.intp), second[0] != 0
    with np.errstate(all="ignore"):
        while len(second) > 1:
            a = first[0] / second[0]
            left = first[1:].copy()
            left[:-1] -= a * second[1:]
            b = left[0] / second[0]
            rest = b * second[1:] - left[1:]
            size = np.abs(b * second[1]) + np.abs(first[2]) + np.abs(left[1])
            clear &= np.abs(rest[0]) > CLEAR * size
            first, second = second, rest
            agree += first[0] * second[0] > 0
    return agree, clear
