"""The doors `trip`, `stow` and `move`: what they print, their exit codes, and what they write."""

import json
import re
from dataclasses import replace
from itertools import product
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest
from click.testing import CliRunner, Result

from steelyard import assess
from steelyard.cli import main
from steelyard.cli.stow_words import _places, footing_lines
from steelyard.files import parse_rig, read_rig
from steelyard.files.demo import demo_rigs
from steelyard.stowing.boarding import Boarding
from steelyard.stowing.move_order import Sequence as Order
from steelyard.stowing.plan import Found
from steelyard.stowing.program import Goal
from steelyard.stowing.slides import Slide
from steelyard.stowing.station import Footing
from steelyard.stowing.stow import Stowed
from steelyard.words.stowed import (
    _weigh,
    boarding_words,
    goal_words,
    less_calm,
    on_the_way,
    slid_words,
    stop_words,
)


@pytest.fixture
def rig(tmp_path: Path) -> Path:
    """Give the demo camper in a file of its own."""
    path = tmp_path / "camper.toml"
    text = next(text for name, text in demo_rigs().items() if "camper" in name)
    path.write_text(text, encoding="utf-8")
    return path


def run(*words: str | Path) -> Result:
    """Run a command; whatever it prints is at most 80 columns wide."""
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    if "--json" not in words and "--starter" not in words and result.exit_code != 2:
        assert max((len(line) for line in result.output.splitlines()), default=0) <= 80
    return result


def test_trip_names_the_worst_stage(rig: Path) -> None:
    """Every stage has its row and the worst is named."""
    result = run("trip", rig)
    assert result.exit_code == 3
    assert "The worst stage is “first night”" in " ".join(result.output.split())
    assert all(word in result.output for word in ("leaving home", "back home", "tank levels"))


def test_trip_for_programs(rig: Path) -> None:
    """The report comes with the flows and the worst stage's key."""
    found = json.loads(run("trip", rig, "--json").output)
    assert found["worst_stage"] == "first-night"
    assert found["flows"] == []


def test_trip_with_flows(rig: Path) -> None:
    """A leg's fuel and water are told, and a leg that cannot be is a sentence."""
    text = rig.read_text(encoding="utf-8")
    leg = '[stages.noon]\ndistance = "120 mi"\nfuel_use = "11 mpg"\nwater_used = "{} gal"\n\n'
    rig.write_text(text.replace("[stages.first-night]", leg.format(3) + "[stages.first-night]"))
    told = " ".join(run("trip", rig).output.split())
    assert "10.9 gal of fuel burnt; 3.0 gal of water used: 2.4 gal into gray" in told
    rig.write_text(text.replace("[stages.first-night]", leg.format(30) + "[stages.first-night]"))
    result = run("trip", rig)
    assert result.exit_code == 2
    assert "stages.noon" in result.output


@pytest.mark.parametrize("command", ["check", "trip", "stow"])
def test_figures_are_drawn(rig: Path, tmp_path: Path, command: str) -> None:
    """A figure is written where asked, as what its ending says; another ending is refused."""
    for ending, first in (("svg", b"<svg "), ("png", b"\x89PNG"), ("pdf", b"%PDF-")):
        path = tmp_path / f"a.{ending}"
        run(command, rig, "--figure", path)
        assert path.read_bytes().startswith(first)
    assert run(command, rig, "--figure", tmp_path / "a.gif").exit_code == 2


def test_stow_tells_and_saves(rig: Path) -> None:
    """The plan is told with its proof, saved with a backup, and a second look moves nothing."""
    before = rig.read_text(encoding="utf-8")
    result = run("stow", rig, "--write", "--all")
    told = " ".join(result.output.split())
    assert result.exit_code == 0
    assert "everything has a place" in told
    assert "Tie-down strength is not looked at" in told
    assert "the plan holds in the full balance" in told
    assert rig.with_name("camper.toml.bak").read_text(encoding="utf-8") == before
    again = json.loads(run("stow", rig, "--json").output)
    assert again["before"]["verdict"] == "within"


