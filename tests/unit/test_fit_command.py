"""`steelyard fit`: the sentence, the exit codes, JSON, and input that cannot be."""

import json
import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner, Result

from steelyard.assessment import Spread
from steelyard.cli import main
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.hitching import bars, sold_sizes
from steelyard.hitching.result import Due, Match, Pitch
from steelyard.ratings import Verdict
from steelyard.words.hitching import match_row, pitch_line, turned

WHOLE = """
format = 1
name = "whole"
region = "north-america"
everything_listed = true
[vehicle]
class = "half-ton-crew-cab"
wheelbase = "145 in"
overhang = "52 in"
rear_overhang = "48 in"
width = "79 in"
[hitch]
clearance = "17 in"
[hitch.receiver]
height = "21.5 in"
opening = "2.5 in"
pin = "5/8 in"
rating_trailer = "12000 lb"
rating_tongue = "1200 lb"
[hitch.reducers.sleeve]
shank = "2.5 in"
opening = "2 in"
pin = "5/8 in"
rating_trailer = "9000 lb"
rating_tongue = "900 lb"
[hitch.ball_mount]
shank = "2 in"
pin = "5/8 in"
drop = "2 in"
rating_trailer = "10000 lb"
rating_tongue = "1000 lb"
[hitch.ball]
size = "2 in"
rise = "2.6 in"
rating_trailer = "8000 lb"
[hitch.coupler]
size = "2 in"
rating_trailer = "7000 lb"
[hitch.chains]
rating_each = "5000 lb"
[hitch.jack]
station = "18 in"
flange = "20 in"
retracted = "14 in"
travel = "15 in"
rating = "2000 lb"
[trailer]
style = "small-single-axle"
gvwr = "3500 lb"
coupler_height = "20 in"
box_start = "40 in"
width = "90 in"
length = "16 ft"
frame_angle = "50 deg"
rear_clearance = "17 in"
[trailer.empty]
weight = { value = "2600 lb", kind = "label" }
tongue_weight = "330 lb"
[trailer.axles]
count = 1
station = "9 ft 6 in"
"""


FIFTH = """
format = 1
region = "north-america"
[vehicle]
class = "three-quarter-ton"
overhang = "-2 in"
cab_to_axle = "40 in"
bed_rail_height = "56 in"
[hitch]
kind = "fifth-wheel"
[trailer]
style = "fifth-wheel"
box_start = "-20 in"
width = "96 in"
nose_underside = "61 in"
coupler_height = "47 in"
empty = { weight = "9000 lb" }
"""


def run(folder: Path, text: str, *options: str) -> Result:
    """The command on a rig file of this text."""
    rig = folder / "rig.toml"
    rig.write_text(text, encoding="utf-8")
    return CliRunner().invoke(main, ["fit", str(rig), *options])


def parsed(result: Result) -> dict[str, Any]:
    """The JSON of a run."""
    found: dict[str, Any] = json.loads(result.stdout)
    return found


SMALL = """format = 1
[vehicle]
class = "mid-size-suv"
[hitch.receiver]
rating_trailer = "3500 lb"
rating_tongue = "350 lb"
[trailer]
style = "small-single-axle"
[trailer.empty]
weight = "1900 lb"
tongue_weight = "210 lb"
"""
PINTLE = """[hitch]
kind = "pintle"
[hitch.receiver]"""

BARS = '[hitch.bars]\nrating = "600 lb"\nrestoration = "50 %"\n'


