"""Coupling loads that regulations compute from masses.

Element-wise on arrays with free leading axes, masses in kg in, newtons out. UN
Regulation No. 55 takes g = 9.81 m/s2 and so do its formulas here; the pound-force
figures of SAE J684 use standard gravity, which is what a pound-force is.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from steelyard.quantity import INCH, POUND
from steelyard.quantity.constants import POUND_FORCE

FloatArray = NDArray[np.float64]

G_R55: Final = 9.81
"""Gravity UN Regulation No. 55 prescribes for D [m/s2]."""

J684_LIMITS: Final = np.array([2000.0, 3500.0, 5000.0, 10000.0]) * POUND
"""Largest gross trailer mass [kg] of SAE J684 classes 1 to 4."""

_CHAIN: Final = np.array([2000.0, 3500.0, 5000.0])
_BALL: Final = np.array([np.nan, 1.875, 2.0, 2.0, np.nan]) * INCH


def _floats(value: ArrayLike) -> FloatArray:
    return np.asarray(value, dtype=np.float64)


def d_value(vehicle_mass: ArrayLike, trailer_mass: ArrayLike) -> FloatArray:
    """D [N] a coupling needs: g T R / (T + R), with permitted masses T and R [kg].

    Source: UN R55 par. 2.11; the formula was read in an engineering reference.

    >>> round(float(d_value(2000.0, 1500.0)))
    8409
    """
    t, r = _floats(vehicle_mass), _floats(trailer_mass)
    return _floats(G_R55 * t * r / (t + r))


def fifth_wheel_d_value(
    vehicle_mass: ArrayLike, trailer_mass: ArrayLike, imposed: ArrayLike
) -> FloatArray:
    """D [N] of a fifth wheel: 0.6 g T R / (T + R - U), with imposed load U [kg].

    T is the vehicle's permitted mass with U on it, R the whole trailer.
    """
    t, r = _floats(vehicle_mass), _floats(trailer_mass)
    return _floats(0.6 * G_R55 * t * r / (t + r - _floats(imposed)))


def j684_class(gross_mass: ArrayLike) -> NDArray[np.intp]:
    """SAE J684 class 1 to 4 of a gross trailer mass [kg]; 0 where it is above class 4."""
    place = np.searchsorted(J684_LIMITS * (1 + 1e-12), _floats(gross_mass)) + 1
    return np.where(place > len(J684_LIMITS), 0, place).astype(np.intp)


def minimum_ball(gross_mass: ArrayLike) -> FloatArray:
    """Least ball diameter [m]: 1-7/8 in for class 1, 2 in for classes 2 and 3.

    NaN for class 4 and above, whose figure was not read. Source: SAE J684.
    """
    return _floats(_BALL[j684_class(gross_mass)])


def chain_strength(gross_mass: ArrayLike) -> FloatArray:
    """Least breaking force [N] of each safety chain; NaN above class 4.

    2,000, 3,500 and 5,000 lbf, and the gross weight in class 4. Source: SAE J684.
    """
    group, mass = j684_class(gross_mass), _floats(gross_mass)
    pounds = np.where(group == 4, mass / POUND, _CHAIN[np.clip(group, 1, 3) - 1])
    return np.where(group == 0, np.nan, pounds * POUND_FORCE)