def test_stow_for_programs(rig: Path) -> None:
    """The plan, the goals with their bounds, the moves, and both reports."""
    found = json.loads(run("stow", rig, "--json", "--keep", "generator").output)
    assert found["plan"]["generator"] == "bed"
    assert [goal["name"] for goal in found["goals"]] == ["share", "spread", "moves"]
    assert found["after"]["verdict"] == "within"
    assert len(found["moves"]) >= 1


def test_stow_with_a_list(rig: Path, tmp_path: Path) -> None:
    """Items of a list are stowed with the rest and written into the file."""
    listed = tmp_path / "more.csv"
    listed.write_text("item,weight (lb),place\ncooler,40,pickup bed\n", encoding="utf-8")
    result = run("stow", rig, "--manifest", listed, "--write")
    assert result.exit_code == 0
    assert "cooler" in read_rig(rig).items


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--keep", "canoe"), "canoe"),
        (("--target", "80 %"), "under 50 %"),
        (("--target", "12"), "expected a share"),
        (("--slide", "canoe"), "canoe"),
        (("--manifest", "none.csv"), "none.csv"),
        (("--seconds", "0"), "above 0"),
        (("--seconds", "nan"), "above 0"),
        (("--near", "-5 lb"), "above 0"),
        (("--moves", "0"), "from 1 up, found 0"),
        (("--slide", "bikes", "--figure", "a.svg"), "no --figure"),
    ],
)
def test_stow_bad_input(rig: Path, words: tuple[str, ...], told: str) -> None:
    """Bad input is one sentence and exit code 2; the file is not touched."""
    before = rig.read_text(encoding="utf-8")
    result = run("stow", rig, *words)
    assert result.exit_code == 2
    assert told in result.output
    assert rig.read_text(encoding="utf-8") == before


def test_starter_list(rig: Path) -> None:
    """The starter list is CSV with its sources."""
    output = run("stow", rig, "--starter", "camping").output
    assert output == run("stow", "--starter", "camping").output
    assert output.startswith("item,weight,place,note\n")
    assert "assumed" in output


def test_slide_says_where(tmp_path: Path) -> None:
    """A tractor's best station is told from its front wheels to the headboard."""
    path = tmp_path / "tractor.toml"
    text = next(text for name, text in demo_rigs().items() if "tractor" in name)
    path.write_text(
        text.replace("[items.tractor]", '[items.tractor]\nfront_wheels = "38 in"\nslides = true'),
        encoding="utf-8",
    )
    stated = read_rig(path).items["tractor"]
    written = (stated.station or read_rig(path).places[stated.place].station).text
    units = re.sub(r"[\d.]+", "#", written.split(" +-")[0])
    told = " ".join(run("stow", path, "--slide", "tractor", "--target", "12%").output.split())
    assert "behind the headerboard of deck (12.0 %), ±" in told
    assert "keeps 11-13 %" in told
    assert "Tie-down" in told
    assert run("stow", path, "--slide", "tractor", "--target", "12%", "--write").exit_code == 0
    saved = read_rig(path).items["tractor"].station
    assert saved is not None
    assert saved.sd is not None
    found = json.loads(run("stow", path, "--slide", "tractor", "--target", "12%", "--json").output)
    assert saved.value == pytest.approx(found["slide"][0]["best_station_m"], abs=0.003)
    assert re.sub(r"[\d.]+", "#", saved.text.split(" +-")[0]) == units


def test_slide_names_ends_where_no_wheels_are_said(tmp_path: Path) -> None:
    """A thing of a stated length but no wheels is told by its end."""
    path = tmp_path / "tractor.toml"
    text = next(text for name, text in demo_rigs().items() if "tractor" in name)
    size = '[items.tractor]\nsize = ["9 ft", "4 ft", "5 ft"]'
    path.write_text(text.replace("[items.tractor]", size), encoding="utf-8")
    told = " ".join(run("stow", path, "--slide", "tractor").output.split())
    assert "tractor: front end" in told


