"""What was felt: how likely it is told at a damping ratio, what it may move and what it may not."""

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from steelyard.assessment.damped import damped
from steelyard.cards import card
from steelyard.cli import main
from steelyard.fault import FaultError
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.quantity.constants import HOUR, MILE
from steelyard.scene import opened
from steelyard.swaying.felt_damping import (
    gone_after,
    settled_chance,
    steady_chance,
    swayed_chance,
    weighed,
)
from steelyard.swaying.result import StageSway
from steelyard.swaying.stage_sway import sway
from steelyard.words.felt import warnings
from steelyard.words.trade import Trade

CAMPER = demo_rigs()["perihelion-camper.toml"]
MPH = MILE / HOUR
SPEEDS = tuple(MPH * u for u in (50, 60, 62, 65, 75))


def answers(felt: str = "", since: str = "") -> dict[str, StageSway]:
    """The camper's stages, with what was felt of it."""
    text = CAMPER.replace("\n[vehicle]", f"\n{since}\n[vehicle]", 1) + felt
    found = sway(parse_rig(text), speeds=SPEEDS, speed=62 * MPH, samples=1024)
    return {one.key: one for one in found}


def told(
    what: str = "settled",
    speed: str = "62 mph",
    more: str = 'swings = "2 to 3"',
    name: str = "truck",
) -> str:
    """One reading of the way home, as a rig file has it."""
    return f'\n[felt.{name}]\nwhat = "{what}"\nspeed = "{speed}"\nstage = "back-home"\n{more}\n'


@pytest.mark.parametrize(("ratio", "cycle"), [(0.05, 0.730115), (0.1, 0.531802), (0.15, 0.385481)])
def test_swings_until_a_tenth_are_those_of_the_half_cycle_identity(
    ratio: float, cycle: float
) -> None:
    """ISO-3: each full cycle leaves exp(-2 pi D/sqrt(1 - D^2)); so many of them leave a tenth."""
    assert cycle ** gone_after(np.array(ratio)) == pytest.approx(0.1, rel=1e-5)


def test_chances_of_all_counts_come_to_one() -> None:
    """A swing that dies out is gone after some number of swings: the counts part the chance."""
    D = np.array([0.05, 0.1, 0.2, 0.4])
    every = sum(settled_chance(D, n, n) for n in range(21)) + settled_chance(D, 21, 10**6)
    assert every == pytest.approx(1.0, abs=1e-6)
    assert settled_chance(np.array([0.0, -0.1]), 0, 20).tolist() == [0.0, 0.0]


def test_steady_and_swayed_are_two_sides() -> None:
    """Steady for very long is what is not called sway; for a moment it says nothing."""
    D = np.linspace(-0.1, 0.4, 30)
    assert steady_chance(D, 1e9) + swayed_chance(D) == pytest.approx(1.0)
    assert steady_chance(D, 1e-6) == pytest.approx(1.0)
    assert np.all(np.diff(swayed_chance(D)) < 0)


def test_what_may_be_wrong_leaves_its_share_as_it_was() -> None:
    """Weights are of mean 1, and none is below the chance of being wrong."""
    w = weighed(np.array([0.0, 0.2, 0.9, 0.5]), 0.2)
    assert np.mean(w) == pytest.approx(1.0)
    assert np.min(w) == pytest.approx(0.2)
    assert weighed(np.array([0.1, 0.7]), 1.0).tolist() == [1.0, 1.0]


def test_counted_swings_narrow_the_speed_they_were_felt_at() -> None:
    """Two to three swings at 62 mph take about a third off the interval there, on both sides."""
    before, after = answers()["back-home"].at_damping, answers(told())["back-home"].at_damping
    assert after.high - after.low < 0.7 * (before.high - before.low)
    assert after.low > before.low
    assert after.high < before.high


@pytest.mark.parametrize(
    "felt", [told(more='swings = "1"'), told("steady", "60 mph", 'lasting = "3 h"')]
)
def test_good_news_raises_nothing_beyond_the_speed_driven(felt: str) -> None:
    """No damping above the speed it was felt at, and no speed above it, is better than before."""
    before, after = answers()["back-home"], answers(felt)["back-home"]
    driven = 62 * MPH if "62" in felt else 60 * MPH
    beyond = np.asarray(SPEEDS) > driven
    for key in ("value", "best", "low", "high"):
        now, was = getattr(after.damping, key), getattr(before.damping, key)
        assert np.all(now[beyond] <= was[beyond] + 1e-12)
    assert np.all(after.damping.low[~beyond] >= before.damping.low[~beyond] - 1e-12)
    for now_, was_ in ((after.falls, before.falls), (after.wagging, before.wagging)):
        for key in ("value", "median", "low", "high"):
            assert getattr(now_, key) <= max(getattr(was_, key), driven) + 1e-12
        assert now_.never <= was_.never
    assert after.falls.low > before.falls.low