class TestExitCodes:
    """0 fits, 1 something does not, 2 bad input, 3 tight or unknown."""

    def test_fits(self, tmp_path: Path) -> None:
        """All sizes, ratings and heights known, with a wide tolerance: 0, and a sentence."""
        found = run(tmp_path, WHOLE, "--tolerance", "4 in")
        assert found.exit_code == 0, found.output
        first = " ".join(found.output.split("\n\n")[0].split())
        pattern = (
            r"● within: a \S+ in (drop|rise) sets the ball at [\d.]+ ± [\d.]+ in .* level within"
        )
        assert re.match(pattern, first)

    @pytest.mark.parametrize(
        ("old", "new", "named"),
        [
            ('size = "2 in"\nrise', 'size = "1 7/8 in"\nrise', "ball in the coupler"),
            ('rating_tongue = "900 lb"', 'rating_tongue = "200 lb"', "reducer sleeve: tongue"),
            ('travel = "15 in"', 'travel = "4 in"', "jack to couple"),
            ('shank = "2 in"', 'shank = "1 1/4 in"', "ball mount in the reducer sleeve"),
            ('pin = "5/8 in"\ndrop', 'pin = "1/2 in"\ndrop', "hitch pin, receiver and ball mount"),
            ('height = "21.5 in"', 'height = "45 in"', "no step stands level"),
        ],
    )
    def test_does_not_fit(self, tmp_path: Path, old: str, new: str, named: str) -> None:
        """One part that does not fit ends it with 1 and is named in the first paragraph."""
        assert old in WHOLE
        found = run(tmp_path, WHOLE.replace(old, new, 1), "--tolerance", "4 in")
        assert found.exit_code == 1, found.output
        assert named in " ".join(found.output.split("\n\n")[0].split())

    @pytest.mark.parametrize(
        ("old", "new"),
        [
            ('rear_overhang = "48 in"', 'rear_overhang = "95 in"'),
            ('tongue_weight = "330 lb"', 'cg = "9 ft 9 in"'),
        ],
    )
    def test_what_cannot_be_driven_is_exceeded(self, tmp_path: Path, old: str, new: str) -> None:
        """A box that meets the bumper standing straight, and a trailer that lifts the ball, each by
        itself: whatever else fits, it does not."""
        found = parsed(run(tmp_path, WHOLE.replace(old, new), "--tolerance", "4 in", "--json"))
        assert found["verdict"] == "exceeded"
        broken = [
            row["name"]
            for row in (*found["matches"], *found["ratings"])
            if row["verdict"] == "exceeded"
        ]
        assert broken == []
        assert found["height"]["verdict"] != "exceeded"

    @pytest.mark.parametrize("part", ["receiver", "reducers.sleeve", "ball_mount"])
    def test_one_pin_hole_unsaid(self, tmp_path: Path, part: str) -> None:
        """A pair of holes of which one is not measured is not known, whichever it is."""
        head, tail = WHOLE.split(f"[hitch.{part}]\n")
        text = f"{head}[hitch.{part}]\n" + tail.replace('pin = "5/8 in"\n', "", 1)
        rows = parsed(run(tmp_path, text, "--json"))["matches"]
        named = "receiver" if part == "receiver" else part.split(".")[-1].replace("_", " ")
        pins = {row["title"]: row["verdict"] for row in rows if "pin" in row["title"]}
        assert {v for title, v in pins.items() if named in title} == {"unknown"}
        assert {v for title, v in pins.items() if named not in title} <= {"within"}

    def test_bars_are_due_by_what_carries(self, tmp_path: Path) -> None:
        """A receiver short of its carrying rating asks for bars; a ball that is short does not, as
        bars do not lift its rating."""
        for old, new, said in (
            (
                'rating_tongue = "1200 lb"',
                'rating_tongue = { value = "260 lb", sure = true }',
                "due",
            ),
            ('rating_trailer = "8000 lb"', 'rating_trailer = "1000 lb"', "not due"),
        ):
            assert parsed(run(tmp_path, WHOLE.replace(old, new), "--json"))["bars"]["due"] == said

    def test_the_worst_stage_is_told(self, tmp_path: Path) -> None:
        """Of an empty leg and one with 1,500 lb in the nose, the loaded one is where a rating is
        broken, in either order."""
        load = """
[places.nose]
station = "5 ft"
[items.load]
weight = "1500 lb"
place = "nose"
[stages]
{}
"""
        light, heavy = 'light = {{ without = ["load"] }}\n', "heavy = {{}}\n"
        text = WHOLE.replace('rating_trailer = "7000 lb"', 'rating_trailer = "3500 lb"')
        for order in (light + heavy, heavy + light):
            whole = text + load.format(order.replace("{{", "{").replace("}}", "}"))
            rows = {row["name"]: row for row in parsed(run(tmp_path, whole, "--json"))["ratings"]}
            row = rows["hitch.coupler.trailer"]
            assert (row["stage"], row["verdict"]) == ("heavy", "exceeded")

    def test_unknown(self, tmp_path: Path) -> None:
        """A ball of unsaid size is not called a fit."""
        found = run(tmp_path, WHOLE.replace('size = "2 in"\nrise', "rise"), "--tolerance", "4 in")
        assert found.exit_code == 3
        assert "Not known: ball in the coupler" in " ".join(found.output.split())

    @pytest.mark.parametrize(
        ("old", "new", "said"),
        [
            ('height = "21.5 in"', 'height = "95 in"', "hitch.receiver.height"),
            ('rise = "2.6 in"', 'drop = "2 in"', "hitch.ball.drop"),
            ('opening = "2 in"', 'opening = "3 in"', "hitch.reducers.sleeve.opening"),
            ('travel = "15 in"', 'travel = "15 ft"', "hitch.jack.travel"),
        ],
    )
    def test_bad_file(self, tmp_path: Path, old: str, new: str, said: str) -> None:
        """A value that cannot be is one sentence with its key, and 2."""
        assert old in WHOLE
        found = run(tmp_path, WHOLE.replace(old, new, 1))
        assert found.exit_code == 2
        assert said in found.stderr

    @pytest.mark.parametrize(
        "options",
        [
            ("--steps", "high"),
            ("--steps", "9 m"),
            ("--steps", "0 in,9 m"),
            ("--steps", ",".join(f"{n} mm" for n in range(65))),
            ("--tolerance", "0 in"),
            ("--tolerance", "3"),
            ("--restore", "150 %"),
            ("--restore", "0.5"),
            ("--stage", "nowhere"),
        ],
    )
    def test_bad_option(self, tmp_path: Path, options: tuple[str, str]) -> None:
        """Options that make no sense end it with 2."""
        assert run(tmp_path, WHOLE, *options).exit_code == 2


