"""One pass as the statics sees it: what each axle carries in the arrangement it was weighed in."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.quantity import GRAVITY
from steelyard.rig import Rig
from steelyard.statics.balance import (
    Balance,
    Coupled,
    Weights,
    alone,
    axle_forces,
    coupled,
    coupling_force,
    driven,
    weights,
)
from steelyard.statics.contact import Settled
from steelyard.statics.lever import ball_contact, tongue_weight
from steelyard.statics.loads import (
    Heights,
    heights,
    heights_alone,
    lateral,
    vehicle_forces,
    wheel_load,
)
from steelyard.travel import StagePlan

Arrangement = Literal["vehicle-alone", "coupled", "trailer-alone"]


@dataclass(frozen=True, eq=False)
class Laid:
    """Every pass as a stage of one rig at one set of values: settled when first asked for, since
    what is weighed uncoupled need not be, and with its bars when somebody asks for those."""

    rig: Rig
    values: Values
    plans: tuple[StagePlan, ...]

    @cached_property
    def weights(self) -> Weights:
        """What rides where."""
        return weights(self.rig, self.values, self.plans)

    @cached_property
    def driven(self) -> Balance:
        """Coupled, bars on."""
        return driven(self.rig, self.values, self._coupled, self.plans)

    @property
    def off(self) -> Settled:
        """Coupled, bars off; of a rig that stands with its bars alone only as far as these do."""
        found = self._coupled.off
        return self.driven.off if (found.force[0] < 0).any() else found

    @cached_property
    def _coupled(self) -> Coupled:
        return coupled(self.rig, self.weights)


@dataclass(frozen=True, kw_only=True)
class Pose:
    """What can be read in one pass; forces in N and heights in m, arrays (n,).

    `laid` holds every pass as a stage; `stage` is this one. `off_parts` are hitch parts that were
    not on the vehicle; `support` is where an uncoupled trailer's tongue stands, m aft of the ball.
    """

    laid: Laid
    stage: int
    arrangement: Arrangement
    bars: bool
    off_parts: tuple[str, ...]
    coupler_height: float | None
    support: Array | float

    @property
    def values(self) -> Values:
        """The parameters it is taken at."""
        return self.laid.values

    @property
    def weights(self) -> Weights:
        """What rides where, at each stage."""
        return self.laid.weights

    def axle(self, name: str) -> Array:
        """Load of an axle: front, rear, trailer-1, ..., or trailer for all of them."""
        if name in ("front", "rear"):
            pair = self._alone if self.arrangement == "vehicle-alone" else self._vehicle
            return pair[name == "rear"]
        loads = self._trailer_axles
        if name == "trailer":
            return np.asarray(sum(loads))
        return loads[int(name.split("-")[1]) - 1]

    def side(self, name: str, side: str) -> Array:
        """Load of the wheels on one side of an axle."""
        moment, track = lateral(self.weights, self.values, name.replace("-", " "))
        sign = 1.0 if side == "left" else -1.0
        return wheel_load(self.axle(name), sign * self._row(moment), track)

    def at_hitch(self, cell: str) -> Array:
        """What a hitch that weighs reads: the net force, or at the ball the contact."""
        net = self._row(coupling_force(self.weights, self._state()))
        if cell != "ball" or not self.bars:
            return net
        moment, arm = self._row(self.laid.driven.bar_moment), self.values["hitch.bars.arm"]
        return np.asarray(ball_contact(net, moment, arm))

    def whole_trailer(self) -> Array:
        """Weight of the trailer, tongue included."""
        return self._row(self.weights.trailer.weight)

    def whole_vehicle(self) -> Array:
        """Weight of the vehicle with all that rides in it, the trailer's left out."""
        return self._row(self.weights.vehicle.weight)

    def tongue(self) -> Array:
        """Tongue weight, bars off, of the load that was aboard."""
        return self._row(coupling_force(self.weights, self.laid.off))

    def under_tongue(self, station: Array | float) -> Array:
        """What a support under the uncoupled tongue carries: T s_a/(s_a - s_j)."""
        trailer = self.weights.trailer
        axle = self._group()
        moment = self._row(trailer.moment) - self._tilt(axle)
        tongue = tongue_weight(self._row(trailer.weight), moment, axle)
        return np.asarray(tongue * axle / (axle - station))

    @cached_property
    def standing(self) -> Heights:
        """Heights in this arrangement."""
        link = self.weights.link
        if self.arrangement != "vehicle-alone":
            return heights(link, self._of(self._state()))
        return heights_alone(link, *self._alone)

    def _state(self) -> Settled:
        return self.laid.driven.driven if self.bars else self.laid.off

    def _of(self, state: Settled) -> tuple[Array, Array, Array]:
        a, b, c = (self._row(np.asarray(x)) for x in state.u)
        return a, b, c

    def _row(self, x: Array) -> Array:
        """This pass's row of something (S, n) or that broadcasts to it."""
        return np.asarray(x if np.ndim(x) < 2 else x[self.stage])

    @cached_property
    def _vehicle(self) -> tuple[Array, Array]:
        front, rear = vehicle_forces(self.weights.link, self._state())
        return self._row(front), self._row(rear)

    @cached_property
    def _trailer_axles(self) -> tuple[Array, ...]:
        if self.arrangement == "trailer-alone":
            carried = self._row(self.weights.trailer.weight) - self.under_tongue(self.support)
            return tuple(share * carried for share in self._even())
        return tuple(self._row(load) for load in axle_forces(self.weights, self._state()))

    def _even(self) -> tuple[float, ...]:
        count = len(self.weights.link.axles)
        return (
            self.weights.link.shares if len(self.weights.link.groups) == 1 else (1 / count,) * count
        )

    def _group(self) -> Array:
        link = self.weights.link
        rates = link.springs.rate[link.first_trailer_spring :]
        pairs = zip(rates, link.groups, strict=True)
        return np.asarray(sum(k * s for k, s in pairs) / sum(rates))

    def _tilt(self, axle: Array) -> Array:
        """Moment (N m) by which a coupler off its level height moves the weights fore and aft."""
        if self.coupler_height is None:
            return np.zeros(1)
        level = self.values["trailer.coupler_height"]
        pitch = (level - self.coupler_height) / axle
        trailer, link = self.weights.trailer, self.weights.link
        held = level + link.hinge_height - link.ball_height  # centre of the socket
        ahead = self._row(trailer.height) - self._row(trailer.weight) * held
        hubs = self._row(trailer.moment) / axle * (held - self.values["trailer.hub_height"])
        return np.asarray(pitch * (ahead + hubs))

    @cached_property
    def _alone(self) -> tuple[Array, Array]:
        sums = self.weights.vehicle
        off = [
            row for row in self.weights.rows if row.kind == "hitch" and row.name in self.off_parts
        ]
        weight = sum((row.kg * GRAVITY for row in off), np.zeros(1))
        moment = sum((row.kg * GRAVITY * row.station for row in off), np.zeros(1))
        bare = replace(sums, weight=sums.weight - weight, moment=sums.moment - moment)
        front, rear = alone(self.weights.link, bare, self.weights.slope)
        return self._row(front), self._row(rear)
