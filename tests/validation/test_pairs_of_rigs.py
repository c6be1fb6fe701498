"""Pairs of rigs that differ in one thing: sign and size of the tongue weight's change by hand.

Source: the lever, worked by hand in each test (exact rigid statics; vehicle and trailer typical,
numbers assumed). Both rigs of a pair are drawn from the same base points, so that the difference
carries no sampling noise.
"""

from typing import Any

import numpy as np
import pytest
from tests.rigs import COMPLETE, one, plain, solved

from steelyard.estimate import Array, draws
from steelyard.quantity import GRAVITY
from steelyard.rig import Rig
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior

EMPTY = {"weight": {"value": "2900 kg +- 60 kg", "includes": COMPLETE}, "cg": "4.5 m +- 0.2 m"}


def spread_rig(axle: str = "5.1 m +- 0.05 m", **items: tuple[str, str]) -> Rig:
    """An ordinary tandem of spread numbers with items (weight, station) on the trailer."""
    things: dict[str, Any] = {
        name: {"weight": weight, "place": name, "station": station}
        for name, (weight, station) in items.items()
    }
    return Rig.model_validate(
        {
            "everything_listed": True,
            "vehicle": {"class": "half-ton-crew-cab"},
            "trailer": {
                "style": "rear-living",
                "empty": EMPTY,
                "axles": {"count": 2, "station": axle},
            },
            "places": {name: {"station": station} for name, (_, station) in items.items()},
            "items": things,
        }
    )


def tongue(rig: Rig) -> Array:
    """Draws of the tongue weight, N."""
    belief = prior(rig).estimate
    return np.asarray(loads(rig, belief.values(draws(belief, 4096, seed=0))).tongue[0])


def band(difference: Array) -> tuple[float, float]:
    """95 % band."""
    low, high = np.percentile(difference, (2.5, 97.5))
    return float(low), float(high)


class TestExactPairs:
    """Pairs of exact rigs: the difference is the lever's, to the newton."""

    W = 3000 * GRAVITY

    def test_axles_half_a_metre_back(self) -> None:
        """W = 3,000 kg at 4.5 m: axles from 5.1 to 5.6 m add W 4.5 (1/5.1 - 1/5.6) = 2.3 kN."""
        near, far = (one(solved(plain(axles=(s,))).tongue) for s in (5.1, 5.6))
        assert far - near == pytest.approx(self.W * 4.5 * (1 / 5.1 - 1 / 5.6), abs=0.01)

    def test_mass_behind_the_axle(self) -> None:
        """100 kg at 7.5 m behind an axle at 5.1 m take 100 g (7.5/5.1 - 1) = 462 N off the ball."""
        rig = plain(items={"bikes": ("trailer", 100.0, 7.5)})
        change = one(solved(rig).tongue) - one(solved(plain()).tongue)
        assert change == pytest.approx(-100 * GRAVITY * (7.5 / 5.1 - 1), abs=0.01)

    def test_mass_moved_through_the_axle(self) -> None:
        """120 kg moved from 1.0 m to 7.0 m take 120 g 6.0/5.1 = 1,384 N off the ball."""
        front, back = (
            one(solved(plain(items={"water": ("trailer", 120.0, s)})).tongue) for s in (1.0, 7.0)
        )
        assert back - front == pytest.approx(-120 * GRAVITY * 6.0 / 5.1, abs=0.01)

    def test_mass_over_the_axle(self) -> None:
        """200 kg over the axle change nothing on the ball: all of it is on the tyres."""
        bare, loaded = solved(plain()), solved(plain(items={"tank": ("trailer", 200.0, 5.1)}))
        assert one(loaded.tongue) == pytest.approx(one(bare.tongue), abs=0.01)
        added = one(loaded.trailer_axles[0]) - one(bare.trailer_axles[0])
        assert added == pytest.approx(200 * GRAVITY, abs=0.01)