@pytest.mark.parametrize(
    ("before", "worst", "peak", "told"),
    [
        (-40.0, 20.0, 1, "after move 1 (bikes): a limit is missed by 20 kg, held now"),
        (30.0, 80.0, 1, "after move 1 (bikes): 50 kg worse than now"),
        (30.0, 10.0, None, "No moment on the way is worse than it is now."),
        (-40.0, -5.0, None, "Every limit that the moves touch holds at each moment"),
    ],
)
def test_the_worst_moment_is_told_against_now(
    before: float, worst: float, peak: int | None, told: str
) -> None:
    """By how much a limit is missed that holds now, or more than it is missed now."""
    moves = [SimpleNamespace(item="bikes", worst=worst)]
    order = SimpleNamespace(worst_before=before, peak=peak, moves=moves)
    assert told in on_the_way(cast("Order", order), "metric")


@pytest.mark.parametrize(
    ("share", "way"), [((0.09, 0.10), "more"), ((0.13, 0.14), "less"), ((0.11, 0.12), "more")]
)
def test_where_a_thing_may_stand_is_told_from_the_headboard(
    share: tuple[float, float], way: str
) -> None:
    """Wheels half a metre ahead of a centre that may stand from 3.5 to 4.1 m, best at 4.0 m, on a
    deck that begins at 1.0 m: 2.5 m behind its front edge, from 2.0 to 2.6 m, and ± no more than
    the nearer end leaves. Shares below the one aimed at are kept from more, above it from less."""
    found = Footing(
        item="tractor",
        place="deck",
        backwards=False,
        ahead=0.5,
        behind=0.7,
        wheels=True,
        headboard=1.0,
        best=4.0,
        low=3.5,
        high=4.1,
        exceeded=True,
        share=share,
        share_low=0.11,
        share_high=0.13,
        stopped_by="the end of the deck",
        stop=None,
    )
    rig = parse_rig(demo_rigs()["perihelion-tractor.toml"])
    told = " ".join(" ".join(footing_lines(rig, (found,), "metric")).split())
    assert "front wheels 2,500 mm behind the headerboard of deck" in told
    assert "± 100 mm keeps 11-13 %; anywhere from 2,000 mm to 2,600 mm does" in told
    nowhere = replace(found, low=None, high=None)
    told = " ".join(" ".join(footing_lines(rig, (nowhere,), "metric")).split())
    assert f"the end of the deck stops {way}." in told


@pytest.mark.parametrize(
    ("ball", "told"),
    [
        (
            30.0,
            "takes up to 90 kg off the ball until it is forward: coupled, 30 kg stays on it and",
        ),
        (-30.0, "it pulls up by 30 kg and 40 kg comes off the vehicle's rear axle;"),
        (-30.0, "First stands under the tail, for 250 kg at least"),
    ],
)
def test_what_rolling_a_load_on_does_is_told(ball: float, told: str) -> None:
    """What stays on the ball or pulls it up, and what the stands must bear, each its own."""
    one = SimpleNamespace(item="tractor", weight=700.0, lift=90.0, ball=ball, rear=40.0)
    one.stand = 250.0
    assert told in boarding_words(cast("Boarding", one), "metric")


@pytest.mark.parametrize(("to", "told"), [(4.5, "slide it 500 mm aft"), (3.5, "500 mm forward")])
def test_a_slide_to_a_further_station_is_aft(to: float, told: str) -> None:
    """Stations grow from the ball backwards."""
    one = SimpleNamespace(item="it", start=4.0, to=to)
    assert slid_words(cast("Slide", one), "metric").endswith(told)


@pytest.mark.parametrize(("share", "way"), [(0.09, "more"), (0.14, "less")])
def test_a_ball_off_its_target_is_told_which_way_is_stopped(share: float, way: str) -> None:
    """Under the 12 % aimed at nothing gives more, above it less, told of the stage furthest off,
    not of one that is a little off the other way."""
    stages = []
    for one in (0.12 + (0.12 - share) / 6, share):
        weight, part = SimpleNamespace(best=2000 * one), SimpleNamespace(value=one)
        tongue = SimpleNamespace(weight_kg=weight, share=part)
        stages.append(SimpleNamespace(tongue=tongue, trailer_kg=SimpleNamespace(best=2000.0)))
    plan = SimpleNamespace(goals=[SimpleNamespace(value=60.0)], stop=None)
    plan.assessment = SimpleNamespace(stages=stages)
    told = stop_words(cast("Stowed", SimpleNamespace(found=plan, target=0.12, slides=())), "metric")
    assert told == f"{100 * share:.1f} %: nothing that may be moved gives {way}."


