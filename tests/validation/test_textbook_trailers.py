"""Trailers and levers worked in textbooks, through the closed forms and through the elastic rig.

Sources: D. C. Giancoli, Physics, 7th edition, problem 9-21; F. P. Beer & E. R. Johnston, Vector
Mechanics for Engineers: Statics, problems 6.95 and 6.96 (text and weights read, dimensions and
answers from memory); a public forum's engineering analysis of a weight-distributing hitch, 2004; an
open collection of worked mechanics problems. Rigid statics: stations in one line, attitude nil.
"""

from typing import Any

import numpy as np
import pytest
from tests.rigs import one, plain, solved

from steelyard.quantity import FOOT, GRAVITY, INCH, POUND
from steelyard.quantity.constants import POUND_FORCE
from steelyard.rig import Rig
from steelyard.statics import lever
from steelyard.statics.loads import Loads

pytestmark = pytest.mark.seen

BARS = {"arm": 1.7 * FOOT, "tip_rate": 60e3, "preset": 0.0}


def pickup(**more: Any) -> Rig:
    """Beer & Johnston: truck 2,900 lb, wheelbase 9 ft, ball 3 ft behind; trailer 2,400 lb."""
    return plain(
        vehicle=2900 * POUND,
        vehicle_cg=4 * FOOT,
        wheelbase=9 * FOOT,
        overhang=3 * FOOT,
        weight=2400 * POUND,
        cg=9 * FOOT,
        axles=(11 * FOOT,),
        **more,
    )


def with_moment(rig: Rig, moment: float) -> Loads:
    """The rig with its bars set to a moment (N m): once they pull, it is linear in the preset."""

    def pull(preset: float) -> float:
        return one(solved(rig, hitch__bars__preset=preset).bar_moment)

    low, high = pull(0.2), pull(0.3)
    assert low > 0
    preset = 0.2 + 0.1 * (moment - low) / (high - low)
    return solved(rig, hitch__bars__preset=preset)


class TestTrailerOnTruck:
    """Giancoli 9-21 (ST-1): 2,500 kg, 5.5 m behind the support and 2.5 m ahead of the tyres."""

    def test_closed_form(self) -> None:
        """The support carries 7,656 N and the tyres 16,844 N, with the book's g of 9.8."""
        weight = 2500 * 9.8
        support = lever.tongue_weight(weight, weight * 5.5, 8.0)
        assert support == pytest.approx(7656, abs=1)
        assert weight - support == pytest.approx(16844, abs=1)

    def test_elastic(self) -> None:
        """So they do when the trailer hangs on an elastic vehicle."""
        found = solved(plain(weight=2500, cg=5.5, axles=(8.0,)))
        book = 9.8 / GRAVITY
        assert one(found.tongue) * book == pytest.approx(7656, abs=1)
        assert one(found.trailer_axles[0]) * book == pytest.approx(16844, abs=1)


class TestPickupFromMemory:
    """Beer & Johnston 6.95 (ST-2) and 6.96 (ST-3); answers from memory, recomputed. Pounds."""

    B = 30 * 64.8649 * POUND_FORCE * FOOT
    """Bar moment: +2 D on each truck axle asks T = 4 D, B = 2 D L + T h = 30 D; D = 64.865 lb."""

    def test_bars_off_closed_form_from_memory(self) -> None:
        """436.4 lb on the ball; 982 lb on one trailer wheel."""
        tongue = lever.tongue_weight(2400, 2400 * 9, 11)
        assert tongue == pytest.approx(436.4, abs=0.1)
        assert (2400 - tongue) / 2 == pytest.approx(982, abs=0.5)

    def test_bars_off_elastic_from_memory(self) -> None:
        """The elastic rig gives the same, and the same changes of the truck's wheels."""
        found = solved(pickup())
        half = [one(x) / POUND_FORCE / 2 for x in (*found.trailer_axles, found.rear, found.front)]
        assert half == pytest.approx([982, 935, 733], abs=0.5)
        added = (one(found.rear - found.rear_alone), one(found.front - found.front_alone))
        assert np.array(added) / POUND_FORCE / 2 == pytest.approx([291, -72.7], abs=0.5)

    def test_bars_on_closed_form_from_memory(self) -> None:
        """436 lb bars off, 259 net, 1,404 at the ball; a chain pulls 572 lb."""
        tongue, moment = 4800 / 11, self.B / POUND_FORCE / FOOT
        net = lever.net_coupling_force(tongue, moment, 11)
        assert net == pytest.approx(259, abs=0.5)
        assert lever.ball_contact(net, moment, 1.7) == pytest.approx(1404, abs=0.5)
        assert moment / 1.7 / 2 == pytest.approx(572, abs=0.5)

    def test_bars_on_elastic_from_memory(self) -> None:
        """The elastic rig names the three forces apart, and loads the wheels as printed."""
        found = with_moment(pickup(bars=BARS), self.B)
        three = [one(x) / POUND_FORCE for x in (found.tongue, found.net, found.contact)]
        assert three == pytest.approx([436, 259, 1404], abs=0.5)
        assert one(found.bar_moment) / BARS["arm"] / 2 / POUND_FORCE == pytest.approx(572, abs=0.5)
        half = [one(x) / POUND_FORCE / 2 for x in (*found.trailer_axles, found.rear, found.front)]
        assert half == pytest.approx([1070, 709, 870], abs=0.5)