class TestAnswers:
    """What stands in the JSON."""

    def test_bars_carry_the_heaviest_stage(self, tmp_path: Path) -> None:
        """Of the stages asked alone the heaviest is what all of them together ask of the bars; the
        lightest is well below."""
        text = demo_rigs()["perihelion-camper.toml"]
        keys = ("leaving-home", "first-night", "back-home")
        asked = ((f"--stage={key}", "--json") for key in keys)
        each = [
            parsed(run(tmp_path, text, *words))["bars"]["carries_kg"]["best"] for words in asked
        ]
        whole = parsed(run(tmp_path, text, "--json"))["bars"]["carries_kg"]["best"]
        assert whole == pytest.approx(max(each), rel=0.02)
        assert min(each) < 0.95 * max(each)

    @pytest.mark.parametrize(
        ("said", "without", "fitted", "verdict"),
        [
            ("due", "exceeded", False, "exceeded"),
            ("due", "cannot tell", False, "cannot tell"),
            ("due", "exceeded", True, "within"),
            ("forbidden", "within", True, "exceeded"),
            ("forbidden", "within", False, "within"),
            ("not due", "within", False, "within"),
            ("unknown", "unknown", False, "unknown"),
        ],
    )
    def test_bars_due_or_forbidden(
        self, said: Due, without: Verdict, verdict: str, *, fitted: bool
    ) -> None:
        """Missing as surely as they are due; fitted where the maker forbids them: exceeded."""
        assert bars.verdict((said, (), without), None, fitted=fitted) == verdict

    def test_bars_that_may_be_due_are_not_missing(self, tmp_path: Path) -> None:
        """A receiver rated about what a small trailer puts on it: nobody can tell whether it asks
        for bars, as `check` cannot; and no pintle is asked to carry any."""
        told = run(tmp_path, SMALL)
        assert told.exit_code == 3
        assert "Spring bars may be due" in told.output
        assert "none fitted" not in told.output
        pintle = run(tmp_path, SMALL.replace("[hitch.receiver]", PINTLE))
        assert "pring bars" not in pintle.output

    @pytest.mark.parametrize(("over", "said"), [(24, "not due"), (25, "due")])
    def test_the_manual_asks_for_bars_above_its_weight(self, over: int, said: Due) -> None:
        """Bars required above 5,000 lb are due where a trailer, at its heaviest stage, may be over
        it with 1 in 40, though most of its spread is under; at 5,000 lb itself, or with nothing
        said, it asks for none."""
        text = WHOLE.replace('width = "79 in"', 'width = "79 in"\ndistribution = "required"')
        rig = parse_rig(text.replace('"required"', '"required"\ndistribution_from = "5000 lb"'))
        limit = rig.vehicle.distribution_from
        assert limit is not None
        weights = np.full((2, 1000), limit.value * 9.80665)
        weights[0] *= 0.5
        weights[1, :over] *= 1.1
        assert bars.due(rig, weights, [])[0] == said
        assert bars.due(parse_rig(text), weights, [])[0] == "due"
        said_nothing = bars.due(parse_rig(WHOLE), weights, [])
        assert said_nothing == ("not due", ("nothing stated asks for them",), "within")

    def test_the_negative_of_a_spread(self) -> None:
        """A squat of 1.2 in, 0.9 to 1.6, is a lift of as much less."""
        squat = Spread(value=1.2, best=1.1, sd=0.2, low=0.9, high=1.6)
        lift = turned(squat)
        assert (lift.value, lift.best, lift.sd) == (-1.2, -1.1, 0.2)
        assert (lift.low, lift.high) == (-1.6, -0.9)

    def test_parts_are_told_by_their_sizes(self) -> None:
        """2 in against a hole nobody measured: the one as it is, the other as a question."""
        ball = Match(name="x", title="ball", first=0.0508, second=None, verdict="unknown", why="")
        assert match_row(ball, "us")[:3] == ("ball", "2 in", "?")

    def test_what_an_inch_does_is_told_for_25_mm_too(self) -> None:
        """254 kg for an inch are 250 kg for 25 mm, and 560 lb for the inch; each with its sign."""
        up, down = (Spread(value=kg, best=kg, sd=0.0, low=kg, high=kg) for kg in (254.0, -508.0))
        one = Pitch(
            suspension="independent",
            assumed=False,
            own=True,
            inch_up_tongue_kg=up,
            inch_down_tongue_kg=down,
            inch_up_axles_kg=(down,),
            inch_down_axles_kg=(up,),
        )
        assert "tongue +250 kg" in pitch_line(one, "metric")
        assert "lower, -500 kg" in pitch_line(one, "metric")
        assert "tongue +560 lb" in pitch_line(one, "us")

    def test_an_inch_is_an_inch_in_north_america(self) -> None:
        """And 25 mm where parts sold by it are metric; half a metre is the most, up or down."""
        ours, theirs = (sold_sizes.grid(one)[0] for one in ("north-america", "europe"))
        assert ours / theirs == pytest.approx(25.4 / 25)
        assert sold_sizes.drops("4 in", "north-america") == pytest.approx((0.1016,))
        assert sold_sizes.drops("0.5 m,-0.5 m", "europe") == (-0.5, 0.5)

    def test_one_rating_likely_not_to_hold_refuses(self, tmp_path: Path) -> None:
        """Exit 1 where one of the ratings is more likely broken than not, whatever the others."""
        text = demo_rigs()["perihelion-camper.toml"]
        over = text.replace('rating = "1000 lb"', 'rating = "870 lb"').replace("655 lb", "675 lb")
        found = run(tmp_path, over, "--json")
        assert parsed(found)["verdict"] == "cannot tell"
        assert found.exit_code == 1

    def test_reducer_governs(self, tmp_path: Path) -> None:
        """Of several tongue ratings the lowest, the sleeve's, governs and is named."""
        found = parsed(run(tmp_path, WHOLE, "--json"))
        assert found["governed_by"] == "hitch.reducers.sleeve.tongue"

    def test_sleeves_lower_nothing_by_centring(self, tmp_path: Path) -> None:
        """A 2 in bar in a 2 1/2 in opening hangs a quarter inch below its top inside edge."""
        height = parsed(run(tmp_path, WHOLE, "--json"))["height"]
        assert height["present"]["ball_m"]["best"] == pytest.approx(
            (21.5 - 0.25 - 2.0 + 2.6) * 0.0254
        )

    def test_the_mount_that_is_on_stands_beside_those_sold(self, tmp_path: Path) -> None:
        """With the ball taped at 22 in on a 2 in drop, each step puts it at 24 in less its drop,
        and the mount that is on is told with its own."""
        text = WHOLE.replace('height = "21.5 in"\n', "")
        text = text.replace("[hitch]\n", '[hitch]\nball_height = "22 in"\n')
        height = parsed(run(tmp_path, text, "--json"))["height"]
        assert height["present"]["drop_m"] == pytest.approx(2 * 0.0254)
        assert len(height["steps"]) > 2
        for step in height["steps"]:
            assert step["ball_m"]["best"] == pytest.approx(24 * 0.0254 - step["drop_m"])

    def test_it_is_said_at_which_ball_the_rest_is_judged(self, tmp_path: Path) -> None:
        """A drop of 12 in is far too low, so another is chosen: jack and ratings are of that one,
        whose ball with a 2.6 in rise stands 21.5 - 0.25 + 2.6 - drop inches high."""
        text = WHOLE.replace('drop = "2 in"', 'drop = "12 in"')
        found, said = parsed(run(tmp_path, text, "--json")), run(tmp_path, text).stdout
        chosen = found["height"]["chosen"]
        high = 21.5 - 0.25 + 2.6 - chosen["drop_m"] / 0.0254
        assert found["judged_at_ball_m"] == pytest.approx(high * 0.0254, rel=1e-3)
        assert found["judged_as_it_is"] is chosen["present"] is False
        told = re.search(r"judged with the ball (as it is|at ([\d.]+) in)", " ".join(said.split()))
        assert told is not None
        assert float(told[2]) == pytest.approx(high, abs=0.1)

    def test_tape_against_parts(self, tmp_path: Path) -> None:
        """A taped ball height that the parts cannot give is said."""
        text = WHOLE.replace("[hitch]\n", '[hitch]\nball_height = "27 in"\n', 1)
        assert parsed(run(tmp_path, text, "--json"))["height"]["taped_less_parts_m"] > 0.1

    @pytest.mark.parametrize(
        ("taped", "told", "way", "nose"),
        [
            (27.25, "taped 5.4 in above where", "of drop", "nose-up"),
            (16.25, "taped 5.6 in below where", "of rise", "nose-down"),
        ],
    )
    def test_how_it_stands_in_words(
        self, tmp_path: Path, taped: float, told: str, way: str, nose: str
    ) -> None:
        """Parts put the ball at 21.5 - 0.25 - 2 + 2.6 = 21.85 in. Which way it is off, which way a
        mount would have to go, what is level as it is, and what the jack has to spare."""
        text = WHOLE.replace("[hitch]\n", f'[hitch]\nball_height = "{taped} in"\n', 1)
        said = " ".join(run(tmp_path, text, "--all").output.split())
        found = parsed(run(tmp_path, text, "--json"))
        assert told in said
        assert re.search(rf"that is [\d.]+ ± [\d.]+ in {way}. The load sinks it by", said)
        assert f"in {nose}, level with a chance of under 0.1 %." in said
        (lift,) = found["jack"]["lifts"]
        spare = (lift["reach_m"]["value"] - lift["needed_m"]["value"]) / 0.0254
        assert f"it reaches {spare:.1f} in higher" in said
        assert spare > 0

    def test_fenders_are_told_without_bars_and_with_them(self, tmp_path: Path) -> None:
        """The front one up, the rear one down, each as the tape finds it first and last."""
        camper = demo_rigs()["perihelion-camper.toml"]
        rise = parsed(run(tmp_path, camper, "--json"))["bars"]["fender_rise_m"]
        said = " ".join(run(tmp_path, camper, "--all").output.split())
        off, on, high, low = (
            f"{sign * rise[name]['value'] / 0.0254:.2f} ± "
            for name, sign in (("front_off", 1), ("front_on", 1), ("rear_off", -1), ("rear_on", -1))
        )
        assert f"the front fender rises {off}" in said
        assert f"until it stands {on}" in said
        assert f"The rear fender goes from {high}" in said
        assert f"in down to {low}" in said

    def test_clearances_from_stated_dimensions_only(self, tmp_path: Path) -> None:
        """Without the vehicle's width the corner is unknown, though a typical width exists."""
        text = WHOLE.replace('width = "79 in"\n', "")
        found = {one["name"]: one for one in parsed(run(tmp_path, text, "--json"))["clearances"]}
        assert found["box"]["value_rad"] is None
        assert found["box"]["missing"] == ["vehicle.width"]
        assert found["departure"]["value_rad"]["value"] > 0

    @pytest.mark.parametrize("gone", ['overhang = "52 in"\n', 'rear_overhang = "48 in"\n'])
    def test_no_bumper_is_supposed(self, tmp_path: Path, gone: str) -> None:
        """Nor is one where a typical overhang is known."""
        found = parsed(run(tmp_path, WHOLE.replace(gone, "", 1), "--json"))["clearances"]
        missing = next(one["missing"] for one in found if one["name"] == "box")
        assert missing == [f"vehicle.{gone.split()[0]}"]

    def test_a_nose_ahead_of_its_pin(self, tmp_path: Path) -> None:
        """The corner of a box 8 ft wide that begins 20 in ahead of the pin, hypot(20, 48) = 52 in
        from it, meets a cab 40 - 2 in ahead at atan(48/20) - acos(38/52). Over the bed's rails
        stand its 5 in and what the bed sinks more than the nose does."""
        found = parsed(run(tmp_path, FIFTH, "--json"))
        cab, rails = (
            next(one for one in found["clearances"] if one["name"] == name)
            for name in ("cab", "rails")
        )
        turned = math.atan2(48.0, 20.0) - math.acos(38.0 / 52.0)
        assert cab["value_rad"]["best"] == pytest.approx(turned, abs=1e-6)
        pin = found["height"]["chosen"]
        driven = pin["driven_ball_m"][0]["best"]
        sunk, raised = pin["ball_m"]["best"] - driven, driven - 47 * 0.0254
        assert sunk > 0.05
        assert rails["value_m"]["best"] == pytest.approx(5 * 0.0254 + sunk + raised, abs=0.002)

    @pytest.mark.parametrize(
        ("old", "new", "turned"),
        [
            # Over the cab as it stands: 50 in ahead of the pin, the cab 38.
            ('box_start = "-20 in"', 'box_start = "-50 in"', 0.0),
            # A cab 60 in wide is passed by the nose's corner; its own meets the nose's front.
            (
                "[vehicle]\n",
                '[vehicle]\nwidth = "60 in"\n',
                math.atan2(38, 30) - math.asin(20 / math.hypot(38, 30)),
            ),
            (
                "[vehicle]\n",
                '[vehicle]\nwidth = "76 in"\n',
                math.atan2(48, 20) - math.acos(38 / 52),
            ),
        ],
    )
    def test_a_cab_is_as_wide_as_it_is_said_to_be(
        self, tmp_path: Path, old: str, new: str, turned: float
    ) -> None:
        """Plane geometry of a box 96 in wide, its front 20 in ahead of the pin."""
        found = parsed(run(tmp_path, FIFTH.replace(old, new), "--json"))
        (cab,) = (one for one in found["clearances"] if one["name"] == "cab")
        assert cab["value_rad"]["best"] == pytest.approx(turned, abs=1e-6)
        assert cab["touches"] is (turned == 0.0)

    @pytest.mark.parametrize(("coupler", "least"), [(47, 39), (5, 1)])
    def test_heights_by_tape_lie_about_the_level_one(
        self, tmp_path: Path, coupler: int, least: int
    ) -> None:
        """Eight inches either way of the coupler's height, in inches (assumed, steps.toml), none at
        the ground."""
        text = FIFTH.replace('coupler_height = "47 in"', f'coupler_height = "{coupler} in"')
        steps = parsed(run(tmp_path, text, "--json"))["height"]["steps"]
        tried = [one["ball_m"]["best"] / 0.0254 for one in steps if not one["present"]]
        assert tried == pytest.approx(range(least, coupler + 9))

    @pytest.mark.parametrize(("apart", "told"), [(0.0185, False), (0.0215, True)])
    def test_a_tape_and_parts_may_differ_by_their_spreads(
        self,
        tmp_path: Path,
        apart: float,
        told: bool,
    ) -> None:
        """Receiver, drop, ball's rise and the ball itself, each taped to 10 mm: 20 mm together, in
        quadrature (GUM 5.1.2). Parts put it at 21.5 - 0.25 - 2 + 2.6 = 21.85 in."""
        taped = 21.85 * 0.0254 + apart
        text = WHOLE.replace("[hitch]\n", f'[hitch]\nball_height = "{taped:.6f} m"\n', 1)
        found = parsed(run(tmp_path, text, "--json"))["height"]["taped_less_parts_m"]
        assert (found is not None) is told
        assert not told or found == pytest.approx(apart, abs=1e-5)

    @pytest.mark.parametrize("inches", [0.3, 0.8, 1.2, 2.0, 4.0])
    def test_the_step_is_the_likeliest_and_the_verdict_its_chance(
        self, tmp_path: Path, inches: float
    ) -> None:
        """docs/method.md: of the steps within five points of the likeliest at its worst stage the
        one whose best estimate is nearest to level; within from 97.5 %, exceeded where it is off
        level and under 2.5 % (decision of the judge), else tight."""
        found = parsed(run(tmp_path, WHOLE, "--tolerance", f"{inches} in", "--json"))["height"]
        chosen = found["chosen"]
        steps = [one for one in found["steps"] if not one["present"]]
        off = {one["drop_m"]: max(abs(x["value"]) for x in one["nose_m"]) for one in steps}
        most = max(one["chance"] for one in steps)
        near = {one["drop_m"] for one in steps if one["chance"] >= most - 0.05}
        assert chosen["drop_m"] == min(near, key=lambda drop: off[drop])
        assert chosen["chance"] == min(chosen["chances"])
        assert chosen["level"] is all(abs(x["best"]) <= inches * 0.0254 for x in chosen["nose_m"])
        low = "exceeded" if not chosen["level"] and chosen["chance"] < 0.025 else "tight"
        assert found["verdict"] == ("within" if chosen["chance"] >= 0.975 else low)

    def test_bars_are_bought_for_the_heaviest_that_is_likely(self, tmp_path: Path) -> None:
        """The least of the ratings sold that covers the 97.5 percentile; none above 2,000 lb."""
        text = demo_rigs()["perihelion-camper.toml"]
        found = parsed(run(tmp_path, text, "--json"))["bars"]
        sold = [400, 600, 800, 1000, 1200, 1400, 1500, 1700, 2000]
        due = found["carries_kg"]["high"] / 0.45359237
        assert found["rating_wanted_kg"] / 0.45359237 == pytest.approx(
            min(one for one in sold if one >= due)
        )
        for empty, tongue, want in ((9000, 1950, 2000), (12000, 2300, None)):
            heavy = re.sub(r"weight = .*\ntongue_weight = .*\n", "", WHOLE)
            heavy = heavy.replace('style = "small-single-axle"\ngvwr = "3500 lb"', 'style = "boat"')
            heavy = heavy.replace(
                "[trailer.empty]\n",
                f'[trailer.empty]\nweight = {{ value = "{empty} lb +- 0 lb", kind = "scale" }}\n'
                f'tongue_weight = {{ value = "{tongue} lb +- 1 lb", kind = "scale" }}\n',
            )
            heavy = heavy.replace("[hitch.chains]", "[hitch.bars]\n[hitch.chains]")
            size = parsed(run(tmp_path, heavy, "--json"))["bars"]["rating_wanted_kg"]
            assert (size and round(size / 0.45359237)) == want

    @pytest.mark.parametrize("gone", ['flange = "20 in"\n', 'retracted = "14 in"\n'])
    def test_a_jack_of_unsaid_size_has_no_foot(self, tmp_path: Path, gone: str) -> None:
        """Where one of two sizes is not stated its foot's height is not told."""
        assert parsed(run(tmp_path, WHOLE, "--json"))["jack"]["foot_m"] is not None
        assert parsed(run(tmp_path, WHOLE.replace(gone, ""), "--json"))["jack"]["foot_m"] is None

    @pytest.mark.parametrize("pounds", [6000, 400])
    def test_a_jack_lifts_what_slackens_the_bars(self, tmp_path: Path, pounds: int) -> None:
        """A rating above all, or below all, that lifting the camper's rear may ask of its jack."""
        camper = demo_rigs()["perihelion-camper.toml"]
        jack = f'[hitch.jack]\nstation = "18 in"\nrating = "{pounds} lb"\n[hitch.chains]'
        found = parsed(run(tmp_path, camper.replace("[hitch.chains]", jack), "--json"))["jack"]
        asked = next(one for one in found["lifts"] if one["task"] == "bars")["carries_kg"]
        assert (pounds * 0.45359237 < asked["low"]) == (pounds == 400)
        assert (pounds * 0.45359237 > asked["high"]) == (pounds == 6000)
        assert (found["lifting"] == "exceeded") == (pounds == 400)

    def test_each_part_is_told_by_its_own_size(self, tmp_path: Path) -> None:
        """A ball of 1 7/8 in under a coupler of 2 in: both are told, each as it is."""
        text = WHOLE.replace('size = "2 in"\nrise', 'size = "1 7/8 in"\nrise')
        rows = {row["name"]: row for row in parsed(run(tmp_path, text, "--json"))["matches"]}
        ball = rows["ball-in-the-coupler"]
        assert (ball["first_m"], ball["second_m"]) == pytest.approx((1.875 * 0.0254, 2 * 0.0254))

    def test_what_a_tape_should_still_find(self, tmp_path: Path) -> None:
        """With the ball taped and the drop stated the receiver's height follows; without the drop
        it is asked for, as is the ball's rise where only parts tell its height. What is known worst
        is named first as widening the answer."""
        text = WHOLE.replace('height = "21.5 in"\n', "").replace(
            "[hitch]\n", '[hitch]\nball_height = "22 in"\n'
        )
        text = text.replace('coupler_height = "20 in"', 'coupler_height = "20 in +- 3 in"')
        assert parsed(run(tmp_path, WHOLE, "--json"))["height"]["missing"] == []
        known = parsed(run(tmp_path, text, "--json"))["height"]
        assert "hitch.receiver.height" not in known["missing"]
        assert known["widened_by"][0] == "trailer.coupler_height"
        risen = re.sub(r"rise = .*\n", "", WHOLE)
        for taped, asked in (("", True), ('ball_height = "22 in"\n', False)):
            bare = risen.replace("[hitch]\n", f"[hitch]\n{taped}")
            missing = parsed(run(tmp_path, bare, "--json"))["height"]["missing"]
            assert ("hitch.ball.rise" in missing) == asked
        without = text.replace('drop = "2 in"\n', "")
        assert (
            "hitch.receiver.height" in parsed(run(tmp_path, without, "--json"))["height"]["missing"]
        )

    def test_bars_due_but_missing(self, tmp_path: Path) -> None:
        """Where the manual requires bars and none are fitted, their setting is still worked out."""
        text = WHOLE.replace('width = "79 in"', 'width = "79 in"\ndistribution = "required"')
        plain = parsed(run(tmp_path, text, "--json"))["bars"]
        assert (plain["due"], plain["supposed"]) == ("due", True)
        camper = run(tmp_path, demo_rigs()["perihelion-camper.toml"], "--all").output
        assert "Supposing bars of a usual kind" not in " ".join(camper.split())
        assert "Supposing bars of a usual kind" in " ".join(
            run(tmp_path, text, "--all").output.split()
        )
        result = run(tmp_path, text, "--json", "--restore", "60 %")
        bars = parsed(result)["bars"]
        assert (result.exit_code, bars["due"], bars["supposed"]) == (1, "due", True)
        assert bars["share"] == pytest.approx(0.6)
        rise = bars["fender_rise_m"]
        assert rise["front_on"]["value"] == pytest.approx(
            0.4 * rise["front_off"]["value"], rel=1e-6
        )

    def test_receiver_and_drop_set_the_ball_of_every_command(self, tmp_path: Path) -> None:
        """`check` reads the ball's height off receiver, drop and ball too."""
        run(tmp_path, WHOLE)
        checked = CliRunner().invoke(main, ["check", str(tmp_path / "rig.toml"), "--json"])
        names = {row["name"] for row in json.loads(checked.stdout)["assumed"]}
        assert "hitch.ball_height" not in names