class TestDrawnPairs:
    """Pairs of uncertain rigs: the 95 % band of the difference holds the lever's, with its sign."""

    def test_axles_half_a_metre_back(self) -> None:
        """Axle place 5.1 or 5.6 m: +2.2 kN on the ball; the band is all above zero."""
        low, high = band(tongue(spread_rig("5.6 m +- 0.05 m")) - tongue(spread_rig()))
        by_hand = 2900 * GRAVITY * 4.5 * (1 / 5.1 - 1 / 5.6)
        assert 0 < low < by_hand < high
        assert high - low < 0.5 * by_hand

    def test_mass_behind_the_axles(self) -> None:
        """150 kg of cargo, give or take 15, at 7.4 or at 8.4 m: -150 g 1.0/5.1 = -288 N."""
        near = spread_rig(cargo=("150 kg +- 15 kg", "7.4 m +- 0.05 m"))
        far = spread_rig(cargo=("150 kg +- 15 kg", "8.4 m +- 0.05 m"))
        low, high = band(tongue(far) - tongue(near))
        by_hand = -150 * GRAVITY * 1.0 / 5.1
        assert low < by_hand < high < 0
        assert high - low < 0.4 * abs(by_hand)

    def test_more_mass_behind_the_axles(self) -> None:
        """80 or 160 kg at 8.0 m: -80 g (8.0/5.1 - 1) = -446 N."""
        light = spread_rig(cargo=("80 kg +- 8 kg", "8.0 m +- 0.05 m"))
        heavy = spread_rig(cargo=("160 kg +- 16 kg", "8.0 m +- 0.05 m"))
        low, high = band(tongue(heavy) - tongue(light))
        by_hand = -80 * GRAVITY * (8.0 / 5.1 - 1)
        assert low < by_hand < high < 0

    def test_mass_ahead_of_the_axles(self) -> None:
        """The same 80 kg at 1.0 m instead: +80 g (1 - 1.0/5.1) = +631 N."""
        light = spread_rig(cargo=("80 kg +- 8 kg", "1.0 m +- 0.05 m"))
        heavy = spread_rig(cargo=("160 kg +- 16 kg", "1.0 m +- 0.05 m"))
        low, high = band(tongue(heavy) - tongue(light))
        assert 0 < low < 80 * GRAVITY * (1 - 1.0 / 5.1) < high


class TestBallHeight:
    """Raising the ball: both signs, none of them a rule. dT/dphi = W [(z_cg - z_b)/s_a
    + s (z_b - z_hub)/s_a^2], phi = -raise/s_a."""

    def test_equalised_takes_a_little_off_by_the_height_of_the_centre(self) -> None:
        """An equalised trailer whose centre is 0.5 m above the ball loses tongue weight as the ball
        rises, by the derivative above to 2 %, a few kilograms in ten centimetres."""
        z, hub, s, s_a = 0.55, 0.36, 4.5, 5.1
        low, high = (
            solved(
                plain(ball=ball, coupler=z, height=z + 0.5, axles=(4.65, 5.55)),
                trailer__hub_height=hub,
            )
            for ball in (z - 0.01, z + 0.01)
        )
        turned = one(high.heights.trailer_pitch) - one(low.heights.trailer_pitch)
        change = one(high.tongue) - one(low.tongue)
        by_hand = 3000 * GRAVITY * (0.5 / s_a + s * (z - hub) / s_a**2) * turned
        assert turned == pytest.approx(-0.02 / s_a, rel=0.05)
        assert change == pytest.approx(by_hand, rel=0.02)
        assert -0.01 * 3000 * GRAVITY < 5 * change < 0

    def test_a_low_centre_turns_the_sign(self) -> None:
        """With the centre far enough below the ball the same rise adds tongue weight."""
        low, high = (
            solved(plain(ball=ball, coupler=0.9, height=0.35), trailer__hub_height=0.85)
            for ball in (0.89, 0.91)
        )
        assert one(high.tongue) > one(low.tongue)

    def test_independent_axles_put_some_on(self) -> None:
        """On independent axles of rate k, the vehicle stiff, a ball raised by d takes load off the
        first axle, adds to the last, and adds k d (s2 - s1)^2/(s1^2 + s2^2) to the ball."""
        s1, s2, k, d = 4.65, 5.55, 200e3, 0.02
        low, high = (
            solved(
                plain(
                    ball=ball,
                    coupler=0.55,
                    height=ball,
                    axles=(s1, s2),
                    suspension="independent",
                    axle_rate=k,
                    front_rate=1e9,
                    rear_rate=1e9,
                )
            )
            for ball in (0.55 - d / 2, 0.55 + d / 2)
        )
        by_hand = k * d * (s2 - s1) ** 2 / (s1**2 + s2**2)
        assert one(high.tongue) - one(low.tongue) == pytest.approx(by_hand, rel=0.002)
        first, last = (
            one(b) - one(a) for a, b in zip(low.trailer_axles, high.trailer_axles, strict=True)
        )
        assert first < 0 < last

    def test_equalised_level_centre_does_not_care(self) -> None:
        """Equalised, with centre and hubs at the ball's height, the ball's height is no matter."""
        low, high = (solved(plain(ball=b, height=b, axles=(4.65, 5.55))) for b in (0.45, 0.65))
        assert one(high.tongue) == pytest.approx(one(low.tongue), abs=1e-6)
