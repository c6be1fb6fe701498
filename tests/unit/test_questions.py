"""A value that nobody believes unasked leaves its limits unknown until it is said to be sure."""

import csv
import json
import re
from functools import reduce
from pathlib import Path
from typing import Any, get_args

import pytest
import tomlkit
from click.testing import CliRunner

from steelyard import Rig, assess
from steelyard.cli import main
from steelyard.files import read_rig
from steelyard.files.demo import demo_rigs
from steelyard.files.reader import parse_rig
from steelyard.matching.candidates import tow_of, towed_of
from steelyard.matching.match import match
from steelyard.matching.rank import pairs
from steelyard.ratings import VERDICTS, questions
from steelyard.rig.kinds import TrailerStyle
from steelyard.typical.plausible import usual
from steelyard.walk.starting_rig import begun, laid

DATA = Path(__file__).parents[1] / "data"
"""Published rows with their sources (see `test_published_vehicles`, `test_published_trailers`)."""
TRAILER = {"style": "rear-living", "gvwr": "7000 lb", "empty": {"weight": "5000 lb"}}
TRUCK = {"class": "half-ton-crew-cab"}


def _asked(vehicle: dict[str, Any] | None = None, **trailer: Any) -> dict[str, str]:
    rig = Rig.model_validate(
        {"vehicle": {**TRUCK, **(vehicle or {})}, "trailer": {**TRAILER, **trailer}}
    )
    return {one.at: one.fault.hint for one in questions(rig)}


def _camper(folder: Path, bars: str) -> str:
    """The demo's camper with its spring bars rated otherwise, in a file."""
    text = demo_rigs()["perihelion-camper.toml"]
    assert text.count('rating = "1000 lb"') == 1
    path = folder / "rig.toml"
    path.write_text(text.replace('rating = "1000 lb"', f"rating = {bars}"), encoding="utf-8")
    return str(path)


@pytest.mark.parametrize(
    ("old", "new"),
    [('wheelbase = "145 in"', 'wheelbase = "3.68 mm"'), ('"15 ft 2 in"', '"4.62 mm"')],
)
def test_a_rig_that_would_tip_is_asked_about_its_lengths(
    tmp_path: Path, old: str, new: str
) -> None:
    """Metres written as millimetres: 145 in are 3.68 m, 15 ft 2 in 4.62 m (25.4 mm to the inch)."""
    path = tmp_path / "rig.toml"
    text = demo_rigs()["perihelion-camper.toml"]
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")
    done = CliRunner().invoke(main, ["check", str(path)])
    assert done.exit_code == 2
    assert re.search(rf'did you mean "{re.findall("[0-9.]+", new)[0]} m"', done.stderr)


def test_what_no_weight_bears_on_is_judged_all_the_same(tmp_path: Path) -> None:
    """Of an empty weight above the trailer's GVWR every load is in doubt; that a ball of 2 in falls
    out of a coupler for 2 5/16 in is not, nor 80 psi in a tyre for 65."""
    text = demo_rigs()["perihelion-camper.toml"].replace('value = "5240 lb"', 'value = "7240 lb"')
    text = text.replace('rise = "3.5 in"\nsize = "2 5/16 in"', 'rise = "3.5 in"\nsize = "2 in"')
    text = text.replace('pressure = "65 psi" }', 'pressure = "80 psi" }')
    path = tmp_path / "rig.toml"
    path.write_text(text, encoding="utf-8")
    done = CliRunner().invoke(main, ["check", str(path), "--json"])
    assert done.exit_code == 1, done.output
    stage = json.loads(done.stdout)["stages"][0]
    told = {one["name"]: one["standing"] for one in stage["limits"]}
    for name in ("hitch.fit.ball-in-the-coupler", "trailer.axles.first.tyres.pressure"):
        assert told.pop(name) == "exceeded"
    assert told["trailer.gvwr"] == told["vehicle.payload"] == "unknown"


CART = """format = 1
everything_listed = true
region = "europe"
speed = "80 km/h"

[vehicle]
class = "car"
driven = "all"
drive_force = "8 kN"
engine_power = "120 kW"
weight = {weight}
tow_rating_unbraked = {unbraked}

[trailer]
style = "flatbed-equipment"
brakes = {brakes}
empty = {{ weight = "600 kg", tongue_weight = "60 kg" }}
"""


@pytest.mark.parametrize("command", ["road", "sway"])
def test_what_a_doubted_weight_would_hold_is_not_known(tmp_path: Path, command: str) -> None:
    """A car of 2,900 kg, more than any such car's 2,700 (from memory), makes a light cart look
    tame: road and sway end with 3, not 0, and mark nothing as held, until the weight is sure."""
    path = tmp_path / "rig.toml"
    found = []
    for weight in ('"2900 kg"', '{ value = "2900 kg", sure = true }'):
        text = CART.format(weight=weight, unbraked='"700 kg"', brakes="true")
        path.write_text(text, encoding="utf-8")
        done = CliRunner().invoke(main, [command, str(path)])
        found.append((done.exit_code, done.stdout.splitlines()[1][0]))
    assert found == [(3, "?"), (0, "●")]


