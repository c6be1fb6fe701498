"""Roots of the characteristic polynomial for many rigs at once, without a matrix.

With tyres that all lag by one relaxation length, each cornering force is that of `model` times
1/(1 + t s), t = lag/u, so the determinant is a sum over how many tyre forces each product holds,

    (1 + t s)^3 P0(s) + (1 + t s)^2 P1(s) + (1 + t s) P2(s) + P3(s),

of degree 7; without lag it is the quartic of `model`. The least damped pair is followed by Newton's
method, over the speeds or along the ray of one damping ratio, and held to a certificate: Sturm's
chain counts the roots in the sector of lower damping, which must be none. What the certificate
leaves open goes back to the eigenvalues.
"""

from dataclasses import dataclass, replace
from math import comb
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.swaying.linear.closed_forms import arguments, coefficients
from steelyard.swaying.linear.combination import Combination

ROUNDS: Final = 12
"""Steps of Newton's method, at most."""
CLOSE: Final = 1e-6
"""Relative step after which a root has settled: the error left goes with its square over the
distance to the next root, which `SLACK` bounds."""
FEW: Final = 0.003
"""Share that need not settle: those are left to the eigenvalues."""
SLACK: Final = 1e-3
"""Of damping ratio: another root no further above leaves open which is the least damped. Much less,
and beside a root that neither grows nor dies out the chain is all rounding."""
CLEAR: Final = 1e-9
"""Share of its parts that a leading coefficient of the chain must keep."""
RATE: Final = 5.0
"""1/s, of the order of the roots: what s is measured in without lag."""
TERMS: Final = (
    (0, "", 0, 4, 0),
    (1, "", 1, 3, 1),
    (2, "damper", 0, 3, 0),
    (2, "spring", 0, 2, 0),
    (3, "", 2, 2, 2),
    (4, "damper", 1, 2, 1),
    (4, "spring", 1, 1, 1),
    (5, "", 1, 2, 0),
    (6, "", 3, 1, 3),
    (7, "damper", 2, 1, 2),
    (7, "spring", 2, 0, 2),
    (8, "", 2, 1, 1),
    (9, "damper", 1, 1, 0),
    (9, "spring", 1, 0, 0),
    (10, "", 3, 0, 2),
    (11, "", 2, 0, 0),
)
"""Of the determinant: which of `coefficients`, by what at the coupling it is multiplied, how many
tyre forces it holds, its power of s and of 1/u."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """Characteristic polynomials of n rigs for any speed: sums of powers of 1/u, each with the rows
    of coefficients that it bears on, (rows, n); lag (n,); `lagging` whether any tyre lags."""

    parts: tuple[tuple[int, slice, Array], ...]
    lag: Array
    lagging: bool

    def of(self, which: NDArray[np.intp]) -> "Family":
        """Some of the rigs, in order; itself where these are all."""
        if which.ndim == 1 and len(which) == len(self.lag) and (np.diff(which) == 1).all():
            return self
        parts = tuple((power, rows, part.take(which, axis=1)) for power, rows, part in self.parts)
        return replace(self, parts=parts, lag=self.lag[which])

    def rate(self, speed: Array) -> Array:
        """1/s, (n,): what s is measured in."""
        return speed / self.lag if self.lagging else np.full(self.lag.shape, RATE)

    def at(self, speed: Array) -> Array:
        """Coefficients (degree + 1, ...) in z = s/rate, highest first and 1, of each rig at a speed
        (n,) or at some (m, n)."""
        x, grown, last = 1.0 / speed, np.ones(()), 0
        whole = np.zeros((8 if self.lagging else 5, *speed.shape))
        for power, rows, part in self.parts:
            for _ in range(power - last):
                grown, last = grown * x, power
            some = part[:, None] if speed.ndim > 1 else part
            whole[rows] += some * grown if power else some
        return whole

    @property
    def leaning(self) -> "Family":
        """Their derivatives with respect to 1/u."""
        parts = tuple((power - 1, rows, power * part) for power, rows, part in self.parts if power)
        return replace(self, parts=parts)


def family(c: Combination) -> Family | None:
    """The polynomials of a combination, flat, or None where its tyres lag each their own way."""
    lags = [np.ravel(x) for x in (c.front_lag, c.rear_lag, c.trailer_lag)]
    some = [bool(np.all(x > 0)) for x in lags]
    if c.lagging and not (all(some) and all(np.array_equal(lags[0], x) for x in lags[1:])):
        return None
    numbers = coefficients(*arguments(replace(c, spring=np.zeros(()))))
    held: dict[str, Any] = {"": 1.0, "damper": c.damper, "spring": c.spring}
    sums = dict[tuple[int, int], Any]()
    for number, by, forces, s, x in TERMS:
        if not np.any(held[by]):
            continue
        spread, power = (3 - forces, x + 4 - s) if c.lagging else (0, x)
        value = numbers[number] * held[by] / numbers[0]
        value = value * (c.front_lag if c.lagging else 1.0 / RATE) ** (4 - s)
        for k in range(spread + 1):
            at = power, (7 if c.lagging else 4) - s - k
            sums[at] = sums.get(at, 0.0) + comb(spread, k) * value
    parts = (_rows(power, sums, c.shape) for power in sorted({power for power, _ in sums}))
    lag = np.broadcast_to(c.front_lag, c.shape).ravel()
    return Family(parts=tuple(parts), lag=lag, lagging=c.lagging)


def _rows(
    power: int, sums: dict[tuple[int, int], Any], shape: tuple[int, ...]
) -> tuple[int, slice, Array]:
    there = [row for one, row in sums if one == power]
    rows = slice(min(there), max(there) + 1)
    part = np.zeros((rows.stop - rows.start, *shape))
    for row in there:
        part[row - rows.start] = sums[power, row]
    return power, rows, part.reshape(len(part), -1)


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
    return z, sure & _least(poly, ratio)


def _least(poly: Array, ratio: Any) -> Any:
    """Where no root but one of this damping ratio, its own conjugate and a fold is beyond it."""
    edge = np.minimum(ratio + SLACK, 1.0)
    found, clear = beyond(poly, edge)
    return clear & (found == 1 + (poly[-1] < 0).astype(np.intp) + (edge < 0))


def _newton(poly: Array, z: NDArray[Any]) -> tuple[NDArray[Any], Array]:
    """Newton's method from z (n,), and the size of its last step."""
    step = np.full(z.shape, np.inf)
    for _ in range(ROUNDS):
        value, slope = _valued(poly, z)
        with np.errstate(all="ignore"):
            move = value / slope
        z = z - move
        step = np.abs(move)
        if np.count_nonzero(step > CLOSE * np.abs(z)) <= FEW * z.size:
            break
    return z, step


