"""What to weigh next, and what the readings so far cannot tell."""

import numpy as np
import pytest
from scipy.stats import norm
from tests import weighings
from tests.rigs import COMPLETE
from tests.weighings import hitch_scale, platform, ticket

from steelyard.assessment import assess
from steelyard.estimate import Estimate, propagate
from steelyard.fault import FaultError
from steelyard.rig import Rig
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior
from steelyard.travel import crewed, plan_stages
from steelyard.weighing.advise import Advice, _gain, _misjudged, _wrong, next_readings
from steelyard.weighing.laid_ticket import lay
from steelyard.weighing.observe import _pairs, _plain, unobservable
from steelyard.weighing.options import GEAR
from steelyard.weighing.reconcile import Reconciled, judge
from steelyard.weighing.ticket import Ticket


def share_sd(rig: Rig, estimate: Estimate) -> float:
    """The tongue share's sd at the first stage."""
    plans = plan_stages(rig)[:1]
    return float(propagate(estimate, lambda v: loads(rig, v, plans).share[0]).sd)


def as_expected(rig: Rig, asked: Ticket) -> Reconciled:
    """The ticket reconciled with just the numbers that the rig file expects: nothing moves."""
    laid = lay(rig, asked)
    return judge(weighings.reading(laid, weighings.shown(laid, laid.prior.at_mean())[:, 0]))


def named(advice: tuple[Advice, ...]) -> dict[str, Advice]:
    """Advice by what to read."""
    return {one.what: one for one in advice}


READ: dict[str, dict[str, object]] = {
    "hitch scale, bars off": {"bars": "off", "readings": [hitch_scale()]},
    "platform under the rear axle, bars off": {"bars": "off", "readings": [platform("rear")]},
    "platform under the trailer's axles, bars on": {
        "bars": "on",
        "readings": [platform("trailer")],
    },
    "platform under the front axle, vehicle alone": {
        "arrangement": "vehicle-alone",
        "readings": [platform("front")],
    },
    "scale under the coupler, trailer alone": {
        "arrangement": "trailer-alone",
        "readings": [{"kind": "tongue-scale", "station": "0 m", "weight": "300 kg"}],
    },
}


class TestForeseen:
    """The spread that a reading would leave, told before it is taken."""

    @pytest.mark.parametrize("what", READ)
    @pytest.mark.parametrize("name", ["boat", "camper"])
    def test_is_what_the_reading_leaves(self, name: str, what: str) -> None:
        """Linearised at one point, the foreseen sd of the share over the one now is the
        posterior's over the prior's, to 1e-6."""
        rig = crewed(weighings.rig(name))
        stage = next(iter(rig.stages), None)
        estimate = prior(rig).estimate
        foreseen = named(next_readings(rig, estimate))[what]
        one = {**READ[what], **({"stage": stage} if stage else {})}
        after = as_expected(rig, ticket({"one": one}))
        due = share_sd(rig, after.posterior) / share_sd(rig, estimate)
        assert foreseen.share_sd_then / foreseen.share_sd_now == pytest.approx(due, rel=1e-6)

    @pytest.mark.parametrize("name", ["boat", "camper"])
    def test_now_is_the_spread_that_every_answer_tells(self, name: str) -> None:
        """The share is a quotient, and wider drawn than linearised: what is drawn is told."""
        rig = crewed(weighings.rig(name))
        shown = assess(rig).stages[0].tongue.share.sd
        now = next_readings(rig, prior(rig).estimate)[0].share_sd_now
        assert now == pytest.approx(shown, rel=1e-9)

    def test_gain(self) -> None:
        """One reading y = x + e: 1/then = 1/now + 1/noise, and what is tied to x learns too."""
        cov = np.array([[4.0, 3.0], [3.0, 9.0]])
        then = _gain(cov, np.array([[1.0, 0.0]]), np.array([2.0]))
        assert then[0, 0] == pytest.approx(1 / (1 / 4 + 1 / 2))
        assert then[1, 1] == pytest.approx(9 - 3**2 / (4 + 2))