def test_a_doubted_rating_asks_for_no_brakes_at_either_door(tmp_path: Path) -> None:
    """Cars are rated for 450 to 750 kg unbraked (from memory): one of 7,000 kg is asked about, and
    neither check nor road says that the cart needs no brakes."""
    path = tmp_path / "rig.toml"
    text = CART.format(weight='"1500 kg"', unbraked='"7000 kg"', brakes="false")
    path.write_text(text, encoding="utf-8")
    limits = json.loads(CliRunner().invoke(main, ["check", str(path), "--json"]).stdout)
    rules = json.loads(CliRunner().invoke(main, ["road", str(path), "--json"]).stdout)
    said = [
        *(one["standing"] for one in limits["stages"][0]["limits"] if one["name"] == UNBRAKED),
        *(one["verdict"] for one in rules["stages"][0]["rules"] if one["name"] == UNBRAKED),
    ]
    assert said == ["unknown", "unknown"]


UNBRAKED = "vehicle.tow_rating_unbraked"


@pytest.mark.parametrize("command", ["check", "trip", "card"])
def test_bars_in_kilograms_are_unknown_until_sure(tmp_path: Path, command: str) -> None:
    """Bars of 1,000 lb (as such bars are sold, common practice) written as 1,000 kg would turn
    tight into within: each command exits 3 and asks; with `sure = true` each judges and exits 0."""
    more = ["--to", str(tmp_path / "card.pdf")] if command == "card" else []
    asked = CliRunner().invoke(main, [command, _camper(tmp_path, '"1000 kg"'), *more])
    said = " ".join(asked.output.split())
    assert asked.exit_code == 3, asked.output
    assert "? hitch bars rating: expected" in said
    assert 'did you mean "1000 lb"?' in said
    sure = '{ value = "1000 kg", sure = true }'
    more = ["--to", str(tmp_path / "sure.pdf")] if command == "card" else []
    answered = CliRunner().invoke(main, [command, _camper(tmp_path, sure), *more])
    assert answered.exit_code == 0, answered.output
    assert "hitch bars rating: expected" not in " ".join(answered.output.split())


def test_a_rating_asked_about_judges_no_hitch(tmp_path: Path) -> None:
    """What `fit` says of such bars is that nobody knows, until one is sure."""
    for bars, known in (('"1000 kg"', False), ('{ value = "1000 kg", sure = true }', True)):
        told = CliRunner().invoke(main, ["fit", _camper(tmp_path, bars), "--json"])
        ratings = {one["name"]: one["verdict"] for one in json.loads(told.stdout)["ratings"]}
        assert (ratings["hitch.bars.rating"] != "unknown") is known


def test_only_the_limits_it_touches_are_unknown(tmp_path: Path) -> None:
    """Of the mistyped bars the bars alone; of a wheelbase of 145 ft the axles, their tyres, the
    vehicle's gross weight and the bars, not the tongue; the JSON lists path, found and due."""
    path = _camper(tmp_path, '"1000 kg"')
    limits = assess(read_rig(path), draws=64).stages[0].limits
    assert [one.name for one in limits if one.verdict == "unknown"] == ["hitch.bars.rating"]
    text = demo_rigs()["perihelion-camper.toml"].replace('wheelbase = "', 'wheelbase = "1')
    Path(path).write_text(text, encoding="utf-8")
    stage = assess(read_rig(path), draws=64).stages[0]
    unknown = {one.name for one in stage.limits if one.verdict == "unknown"}
    assert {
        "vehicle.gvwr",
        "vehicle.rear.gawr",
        "vehicle.rear.tyres",
        "hitch.bars.rating",
    } <= unknown
    assert not unknown & {"trailer.gvwr", "tongue-band", "vehicle.payload"}
    report = json.loads(CliRunner().invoke(main, ["check", path, "--json"]).output)
    (asked,) = report["questions"]
    assert asked["path"] == "vehicle.wheelbase"
    assert asked["found"]
    assert asked["due"]


def test_what_does_not_go_together_is_asked() -> None:
    """Payload is a part of GVWR, GVWR of GCWR (49 CFR 571.3); a trailer's empty weight lies under
    its GVWR unless a scale said it; axle ratings add up to about GVWR; a digit too many is seen."""
    assert "vehicle.payload" in _asked({"payload": "3200 lb", "gvwr": "3000 lb"})
    assert "vehicle.gvwr" in _asked({"gvwr": "8600 lb", "gcwr": "8500 lb"})
    assert not _asked({"gvwr": "8500 lb", "gcwr": "8500 lb"})
    assert list(_asked(gvwr="4000 lb")) == ["trailer.empty.weight"]
    scale = {"weight": {"value": "5000 lb", "kind": "scale"}}
    assert not _asked(gvwr="4000 lb", empty=scale)
    assert "trailer.axles.gawr" in _asked(axles={"count": 2, "gawr": "35400 lb"})
    assert not _asked(axles={"count": 2, "gawr": "3540 lb"})