def _valued(poly: Array, z: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    """Polynomials (k + 1, n) and their slopes at z (n,)."""
    slope = poly[0].astype(complex)
    value = slope * z + poly[1]
    for part in poly[2:]:
        slope *= z
        slope += value
        value *= z
        value += part
    return value, slope


def crossing(
    some: Family, ratio: Array, size: Array, speed: Array
) -> tuple[Array, NDArray[np.bool_]]:
    """The speed (n,) at which the least damped pair has a damping ratio (n,), by Newton's method in
    the size of the root and in the speed from a start of both, and where that is sure, as in
    `swung`.

    size: of the root over `Family.rate`.
    """
    ray, x, size = _ray(ratio), 1.0 / speed, size.copy()
    todo, part, leaning = np.arange(x.size), some, some.leaning
    settled = np.zeros(x.shape, dtype=bool)
    with np.errstate(all="ignore"):
        for _ in range(ROUNDS):
            u, toward = 1.0 / x[todo], ray[todo]
            value, slope = _valued(part.at(u), size[todo] * toward)
            slope, lean = np.conj(slope * toward), _value(leaning.at(u), size[todo] * toward)
            both = (slope * lean).imag
            move, grow = -(slope * value).imag / both, (np.conj(lean) * value).imag / both
            x[todo] += move
            size[todo] += grow
            near = (np.abs(move) <= CLOSE * x[todo]) & (np.abs(grow) <= CLOSE * size[todo])
            settled[todo] = near
            if near.all():
                break
            if 2 * np.count_nonzero(near) > todo.size:
                left = np.flatnonzero(~near)
                todo, part, leaning = todo[left], part.of(left), leaning.of(left)
        return 1.0 / x, np.asarray(settled & _least(some.at(1.0 / x), ratio))


def _value(poly: Array, z: NDArray[Any]) -> NDArray[Any]:
    """Polynomials (k + 1, n) at z (n,)."""
    value: NDArray[Any] = poly[0].astype(complex)
    for part in poly[1:]:
        value *= z
        value += part
    return value


def _ray(ratio: Any) -> Any:
    """exp(i b), cos b = -ratio: where roots of a damping ratio lie."""
    return -ratio + 1j * np.sqrt(np.maximum(1.0 - ratio**2, 0.0))


def beyond(poly: Array, ratio: Array | float) -> tuple[NDArray[np.int8], Any]:
    """How many roots (n,) lie beyond the ray of a damping ratio, and where that number is clear:
    in the half-plane to the right of the line through 0 and exp(i b), cos b = -ratio.

    On that line the polynomial is A(y) + i B(y) with real A and B; the number is that of agreeing
    signs in the leading coefficients of Sturm's chain of A and B (Routh; Gantmacher, Theory of
    Matrices II, chapter XV, from memory). Clear: no leading coefficient is what rounding left.
    """
    if np.ndim(ratio) == 0:
        ratio = np.full((1,) * (poly.ndim - 1), ratio)
    back = np.conj(_ray(ratio))
    turn = np.multiply.accumulate([np.ones_like(back)] + [back] * (len(poly) - 1))
    if not np.any(ratio):
        return _growing(poly, turn)
    first, second = poly * turn.real, poly[1:] * turn.imag[1:]
    agree, clear = np.zeros(poly.shape[1:], dtype=np.int8), second[0] != 0
    spare = np.empty_like(second)  # in place, and over what is done with: a fifth sooner
    with np.errstate(all="ignore"):
        while len(second) > 1:
            a = first[0] / second[0]
            agree += (a > 0).view(np.int8)
            left, was, rest = first[1:], np.abs(first[2]), spare[: len(second) - 1]
            left[:-1] -= np.multiply(a, second[1:], out=rest)
            np.multiply(left[0] / second[0], second[1:], out=rest)
            rest -= left[1:]
            clear &= np.abs(rest[0]) > CLEAR * (was + np.abs(left[1]))
            first, second, spare = second, rest, left
        agree += (first[0] * second[0] > 0).view(np.int8)
    return agree, clear


def _growing(poly: Array, turn: NDArray[Any]) -> tuple[NDArray[np.int8], Any]:
    """`beyond` the imaginary axis, where every other coefficient of the chain is zero."""
    first, second = poly[::2] * turn[::2].real, poly[1::2] * turn[1::2].imag
    agree, clear = np.zeros(poly.shape[1:], dtype=np.int8), second[0] != 0
    with np.errstate(all="ignore"):
        while len(first) > 1:
            a = first[0] / second[0]
            agree += (a > 0).view(np.int8)
            rest = -first[1:]
            rest[: len(second) - 1] += a * second[1:]
            clear &= np.abs(rest[0]) > CLEAR * np.abs(first[1])
            first, second = second, rest
        agree += (first[0] * second[0] > 0).view(np.int8)
    return agree, clear


def swings_below(poly: Array, ratio: Array | float) -> tuple[NDArray[np.bool_], Any]:
    """Whether a pair is damped less than a ratio, (n,), and where that is clear: a root beyond its
    ray that is no fold."""
    found, clear = beyond(poly, ratio)
    return found > (poly[-1] < 0), clear


def companion(poly: Array) -> Array:
    """Matrices (n, k, k) whose eigenvalues are the roots of monic polynomials (k + 1, n)."""
    k = len(poly) - 1
    whole = np.zeros((poly.shape[1], k, k))
    whole[:, 0] = -poly[1:].T
    whole[:, np.arange(1, k), np.arange(k - 1)] = 1.0
    return whole