class TestOrder:
    """Best first."""

    def _advice(self, gear: tuple[str, ...] = GEAR) -> tuple[Advice, ...]:
        rig = crewed(weighings.rig("camper"))
        return next_readings(rig, prior(rig).estimate, gear)

    def test_sorted(self) -> None:
        """What leaves the least spread of tongue share comes first, and nothing adds any."""
        sds = [one.share_sd_then for one in self._advice()]
        assert sds == sorted(sds)
        assert all(one.share_sd_then <= one.share_sd_now * (1 + 1e-9) for one in self._advice())

    def test_makes_sense(self) -> None:
        """A scale under the tongue tells more of the share than the front axle or a tank gauge."""
        found = named(self._advice())
        best = found["scale under the coupler, trailer alone"].share_sd_then
        assert best < found["platform under the front axle, bars off"].share_sd_then
        assert best < found["fresh tank gauge"].share_sd_then
        assert best < found["bathroom scale and plank under the coupler"].share_sd_now

    def test_only_with_the_gear_at_hand(self) -> None:
        """With a tape alone only heights are asked for, with nothing nothing."""
        assert {one.gear for one in self._advice(("tape",))} == {"tape"}
        assert {one.gear for one in self._advice(("tape", "wheel"))} == {"tape", "wheel"}
        assert self._advice(()) == ()

    def test_wheels_are_told_by_their_axle(self) -> None:
        """The vehicle's by their end, the trailer's by their number."""
        told = {one.what for one in self._advice(("wheel",))}
        axles = ("the front axle", "the rear axle", "trailer axle 1", "trailer axle 2")
        assert told == {f"wheel scales under both sides of {axle}" for axle in axles}

    def test_every_gear_has_a_use(self) -> None:
        """Each kind of gear that may be named leads to some reading."""
        assert {one.gear for one in self._advice()} == set(GEAR)

    def test_less_is_left_after_a_weighing(self) -> None:
        """What was just weighed is hardly worth weighing again."""
        rig = crewed(weighings.rig("camper"))
        one = {"stage": "leave", "bars": "off", "readings": [hitch_scale()]}
        after = as_expected(rig, ticket({"one": one}))
        again = named(next_readings(rig, after.posterior))["hitch scale, bars off"]
        first = named(next_readings(rig, prior(rig).estimate))["hitch scale, bars off"]
        gain, more = (a.share_sd_now - a.share_sd_then for a in (first, again))
        assert more < 0.5 * gain


class TestWrongVerdict:
    """The chance that a limit is judged on its wrong side."""

    @pytest.mark.parametrize("name", ["boat", "camper", "cargo"])
    def test_falls_or_stays(self, name: str) -> None:
        """No reading is expected to make verdicts worse."""
        rig = crewed(weighings.rig(name))
        for one in next_readings(rig, prior(rig).estimate):
            assert 0 <= one.wrong_then <= one.wrong_now + 1e-6
            assert one.wrong_now <= 1

    @pytest.mark.parametrize("margin", [-3.0, -0.5, 0.0, 0.2, 1.0, 4.0])
    @pytest.mark.parametrize("after", [0.01, 0.3, 0.6, 0.9, 0.9999, 1.0])
    def test_against_draws(self, margin: float, after: float) -> None:
        """The expected chance is what 400,000 draws of mean and truth give, to 0.003."""
        rng = np.random.default_rng(5)
        means = margin + np.sqrt(1 - after**2) * rng.standard_normal(400_000)
        truth = means + after * rng.standard_normal(400_000)
        drawn = np.mean((means > 0) != (truth > 0))
        assert _misjudged(margin, 1.0, after) == pytest.approx(drawn, abs=0.003)

    def test_limits_are_taken_apart(self) -> None:
        """Of two margins 1 and 2 sd from their limits one is misjudged 1 - Phi(1) Phi(2) of the
        time; one that nothing spreads never is."""
        slopes, known = np.array([[1.0, 0.0], [0.0, 1.0], [0.0, 0.0]]), np.diag([4.0, 9.0])
        found = _wrong(slopes, np.array([2.0, -6.0, 0.0]), known, known)
        assert found == pytest.approx(1 - norm.cdf(1.0) * norm.cdf(2.0))

    def test_perfect_knowledge(self) -> None:
        """A margin known exactly is never on the wrong side."""
        assert _misjudged(0.1, 1.0, 0.0) == 0.0