def _contradicted(vehicle: dict[str, Any], **trailer: Any) -> list[str]:
    """Paths of values that do not go with others."""
    rig = Rig.model_validate({"vehicle": {**TRUCK, **vehicle}, "trailer": {**TRAILER, **trailer}})
    return [one.at for one in questions(rig) if one.others]


def _axles(front: int, rear: int, **more: Any) -> dict[str, Any]:
    return {"front": {"gawr": f"{front} kg"}, "rear": {"gawr": f"{rear} kg"}, **more}


def _scales(front: int, rear: int, **more: Any) -> dict[str, Any]:
    weights = ({"value": f"{x} kg", "kind": "scale"} for x in (front, rear))
    return {**dict(zip(("front", "rear"), ({"weight": x} for x in weights), strict=True)), **more}


VAN = {"class": "van", "payload": "2390 kg"}
RATIOS: list[tuple[dict[str, Any], dict[str, Any], str | None]] = [
    # vehicle, trailer, the value that does not go with the others: both sides of every edge
    ({**VAN, "gvwr": "2389 kg"}, {}, "vehicle.payload"),
    # a placard's payload is what GVWR leaves above the vehicle's weight (49 CFR 567.4, 571.110)
    ({"weight": "2500 kg", "payload": "950 kg", "gvwr": "3000 kg"}, {}, None),
    ({"weight": "2500 kg", "payload": "951 kg", "gvwr": "3000 kg"}, {}, "vehicle.payload"),
    ({"weight": "2200 kg", "payload": "600 kg", "gvwr": "3500 kg"}, {}, None),
    ({"weight": "2200 kg", "payload": "599 kg", "gvwr": "3500 kg"}, {}, "vehicle.payload"),
    ({"weight": "3000 kg", "gvwr": "3000 kg"}, {}, None),
    ({"weight": "3001 kg", "gvwr": "3000 kg"}, {}, "vehicle.gvwr"),
    ({**VAN, "payload": None, "weight": "1600 kg", "gvwr": "4000 kg"}, {}, None),
    ({**VAN, "payload": None, "weight": "1600 kg", "gvwr": "4001 kg"}, {}, "vehicle.gvwr"),
    ({"weight": "4000 kg", "payload": "950 kg", "gvwr": "3000 kg"}, {}, None),  # no such pickup
    ({"weight": {"value": "3001 kg", "kind": "scale"}, "gvwr": "3000 kg"}, {}, None),
    # what it leaves where no weight is stated is a vehicle of the class: vans of 1,500 to 3,900 kg
    ({**VAN, "gvwr": "3890 kg"}, {}, None),
    ({**VAN, "gvwr": "3889 kg"}, {}, "vehicle.payload"),
    ({**VAN, "payload": "1600 kg", "gvwr": "5500 kg"}, {}, None),
    ({**VAN, "payload": "1600 kg", "gvwr": "5501 kg"}, {}, "vehicle.payload"),
    ({**VAN, "gvwr": {"value": "3889 kg", "sure": True}}, {}, None),
    # either axle carries 0.31 to 0.71 of a vehicle (from memory), and both its weight
    (_scales(1300, 520), {}, None),
    (_scales(1300, 519), {}, "vehicle.rear.weight"),
    (_scales(700, 1540), {}, None),
    (_scales(700, 1541), {}, "vehicle.rear.weight"),
    (_scales(1300, 1000, weight="2000 kg"), {}, None),
    (_scales(1300, 1001, weight="2000 kg"), {}, "vehicle.front.weight"),
    (_scales(960, 740, weight="2000 kg"), {}, None),
    (_scales(960, 739, weight="2000 kg"), {}, "vehicle.front.weight"),
    (_scales(750, 650, gvwr="3500 kg"), {}, None),
    (_scales(750, 649, gvwr="3500 kg"), {}, "vehicle.front.weight"),
    (_scales(1850, 2150, gvwr="2000 kg"), {}, None),
    ({"gvwr": "3000 kg", "gcwr": "3000 kg"}, {}, None),
    ({"gvwr": "3001 kg", "gcwr": "3000 kg"}, {}, "vehicle.gvwr"),
    ({"tow_rating": "4000 kg", "gcwr": "4000 kg"}, {}, None),
    ({"tow_rating": "4001 kg", "gcwr": "4000 kg"}, {}, "vehicle.tow_rating"),
    ({"tow_rating": "1500 kg", "tow_rating_unbraked": "1500 kg"}, {}, None),
    (
        {"tow_rating": "1500 kg", "tow_rating_unbraked": "1501 kg"},
        {},
        "vehicle.tow_rating_unbraked",
    ),
    # what the axles carry is a part of the whole trailer (from memory: ATM is GTM and ball mass)
    ({}, {"gvwr": "3000 kg", "gtm": "3000 kg"}, None),
    ({}, {"gvwr": "3000 kg", "gtm": "3001 kg"}, "trailer.gtm"),
    ({}, {"gvwr": "3000 kg", "gtm": "1800 kg"}, None),
    ({}, {"gvwr": "3000 kg", "gtm": "1799 kg"}, "trailer.gtm"),
    ({}, {"gvwr": "2500 kg", "empty": {"weight": "2500 kg"}}, None),
    ({}, {"gvwr": "2500 kg", "empty": {"weight": "2501 kg"}}, "trailer.empty.weight"),
    ({}, {"gvwr": "2500 kg", "empty": {"weight": {"value": "2501 kg", "basis": "weighed"}}}, None),
    (_axles(1200, 1280, gvwr="3100 kg"), {}, None),
    (_axles(1200, 1270, gvwr="3100 kg"), {}, "vehicle.front.gawr"),
    (_axles(2000, 2160, gvwr="2600 kg"), {}, None),
    (_axles(2000, 2170, gvwr="2600 kg"), {}, "vehicle.front.gawr"),
    ({}, {"gvwr": "3000 kg", "axles": {"count": 2, "gawr": "900 kg"}}, None),
    ({}, {"gvwr": "3000 kg", "axles": {"count": 2, "gawr": "899 kg"}}, "trailer.axles.gawr"),
    ({}, {"gvwr": "3000 kg", "axles": {"count": 2, "gawr": "3150 kg"}}, None),
    ({}, {"gvwr": "3000 kg", "axles": {"count": 2, "gawr": "3151 kg"}}, "trailer.axles.gawr"),
    (
        {"rear": {"gawr": "2500 kg", "tyres": {"max_load": "249 kg"}}},
        {},
        "vehicle.rear.tyres.max_load",
    ),
    ({"rear": {"gawr": "2500 kg", "tyres": {"max_load": "250 kg"}}}, {}, None),
    (
        {},
        {"axles": {"count": 2, "gawr": "1300 kg", "tyres": {"max_load": "1431 kg"}}},
        "trailer.axles.tyres.max_load",
    ),
    ({}, {"axles": {"count": 2, "gawr": "1300 kg", "tyres": {"max_load": "1430 kg"}}}, None),
    (
        {},
        {
            "gvwr": "1500 kg",
            "empty": {"weight": "1000 kg"},
            "axles": {"count": 2, "gawr": "750 kg", "tyres": {"max_load": "900 kg"}},
        },
        None,
    ),
    ({}, {"empty": {"weight": "2000 kg", "tongue_weight": "520 kg"}}, None),
    ({}, {"empty": {"weight": "2000 kg", "tongue_weight": "100 kg"}}, None),
    ({}, {"empty": {"weight": "2000 kg", "tongue_weight": "99 kg"}}, "trailer.empty.tongue_weight"),
    (
        {},
        {"style": "boat", "gvwr": "3 t", "empty": {"weight": "2 t", "tongue_weight": "20 kg"}},
        None,
    ),
    (
        {},
        {"empty": {"weight": "2000 kg", "tongue_weight": "521 kg"}},
        "trailer.empty.tongue_weight",
    ),
    (
        {},
        {"style": "toy-hauler", "empty": {"weight": "2000 kg", "tongue_weight": "600 kg"}},
        None,
    ),
    ({}, {"gvwr": "3000 kg", "empty": {"weight": "1350 kg"}}, None),
    ({}, {"gvwr": "3000 kg", "empty": {"weight": "1349 kg"}}, "trailer.empty.weight"),
    ({}, {"style": "boat", "gvwr": "3000 kg", "empty": {"weight": "600 kg"}}, None),
    # being sure of either answers it
    ({**VAN, "gvwr": {"value": "2389 kg", "sure": True}}, {}, None),
    ({**VAN, "payload": {"value": "2390 kg", "sure": True}, "gvwr": "2389 kg"}, {}, None),
    (
        {
            "front": {"gawr": "1200 kg"},
            "rear": {"gawr": {"value": "1270 kg", "sure": True}},
            "gvwr": "3100 kg",
        },
        {},
        None,
    ),
]


