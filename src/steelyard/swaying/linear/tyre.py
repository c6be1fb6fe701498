"""Cornering stiffness of an axle's tyres from the load they carry and their pressure."""

from typing import Any, Final

import numpy as np

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
