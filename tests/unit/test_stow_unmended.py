"""What no load mends stops no plan: the rest is mended beside it, and it is told by its chance."""

import json
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import tomlkit
from benchmarks.cargo import facts
from click.testing import CliRunner
from tests.random_rigs import rig as random_rig

from steelyard.assessment import assess
from steelyard.cli import main
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.ratings import LIKELY, TIGHT
from steelyard.rig import Rig
from steelyard.scene import opened
from steelyard.stowing.arrange import now
from steelyard.stowing.mend import mend
from steelyard.stowing.plan import EVEN
from steelyard.stowing.question import Wish, lay, rows_at, watered
from steelyard.stowing.station import footings, sliding
from steelyard.stowing.stow import Stowed, stow
from steelyard.stowing.unmended import Unmended, _lightest, unmended
from steelyard.words.stowed import _beyond, cure_words, plan_verdict

QUICK = Wish(draws=512)
CARAVAN = """format = 1
country = "GB"
[vehicle]
class = "mid-size-suv"
gvwr = "2560 kg"
[trailer]
style = "centre-axle-caravan"
gvwr = "1640 kg"
[trailer.empty]
weight = { value = "1320 kg", kind = "label", includes = ["propane", "battery"] }
tongue_weight = "90 kg"
[places.boot]
on = "vehicle"
station = "3.3 m"
[places.wardrobe]
station = "4.6 m"
[places.bunk]
station = "6.2 m"
[items.awning]
weight = "34 kg"
place = "bunk"
[items.clothes]
weight = "78 kg"
place = "wardrobe"
[items.tools]
weight = "26 kg"
place = "bunk"
[people.anna]
weight = "75 kg"
seat = "driver"
[people.ben]
weight = "85 kg"
seat = "passenger"
"""


def table(gvwr: float) -> dict[str, Any]:
    """A rig of eight things whose trailer, of unsure empty weight, is rated so many lb."""
    data = facts(8, 5, 1, 3)
    data["trailer"]["empty"]["weight"] = {"value": "5600 lb +- 500 lb", "basis": "stated"}
    data["trailer"]["gvwr"] = f"{gvwr:.0f} lb"
    return data


def found(gvwr: float) -> Stowed:
    """The plan of such a rig."""
    return stow(Rig.model_validate(table(gvwr)), wish=QUICK)


def chance(answer: Stowed, *, then: bool) -> float:
    """Chance that the trailer's own rating does not hold, now or by the plan."""
    assert answer.found is not None
    stages = (answer.found.assessment if then else answer.before).stages
    return max(one.chance for s in stages for one in s.limits if one.name == "trailer.gvwr")


@pytest.mark.parametrize("gvwr", [5900, 6100, 6700])
def test_a_rating_that_no_load_mends_stops_no_plan(gvwr: float) -> None:
    """Everything has a place, all else holds as surely as asked, the rating gets no worse, and the
    verdict tells how it stands with nothing aboard."""
    answer = found(gvwr)
    assert answer.found is not None
    assert "trailer GVWR" in [one.title for one in answer.unmended]
    assert chance(answer, then=True) <= chance(answer, then=False) + 0.01
    assert answer.left == () or answer.weigh
    if not answer.weigh:
        for stage in answer.found.assessment.stages:
            for one in stage.limits:
                beside = one.title in [known.title for known in answer.unmended]
                assert beside or one.verdict == "unknown" or one.chance < TIGHT
    assert "with nothing aboard" in plan_verdict(answer)


@pytest.mark.parametrize("gvwr", [5900, 6700])
def test_what_can_be_mended_is_beside_it(gvwr: float) -> None:
    """Moves mend what is wrong besides, as surely as asked, and are not said to mend the rating."""
    answer = found(gvwr)
    assert answer.cure is not None
    assert answer.cure.moves
    known = {one.title for one in answer.cure.unmended}
    assert known == {"trailer GVWR"}
    mended = set(answer.wrong) - known
    assert mended
    for stage in answer.cure.found.assessment.stages:
        assert all(one.chance < TIGHT for one in stage.limits if one.title in mended)
    assert "mends trailer GVWR" not in cure_words(answer, "us")


