"""Stopping and climbing against published formulas and worked examples, each read in a copy.

- Texas Department of Transportation, Roadway Design Manual, 4.11.1: SSD = 1.47 V t + 1.075 V2/a,
  with t = 2.5 s and a = 11.2 ft/s2 (AASHTO's), V in mph, SSD in ft. Its constants are rounded.
- A civil engineering examination's worked answer: 57.6 km/h, f = 0.35, g = 10: 36.571 m of braking.
- Stopping in the tests behind a tow rating, SAE J2807, in a magazine's summary: from 20 mph in 35,
  45 and 80 ft; as mean decelerations 0.382, 0.297 and 0.167 g (reworked from these distances).
- Greatest tractive effort of a rear-driven vehicle, mu W (l_f - f h)/L / (1 - mu h/L), equation
  2.15 of a textbook on highway engineering, as quoted in a university course's solution of 2008.
- Meaning of power: 1 hp lifts 550 lbf by 1 ft in 1 s (definition).
"""

import numpy as np
import pytest

from steelyard.braking.grade import (
    climbing_force,
    descent_energy,
    force_grade,
    power_needed,
    speed_held,
    to_brakes,
    traction_grade,
)
from steelyard.braking.settings import DECELERATION, REACTION
from steelyard.braking.stopping import distance
from steelyard.quantity import FOOT, GRAVITY, parse

pytestmark = pytest.mark.seen

MPH = 0.44704


class TestStopping:
    """Reaction and braking distance."""

    @pytest.mark.parametrize("mph", [20.0, 45.0, 65.0, 80.0])
    def test_stopping_sight_distance(self, mph: float) -> None:
        """The manual's formula, to the rounding of its constants (3 in 1,000)."""
        printed = 1.47 * mph * 2.5 + 1.075 * mph**2 / 11.2
        found = distance(mph * MPH, 11.2 * FOOT, 2.5) / FOOT
        assert float(found) == pytest.approx(printed, rel=3e-3)

    def test_the_defaults_are_the_manuals(self) -> None:
        """2.5 s and 11.2 ft/s2, which is 3.4 m/s2 as the metric copies round it."""
        assert REACTION == 2.5
        assert pytest.approx(11.2 * FOOT, abs=0.05) == DECELERATION

    def test_worked_answer(self) -> None:
        """57.6 km/h at 0.35 of 10 m/s2: 36.571 m."""
        assert float(distance(57.6 / 3.6, 0.35 * 10.0)) == pytest.approx(36.571, abs=5e-4)

    @pytest.mark.parametrize(("feet", "gees"), [(35.0, 0.382), (45.0, 0.297), (80.0, 0.167)])
    def test_distances_of_the_rating_test(self, feet: float, gees: float) -> None:
        """From 20 mph at the mean deceleration the distance is the one of the test."""
        found = distance(20.0 * MPH, gees * GRAVITY) / FOOT
        assert float(found) == pytest.approx(feet, rel=3e-3)


class TestClimbing:
    """Grip, force and power on a grade."""

    @pytest.mark.parametrize(("mu", "f"), [(0.7, 0.015), (0.3, 0.01), (0.9, 0.0)])
    def test_tractive_effort(self, mu: float, f: float) -> None:
        """The steepest grade asks exactly the textbook's greatest tractive effort."""
        weight, ahead, height, base = 2600.0 * GRAVITY, 1.6, 0.7, 3.7
        most = mu * weight * (ahead - f * height) / base / (1.0 - mu * height / base)
        level, more = weight * ahead / base, weight * height / base
        tangent = float(traction_grade(level, more, 2600.0, f, mu))
        assert weight * (tangent + f) == pytest.approx(most, rel=1e-12)

    def test_force_and_grade_are_inverse(self) -> None:
        """The force that a grade needs climbs that grade: closed form."""
        slope = np.arctan(np.array([0.0, 0.06, 0.12, 0.6]))
        force = climbing_force(5600.0, slope, 0.012)
        assert force_grade(force, 5600.0, 0.012) == pytest.approx(np.tan(slope), abs=1e-12)

    def test_speed_and_power_are_inverse(self) -> None:
        """The power that a speed needs holds that speed; more resistance, less speed."""
        force = climbing_force(5600.0, np.arctan(0.06), 0.012)
        power = power_needed(force, 25.0, 4.0, 0.85)
        assert float(speed_held(power, force, 4.0, 0.85)) == pytest.approx(25.0, rel=1e-10)
        assert float(speed_held(power, 1.2 * force, 4.0, 0.85)) < 25.0

    def test_a_horsepower_lifts(self) -> None:
        """With no drag and no loss 1 hp raises 550 lbf at 1 ft/s."""
        power = parse("1 hp", "power").value
        force = parse("550 lbf", "force").value
        assert power_needed(force, FOOT, 0.0, 1.0) == pytest.approx(power, rel=1e-12)

    def test_energy_of_a_descent(self) -> None:
        """m g h, whatever the road's length; a grade as flat as the rolling resistance heats
        nothing."""
        length, slope = 5000.0, np.arctan(0.06)
        height = length * np.sin(slope)
        assert descent_energy(4000.0, slope, length) == pytest.approx(4000.0 * GRAVITY * height)
        assert float(to_brakes(4000.0, np.arctan(0.012), length, 0.012)) == pytest.approx(
            0.0, abs=1e-6
        )
