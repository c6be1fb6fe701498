"""Steady grades: force and power up, what friction and engine allow, energy and power down.

Grades are angles in rad; `rolling` is the rolling-resistance coefficient; element-wise.
Source: equilibrium along the road; the air's drag is rho/2 c_d A v^2.
"""

from typing import Any, Final

import numpy as np

from steelyard.estimate import Array
from steelyard.quantity import GRAVITY
from steelyard.quantity.constants import AIR

ROUNDS: Final = 60


def climbing_force(mass: Any, slope: Any, rolling: Any) -> Any:
    """F = m g (sin + c cos), N: what the driven tyres must give to creep up steadily."""
    return mass * GRAVITY * (np.sin(slope) + rolling * np.cos(slope))


def traction_grade(level: Any, slope: Any, mass: Any, rolling: Any, friction: Any) -> Array:
    """Steepest grade, as a tangent, at which the driven tyres still hold.

    mu (N0 + k tan) = m g (tan + c), all over the cosine; level, slope: N0, load of the driven
    axles on the level, and k, what a tangent of one would add, N. inf where it never slips.
    """
    weight = mass * GRAVITY
    left = weight - friction * slope
    never = left <= 0.0
    found = (friction * level - weight * rolling) / np.where(never, 1.0, left)
    return np.where(never, np.inf, found)


def force_grade(force: Any, mass: Any, rolling: Any) -> Array:
    """Steepest grade, as a tangent, that a drive force climbs: F = m g (sin + c cos).

    With tan(e) = c it is sin(slope + e) = F cos(e)/(m g); inf where the force lifts the whole rig.
    """
    turned = np.arctan(rolling)
    sine = force * np.cos(turned) / (mass * GRAVITY)
    angle = np.arcsin(np.clip(sine, -1.0, 1.0)) - turned
    return np.where(sine >= 1.0, np.inf, np.tan(angle))


def drag(speed: Any, area: Any) -> Any:
    """rho/2 (c_d A) v^2, N; area: drag coefficient times frontal area, m2."""
    return 0.5 * AIR * area * np.square(speed)


def power_needed(force: Any, speed: Any, area: Any, driveline: Any) -> Any:
    """Engine power to hold a speed, W: (F + drag) v over the driveline's efficiency."""
    return (force + drag(speed, area)) * speed / driveline


def speed_held(power: Any, force: Any, area: Any, driveline: Any) -> Array:
    """Speed at which power and resistance meet, m/s: a v^3 + F v = eta P, by Newton from above.

    The left side is convex and rises, so every step stays above the root. force at least 0.
    """
    at_wheels, a = np.asarray(power * driveline, float), 0.5 * AIR * np.asarray(area, float)
    v = np.cbrt(at_wheels / a) * np.ones_like(np.asarray(force, float))
    for _ in range(ROUNDS):
        v = v - (a * v**3 + force * v - at_wheels) / (3 * a * v**2 + force)
    return np.asarray(v)


def descent_energy(mass: Any, slope: Any, length: Any) -> Any:
    """Potential energy given up over a descent, J: m g (length along the road) sin."""
    return mass * GRAVITY * length * np.sin(slope)


def to_brakes(mass: Any, slope: Any, length: Any, rolling: Any) -> Array:
    """What brakes and engine braking must take at a steady speed, J; at least 0.

    m g (sin - c cos) length: rolling takes its part, the air is left out, which is on the safe
    side and right for a slow descent.
    """
    left = mass * GRAVITY * (np.sin(slope) - rolling * np.cos(slope)) * length
    return np.asarray(np.maximum(left, 0.0))
