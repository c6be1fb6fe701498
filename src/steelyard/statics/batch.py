"""Elastic statics with spring bars for a million rigs at once, from plain arrays.

Three springs and three unknowns stand still in one way only: bars off, the levers alone give every
force, and the springs turn forces into displacements u0. Only the bars may let go, so

    B = max(0, (preset + c.u0)/(1/k_B + c.K^-1 c)),    c.K^-1 c = sum over springs of n^2/k,

with n a spring's force per newton metre of bars, is exact, and forces are off + n B.
`settle` reaches the same balance from the stiffness matrix, and a test holds the two together.

`one` is element-wise: NumPy calls it on chunks, Numba compiles the same function in a loop.
"""

from collections import namedtuple
from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cache
from typing import Any, Final, Literal

import numpy as np

from steelyard.estimate import Array
from steelyard.statics.balance import Balance
from steelyard.statics.contact import Triple
from steelyard.statics.lever import axle_loads, front_load, tongue_weight

CHUNK = 8192
"""Rigs at a time in NumPy: some sixty temporaries of 64 kB, which the cache holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rigs:
    """n rigs on a level road with one axle group each; every field (n,) or (), in SI.

    Stations, heights and `overhang` in m; rates in N/m; `*_offset` is a spring's compression in m
    where the unknowns are zero (the empty vehicle alone, the trailer level); weights in N, moments
    in N m: the vehicle's about its front axle, the trailer's about the ball, and `trailer_height`
    the sum of weight times height above ground. `bar_rate` in N m per rad of both bars, 0 for
    none; `preset` in rad.
    """

    wheelbase: Array
    overhang: Array
    group_station: Array
    front_rate: Array
    rear_rate: Array
    group_rate: Array
    front_offset: Array
    rear_offset: Array
    group_offset: Array
    vehicle_weight: Array
    vehicle_moment: Array
    trailer_weight: Array
    trailer_moment: Array
    trailer_height: Array
    ball_height: Array
    hub_height: Array
    bar_rate: Array
    preset: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class RigLoads:
    """Loads of n rigs, N, bar moment in N m, drops in m and pitch in rad; each (n,).

    `tongue` is bars off, all else as driven; `trailer_axles` is the whole group. NaN where an axle
    would have to pull: such a rig has more contacts than the bars, and `loads` settles it.
    """

    tongue: Array
    net: Array
    bar_moment: Array
    front: Array
    rear: Array
    trailer_axles: Array
    front_drop: Array
    rear_drop: Array
    trailer_pitch: Array


_Columns: Any = namedtuple("_Columns", [field.name for field in fields(Rigs)])  # type: ignore[misc]
"""The same fields as a tuple, whose names Numba reads."""
_LOADS: Final = len(fields(RigLoads))


def batch_loads(rigs: Rigs, engine: Literal["numpy", "numba"] = "numpy") -> RigLoads:
    """Loads of all rigs; memory beyond input and answer does not grow with n.

    `numba` needs the extra of that name, compiles for some seconds at its first call in a process
    and then runs on all cores; it first spreads fields of shape () to (n,).
    """
    parts = [
        np.asarray(getattr(rigs, field.name), dtype=float).reshape(-1) for field in fields(rigs)
    ]
    n = max(part.size for part in parts)
    columns = tuple(np.broadcast_to(part, n) for part in parts)
    out = np.empty((_LOADS, n))
    if engine == "numba":
        _compiled()(_Columns(*map(_contiguous, columns)), out)
    else:
        _in_chunks(columns, out)
    return RigLoads(**{field.name: row for field, row in zip(fields(RigLoads), out, strict=True)})


def rigs_of(found: Balance, preset: Array) -> Rigs:
    """The arrays behind a balance that one contact can describe; `preset` in rad.

    Raises ValueError for a slope, several axle groups, helper springs or bump stops.
    """
    link, springs = found.link, found.link.springs
    if np.any(found.slope) or len(link.groups) != 1 or len(springs.rate) != 3:
        raise ValueError("expected a level road, one axle group and no helpers or stops")
    ends = ("front", "rear", "group")
    return Rigs(
        wheelbase=link.wheelbase,
        overhang=link.overhang,
        group_station=link.groups[0],
        **{f"{end}_rate": rate for end, rate in zip(ends, springs.rate, strict=True)},
        **{f"{end}_offset": offset for end, offset in zip(ends, springs.offset, strict=True)},
        vehicle_weight=found.vehicle.weight,
        vehicle_moment=found.vehicle.moment,
        trailer_weight=found.trailer.weight,
        trailer_moment=found.attitude - found.load[2],
        trailer_height=found.trailer.height,
        ball_height=link.hinge_height,
        hub_height=link.hub_height,
        bar_rate=found.bar_rate,
        preset=preset,
    )


def _contiguous(column: Array) -> Array:
    """One layout for all, read-only, so that Numba compiles once."""
    whole = np.ascontiguousarray(column)
    whole.flags.writeable = False
    return whole


def _in_chunks(columns: tuple[Array, ...], out: Array) -> None:
    with np.errstate(divide="ignore", invalid="ignore"):
        for start in range(0, out.shape[1], CHUNK):
            part = slice(start, start + CHUNK)
            *found, void = one(*(column[part] for column in columns))
            for row, load in zip(out, found, strict=True):
                np.add(load, void, out=row[part])


def one(
    wheelbase: Any,
    overhang: Any,
    station: Any,
    front_rate: Any,
    rear_rate: Any,
    group_rate: Any,
    front_offset: Any,
    rear_offset: Any,
    group_offset: Any,
    vehicle_weight: Any,
    vehicle_moment: Any,
    trailer_weight: Any,
    trailer_moment: Any,
    trailer_height: Any,
    ball_height: Any,
    hub_height: Any,
    bar_rate: Any,
    preset: Any,
) -> tuple[Any, ...]:
    """The nine loads of `RigLoads` from the fields of `Rigs`, element-wise: numbers or arrays.

    A tenth is to be added to each: 0 where every axle presses, NaN where one would have to pull.
    """
    soft = (1.0 / front_rate, 1.0 / rear_rate, 1.0 / group_rate)
    offsets = (front_offset, rear_offset, group_offset)
    alone = axle_loads(vehicle_weight, vehicle_moment, wheelbase)
    ball = per_ball_force(overhang, wheelbase)
    free = standing(
        alone, trailer_weight, ball, tongue_weight(trailer_weight, trailer_moment, station)
    )
    pitch = displaced(free, soft, offsets, -ball[0], station)[2]
    hubs = free[2] * (ball_height - hub_height)
    moment = pitch * (trailer_height - trailer_weight * ball_height + hubs)
    T0 = tongue_weight(trailer_weight, trailer_moment - moment, station)
    off = standing(alone, trailer_weight, ball, T0)
    u0 = displaced(off, soft, offsets, -ball[0], station)
    n = per_bar_moment(ball, station, wheelbase)
    closing = (u0[1] - u0[0]) / wheelbase + u0[2] + preset
    B = bar_moment(closing, give(n, soft), bar_rate)
    on = (off[0] + n[0] * B, off[1] + n[1] * B, off[2] + n[2] * B)
    u = displaced(on, soft, offsets, -ball[0], station)
    least = np.minimum(lowest(free), np.minimum(lowest(off), lowest(on)))
    void = 0.0 * np.sqrt(np.minimum(least, 0.0))  # NaN, the root of a pull; else nothing
    return T0, trailer_weight - on[2], B, on[0], on[1], on[2], u[0], u[1], u[2], void


def per_ball_force(overhang: Any, wheelbase: Any) -> Triple:
    """Force on the front, rear and axle group springs per newton on the ball."""
    front = front_load(0.0, 1.0, overhang, wheelbase)
    return front, 1.0 - front, -1.0


def per_bar_moment(ball: Triple, station: Any, wheelbase: Any) -> Triple:
    """Force on the three springs per newton metre of bars, which lift the ball by 1/s_a."""
    lifted, turned = 1.0 / station, 1.0 / wheelbase
    return turned - ball[0] * lifted, -turned - ball[1] * lifted, lifted


def standing(alone: tuple[Any, Any], weight: Any, ball: Triple, T: Any) -> Triple:
    """Force of the three springs, N, bars off, under a ball force T."""
    return alone[0] + ball[0] * T, alone[1] + ball[1] * T, weight - T


def displaced(force: Triple, soft: Triple, offsets: Triple, lever: Any, station: Any) -> Triple:
    """Drops of both axles and pitch at which the springs have these forces; `lever` is h/L."""
    front = force[0] * soft[0] - offsets[0]
    rear = force[1] * soft[1] - offsets[1]
    ball = rear + (rear - front) * lever
    return front, rear, (ball + offsets[2] - force[2] * soft[2]) / station


def give(n: Triple, soft: Triple) -> Any:
    """How far the bars open the hitch, rad per N m (c.K^-1 c): by Castigliano, sum of n^2/k."""
    return n[0] * n[0] * soft[0] + n[1] * n[1] * soft[1] + n[2] * n[2] * soft[2]


def lowest(forces: Triple) -> Any:
    """The least of the three."""
    return np.minimum(np.minimum(forces[0], forces[1]), forces[2])


def bar_moment(closing: Any, opening: Any, rate: Any) -> Any:
    """B = max(0, closing k_B/(1 + k_B opening)), N m; none where k_B is 0."""
    return np.maximum(0.0, closing * rate / (1.0 + rate * opening))


_LEVERS = (axle_loads, front_load, tongue_weight)
_KERNELS = (per_ball_force, per_bar_moment, standing, displaced, give, lowest, bar_moment)


@cache
def _compiled() -> Callable[[tuple[Array, ...], Array], None]:
    """The loop over rigs, compiled for all cores. Numba is imported here and nowhere else."""
    from numba import njit, prange
    from numba.extending import register_jitable

    for part in (*_LEVERS, *_KERNELS):
        register_jitable(error_model="numpy")(part)
    case = njit(error_model="numpy", inline="always")(one)

    def loop(x: Any, out: Array) -> None:
        for i in prange(out.shape[1]):
            found = case(
                x.wheelbase[i],
                x.overhang[i],
                x.group_station[i],
                x.front_rate[i],
                x.rear_rate[i],
                x.group_rate[i],
                x.front_offset[i],
                x.rear_offset[i],
                x.group_offset[i],
                x.vehicle_weight[i],
                x.vehicle_moment[i],
                x.trailer_weight[i],
                x.trailer_moment[i],
                x.trailer_height[i],
                x.ball_height[i],
                x.hub_height[i],
                x.bar_rate[i],
                x.preset[i],
            )
            for row in range(_LOADS):  # a constant, so that it is unrolled
                out[row, i] = found[row] + found[9]

    compiled: Callable[[tuple[Array, ...], Array], None] = njit(parallel=True, error_model="numpy")(
        loop
    )
    return compiled