def test_bars_are_set_at_a_stage_looked_at(tmp_path: Path) -> None:
    """Asked about one stage only, the bars are set there, and give there what was asked; with a
    stage stated they are set at that one, the last of four."""
    camper = demo_rigs()["perihelion-camper.toml"]
    bars = parsed(run(tmp_path, camper, "--stage", "back-home", "--restore", "70 %", "--json"))[
        "bars"
    ]
    assert bars["restored_share"][0]["value"] == pytest.approx(0.7, abs=1e-9)
    stated = camper.replace('set_at = "leaving-home"', 'set_at = "back-home"')
    assert stated != camper
    bars = parsed(run(tmp_path, stated, "--restore", "70 %", "--json"))["bars"]
    given = [share["value"] == pytest.approx(0.7, abs=1e-9) for share in bars["restored_share"]]
    assert given == [False, False, False, True]


BARE = """
format = 1
region = "{region}"
[vehicle]
class = "{klass}"
[trailer]
style = "{style}"
[trailer.empty]
weight = "6300 lb"
"""


@pytest.mark.parametrize(
    ("klass", "style"),
    [
        ("half-ton-crew-cab", "rear-living"),
        ("three-quarter-ton", "fifth-wheel"),
        ("one-ton-dual-rear-wheel", "gooseneck"),
        ("mid-size-suv", "boat"),
    ],
)
@pytest.mark.parametrize("region", ["north-america", "europe", "australia-new-zealand"])
@pytest.mark.parametrize("options", [(), ("--json",)])
def test_nothing_stated(
    tmp_path: Path, klass: str, style: str, region: str, options: tuple[str, ...]
) -> None:
    """A rig that says nothing of its hitch gets an answer, never `fits`, and no NaN."""
    text = BARE.format(klass=klass, style=style, region=region)
    found = run(tmp_path, text, *options)
    assert found.exit_code in {1, 3}, found.output
    assert found.exception is None or isinstance(found.exception, SystemExit)
    assert not re.search(r"\b[Nn]a[Nn]\b", found.output)


