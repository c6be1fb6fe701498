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
functions. Choices are made by multiplying with a comparison: compiled, `np.where` of numbers is
slow.
"""

from typing import Any, Final

import numpy as np

STATES: Final = ("v", "r", "rate", "angle", "u", "heading", "y", "f", "g", "t1", "t2", "t3")
"""m/s, rad/s, rad/s and rad of articulation, m/s, rad, m, and the slip built up at each axle."""
PARAMETERS: Final = (
    *("m1", "I1", "a", "b", "d", "m2", "J2", "e", "Cf", "Cr", "Nf", "Nr", "grip", "friction"),
    *("damper", "spring", "front_quick", "rear_quick", "trailer_quick", "side1", "at1", "side2"),
    *("at2", "own", "on_front", "on_rear", "off_axle", "by_front", "by_rear", "by_axle"),
    *("L1", "C1", "N1", "L2", "C2", "N2", "L3", "C3", "N3"),
)
"""See `simulate.Machine`. J2: the trailer's inertia about the coupling; quick: one over a
relaxation length, 0 for none; from `own` on, N per m/s2 of braking: see `transfer`."""
INPUTS: Final = ("steer", "wind1", "wind2", "force1", "force2", "moment2", "braking")
"""rad; m/s of side wind at vehicle and trailer; N at each; N m on the trailer; m/s2."""
SOFT: Final = 0.002
"""rad/s: within this, dry friction is taken as proportional to the rate."""
CRAWL: Final = 1.0
"""m/s: slip is reckoned with at least this forward speed."""


def brush(stiffness: Any, slip: Any, most: Any) -> Any:
    """Side force of a tyre, N: stiffness times slip, bent down to `most` N."""
    end = 3.0 * most + 1e-9
    whole = np.minimum(np.maximum(stiffness * slip, -end), end)
    z = np.abs(whole) / end
    return whole * (1.0 - z * (1.0 - z / 3.0))


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


def slopes(x: Any, p: Any, q: Any) -> Any:
    """Time derivatives of the twelve states from states, parameters and inputs."""
    v, r, rate, angle, u = x[0], x[1], x[2], x[3], x[4]
    c, s, r2, ball = np.cos(angle), np.sin(angle), r + rate, v - p[4] * r
    along = np.maximum(u, CRAWL)
    trailing = np.maximum(u * c + ball * s, CRAWL)
    per, each = 1.0 / along, 1.0 / trailing
    side, slowing, steer = ball * c - u * s, q[6], np.tan(q[0])
    t = (v + p[2] * r) * per
    now_f, now_r = (steer - t) / (1.0 + t * steer), (p[3] * r - v) * per
    now_1 = (p[30] * r2 - side) * each
    now_2 = (p[33] * r2 - side) * each
    now_3 = (p[36] * r2 - side) * each
    own, less, held = p[23] * slowing, p[26] * slowing, p[29] * slowing
    most_f = kept(p[12], p[10] + p[24] * slowing, p[27] * slowing)
    most_r = kept(p[12], p[11] + p[25] * slowing, p[28] * slowing)
    Ff = brush(p[8], built(p[16], x[7], now_f), most_f) * np.cos(q[0])
    Fr = brush(p[9], built(p[17], x[8], now_r), most_r)
    F1 = brush(p[31], built(p[18], x[9], now_1), kept(p[12], p[32] - less, held))
    F2 = brush(p[34], built(p[18], x[10], now_2), kept(p[12], p[35] - less, held))
    F3 = brush(p[37], built(p[18], x[11], now_3), kept(p[12], p[38] - less, held))
    W1 = q[3] + wind_force(p[19], q[1], v + p[20] * r, u)
    W2 = q[4] + wind_force(p[21], q[2], side - p[22] * r2, trailing)
    joint = p[14] * rate + p[15] * angle + p[13] * rate / np.sqrt(rate * rate + SOFT * SOFT)
    tail = (F1 + F2 + F3 + W2) * c - own * s
    twist = q[5] - joint - p[30] * F1 - p[33] * F2 - p[36] * F3 - p[22] * W2
    turn = joint + p[2] * Ff - p[3] * Fr + p[20] * W1 - p[4] * tail
    dv, dr, dr2 = accelerations(p, c, s, u, r, r2, ball, slowing, Ff + Fr + W1 + tail, turn, twist)
    return (
        dv,
        dr,
        dr2 - dr,
        rate,
        -slowing * (u > CRAWL),
        r,
        u * np.sin(x[5]) + v * np.cos(x[5]),
        (now_f - x[7]) * along * p[16],
        (now_r - x[8]) * along * p[17],
        (now_1 - x[9]) * trailing * p[18],
        (now_2 - x[10]) * trailing * p[18],
        (now_3 - x[11]) * trailing * p[18],
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
    m1, I1, d, m2, e = p[0], p[1], p[4], p[5], p[7]
    q, J2 = m2 * e * c, p[6]
    swing = m2 * (e * r2 * r2 * s + u * r)
    R1 = push - m1 * u * r - swing
    R2 = turn + d * swing
    R3 = twist - m2 * e * (s * (-slowing - r * ball) - c * u * r)
    free = m2 - q * q / J2
    spun = d * (R2 + d * R1) / I1
    gain = 1.0 + m1 * d * d / I1
    dv = (R1 + q * R3 / J2 + free * spun) / (m1 + free * gain)
    dr = (R2 + d * R1 - m1 * d * dv) / I1
    return dv, dr, (R3 + q * (dv - d * dr)) / J2


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


def advanced(x: Any, p: Any, q0: Any, qm: Any, q1: Any, h: Any) -> Any:
    """One step of the classical fourth-order Runge-Kutta method; inputs at its two ends and
    middle."""
    k1 = slopes(x, p, q0)
    k2 = slopes(moved(x, k1, 0.5 * h), p, qm)
    k3 = slopes(moved(x, k2, 0.5 * h), p, qm)
    k4 = slopes(moved(x, k3, h), p, q1)
    x = moved(x, k1, h / 6.0)
    x = moved(x, k2, h / 3.0)
    x = moved(x, k3, h / 3.0)
    return moved(x, k4, h / 6.0)


PARTS: Final = (
    brush,
    kept,
    built,
    wind_force,
    accelerations,
    slopes,
    moved,
    advanced,
)
"""What Numba compiles, inner functions first."""