def test_a_plan_that_makes_sway_likelier_tells_the_worst_stage() -> None:
    """Of all stages at which it does, the likeliest then, from what it is now."""
    now, then = (
        tuple(
            SimpleNamespace(title=title, undriven=p, asked=0.1)
            for title, p in zip("abc", chances, strict=True)
        )
        for chances in ((0.02, 0.05, 0.4), (0.1, 0.3, 0.35))
    )
    found = SimpleNamespace(calm=now, found=SimpleNamespace(calm=then))
    assert "damping below 0.10, from 5.0 % to 30.0 % at “b”," in less_calm(cast("Stowed", found))


def test_only_what_changes_its_place_is_called_moved() -> None:
    """55 lb of chairs are 25 kg and 96 lb of bikes, which stay, 44 kg."""
    found = SimpleNamespace(rig=parse_rig(demo_rigs()["perihelion-camper.toml"]))
    plan = SimpleNamespace(plan={"chairs": "galley", "bikes": "rear-room"})
    lines = _places(cast("Stowed", found), cast("Found", plan), "metric")
    told = " ".join(" ".join(lines).split())
    assert "25 kg: chairs (moved)" in told
    assert "44 kg: bikes" in told
    assert "bikes (moved)" not in told


def test_move_in_one_line(rig: Path) -> None:
    """One sentence of what changes, and the limits whose standing is another."""
    result = run("move", rig, "bikes", "--to", "bed")
    assert result.exit_code == 1
    assert "bikes to pickup bed: ball +59 lb" in " ".join(result.output.split())
    assert "spring bars" in result.output


def test_move_several_and_save(rig: Path) -> None:
    """Several things and a tank at once, saved; comments stay and the old file is kept."""
    words = ("move", rig, "bikes", "chairs", "--to", "galley", "--to", "lounge")
    result = run(*words, "--water", "fresh=20gal", "--stage", "first-night", "--write")
    assert result.exit_code in (0, 1, 3)
    after = read_rig(rig)
    assert (after.items["bikes"].place, after.items["chairs"].place) == ("galley", "lounge")
    assert after.stages["first-night"].tanks["fresh"].volume is not None
    assert "# rear axle to ball, by tape" in rig.read_text(encoding="utf-8")
    assert rig.with_name("camper.toml.bak").is_file()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("bike", "--to", "bed"), 'did you mean "bikes"'),
        (("bikes", "--to", "attic"), "camper.toml, --to: expected one of the places"),
        (("bikes", "--to", "bed", "--water", "tea=1gal"), "camper.toml, --water: expected one of"),
        (("bikes",), "one --to"),
        ((), "found neither"),
        (("--water", "fresh"), "TANK=LEVEL"),
        (("--water", "fresh=900gal"), "at most"),
        (("--water", "soup=1gal"), "soup"),
        (("--water", "fresh=1gal", "--water", "fresh=2gal"), "each tank once"),
        (("bikes", "Bikes", "--to", "bed"), "each thing once"),
        (("bikes", "--to", "bed", "--stage", "first-night"), "expected --water beside it"),
    ],
)
def test_move_bad_input(rig: Path, words: tuple[str, ...], told: str) -> None:
    """Bad input is one sentence and exit code 2."""
    result = run("move", rig, *words)
    assert result.exit_code == 2
    assert told in result.output


TRIP = """
format = 1
[vehicle]
class = "half-ton-crew-cab"
tanks = { fuel = { content = "gasoline", capacity = "30 gal" } }
[trailer]
style = "rear-living"
gvwr = "7500 lb"
empty = { weight = "5300 lb", tongue_weight = "610 lb" }
axles = { station = "15 ft" }
[trailer.tanks]
fresh = { content = "fresh", capacity = "40 gal", station = "12 ft" }
grey = { content = "grey", capacity = "40 gal", station = "17 ft" }
[places.nose]
title = "front locker"
station = "5 ft"
[places.rear]
station = "22 ft"
[items.scope]
title = "travel telescope"
weight = "140 lb"
place = "rear"
[people.Ada]
seat = "driver"
[stages.home]      # full for once
tanks = { fresh = "full", grey = "empty" }
vehicle_tanks = { fuel = "full" }
[stages.camp]
distance = "100 mi"
fuel_use = "10 mpg"
water_used = "10 gal"
"""