def test_good_news_is_of_the_load_that_was_driven() -> None:
    """At the other stages nothing is better than before, at any speed."""
    before, after = answers(), answers(told(more='swings = "1"'))
    for key in set(before) - {"back-home"}:
        for part in ("value", "best", "low", "high"):
            was, now = getattr(before[key].damping, part), getattr(after[key].damping, part)
            assert np.all(now <= was + 1e-12)
        assert after[key].chance_below >= before[key].chance_below
        assert after[key].falls.low <= before[key].falls.low


def test_felt_to_sway_lowers_every_speed_of_every_load() -> None:
    """Swayed at 55 mph: damping and speeds fall, and the chance of too little damping rises."""
    before, after = answers(), answers(told("swayed", "55 mph", ""))
    for key, was in before.items():
        assert after[key].falls.value < was.falls.value
        assert np.all(after[key].damping.value < was.damping.value)
        assert after[key].chance_below > was.chance_below
    assert after["back-home"].chance_below > 0.8


def test_from_before_the_rig_was_so_it_counts_for_nothing() -> None:
    """Felt before `since`, the day axles or tyres last changed: the answer is as without it."""
    dated = told(more='swings = "2 to 3"\ndate = "2026-04-30"')
    old = answers(dated, 'since = "2026-05-03"')["back-home"]
    new = answers(dated, 'since = "2026-04-03"')["back-home"]
    bare = answers()["back-home"]
    assert old.at_damping.low == bare.at_damping.low
    assert [one.telling.counts for one in old.felt] == [False]
    assert new.at_damping.low > bare.at_damping.low


def test_surely_wrong_it_changes_nothing_and_likely_wrong_little() -> None:
    """The greater its own chance of being wrong, the less it narrows."""
    widths = []
    for wrong in ("0 %", "20 %", "60 %", "99.9 %"):
        band = answers(told(more=f'swings = "2 to 3"\nwrong = "{wrong}"'))["back-home"].at_damping
        widths.append(float(band.high - band.low))
    bare = answers()["back-home"].at_damping
    assert widths == sorted(widths)
    assert widths[-1] == pytest.approx(float(bare.high - bare.low), rel=0.01)


def test_what_contradicts_the_physics_is_refused_with_both_sides() -> None:
    """A rig with a damping ratio of 0.3 and more at 55 mph does not sway there: one sentence."""
    text = (
        demo_rigs()["perihelion-tractor.toml"] + '\n[felt.a]\nwhat = "swayed"\nspeed = "55 mph"\n'
    )
    with pytest.raises(FaultError, match=r"felt\.a: expected something that this rig can do") as it:
        sway(parse_rig(text), speeds=(), samples=256)
    assert len(it.value.faults) == 1
    assert "what was felt stands" in str(it.value)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("swayed at 5 mph", "a speed at which a trailer can sway (from 18 mph"),
        ("swayed", 'what was felt with its speed: "settled in 2 to 3 swings at 62 mph"'),
        ("settled in 3 to 2 swings at 60 mph", "fewest swings first, then most"),
        ("steady for 1 at 60 mph", 'a time with its unit, such as "40 min" or "1 h"'),
        ("swayed at 55", 'a speed with its unit, such as "65 mph"'),
    ],
)
def test_a_bad_line_is_one_sentence_and_exit_2(line: str, said: str, tmp_path: Path) -> None:
    """No speed, no unit, walking pace, swings turned round: one sentence that names the option."""
    file = tmp_path / "camper.toml"
    file.write_text(CAMPER, encoding="utf-8")
    result = CliRunner().invoke(main, ["sway", str(file), "--felt", line])
    assert result.exit_code == 2
    assert result.stderr.count("\n") == 1
    assert said in result.stderr
    assert "felt: expected" in result.stderr


