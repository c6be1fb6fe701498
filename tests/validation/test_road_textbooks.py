"""Braking, pulling away and stopping against worked examples of books and numbers of statutes.

Each was read in a copy or a quotation; what is said there of a lone car is asked of the kernels, or
of a rig whose trailer brakes as its car does.

- BF: D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering (Springer, 2018), chapter 1,
  p. 32: a car's trailer of 1,191 kg pulls away at 2 m/s2 (read in a web copy).
- RJ: Vehicle Dynamics (Springer, 978-0-387-74244-1), chapter 2, pp. 48-65, equations 2.63 to 2.67,
  2.86, 2.121, 2.122 and example 64 (read in a web copy). Its 2.68 has l - mu h for a front
  brake uphill; 2.63 and 2.66 give l + mu h, which is what is kept.
- BJ: sample problem 16.1 of a dynamics text (holooly.com, 1078457): a truck skids to rest from
  30 ft/s in 20 ft, at 22.5 ft/s2, friction 0.699.
- GH: a highway engineering text's equation 3.27 with its worked answer (sciemce.com, PU1wx3xDBXTn):
  from 60 mi/h at a/g = 0.35 in 563.36 ft on the level, 649.07 ft down 7 %.
- CJ: a physics text's chapter 6, problem 61 (physics.nmu.edu), its answer in a physics forum
  (physicsforums.com, 645704): 11.1 m/s down 15 degrees, friction 0.750, 13.5 m.
- SO: Schaum's Outline of College Physics, chapter 3 (we-jia.com): 20 m/s, friction 0.90, 22.65 m.
- OS: OpenStax, College Physics, 14.2 (quizover.com): 10,000 kg down 75.0 m give up 7.35e6 J.
- HC: the Highway Code's typical stopping distances, in six copies (ken-neal.co.uk has its rule:
  reaction in feet is the speed in mph, braking its square over twenty).
- NJ: New Jersey Statutes 39:3-68: from 20 mph 30 ft is about 14 ft/s2, 45 ft about 9.5 ft/s2, at a
  friction of about 0.6.
- PA: Pennsylvania Code, title 67, chapter 175, Table I: a braking force of 65.2, 52.8 and 43.5 % of
  the weight is 21, 17 and 14 ft/s2.
- NZ: NZ Transport Agency, in a trailer repairer's page: with an unbraked trailer as heavy as the
  vehicle expect twice the stopping distance.
- MK: M. Kakol, Paragraph on the Road 1/2023, pp. 55-73, abstract: simulated stops of a car and an
  unbraked single-axle trailer.
"""

import numpy as np
import pytest
from tests.rigs import plain

from steelyard.braking.footing import Footing, friction_used, rolling, shifted
from steelyard.braking.grade import descent_energy, traction_grade
from steelyard.braking.result import StageRoad
from steelyard.braking.settings import FRICTION, ROLLING, Setting, Settings
from steelyard.braking.stage_road import road
from steelyard.braking.stopping import distance, limit
from steelyard.quantity import FOOT, GRAVITY
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior

STIFF = 5e12
"""N/m: bodies that do not pitch."""
MPH = 0.44704
BOOK = 9.81
"""m/s2: the books' g; masses and slowing are scaled so that weights and forces are theirs."""


def pulled(mass: float, at: float, axle: float, ball: float, height: float) -> tuple[Footing, ...]:
    """Standing, and pulling away at 2 m/s2 with 1.2 % of 11,119 N held by rolling resistance."""
    rig = plain(
        weight=mass * BOOK / GRAVITY, cg=at, axles=(axle,), ball=ball, coupler=ball, height=height
    )
    v = dict(prior(rig).estimate.at_mean())
    v.update({name: np.asarray(STIFF) for name in v if name.endswith("rate")})
    moving = rolling(loads(rig, v), v)
    return moving.at(0.0, 0.0, 0.0), moving.at(0.0, -2.0 * GRAVITY / BOOK, 0.012 * 11119.0)


def sure(
    friction: float, grade: float = 0.0, speed: float = 20.0, reaction: float = 0.0
) -> Settings:
    """What is asked, without spread; the trailer brakes all of its own slowing."""
    return Settings(
        friction=Setting(value=friction),
        front_share=Setting(value=0.65),
        trailer_share=Setting(value=1.0),
        rolling=Setting(value=0.0),
        drag_area=Setting(value=4.0),
        driveline=Setting(value=1.0),
        grade=grade,
        speed=speed,
        reaction=reaction,
    )


def shortest(found: StageRoad, *, down: bool, braked: bool) -> float:
    """The shortest stop, m."""
    stops = {(one.down, one.trailer_brakes): one for one in found.stops}
    return stops[down, braked].shortest.value