OVER_THE_AXLE = """[vehicle]
wheelbase = "145 in"
overhang = "-2 in"
"""


@pytest.fixture
def trip(tmp_path: Path) -> Path:
    """Give a rig whose second stage's levels follow from the first."""
    path = tmp_path / "trip.toml"
    path.write_text(TRIP, encoding="utf-8")
    return path


def test_a_level_set_is_followed_by_those_after_it(trip: Path) -> None:
    """What `move --water` says of every stage is what `check` says of the file it then writes."""
    words = ("move", trip, "travel telescope", "--to", "Front Locker", "--water", "fresh=20gal")
    said = json.loads(run(*words, "--stage", "home", "--json", "--write").output)["after"]
    read = json.loads(run("check", trip, "--json").output)
    for one, other in zip(said["stages"], read["stages"], strict=True):
        for key in ("weight_kg", "share"):
            assert one["tongue"][key] == pytest.approx(other["tongue"][key], rel=1e-9)
    assert "# full for once" in trip.read_text(encoding="utf-8")


def test_a_trip_that_cannot_happen_is_told_with_its_line(trip: Path) -> None:
    """A stage that draws more water than there is: its table's line, counted here."""
    lines = [one.replace('"10 gal"', '"300 gal"') for one in TRIP.splitlines()]
    trip.write_text("\n".join(lines), encoding="utf-8")
    at = 1 + lines.index("[stages.camp]")
    assert f"trip.toml, line {at}, stages.camp: expected at most" in run("trip", trip).output


def test_what_rests_on_a_pin_is_compared_on_the_pin(tmp_path: Path) -> None:
    """Of a fifth wheel no line of the comparison speaks of a ball, and each stage is named once."""
    rig = tmp_path / "fifth.toml"
    words = TRIP.replace('"rear-living"', '"fifth-wheel"').replace("[vehicle]", OVER_THE_AXLE)
    rig.write_text(words, encoding="utf-8")
    said = run("compare", rig, "--stage-a", "home", "--stage-b", "camp").output
    assert "on the pin" in said
    assert "ball" not in said
    assert "home, home" not in said


def test_a_level_that_later_use_outruns_is_refused(trip: Path) -> None:
    """Less water than is then drawn: one sentence, code 2, nothing written."""
    words = ("move", trip, "--water", "fresh=5gal", "--stage", "home", "--write")
    result = run(*words)
    assert result.exit_code == 2
    assert "stages.camp: expected at most 5.0 gal to give in fresh" in result.output
    assert trip.read_text(encoding="utf-8") == TRIP


def test_what_stays_home_is_told_before_the_moves(trip: Path) -> None:
    """Together with the moves it adds up to what the ball gains from now to then."""
    heavy = TRIP.replace("[people", '[items.anvil]\nweight = "2500 lb"\nplace = "rear"\n[people')
    trip.write_text(heavy, encoding="utf-8")
    found = json.loads(run("stow", trip, "--json", "--tight", "30 %").output)
    assert found["left"] == ["anvil"]
    parts = [found["beforehand"], *found["moves"]]
    before, after = (found[key]["stages"][0]["tongue"] for key in ("before", "after"))
    gained = after["best_kg"] - before["best_kg"]
    assert sum(part["ball_kg"] for part in parts) == pytest.approx(gained, abs=0.05)
    run("stow", trip, "--tight", "30 %", "--write")
    assert "anvil" not in read_rig(trip).items


