"""Braking to a stop: what friction allows, which axle locks first, how far it takes.

Loads are taken along their chord, N(j) = N0 + n j with n = (N(j) - N0)/j at the j asked about;
`repeated` evaluates them again where the answer lies, so that the end is exact for an elastic rig
too. Element-wise; m, s, N, kg, m/s2.
"""

from collections.abc import Callable
from typing import Any, Final

import numpy as np

from steelyard.estimate import Array

ROUNDS: Final = 4
"""Chords drawn; without bars that go slack the second already ends on the answer."""


def chord(level: Any, there: Any, along: Any) -> Array:
    """n = (N(j) - N0)/j, N per m/s2; NaN (an axle that lifts) stays NaN."""
    along = np.asarray(along, dtype=float)
    safe = np.where(np.abs(along) > 1e-12, along, 1.0)
    return np.where(np.abs(along) > 1e-12, (there - level) / safe, 0.0)


def lock(level: Any, slope: Any, share: Any, friction: Any) -> Array:
    """j at which an axle locks whose brake force is `share` j: mu (N0 + n j) = share j.

    inf where it never does; 0 where it bears nothing at rest. Source: equilibrium.
    """
    left = share - friction * slope
    never = left <= 0.0
    found = np.maximum(friction * level, 0.0) / np.where(never, 1.0, left)
    return np.where(never, np.inf, found)


def limit(vehicle: Any, slope: Any, mass: Any, own: Any, fixed: Any, friction: Any) -> Array:
    """j with every vehicle tyre at its friction: j (m - own) = mu (V0 + v j) + fixed.

    vehicle, slope: V0 and v, load of both vehicle axles at rest and its chord; mass: m of the rig;
    the trailer's brakes give own j (own = share m2, kg) or, locked, `fixed` newtons.
    """
    left = mass - own - friction * slope
    never = left <= 0.0
    found = np.maximum(friction * vehicle, 0.0) + fixed
    return np.where(never, np.inf, found / np.where(never, 1.0, left))


def repeated(guess: Any, step: Callable[[Array], Array]) -> Array:
    """The fixed point of `step` from a guess, in `ROUNDS` rounds; what is not finite stays put."""
    at = np.asarray(guess, dtype=float)
    for _ in range(ROUNDS):
        found = step(at)
        at = np.where(np.isfinite(found), found, at)
    return at


def distance(speed: Any, deceleration: Any, reaction: Any = 0.0) -> Array:
    """v t + v^2/(2 d), m; inf where nothing slows it. Source: closed form.

    >>> float(distance(20.0, 4.0))
    50.0
    """
    slows = np.asarray(deceleration) > 0.0
    braked = np.square(speed) / (2.0 * np.where(slows, deceleration, 1.0))
    return np.where(slows, speed * reaction + braked, np.inf)