class TestCarAndTrailer:
    """Axle and ball of a trailer that is pulled away."""

    def test_pulling_away(self) -> None:
        """BF: 11,119 N on the axle, which is more than at rest, and 565 N on the ball."""
        rest, away = pulled(1191.0, at=2.959, axle=2.959 + 0.23, ball=0.5, height=0.9)
        assert away.trailer_axles[0].item() == pytest.approx(11119.0, abs=0.5)
        assert away.tongue.item() == pytest.approx(565.0, abs=0.5)
        assert away.trailer_axles[0].item() > rest.trailer_axles[0].item()

    def test_no_force_at_the_hinge(self) -> None:
        """RJ, example 64: mass over the axle and at the ball's height, then the ball bears nothing,
        standing, pulling away or uphill."""
        rig = plain(cg=5.1, axles=(5.1,), ball=0.55, coupler=0.55, height=0.55)
        v = dict(prior(rig).estimate.at_mean())
        v.update({name: np.asarray(STIFF) for name in v if name.endswith("rate")})
        moving = rolling(loads(rig, v), v)
        for slope, along in ((0.0, 0.0), (0.0, -2.0), (0.2, -GRAVITY * np.sin(0.2) - 1.0)):
            assert moving.at(slope, along, 0.0).tongue.item() == pytest.approx(0.0, abs=1e-3)


class TestOneVehicle:
    """A lone car or truck."""

    @pytest.mark.parametrize(("slope", "gain"), [(0.0, 1.0), (0.1, 1.0), (0.3, -4.0)])
    def test_accelerating_on_a_slope(self, slope: float, gain: float) -> None:
        """RJ, 2.121 and 2.122: (g sin + a) m h/l leaves the front axle for the rear."""
        mass, base, height = 1500.0, 2.272, 0.23
        front, rear = shifted(
            mass * GRAVITY * height, 0.0, 0.5, base, -(gain + GRAVITY * np.sin(slope))
        )
        moved = mass * (GRAVITY * np.sin(slope) + gain) * height / base
        assert float(front) == pytest.approx(-moved, rel=1e-12)
        assert float(rear) == pytest.approx(moved, rel=1e-12)

    @pytest.mark.parametrize("mu", [0.3, 0.8])
    def test_steepest_slope(self, mu: float) -> None:
        """RJ, 2.63 to 2.67 and 2.86: at the steepest slope mu of the held axle is m g sin; with
        both axles its tangent is mu."""
        mass, a1, a2, height = 1550.0, 1.2, 1.42, 0.72
        weight, base = mass * GRAVITY, 1.2 + 1.42
        level = {"front": weight * a2 / base, "rear": weight * a1 / base}
        more = {"front": -weight * height / base, "rear": weight * height / base}
        for axle in level:
            phi = np.arctan(traction_grade(level[axle], more[axle], mass, 0.0, mu))
            load = level[axle] * np.cos(phi) + more[axle] * np.sin(phi)
            assert mu * load == pytest.approx(weight * np.sin(phi), rel=1e-12)
        assert float(traction_grade(weight, 0.0, mass, 0.0, mu)) == pytest.approx(mu, rel=1e-12)

    def test_truck_skids(self) -> None:
        """BJ: 20 ft from 30 ft/s at 22.5 ft/s2; every tyre at 0.699."""
        feet = float(distance(30.0 * FOOT, 22.5 * FOOT)) / FOOT
        assert feet == pytest.approx(20.0, rel=1e-12)
        weight = 2000.0 * GRAVITY
        reached = float(limit(weight, 0.0, 2000.0, 0.0, 0.0, 0.699))
        assert reached / FOOT == pytest.approx(22.5, rel=1e-3)
        assert float(friction_used(2000.0 * reached, weight)) == pytest.approx(0.699, rel=1e-12)

    @pytest.mark.parametrize(("percent", "feet"), [(65.2, 21.0), (52.8, 17.0), (43.5, 14.0)])
    def test_force_and_slowing(self, percent: float, feet: float) -> None:
        """PA: a share of the weight as braking force, and the slowing printed beside it."""
        found = limit(1000.0 * GRAVITY, 0.0, 1000.0, 0.0, 0.0, percent / 100.0)
        assert float(found) / FOOT == pytest.approx(feet, rel=2e-3)

    @pytest.mark.parametrize(("slowing", "feet"), [(14.0, 30.0), (9.5, 45.0)])
    def test_statute(self, slowing: float, feet: float) -> None:
        """NJ: distance and approximate slowing from 20 mph, to 3 in 100."""
        found = distance(20.0 * MPH, slowing * FOOT)
        assert float(found) / FOOT == pytest.approx(feet, rel=0.03)

    def test_energy_of_a_descent(self) -> None:
        """OS: 7.35e6 J, whatever the road's length."""
        for slope in (0.03, 0.1):
            found = descent_energy(10000.0, slope, 75.0 / np.sin(slope))
            assert float(found) == pytest.approx(7.35e6, rel=1e-3)