def test_axle_weights_in_the_wrong_unit_hold_no_limit() -> None:
    """A full-size SUV whose axles the scale gave as 1,370 and 1,360 kg, typed as pounds: 2,730 lb
    in all, half of the lightest such, would put every limit on it far within."""
    suv = {"class": "full-size-suv", "gvwr": "7500 lb", "gcwr": "14000 lb", **_axles(1700, 1950)}
    suv["front"]["weight"], suv["rear"]["weight"] = "1370 lb", "1360 lb"
    unknown = _unknown({"vehicle": suv, "trailer": TRAILER})
    assert unknown >= {"vehicle.gvwr", "vehicle.gcwr", "vehicle.front.gawr", "vehicle.rear.gawr"}


@pytest.mark.parametrize(("vehicle", "trailer", "at"), RATIOS)
def test_what_goes_together_and_what_does_not(
    vehicle: dict[str, Any], trailer: dict[str, Any], at: str | None
) -> None:
    """Both sides of each edge that docs/rig-file.md states (assumed): parts are no more than their
    whole; axle ratings add up to 0.8 to 1.6 of the vehicle's GVWR, 0.6 to 3 of the trailer's; two
    tyres bear 0.2 to 2.2 of their axle's; an empty trailer that people live in weighs 0.45 of its
    GVWR or more, and puts at most 0.26 of itself on a ball."""
    assert _contradicted(vehicle, **trailer) == [at] * (at is not None)


