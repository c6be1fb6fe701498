"""The rig as springs and levers: what the contact kernel needs, from parameter values."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.quantity import GRAVITY, Floats
from steelyard.rig import Rig, VehicleAxle
from steelyard.statics.contact import Springs, Triple
from steelyard.statics.masses import axle_stations
from steelyard.typical.hitch import ball_radius
from steelyard.typical.trailer import ORDINALS, axle_count, suspension

STIFF = 100.0
"""A rear axle that levels itself is taken this much stiffer than its springs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """How a weight at a station loads the three unknowns. m; arrays broadcast over draws."""

    wheelbase: Array
    overhang: Array

    def at_trailer(self, station: Array) -> Triple:
        """A weight at a trailer station."""
        lever = self.overhang / self.wheelbase
        return -lever, 1.0 + lever, -station

    def at_vehicle(self, station: Array) -> Triple:
        """A weight at a vehicle station."""
        share = station / self.wheelbase
        return 1.0 - share, share, np.zeros_like(share)


@dataclass(frozen=True, slots=True, kw_only=True)
class Linkage(Frame):
    """Springs without bars, and where things act. m, N/m; arrays broadcast over draws.

    `groups` are the trailer's spring stations (one for an equalised group), `shares` each axle's
    part of its group, `axles` all axle stations. `ball_height` is to the top of the ball, as a tape
    takes it; the coupler turns and pushes at `hinge_height`, the ball's centre, on the empty
    vehicle.
    """

    springs: Springs
    first_trailer_spring: int
    groups: tuple[Array, ...]
    axles: tuple[Array, ...]
    shares: tuple[float, ...]
    unsprung: Array
    ball_height: Array
    hinge_height: Array
    hub_height: Array

    def is_front(self, spring: int) -> bool:
        """Whether one of the vehicle's springs stands at its front axle."""
        return bool(self.springs.direction[spring][0])

    @property
    def bar(self) -> Triple:
        """Opening of the hitch per unknown: (z_r - z_f)/L + pitch."""
        return -1.0 / self.wheelbase, 1.0 / self.wheelbase, np.ones_like(self.wheelbase)


def axle_shares(rig: Rig[Floats]) -> tuple[float, ...]:
    """Each axle's share of the load under an equaliser; equal where unsaid; sums to one."""
    count = axle_count(rig)
    stated = [getattr(rig.trailer.axles, ordinal) for ordinal in ORDINALS[:count]]
    given = [float(one.share.value) if one and one.share else None for one in stated]
    rest = 1.0 - sum(share for share in given if share is not None)
    unsaid = given.count(None)
    shares = [rest / unsaid if share is None else share for share in given]
    total = sum(shares)
    return tuple(share / total for share in shares)


def group_station(rig: Rig[Floats], v: Values) -> Array:
    """Where the axle group acts: weighted by share under an equaliser, else by rate."""
    stations = axle_stations(rig, v)
    weights: list[Any] = [*axle_shares(rig)] if _equalised(rig) else [*_rates(rig, v)]
    total = sum(weights)
    return np.asarray(sum(w * s for w, s in zip(weights, stations, strict=True)) / total)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrailerSprings:
    """A trailer's springs by its own parameters: stations and rates of its groups, stations of its
    axles and each one's part of its group, and how far they sag when it stands level and empty."""

    groups: tuple[Array, ...]
    rates: tuple[Array, ...]
    axles: tuple[Array, ...]
    shares: tuple[float, ...]
    sag: Array


def trailer_springs(rig: Rig[Floats], v: Values) -> TrailerSprings:
    """Springs of the trailer: one of an equalised group, else one an axle."""
    stations, equalised = axle_stations(rig, v), _equalised(rig)
    rates = [_group_rate(rig, v)] if equalised else _rates(rig, v)
    return TrailerSprings(
        groups=(group_station(rig, v),) if equalised else tuple(stations),
        rates=tuple(rates),
        axles=tuple(stations),
        shares=axle_shares(rig) if equalised else (1.0,) * len(stations),
        sag=_empty_sag(rig, v, rates),
    )