class TestForumBars:
    """Forum analysis of 2004 (ST-4): 30 in bars, 1,000 lb a chain; 130, 65 and 200 in."""

    B = 2 * 1000 * 30

    @staticmethod
    def _changes() -> tuple[float, float, float]:
        bars = {**BARS, "arm": 30 * INCH}
        rig = plain(
            wheelbase=130 * INCH, overhang=65 * INCH, cg=180 * INCH, axles=(200 * INCH,), bars=bars
        )
        moment = TestForumBars.B * POUND_FORCE * INCH
        on = with_moment(rig, moment)
        rear_off = one(on.vehicle + on.tongue - on.front_off)
        pairs = (
            (on.front, on.front_off),
            (on.rear, rear_off),
            (on.trailer_axles[0], on.trailer - on.tongue),
        )
        front, rear, trailer = (one(np.asarray(a - b)) / POUND_FORCE for a, b in pairs)
        return front, rear, trailer

    def test_on_the_trailer_axle(self) -> None:
        """The bars put 300 lb on the trailer's axle."""
        assert self._changes()[2] == pytest.approx(300, abs=0.1)

    def test_on_the_vehicle_computed(self) -> None:
        """They move 611.5 lb onto the front axle and 911.5 lb off the rear; in all nothing."""
        front, rear, trailer = self._changes()
        assert (front, rear) == pytest.approx((611.5, -911.5), abs=0.1)
        assert front + rear + trailer == pytest.approx(0, abs=1e-6)


class TestWheelbarrow:
    """Open worked problem (ST-7): 120 lb, 15 in from the wheel, hands at 50 in."""

    def test_both_closed_forms(self) -> None:
        """The hands lift 36 lb and the wheel carries 84: as a beam, and as a trailer's tongue."""
        assert lever.axle_loads(120, 120 * 15, 50) == pytest.approx((84, 36))
        assert lever.tongue_weight(120, 120 * 35, 50) == pytest.approx(36)

    def test_elastic(self) -> None:
        """A trailer with its wheel 50 in behind the ball is a wheelbarrow."""
        found = solved(plain(weight=120 * POUND, cg=35 * INCH, axles=(50 * INCH,)))
        assert one(found.tongue) / POUND_FORCE == pytest.approx(36, abs=1e-6)


class TestRestorationComputed:
    """WDH-5 (computed from rigid statics): 3.5 m, 1.2 m, 5 m, 4,000 N on the ball. Newtons."""

    CASES = (
        (0.5, 1935.48, -685.71, 4298.62, 387.10),
        (1.0, 3870.97, 0.0, 3225.81, 774.19),
    )

    @pytest.mark.parametrize(("share", "moment", "front", "rear", "axle"), CASES)
    def test_elastic_computed(
        self, share: float, moment: float, front: float, rear: float, axle: float
    ) -> None:
        """Bars set to that restoration pull that moment, whatever the springs."""
        bars = {"arm": 0.7, "tip_rate": 90e3, "restoration": share}
        weight = 4000 / GRAVITY * 8
        rig = plain(
            wheelbase=3.5, overhang=1.2, weight=weight, cg=5 * 7 / 8, axles=(5.0,), bars=bars
        )
        found = solved(rig)
        assert one(found.tongue) == pytest.approx(4000, abs=1e-6)
        assert one(found.bar_moment) == pytest.approx(moment, abs=0.01)
        assert one(found.restoration) == pytest.approx(share, abs=1e-9)
        assert one(found.front - found.front_alone) == pytest.approx(front, abs=0.01)
        assert one(found.rear - found.rear_alone) == pytest.approx(rear, abs=0.01)
        assert one(found.tongue - found.net) == pytest.approx(axle, abs=0.01)