@pytest.mark.parametrize("units", ["us", "metric"])
def test_demo_rigs(tmp_path: Path, units: str) -> None:
    """Each demo rig is answered in 80 columns."""
    for name, text in demo_rigs().items():
        found = run(tmp_path, text, "--units", units)
        assert found.exit_code in {0, 1, 3}, (name, found.output)
        assert max(len(line) for line in found.output.splitlines()) <= 80, name


def test_steps_are_told_over_all_stages(tmp_path: Path) -> None:
    """A step level at one stage and not at another shows both noses, and is not called level."""
    text = demo_rigs()["perihelion-camper.toml"]
    found = run(tmp_path, text, "--tolerance", "0.5 in")
    said = " ".join(found.output.split())
    assert "no step stands level within 0.5 in at every stage" in said
    usual = " ".join(run(tmp_path, text, "--all").output.split())
    assert "no step stands level" not in usual
    assert re.search(r"1 in drop +26\.5 .* \+0\.\d to \+0\.\d +\d+ %", found.output)


def test_a_tow_ball_stands_where_it_stands(tmp_path: Path) -> None:
    """In Europe the ball's own height is judged, with no step to choose among."""
    text = BARE.format(klass="car", style="centre-axle-caravan", region="europe")
    text = text.replace("[trailer]\n", '[trailer]\ncoupler_height = "430 mm"\n')
    text = f'{text}[hitch]\nball_height = "300 mm"\n'
    found = run(tmp_path, text)
    said = " ".join(found.output.split())
    assert said.startswith("▲ exceeded: the ball is set at 300")
    assert "nose-down" in said
    assert "Steps looked at" not in said