def test_less_is_to_be_carried_where_that_helps_any() -> None:
    """Of two limits that are over wherever things ride, one would hold with nothing aboard."""
    limits = assess(parse_rig(demo_rigs()["perihelion-camper.toml"])).stages[0].limits
    over = [replace(one, verdict="exceeded") for one in limits[1:3]]
    one = Unmended(title=over[0].title, now=0.95, bare=0.1, freed=False, edges={})
    plan = SimpleNamespace(
        assessment=SimpleNamespace(stages=[SimpleNamespace(limits=over, notes=())])
    )
    said = _beyond(cast("Stowed", SimpleNamespace(found=plan, unmended=(one,))))
    assert over[0].title in said
    assert over[1].title in said
    assert ": carry less." in said


def test_the_least_that_a_load_can_add() -> None:
    """To limits on weights, which add up: each thing where the statics find it best alone, or at
    home, and the tank as empty or as full as it may be, whichever is better."""
    table = lay(
        Rig.model_validate(facts(5, 3, 1, 2)),
        None,
        Wish(water={"fresh": 0.0}, sway=True, draws=16),
    )
    bare = rows_at(table, {})
    (run,) = table.cargo.runs
    least = np.minimum.reduce(
        [
            rows_at(watered(table, np.array([end * run.capacity])), {}).base - bare.base
            for end in (run.low, run.high)
        ]
    )
    assert _lightest(table, bare, {}, {}) == pytest.approx(least, rel=0.1, abs=0.05)
    for item in table.rig.items:
        each = [rows_at(table, {item: place}).base - bare.base for place in table.rig.places]
        least += np.minimum(np.minimum.reduce(each), 0.0)
    found = _lightest(table, bare, now(table.rig), {})
    sums = [
        k
        for k, side in enumerate(bare.sides)
        if side.title in ("trailer GVWR", "GCWR", "rear axle", "vehicle GVWR", "spring bars")
    ]
    assert len(sums) == 5
    assert found[sums] == pytest.approx(least[sums], abs=4.0)


def test_what_no_station_alters_stops_no_sliding() -> None:
    """A trailer over its rating wherever the tractor stands: the station is told all the same."""
    text = demo_rigs()["perihelion-tractor.toml"]
    low = text.replace('gvwr = "9990 lb"', 'gvwr = { value = "5000 lb", sure = true }')
    assert low != text
    one, two = (footings(parse_rig(each), "tractor")[0] for each in (text, low))
    assert two.best == pytest.approx(one.best, abs=0.01)
    assert (two.low is None) == (one.low is None)
    assert two.stopped_by != "trailer GVWR"


def test_a_cure_is_said_to_mend_what_it_mends() -> None:
    """Weight out of a trailer into a car mends the trailer's rating; the car's own, likelier broken
    then, is not named though it is among what is wrong."""
    answer = stow(parse_rig(CARAVAN), wish=QUICK)
    assert answer.cure is not None
    assert {"vehicle GVWR", "trailer GVWR"} <= set(answer.wrong)
    said = cure_words(answer, "metric")
    assert "trailer GVWR" in said.partition("mends ")[2]
    assert "vehicle" not in said.partition("mends ")[2].partition(";")[0]


def test_a_thing_slides_where_no_rating_is_known() -> None:
    """Nothing but the share decides where it stands: found without a limit to keep."""
    rig = Rig.model_validate(random_rig(20))
    (name,) = sliding(rig)
    assert footings(rig, name)[0].share


