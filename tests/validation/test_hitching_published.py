"""Ball and coupler sizes, chain ratings and bar moments against what was published.

Sources: SAE J684 as adopted in COMAR 11.13.08 (least balls, read); UN R55, annex 5 (50 mm ball of
class A50, read); a public forum's engineering analysis of a weight-distributing hitch, 2004
(geometry and trailer axle read). The 2 5/16 in ball for class 4 is not in the text read and is
not claimed.
"""

from typing import Any

import pytest
from tests.rigs import plain

from steelyard.hitching.fit import fit
from steelyard.hitching.result import Match
from steelyard.quantity import INCH, POUND
from steelyard.quantity.constants import POUND_FORCE
from steelyard.rig import Rig

pytestmark = pytest.mark.seen


def ball_match(ball: str, coupler: str, **trailer: Any) -> tuple[Match, dict[str, str]]:
    """The ball in the coupler, and the verdicts of the chain."""
    rig = Rig.model_validate(
        {
            "region": "north-america",
            "vehicle": {"class": "half-ton-crew-cab"},
            "hitch": {"ball": {"size": ball}, "coupler": {"size": coupler}},
            "trailer": {"style": "open-utility", "gvwr": "2000 lb", **trailer},
        }
    )
    found = fit(rig, draws=64)
    match = next(one for one in found.matches if one.name.startswith("ball-in"))
    return match, {standing.name: standing.verdict for _, standing in found.limits}


class TestBalls:
    """SAE J684: 1-7/8 in for class 1, 2 in for classes 2 and 3; UN R55: 50 mm."""

    @pytest.mark.parametrize("size", ["1 7/8 in", "2 in", "50 mm", "2 5/16 in"])
    def test_same_size(self, size: str) -> None:
        """A ball fits the coupler of its own size."""
        assert ball_match(size, size)[0].verdict == "within"

    @pytest.mark.parametrize(
        ("ball", "coupler"),
        [("1 7/8 in", "2 in"), ("50 mm", "2 in"), ("2 in", "50 mm"), ("2 in", "2 5/16 in")],
    )
    def test_other_size(self, ball: str, coupler: str) -> None:
        """Neighbouring sizes do not fit, the 50 mm ball in a 2 in coupler included."""
        assert ball_match(ball, coupler)[0].verdict == "exceeded"

    def test_least_ball(self) -> None:
        """A 1-7/8 in ball holds at 2,000 lb and is too small at 3,500 lb, whatever its coupler."""
        light = ball_match("1 7/8 in", "1 7/8 in")[1]
        heavy = ball_match("1 7/8 in", "1 7/8 in", gvwr="3500 lb")[1]
        assert (light["hitch.ball.size"], heavy["hitch.ball.size"]) == ("within", "exceeded")


def test_bar_moment() -> None:
    """2 x 1,000 lb on 30 in, 60,000 lb in: front +611.5 lb on 130 in, 65 in and 200 in (ST-4).

    A tongue of 2,000 lb takes 1,000 lb off that front axle, so 61.15 % is what those bars give.
    """
    tongue, axle = 2000 * POUND, 200 * INCH
    rig = plain(
        wheelbase=130 * INCH,
        overhang=65 * INCH,
        vehicle=8000 * POUND,
        vehicle_cg=60 * INCH,
        weight=4 * tongue,
        cg=0.75 * axle,
        axles=(axle,),
        bars={"arm": 30 * INCH, "tip_rate": 60e3, "restoration": 0.5},
    )
    bars = fit(rig, restore=0.6115, draws=8).bars
    assert bars is not None
    assert bars.moment is not None
    assert bars.front_load_lost_kg is not None
    # Hubs are not quite at the ball here: pitch moves the lever by a percent or so.
    assert bars.front_load_lost_kg.value / POUND == pytest.approx(1000, rel=0.02)
    scale = bars.front_load_lost_kg.value / (1000 * POUND)
    assert bars.moment.value / scale == pytest.approx(60_000 * POUND_FORCE * INCH, rel=2e-4)
