"""What one side of a pair brings to it, draw by draw, so that a pair is put together from two rows.

Everything here is by the library's own readers and springs, on one side's own parameters.
"""

from typing import NamedTuple

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.quantity import GRAVITY
from steelyard.rig import Rig
from steelyard.statics.balance import Sums, sums
from steelyard.statics.linkage import TrailerSprings, trailer_springs, vehicle_springs
from steelyard.statics.masses import masses_of
from steelyard.swaying.rig import (
    centre_of,
    front_cornering,
    over_pressure,
    rated_weight,
    trailer_inertia,
    vehicle_inertia,
)
from steelyard.travel import StagePlan

GROUPS = 3
"""Axles a trailer has at the most."""
LOOSE = ("load.item_height", "load.offset")
"""How high and how far aside a thing stands that says neither: with the vehicle's own draws."""
CARRIED = ("person", "item", "accessory", "hitch", "tank")
"""Kinds of weight that a payload placard counts."""


class Tows(NamedTuple):
    """G vehicles at n draws, SI: (G, n), but for what hangs on the stage, (S, G, n).

    weight, moment, offset: N, N m about the front axle, N m to the left; carried: N that payload
    counts; behind: N of cargo behind the rear axle; mass, centre, inertia: kg, m, kg m2; own_front,
    unladen: N, of the empty vehicle; setting: the bars' preset (rad) or the share they give back.
    lift, aside: m, of things in the trailer that say neither.
    """

    weight: Array
    moment: Array
    offset: Array
    carried: Array
    behind: Array
    mass: Array
    centre: Array
    inertia: Array
    wheelbase: Array
    overhang: Array
    front_rate: Array
    rear_rate: Array
    front_offset: Array
    rear_offset: Array
    ball: Array
    own_front: Array
    unladen: Array
    roll: Array
    front_track: Array
    rear_track: Array
    tip_rate: Array
    arm: Array
    setting: Array
    front_cornering: Array
    rear_cornering: Array
    front_rated: Array
    rear_rated: Array
    front_over: Array
    rear_over: Array
    peak: Array
    slope: Array
    gain: Array
    lift: Array
    aside: Array


class Toweds(NamedTuple):
    """G trailers at n draws, SI: (G, n); weight, moment, height, offset, mass, centre, inertia,
    loose (S, G, n); station, rate (of spring groups), axle (3, G, n), those not there of no rate;
    rates (3, G, n): sums of rate, of rate times station and of rate times its square.

    moment: N m about the ball, less what tyres carry outside the lever; height, offset, inertia
    without that of `loose` things, kg, which stand as high and aside as the vehicle's draws say.
    """

    weight: Array
    moment: Array
    lever_moment: Array
    height: Array
    offset: Array
    loose: Array
    mass: Array
    centre: Array
    inertia: Array
    station: Array
    rate: Array
    rates: Array
    axle: Array
    coupler: Array
    sag: Array
    hub: Array
    unsprung: Array
    track: Array
    cornering: Array
    rated: Array
    over: Array


def tow_tables(rig: Rig, plans: tuple[StagePlan, ...], v: Values, shape: tuple[int, int]) -> Tows:
    """Vehicles of one kind; values (G n,) of the vehicle's own parameters, shape (G, n)."""
    rows = masses_of("vehicle", rig, plans, v)
    whole = sums(rows, "vehicle", len(plans))
    mass, centre = centre_of(rows)
    _, rate, offset = vehicle_springs(rig, v)
    cargo = [row for row in rows if row.kind == "item"]
    behind = _sum([row.kg * (row.station > v["vehicle.wheelbase"]) for row in cargo])
    carried = _sum([row.kg for row in rows if row.kind in CARRIED])
    none = np.zeros(1)
    staged = _staged(plans, shape)
    plain = _plain(shape)
    bars = rig.hitch.bars is not None
    setting = v.get("hitch.bars.preset", v.get("hitch.bars.restoration", none)) if bars else none
    unladen = v["vehicle.weight"] * GRAVITY
    return Tows(
        weight=staged(whole.weight),
        moment=staged(whole.moment),
        offset=staged(whole.offset),
        carried=staged(carried * GRAVITY),
        behind=staged(behind * GRAVITY),
        mass=staged(mass),
        centre=staged(centre),
        inertia=staged(vehicle_inertia(rows, v, centre)),
        wheelbase=plain(v["vehicle.wheelbase"]),
        overhang=plain(v["vehicle.overhang"]),
        front_rate=plain(rate[0]),
        rear_rate=plain(rate[1]),
        front_offset=plain(offset[0]),
        rear_offset=plain(offset[1]),
        ball=plain(v["hitch.ball_height"]),
        own_front=plain(unladen * (1.0 - v["vehicle.cg"] / v["vehicle.wheelbase"])),
        unladen=plain(unladen),
        roll=plain(v["vehicle.roll_share"]),
        front_track=plain(v["vehicle.front.track"]),
        rear_track=plain(v["vehicle.rear.track"]),
        tip_rate=plain(v["hitch.bars.tip_rate"] if bars else none),
        arm=plain(v["hitch.bars.arm"] if bars else none),
        setting=plain(setting),
        front_cornering=plain(front_cornering(v)),
        rear_cornering=plain(v["vehicle.rear.cornering"]),
        front_rated=plain(rated_weight("vehicle.front", v)),
        rear_rated=plain(rated_weight("vehicle.rear", v)),
        front_over=plain(over_pressure("vehicle.front", v)),
        rear_over=plain(over_pressure("vehicle.rear", v)),
        peak=plain(v["tyres.peak_load"]),
        slope=plain(v["tyres.pressure_slope"]),
        gain=plain(v["tyres.pressure_peak"]),
        lift=plain(v.get("load.item_height", none)),
        aside=plain(v.get("load.offset", none)),
    )


