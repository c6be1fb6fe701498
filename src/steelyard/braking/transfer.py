"""Load transfer along the road: two bodies joined at the ball, braked, driven or on a grade.

Everything along the road acts on a mass m as one apparent force m j forward, with

    j = d - g sin(gamma)        d deceleration, gamma the grade, uphill positive

so braking on the level, standing on a downgrade and holding speed down it are one case. Free
bodies (x forward, ground forces at z = 0, the coupling at the ball's height z_b):

    trailer along the road     X = m2 j - B2                  X: the trailer pushes the vehicle
    vehicle along the road     B1 = m1 j + X
    trailer about the ball     N2 s_a = W2 cos(gamma) x2 + B - m2 j (z2 - z_b) - B2 z_b
    ball, vertical             T = W2 cos(gamma) - N2
    vehicle about its front    R L = W1 cos(gamma) x1 + T (L + h) - B - m1 j z1 - X z_b

B1 and B2 are brake forces of vehicle and trailer (negative: driven), B the bars' moment. Source:
equilibrium, derived here; the same with a generic linear solve in tests/validation. Drag of the air
and of rolling are left out of the braking cases, which is on the safe side.

Element-wise on arrays with free leading axes; kg, m, N, m/s2, rad.
"""

from typing import Any, Final

import numpy as np

from steelyard.estimate import Array
from steelyard.quantity import GRAVITY

NOTHING: Final = 1e-9


def apparent(deceleration: Any, slope: Any) -> Any:
    """j = d - g sin(slope), m/s2: what brakes must hold (negative: what the engine must give)."""
    return deceleration - GRAVITY * np.sin(slope)


def trailer_force(mass: Any, along: Any, share: Any) -> Any:
    """B2 = share m2 j, N: the part of its own slowing the trailer brakes; none when pulled along.

    Surge (overrun) brakes answer to the push, B2 = eta X, which is a share eta/(1 + eta).
    """
    return share * mass * np.maximum(along, 0.0)


def push(mass: Any, along: Any, held: Any) -> Any:
    """X = m2 j - B2, N: force along the road of the trailer on the vehicle, forward positive."""
    return mass * along - held


def shifted(
    vehicle_moment: Any, pushed: Any, ball_height: Any, wheelbase: Any, along: Any
) -> tuple[Any, Any]:
    """Load that moves onto the front and onto the rear axle, N: +-(j H1/g + X z_b)/L.

    vehicle_moment: H1, sum of weight times height, N m. The couple of the pushing trailer acts at
    the ball's height, its vertical force is another matter: `pitched`.
    """
    gained = (along / GRAVITY * vehicle_moment + pushed * ball_height) / wheelbase
    return gained, -gained


def pitched(trailer_moment: Any, weight: Any, ball_height: Any, along: Any, held: Any) -> Any:
    """Moment nose-down on the trailer about the ball, N m: j (H2 - W2 z_b)/g + B2 z_b."""
    return along / GRAVITY * (trailer_moment - weight * ball_height) + held * ball_height


def friction_used(force: Any, load: Any) -> Array:
    """Brake or drive force over load; inf where a tyre in the air should give some."""
    force, load = np.broadcast_arrays(np.asarray(force, float), np.asarray(load, float))
    there = load > NOTHING
    free = np.where(np.abs(force) > NOTHING, np.inf, 0.0)
    return np.where(there, force / np.where(there, load, 1.0), free)
