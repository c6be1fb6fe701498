"""Where a vehicle and its trailer stop calming down by themselves: closed forms, element-wise.

Lateral speed of the coupling, both yaw rates and the articulation make four states. With x = 1/u
(u the speed) the characteristic polynomial is

    a4 s^4 + (a3x x + a3c c) s^3 + (a2xx x^2 + a2cx c x + a2) s^2
           + (a1xxx x^3 + a1cxx c x^2 + a1x x + a1c c) s + (a0xx x^2 + a0)

with c a damper at the coupling. A pair of roots reaches the imaginary axis where the Hurwitz
determinant a1 a2 a3 - a0 a3^2 - a4 a1^2 vanishes: without a damper a quadratic in x^2. A real root
passes zero where a0xx x^2 + a0 does. The equations are those of any text on car and trailer,
derived about the coupling, where the mass matrix is sparse.

`coefficients` and `critical` are element-wise: NumPy calls them on chunks, Numba compiles the same
functions in a loop. Choices are made by multiplying with a comparison, and 1/0 is never.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from steelyard.estimate import Array
from steelyard.swaying.linear.combination import Combination


@dataclass(frozen=True, slots=True, kw_only=True)
class Critical:
    """Critical speeds, m/s, `inf` for never; all (...).

    oscillatory: the lowest at which an oscillation starts to grow; again: from where on it decays
    once more; divergent: at which a real root passes zero (jackknife).
    """

    oscillatory: Array
    again: Array
    divergent: Array


def cross(p: Any, q: Any) -> Any:
    """p x q of two triples."""
    return p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0]


def dot(p: Any, q: Any) -> Any:
    """p . q of two triples."""
    return p[0] * q[0] + p[1] * q[1] + p[2] * q[2]


def ends(p: Any, first: Any, last: Any) -> Any:
    """p . (first, 0, last)."""
    return p[0] * first + p[2] * last


def coefficients(
    m1: Any,
    I1: Any,
    a: Any,
    b: Any,
    d: Any,
    Cf: Any,
    Cr: Any,
    m2: Any,
    I2: Any,
    e: Any,
    C0: Any,
    C1: Any,
    C2: Any,
    k: Any,
) -> Any:
    """The twelve numbers of the characteristic polynomial; the fields of `Combination`.

    C0, C1, C2: sums of C, C L and C L^2 over the trailer axles (any number of axles acts through
    these three alone); k: spring at the coupling. Returns (a4, a3x, a3c, a2xx, a2cx, a2, a1xxx,
    a1cxx, a1x, a1c, a0xx, a0).
    """
    f, h, p, q = a + d, d - b, m1 * d, m2 * e
    J1, J2 = I1 + p * d, I2 + q * e
    F1 = Cf * f + Cr * h
    M1, D1 = (m1 + m2, p, -q), (Cf + Cr + C0, F1, -C1)
    M2, D2 = (p - q, J1, J2), (F1 - C1, Cf * f * f + Cr * h * h, C2)
    n = (-C0, -k, C1 + k)
    P0, P2, P3 = cross(M1, M2), cross(D1, D2), cross(D1, M1)
    S, T = cross(M1, D2), cross(D1, M2)
    P1 = (S[0] + T[0], S[1] + T[1], S[2] + T[2])
    return (
        ends(P0, -q, J2),
        ends(P0, -C1, C2) + ends(P1, -q, J2),
        P0[2] - P0[1],
        ends(P1, -C1, C2) + ends(P2, -q, J2),
        P1[2] - P1[1],
        ends(P3, -q, J2) + dot(P0, n),
        ends(P2, -C1, C2),
        P2[2] - P2[1],
        ends(P3, -C1, C2) + dot(P1, n),
        P3[2] - P3[1],
        dot(P2, n),
        dot(P3, n),
    )


def divergent_speed(a0xx: Any, a0: Any) -> Any:
    """Speed at which a real root passes zero, or inf: u = sqrt(-a0xx/a0)."""
    grows = (a0 < 0.0) & (a0xx > 0.0)
    return 1.0 / (grows * np.sqrt(np.abs(a0 / a0xx)))


def speed_of(root: Any, last: Any, slope: Any) -> Any:
    """1/sqrt(w) for a positive root w = 1/u^2 of the Hurwitz condition at which a1 a3 > 0."""
    counts = (root > 0.0) & (slope * root + last > 0.0)
    return 1.0 / (counts * np.sqrt(np.abs(root)))


def oscillatory_speeds(
    a4: Any, a3: Any, a2xx: Any, a2: Any, a1xxx: Any, a1x: Any, a0xx: Any, a0: Any
) -> Any:
    """Speed at which the pair crosses to growth, and at which it crosses back; no damper.

    Hurwitz over w = 1/u^2: A w^2 + B w + C. By Orlando's formula the determinant falls with u where
    a pair crosses to the right, so that crossing is the root (-B + sqrt(B^2 - 4 A C))/2 A and the
    other crosses to the left. Where a1 a3 < 0 the two roots on which the determinant vanishes are
    real and opposite.
    """
    A = a1xxx * (a3 * a2xx - a4 * a1xxx)
    B = a3 * (a1xxx * a2 + a1x * a2xx - a3 * a0xx) - 2.0 * a4 * a1xxx * a1x
    C = a1x * (a3 * a2 - a4 * a1x) - a3 * a3 * a0
    inside = B * B - 4.0 * A * C
    falls = B < 0.0
    t = -0.5 * (B + (1.0 - 2.0 * falls) * np.sqrt(np.abs(inside)))
    whole = (inside >= 0.0) & (t != 0.0)
    far, near = whole * (t / A), whole * (C / (t + (t == 0.0)))
    right = falls * far + (B >= 0.0) * near
    left = falls * near + (B >= 0.0) * far
    first = speed_of(right, a1x, a1xxx)
    return first, 1.0 / ((first < np.inf) / speed_of(left, a1x, a1xxx))


def critical(
    m1: Any,
    I1: Any,
    a: Any,
    b: Any,
    d: Any,
    Cf: Any,
    Cr: Any,
    m2: Any,
    I2: Any,
    e: Any,
    C0: Any,
    C1: Any,
    C2: Any,
    k: Any,
) -> Any:
    """Oscillatory speed, speed from which it decays again, divergent speed, m/s; no damper."""
    p = coefficients(m1, I1, a, b, d, Cf, Cr, m2, I2, e, C0, C1, C2, k)
    first, again = oscillatory_speeds(p[0], p[1], p[3], p[5], p[6], p[8], p[10], p[11])
    return first, again, divergent_speed(p[10], p[11])


def sums(c: Combination) -> tuple[Any, Any, Any]:
    """C, C L and C L^2 summed over the trailer axles."""
    pairs = list(zip(c.stiffness, c.stations, strict=True))
    return (
        sum(C for C, _ in pairs),
        sum(C * L for C, L in pairs),
        sum(C * L * L for C, L in pairs),
    )


def arguments(c: Combination) -> tuple[Any, ...]:
    """What `coefficients` and `critical` take, from a combination."""
    return c.m1, c.I1, c.a, c.b, c.d, c.Cf, c.Cr, c.m2, c.I2, c.e, *sums(c), c.spring


def critical_speeds(c: Combination) -> Critical:
    """Both critical speeds; damper and relaxation are left out (see `search.settled`)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        first, again, divergent = critical(*arguments(c))
    return Critical(
        oscillatory=np.asarray(first), again=np.asarray(again), divergent=np.asarray(divergent)
    )


def understeer(c: Combination) -> tuple[Array, Array]:
    """Effective wheelbase, m, and understeer gradient with the trailer on, rad/(m/s2).

    Steady turning obeys r/steer = u/(l + K u^2) for any number of trailer axles.
    """
    m, q = c.m1 + c.m2, c.m2 * c.e
    C0, C1, C2 = sums(c)
    f, h = c.a + c.d, c.d - c.b
    F1 = c.Cf * f + c.Cr * h
    D1, D2 = (c.Cf + c.Cr + C0, F1, -C1), (F1 - C1, c.Cf * f * f + c.Cr * h * h, C2)
    M1, n = (m, c.m1 * c.d, -q), (-C0, -c.spring, C1 + c.spring)
    steer = dot(cross(D1, (c.Cf, c.Cf * f, 0.0 * C0)), n)
    return np.asarray(dot(cross(D1, D2), n) / steer), np.asarray(dot(cross(D1, M1), n) / steer)