def towed_tables(
    rig: Rig, plans: tuple[StagePlan, ...], v: Values, shape: tuple[int, int]
) -> Toweds:
    """Trailers of one kind; values (G n,) of the trailer's own parameters, shape (G, n)."""
    still = {**v, **dict.fromkeys(LOOSE, np.zeros(()))}
    rows = masses_of("trailer", rig, plans, still)
    whole, own = sums(rows, "trailer", len(plans)), trailer_springs(rig, still)
    mass, centre = centre_of(rows)
    staged, plain = _staged(plans, shape), _plain(shape)
    loose = _sum([row.kg for row in rows if row.kind == "item"])
    return Toweds(
        weight=staged(whole.weight),
        moment=staged(whole.moment),
        lever_moment=staged(_lever_moment(whole, own, still["trailer.axles.unsprung"])),
        height=staged(whole.height),
        offset=staged(whole.offset),
        loose=staged(loose),
        mass=staged(mass),
        centre=staged(centre),
        inertia=staged(trailer_inertia(rows, still, centre)),
        station=_three([plain(x) for x in own.groups]),
        rate=_three([plain(x) for x in own.rates], still=True),
        rates=_moments([plain(x) for x in own.rates], [plain(x) for x in own.groups]),
        axle=_three([plain(x) for x in own.axles]),
        coupler=plain(v["trailer.coupler_height"]),
        sag=plain(own.sag),
        hub=plain(v["trailer.hub_height"]),
        unsprung=plain(v["trailer.axles.unsprung"]),
        track=plain(v["trailer.axles.track"]),
        cornering=plain(v["trailer.axles.cornering"]),
        rated=plain(rated_weight("trailer.axles", v)),
        over=plain(over_pressure("trailer.axles", v)),
    )


def _lever_moment(whole: Sums, own: TrailerSprings, unsprung: Array) -> Array:
    """Moment about the ball of what the springs carry: tyres carry the axles' own weight."""
    each = len(own.axles) / len(own.groups)
    outside = unsprung * GRAVITY * (sum(own.axles) - each * sum(own.groups))
    return np.asarray(whole.moment - outside)


def _three(found: list[Array], *, still: bool = False) -> Array:
    """Three of them, (3, G, n): those not there are the first again, or zero where `still`."""
    more = np.zeros_like(found[0]) if still else found[0]
    return np.stack([*found, *[more] * (GROUPS - len(found))])


def _moments(rates: list[Array], stations: list[Array]) -> Array:
    """Sums of rate, of rate times station and of rate times station squared, (3, G, n)."""
    pairs = list(zip(rates, stations, strict=True))
    return np.stack([np.asarray(sum(k * s**power for k, s in pairs)) for power in range(3)])


def _sum(found: list[Array]) -> Array:
    return np.asarray(sum(found, np.zeros(1)))


def _staged(plans: tuple[StagePlan, ...], shape: tuple[int, int]):  # type: ignore[no-untyped-def]
    wide = (len(plans), shape[0] * shape[1])
    return lambda x: np.array(np.broadcast_to(x, wide)).reshape(len(plans), *shape)


def _plain(shape: tuple[int, int]):  # type: ignore[no-untyped-def]
    wide = shape[0] * shape[1]
    return lambda x: np.array(np.broadcast_to(x, wide)).reshape(shape)
