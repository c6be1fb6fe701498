"""Cornering stiffness of an axle's tyres from the load they carry and their pressure."""

from typing import Any, Final

import numpy as np

USUAL: Final = 0.7
"""Share of the rated load at which a cornering coefficient is stated."""


def axle_stiffness(
    load: Any,
    coefficient: Any,
    rated: Any,
    peak: Any,
    over: Any = 0.0,
    slope: Any = 0.0,
    gain: Any = 0.0,
) -> Any:
    """Cornering stiffness of an axle, N/rad, element-wise; none where it carries no load.

    load, rated: N, all tyres of the axle; coefficient: stiffness over load per radian at `USUAL` of
    the rated load; peak: load of greatest stiffness over the rated load; over: pressure over the
    one the numbers are for, less 1; slope, gain: relative change of the stiffness of a lightly
    loaded tyre and of the peak's load with that.

    C = s F/(1 + (F/F_p)^2), which is the K sin(2 atan(F/F_p)) of the Magic Formula: Pacejka &
    Bakker, Vehicle System Dynamics 21, suppl. 1 (1992) 1-18 (citation from memory).
    """
    start = coefficient * (1.0 + (USUAL / peak) ** 2) * (1.0 + slope * over)
    used = load / (peak * rated * (1.0 + gain * over))
    return np.maximum(load, 0.0) * start / (1.0 + used * used)
