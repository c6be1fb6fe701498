"""Elastic statics with spring bars for a million rigs at once, from plain arrays.

The one-contact closed form: where every spring presses, only the bars may let go, and from the
bars-off solution u0 with stiffness K the answer is exact,

    B = max(0, (preset + c.u0)/(1/k_B + c.K^-1 c)),    u = u0 - K^-1 c B.

`one` is element-wise: NumPy calls it on chunks, Numba compiles the same function in a loop.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cache
from typing import Any, Literal

import numpy as np

from steelyard.estimate import Array
from steelyard.statics.balance import Balance
from steelyard.statics.contact import Triple, eliminate, stretch, substitute

CHUNK = 8192
"""Rigs at a time in NumPy: some sixty temporaries of 64 kB, which the cache holds."""
Factors = tuple[Any, Any, Any, Any, Any, Any]


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
    out = np.empty((len(fields(RigLoads)), n))
    if engine == "numba":
        _compiled()(tuple(_contiguous(column) for column in columns), out)
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
        ball_height=link.ball_height,
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
            for row, found in zip(out, one(*(column[part] for column in columns)), strict=True):
                row[part] = found


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
    """The nine loads of `RigLoads` from the fields of `Rigs`, element-wise: numbers or arrays."""
    a = group_direction(overhang / wheelbase, station)
    c = (-1.0 / wheelbase, 1.0 / wheelbase, 1.0)
    rates = (front_rate, rear_rate, group_rate)
    offsets = (front_offset, rear_offset, group_offset)
    rear = vehicle_moment / wheelbase
    load = loaded(a, rates, offsets, vehicle_weight - rear, rear, trailer_weight, trailer_moment)
    factors = eliminate(*stiffness(a, rates))
    first = substitute(factors, load[0], load[1], load[2])
    pressed = pushes(a, rates, offsets, first)
    hubs = pressed[2] * (ball_height - hub_height)
    moment = first[2] * (trailer_height - trailer_weight * ball_height + hubs)
    off = substitute(factors, load[0], load[1], load[2] + moment)
    unit = substitute(factors, c[0], c[1], c[2])
    bar = bar_moment(stretch(c, off, preset), stretch(c, unit, 0.0), bar_rate)
    u = (off[0] - unit[0] * bar, off[1] - unit[1] * bar, off[2] - unit[2] * bar)
    loose, driven = pushes(a, rates, offsets, off), pushes(a, rates, offsets, u)
    least = np.minimum(lowest(pressed), np.minimum(lowest(loose), lowest(driven)))
    void = np.where(least > 0.0, 0.0, np.nan)
    return (
        trailer_weight - loose[2] + void,
        trailer_weight - driven[2] + void,
        bar + void,
        driven[0] + void,
        driven[1] + void,
        driven[2] + void,
        u[0] + void,
        u[1] + void,
        u[2] + void,
    )


def group_direction(lever: Any, station: Any) -> Triple:
    """How the axle group drops with the three unknowns; h/L is `lever`."""
    return -lever, 1.0 + lever, -station


def stiffness(a: Triple, rates: Triple) -> Factors:
    """Upper triangle of K for springs at the front axle, the rear axle and along `a`."""
    k0, k1, k2 = rates[2] * a[0], rates[2] * a[1], rates[2] * a[2]
    return rates[0] + k0 * a[0], k0 * a[1], k0 * a[2], rates[1] + k1 * a[1], k1 * a[2], k2 * a[2]


def loaded(
    a: Triple, rates: Triple, offsets: Triple, front: Any, rear: Any, weight: Any, moment: Any
) -> Triple:
    """Weights on the three unknowns less what the springs' offsets already carry."""
    ball = weight - rates[2] * offsets[2]
    return (
        front + ball * a[0] - rates[0] * offsets[0],
        rear + ball * a[1] - rates[1] * offsets[1],
        -moment - rates[2] * offsets[2] * a[2],
    )


def pushes(a: Triple, rates: Triple, offsets: Triple, u: Triple) -> Triple:
    """Force of each of the three springs, N; below zero where it would have to pull."""
    return (
        rates[0] * (u[0] + offsets[0]),
        rates[1] * (u[1] + offsets[1]),
        rates[2] * stretch(a, u, offsets[2]),
    )


def lowest(forces: Triple) -> Any:
    """The least of the three."""
    return np.minimum(np.minimum(forces[0], forces[1]), forces[2])


def bar_moment(closing: Any, give: Any, rate: Any) -> Any:
    """B = max(0, closing/(1/k_B + give)), N m; none where k_B is 0."""
    return np.maximum(0.0, closing / (1.0 / rate + give))


@cache
def _compiled() -> Callable[[tuple[Array, ...], Array], None]:
    """The loop over rigs, compiled for all cores. Numba is imported here and nowhere else."""
    from numba import njit, prange
    from numba.extending import register_jitable

    for part in (eliminate, substitute, stretch, group_direction, stiffness, loaded, pushes):
        register_jitable(part)
    register_jitable(lowest)
    register_jitable(bar_moment)
    case = njit(error_model="numpy")(one)

    def loop(x: tuple[Array, ...], out: Array) -> None:
        for i in prange(out.shape[1]):
            found = case(
                x[0][i],
                x[1][i],
                x[2][i],
                x[3][i],
                x[4][i],
                x[5][i],
                x[6][i],
                x[7][i],
                x[8][i],
                x[9][i],
                x[10][i],
                x[11][i],
                x[12][i],
                x[13][i],
                x[14][i],
                x[15][i],
                x[16][i],
                x[17][i],
            )
            for row in range(9):
                out[row, i] = found[row]

    compiled: Callable[[tuple[Array, ...], Array], None] = njit(parallel=True, error_model="numpy")(
        loop
    )
    return compiled