def test_the_page_states_the_edges_that_are_asked_by() -> None:
    """The numbers of the edges above, as the page of the rig file has them."""
    page = (Path(__file__).parents[2] / "docs" / "rig-file.md").read_text(encoding="utf-8")
    page = " ".join(page.split())
    for said in (
        "| GVWR | the vehicle's weight, not from a scale | 1 | 2.5 |",
        "| that weight and payload | GVWR | 0.8 | 1.15 |",
        "| rear axle's weight | front axle's weight | 0.4 | 2.2 |",
        "| both axles' weights | the vehicle's weight | 0.85 | 1.15 |",
        "| both axles' weights | GVWR | 0.4 | 2 |",
        "| both axle ratings | GVWR | 0.8 | 1.6 |",
        "| its GVWR | 0.45 where people live in it | 1 |",
        "| trailer's axle ratings together | its GVWR | 0.6 | 2.1; 3 up to 1,000 kg |",
        "| GTM | GVWR | 0.6 | 1 |",
        "| 0.05; 0.01 of freight and centre-axle caravans; 0.1 in a bed | 0.26; 0.3 of a toy",
        "| a part's tongue rating | its trailer rating | 0.02; 0.05 in North America | 0.21; 0.5",
        "| weight-carrying rating | weight-distributing rating | | 1 |",
        "| two tyres' maximum load | their axle's rating | 0.2 | 2.2; 3.2 up to 1,000 kg |",
        "| axles, behind the ball | the trailer's length | 0.35 | |",
        "2 m past the trailer's end",
        "small weights with three decimals (up to 20 kg:",
    ):
        assert said in page


def _unknown(rig: dict[str, Any]) -> set[str]:
    stage = assess(Rig.model_validate(rig), draws=32).stages[0]
    return {one.name for one in (*stage.limits, *stage.notes) if "asked about" in one.due}


@pytest.mark.parametrize("weight", [None, "5000 lb"])
def test_what_follows_from_a_rating_is_unknown_with_it(weight: str | None) -> None:
    """Where a weight is unsaid it follows from GVWR, and so does every load it is part of; where
    it is stated only the rating's own limits are unknown."""
    gvwr = {"gvwr": "3000 lb"}  # less than any such pickup's, and than any such camper's
    vehicle = {**TRUCK, **gvwr, "gcwr": "15000 lb", "front": {"gawr": "3900 lb"}}
    vehicle |= {"weight": weight} if weight else {}
    unknown = _unknown({"vehicle": vehicle, "trailer": TRAILER})
    assert "vehicle.gvwr" in unknown
    assert (unknown >= {"vehicle.gcwr", "vehicle.front.gawr"}) is (weight is None)
    assert "trailer.gvwr" not in unknown
    empty = {"weight": {"value": weight, "sure": True}} if weight else {}
    trailer = {"style": "rear-living", "gvwr": "60000 lb", "empty": empty}
    unknown = _unknown({"vehicle": TRUCK, "trailer": trailer})
    assert "trailer.gvwr" in unknown
    assert ("tongue-band" in unknown) is (weight is None)


DOORS = ("check", "trip", "ledger", "sway", "road", "fit", "stow", "card")


@pytest.mark.parametrize("command", [*DOORS, "weigh"])
def test_every_door_asks(tmp_path: Path, command: str) -> None:
    """A wheelbase in feet that are inches is asked about once, whatever is asked of the rig."""
    path = tmp_path / "rig.toml"
    text = demo_rigs()["perihelion-camper.toml"]
    head, _, rest = text.partition("[vehicle]\n")
    lines = [line for line in rest.splitlines(keepends=True) if not line.startswith("wheelbase")]
    path.write_text(f'{head}[vehicle]\nwheelbase = "145 ft"\n{"".join(lines)}', encoding="utf-8")
    more = {"card": ["--to", str(tmp_path / "card.html")], "weigh": ["--tongue", "700 lb"]}
    said = CliRunner().invoke(main, [command, str(path), *more.get(command, [])]).output
    assert said.count("? vehicle wheelbase: expected") == 1


