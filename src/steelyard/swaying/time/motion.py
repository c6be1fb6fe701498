"""Vehicle and trailer in time: planar, any articulation, tyres that let go, dry friction, wind.

Two rigid bodies joined at the coupling, in the vehicle's own axes (ISO 8855: x forward, y left).
With c = cos θ, s = sin θ, r2 = r + θ' and lateral speed y' = v - d r of the coupling, the trailer's
centre accelerates by (u' - r y' + e r2' s + e r2^2 c, y'' + u r - e r2' c + e r2^2 s), and virtual
power with respect to v, r and r2 gives three equations that solve in closed form. The forward speed
u is given, not found: whoever drives holds it or brakes.

A tyre follows the brush model: F = C σ (1 - z + z^2/3), z = C |σ|/(3 μ F_z) up to 1, with σ the
tangent of its slip angle; braking leaves what the friction circle leaves. (Pacejka's textbook,
chapter 3, from memory.)

`advanced` is one Runge-Kutta step, element-wise: NumPy calls it on a batch, Numba compiles the same
functions. What hangs on the inputs alone (`given`) is worked out once for each end of a step.
Choices are made by multiplying with a comparison: compiled, `np.where` of numbers is slow.
"""

from typing import Any, Final

import numpy as np

STATES: Final = ("v", "r", "rate", "angle", "u", "heading", "y", "f", "g", "t1", "t2", "t3")
"""m/s, rad/s, rad/s and rad of articulation, m/s, rad, m, and the slip built up at each axle."""
RATE, ANGLE, Y = (STATES.index(name) for name in ("rate", "angle", "y"))
PARAMETERS: Final = (
    *("m1", "per_I1", "a", "b", "d", "m2", "per_J2", "e", "Cf", "Cr", "Nf", "Nr", "grip"),
    *("friction", "damper", "spring", "front_quick", "rear_quick", "trailer_quick", "side1", "at1"),
    *("side2", "at2", "own", "on_front", "on_rear", "off_axle", "by_front", "by_rear", "by_axle"),
    *("L1", "C1", "N1", "L2", "C2", "N2", "L3", "C3", "N3"),
)
"""See `machine.Machine`. per: one over the vehicle's own inertia, and over the trailer's about the
coupling; quick: one over a relaxation length, 0 for none; from `own` on, N per m/s2 of braking: see
`machine.transfer`."""
(
    M1, PER_I1, A, B, D, M2, PER_J2, E, CF, CR, NF, NR, GRIP, FRICTION, DAMPER, SPRING,
    FRONT_QUICK, REAR_QUICK, TRAILER_QUICK, SIDE1, AT1, SIDE2, AT2,
    OWN, ON_FRONT, ON_REAR, OFF_AXLE, BY_FRONT, BY_REAR, BY_AXLE,
    L1, C1, N1, L2, C2, N2, L3, C3, N3,
) = range(len(PARAMETERS))  # fmt: skip
"""Their rows: the same names in capitals, numbers that a compiler takes as they stand."""
INPUTS: Final = ("steer", "wind1", "wind2", "force1", "force2", "moment2", "braking")
"""rad; m/s of side wind at vehicle and trailer; N at each; N m on the trailer; m/s2."""
STEER, WIND1, WIND2, FORCE1, FORCE2, MOMENT2, BRAKING = range(len(INPUTS))
SOFT: Final = 0.002
"""rad/s: within this, dry friction is taken as proportional to the rate."""
NEAR: Final = 2.5
"""Times `SOFT` within which the rate of articulation counts as passing zero."""
FINE: Final = 4
"""Parts of a step in which it does."""
CRAWL: Final = 1.0
"""m/s: slip is reckoned with at least this forward speed."""
FOLDED: Final = 1.5
"""rad: a rig folded this far has jackknifed, and its run is over."""


def brush(stiffness: Any, slip: Any, most: Any) -> Any:
    """Side force of a tyre, N: stiffness times slip, bent down to `most` N."""
    end = slides(most)
    return bent(stiffness * slip, end, 1.0 / end)


def slides(most: Any) -> Any:
    """Stiffness times slip, N, from which on a tyre only slides."""
    return 3.0 * most + 1e-9


