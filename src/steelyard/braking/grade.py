"""Steady grades: force and power up, what friction and engine allow, energy and power down.

Grades are angles in rad; `rolling` is the rolling-resistance coefficient; element-wise.
Source: equilibrium along the road; the air's drag is rho/2 c_d A v^2.
"""

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from steelyard.braking.footing import Footing, Rolling, apparent, friction_used
from steelyard.braking.result import Climb
from steelyard.braking.settings import Settings
from steelyard.braking.stage_ranges import chance, row, spread
from steelyard.estimate import Array, Values
from steelyard.quantity import GRAVITY
from steelyard.quantity.constants import AIR
from steelyard.rig import Rig

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


@dataclass(frozen=True, kw_only=True)
class Upward:
    """Arrays (S, 1 + n) of a steady climb; None where the rig file leaves unsaid what it takes."""

    driven: str | None
    footing: Footing
    needed: Array
    friction: Array
    used: Array | None
    traction: Array | None
    force: Array | None
    forced: Array | None
    power: Array
    held: Array | None


def upward(rig: Rig, v: Values, moving: Rolling, level: Footing, asked: Settings) -> Upward:
    """Everything about the climb, for all stages and draws at once.

    A steady climb needs the drive force alone, so launching is the same question with nothing to
    spare; what is over goes into gaining speed.
    """
    slope = float(np.arctan(asked.grade))
    footing = moving.at(slope, apparent(0.0, slope), 0.0)
    mass, c = moving.mass, np.maximum(v["road.rolling"], 0.0)
    needed = climbing_force(mass, slope, c)
    area, eta = np.maximum(v["road.drag_area"], 0.1), np.clip(v["road.driveline"], 0.05, 1.0)
    grip, driven = np.maximum(v["road.friction"], 0.0), rig.vehicle.driven
    driving = None if driven is None else (_driven(footing, driven), _driven(level, driven))
    force, engine = v.get("road.drive_force"), v.get("road.engine_power")
    tilt = max(asked.grade, 1e-9)
    return Upward(
        driven=driven,
        footing=footing,
        needed=needed,
        friction=grip,
        used=None if driving is None else friction_used(needed, driving[0]),
        traction=None
        if driving is None
        else traction_grade(
            driving[1], (driving[0] / np.cos(slope) - driving[1]) / tilt, mass, c, grip
        ),
        force=force,
        forced=None if force is None else force_grade(force, mass, c),
        power=power_needed(needed, asked.speed, area, eta),
        held=None if engine is None else speed_held(engine, needed, area, eta),
    )


def _driven(footing: Footing, driven: str) -> Array:
    """Load of the driven axle or axles, N."""
    by_word = {"front": footing.front, "rear": footing.rear, "all": footing.front + footing.rear}
    return by_word[driven]


def climb(up: Upward, asked: Settings, number: int) -> Climb:
    """One stage's answer."""
    like = up.footing.front

    def at(x: Any) -> Array:
        return row(x, number, like)

    slips = None if up.used is None else chance(~(at(up.used) <= at(up.friction)))
    short = None if up.force is None else chance(at(up.needed) > at(up.force))
    return Climb(
        driven=up.driven,
        needed=spread(at(up.needed)),
        used=None if up.used is None else spread(at(up.used)),
        slips=slips,
        traction=None if up.traction is None else spread(at(up.traction)),
        forced=None if up.forced is None else spread(at(up.forced)),
        short=short,
        power=spread(at(up.power)),
        held=None if up.held is None else spread(at(up.held)),
        slower=None if up.held is None else chance(at(up.held) < asked.speed),
    )