@pytest.mark.parametrize(
    ("felt", "said"),
    [
        ('[felt.a]\nwhat = "swayed"\n', "felt.a.speed"),
        (told(more='swings = "3 to 40"'), "fewest swings first, then most, 20 at most"),
        (told(more="swings = [2, 3]"), "felt.truck.swings"),
        (told("swayed"), "swings where it settled"),
        (told("steady"), "swings where it settled"),
        (told(speed="10 mph"), "from 18 mph or 29 km/h up"),
        (told(more='swings = "2 to 3"\nwrong = "100 %"'), "a chance under 100 %"),
        (told().replace("back-home", "moon"), "one of the stages"),
    ],
)
def test_a_bad_table_names_its_key(felt: str, said: str) -> None:
    """A felt reading without speed, without swings, at walking pace: refused with file and key."""
    with pytest.raises(FaultError) as it:
        parse_rig(CAMPER + felt, "camper.toml")
    assert said in str(it.value)
    assert "camper.toml, line" in str(it.value)


def test_it_is_told_and_reported(tmp_path: Path) -> None:
    """`sway --felt` tells what it does; JSON has it with both intervals."""
    file, runner = tmp_path / "camper.toml", CliRunner()
    file.write_text(CAMPER, encoding="utf-8")
    call = ["sway", str(file), "--stage", "back-home", "--felt"]
    plain = runner.invoke(main, [*call, "settled in 2 to 3 swings at 62 mph"])
    as_json = runner.invoke(main, [*call, "swayed at 55 mph", "--json"])
    bare = runner.invoke(main, ["sway", str(file)])
    said = " ".join(plain.stdout.split())
    assert "Felt at 62 mph: it swung and settled in 2 to 3 swings. Damping ratio there:" in said
    assert "It makes no speed beyond that one calmer." in said
    (one,) = json.loads(as_json.stdout)["stages"][0]["felt"]
    assert one["telling"]["what"] == "swayed"
    assert one["damping"]["value"] < one["damping_without"]["value"]
    after, before = (
        f"{band['value']:.2f} ({band['low']:.2f} to {band['high']:.2f})"
        for band in (one["damping"], one["damping_without"])
    )
    swayed = " ".join(runner.invoke(main, [*call, "swayed at 55 mph"]).stdout.split())
    assert f"it swayed. Damping ratio there: {after}; without it {before}. Stay well" in swayed
    assert "Only what came by itself: never try it out." in " ".join(bare.stdout.split())
    assert len(bare.stdout.splitlines()) <= 30


def test_what_is_left_out_says_little() -> None:
    """Settled in any number of swings, or steady for five minutes: hardly sharper than before."""
    bare = answers()["back-home"].at_damping
    for felt in (told(more=""), told("steady", more="")):
        band = answers(felt)["back-home"].at_damping
        width = float(band.high - band.low) / float(bare.high - bare.low)
        assert 0.85 < width <= 1.001


def test_the_card_warns_of_a_speed_at_which_it_swayed() -> None:
    """A speed at which it was felt to sway stands on the card, in the trade's words, one of the day
    since when the rig is so too; one from before does not."""
    felt = told("swayed", "55 mph", 'date = "2026-04-30"')
    rig = parse_rig(CAMPER + felt)
    assert list(warnings(rig, "us")) == ["It swayed at 55 mph, as was felt: stay well under that."]
    lines = " ".join(next(one for one in card(rig).notes if one.title == "Speed").lines)
    assert "It swayed at 55 mph, as was felt" in lines
    assert Trade("uk").said("It swayed at 55 mph") == "It snaked at 55 mph"
    old = CAMPER.replace("\n[vehicle]", '\nsince = "2026-05-03"\n[vehicle]', 1) + felt
    assert list(warnings(parse_rig(old), "us")) == []
    same = old.replace('since = "2026-05-03"', 'since = "2026-04-30"')
    assert list(warnings(parse_rig(same), "us")) == list(warnings(rig, "us"))


@pytest.mark.parametrize(("asked", "calmer"), [("62 mph", True), ("62.1 mph", False)])
def test_the_first_answer_heeds_good_news_up_to_the_speed_driven(asked: str, calmer: bool) -> None:
    """Three hours steady at 62 mph: asked about that speed there is less chance of too little
    damping than the file alone says, asked about a faster one there is no less."""
    text = CAMPER.replace('speed = "62 mph"', f'speed = "{asked}"', 1)
    felt = told("steady", more='lasting = "3 h"')
    before, after = (
        next(one for one in damped(opened(parse_rig(rig))) if one.key == "back-home")
        for rig in (text, text + felt)
    )
    assert (after.chance < before.chance) == calmer
    assert (after.value > before.value) == calmer
    assert after.best == after.value
