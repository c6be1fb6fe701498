"""Critical speeds of a million rigs at once, from plain arrays: loads, tyres and closed forms.

Rigid statics give each axle's load, the tyre law its stiffness, `critical` both speeds. `one` is
element-wise: NumPy calls it on chunks, Numba compiles the same function in a loop.
"""

from collections import namedtuple
from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cache
from typing import Any, Final, Literal

import numpy as np

from steelyard.estimate import Array
from steelyard.quantity import GRAVITY
from steelyard.statics.lever import axle_loads, front_load, rear_load, tongue_weight
from steelyard.sway import model
from steelyard.sway.model import Critical, critical
from steelyard.sway.tyre import axle_stiffness

CHUNK: Final = 4096
"""Rigs at a time in NumPy: some hundred temporaries of 32 kB, which the cache holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LadenRigs:
    """n rigs with one or two trailer axles each; every field (n,) or (), in SI.

    mass, inertia, centre: vehicle, kg, kg m2, m aft of the front axle; wheelbase, overhang: m;
    trailer_mass, trailer_inertia; trailer_centre, station: m from the coupling to the trailer's
    centre and the middle of its axles; spacing: m between two axles, 0 for one; *_cornering:
    stiffness over load per rad of front, rear and trailer tyres at a usual load; *_rated: N, rated
    load of an axle's (the trailer: all axles') tyres together; peak: see `tyre.axle_stiffness`.
    """

    mass: Array
    inertia: Array
    centre: Array
    wheelbase: Array
    overhang: Array
    trailer_mass: Array
    trailer_inertia: Array
    trailer_centre: Array
    station: Array
    spacing: Array
    front_cornering: Array
    rear_cornering: Array
    trailer_cornering: Array
    front_rated: Array
    rear_rated: Array
    trailer_rated: Array
    peak: Array


_Columns: Any = namedtuple("_Columns", [field.name for field in fields(LadenRigs)])  # type: ignore[misc]
"""The same fields as a tuple, whose names Numba reads."""


def critical_of(rigs: LadenRigs, engine: Literal["numpy", "numba"] = "numpy") -> Critical:
    """Both critical speeds of all rigs, m/s, no damper, no relaxation.

    `numba` needs the extra of that name, compiles for some seconds at its first call in a process
    and then runs on all cores.
    """
    parts = [np.asarray(getattr(rigs, f.name), dtype=float).reshape(-1) for f in fields(rigs)]
    n = max(part.size for part in parts)
    columns = tuple(np.ascontiguousarray(np.broadcast_to(part, n)) for part in parts)
    out = np.empty((3, n))
    if engine == "numba":
        _compiled()(_Columns(*columns), out)
    else:
        with np.errstate(divide="ignore", invalid="ignore"):
            for start in range(0, n, CHUNK):
                part = slice(start, start + CHUNK)
                for row, found in zip(out, one(*(x[part] for x in columns)), strict=True):
                    row[part] = found
    return Critical(oscillatory=out[0], again=out[1], divergent=out[2])


def one(
    mass: Any,
    inertia: Any,
    centre: Any,
    wheelbase: Any,
    overhang: Any,
    trailer_mass: Any,
    trailer_inertia: Any,
    trailer_centre: Any,
    station: Any,
    spacing: Any,
    front_cornering: Any,
    rear_cornering: Any,
    trailer_cornering: Any,
    front_rated: Any,
    rear_rated: Any,
    trailer_rated: Any,
    peak: Any,
) -> Any:
    """Oscillatory, decaying-again and divergent speed from the fields of `LadenRigs`."""
    weight, towed = mass * GRAVITY, trailer_mass * GRAVITY
    T = tongue_weight(towed, towed * trailer_centre, station)
    front, rear = axle_loads(weight, weight * centre, wheelbase)
    Cf = axle_stiffness(
        front_load(front, T, overhang, wheelbase), front_cornering, front_rated, peak
    )
    Cr = axle_stiffness(rear_load(rear, T, overhang, wheelbase), rear_cornering, rear_rated, peak)
    C0 = axle_stiffness(towed - T, trailer_cornering, trailer_rated, peak)
    return critical(
        mass,
        inertia,
        centre,
        wheelbase - centre,
        wheelbase - centre + overhang,
        Cf,
        Cr,
        trailer_mass,
        trailer_inertia,
        trailer_centre,
        C0,
        C0 * station,
        C0 * (station * station + 0.25 * spacing * spacing),
        0.0,
    )


_KERNELS: Final = (
    tongue_weight,
    axle_loads,
    front_load,
    rear_load,
    axle_stiffness,
    model.cross,
    model.dot,
    model.ends,
    model.coefficients,
    model.divergent_speed,
    model.speed_of,
    model.oscillatory_speeds,
    critical,
)


@cache
def _compiled() -> Callable[[tuple[Array, ...], Array], None]:
    """The loop over rigs, compiled for all cores. Numba is imported here and nowhere else."""
    from numba import njit, prange
    from numba.extending import register_jitable

    for part in _KERNELS:
        register_jitable(error_model="numpy")(part)
    case = njit(error_model="numpy", inline="always")(one)

    def loop(x: Any, out: Array) -> None:
        for i in prange(out.shape[1]):
            out[0, i], out[1, i], out[2, i] = case(
                x.mass[i],
                x.inertia[i],
                x.centre[i],
                x.wheelbase[i],
                x.overhang[i],
                x.trailer_mass[i],
                x.trailer_inertia[i],
                x.trailer_centre[i],
                x.station[i],
                x.spacing[i],
                x.front_cornering[i],
                x.rear_cornering[i],
                x.trailer_cornering[i],
                x.front_rated[i],
                x.rear_rated[i],
                x.trailer_rated[i],
                x.peak[i],
            )

    compiled: Callable[[tuple[Array, ...], Array], None] = njit(parallel=True, error_model="numpy")(
        loop
    )
    return compiled
