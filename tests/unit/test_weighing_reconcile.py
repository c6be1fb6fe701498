"""Reconciling a ticket: what is believed after it, what is told, and what does not leak."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.stats import binom
from tests import weighings
from tests.weighings import fender, hitch_scale, platform, ticket

from steelyard.estimate import Array, propagate
from steelyard.quantity import POUND, Z95
from steelyard.rig import Rig
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior
from steelyard.travel import plan_stages
from steelyard.weighing.laid_ticket import Weighed, lay
from steelyard.weighing.pass_differences import stepped, steps
from steelyard.weighing.reconcile import Reconciled, judge, reconcile
from steelyard.weighing.ticket import Ticket
from steelyard.words.weighed import agreement, step_lines


def told(laid: Weighed, found: Reconciled, name: str = "off") -> tuple[Array, Array]:
    """Share, tongue (kg) and trailer (kg) at a pass's load, with their sd."""
    linear = propagate(found.full, lambda v: weighings.answers(laid, v, name))
    return linear.mean, linear.sd


def expected(rig: Rig, asked: Ticket) -> list[float]:
    """What the rig file alone expects every reading to be, SI."""
    laid = lay(rig, asked)
    return [float(x) for x in weighings.shown(laid, laid.prior.at_mean())[:, 0]]


class TestOneReading:
    """A single number sharpens what it speaks of."""

    def test_fewer_readings_than_unknowns(self) -> None:
        """One hitch-scale reading works from the prior and is all but followed."""
        rig = weighings.rig("boat")
        found = reconcile(rig, ticket({"off": {"readings": [hitch_scale(weight="420 lb")]}}))
        assert found.whole.degrees == 1
        assert found.agrees
        mean, sd = told(found.weighed, found)
        assert mean[1] / POUND == pytest.approx(420, abs=10)
        assert 0 < Z95 * sd[1] / POUND < 25

    def test_never_wider(self) -> None:
        """No parameter is known less after a weighing than before."""
        laid = lay(weighings.rig("camper"), weighings.three_passes("leave"))
        found = judge(weighings.reading(laid, weighings.truths(laid, 2, seed=1)[1][:, 0]))
        assert np.all(found.full.sd <= laid.prior.sd * (1 + 1e-9))

    def test_order_of_passes(self) -> None:
        """Passes entered in another order tell the same."""
        rig = weighings.rig("boat")
        asked = weighings.three_passes()
        numbers = expected(rig, asked)
        first = judge(weighings.reading(lay(rig, asked), numbers)).posterior
        turned = asked.model_copy(update={"passes": dict(reversed(list(asked.passes.items())))})
        second = judge(weighings.reading(lay(rig, turned), expected(rig, turned))).posterior
        assert first.names == second.names
        assert (first.mean - second.mean) / first.sd == pytest.approx(0, abs=1e-6)


class TestLeaks:
    """What was aboard at the scale is the weighing's own business."""

    @staticmethod
    def _moved(asked: Ticket) -> dict[str, tuple[float, float]]:
        """By how many sd each level of the rig's own stages moved, and its sd over the prior's."""
        laid = lay(weighings.rig("camper"), asked)
        found = judge(weighings.reading(laid, weighings.truths(laid, 2, seed=1)[1][:, 1]))
        before, after = prior(laid.rig).estimate, found.posterior
        return {
            name: (
                float((after.mean - before.mean)[i] / before.sd[i]),
                float(after.sd[i] / before.sd[i]),
            )
            for i, name in enumerate(before.names)
            if name.startswith("stages.")
        }

    @pytest.mark.parametrize("stage", ["leave", None])
    def test_levels_of_the_rigs_stages(self, stage: str | None) -> None:
        """The levels of the rig's own stages keep the mean and sd they had before."""
        whole = weighings.three_passes(stage)
        passes = {name: one for name, one in whole.passes.items() if name != "on"}
        for moved, left in self._moved(whole.model_copy(update={"passes": passes})).values():
            assert moved == pytest.approx(0, abs=1e-9)
            assert left == pytest.approx(1, rel=1e-9)

    def test_the_stage_the_bars_were_set_at(self) -> None:
        """Bars tell a little of the load they were set at: there alone, and hardly.

        How far they are set rests on what they were to give back at that stage's load.
        """
        for name, (moved, left) in self._moved(weighings.three_passes("leave")).items():
            slack = 0.02 if ".leave." in name else 1e-9
            assert moved == pytest.approx(0, abs=slack)
            assert left == pytest.approx(1, rel=slack)

    def test_only_the_rigs_parameters_are_kept(self) -> None:
        """The posterior speaks of the rig's parameters, by name and in order, and no others."""
        rig = weighings.rig("camper")
        found = reconcile(rig, weighings.three_passes("leave"))
        assert found.posterior.names == prior(rig).estimate.names

    def test_stage_of_a_ticket_like_name(self) -> None:
        """A rig whose own stage is called `ticket 1` keeps it apart from the weighing's."""
        named = {**weighings.CAMPER, "stages": {"ticket 1": {"tanks": {"fresh": "full"}}}}
        rig = Rig.model_validate(named)
        off = {"tanks": {"fresh": "empty"}, "readings": [platform("all")]}
        empty = expected(rig, ticket({"a": off}))[0]
        full = expected(rig, ticket({"a": {**off, "tanks": {"fresh": "full"}}}))[0]
        assert (full - empty) / POUND == pytest.approx(45 * 8.34, rel=0.02)

    def test_people_on_the_tailgate(self) -> None:
        """Weights put on for one pass weigh in that pass only, where they stood."""
        added = {"two": {"weight": "160 kg", "station": "4.9 m"}}
        pads = [platform("front"), platform("rear")]
        asked = ticket(
            {
                "before": {"arrangement": "vehicle-alone", "readings": pads},
                "after": {"arrangement": "vehicle-alone", "added": added, "readings": pads},
            }
        )
        before, after = np.array(expected(weighings.rig("boat"), asked)).reshape(2, 2)
        assert np.sum(after - before) == pytest.approx(160, rel=1e-6)
        assert after[0] < before[0]


