"""Sway against closed forms and exact limits (exact; textbook forms worked out by hand)."""

import math

import numpy as np
import pytest
from tests.combinations import FOOT, damping_of, ellis, minivan, roots

from steelyard.quantity import GRAVITY
from steelyard.statics.lever import axle_loads, tongue_weight
from steelyard.swaying.linear.closed_forms import critical_speeds, understeer
from steelyard.swaying.linear.modes import oscillation, state_matrix
from steelyard.swaying.linear.search import settled
from steelyard.swaying.time.motion import wind_force


@pytest.mark.parametrize(("speed", "ratio"), [(10, 0.554227), (20, 0.277113), (30, 0.184742)])
def test_a_vehicle_of_endless_mass(speed: float, ratio: float) -> None:
    """LAT-09: the trailer alone has w_n = sqrt(C L/I_h), zeta = C L^2/(2 V sqrt(C L I_h))."""
    found = roots(minivan(m1=1e12, I1=1e12), speed)
    swing = found[found.imag > 1.0]
    assert len(swing) == 1  # what is left belongs to the vehicle and hardly moves
    assert abs(swing[0]) == pytest.approx(3.694845, rel=1e-5)
    assert -swing[0].real / abs(swing[0]) == pytest.approx(ratio, abs=1e-5)


def test_a_trailer_of_no_mass() -> None:
    """LAT-10: two roots of the vehicle alone, the bicycle model's -4.71114 ± 2.59711i."""
    found = roots(minivan(m2=1e-6, I2=1e-6, stiffness=(1e-4,)), 20.0)
    own = found[np.abs(np.abs(found.imag) - 2.59711) < 1e-3]
    assert own == pytest.approx([-4.71114 - 2.59711j, -4.71114 + 2.59711j], abs=1e-4)


@pytest.mark.parametrize("e", [2.5, 2.7, 2.9])
def test_understeer_follows_from_static_loads(e: float) -> None:
    """LAT-11: K = m_f/C_f - m_r/C_r with the axle loads of the statics; it folds at sqrt(-l/K)."""
    c = minivan(e)
    m1, m2 = float(c.m1) * GRAVITY, float(c.m2) * GRAVITY
    T = tongue_weight(m2, m2 * e, 3.0)
    front, rear = axle_loads(m1, m1 * 1.289, 2.885)
    front, rear = front - T * 1.104 / 2.885, rear + T * (1 + 1.104 / 2.885)
    K = (front - rear) / 80e3 / GRAVITY
    base, found = understeer(c)
    assert float(base) == pytest.approx(2.885, rel=1e-12)
    assert float(found) == pytest.approx(K, rel=1e-11)
    fold = math.sqrt(-2.885 / K) if K < 0 else math.inf
    assert float(critical_speeds(c).divergent) == pytest.approx(fold, rel=1e-11)


@pytest.mark.parametrize(("feet", "gain"), [(30, 4.431745), (50, 17.833382)])
def test_yaw_gain_of_the_ellis_set(feet: float, gain: float) -> None:
    """LAT-12: r/δ = V/(l + K V^2)."""
    (base, gradient), speed = understeer(ellis()), feet * FOOT
    assert float(speed / (base + gradient * speed**2)) == pytest.approx(gain, rel=1e-6)


def test_a_tandem_is_one_axle_with_a_yaw_damper() -> None:
    """TAN-1: two axles 1 m apart act as one and 800 N m s/rad on the trailer's own yaw rate."""
    pair = state_matrix(minivan(stations=(2.5, 3.5), stiffness=(40e3, 40e3)), 25.0)
    one, c = minivan(), 80e3 * 1.0**2 / (4 * 25.0)
    assert c == 800.0
    far, q = 2.7 + 2.7, 2000.0 * 2.7
    mass = np.array(
        [
            [float(one.m1) + 2000, -2000 * far, -q],
            [-2000 * far, 3508 + 3000 + 2000 * far**2, 3000 + q * far],
            [-q, 3000 + q * far, 3000 + q * 2.7],
        ]
    )
    damped = state_matrix(one, 25.0)
    turn = np.array([0.0, 1.0, 1.0])
    damped[:3, :3] -= np.linalg.solve(mass, c * np.outer(turn, turn))
    assert pair == pytest.approx(damped, abs=1e-11)


@pytest.mark.parametrize(
    ("spread", "ratio"),
    [(0.0, 0.10135), (0.8, 0.12803), (0.9, 0.13535), (1.0, 0.14363), (1.5, 0.20127)],
)
def test_a_wider_tandem_damps_more(spread: float, ratio: float) -> None:
    """TAN-2: damping at 25 m/s by the distance of two axles."""
    pair = minivan(stations=(3 - spread / 2, 3 + spread / 2), stiffness=(40e3, 40e3))
    assert float(oscillation(pair, 25.0).ratio) == pytest.approx(ratio, abs=1e-4)


@pytest.mark.parametrize("ratio", [0.05, 0.10, 0.15])
def test_damping_from_successive_peaks(ratio: float) -> None:
    """ISO-3: half-cycle peak ratio exp(pi D/sqrt(1 - D^2)) gives D back."""
    t = np.arange(0.0, 8.0, 0.002)
    natural = 3.0 / math.sqrt(1 - ratio**2)
    swing = np.exp(-ratio * natural * t) * np.sin(3.0 * t)
    found, frequency = damping_of(t, swing)
    assert found == pytest.approx(ratio, abs=1e-6)
    assert frequency == pytest.approx(3.0, rel=1e-5)


def test_side_force_of_the_wind() -> None:
    """AERO-1: rho/2 V^2 A C at 90 degrees is 4593.75 N for 25 m/s, 12 m2, C = 1."""
    assert wind_force(0.5 * 1.225 * 12.0, 25.0, 0.0, 0.0) == pytest.approx(4593.75, rel=1e-12)


def test_search_finds_the_closed_form() -> None:
    """A relaxation length that goes to nothing gives the exact critical speed back."""
    near = minivan(2.9, front_lag=1e-6, rear_lag=1e-6, trailer_lag=1e-6)
    exact = float(critical_speeds(minivan(2.9)).oscillatory)
    assert float(settled(near).oscillatory) == pytest.approx(exact, rel=1e-5)


def test_a_damper_delays_its_own_combination_only() -> None:
    """Beside one without, whose speed is the closed form's, each is as when asked alone."""
    damper = np.array([0.0, 900.0])
    pair = settled(minivan(2.9, damper=damper)).oscillatory
    alone = [float(settled(minivan(2.9, damper=one)).oscillatory) for one in damper]
    assert pair == pytest.approx(alone, rel=1e-9)
    assert alone[0] == pytest.approx(float(critical_speeds(minivan(2.9)).oscillatory), rel=1e-9)
    assert alone[1] > 1.02 * alone[0]


def test_search_finds_where_it_calms_down_again() -> None:
    """A light trailer far behind sways by itself between two speeds only: the search ends on both
    roots of the closed form's quadratic, and the least damped root decays beyond."""
    odd = {"m2": 900.0, "I2": 4500.0, "stiffness": (102e3,), "Cr": 72e3, "d": 3.3}
    near = settled(minivan(2.8, front_lag=1e-6, rear_lag=1e-6, trailer_lag=1e-6, **odd))
    exact = critical_speeds(minivan(2.8, **odd))
    assert float(near.oscillatory) == pytest.approx(float(exact.oscillatory), rel=1e-5)
    assert float(near.again) == pytest.approx(float(exact.again), rel=1e-5)
    between, beyond = (roots(minivan(2.8, **odd), speed).real.max() for speed in (35.0, 50.0))
    assert between > 0.0 > beyond
