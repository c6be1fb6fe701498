"""What every axle and the ball carry while the rig brakes, climbs or descends.

Load transfer along the road: two bodies joined at the ball, braked, driven or on a grade.
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

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Final

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.quantity import GRAVITY
from steelyard.statics.balance import (
    Balance,
    added,
    attitude,
    axle_forces,
    coupling_force,
    grade_moment,
    settled_twice,
    squat,
    with_bar,
)
from steelyard.statics.contact import Settled, Springs, Triple, settle, stretch
from steelyard.statics.loads import Loads, vehicle_forces

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Footing:
    """Loads in N, arrays (S, n): axles, net vertical force on the ball (bars on), push of the
    trailer along the road, brake force of the trailer. NaN where the rig would tip."""

    front: Array
    rear: Array
    trailer_axles: tuple[Array, ...]
    tongue: Array
    push: Array
    held: Array

    @property
    def lifts(self) -> Any:
        """Where some axle bears nothing, or no balance is left; (S, n) of bool."""
        each = np.broadcast_arrays(self.front, self.rear, *self.trailer_axles)
        return sum(~(load > 0.0) for load in each) > 0


@dataclass(frozen=True, kw_only=True)
class Rolling:
    """A rig as it stands, ready to be braked or tilted; springs with the bars as hooked up."""

    balance: Balance
    springs: Springs
    level: Triple

    @cached_property
    def at_rest(self) -> tuple[Settled, Settled]:
        """Where it settles on the level, bars off."""
        return settled_twice(self.balance.link, self.balance.trailer, self.level)

    @property
    def vehicle_mass(self) -> Array:
        """kg, (S, n)."""
        return np.asarray(self.balance.vehicle.weight / GRAVITY)

    @property
    def trailer_mass(self) -> Array:
        """kg, (S, n)."""
        return np.asarray(self.balance.trailer.weight / GRAVITY)

    @property
    def mass(self) -> Array:
        """Of the whole rig, kg, (S, n)."""
        return self.vehicle_mass + self.trailer_mass

    def at(self, slope: float, along: Any, held: Any) -> Footing:
        """Loads on a slope (rad) with apparent acceleration `along` and trailer brakes `held` (N).

        The bars give way with the pitch of both bodies and may go slack: the same springs and
        contacts as at rest. The trailer's own pitch and the squat of both are corrected once, as
        at rest.
        """
        b, tilted = self.balance, _tilted(self.balance, slope)
        pushed = push(self.trailer_mass, along, held)
        plain = _load(b, self.level, slope, along, held, pushed)
        moved = attitude(b.link, b.trailer, slope, settle(b.link.springs, plain))
        bodies = b.vehicle, b.trailer
        lowered = squat(b.link, bodies, plain, self.at_rest, slope, along, held)
        state = settle(self.springs, added(added(plain, lowered), (0.0, 0.0, moved)))
        front, rear = vehicle_forces(b.link, state)
        return Footing(
            front=front,
            rear=rear,
            trailer_axles=axle_forces(tilted, state),
            tongue=coupling_force(tilted, state),
            push=np.asarray(pushed),
            held=np.asarray(held) * np.ones_like(front),
        )


def rolling(found: Loads, v: Values) -> Rolling:
    """From the loads of a rig at rest, on whatever slope its stages stand."""
    b = found.balance
    cos, sin = np.cos(b.slope), np.sin(b.slope)
    ball = b.link.hinge_height
    shift = sin * (b.vehicle.height + b.trailer.weight * ball) / b.link.wheelbase
    x, y, z = b.lowered
    turned = b.load[2] - b.attitude - z - grade_moment(b.link, b.trailer, b.slope)
    level = ((b.load[0] - x + shift) / cos, (b.load[1] - y - shift) / cos, turned / cos)
    return Rolling(balance=b, springs=_springs(b, v), level=level)


def _springs(b: Balance, v: Values) -> Springs:
    """The linkage's springs, and the bars with the preset that they stand with at rest.

    Where they hang slack at rest the stated preset is taken, or one that is only just slack.
    """
    if not np.any(b.bar_rate):
        return b.link.springs
    opening = stretch(b.link.bar, b.driven.u, 0.0)
    slack = v.get("hitch.bars.preset", -opening)
    preset = np.where(b.bar_moment > 0.0, b.bar_moment / b.bar_rate - opening, slack)
    return with_bar(b.link, b.bar_rate, preset)


def _tilted(b: Balance, slope: float) -> Balance:
    return replace(b, slope=np.full_like(b.slope, slope))


def _load(b: Balance, level: Triple, slope: float, along: Any, held: Any, pushed: Any) -> Triple:
    """Generalised weights on (front drop, rear drop, pitch): the level rig's and the shift."""
    ball, cos = b.link.hinge_height, np.cos(slope)
    front, rear = shifted(b.vehicle.height, pushed, ball, b.link.wheelbase, along)
    nose = pitched(b.trailer.height, b.trailer.weight, ball, along, held)
    return level[0] * cos + front, level[1] * cos + rear, level[2] * cos + nose