@pytest.fixture(scope="module")
def laid() -> Weighed:
    """Give the standard ticket on the camper."""
    return lay(weighings.rig("camper"), weighings.three_passes("leave"))


class TestSuspect:
    """The reading that does not belong, and what is believed without it."""

    def test_nothing_wrong(self, laid: Weighed) -> None:
        """Readings just as expected agree, and none is suspect."""
        v = laid.prior.at_mean()
        found = judge(weighings.reading(laid, weighings.shown(laid, v)[:, 0]))
        assert found.agrees
        assert found.suspect is None
        assert found.without is None
        assert found.whole.chi_square == pytest.approx(0, abs=1e-9)

    def test_misread(self, laid: Weighed) -> None:
        """300 lb too much on one pad is found, and told as about 300 lb too high."""
        numbers = weighings.shown(laid, laid.prior.at_mean())[:, 0]
        numbers[1] += 300 * POUND
        found = judge(weighings.reading(laid, numbers))
        assert not found.agrees
        assert found.suspect is not None
        assert found.suspect.name == "off: rear axle"
        assert found.suspect.error / POUND == pytest.approx(300, abs=15)
        assert found.without is not None
        before = [laid.prior.index[name] for name in found.without.names]
        moved = (found.without.mean - laid.prior.mean[before]) / laid.prior.sd[before]
        assert moved == pytest.approx(0, abs=0.02)

    @pytest.mark.parametrize("name", ["boat", "cargo", "camper"])
    def test_a_misread_is_told_by_what_it_is_off(self, name: str) -> None:
        """Five readings as the file expects them but one, 250 kg too high: the others say nothing
        new, so it is off by just that."""
        bare = {"arrangement": "vehicle-alone", "readings": [platform("front"), platform("rear")]}
        pads = [platform("front"), platform("rear"), platform("trailer")]
        rig = weighings.rig(name)
        asked = ticket({"off": {"bars": "off", "readings": pads}, "alone": bare})
        numbers = expected(rig, asked)
        numbers[1] += 250.0
        found = judge(weighings.reading(lay(rig, asked), numbers))
        assert found.suspect is found.readings[1]
        assert found.suspect is not None
        assert found.suspect.error == pytest.approx(250.0, abs=1e-3)

    @pytest.mark.parametrize(
        ("far_off", "named", "agrees"), [(2.8, False, True), (3.1, True, True), (6.0, True, False)]
    )
    def test_how_far(self, laid: Weighed, far_off: float, *, named: bool, agrees: bool) -> None:
        """One reading in nine is called the suspect from about three sd, where its being wrong is
        the likelier, whether or not all together disagree at 1 %."""
        numbers = weighings.shown(laid, laid.prior.at_mean())[:, 0]
        assert len(numbers) == 9
        one = judge(weighings.reading(laid, numbers)).readings[1]
        numbers[1] += far_off * one.error_sd
        found = judge(weighings.reading(laid, numbers))
        assert abs(found.readings[1].standardised) == pytest.approx(far_off, rel=0.02)
        assert (found.suspect is found.readings[1]) is named
        assert found.whole.holds is agrees

    def test_read_twice(self) -> None:
        """Of one pad read twice only the wrong reading is left out, not its namesake."""
        rig = weighings.rig("camper")
        asked = weighings.three_passes("leave")
        first = asked.passes["off"]
        twice = first.model_copy(update={"readings": (*first.readings, first.readings[1])})
        laid = lay(rig, asked.model_copy(update={"passes": {**asked.passes, "off": twice}}))
        numbers = weighings.shown(laid, laid.prior.at_mean())[:, 0]
        numbers[1] += 300 * POUND
        found = judge(weighings.reading(laid, numbers))
        assert found.suspect is found.readings[1]
        rest = lay(rig, asked)
        once = [0, 4, 2, 3, *range(5, len(numbers))]
        right = judge(weighings.reading(rest, numbers[once]))
        assert found.without is not None
        gap = (found.without.mean - right.posterior.mean) / right.posterior.sd
        assert gap == pytest.approx(0, abs=1e-5)

    def test_contradictory_passes(self) -> None:
        """Axles that do not add up to the whole do not agree, and one of them is suspect."""
        pads = [platform("front"), platform("rear"), platform("trailer"), platform("all")]
        laid = lay(weighings.rig("camper"), ticket({"off": {"readings": pads}}))
        numbers = weighings.shown(laid, laid.prior.at_mean())[:, 0]
        found = judge(weighings.reading(laid, numbers + np.array([0, 0, 0, 900.0])))
        assert not found.agrees
        assert found.suspect is not None
        assert found.whole.chance < 1e-6