def bent(whole: Any, end: Any, per: Any) -> Any:
    """Side force from stiffness times slip, where it ends (`slides`) and one over that."""
    whole = np.minimum(np.maximum(whole, -end), end)
    z = np.abs(whole) * per
    return whole * (1.0 - z * (1.0 - z * (1.0 / 3.0)))


def kept(grip: Any, load: Any, along: Any) -> Any:
    """Side force a tyre can still give when braked with `along` N: the friction circle."""
    most = grip * np.maximum(load, 0.0)
    return np.sqrt(np.maximum(most * most - along * along, 0.0025 * most * most))


def built(quick: Any, state: Any, now: Any) -> Any:
    """Slip that acts: the one that has built up where tyres lag, else the one of now."""
    return (quick > 0.0) * state + (quick <= 0.0) * now


def wind_force(area: Any, wind: Any, across: Any, along: Any) -> Any:
    """Side force of the air, N: area [kg/m] = rho A C/2, C at 90 degrees; C grows with the sine."""
    past = wind - across
    return area * np.sqrt(along * along + past * past) * past


def given(p: Any, q: Any) -> Any:
    """What does not hang on the states: tangent and cosine of the steer, the other inputs, and
    where each axle's tyres slide, with one over it."""
    slowing = q[BRAKING]
    less, held = p[OFF_AXLE] * slowing, p[BY_AXLE] * slowing
    f = slides(kept(p[GRIP], p[NF] + p[ON_FRONT] * slowing, p[BY_FRONT] * slowing))
    r = slides(kept(p[GRIP], p[NR] + p[ON_REAR] * slowing, p[BY_REAR] * slowing))
    one = slides(kept(p[GRIP], p[N1] - less, held))
    two = slides(kept(p[GRIP], p[N2] - less, held))
    three = slides(kept(p[GRIP], p[N3] - less, held))
    return (
        np.tan(q[STEER]), np.cos(q[STEER]),
        q[WIND1], q[WIND2], q[FORCE1], q[FORCE2], q[MOMENT2], slowing,
        f, 1.0 / f, r, 1.0 / r, one, 1.0 / one, two, 1.0 / two, three, 1.0 / three,
    )  # fmt: skip


def slopes(x: Any, p: Any, q: Any) -> Any:
    """Time derivatives of the twelve states from states, parameters and inputs."""
    return rates(x, p, given(p, q))


def rates(x: Any, p: Any, g: Any) -> Any:
    """Time derivatives of the twelve states from states, parameters and `given`."""
    v, r, rate, angle, u, heading, _, slip_f, slip_r, slip_1, slip_2, slip_3 = x
    (
        steer, cosine, wind1, wind2, force1, force2, moment2, slowing,
        end_f, per_f, end_r, per_r, end_1, per_1, end_2, per_2, end_3, per_3,
    ) = g  # fmt: skip
    c, s, r2, ball = np.cos(angle), np.sin(angle), r + rate, v - p[D] * r
    along = np.maximum(u, CRAWL)
    trailing = np.maximum(u * c + ball * s, CRAWL)
    per, each = 1.0 / along, 1.0 / trailing
    side = ball * c - u * s
    t = (v + p[A] * r) * per
    now_f, now_r = (steer - t) / (1.0 + t * steer), (p[B] * r - v) * per
    now_1 = (p[L1] * r2 - side) * each
    now_2 = (p[L2] * r2 - side) * each
    now_3 = (p[L3] * r2 - side) * each
    Ff = bent(p[CF] * built(p[FRONT_QUICK], slip_f, now_f), end_f, per_f) * cosine
    Fr = bent(p[CR] * built(p[REAR_QUICK], slip_r, now_r), end_r, per_r)
    F1 = bent(p[C1] * built(p[TRAILER_QUICK], slip_1, now_1), end_1, per_1)
    F2 = bent(p[C2] * built(p[TRAILER_QUICK], slip_2, now_2), end_2, per_2)
    F3 = bent(p[C3] * built(p[TRAILER_QUICK], slip_3, now_3), end_3, per_3)
    W1 = force1 + wind_force(p[SIDE1], wind1, v + p[AT1] * r, u)
    W2 = force2 + wind_force(p[SIDE2], wind2, side - p[AT2] * r2, trailing)
    joint = (
        p[DAMPER] * rate
        + p[SPRING] * angle
        + p[FRICTION] * rate / np.sqrt(rate * rate + SOFT * SOFT)
    )
    tail = (F1 + F2 + F3 + W2) * c - p[OWN] * slowing * s
    twist = moment2 - joint - p[L1] * F1 - p[L2] * F2 - p[L3] * F3 - p[AT2] * W2
    turn = joint + p[A] * Ff - p[B] * Fr + p[AT1] * W1 - p[D] * tail
    dv, dr, dr2 = accelerations(p, c, s, u, r, r2, ball, slowing, Ff + Fr + W1 + tail, turn, twist)
    return (
        dv,
        dr,
        dr2 - dr,
        rate,
        -slowing * (u > CRAWL),
        r,
        u * np.sin(heading) + v * np.cos(heading),
        (now_f - slip_f) * along * p[FRONT_QUICK],
        (now_r - slip_r) * along * p[REAR_QUICK],
        (now_1 - slip_1) * trailing * p[TRAILER_QUICK],
        (now_2 - slip_2) * trailing * p[TRAILER_QUICK],
        (now_3 - slip_3) * trailing * p[TRAILER_QUICK],
    )