def test_what_rides_behind_may_free_what_is_over_with_nothing_aboard() -> None:
    """A towbar's S of 80 kg under a caravan of 100 kg empty: things at the tail take it below, so
    no answer says that no moving mends it; what would costs the share's floor or damping."""
    text = CARAVAN.replace("[trailer]", '[hitch.receiver]\ns_value = "80 kg"\n[trailer]')
    text = text.replace('"90 kg"', '"100 kg +- 4 kg"').replace('"4.6 m"', '"2.5 m"')
    text = text.replace('[items.awning]\nweight = "34 kg"', '[items.awning]\nweight = "60 kg"')
    text = text.replace('country = "GB"', 'country = "GB"\neverything_listed = true')
    rig = parse_rig(text)
    lying = lay(opened(rig, draws=512), None, QUICK)
    start, before = now(lying.rig), assess(rig)
    assert not unmended(lying, start, before, EVEN)
    named = {one.title: one for one in unmended(lying, start, before, None)}
    assert named["receiver: S"].freed
    assert min(named["receiver: S"].now, named["receiver: S"].bare) >= LIKELY
    held = mend(rig)
    assert held is None or "receiver: S" not in held.stuck


ROSE = 0.005
"""By which a chance may seem to have risen, being counted over draws (docs/method.md)."""


def _stowed(folder: Path, number: int) -> tuple[dict[str, Any], str]:
    """What `stow` answers of a random rig, for programs and for people."""
    path = folder / "rig.toml"
    path.write_text(tomlkit.dumps(random_rig(number)), encoding="utf-8")
    one, two = (
        CliRunner().invoke(main, ["stow", str(path), "--seconds", "1", *more]).stdout
        for more in (("--json",), ())
    )
    return json.loads(one), " ".join(two.split())


def _risen(answer: dict[str, Any]) -> dict[str, tuple[float, float]]:
    """Limits that are likelier not to hold by a plan than now, and not within: both chances at the
    worst stage, by title."""
    now, then = (
        {
            (stage["key"], one["name"]): one
            for stage in answer[when]["stages"]
            for one in (*stage["limits"], *stage["notes"])
            if one["chance_exceeded"] is not None
        }
        for when in ("before", "after")
    )
    up = {
        at: (now[at]["chance_exceeded"], one["chance_exceeded"])
        for at, one in then.items()
        if one["chance_exceeded"] > max(now[at]["chance_exceeded"] + ROSE, TIGHT)
    }
    return {then[at]["title"]: up[at] for at in sorted(up, key=lambda at: up[at][1])}


@pytest.mark.parametrize("number", [44, 46, 55])
def test_no_limit_gets_likelier_for_a_better_ball(tmp_path: Path, number: int) -> None:
    """Where nothing that the load touches is likelier broken than not, no plan buys a ball nearer
    its target with a limit likelier not to hold: of these three rigs each once rose (tongue share
    from 10 to 16 %, an axle from 4 to 5 %, tongue share from 30.5 to 31.6 %)."""
    answer, _ = _stowed(tmp_path, number)
    assert answer["plan"] is not None
    assert not _risen(answer)


def test_nothing_is_left_graver_for_a_limit_to_stay_as_it_is(tmp_path: Path) -> None:
    """A rear axle that is exceeded is brought to tight, not left for a weighing to tell, though the
    pin's share is then less sure than now: that is said."""
    answer, said = _stowed(tmp_path, 283)
    assert answer["after"]["verdict"] == "tight"
    ((_, then),) = _risen(answer).values()
    assert f"{100 * then:.1f} % then)" in said


def test_what_mends_something_graver_says_its_price(tmp_path: Path) -> None:
    """A trailer likelier over its rating than not is brought under it by weight that goes to the
    vehicle, whose own rating rises from 10 to 18 %: both chances are said."""
    answer, said = _stowed(tmp_path, 57)
    ((now, then),) = _risen(answer).values()
    assert f"({100 * now:.0f} % now, {100 * then:.0f} % then)" in said


def test_what_stands_in_the_way_with_all_of_it_at_home_is_told() -> None:
    """Rig 70 has six people, whom its payload bears as likely as not with nothing aboard, so no
    load mends it. What only the whole load presses, its combined rating, is no reason then."""
    found = stow(Rig.model_validate(random_rig(70)), wish=QUICK)
    assert found.found is None
    assert "placard payload" in found.conflict
    assert "GC" not in found.conflict
