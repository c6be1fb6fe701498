"""Vehicles with trailers from published parameter sets, for the tests of sway."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.swaying.linear.closed_forms import arguments, coefficients
from steelyard.swaying.linear.combination import Combination

FOOT, SLUG, LBF = 0.3048, 14.593902937206364, 4.4482216152605


def arrays(**numbers: Any) -> Combination:
    """Make a combination from plain numbers and tuples of them."""
    parts = {
        name: tuple(np.asarray(x, dtype=float) for x in value)
        if isinstance(value, tuple)
        else np.asarray(value, dtype=float)
        for name, value in numbers.items()
    }
    return Combination(**parts)  # type: ignore[arg-type]


def ellis() -> Combination:
    """Truck and trailer of J. R. Ellis, as the comment of a public multibody test case has it."""
    return arrays(
        m1=186 * SLUG,
        I1=2980 * SLUG * FOOT**2,
        a=3.75 * FOOT,
        b=5.25 * FOOT,
        d=6.0 * FOOT,
        Cf=23250 * LBF,
        Cr=68500 * LBF,
        m2=620 * SLUG,
        I2=35000 * SLUG * FOOT**2,
        e=10.0 * FOOT,
        stations=(20.0 * FOOT,),
        stiffness=(57500 * LBF,),
    )


def minivan(e: float = 2.7, **changes: Any) -> Combination:
    """1998 minivan (NHTSA inertial database, no. 517) and a 2 t trailer of a public example."""
    numbers: dict[str, Any] = {
        "m1": 16975 / 9.81,
        "I1": 3508.0,
        "a": 1.289,
        "b": 1.596,
        "d": 2.7,
        "Cf": 80e3,
        "Cr": 80e3,
        "m2": 2000.0,
        "I2": 3000.0,
        "e": e,
        "stations": (3.0,),
        "stiffness": (80e3,),
    }
    return arrays(**{**numbers, **changes})


def lagging(e: float, lag: float, **changes: Any) -> Combination:
    """Give the minivan's set tyres with a relaxation length, m, on all axles."""
    return minivan(e, front_lag=lag, rear_lag=lag, trailer_lag=lag, **changes)


def bus(spring: float = 50e3) -> Combination:
    """Articulated bus of De Felice et al., IAVSD 2023, as a public example has it."""
    return arrays(
        m1=15873.0,
        I1=136e3,
        a=2.22,
        b=3.68,
        d=5.57,
        Cf=166e3,
        Cr=120e3,
        m2=17452.0,
        I2=81e3,
        e=4.10,
        stations=(4.10,),
        stiffness=(152e3,),
        damper=5e3,
        spring=spring,
    )


def polynomial(c: Combination, speed: Any) -> tuple[Any, ...]:
    """Coefficients of s^4 down to s^0 at a speed, damper included; relaxation left out."""
    p = coefficients(*arguments(c))
    x, damp = 1.0 / speed, c.damper
    return (
        p[0],
        p[1] * x + p[2] * damp,
        (p[3] * x + p[4] * damp) * x + p[5],
        (p[6] * x * x + p[8]) * x + (p[7] * x * x + p[9]) * damp,
        p[10] * x * x + p[11],
    )


def roots(c: Combination, speed: float) -> Any:
    """Roots of the characteristic polynomial, 1/s, by real part."""
    found = np.roots([float(x) for x in polynomial(c, speed)])
    return found[np.lexsort((found.imag, found.real))]


def damping_of(times: Array, swing: Array, peaks: int = 6) -> tuple[float, float]:
    """Damping ratio and frequency (rad/s) of a free swing from its successive peaks.

    Half-cycle peak ratio r = exp(pi D/sqrt(1 - D^2)), so D = ln r/sqrt(pi^2 + ln^2 r): exact for
    one decaying sinusoid about zero. NaN where fewer than three peaks are there.
    """
    inner = np.flatnonzero((np.diff(swing[:-1]) * np.diff(swing[1:])) < 0) + 1
    if len(inner) < 3:
        return float("nan"), float("nan")
    at, size = _vertices(times, swing, inner[:peaks])
    steps_between = np.abs(np.diff(size))
    log = float(np.mean(np.log(steps_between[:-1] / steps_between[1:]))) if len(size) > 2 else 0.0
    return log / float(np.hypot(np.pi, log)), float(np.pi / np.mean(np.diff(at)))


def _vertices(times: Array, swing: Array, inner: NDArray[np.intp]) -> tuple[Array, Array]:
    """Time and size of each peak from the parabola through it and its neighbours."""
    before, here, after = (swing[inner + k] for k in (-1, 0, 1))
    step = times[inner + 1] - times[inner]
    bend = before - 2 * here + after
    shift = 0.5 * (before - after) / bend
    return times[inner] + shift * step, here - 0.25 * (before - after) * shift