def test_no_ball_is_set_by_a_height_that_is_asked_about(tmp_path: Path) -> None:
    """A coupler 22 ft high would have its ball set at 22 ft: fit asks first, and sets none; once a
    coupler of 22 in is typed it does."""
    path, told = tmp_path / "rig.toml", []
    for high in ("22 ft", "22 in"):
        text = CART.format(weight='"1500 kg"', unbraked='"700 kg"', brakes="true")
        path.write_text(f'{text}coupler_height = "{high}"\n', encoding="utf-8")
        said = CliRunner().invoke(main, ["fit", str(path)]).stdout
        height = json.loads(CliRunner().invoke(main, ["fit", str(path), "--json"]).stdout)["height"]
        told.append((height["verdict"] == "unknown", "Set the ball" in said))
    assert told == [(True, False), (False, True)]


def test_a_match_names_what_it_asks_about(tmp_path: Path) -> None:
    """The payload of one of the vehicles in kilograms for pounds: its pair says which value leaves
    the placard unknown, the other's, which states none, does not."""
    head = 'format = 1\n[vehicle]\nclass = "half-ton-crew-cab"\n'
    trailer = '[trailer]\nstyle = "rear-living"\nempty = { weight = "5000 lb" }\n'
    (tmp_path / "asked.toml").write_text(f'{head}payload = "1790 kg"\n', encoding="utf-8")
    (tmp_path / "bare.toml").write_text(head, encoding="utf-8")
    (tmp_path / "camper.toml").write_text(f"format = 1\n{trailer}", encoding="utf-8")
    named = []
    for one in ("asked", "bare"):
        words = ["match", str(tmp_path / f"{one}.toml"), str(tmp_path / "camper.toml")]
        said = " ".join(CliRunner().invoke(main, words).output.split())
        named.append("vehicle payload ('1790 kg' (3,946 lb))" in said)
    assert named == [True, False]


def test_a_ball_is_asked_about_by_its_size() -> None:
    """What a ball of 2 5/16 in carries, one of 2 in or 50 mm does not (from memory); what is more
    than 1 mm off is of no size that is known (assumed)."""
    sizes = {"2 in": True, "50 mm": True, "51.7 mm": True, "52 mm": False, "2 5/16 in": False}
    for size, asked in sizes.items():
        ball = {"size": size, "rating_trailer": "8000 kg"}
        rig = Rig.model_validate({"vehicle": TRUCK, "trailer": TRAILER, "hitch": {"ball": ball}})
        assert [one.at for one in questions(rig)] == ["hitch.ball.rating_trailer"] * asked


@pytest.mark.parametrize(
    ("style", "said", "asked"),
    [
        ("front-living", {"rating_tongue": "3900 lb", "rating_trailer": "5000 lb"}, True),
        ("front-living", {"rating_tongue": "500 lb", "rating_trailer": "5000 lb"}, False),
        # 5,000 lb written as kilograms: a tenth is usual (SAE J684), 0.045 is not
        ("front-living", {"rating_tongue": "500 lb", "rating_trailer": "5000 kg"}, True),
        ("front-living", {"rating_tongue": "5000 lb"}, True),
        ("gooseneck", {"rating_tongue": "6250 lb", "rating_trailer": "25000 lb"}, False),
    ],
)
def test_a_tongue_rating_is_a_part_of_its_trailer_rating(
    style: str, said: dict[str, str], *, asked: bool
) -> None:
    """Receivers bear 10 to 15 % of what they pull, hitches in a bed 25 % (from memory): a tongue
    of 78 % has a digit too many, and so has one of 5,000 lb behind a bumper."""
    rig = {"vehicle": TRUCK, "trailer": {**TRAILER, "style": style}, "hitch": {"ball_mount": said}}
    found = {one.at for one in questions(Rig.model_validate(rig))}
    assert ("hitch.ball_mount.rating_tongue" in found) is asked


def test_a_hitch_carries_no_more_without_bars_than_with_them() -> None:
    """Labels of hitches (common practice, no source): weight-distributing ratings are the same or
    more. 5,500 lb without bars, written as kilograms, is more than 10,000 lb with them."""
    label = {"rating_trailer": "5500 lb", "distributing_trailer": "10000 lb"}
    for rating, asked in (("5500 lb", []), ("5500 kg", ["hitch.receiver.rating_trailer"])):
        said = {"receiver": {**label, "rating_trailer": rating}}
        rig = Rig.model_validate({"vehicle": TRUCK, "trailer": TRAILER, "hitch": said})
        assert [one.at for one in questions(rig)] == asked


