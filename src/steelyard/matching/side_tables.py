"""What one side of a pair brings to it, draw by draw, so that a pair is put together from two rows.

Everything here is by the library's own readers and springs, on one side's own parameters.
"""

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.matching.pair_rows import Trailer, TrailerStage, Vehicle, VehicleStage
from steelyard.quantity import GRAVITY, Floats
from steelyard.rig import Rig
from steelyard.statics.balance import Sums, sums
from steelyard.statics.linkage import TrailerSprings, trailer_springs, vehicle_springs
from steelyard.statics.masses import masses_of
from steelyard.swaying.linear.rig import (
    axle_curve,
    centre_of,
    front_cornering,
    over_pressure,
    rated_weight,
    trailer_inertia,
    vehicle_inertia,
)
from steelyard.travel import StagePlan

NONE: Final = np.zeros(1)
GROUPS = 3
"""Axles a trailer has at the most."""
LOOSE = ("load.item_height", "load.offset")
"""How high and how far aside a thing stands that says neither: with the vehicle's own draws."""
CARRIED = ("person", "item", "accessory", "hitch", "tank")
"""Kinds of weight that a payload placard counts."""


class Table(NamedTuple):
    """G members at n draws: rows that hang on no stage (G, rows, n), and on one (S, G, rows, n)."""

    plain: Array
    staged: Array


def tow_table(
    rig: Rig[Floats], plans: tuple[StagePlan, ...], v: Values, shape: tuple[int, int]
) -> Table:
    """Vehicles of one kind; values (G n,) of the vehicle's own parameters, shape (G, n)."""
    rows = masses_of("vehicle", rig, plans, v)
    whole = sums(rows, "vehicle", len(plans))
    mass, centre = centre_of(rows)
    _, rate, offset = vehicle_springs(rig, v)
    cargo = [row for row in rows if row.kind == "item"]
    bars = rig.hitch.bars is not None
    setting = v.get("hitch.bars.preset", v.get("hitch.bars.restoration", NONE)) if bars else NONE
    unladen = v["vehicle.weight"] * GRAVITY
    front = axle_curve("vehicle.front", front_cornering(v), v)
    rear = axle_curve("vehicle.rear", v["vehicle.rear.cornering"], v)
    plain = {
        Vehicle.wheelbase: v["vehicle.wheelbase"],
        Vehicle.overhang: v["vehicle.overhang"],
        Vehicle.front_rate: rate[0],
        Vehicle.rear_rate: rate[1],
        Vehicle.front_offset: offset[0],
        Vehicle.rear_offset: offset[1],
        Vehicle.ball: v["hitch.ball_height"],
        Vehicle.own_front: unladen * (1.0 - v["vehicle.cg"] / v["vehicle.wheelbase"]),
        Vehicle.unladen: unladen,
        Vehicle.roll: v["vehicle.roll_share"],
        Vehicle.front_track: v["vehicle.front.track"],
        Vehicle.rear_track: v["vehicle.rear.track"],
        Vehicle.tip_rate: v["hitch.bars.tip_rate"] if bars else NONE,
        Vehicle.arm: v["hitch.bars.arm"] if bars else NONE,
        Vehicle.setting: setting,
        Vehicle.front_start: front[0],
        Vehicle.front_most: front[1],
        Vehicle.rear_start: rear[0],
        Vehicle.rear_most: rear[1],
        Vehicle.peak: v["tyres.peak_load"],
        Vehicle.slope: v["tyres.pressure_slope"],
        Vehicle.gain: v["tyres.pressure_peak"],
        Vehicle.lift: v.get("load.item_height", NONE),
        Vehicle.aside: v.get("load.offset", NONE),
    }
    staged = {
        VehicleStage.weight: whole.weight,
        VehicleStage.moment: whole.moment,
        VehicleStage.offset: whole.offset,
        VehicleStage.carried: _sum([row.kg for row in rows if row.kind in CARRIED]) * GRAVITY,
        VehicleStage.behind: GRAVITY
        * _sum([row.kg * (row.station > v["vehicle.wheelbase"]) for row in cargo]),
        VehicleStage.mass: mass,
        VehicleStage.centre: centre,
        VehicleStage.inertia: vehicle_inertia(rows, v, centre),
    }
    return _table(plain, staged, len(plans), shape)


def towed_table(
    rig: Rig[Floats], plans: tuple[StagePlan, ...], v: Values, shape: tuple[int, int]
) -> Table:
    """Trailers of one kind; values (G n,) of the trailer's own parameters, shape (G, n)."""
    still = {**v, **dict.fromkeys(LOOSE, np.zeros(()))}
    rows = masses_of("trailer", rig, plans, still)
    whole, own = sums(rows, "trailer", len(plans)), trailer_springs(rig, still)
    mass, centre = centre_of(rows)
    springs = list(zip(own.rates, own.groups, strict=True))
    plain = {
        Trailer.rate_sum: sum(own.rates),
        Trailer.moment_sum: sum(k * s for k, s in springs),
        Trailer.square_sum: sum(k * s**2 for k, s in springs),
        Trailer.coupler: v["trailer.coupler_height"],
        Trailer.sag: own.sag,
        Trailer.hub: v["trailer.hub_height"],
        Trailer.unsprung: v["trailer.axles.unsprung"],
        Trailer.track: v["trailer.axles.track"],
        Trailer.cornering: v["trailer.axles.cornering"],
        Trailer.rated: rated_weight("trailer.axles", v),
        Trailer.over: over_pressure("trailer.axles", v),
    }
    for place in range(GROUPS):
        group, axle = (place if place < len(x) else 0 for x in (own.groups, own.axles))
        plain[Trailer(Trailer.station + place)] = own.groups[group]
        plain[Trailer(Trailer.rate + place)] = own.rates[place] if group == place else NONE
        plain[Trailer(Trailer.axle + place)] = own.axles[axle]
    staged = {
        TrailerStage.weight: whole.weight,
        TrailerStage.moment: _lever_moment(whole, own, still["trailer.axles.unsprung"]),
        TrailerStage.height: whole.height,
        TrailerStage.offset: whole.offset,
        TrailerStage.loose: _sum([row.kg for row in rows if row.kind == "item"]),
        TrailerStage.mass: mass,
        TrailerStage.centre: centre,
        TrailerStage.inertia: trailer_inertia(rows, still, centre),
    }
    return _table(plain, staged, len(plans), shape)


def _lever_moment(whole: Sums, own: TrailerSprings, unsprung: Array) -> Array:
    """Moment about the ball of what the springs carry: tyres carry the axles' own weight."""
    each = len(own.axles) / len(own.groups)
    outside = unsprung * GRAVITY * (sum(own.axles) - each * sum(own.groups))
    return np.asarray(whole.moment - outside)


def _sum(found: list[Array]) -> Array:
    return np.asarray(sum(found, np.zeros(1)))


def _table(
    plain: Mapping[Any, Any], staged: Mapping[Any, Any], stages: int, shape: tuple[int, int]
) -> Table:
    G, n = shape
    found = Table(plain=np.empty((G, len(plain), n)), staged=np.empty((stages, G, len(staged), n)))
    for row, x in plain.items():
        found.plain[:, row] = np.broadcast_to(x, (G * n,)).reshape(G, n)
    for row, x in staged.items():
        found.staged[:, :, row] = np.broadcast_to(x, (stages, G * n)).reshape(stages, G, n)
    return found
