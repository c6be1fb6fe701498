"""Coupling loads that regulations compute from masses.

Element-wise on arrays with free leading axes, masses in kg in, newtons out. UN
Regulation No. 55 takes g = 9.81 m/s2 and so do its formulas here; the pound-force
figures of SAE J684 use standard gravity, which is what a pound-force is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from steelyard.quantity.constants import INCH, POUND, POUND_FORCE

FloatArray = NDArray[np.float64]

G_R55: Final = 9.81
"""Gravity UN Regulation No. 55 prescribes for D, Dc and V [m/s2]."""

GermanCase = Literal[
    "undamped", "caravan-damped", "caravan-stabilised", "other-damped", "other-stabilised"
]

GERMAN_100: Final[dict[GermanCase, float]] = {
    "undamped": 0.3,
    "caravan-damped": 0.8,
    "caravan-stabilised": 1.0,
    "other-damped": 1.1,
    "other-stabilised": 1.2,
}
"""Trailer's permitted mass over the car's empty mass for 100 km/h in Germany."""

J684_LIMITS: Final = np.array([2000.0, 3500.0, 5000.0, 10000.0]) * POUND
"""Largest gross trailer mass [kg] of SAE J684 classes 1 to 4."""

_ULTIMATE: Final = np.array(
    [
        [6000.0, 6000.0, 2000.0, 2500.0, 2500.0],
        [10500.0, 10500.0, 3000.0, 4500.0, 4500.0],
        [15000.0, 15000.0, 4000.0, 7000.0, 7000.0],
    ]
)
_ULTIMATE_CLASS_4: Final = np.array([3.0, 3.0, 1.0, 1.3, 1.4])
_CHAIN: Final = np.array([2000.0, 3500.0, 5000.0])
_BALL: Final = np.array([np.nan, 1.875, 2.0, 2.0, np.nan]) * INCH


@dataclass(frozen=True, kw_only=True, slots=True)
class UltimateStrength:
    """Least ultimate strength of a coupling and ball [N], in the shape of the mass."""

    tension: FloatArray
    compression: FloatArray
    transverse: FloatArray
    vertical_tension: FloatArray
    vertical_compression: FloatArray


@dataclass(frozen=True, kw_only=True, slots=True)
class CarryingTest:
    """Test forces of a weight-carrying hitch [N].

    First ``vertical`` down with ``compression``; then ``longitudinal`` with
    ``longitudinal_vertical``; then ``transverse``.
    """

    vertical: FloatArray
    compression: FloatArray
    longitudinal: FloatArray
    longitudinal_vertical: FloatArray
    transverse: FloatArray


@dataclass(frozen=True, kw_only=True, slots=True)
class DistributingTest:
    """Test forces of a weight-distributing hitch [N] and its bar moment [N m]."""

    vertical: FloatArray
    moment: FloatArray
    longitudinal: FloatArray
    transverse: FloatArray


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


def dc_value(vehicle_mass: ArrayLike, axle_mass: ArrayLike) -> FloatArray:
    """Dc [N] for a rigid drawbar or centre-axle trailer: g T C / (T + C).

    C is what the trailer's axles carry [kg], T the vehicle with the noseweight on it.
    """
    return d_value(vehicle_mass, axle_mass)


def fifth_wheel_d_value(
    vehicle_mass: ArrayLike, trailer_mass: ArrayLike, imposed: ArrayLike
) -> FloatArray:
    """D [N] of a fifth wheel: 0.6 g T R / (T + R - U), with imposed load U [kg].

    T is the vehicle's permitted mass with U on it, R the whole trailer.
    """
    t, r = _floats(vehicle_mass), _floats(trailer_mass)
    return _floats(0.6 * G_R55 * t * r / (t + r - _floats(imposed)))


def trailer_for_d_value(d: ArrayLike, vehicle_mass: ArrayLike) -> FloatArray:
    """Largest trailer mass [kg] a D-value [N] allows: T D / (g T - D); infinite if D >= g T."""
    t, force = _floats(vehicle_mass), _floats(d)
    spare = G_R55 * t - force
    return np.where(spare > 0, t * force / np.where(spare > 0, spare, 1.0), np.inf)


def v_value(
    axle_mass: ArrayLike,
    body_length: ArrayLike,
    drawbar_length: ArrayLike,
    *,
    air_suspension: ArrayLike = False,
) -> FloatArray:
    """V [N], vertical, for a centre-axle trailer: a (X^2/L^2) C, X^2/L^2 at least 1.

    C is the axle mass [kg], X the body length and L the drawbar length to the axle
    centre [m]; a = 1.8 m/s2 on an air-sprung towing vehicle, else 2.4. Source: UN R55.
    """
    a = np.where(air_suspension, 1.8, 2.4)
    ratio = (_floats(body_length) / _floats(drawbar_length)) ** 2
    return _floats(a * np.maximum(ratio, 1.0) * _floats(axle_mass))


def noseweight_rating_floor(towable_mass: ArrayLike) -> FloatArray:
    """Least noseweight [kg] a passenger car's coupling must be *rated* for.

    The greater of 4 % of the largest towable mass and 25 kg. It binds the car's
    rating, not the load of an outfit. Source: Directive 92/21/EEC, Annex II.
    """
    return np.maximum(0.04 * _floats(towable_mass), 25.0)


def goods_noseweight_rating_floor(laden_mass: ArrayLike) -> FloatArray:
    """The other European text: 4 % of the laden mass or 25 kg, the *lesser* [kg].

    Goods and bus classes towing a centre-axle trailer to 3.5 t. Source: later masses
    and dimensions text, 7.8.2. It contradicts ``noseweight_rating_floor``: cite which.
    """
    return np.minimum(0.04 * _floats(laden_mass), 25.0)


def centre_axle_ceiling(trailer_mass: ArrayLike) -> FloatArray:
    """Most vertical load [N] at which a trailer still counts as centre-axle.

    The smaller of 10 % of its mass and 10 kN. Source: ISO 1176 and UN definitions.
    """
    return np.minimum(0.10 * G_R55 * _floats(trailer_mass), 10e3)


def german_100_mass(empty_mass: ArrayLike, case: GermanCase) -> FloatArray:
    """Largest permitted trailer mass [kg] for 100 km/h behind a car of ``empty_mass``.

    Source: ninth exemption regulation to the German road traffic order. Tyres under
    six years with symbol L or above and ABS on the car are further conditions.
    """
    return GERMAN_100[case] * _floats(empty_mass)


def j684_class(gross_mass: ArrayLike) -> NDArray[np.intp]:
    """SAE J684 class 1 to 4 of a gross trailer mass [kg]; 0 where it is above class 4."""
    place = np.searchsorted(J684_LIMITS * (1 + 1e-12), _floats(gross_mass)) + 1
    return np.where(place > len(J684_LIMITS), 0, place).astype(np.intp)


def _by_class(gross_mass: ArrayLike, fixed: FloatArray, multiple: ArrayLike) -> FloatArray:
    """Force [N] fixed [lbf] for classes 1 to 3, a multiple of the weight in class 4."""
    group, mass = j684_class(gross_mass), _floats(gross_mass)
    low = fixed[np.clip(group, 1, 3) - 1]
    pounds = np.where(group == 4, _floats(multiple) * mass / POUND, low)
    return np.where(group == 0, np.nan, pounds * POUND_FORCE)


def ultimate_strength(gross_mass: ArrayLike) -> UltimateStrength:
    """Least ultimate strengths for a gross trailer mass [kg]; NaN above class 4.

    Source: SAE J684, as adopted in COMAR 11.13.08.10, Table 1.
    """
    force = [_by_class(gross_mass, _ULTIMATE[:, i], _ULTIMATE_CLASS_4[i]) for i in range(5)]
    return UltimateStrength(
        tension=force[0],
        compression=force[1],
        transverse=force[2],
        vertical_tension=force[3],
        vertical_compression=force[4],
    )


def minimum_ball(gross_mass: ArrayLike) -> FloatArray:
    """Least ball diameter [m]: 1-7/8 in for class 1, 2 in for classes 2 and 3.

    NaN for class 4 and above, whose figure was not read. Source: SAE J684.
    """
    return _floats(_BALL[j684_class(gross_mass)])


def chain_strength(gross_mass: ArrayLike) -> FloatArray:
    """Least breaking force [N] of each safety chain; NaN above class 4.

    2,000, 3,500 and 5,000 lbf, and the gross weight in class 4. Source: SAE J684.
    """
    return _by_class(gross_mass, _CHAIN, 1.0)


def _linear(gross_mass: ArrayLike, slope: float, constant: float) -> FloatArray:
    return (slope * _floats(gross_mass) / POUND + constant) * POUND_FORCE


def carrying_test(gross_mass: ArrayLike) -> CarryingTest:
    """Test forces of a weight-carrying hitch for a gross trailer mass [kg].

    Source: SAE J684, as adopted in COMAR 11.13.08.10.
    """
    return CarryingTest(
        vertical=_linear(gross_mass, 0.47, 480.0),
        compression=_linear(gross_mass, 0.47, 480.0),
        longitudinal=_linear(gross_mass, 0.23, 1530.0),
        longitudinal_vertical=_linear(gross_mass, 0.15, 0.0),
        transverse=_linear(gross_mass, 0.20, 500.0),
    )


def distributing_test(gross_mass: ArrayLike) -> DistributingTest:
    """Test forces of a weight-distributing hitch for a gross trailer mass [kg].

    Source: SAE J684, as adopted in COMAR 11.13.08.10; the copy's later steps are cut off.
    """
    return DistributingTest(
        vertical=_linear(gross_mass, 0.045, 1650.0),
        moment=_linear(gross_mass, 0.0, 51000.0) * INCH,
        longitudinal=_linear(gross_mass, 0.067, 2070.0),
        transverse=_linear(gross_mass, 0.20, 500.0),
    )