TAIL = """[places.tail]
station = "15 ft"
[items]
stone = { weight = "900 lb", place = "tail" }
"""
HOPELESS = {
    "the load lifts the vehicle": (
        "[trailer.axles]\n",
        f"{TAIL}[trailer.axles]\n",
        "Move load ahead of the trailer's axles, or leave what rides behind them",
    ),
    "a receiver too high": (
        'height = "21.5 in"',
        'height = "44 in"',
        "No height tried reaches, by about",
    ),
    "a truck that is lifted": (  # 32 - 12 - 0.25 + 2.75 less 1.9 of squat: 20.6 in
        'height = "21.5 in"',
        'height = "32 in"',
        "it takes a drop of 12 in, a lower vehicle, or",
    ),
    "a trailer too high": (
        'coupler_height = "20 in"',
        'coupler_height = { value = "45 in", sure = true }',
        "it takes a higher vehicle, or a trailer that stands lower",
    ),
}


@pytest.mark.parametrize("name", HOPELESS)
def test_where_no_height_mends_what_it_takes_comes_first(tmp_path: Path, name: str) -> None:
    """No ball is set where that would mend nothing."""
    old, new, said = HOPELESS[name]
    assert old in WHOLE
    words = " ".join(run(tmp_path, WHOLE.replace(old, new, 1)).output.split())
    assert f"Do next 1. {said}" in words or said in words.split(" 2. ")[0]
    assert "and tape the trailer level" not in words


