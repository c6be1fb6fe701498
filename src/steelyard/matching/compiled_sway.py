"""Sway of pairs, compiled: how many draws' swing grows, by the library's tyre law and speeds."""

from typing import Final

from numba import njit
from numba.extending import register_jitable

from steelyard.matching.pair_rows import (
    DRAWS,
    Pair,
    Trailer,
    TrailerStage,
    Vehicle,
    VehicleStage,
)
from steelyard.swaying.linear import closed_forms, rig

_CRITICAL: Final = (
    closed_forms.cross,
    closed_forms.dot,
    closed_forms.ends,
    closed_forms.coefficients,
    closed_forms.divergent_speed,
    closed_forms.speed_of,
    closed_forms.oscillatory_speeds,
    closed_forms.critical,
)
_TYRE: Final = (rig.stiffness_at, rig.light_stiffness, rig.peak_load)
for _one in _TYRE:
    register_jitable(error_model="numpy")(_one)
for _part in _CRITICAL:  # inlined whole, or its loop takes one draw at a time
    register_jitable(error_model="numpy", inline="always")(_part)
critical = closed_forms.critical
stiffness_at, light_stiffness, peak_load = _TYRE


@njit(error_model="numpy", cache=True, forceinline=True)
def tyred(x, y, w):  # type: ignore[no-untyped-def]
    """The trailer's tyres, by what the vehicle's draws say of all tyres."""
    for c in range(DRAWS):
        peak, over = x[Vehicle.peak, c], y[Trailer.over, c]
        w[Pair.start, c] = light_stiffness(y[Trailer.cornering, c], peak, over, x[Vehicle.slope, c])
        w[Pair.most, c] = peak_load(y[Trailer.rated, c], peak, over, x[Vehicle.gain, c])


@njit(error_model="numpy", cache=True, forceinline=True)
def growing(x, xs, y, ys, count, speed, w):  # type: ignore[no-untyped-def]
    """Share of the draws whose swing grows, or folds, at a speed."""
    for c in range(DRAWS):
        w[Pair.C0, c] = 0.0
        w[Pair.C1, c] = 0.0
        w[Pair.C2, c] = 0.0
    for axle in range(count):
        _summed(axle, y, w)
    return _count(x, xs, ys, speed, w)


@njit(error_model="numpy", cache=True, forceinline=True)
def _summed(axle, y, w):  # type: ignore[no-untyped-def]
    for c in range(DRAWS):
        C = stiffness_at(w[Pair.axle + axle, c], w[Pair.start, c], w[Pair.most, c])
        L = y[Trailer.axle + axle, c]
        w[Pair.C0, c] += C
        w[Pair.C1, c] += C * L
        w[Pair.C2, c] += C * L * L


@njit(error_model="numpy", cache=True, forceinline=True)
def _count(x, xs, ys, speed, w):  # type: ignore[no-untyped-def]
    grow = 0
    for c in range(DRAWS):
        a, base = xs[VehicleStage.centre, c], x[Vehicle.wheelbase, c]
        aside = x[Vehicle.aside, c]
        first, _, fold = critical(
            xs[VehicleStage.mass, c],
            xs[VehicleStage.inertia, c],
            a,
            base - a,
            base + x[Vehicle.overhang, c] - a,
            stiffness_at(w[Pair.front, c], x[Vehicle.front_start, c], x[Vehicle.front_most, c]),
            stiffness_at(w[Pair.rear, c], x[Vehicle.rear_start, c], x[Vehicle.rear_most, c]),
            ys[TrailerStage.mass, c],
            ys[TrailerStage.inertia, c] + ys[TrailerStage.loose, c] * aside * aside,
            ys[TrailerStage.centre, c],
            w[Pair.C0, c],
            w[Pair.C1, c],
            w[Pair.C2, c],
            0.0,
        )
        grow += 0 if (first > speed) & (fold > speed) else 1
    return grow / DRAWS