def linkage(rig: Rig[Floats], v: Values) -> Linkage:
    """The rig's springs at these parameter values."""
    overhang, wheelbase = v["vehicle.overhang"], v["vehicle.wheelbase"]
    own = trailer_springs(rig, v)
    direction, rate, offset = vehicle_springs(rig, v)
    first = len(rate)
    lever = overhang / wheelbase
    sag = v["trailer.coupler_height"] - v["hitch.ball_height"] + own.sag
    for station, k in zip(own.groups, own.rates, strict=True):
        direction.append((-lever, 1.0 + lever, -station))
        rate.append(k)
        offset.append(sag)
    return Linkage(
        wheelbase=wheelbase,
        overhang=overhang,
        springs=Springs(direction=tuple(direction), rate=tuple(rate), offset=tuple(offset)),
        first_trailer_spring=first,
        groups=own.groups,
        axles=own.axles,
        shares=own.shares,
        unsprung=v["trailer.axles.unsprung"],
        ball_height=v["hitch.ball_height"],
        hinge_height=v["hitch.ball_height"] - ball_radius(rig),
        hub_height=v["trailer.hub_height"],
    )


def _equalised(rig: Rig[Floats]) -> bool:
    return suspension(rig) == "equaliser" or axle_count(rig) == 1


def _rates(rig: Rig[Floats], v: Values) -> list[Array]:
    ordinals = ORDINALS[: axle_count(rig)]
    own = [f"trailer.axles.{ordinal}.rate" for ordinal in ordinals]
    return [v[path] if path in v else v["trailer.axles.rate"] for path in own]


def _group_rate(rig: Rig[Floats], v: Values) -> Array:
    """Rate of an equalised group at its station: 1 / sum(share^2 / k)."""
    pairs = zip(axle_shares(rig), _rates(rig, v), strict=True)
    return np.asarray(1.0 / sum(share**2 / k for share, k in pairs))


def _empty_sag(rig: Rig[Floats], v: Values, rates: list[Array]) -> Array:
    """Sag of the trailer's springs and tyres when it stands level and empty, m (all alike).

    Counted from where the tyres would leave the ground, so that a spring's force is what its tyres
    carry: an axle lifts when that reaches zero, its own weight still hanging on the springs.
    """
    moment = v["trailer.empty.weight"] * v["trailer.empty.cg"] * GRAVITY
    return np.asarray(moment / group_station(rig, v) / sum(rates))


def vehicle_springs(rig: Rig[Floats], v: Values) -> tuple[list[Triple], list[Array], list[Array]]:
    """Front and rear springs with tyres in series, helpers and bump stops where stated."""
    weight = v["vehicle.weight"] * GRAVITY
    rear = weight * v["vehicle.cg"] / v["vehicle.wheelbase"]
    one, none = np.float64(1.0), np.float64(0.0)  # plain numbers: `solve` skips them
    direction: list[Triple] = []
    rate: list[Array] = []
    offset: list[Array] = []
    for end, axis, load in (
        ("front", (one, none, none), weight - rear),
        ("rear", (none, one, none), rear),
    ):
        spring, tyre = v[f"vehicle.{end}.rate"], v[f"vehicle.{end}.tyre_rate"]
        k = in_series(spring, tyre)
        if end == "rear" and rig.vehicle.levelling != "none":
            k = STIFF * k
        for stiffness, gap in ((k, load / k), *_extras(getattr(rig.vehicle, end), spring, tyre)):
            direction.append(axis)
            rate.append(stiffness * one)
            offset.append(gap * one)
    return direction, rate, offset


def in_series(spring: Array, tyre: Array) -> Array:
    """Rate of a spring standing on a tyre."""
    return np.asarray(spring * tyre / (spring + tyre))


def _extras(axle: VehicleAxle[Floats], spring: Array, tyre: Array) -> Iterator[tuple[Array, Array]]:
    """Rate and offset each helper or stop adds at the ground, in the order in which they touch.

    One touches when the suspension has sagged by its gap; by then the tyre has given way too.
    """
    pairs = ((axle.helper_rate, axle.helper_gap), (axle.stop_rate, axle.stop_gap))
    stated = [(k.value, gap.value if gap else 0.0) for k, gap in pairs if k is not None]
    at: Floats = 0.0
    whole, force = spring, np.zeros_like(spring)
    for extra, gap in sorted(stated, key=lambda pair: pair[1]):
        force = force + whole * (gap - at)
        added = in_series(whole + extra, tyre) - in_series(whole, tyre)
        yield added, -(gap + force / tyre)
        whole, at = whole + extra, gap