class TestStep:
    """Two passes over one platform with one load: bars move weight about, they add none."""

    @staticmethod
    def _found(laid: Weighed, pounds: float) -> Reconciled:
        """Readings as expected, with so much more on the rear axle in the pass with bars on."""
        numbers = weighings.shown(laid, laid.prior.at_mean())[:, 0]
        numbers[5] += pounds * POUND
        return judge(weighings.reading(laid, numbers))

    def test_said(self, laid: Weighed) -> None:
        """Totals 40 lb apart are said, with both passes, both totals and how surely: each of six
        readings to 7.7 lb (20 lb steps, 10 lb of repeatability) is 19 lb on the difference."""
        (step,) = steps(self._found(laid, 40).weighed)
        assert (step.first, step.second) == ("off", "on")
        assert (step.second_kg - step.first_kg) / POUND == pytest.approx(40, abs=0.1)
        each = np.hypot(20 / 12**0.5, 10 / Z95)
        assert step.sd_kg / POUND == pytest.approx(6**0.5 * each, rel=1e-3)
        (line,) = step_lines(self._found(laid, 40), "us")
        assert "“off” and “on” weighed the same load" in line
        assert "40 ± 37 lb apart" in line
        first, second = (kg / POUND for kg in (step.first_kg, step.second_kg))
        assert f": {first:,.0f} lb and {second:,.0f} lb in all" in line

    @pytest.mark.parametrize(("pounds", "sd"), [(60, 60 * POUND), (400, 60.0)])
    def test_with_every_axle_on_a_pad(self, pounds: float, sd: float) -> None:
        """Somebody in the vehicle of one pass, whose trailer axles are weighed one by one: each
        pass has a weight of its own of one sd of the step, of 60 kg at most, 0.6 of the wheelbase
        behind the front axle (both assumed); by the lever 6 of 10 kg are on the rear axle."""
        pads = [platform(axle) for axle in ("front", "rear", "trailer-1", "trailer-2")]
        passes = {bars: {"bars": bars, "readings": pads} for bars in ("off", "on")}
        laid = weighings.lay_of("cargo", passes)
        numbers = weighings.shown(laid, laid.prior.at_mean())[:, 0]
        numbers[5] += pounds * POUND
        read = weighings.reading(laid, numbers)
        (step,) = steps(read)
        assert step.second_kg - step.first_kg == pytest.approx(pounds * POUND, abs=0.1)
        wide = stepped(read)
        assert dict(zip(wide.prior.names, wide.prior.sd, strict=True))[
            "ticket.step.on"
        ] == pytest.approx(sd, abs=0.1)
        v = {**wide.prior.at_mean(), "ticket.step.on": np.asarray(10.0)}
        more = weighings.shown(wide, v)[:, 0] - weighings.shown(laid, v)[:, 0]
        assert more == pytest.approx([0, 0, 0, 0, 4, 6, 0, 0])

    def test_not_said(self, laid: Weighed) -> None:
        """Totals as near as the scale can tell are no step, nor is what differs in load: a pass
        with people on the tailgate."""
        assert steps(self._found(laid, 20).weighed) == ()
        pads = [platform("front"), platform("rear")]
        alone = {"arrangement": "vehicle-alone", "readings": pads}
        other = lay(weighings.rig("boat"), ticket({"a": alone, "b": {**alone, "added": TAILGATE}}))
        assert steps(weighings.reading(other, [800.0, 900.0, 780.0, 1080.0])) == ()


