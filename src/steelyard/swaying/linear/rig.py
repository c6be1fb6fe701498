"""From a rig's loads and parameter values to the numbers of the single-track model."""

from typing import Any, Final

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.fault import FaultError
from steelyard.quantity import GRAVITY, Floats
from steelyard.rig import Rig
from steelyard.statics.loads import Loads
from steelyard.statics.masses import Mass
from steelyard.swaying.linear.combination import Combination

HALF: Final = 0.5
"""Radius of gyration over length that a body has with half its mass at each end; none has more."""


def combination(rig: Rig[Floats], v: Values, found: Loads) -> Combination:
    """The rig as the single-track model sees it, at every stage and draw: fields broadcast (S, n).

    found: the loads of the same values, bars included, so that each axle's tyres work at the load
    they carry.
    """
    _bodily(rig, v)
    rows = found.balance.rows
    m1, x1 = centre_of([row for row in rows if row.body == "vehicle"])
    m2, x2 = centre_of([row for row in rows if row.body == "trailer"])
    L, h = v["vehicle.wheelbase"], v["vehicle.overhang"]
    lag = v["tyres.relaxation"]
    axles = found.trailer_axles
    return Combination(
        m1=m1,
        I1=vehicle_inertia(rows, v, x1),
        a=x1,
        b=L - x1,
        d=L + h - x1,
        Cf=front_stiffness(found.front, v),
        Cr=rear_stiffness(found.rear, v),
        m2=m2,
        I2=trailer_inertia(rows, v, x2),
        e=x2,
        stations=tuple(np.asarray(s) for s in found.balance.link.axles),
        stiffness=tuple(
            _stiffness("trailer.axles", v["trailer.axles.cornering"], load, v) for load in axles
        ),
        front_lag=lag,
        rear_lag=lag,
        trailer_lag=lag,
    )


def front_stiffness(load: Array, v: Values) -> Array:
    """Cornering stiffness of the front axle, N/rad, steering and suspension give included.

    Its compliance (slip angle per g) is the rear's and the vehicle's own understeer, both where the
    tyres are used alike: 1/c_f = 1/c_r + K.
    """
    return _stiffness("vehicle.front", front_cornering(v), load, v)


def front_cornering(v: Values) -> Array:
    """Stiffness over load of the front axle, per radian, its compliance included."""
    return np.asarray(1.0 / (1.0 / v["vehicle.rear.cornering"] + v["vehicle.understeer"]))


def rear_stiffness(load: Array, v: Values) -> Array:
    """Cornering stiffness of the rear axle, N/rad."""
    return _stiffness("vehicle.rear", v["vehicle.rear.cornering"], load, v)


def _stiffness(path: str, coefficient: Array, load: Array, v: Values) -> Array:
    return np.asarray(stiffness_at(load, *axle_curve(path, coefficient, v)))


def axle_curve(path: str, coefficient: Array, v: Values) -> tuple[Array, Array]:
    """What `stiffness_at` takes of an axle beside its load."""
    peak, over = v["tyres.peak_load"], over_pressure(path, v)
    return (
        np.asarray(light_stiffness(coefficient, peak, over, v["tyres.pressure_slope"])),
        np.asarray(peak_load(rated_weight(path, v), peak, over, v["tyres.pressure_peak"])),
    )


def rated_weight(path: str, v: Values) -> Array:
    """Rated load of an axle's tyres together, N."""
    return np.asarray(v[f"{path}.tyre_load"] * GRAVITY)


def over_pressure(path: str, v: Values) -> Array:
    """Pressure of an axle's tyres over the one its numbers are for, less 1."""
    return np.asarray(v[f"{path}.pressure"] / v[f"{path}.rated_pressure"] - 1.0)


def centre_of(rows: list[Mass]) -> tuple[Array, Array]:
    """Mass and station of the centre of gravity of one body."""
    mass = sum(row.kg for row in rows)
    return np.asarray(mass), np.asarray(sum(row.kg * row.station for row in rows) / mass)


def _about(rows: list[Mass], centre: Array) -> Array:
    """Second moment of weights taken as points, about a station; sideways offset included."""
    parts = (row.kg * ((row.station - centre) ** 2 + row.offset**2) for row in rows)
    return np.asarray(sum(parts))


def vehicle_inertia(rows: list[Mass], v: Values, centre: Array) -> Array:
    """Yaw inertia of the laden vehicle: its own by its ratio to m a b, the load's by m s2.

    Ratio: Heydinger et al., SAE 1999-01-1336.
    """
    a, b = v["vehicle.cg"], v["vehicle.wheelbase"] - v["vehicle.cg"]
    own = v["vehicle.yaw_inertia_ratio"] * v["vehicle.weight"] * a * b
    return own + _about([row for row in rows if row.body == "vehicle"], centre)


def trailer_inertia(rows: list[Mass], v: Values, centre: Array) -> Array:
    """Yaw inertia of the laden trailer: its own by a radius of gyration, all else by m s2."""
    own = v["trailer.empty.weight"] * (v["trailer.yaw_radius"] * v["trailer.box_length"]) ** 2
    return own + _about([row for row in rows if row.body == "trailer"], centre)


def _bodily(rig: Rig[Floats], v: Values) -> None:
    """Raise ValueError for a radius of gyration that no body of that length can have."""
    radius = float(np.ravel(v["trailer.yaw_radius"])[0])
    if not 0 < radius < HALF:
        raise FaultError(
            due=f"trailer.yaw_radius below {HALF} of the box length, which a body with half its"
            " mass at each end has",
            found=f"{radius:.3g} ({rig.name})",
        )


def require_load(found: Loads) -> None:
    """Raise ValueError if an axle carries nothing at the best estimate of a stage."""
    named = [("front axle", found.front), ("rear axle", found.rear)]
    named += [(f"trailer axle {i}", load) for i, load in enumerate(found.trailer_axles, start=1)]
    for name, load in named:
        for stage in range(np.shape(load)[0]):
            first = float(load[stage, 0])
            if not first > 0:
                raise FaultError(
                    due=f"load on the {name}",
                    found=f"{first:.0f} N: tyres in the air steer nothing",
                    hint="look at weights, stations and bars",
                )


USUAL: Final = 0.7
"""Share of the rated load at which a cornering coefficient is stated."""


def stiffness_at(load: Any, start: Any, most: Any) -> Any:
    """Cornering stiffness of an axle, N/rad, element-wise; none where it carries no load.

    load: N, all tyres of the axle; start, most: see `light_stiffness`, `peak_load`.

    C = s F/(1 + (F/F_p)^2), which is the K sin(2 atan(F/F_p)) of the Magic Formula: Pacejka &
    Bakker, Vehicle System Dynamics 21, suppl. 1 (1992) 1-18 (citation from memory).
    """
    used = load / most
    return np.maximum(load, 0.0) * start / (1.0 + used * used)


def light_stiffness(coefficient: Any, peak: Any, over: Any = 0.0, slope: Any = 0.0) -> Any:
    """s: stiffness over load of a lightly loaded axle, per radian.

    coefficient: that at `USUAL` of the rated load; peak: load of greatest stiffness over the rated
    load; over: pressure over the one the numbers are for, less 1; slope: relative change with that.
    """
    return coefficient * (1.0 + (USUAL / peak) ** 2) * (1.0 + slope * over)


def peak_load(rated: Any, peak: Any, over: Any = 0.0, gain: Any = 0.0) -> Any:
    """F_p: load of greatest stiffness, N, of an axle rated so; gain: its relative change with the
    pressure, as `light_stiffness` has it."""
    return peak * rated * (1.0 + gain * over)