def test_an_overhang_with_a_digit_too_few_is_asked() -> None:
    """No ball stands 5 in behind the rear wheels, whose tyres alone reach 15 in (from memory)."""
    assert "vehicle.overhang" in _asked({"overhang": "5 in"})
    assert "vehicle.overhang" not in _asked({"overhang": "45 in"})


@pytest.mark.parametrize(
    ("file", "old", "new", "at"),
    [
        ("camper", 'station = "6 ft"', 'station = "60 ft"', "places.bedroom.station"),
        ("camper", 'station = "16 ft 6 in"', 'station = "61 ft"', "items.telescopes.station"),
        ("camper", 'station = "24 ft"', 'station = "240 ft"', "items.bikes.station"),
        ("camper", 'station = "12 ft 8 in"', 'station = "120 ft"', "trailer.tanks.fresh.station"),
        ("camper", 'station = "152 in"', 'station = "1520 in"', "places.bed.station"),
        (
            "camper",
            'coupler_height = "22 in"',
            'coupler_height = "22 ft"',
            "trailer.coupler_height",
        ),
        ("observatory", 'station = "1.9 m"', 'station = "19 m"', "places.nose.station"),
        ("observatory", 'station = "4.20 m"', 'station = "4.20 ft"', "trailer.axles.station"),
        ("tractor", 'station = "19 ft"', 'station = "9 in"', "items.mower.station"),
    ],
)
def test_a_station_where_nothing_stands_is_asked(file: str, old: str, new: str, at: str) -> None:
    """One slip each in a rig that asks nothing; by its file the camper's box ends 25 ft 4 in behind
    its ball, the observatory's axles stand 4.2 m back, the mower's deck begins at 4 ft 6 in."""
    text = demo_rigs()[f"perihelion-{file}.toml"]
    assert text.count(old) == 1
    assert not questions(parse_rig(text, "rig.toml"))
    slip = text.replace(old, new)
    assert [one.at for one in questions(parse_rig(slip, "rig.toml"))] == [at]
    sure = slip.replace(new, re.sub('= (".*")', r"= { value = \1, sure = true }", new))
    assert not questions(parse_rig(sure, "rig.toml"))


def test_a_point_between_thousands_is_asked() -> None:
    """`1.250 kg` among what rides may be 1,250 kg in European style; `72.5 kg` and `1.25 kg` may
    not, nor `72.500 kg`, of which the thousandfold rides with no light vehicle: beyond 20 kg
    (assumed) none is asked."""
    whole: dict[str, Any] = {}
    places = {"box": {"on": "trailer", "station": "3 m"}}
    weights = {"1.250 kg": 1, "1.25 kg": 0, "72.500 kg": 0, "72.5 kg": 0, "20.000 kg": 1}
    for weight, asks in {**weights, "20.001 kg": 0}.items():
        items = {"tripod": {"place": "box", "weight": weight}}
        whole = {"vehicle": TRUCK, "trailer": TRAILER, "places": places, "items": items}
        found = questions(Rig.model_validate(whole))
        assert len(found) == asks, weight
    sure = {"tripod": {"place": "box", "weight": {"value": "1.250 kg", "sure": True}}}
    kept = Rig.model_validate({**whole, "items": sure})
    assert not questions(kept)
    assert Rig.model_validate(kept.model_dump(by_alias=True, exclude_none=True)) == kept


@pytest.mark.parametrize(
    ("rig", "written", "other"),
    [
        # hand arithmetic: 1.65 kg / 0.45359237 = 3.638 lb, 16 oz a lb, 4.4 mm / 25.4 = 0.1732 in
        ({"empty": {"weight": "1.650 kg"}}, "1.650 kg", "3.64 lb"),
        ({"empty": {"weight": "1.280 kg"}}, "1.280 kg", "2.82 lb"),
        ({"empty": {"tongue_weight": "12 oz"}}, "12 oz", "0.75 lb"),
        ({"length": "4.4 mm"}, "4.4 mm", "0.173 in"),
    ],
)
def test_what_is_asked_about_is_shown_as_it_was_written(
    tmp_path: Path, rig: dict[str, Any], written: str, other: str
) -> None:
    """`check` asks of a number as the file has it, and to three digits in the other unit."""
    found = _questions_told(tmp_path, {"vehicle": TRUCK, "trailer": {**TRAILER, **rig}})
    assert f"'{written}' ({other}" in found


@pytest.mark.parametrize("ball", ["46.9 mm", "89.1 mm", "3.5001 in"])
def test_a_number_asked_about_is_told_from_the_edge_it_is_beyond(tmp_path: Path, ball: str) -> None:
    """Balls are sold from 1 7/8 to 3 1/2 in: of 46.9 mm `check` said "2 in due, found 2"."""
    rig = {"vehicle": TRUCK, "trailer": TRAILER, "hitch": {"ball": {"size": ball}}}
    due, found = (
        {(float(x), unit) for x, unit in re.findall(r"([\d.]+) (in|mm)", said)}
        for said in _questions_told(tmp_path, rig).split(", found ")
    )
    assert len(due) == 4
    assert found
    assert not due & found