class TestUnits:
    """Pounds typed as kilograms."""

    @pytest.mark.parametrize("name", ["camper", "boat", "cargo"])
    @pytest.mark.parametrize(
        ("typed", "how"), [(POUND, "with one conversion fewer"), (1 / POUND, "in lb")]
    )
    def test_whole_ticket(self, name: str, typed: float, how: str) -> None:
        """A ticket in kilograms that were pounds is known for it, and so is one of kilograms taken
        for pounds and made kilograms."""
        rig = weighings.rig(name)
        asked = weighings.three_passes()
        laid = lay(rig, asked)
        numbers = typed * weighings.shown(laid, laid.prior.at_mean())[:, 0]
        found = judge(weighings.reading(laid, numbers))
        assert not found.sound
        assert found.slips[0].found == f"this ticket, which agrees {how}"
        assert agreement(found, "us").startswith("‡ Were the readings written down")

    @pytest.mark.parametrize("which", [0, 2, 3, 5, 7])
    def test_one_reading(self, which: int) -> None:
        """So is one reading taken for pounds among others in kilograms."""
        laid = lay(weighings.rig("camper"), weighings.three_passes("leave"))
        numbers = weighings.shown(laid, laid.prior.at_mean())[:, 0]
        numbers[which] *= POUND
        found = judge(weighings.reading(laid, numbers))
        said = f"“{laid.lines[which].name}”, which agrees with one conversion fewer"
        assert found.slips[0].found == said

    @pytest.mark.parametrize("which", [3, 5, 7])
    def test_one_reading_beside_another_fault(self, which: int) -> None:
        """It is known even where the rest do not agree; a plain blunder is not taken for a unit."""
        laid = lay(weighings.rig("camper"), weighings.three_passes("leave"))
        numbers = weighings.shown(laid, laid.prior.at_mean())[:, 0]
        numbers[0] += 60.0
        assert judge(weighings.reading(laid, numbers)).slips == ()
        numbers[which] *= POUND
        found = judge(weighings.reading(laid, numbers))
        said = f"“{laid.lines[which].name}”, which would fit the others with one conversion fewer"
        assert found.slips[0].found == said

    @pytest.mark.parametrize("off", [0.0, 0.4, 0.7])
    def test_a_pass_of_a_rig_that_is_not_as_its_file_says(self, off: float) -> None:
        """The vehicle alone in pounds taken for kilograms, of one whose ball sits up to 0.7 m from
        where the file has it by tape: the pass is asked about all the same; without the slip,
        nothing is."""
        laid = lay(weighings.rig("camper"), weighings.three_passes("leave"))
        mean = laid.prior.at_mean()
        there = {**mean, "vehicle.overhang": mean["vehicle.overhang"] + off}
        numbers = weighings.shown(laid, there)[:, 0]
        assert judge(weighings.reading(laid, numbers)).slips == ()
        (name,) = (n for n, p in laid.ticket.passes.items() if p.arrangement == "vehicle-alone")
        numbers[[i for i, line in enumerate(laid.lines) if line.pass_name == name]] /= POUND
        first, *_ = judge(weighings.reading(laid, numbers)).slips
        assert first.path == ("passes", name)

    def test_no_hint_where_all_is_well(self) -> None:
        """A ticket that agrees is not asked about its unit."""
        laid = lay(weighings.rig("camper"), weighings.three_passes("leave"))
        numbers = weighings.shown(laid, laid.prior.at_mean())[:, 0]
        assert judge(weighings.reading(laid, numbers)).slips == ()


TAILGATE = {"two": {"weight": "165 kg +- 2 kg", "station": "4.9 m"}}
FENDERS = [fender("front"), fender("rear")]


def tape(name: str, *, bars: bool = False, calibrated: bool = True) -> Ticket:
    """Heights alone, with two people on the tailgate, coupled, and with the bars on."""
    alone: dict[str, Any] = {"arrangement": "vehicle-alone", "readings": FENDERS}
    passes: dict[str, Any] = {"alone": alone, "off": {"bars": "off", "readings": FENDERS}}
    if calibrated:
        passes["tailgate"] = {**alone, "added": TAILGATE}
    if bars:
        passes["on"] = {"bars": "on", "readings": FENDERS}
    stage = next(iter(weighings.rig(name).stages), None)
    return ticket({key: {**one, "stage": stage} for key, one in passes.items()})


