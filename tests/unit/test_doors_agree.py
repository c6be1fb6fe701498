"""Whatever two commands both tell of a rig comes from one opening: it is the same number."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from tests.rigs import plain

from steelyard.assessment import assess
from steelyard.braking.stage_road import road
from steelyard.cards.content import card
from steelyard.cli import main
from steelyard.files import read_rig
from steelyard.files.demo import demo_rigs
from steelyard.hitching.fit import fit
from steelyard.rig import Rig
from steelyard.scene import opened, under_way
from steelyard.swaying.stage_sway import sway
from steelyard.words.bars import bar_lines
from steelyard.words.road import push_line

FLOWS = """format = 1
name = "Perihelion trip"
[vehicle]
class = "half-ton-crew-cab"
payload = "1500 lb"
rear = { gawr = "3900 lb" }
[vehicle.tanks.fuel]
capacity = "26 gal"
[hitch.bars]
rating = "800 lb"
[trailer]
style = "rear-living"
gvwr = "6200 lb"
empty = { weight = "5000 lb" }
[trailer.tanks.fresh]
content = "fresh"
capacity = "40 gal"
station = "6 ft"
[trailer.tanks.grey]
content = "grey"
capacity = "40 gal"
station = "15 ft"
[places.nose]
station = "4 ft"
length = "3 ft"
[places.bed]
on = "vehicle"
station = "12 ft"
[items.tent]
weight = "150 lb"
place = "nose"
[items.tools]
weight = "200 lb"
place = "bed"
[people.Ada]
seat = "driver"
[stages.home]
tanks = { fresh = "full", grey = "empty" }
vehicle_tanks = { fuel = "full" }
[stages.camp]
water_used = "15 gal"
distance = "120 mi"
fuel_use = "12 mpg"
"""
"""A trip whose last levels follow from what flows, bars set at its first stage."""


@pytest.fixture(params=["flows", "perihelion-camper.toml", "perihelion-tractor.toml"])
def rig(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """Give a rig file."""
    path = tmp_path / "rig.toml"
    path.write_text(FLOWS if request.param == "flows" else demo_rigs()[request.param], "utf-8")
    return path


def told(*words: str | Path) -> Any:
    """The JSON of a command."""
    result = CliRunner().invoke(main, [str(word) for word in (*words, "--json")])
    assert result.exit_code in (0, 1, 3), result.output
    return json.loads(result.stdout)


def test_loads_and_limits(rig: Path) -> None:
    """check, ledger, trip, stow and move tell one tongue weight, one share, the same axles and the
    same limits at every stage: medians, best estimates, spreads and chances to the last digit."""
    stages = told("check", rig)["stages"]
    others = [told(name, rig)["stages"] for name in ("trip", "ledger")]
    others.append(told("stow", rig, "--seconds", "1")["before"]["stages"])
    item = next(iter(read_rig(rig).items))
    others.append(
        told("move", rig, item, "--to", read_rig(rig).items[item].place)["before"]["stages"]
    )
    for other in others:
        for one, theirs in zip(stages, other, strict=True):
            shared = one.keys() & theirs.keys()
            assert {"tongue"} <= shared
            assert {key: theirs[key] for key in shared} == {key: one[key] for key in shared}


def test_sway(rig: Path) -> None:
    """sway, trip and stow tell one damping ratio at every stage; of a rig whose levels follow from
    its trip as of the one in which they have followed."""
    stages = {one["key"]: one for one in told("sway", rig)["stages"]}
    for row in told("trip", rig)["sway"]:
        found = stages[row["stage"]]["asked"]["damping"]
        assert (row["damping"], row["best_damping"]) == (found["value"], found["best"])
    facts = read_rig(rig)
    one, other = sway(facts, speeds=(), samples=64), sway(under_way(facts), speeds=(), samples=64)
    assert [s.at_damping.best for s in one] == [s.at_damping.best for s in other]


def test_a_stage_by_itself(rig: Path) -> None:
    """One stage asked for alone is told as among all, and so is a rig that is opened already."""
    facts = read_rig(rig)
    scene = opened(facts, draws=256)
    whole, again = assess(facts, draws=256), assess(scene)
    last = whole.stages[-1]
    alone = assess(facts, stages=(last.key,), draws=256).stages[0]
    assert again.stages[-1].tongue == last.tongue
    assert alone.tongue.weight_kg.best == pytest.approx(last.tongue.weight_kg.best, rel=1e-12)
    assert [one.verdict for one in alone.limits] == [one.verdict for one in last.limits]


def test_at_its_rating_once_weighed(tmp_path: Path) -> None:
    """A rear axle that weighs just what it is rated: nobody can tell and no reading settles it, so
    it is said how much to take off; before the weighing it is to be weighed."""
    rig, ticket = tmp_path / "rig.toml", tmp_path / "ticket.toml"
    heavy = FLOWS.replace("800 lb", "2000 lb").replace("1500 lb", "2500 lb")
    rig.write_text(heavy.replace("format = 1", "format = 1\neverything_listed = true"), "utf-8")
    ticket.write_text(
        'ticket = 1\n[passes.on]\narrangement = "coupled"\nbars = "on"\nstage = "home"\n'
        'readings = [{ kind = "platform", axles = ["rear"], weight = "3900 lb" }]\n',
        "utf-8",
    )
    words = ["check", str(rig), "--stage", "home", "--all"]
    bare = CliRunner().invoke(main, words).output
    weighed = CliRunner().invoke(main, [*words, "--with", str(ticket)]).output
    assert "Weigh the rear axle" in " ".join(bare.split())
    assert "It is weighed, and at its rating: take" in " ".join(weighed.split())


def test_one_median_where_some_draws_tip() -> None:
    """A load that may stand anywhere: the tongue share on the ball is that held against its band,
    and an axle's load that against its rating."""
    data = plain(items={"car": ("trailer", 1700.0, 6.0)}, weight=900.0).model_dump(
        exclude_none=True, by_alias=True
    )
    data["items"]["car"]["station"] = "6 m +- 2.5 m"
    (stage,) = assess(Rig.model_validate(data)).stages
    held = {limit.name: limit.value for limit in (*stage.limits, *stage.notes)}
    assert np.isnan(opened(Rig.model_validate(data)).loads.tongue).any()
    assert stage.tongue.share.value == held["tongue-band"]
    assert stage.axles[1].weight_kg.value == held["vehicle.rear.gawr"]


def test_the_card_tells_of_brakes_and_hitch_what_the_commands_tell(tmp_path: Path) -> None:
    """Its push and its level ball come of as many draws as those of `road` and `fit`."""
    path = tmp_path / "rig.toml"
    path.write_text(FLOWS, "utf-8")
    rig = read_rig(path)
    found = assess(rig)
    lines = " ".join(line for part in card(rig, found=found).notes for line in part.lines)
    (one,) = road(rig, None, (found.worst_stage.key,))
    assert push_line(one.stances, "us", one.brakes).partition(";")[0] in lines
    bars = fit(rig).bars
    assert bars is not None
    assert list(bar_lines(bars, "us"))[2] in lines