class TestHighwayCode:
    """HC: the table in metres from its rule in feet."""

    SLOWING = MPH**2 * 10.0 / FOOT
    """m/s2: v2/20 feet of braking at v mph."""

    @pytest.mark.parametrize(
        ("mph", "braking", "overall"),
        [(20, 6, 12), (30, 14, 23), (40, 24, 36), (50, 38, 53), (60, 55, 73), (70, 75, 96)],
    )
    def test_typical_stops(self, mph: float, braking: float, overall: float) -> None:
        """To the metre that the table is rounded or cut to."""
        found = float(distance(mph * MPH, self.SLOWING))
        assert found == pytest.approx(braking, abs=0.6)
        whole = float(distance(mph * MPH, self.SLOWING, FOOT / MPH))
        assert whole == pytest.approx(overall, abs=0.6)

    def test_friction_assumed_is_near(self) -> None:
        """The assumed friction of a dry road has the table's and NJ's 0.6 within its spread."""
        wide = 1.96 * FRICTION.sd + 1e-9
        assert abs(self.SLOWING / GRAVITY - FRICTION.value) < wide
        assert abs(0.6 - FRICTION.value) <= wide
        assert ROLLING.value == 0.012  # BF's coefficient


class TestWholeRig:
    """A rig whose trailer brakes as the vehicle does stops like one body; one that rolls, later."""

    @pytest.mark.parametrize(
        ("friction", "degrees", "speed", "metres", "gravity"),
        [(0.75, 15.0, 11.1, 13.5, 9.8), (0.90, 0.0, 20.0, 22.65, 9.81)],
    )
    def test_skids(
        self, friction: float, degrees: float, speed: float, metres: float, gravity: float
    ) -> None:
        """CJ and SO, to half of their last digit and with their g."""
        asked = sure(friction, float(np.tan(np.deg2rad(degrees))), speed)
        found = road(plain(height=0.9), settings=asked, draws=10)[0]
        here = shortest(found, down=degrees > 0.0, braked=True) * GRAVITY / gravity
        assert here == pytest.approx(metres, abs=0.05 if degrees else 0.005)

    def test_sight_distance_on_a_grade(self) -> None:
        """GH: 563.36 ft and 649.07 ft. The book takes sine and tangent of the grade as one and
        rounds its constants: 4 in 1,000."""
        asked = sure(0.35, 0.07, 60.0 * MPH, 2.5)
        found = road(plain(height=0.9), settings=asked, draws=10)[0]
        level = shortest(found, down=False, braked=True) / FOOT
        down = shortest(found, down=True, braked=True) / FOOT
        assert level == pytest.approx(563.36, rel=2e-3)
        assert down == pytest.approx(649.07, rel=4e-3)

    def test_twice_the_distance(self) -> None:
        """NZ: twice, less what the ball puts on the vehicle's tyres: a share 1 - 4.5/5.1 of as
        much weight again (2,680 kg: the vehicle with its driver)."""
        found = road(plain(weight=2680.0), settings=sure(0.7), draws=10)[0]
        rolling_on, one_body = (shortest(found, down=False, braked=on) for on in (False, True))
        grip = 1.0 + (1.0 - 4.5 / 5.1)
        assert rolling_on / one_body * grip == pytest.approx(2.0, rel=5e-3)

    def test_what_an_unbraked_trailer_does(self) -> None:
        """MK: load in the car alone changes nothing, an unbraked trailer tells most on the lightest
        car, downhill is longer and uphill shorter, and longest wet and downhill."""

        def stop(car: float, trailer: float, mu: float, *, down: bool = False) -> float:
            rig = plain(vehicle=car, weight=trailer, height=0.8)
            found = road(rig, settings=sure(mu, 0.06), draws=10)[0]
            return shortest(found, down=down, braked=False)

        assert stop(1500.0, 130.0, 0.7) == pytest.approx(stop(2500.0, 130.0, 0.7), rel=0.05)
        longer = [stop(car, 750.0, 0.7) / stop(car, 130.0, 0.7) for car in (1300.0, 1700.0, 2300.0)]
        assert longer == sorted(longer, reverse=True)
        dry, wet = (
            stop(1500.0, 750.0, mu, down=True) / stop(1500.0, 750.0, mu) for mu in (0.7, 0.4)
        )
        assert 1.0 < dry < wet