class TestTape:
    """No scale: fender heights before and after, and two people of known weight."""

    N = 40

    def _found(self, name: str) -> tuple[Array, Array, Array]:
        """Right tongue weights (kg), told means and sds, over rigs drawn from the prior."""
        laid = lay(weighings.rig(name), tape(name))
        points, seen = weighings.truths(laid, self.N, seed=70)
        right = weighings.answers(laid, laid.prior.values(points))[1]
        judged = [judge(weighings.reading(laid, seen[:, k])) for k in range(self.N)]
        pairs = [told(laid, one) for one in judged]
        return right, np.array([m[1] for m, _ in pairs]), np.array([s[1] for _, s in pairs])

    @pytest.mark.parametrize(("name", "part"), [("boat", 0.3), ("camper", 0.85)])
    def test_tongue_weight(self, name: str, part: float) -> None:
        """The interval holds the truth, and is narrower than what the rig file tells: much so
        where no tongue weight is stated."""
        right, mean, sd = self._found(name)
        inside = int(np.sum(np.abs(mean - right) < Z95 * sd))
        assert inside >= binom.ppf(1e-3, self.N, 0.93)
        laid = lay(weighings.rig(name), tape(name))
        before = propagate(laid.prior, lambda v: weighings.answers(laid, v)).sd[1]
        assert np.median(sd) < part * before

    def test_people_calibrate_the_rate(self) -> None:
        """With two people of known weight the rear rate is known better, and so is the tongue."""
        sds = []
        for calibrated in (True, False):
            asked = tape("boat", calibrated=calibrated)
            laid = lay(weighings.rig("boat"), asked)
            numbers = weighings.shown(laid, laid.prior.at_mean())[:, 0]
            found = judge(weighings.reading(laid, numbers))
            rate = found.full.index["vehicle.rear.rate"]
            sds.append((found.full.sd[rate], told(laid, found)[1][1]))
        (rate, tongue), (loose_rate, loose_tongue) = sds
        assert rate < 0.75 * loose_rate
        assert tongue < 0.9 * loose_tongue

    def test_restored_front_load(self) -> None:
        """Front heights alone, off and on give the share of front load the bars restore."""
        laid = lay(weighings.rig("camper"), tape("camper", bars=True))
        points, seen = weighings.truths(laid, self.N, seed=80)
        plans = tuple(p for p in plan_stages(laid.rig) if p.key == "leave")

        def restored(v: Any) -> Array:
            return np.asarray(loads(laid.rig, v, plans).restoration[0])

        right = restored(laid.prior.values(points))
        inside, sds = 0, []
        for k in range(self.N):
            linear = propagate(judge(weighings.reading(laid, seen[:, k])).full, restored)
            inside += abs(linear.mean - right[k]) < Z95 * linear.sd
            sds.append(float(linear.sd))
        assert inside >= binom.ppf(1e-3, self.N, 0.93)
        assert np.median(sds) < propagate(laid.prior, restored).sd

    def test_one_height_tells_nothing(self) -> None:
        """A single height with nothing to compare it with leaves the tongue weight as it was."""
        boat = weighings.rig("boat").model_copy(update={"everything_listed": True})
        laid = lay(boat, ticket({"off": {"readings": [fender("rear")]}}))
        found = judge(weighings.reading(laid, [0.9]))
        before = propagate(laid.prior, lambda v: weighings.answers(laid, v)).sd[1]
        assert told(laid, found)[1][1] == pytest.approx(before, rel=0.01)


class TestImpossible:
    """Numbers that no rig could give."""

    def test_absurd(self) -> None:
        """No rig of such a file could give them; what it told is left as it was or finite still."""
        passes = {"off": {"readings": [hitch_scale(weight="4000 kg"), platform("all")]}}
        found = reconcile(weighings.rig("boat"), ticket(passes))
        assert not found.sound
        assert np.all(np.isfinite(found.posterior.mean))

    def test_replaced_numbers_keep_the_rest(self) -> None:
        """`replace` of a laid ticket's readings leaves the ticket it was laid from alone."""
        laid = lay(weighings.rig("boat"), weighings.three_passes())
        other = replace(laid, readings=laid.readings[:2], lines=laid.lines[:2])
        assert judge(other).whole.degrees == 2
        assert len(laid.readings) == 9
