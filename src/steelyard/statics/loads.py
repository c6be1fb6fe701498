"""What every wheel, axle and coupling carries, bars off and as driven."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.quantity import Floats
from steelyard.rig import Rig
from steelyard.statics.balance import Balance, Weights, alone, axle_forces, balance, coupling_force
from steelyard.statics.contact import Settled, Springs, Triple, settle
from steelyard.statics.lever import ball_contact
from steelyard.statics.linkage import Linkage
from steelyard.statics.masses import Mass
from steelyard.travel import StagePlan

HELD = 1e6
"""N: a stiff prop under the trailer's pitch when the vehicle is solved without it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wheel:
    """Load of the wheels on one side of one axle, N (S, n), as driven."""

    axle: str
    side: str
    load: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Heights:
    """Where the rig stands as driven, m and rad, (S, n).

    Drops are at the axles against the empty vehicle alone; positive pitch is nose-down for the
    trailer and nose-up for the vehicle.
    """

    ball: Array
    front_drop: Array
    rear_drop: Array
    trailer_pitch: Array
    vehicle_pitch: Array


@dataclass(frozen=True, kw_only=True)
class Loads:
    """Loads in N, arrays (S, n): stages first, draws last.

    `tongue` is bars off; `net` and `contact` are as driven; `front`, `rear` and `trailer_axles` are
    as driven; `*_alone` without the trailer; `restoration` is the share of the lost front load that
    the bars give back (NaN where no front load is lost).
    """

    trailer: Array
    vehicle: Array
    tongue: Array
    net: Array
    contact: Array
    bar_moment: Array
    front: Array
    rear: Array
    trailer_axles: tuple[Array, ...]
    front_alone: Array
    rear_alone: Array
    front_off: Array
    restoration: Array
    wheels: tuple[Wheel, ...]
    heights: Heights
    balance: Balance

    @cached_property
    def share(self) -> Array:
        """Tongue share: tongue weight, bars off, over the whole trailer's weight."""
        return np.asarray(self.tongue / self.trailer)


def loads(
    rig: Rig[Floats],
    v: Values,
    stages: tuple[StagePlan, ...] | None = None,
    extra: tuple[Mass, ...] = (),
) -> Loads:
    """All loads of the rig at its stages and at every draw in `v`.

    extra: weights beyond the rig's own, see `balance`.
    """
    found = balance(rig, v, stages, extra)
    link = found.link
    tongue, net = (coupling_force(found, state) for state in (found.off, found.driven))
    axles = axle_forces(found, found.driven)
    front, rear = vehicle_forces(link, found.driven)
    front_off, _ = vehicle_forces(link, found.off)
    front_alone, rear_alone = alone(link, found.vehicle, found.slope)
    arm = v.get("hitch.bars.arm")
    contact = net if arm is None else ball_contact(net, found.bar_moment, arm)
    return Loads(
        trailer=found.trailer.weight,
        vehicle=found.vehicle.weight,
        tongue=tongue,
        net=net,
        contact=contact,
        bar_moment=found.bar_moment,
        front=front,
        rear=rear,
        trailer_axles=axles,
        front_alone=front_alone,
        rear_alone=rear_alone,
        front_off=front_off,
        restoration=_restored(front_alone, front_off, front),
        wheels=_wheels(found, v, front, rear, axles),
        heights=heights(found.link, found.driven.u),
        balance=found,
    )


def vehicle_forces(link: Linkage, state: Settled) -> tuple[Array, Array]:
    """Front and rear axle load: main springs, helpers and stops of each."""
    own = range(link.first_trailer_spring)
    front = sum(state.force[j] for j in own if link.is_front(j))
    rear = sum(state.force[j] for j in own if not link.is_front(j))
    return np.asarray(front), np.asarray(rear)


def _restored(alone: Array, off: Array, driven: Array) -> Array:
    """(driven - off)/(alone - off): front-axle load restoration."""
    lost = alone - off
    return np.asarray((driven - off) / np.where(lost > 1.0, lost, np.nan))


def heights(link: Linkage, u: Triple) -> Heights:
    """Where the rig stands with the three unknowns at `u`."""
    front, rear, pitch = u
    drop = rear + (rear - front) * link.overhang / link.wheelbase
    return Heights(
        ball=np.asarray(link.ball_height - drop),
        front_drop=np.asarray(front),
        rear_drop=np.asarray(rear),
        trailer_pitch=np.asarray(pitch),
        vehicle_pitch=np.asarray((rear - front) / link.wheelbase),
    )


def heights_alone(link: Linkage, front: Array, rear: Array) -> Heights:
    """Where the vehicle stands without its trailer, its axles carrying `front` and `rear`, N."""
    springs, own = link.springs, link.first_trailer_spring
    zero, one = np.float64(0.0), np.float64(1.0)
    bare = Springs(
        direction=(*springs.direction[:own], (zero, zero, one)),
        rate=(*springs.rate[:own], np.ones(1)),
        offset=(*springs.offset[:own], np.full(1, HELD)),
    )
    return heights(link, settle(bare, (front, rear, HELD)).u)


def lateral(laid: Weights, v: Values, axle: str) -> tuple[Array, Array]:
    """Lateral moment (N m, to the left) that an axle carries, and its track (m).

    `axle` is front, rear, or trailer with its number.
    """
    roll = v["vehicle.roll_share"]
    if axle == "front":
        return laid.vehicle.offset * roll, v["vehicle.front.track"]
    if axle == "rear":
        return laid.vehicle.offset * (1.0 - roll), v["vehicle.rear.track"]
    return laid.trailer.offset / len(laid.link.axles), v["trailer.axles.track"]


def _wheels(
    found: Balance, v: Values, front: Array, rear: Array, axles: tuple[Array, ...]
) -> tuple[Wheel, ...]:
    """Left and right of every axle: half its load and its share of the body's lateral moment."""
    named = {"front": front, "rear": rear}
    named |= {f"trailer {i}": load for i, load in enumerate(axles, start=1)}
    sides: dict[int, tuple[Array, Array]] = {}  # axles that share one load share its sides
    wheels = []
    for name, load in named.items():
        if id(load) not in sides:
            moment, track = lateral(found, v, name)
            left = wheel_load(load, moment, track)
            sides[id(load)] = left, load - left if moment.any() else left
        both = zip(("left", "right"), sides[id(load)], strict=True)
        wheels += [Wheel(axle=name, side=side, load=part) for side, part in both]
    return tuple(wheels)


def wheel_load(axle: Array, moment: Array, track: Array) -> Array:
    """Load of one side: N/2 + M/t, with M the lateral moment towards that side, N m."""
    return np.asarray(axle / 2 + moment / track)
