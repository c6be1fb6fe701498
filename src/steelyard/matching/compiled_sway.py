"""Sway of pairs, compiled: how many draws' swing grows, by the library's tyre law and speeds."""

from typing import Final

from numba import njit
from numba.extending import register_jitable

from steelyard.matching.pair_rows import AXLE, FRONT, REAR
from steelyard.swaying import closed_forms, tyre

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
register_jitable(error_model="numpy")(tyre.axle_stiffness)
for _part in _CRITICAL:  # inlined whole, or its loop takes one draw at a time
    register_jitable(error_model="numpy", inline="always")(_part)
axle_stiffness, critical = tyre.axle_stiffness, closed_forms.critical


@njit(error_model="numpy", cache=True)
def _cornering(load, coefficient, rated, over, peak, slope, gain, out):  # type: ignore[no-untyped-def]
    for c in range(load.size):
        out[c] = axle_stiffness(
            load[c], coefficient[c], rated[c], peak[c], over[c], slope[c], gain[c]
        )


@njit(error_model="numpy", cache=True)
def growing(x, y, s, i, j, count, speed, z, X):  # type: ignore[no-untyped-def]
    """Share of the draws whose swing grows, or folds, at a speed."""
    law = x.peak[i], x.slope[i], x.gain[i]
    _cornering(X[FRONT], x.front_cornering[i], x.front_rated[i], x.front_over[i], *law, z.Cf)
    _cornering(X[REAR], x.rear_cornering[i], x.rear_rated[i], x.rear_over[i], *law, z.Cr)
    z.C0[:], z.C1[:] = 0.0, 0.0
    z.C2[:] = 0.0
    for axle in range(count):
        _cornering(X[AXLE + axle], y.cornering[j], y.rated[j], y.over[j], *law, z.I2)
        _summed(z.I2, y.axle[axle, j], z)
    loose, aside, own = y.loose[s, j], x.aside[i], y.inertia[s, j]
    for c in range(aside.size):
        z.I2[c] = own[c] + loose[c] * aside[c] * aside[c]
    return _count(
        x.mass[s, i],
        x.inertia[s, i],
        x.centre[s, i],
        x.wheelbase[i],
        x.overhang[i],
        y.mass[s, j],
        y.centre[s, j],
        speed,
        z,
    )


@njit(error_model="numpy", cache=True)
def _summed(C, L, z):  # type: ignore[no-untyped-def]
    for c in range(C.size):
        z.C0[c] += C[c]
        z.C1[c] += C[c] * L[c]
        z.C2[c] += C[c] * L[c] * L[c]


@njit(error_model="numpy", cache=True)
def _count(m1, I1, centre, base, overhang, m2, e, speed, z):  # type: ignore[no-untyped-def]
    grow = 0
    for c in range(m1.size):
        a = centre[c]
        first, _, fold = critical(
            m1[c],
            I1[c],
            a,
            base[c] - a,
            base[c] + overhang[c] - a,
            z.Cf[c],
            z.Cr[c],
            m2[c],
            z.I2[c],
            e[c],
            z.C0[c],
            z.C1[c],
            z.C2[c],
            0.0,
        )
        grow += 0 if (first > speed) & (fold > speed) else 1
    return grow / m1.size
