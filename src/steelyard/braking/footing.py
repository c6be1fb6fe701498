"""What every axle and the ball carry while the rig brakes, climbs or descends."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from steelyard.braking.transfer import pitched, push, shifted
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