def _questions_told(folder: Path, rig: dict[str, Any]) -> str:
    """The one question of a rig, as `check` prints it, on one line."""
    path = folder / "rig.toml"
    path.write_text(tomlkit.dumps({"format": 1, **rig}), encoding="utf-8")
    said = " ".join(CliRunner().invoke(main, ["check", str(path)]).output.split())
    (one,) = re.findall(r"\? [a-z ]+: (expected .*?); is that right", said)
    return str(one)


@pytest.mark.parametrize(
    ("at", "held"),
    [
        ("vehicle.accessories", {"vehicle": {**TRUCK, "accessories": "1.250 kg"}}),
        ("people.Ada.weight", {"people": {"Ada": {"seat": "driver", "weight": "1.250 kg"}}}),
        (
            "trailer.equipment.winch.weight",
            {
                "trailer": {
                    **TRAILER,
                    "equipment": {"winch": {"weight": "1.250 kg", "station": "1 m"}},
                }
            },
        ),
    ],
)
def test_a_point_between_thousands_is_asked_wherever_it_rides(
    at: str, held: dict[str, Any]
) -> None:
    """Of accessories, people and equipment too, and all that it weighs on is unknown."""
    rig = {"vehicle": TRUCK, "trailer": TRAILER, **held}
    assert [one.at for one in questions(Rig.model_validate(rig))] == [at]
    assert {"trailer.gvwr", "tongue-band", "vehicle.payload"} <= _unknown(rig)


def test_few_published_rows_are_asked_about() -> None:
    """At most 0.5 % of the published rows that the project holds are questioned (measured: none of
    662)."""
    asked = rows = 0
    for row in _rows("published_vehicles.csv"):
        ends = {end: {"gawr": _kg(row[f"{end}_gawr_kg"])} for end in ("front", "rear")}
        body: dict[str, Any] = {
            "weight": _kg(row["weight_kg"]),
            "gvwr": _kg(row["gvwr_kg"]),
            **ends,
        }
        length = f"{row['wheelbase_m']} m" if row["wheelbase_m"] else None
        rows, asked = (
            rows + 1,
            asked + bool(_asked({"class": row["class"], "wheelbase": length, **body})),
        )
    for row in _rows("published_trailers.csv"):
        empty = {"weight": _kg(row["empty_kg"]), "tongue_weight": _kg(row["empty_tongue_kg"])}
        stated: dict[str, Any] = {
            "style": row["style"],
            "gvwr": _kg(row["gvwr_kg"]),
            "empty": empty,
        }
        rows, asked = rows + 1, asked + bool(_asked(**stated))
    assert rows == 662
    assert asked <= 0.005 * rows


def _rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def _kg(cell: str) -> str | None:
    return f"{cell} kg" if cell else None


def test_sure_is_true_or_false() -> None:
    """Anything else beside a value is bad input."""
    with pytest.raises(ValueError, match="sure to be true or false"):
        _asked({"gvwr": {"value": "7000 lb", "sure": "yes"}})


def test_a_list_of_vehicles_asks_about_one_alone() -> None:
    """A tow rating in kilograms for pounds is unknown in a match, that of its neighbour judged."""
    tows = [
        tow_of(Rig.model_validate({"vehicle": {**TRUCK, "tow_rating": one}, "trailer": TRAILER}))
        for one in ("9000 lb", "9000 kg", "9100 lb")
    ]
    found = {}
    for pair in pairs(
        match(
            tows, [towed_of(Rig.model_validate({"vehicle": TRUCK, "trailer": TRAILER}))], draws=32
        )
    ):
        at = [check.name for check in pair.block.limits].index("vehicle.tow_rating")
        tow = tows[pair.block.tow[pair.number]].vehicle.tow_rating
        assert tow is not None
        found[tow.text] = VERDICTS[pair.block.verdict[at, 0, pair.number]]
    assert found == {"9000 lb": "within", "9000 kg": "unknown", "9100 lb": "within"}


@pytest.mark.parametrize("style", get_args(TrailerStyle))
def test_a_rig_begun_on_the_walk_is_asked_nothing(style: str) -> None:
    """What a style brings is assumed, and nobody is asked about what nobody said; nor are the
    lightest and the heaviest tongue that is usual of it, beside a weight that is assumed."""
    data = begun("one-ton-dual-rear-wheel", style, "north-america", "Perihelion")
    for at, value in laid(Rig.model_validate(data), whole=True):
        *above, last = at.split(".")
        reduce(lambda table, key: table.setdefault(key, {}), above, data)[last] = value
    band = usual("trailer.empty.tongue_weight", style)
    assert band is not None
    for kg in (band.low, band.high):
        data["trailer"]["empty"]["tongue_weight"] = f"{kg} kg"
        assert not questions(Rig.model_validate(data))