@pytest.mark.parametrize(
    ("ahead", "wide", "fits"), [(36, 96, False), (20, 96, True), (30, 80, False), (26, 80, True)]
)
def test_a_nose_behind_a_cab_turns_in_every_door(
    tmp_path: Path, ahead: int, wide: int, *, fits: bool
) -> None:
    """The pin stands 40 - 2 = 38 in behind the cab. Turned by 15 degrees a square nose's corner
    reaches ahead by a cos 15 + (w/2) sin 15: 47.2, 31.7, 39.3 and 35.5 in (hand arithmetic)."""
    text = FIFTH.replace('"-20 in"', f'"-{ahead} in"').replace('"96 in"', f'"{wide} in"')
    fitted = run(tmp_path, text, "--json")
    checked = CliRunner().invoke(main, ["check", str(tmp_path / "rig.toml"), "--json"])
    limits = [one for stage in parsed(checked)["stages"] for one in stage["limits"]]
    (stood,) = (one["standing"] for one in limits if one["name"] == "hitch.fit.cab")
    (same,) = (o["verdict"] for o in parsed(fitted)["ratings"] if o["name"] == "hitch.fit.cab")
    assert (stood == "exceeded", same == "exceeded") == (not fits, not fits)
    assert (fitted.exit_code == 1) is not fits
    assert ("the nose meets the cab" in run(tmp_path, text).stdout) is not fits