def test_free_water_is_told_and_saved(rig: Path) -> None:
    """How much to leave with stands in the answer and in the JSON, and --write puts it into the
    file, whose plan then stands as it is."""
    told = run("stow", rig, "--free-water", "fresh = 5 gal", "--write")
    assert "leave with" in told.output
    saved = read_rig(rig).stages["leaving-home"].tanks["fresh"]
    again = json.loads(run("stow", rig, "--free-water", "fresh=5 gal", "--json").output)
    assert saved.share is not None
    first = again["water"][0]
    assert first["stages"] == ["leaving-home"]
    full = read_rig(rig).trailer.tanks["fresh"].capacity.value * 1000  # kg, at 1 kg a litre
    assert first["levels_kg"][0] / full == pytest.approx(saved.share.value, abs=0.03)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("grey", 'expected one of the tanks of fresh water (fresh), found "grey"'),
        ("fresh=90 gal", "expected at most '36 gal' in fresh, found '90 gal'"),
        ("fresh=lots", "expected a tank level"),
    ],
)
def test_free_water_that_cannot_be(rig: Path, asked: str, said: str) -> None:
    """A tank that holds no fresh water, more than it holds, or no level: one sentence, code 2."""
    result = run("stow", rig, "--free-water", asked)
    assert result.exit_code == 2
    assert said in result.output


def test_trip_and_moves_tell_damping(rig: Path) -> None:
    """Each stage's damping in `trip` is what `sway` says of it, and each move has its own."""
    from steelyard.swaying.stage_sway import sway

    rows = json.loads(run("trip", rig, "--json").output)["sway"]
    whole = sway(read_rig(rig), speeds=(), samples=2)
    assert [row["best_damping"] for row in rows] == pytest.approx(
        [float(stage.at_damping.best) for stage in whole], abs=1e-9
    )
    plan = json.loads(run("stow", rig, "--json").output)
    assert plan["damping_now"] == pytest.approx(rows[0]["best_damping"], abs=1e-9)
    run("stow", rig, "--write")
    after = json.loads(run("trip", rig, "--json").output)["sway"][0]["best_damping"]
    assert plan["moves"][-1]["damping_after"] == pytest.approx(after, rel=1e-6)


BARE = """format = 1
everything_listed = true
name = "Perihelion loan camper"
region = "north-america"

[vehicle]
class = "half-ton-crew-cab"
gvwr = "7100 lb"
payload = "1650 lb"
front = { gawr = "3900 lb" }
rear = { gawr = "4100 lb" }
tow_rating = "9500 lb"

[hitch.receiver]
rating_trailer = "12000 lb"
rating_tongue = "1200 lb"

[trailer]
style = "rear-living"
gvwr = "9000 lb"
empty = { weight = "7300 lb", tongue_weight = "745 lb" }

[places.bed]
on = "vehicle"
station = "150 in"
[places.back-room]
on = "trailer"
station = "290 in"
capacity = "400 lb"

[items.bikes]
weight = "110 lb"
place = "back-room"
[items.bags]
weight = "160 lb"
place = "back-room"

[people.Ada]
seat = "driver"
weight = "170 lb"
[people.Milo]
seat = "passenger"
"""


REFUSED = ("tight", "cannot tell", "exceeded")


def test_the_statics_let_nothing_ride() -> None:
    """Each of the eight ways to take something along, by the statics alone, is tight or worse."""
    rig = parse_rig(BARE)
    for places in product((None, "bed", "back-room"), repeat=2):
        items = {
            name: item.model_copy(update={"place": place})
            for (name, item), place in zip(rig.items.items(), places, strict=True)
            if place is not None
        }
        if items:
            assert assess(rig.model_copy(update={"items": items})).verdict in REFUSED


def test_what_the_spread_alone_forbids_rides(tmp_path: Path) -> None:
    """Where the spread alone lets nothing ride, all of it rides by a plan that says weigh first."""
    path = tmp_path / "loan.toml"
    path.write_text(BARE, encoding="utf-8")
    result = run("stow", path, "--write")
    assert result.exit_code == 3
    assert "Weigh first" in " ".join(result.output.split())
    assert set(read_rig(path).items) == {"bikes", "bags"}