def accelerations(
    p: Any,
    c: Any,
    s: Any,
    u: Any,
    r: Any,
    r2: Any,
    ball: Any,
    slowing: Any,
    push: Any,
    turn: Any,
    twist: Any,
) -> Any:
    """v', r', r2' from the side force and the moments on vehicle and trailer, in closed form."""
    m1, per1, d, m2, per2, e = p[M1], p[PER_I1], p[D], p[M2], p[PER_J2], p[E]
    q = m2 * e * c
    swing = m2 * (e * r2 * r2 * s + u * r)
    R1 = push - m1 * u * r - swing
    R2 = turn + d * swing
    R3 = twist - m2 * e * (s * (-slowing - r * ball) - c * u * r)
    free = m2 - q * q * per2
    spun = R2 + d * R1
    dv = (R1 + q * R3 * per2 + free * d * spun * per1) / (m1 + free * (1.0 + m1 * d * d * per1))
    dr = (spun - m1 * d * dv) * per1
    return dv, dr, (R3 + q * (dv - d * dr)) * per2


def moved(x: Any, k: Any, h: Any) -> Any:
    """x + h k, twelve states."""
    return (
        x[0] + h * k[0],
        x[1] + h * k[1],
        x[2] + h * k[2],
        x[3] + h * k[3],
        x[4] + h * k[4],
        x[5] + h * k[5],
        x[6] + h * k[6],
        x[7] + h * k[7],
        x[8] + h * k[8],
        x[9] + h * k[9],
        x[10] + h * k[10],
        x[11] + h * k[11],
    )


def advanced(x: Any, p: Any, g0: Any, gm: Any, g1: Any, h: Any) -> Any:
    """One step of the classical fourth-order Runge-Kutta method; `given` at its two ends and
    middle."""
    k1 = rates(x, p, g0)
    k2 = rates(moved(x, k1, 0.5 * h), p, gm)
    k3 = rates(moved(x, k2, 0.5 * h), p, gm)
    k4 = rates(moved(x, k3, h), p, g1)
    x = moved(x, k1, h / 6.0)
    x = moved(x, k2, h / 3.0)
    x = moved(x, k3, h / 3.0)
    return moved(x, k4, h / 6.0)


def middle(a: Any, b: Any) -> Any:
    """Inputs halfway between two rows of them."""
    return (
        0.5 * (a[0] + b[0]),
        0.5 * (a[1] + b[1]),
        0.5 * (a[2] + b[2]),
        0.5 * (a[3] + b[3]),
        0.5 * (a[4] + b[4]),
        0.5 * (a[5] + b[5]),
        0.5 * (a[6] + b[6]),
    )


def scaled(a: Any, size: Any) -> Any:
    """A row of inputs times a size."""
    return (
        size * a[0],
        size * a[1],
        size * a[2],
        size * a[3],
        size * a[4],
        size * a[5],
        size * a[6],
    )