def test_what_does_not_fit_is_the_first_thing_to_do(tmp_path: Path) -> None:
    """A 2 in ball in a coupler for 2 5/16 in is put right before any height is set, and chains of
    1,800 lb on a trailer of 3,500 lb too; then the coupler is taped, which decides the height."""
    sizes = '[hitch.ball]\nsize = "2 in"\n[hitch.coupler]\nsize = "2 5/16 in"\n'
    chains = '[hitch.chains]\nrating_each = "1800 lb"\n[hitch.receiver]'
    text = SMALL.replace("[trailer]\n", f'{sizes}[trailer]\ngvwr = "3500 lb"\n', 1)
    told = run(tmp_path, text.replace("[hitch.receiver]", chains, 1)).stdout
    first, second = told.index("1. Do not tow with this: ball"), told.index("2. Fit safety chains")
    assert first < second < told.index("3. Tape the coupler height")


@pytest.mark.parametrize(
    ("said", "bars", "step"),
    [("required", "", "Fit spring bars"), ("forbidden", BARS, "Take the spring bars off")],
)
def test_bars_come_before_the_ball_is_set(tmp_path: Path, said: str, bars: str, step: str) -> None:
    """Bars that are due, or that must not be, are no second thought; nor is a receiver of 2,000 lb
    before a trailer of 2,600 lb."""
    text = WHOLE.replace('width = "79 in"', f'width = "79 in"\ndistribution = "{said}"')
    words = " ".join(
        run(tmp_path, text.replace("[hitch.ball]", f"{bars}[hitch.ball]")).stdout.split()
    )
    assert f"Do next 1. {step}" in words
    weak = WHOLE.replace('rating_trailer = "12000 lb"', 'rating_trailer = "2000 lb"')
    weak = weak.replace('rating_tongue = "1200 lb"', 'rating_tongue = "420 lb"')
    weak = weak.replace('width = "79 in"', 'width = "79 in"\ndistribution = "forbidden"')
    assert "Do next 1. Fit a receiver rated for more" in " ".join(
        run(tmp_path, weak).stdout.split()
    )
