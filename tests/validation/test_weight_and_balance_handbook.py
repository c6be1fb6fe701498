"""Moment algebra of aircraft handbooks, mapped to a trailer.

Sources: FAA-H-8083-1 (Aircraft Weight and Balance Handbook), FAA-H-8083-25 (Pilot's Handbook of
Aeronautical Knowledge, chapter 10) and FAA-H-8083-30 (AMT Handbook, General, chapter 4), and one
FAA mechanic test item. The ball is the datum and the nose wheel, the trailer's axle the main
wheels, tongue weight the nose-wheel load; pounds and inches throughout. Rows on percent of chord
have no counterpart on a trailer and are left out.
"""

import pytest
from tests.rigs import one, plain, solved

from steelyard.quantity import INCH, POUND
from steelyard.statics import lever

pytestmark = pytest.mark.seen

AXLE = 200.0
"""in from ball to axle in the made-up trailers that stand in for an aeroplane."""


class TestNoseWheel:
    """FAA-2: nose wheel 340 lb, 78 in ahead of the mains, 2,006 lb in all; CG 13.2 in ahead."""

    def test_tongue_weight_is_this_inverted(self) -> None:
        """T = W x/L: a CG 13.2203 in ahead of the axle puts 340 lb on the ball."""
        tongue = lever.tongue_weight(2006, 2006 * (78 - 13.2203), 78)
        assert tongue == pytest.approx(340, abs=0.002)
        assert tongue * 78 / 2006 == pytest.approx(13.2, abs=0.05)

    def test_through_the_elastic_rig(self) -> None:
        """A trailer of those numbers behind an elastic vehicle gives the handbook's CG back."""
        rig = plain(weight=2006 * POUND, cg=(78 - 13.2203) * INCH, axles=(78 * INCH,))
        share = one(solved(rig).share)
        assert 78 * share == pytest.approx(13.2203, abs=1e-6)


class TestBeam:
    """Weighings of a beam on two supports."""

    def test_weighing_from_memory(self) -> None:
        """FAA-1 (scale readings read, answer from memory): net 1,331.5 lb, CG +50.09 in.

        The aeroplane as weighed is that empty one, 177 lb of fuel at 95 in, less 6 lb at 98 in; it
        stands on 222.5 lb at -30 in and 1,280 lb at +70 in.
        """
        weight = 1331.5 + 30 * 5.9 - 6
        moment = 1331.5 * 50.0923 + 177 * 95 - 6 * 98
        nose, mains = lever.axle_loads(weight, moment + 30 * weight, 100)
        assert nose == pytest.approx(222.5, abs=0.01)
        assert mains == pytest.approx(1280, abs=0.01)

    def test_tail_wheel_from_memory(self) -> None:
        """FAA-4: 67 lb on a tail wheel 222 in behind the mains at 7.5 in puts the CG at 19.7 in."""
        _, tail = lever.axle_loads(1218, 1218 * (19.712 - 7.5), 222)
        assert tail == pytest.approx(67, abs=0.01)

    def test_three_weights_from_memory(self) -> None:
        """FAA-5 (72 in read, weights from memory): balanced on its axle a trailer has no tongue
        weight; moving B 55 in forward shifts the balance to 50 in."""
        weight, moment = 500, 200 * 80 + 200 * 100
        assert lever.tongue_weight(weight, moment, 72) == pytest.approx(0)
        assert lever.tongue_weight(weight, moment - 200 * 55, 50) == pytest.approx(0)


def cg_after(weight: float, cg: float, put: float, start: float | None, end: float | None) -> float:
    """CG that the tongue weight of an elastic rig betrays after `put` lb went from start to end.

    `weight` and `cg` are as the row states them, before; a start or end of None is off the trailer.
    """
    aboard = put if start is not None else 0.0
    rest = weight - aboard
    items = {
        name: ("trailer", put * POUND, at * INCH)
        for name, at in (("start", start), ("end", end))
        if at is not None
    }
    rig = plain(
        weight=rest * POUND,
        cg=(weight * cg - aboard * (start or 0.0)) / rest * INCH,
        axles=(AXLE * INCH,),
        items=items,
        stages={"after": {"without": ["start"] if start is not None else []}},
    )
    return AXLE * (1 - one(solved(rig).share))


class TestShiftedWeights:
    """Adding, removing and moving weights, through masses, springs and the tongue share."""

    def test_moved(self) -> None:
        """FAA-6: 100 lb from 30 to 150 in on 8,000 lb at 77.0 in moves the CG to 78.5 in."""
        assert cg_after(8000, 77.0, 100, 30, 150) == pytest.approx(78.5, abs=1e-9)

    def test_moved_to_a_limit(self) -> None:
        """FAA-7: 65 lb from 150 to 30 in brings 7,800 lb from 81.5 to the limit of 80.5 in."""
        assert cg_after(7800, 81.5, 65, 150, 30) == pytest.approx(80.5, abs=1e-9)

    def test_added_to_a_limit(self) -> None:
        """FAA-11: 207.1 lb at 130 in bring 2,900 lb from 115.0 to 116.0 in."""
        assert cg_after(2900, 115.0, 207.1, None, 130) == pytest.approx(116.0, abs=5e-4)

    def test_ballast(self) -> None:
        """FAA-13 (test item): 57.16 lb at 162 in bring 4,954 lb from 30.5 to 32.0 in."""
        assert cg_after(4954, 30.5, 57.16, None, 162) == pytest.approx(32.0, abs=5e-4)

    def test_added_and_removed_from_memory(self) -> None:
        """FAA-9 and 10: 140 lb at 150 in move 6,860 lb to 81.4; without 100 lb there 6,100 lb
        stand at 76.8 in."""
        assert cg_after(6860, 80.0, 140, None, 150) == pytest.approx(81.4, abs=1e-9)
        assert cg_after(6100, 78.0, 100, 150, None) == pytest.approx(76.8, abs=1e-9)