def begun(x: Any) -> Any:
    """Twelve states as a tuple."""
    return x[0], x[1], x[2], x[3], x[4], x[5], x[6], x[7], x[8], x[9], x[10], x[11]


def same(a: Any, b: Any) -> Any:
    """Whether two rows of inputs are alike."""
    return (
        a[0] == b[0]
        and a[1] == b[1]
        and a[2] == b[2]
        and a[3] == b[3]
        and a[4] == b[4]
        and a[5] == b[5]
        and a[6] == b[6]
    )


def between(a: Any, b: Any, share: float) -> Any:
    """Inputs a share of the way from one row of them to another."""
    return (
        a[0] + share * (b[0] - a[0]),
        a[1] + share * (b[1] - a[1]),
        a[2] + share * (b[2] - a[2]),
        a[3] + share * (b[3] - a[3]),
        a[4] + share * (b[4] - a[4]),
        a[5] + share * (b[5] - a[5]),
        a[6] + share * (b[6] - a[6]),
    )


def turns(rate: Any, before: Any) -> Any:
    """Whether the rate of articulation is about to pass zero so quickly that a step would jump over
    the bend of dry friction there; before: the rate a step ago."""
    change = rate - before
    past = rate + change
    near = rate * past < 0.0 or abs(rate) < NEAR * SOFT or abs(past) < NEAR * SOFT
    return near and abs(change) > 0.25 * SOFT


def alone(p: Any, x: Any, times: Any, q: Any, out: Any) -> None:
    """One run: p (39,), x (12,), q (M + 1, 7), into out (M + 1, 12).

    A step in which dry friction turns is taken in `FINE` parts; what hangs on the inputs alone is
    kept while they stand still.
    """
    now, first, last = begun(x), given(p, q[0]), given(p, q[0])
    half, before = first, x[RATE]
    for place in range(len(times)):
        for i in range(12):
            out[place, i] = now[i]
        if place + 1 < len(times) and abs(now[ANGLE]) < FOLDED:
            a, b = q[place], q[place + 1]
            still = same(a, b)
            parts = FINE if p[FRICTION] > 0.0 and turns(now[RATE], before) else 1
            h = (times[place + 1] - times[place]) / parts
            before = now[RATE]
            for part in range(parts):
                if still:
                    half, last = first, first
                else:
                    half = given(p, between(a, b, (part + 0.5) / parts))
                    last = given(p, between(a, b, (part + 1.0) / parts))
                now = advanced(now, p, first, half, last, h)
                first = last


def together(
    p: Any, x: Any, times: Any, q: Any, size: Any, every: int, angle: Any, most: Any
) -> None:
    """Runs one after another, compiled: p (n, 39), x (n, 12), size (n,), q (M + 1, 7), into angle
    (n, ...) at every so many steps and most (2, n), the peak and the travel aside."""
    for run in range(len(p)):
        now, peak, aside = begun(x[run]), 0.0, 0.0
        first = given(p[run], scaled(q[0], size[run]))
        for place in range(len(times)):
            peak, aside = max(peak, abs(now[ANGLE])), max(aside, abs(now[Y]))
            if place % every == 0:
                angle[run, place // every] = now[ANGLE]
            if place + 1 < len(times) and abs(now[ANGLE]) < FOLDED:
                half, last = first, first
                if not same(q[place], q[place + 1]):
                    a, b = scaled(q[place], size[run]), scaled(q[place + 1], size[run])
                    half, last = given(p[run], middle(a, b)), given(p[run], b)
                now = advanced(now, p[run], first, half, last, times[place + 1] - times[place])
                first = last
        most[0, run], most[1, run] = peak, aside


PARTS: Final = (
    slides,
    bent,
    brush,
    kept,
    built,
    wind_force,
    given,
    accelerations,
    rates,
    slopes,
    moved,
    advanced,
    middle,
    scaled,
    begun,
    same,
    between,
    turns,
)
"""What the compiled loops call, inner functions first."""
LOOSE: Final[dict[str, Any]] = {"error_model": "numpy", "fastmath": {"contract"}}
"""How all of it is compiled: a product may be added unrounded. It stands in this file because the
files of compiled code that Numba keeps are out of date when this file is newer."""
