"""Sway against published numbers.

Sources: a truck-trailer benchmark credited to J. R. Ellis (comment of a public multibody test case,
BPMinaker/eom_pkg; numbers only), NHTSA's inertial database (SAE
1999-01-1336), De Felice et al., IAVSD 2023 (inputs). Tests named `computed` hold values worked out
independently from the stated inputs, not published ones.
"""

import numpy as np
import pytest
from tests.combinations import FOOT, bus, ellis, minivan, polynomial, roots

from steelyard.swaying.linear.closed_forms import critical_speeds
from steelyard.swaying.linear.modes import state_matrix
from steelyard.swaying.linear.rig import USUAL, light_stiffness, peak_load, stiffness_at
from steelyard.swaying.linear.search import settled
from steelyard.typical.shipped_tables import relation, vehicle_class

pytestmark = pytest.mark.seen

MEASURED = {
    "full-size pickup": (3.517, 20005, 1.465, 5375),
    "long full-size utility": (3.339, 26163, 1.721, 7582),
    "full-size utility": (3.025, 25871, 1.459, 5639),
    "full-size utility, laden": (3.025, 32029, 1.708, 6859),
    "mid-size utility": (2.827, 19792, 1.295, 3682),
    "full-size pickup B": (3.340, 18954, 1.418, 4705),
    "full-size pickup B, laden": (3.340, 27136, 1.797, 6327),
    "minivan": (2.885, 16975, 1.189, 3508),
}
"""Wheelbase m, weight N, centre behind front axle m, yaw inertia kg m2: SAE 1999-01-1336."""
CLASSES = (
    "car",
    "full-size-suv",
    "half-ton-crew-cab",
    "mid-size-pickup",
    "mid-size-suv",
    "one-ton-dual-rear-wheel",
    "three-quarter-ton",
    "van",
)


def test_roots_of_the_ellis_truck_and_trailer() -> None:
    """LAT-01, published at 30 ft/s: -9.3, -6.3 ± 1.1i, -1.3 (hand-rounded: 0.1)."""
    found = roots(ellis(), 30 * FOOT)
    assert found == pytest.approx([-9.3, -6.3 - 1.1j, -6.3 + 1.1j, -1.3], abs=0.1)


def test_computed_roots_of_the_ellis_set() -> None:
    """LAT-01 to four decimals."""
    found = roots(ellis(), 30 * FOOT)
    want = [-9.2434, -6.2482 - 1.1048j, -6.2482 + 1.1048j, -1.2628]
    assert found == pytest.approx(want, abs=1e-3)


def test_computed_divergence_of_the_ellis_set() -> None:
    """LAT-03: a real root passes zero at 60.2596 ft/s and nothing oscillates to growth."""
    found = critical_speeds(ellis())
    assert float(found.divergent) == pytest.approx(60.2596 * FOOT, rel=1e-6)
    assert np.isinf(found.oscillatory)


def test_computed_polynomial_of_the_ellis_set() -> None:
    """LAT-05."""
    found = np.array([float(x) for x in polynomial(ellis(), 9.144)])
    want = [1.0, 23.00267, 183.2284, 568.9075, 470.1010]
    assert found / found[0] == pytest.approx(want, rel=1e-4)


def test_computed_state_matrix_of_the_ellis_set() -> None:
    """The state matrix in (v, r, θ', θ), as worked out from the equations in other order."""
    want = [
        [-7.343063, -13.655104, -3.564551, -5.346827],
        [-1.182304, -0.949087, 4.379634, 6.569451],
        [1.392412, -9.90784, -14.710524, -22.065786],
        [0, 0, 1, 0],
    ]
    assert state_matrix(ellis(), 9.144) == pytest.approx(np.array(want), abs=2e-5)


@pytest.mark.parametrize(
    ("e", "speed", "want"),
    [
        (2.5, 10.0, [-10.29677, -3.89527, -2.03238 - 3.10597j, -2.03238 + 3.10597j]),
        (2.5, 20.0, [-6.53591, -1.01386 - 3.54287j, -1.01386 + 3.54287j, -0.56478]),
        (2.7, 10.0, [-10.19439, -5.02984, -1.43309 - 3.05029j, -1.43309 + 3.05029j]),
        (2.7, 20.0, [-6.32611, -1.81269, -0.45320 - 3.07949j, -0.45320 + 3.07949j]),
        (2.9, 10.0, [-10.05723, -5.98267, -1.00134 - 3.01141j, -1.00134 + 3.01141j]),
        (2.9, 20.0, [-6.01300, -3.20499, 0.09835 - 2.91742j, 0.09835 + 2.91742j]),
    ],
)
def test_computed_roots_of_the_minivan_set(e: float, speed: float, want: list[complex]) -> None:
    """LAT-06 to LAT-08."""
    assert roots(minivan(e), speed) == pytest.approx(want, abs=1e-4)


@pytest.mark.parametrize(
    ("e", "oscillatory", "divergent"),
    [(2.5, np.inf, 23.8924), (2.7, np.inf, 36.9623), (2.9, 18.4001, np.inf)],
)
def test_computed_first_instability(e: float, oscillatory: float, divergent: float) -> None:
    """LAT-06 to LAT-08: tongue 16.7 and 10 % fold, 3.3 % wags."""
    found = critical_speeds(minivan(e))
    assert float(found.oscillatory) == pytest.approx(oscillatory, rel=1e-5)
    assert float(found.divergent) == pytest.approx(divergent, rel=1e-5)


def test_computed_bus_with_spring_and_damper() -> None:
    """LAT-14: roots at 27.778 m/s and first crossings with and without the joint's spring."""
    want = [-1.181537, -0.204943, 0.037757 - 1.076292j, 0.037757 + 1.076292j]
    assert roots(bus(), 27.778) == pytest.approx(want, abs=2e-5)
    assert float(settled(bus()).oscillatory) == pytest.approx(14.2816, rel=1e-5)
    assert float(settled(bus(0.0)).oscillatory) == pytest.approx(8.4129, rel=1e-5)


@pytest.mark.parametrize("name", MEASURED)
def test_measured_yaw_inertias_stay_near_m_a_b(name: str) -> None:
    """LAT-15: I/(m a b) of measured vehicles is 1.016 ± 2 x 0.096."""
    wheelbase, weight, a, inertia = MEASURED[name]
    assert 0.82 < inertia / (weight / 9.81 * a * (wheelbase - a)) < 1.21


@pytest.mark.parametrize("name", CLASSES)
def test_default_inertia_is_one_that_was_measured(name: str) -> None:
    """LAT-15: each class's ratio lies within two standard deviations of 325 measured vehicles."""
    assert 0.83 < relation(vehicle_class(name), "yaw_inertia_ratio").value < 1.21


@pytest.mark.parametrize(
    ("load", "stiffness"),
    [(2000, 42029), (3000, 59989), (4000, 74905), (4850, 85019), (6000, 95099)],
)
def test_computed_stiffness_of_the_public_tyre(load: float, stiffness: float) -> None:
    """TYR-3 from the PAC2002 set TYR-2: our rational form is its K sin(2 atan(F/F_p))."""
    peak, greatest = 2.0012 * 4850, 21.92 * 4850
    coefficient = 2 * greatest / peak / (1 + USUAL**2)  # rated load taken as the peak's: peak = 1
    found = stiffness_at(load, light_stiffness(coefficient, 1.0), peak_load(peak, 1.0))
    assert found == pytest.approx(stiffness, rel=1e-4)