class TestUnobservable:
    """What stays open, in words."""

    def test_things_by_their_names(self) -> None:
        """An item or a person by their own, a tank by its; no path of the file."""
        paths = ("items.bikes.weight", "people.Ada.weight", "stages.home.tanks.fresh")
        assert [*map(_plain, paths)] == ["bikes", "Ada", "what is in the fresh tank"]

    def test_vehicle_or_trailer(self) -> None:
        """One weight of the whole rig cannot tell the trailer's weight from the vehicle's."""
        known = {"class": "half-ton-crew-cab", "weight": "2400 kg +- 150 kg"}
        empty = {"weight": {"value": "2500 kg +- 150 kg", "includes": COMPLETE}}
        rig = Rig.model_validate(
            {
                "everything_listed": True,
                "vehicle": known,
                "trailer": {"style": "rear-living", "empty": empty},
                "people": {"anna": {"seat": "driver", "weight": "70 kg +- 1 kg"}},
            }
        )
        full = {"vehicle_tanks": {"fuel": "full"}, "readings": [platform("all")]}
        words = unobservable(as_expected(rig, ticket({"a": full})))
        pair = {"the empty trailer's weight", "the empty vehicle's weight"}
        assert any(all(name in line for name in pair) for line in words)

    @pytest.mark.parametrize(("left", "named"), [(0.31, [(0, 1)]), (0.29, [])])
    def test_what_was_learnt_is_told_apart(self, left: float, named: list[tuple[int, int]]) -> None:
        """Two weights that trade with each other are named unless either has lost more than 70 %
        of its spread to the readings."""
        tied = np.array([[1.0, -0.9], [-0.9, 1.0]])
        assert _pairs(tied, np.array([left, 0.9])) == named

    def test_the_most_tied_come_first(self) -> None:
        """Of three pairs the two that are tied by more than 0.6 against each other (assumed)."""
        tied = np.array([[1.0, -0.61, -0.6], [-0.61, 1.0, -0.9], [-0.6, -0.9, 1.0]])
        assert _pairs(tied, np.ones(3)) == [(1, 2), (0, 1)]

    def test_a_tank_nobody_looked_into(self) -> None:
        """A tank whose level the weighing left open is named; one whose gauge was read is not."""
        rig = weighings.rig("camper")
        unsaid = {"stage": None, "readings": [platform("all")]}
        words = unobservable(as_expected(rig, ticket({"a": unsaid})))
        assert "fresh" in words[-1]
        gauge = {"kind": "tank-gauge", "tank": "fresh", "level": "50 %", "steps": 20}
        read = {"readings": [platform("all"), gauge]}
        words = unobservable(as_expected(rig, ticket({"a": read})))
        assert not any("full these tanks" in line and "fresh" in line for line in words)

    def test_separate_pads_tell_them_apart(self) -> None:
        """With each axle on its own pad the two weights are told apart."""
        rig = weighings.rig("boat")
        pads = [platform(name) for name in ("front", "rear", "trailer")]
        alone = {"arrangement": "vehicle-alone", "readings": pads[:2]}
        words = unobservable(as_expected(rig, ticket({"a": {"readings": pads}, "b": alone})))
        both = ("the empty trailer's weight", "the empty vehicle's weight")
        assert not any(all(name in line for name in both) for line in words)


def test_unknown_stage() -> None:
    """A stage that the rig does not have is one sentence that names those it has."""
    rig = weighings.rig("camper")
    with pytest.raises(FaultError, match=r'expected one of the stages \(leave.*found "leaf"'):
        next_readings(rig, prior(rig).estimate, stage="leaf")