def test_nothing_may_ride(tmp_path: Path) -> None:
    """Where nothing may ride at the best estimate either, all of it stays home: told, and written,
    as that."""
    path = tmp_path / "loan.toml"
    heavy = BARE.replace('"110 lb"', '"1110 lb"').replace('"160 lb"', '"1160 lb"')
    heavy = heavy.replace('capacity = "400 lb"\n', "")
    path.write_text(heavy, encoding="utf-8")
    result = run("stow", path, "--write", "--all")
    said = " ".join(result.output.split())
    assert result.exit_code == 1
    assert "Leave bikes, bags home" in said
    assert "with none of it aboard" in said
    alone = "One place alone is stated on the trailer: state others, and they are tried."
    assert alone in said
    assert read_rig(path).items == {}
    assert path.with_suffix(".toml.bak").read_text("utf-8") == heavy


def test_an_item_without_a_place_gets_one(rig: Path) -> None:
    """What the file gives no place is put into one that may hold it, told first, and saved there;
    every other command asks for the place; a file without places is asked for it here too."""
    text = rig.read_text(encoding="utf-8")
    start = text.index("[items.bikes]")
    end = text.index("\n[", start)
    bare = "\n".join(
        line for line in text[start:end].splitlines() if not line.startswith(("place", "station"))
    )
    rig.write_text(text[:start] + bare + "\n" + text[end:], encoding="utf-8")
    asked = run("check", rig)
    assert asked.exit_code == 2
    assert "items.bikes.place" in asked.output
    told = run("stow", rig, "--write")
    assert told.output.startswith("bikes had no place: it goes into ")
    placed = read_rig(rig)
    assert placed.items["bikes"].place in placed.places
    assert run("check", rig).exit_code != 2


def test_what_a_plan_rests_on_is_the_worst_of_its_stages() -> None:
    """A limit that is open at several stages is told by its greatest chance, the likeliest first;
    what is within is not named."""

    def stage(*limits: tuple[str, float, str]) -> SimpleNamespace:
        names = ("title", "chance", "verdict")
        return SimpleNamespace(
            limits=[SimpleNamespace(**dict(zip(names, one, strict=True))) for one in limits]
        )

    stages = [
        stage(("rear axle", 0.30, "cannot tell"), ("GVWR", 0.04, "tight")),
        stage(("rear axle", 0.05, "tight"), ("GVWR", 0.11, "tight"), ("GCWR", 0.001, "within")),
    ]
    found = SimpleNamespace(
        weigh=True, unmended=(), found=SimpleNamespace(assessment=SimpleNamespace(stages=stages))
    )
    said = " Weigh first: rear axle, GVWR may not hold, 30 % at most, for the spread alone."
    assert _weigh(cast("Stowed", found)) == said


def test_a_move_is_told_where_the_thing_is_aboard(tmp_path: Path) -> None:
    """Firewood that is burnt before the worst stage: what moving it does is told of a stage that
    has it, not "+0 lb" of the one that has not."""
    path = tmp_path / "rig.toml"
    path.write_text(
        """format = 1
[vehicle]
class = "half-ton-crew-cab"
[trailer]
style = "rear-bunk"
gvwr = "7600 lb"
[trailer.empty]
weight = "6050 lb"
tongue_weight = "720 lb"
[trailer.axles]
station = "18 ft"
[trailer.tanks.grey]
content = "grey"
capacity = "90 gal"
station = "18 ft"
[places.front]
station = "5 ft"
[places.rear]
station = "27 ft"
[items.firewood]
weight = "150 lb"
place = "front"
[stages.leave]
tanks = { grey = "empty" }
[stages.home]
tanks = { grey = "full" }
without = ["firewood"]
""",
        encoding="utf-8",
    )
    told = " ".join(run("move", path, "firewood", "--to", "rear").output.split())
    assert "at “leave”" in told.partition(";")[0]
    assert "firewood to rear: ball −" in told


@pytest.mark.parametrize(("bound", "told"), [(2.0, "2.0 kg"), (-3.0, "0.0 kg")])
def test_how_near_a_plan_may_come_is_no_less_than_nothing(bound: float, told: str) -> None:
    """By the planner's sums, which may be off by what pitch moves; a distance is never below 0."""
    goal = Goal(name="share", value=4.0, bound=bound, seconds=1.0)
    found = SimpleNamespace(found=SimpleNamespace(proven=False), target=0.12)
    said = goal_words(goal, cast("Stowed", found), "metric")
    assert said.startswith("the ball is at most 4.0 kg from 12")
    assert said.endswith(f"none gets under {told}")
