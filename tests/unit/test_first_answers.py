"""First the answer: thirty lines of eighty columns, and nothing pressing folded away."""

import json
import re
from pathlib import Path

import pytest
import tomlkit
from click.testing import CliRunner, Result
from tests.random_rigs import rig as random_rig
from tests.trades import COUPLINGS, text_of

from steelyard.assessment import assess
from steelyard.cli import main
from steelyard.cli.options import load
from steelyard.cli.words import LINES, squeezed
from steelyard.files.demo import demo_rigs, demo_tickets

pytestmark = pytest.mark.usefixtures("few_draws")

COMMANDS = ("check", "road", "fit", "sway", "stow --seconds 0.2", "weigh --next")


def ran(command: str, path: Path) -> Result:
    """One command on a rig file."""
    name, *more = command.split()
    return CliRunner().invoke(main, [name, str(path), *more])


@pytest.fixture(params=["demo", *COUPLINGS])
def rig(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """The demo's camper, and a rig of each coupling with much unknown."""
    demo = demo_rigs()["perihelion-camper.toml"]
    path = tmp_path / "rig.toml"
    text = demo if request.param == "demo" else text_of("us", request.param)
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("command", COMMANDS)
def test_thirty_lines_of_eighty_columns(rig: Path, command: str) -> None:
    """The asked-for size, and a pointer to the rest; a dotted key only with --sources."""
    lines = ran(command, rig).output.splitlines()
    assert len(lines) <= 30, "\n".join(lines)
    assert max(map(len, lines)) <= 80
    assert "from memory" not in " ".join(lines)
    assert "withheld" not in " ".join(lines)


@pytest.mark.parametrize("number", [10, 25, 54])
def test_much_amiss_is_told_in_thirty_lines(number: int, tmp_path: Path) -> None:
    """A random rig with a dozen limits exceeded: still a page, with every one of them by name. What
    is asked about its values stands beside an answer, on standard error, and is never folded."""
    path = tmp_path / "rig.toml"
    path.write_text(tomlkit.dumps(random_rig(number)), encoding="utf-8")
    for command in COMMANDS[:3] + COMMANDS[4:5]:
        lines = ran(command, path).stdout.splitlines()
        assert len(lines) <= 30, command
        assert max(map(len, lines)) <= 80, command
    test_nothing_pressing_is_folded(path)


def test_nothing_pressing_is_folded(rig: Path) -> None:
    """Every limit exceeded, unknown or untold at any stage is named in the first answer."""
    told = " ".join(ran("check --units us", rig).output.split())
    found = assess(load(str(rig)))
    pressing = {
        one.title
        for stage in found.stages
        for one in stage.limits
        if one.verdict in ("exceeded", "cannot tell", "unknown")
    }
    from steelyard.words.trade import trade_of

    trade = trade_of(found.rig)
    assert [one for one in pressing if trade.said(one)[:32] not in told] == []
    assert "An estimate is not a weighing" in told


def test_ten_lines_to_read_to_a_customer(rig: Path) -> None:
    """`check --short` has ten lines at most, opens with the verdict and ends with the caution."""
    lines = ran("check --short", rig).output.splitlines()
    assert len(lines) <= 10
    assert any(mark in " ".join(lines[:2]) for mark in "●◐‡▲?")
    assert lines[-1].endswith("an estimate is not a weighing.")


def test_keys_and_sources_stand_behind_an_option(tmp_path: Path) -> None:
    """A reader sees names of things; `--sources` adds keys of the file and where rules are from."""
    path = tmp_path / "rig.toml"
    path.write_text(demo_rigs()["perihelion-camper.toml"], encoding="utf-8")
    plain, whole = (ran(f"check --all{more}", path).output for more in ("", " --sources"))
    assert "trailer.empty.cg" not in plain
    assert "trailer.empty.cg" in whole
    rules, sourced = (ran(f"road --rules{more}", path).output for more in ("", " --sources"))
    assert "California" in rules
    assert "Source:" not in rules
    assert "Source:" in sourced
    assert "California" not in ran("road", path).output


def test_a_weighing_is_told_in_thirty_lines(tmp_path: Path) -> None:
    """The demo's ticket with the demo's camper."""
    path, ticket = tmp_path / "rig.toml", tmp_path / "ticket.toml"
    path.write_text(demo_rigs()["perihelion-camper.toml"], encoding="utf-8")
    ticket.write_text(demo_tickets()["camper-at-the-fuel-stop.toml"], encoding="utf-8")
    result = CliRunner().invoke(main, ["weigh", str(path), str(ticket)])
    assert result.exit_code == 0, result.output
    assert len(result.output.splitlines()) <= 30


def test_a_long_answer_loses_its_last_empty_lines_first() -> None:
    """One line too many: the last of two empty lines goes, and no word."""
    lines = ["a"] * 10 + [""] + ["b"] * 10 + [""] + ["c"] * 9
    assert len(lines) == LINES + 1
    assert list(squeezed(lines)) == lines[:21] + lines[22:]
    assert list(squeezed(lines[:-1])) == lines[:-1]


def said(tmp_path: Path, command: str, text: str) -> tuple[str, int]:
    """All that a command says of a rig file, its lines joined, and its exit code."""
    path = tmp_path / "rig.toml"
    path.write_text(text, encoding="utf-8")
    result = ran(command, path)
    return " ".join(result.stdout.split()), result.exit_code


HOPELESS = """format = 1
[vehicle]
class = "small-suv"
tow_rating = "1500 lb"
[trailer]
style = "rear-bunk"
[trailer.empty]
weight = "6050 lb"
"""
HAULER = """format = 1
[vehicle]
class = "full-size-suv"
distribution = "required"
distribution_from = "5000 lb"
[trailer]
style = "car-hauler"
brakes = true
[trailer.empty]
weight = "2000 lb"
[trailer.axles]
count = 2
station = "13 ft"
[places.deck]
station = "12 ft"
length = "18 ft"
[items.car]
weight = "4600 lb"
place = "deck"
station = "12 ft"
slides = true
"""
LOWBOY = """format = 1
[vehicle]
class = "one-ton-dual-rear-wheel"
payload = "5500 lb"
tow_rating = "20000 lb"
[hitch]
kind = "pintle"
[hitch.receiver]
rating_trailer = "20000 lb"
rating_tongue = "2000 lb"
[trailer]
style = "flatbed-equipment"
gvwr = "20000 lb"
[trailer.empty]
weight = "5200 lb"
tongue_weight = "900 lb"
[trailer.axles]
count = 2
station = "18 ft"
[places.deck]
station = "17 ft"
length = "20 ft"
[items.excavator]
weight = "16800 lb"
place = "deck"
station = "15 ft"
slides = true
"""
AUSTRALIAN = """format = 1
region = "australia-new-zealand"
[vehicle]
class = "mid-size-pickup"
[hitch.receiver]
rating_tongue = "350 kg"
[trailer]
style = "centre-axle-caravan"
[trailer.empty]
weight = { value = "2450 kg", kind = "tare" }
tongue_weight = "240 kg"
"""


def test_with_nothing_to_move_nothing_is_to_be_moved(tmp_path: Path) -> None:
    """An empty trailer of four times the tow rating: another trailer or vehicle is asked for, not a
    plan that has nothing to stow."""
    told, code = said(tmp_path, "check", HOPELESS)
    assert code == 1
    assert "mends tow rating: it takes a lighter trailer" in told
    assert "steelyard stow" not in told


def test_bars_that_the_manual_requires_are_to_be_fitted(tmp_path: Path) -> None:
    """Above the manual's weight without weight distribution: the first thing to do is to fit it, by
    `check` and `fit` alike; and what `stow` leaves home it slides nowhere."""
    told, _ = said(tmp_path, "check", HAULER)
    assert "1. Fit spring bars: the vehicle's manual requires them above 5,000 lb." in told
    assert "spring bars due, none fitted" in said(tmp_path, "fit", HAULER)[0]
    plan, _ = said(tmp_path, "stow --seconds 0.2", HAULER)
    assert "Leave car home" in plan
    assert "lide car" not in plan
    assert "Rolling car" not in plan


def test_bars_that_the_manual_forbids_come_off(tmp_path: Path) -> None:
    """Fitted all the same: no door says to fit them, and that a better place for the load mends it
    is not said either. What bears too little without them is said with it."""
    text = HAULER.replace("required", "forbidden") + "[hitch.bars]\nrating = '600 lb'\n"
    told, code = said(tmp_path, "check", text)
    assert code == 1
    assert "1. Take the spring bars off: the vehicle's manual forbids them." in told
    plan, _ = said(tmp_path, "stow --seconds 0.2", text)
    assert "Take the spring bars off" in plan
    trip, _ = said(tmp_path, "trip", text)
    assert "The worst stage is" in trip
    assert "looks for a better place" not in trip
    for every in (told, plan, trip):
        assert "Fit spring bars" not in every
    rated = "[hitch.receiver]\nrating_trailer = '{} lb'\ndistributing_trailer = '8000 lb'\n"
    for pounds, less in ((5000, True), (7500, False)):  # 2,000 + 4,600 lb and what is usual
        told, _ = said(tmp_path, "check", text + rated.format(pounds))
        assert ("Then the receiver bears 5,000 lb" in told) is less


def test_a_trip_of_what_nobody_listed_asks_for_a_list(tmp_path: Path) -> None:
    """With nothing listed there is nothing to stow, and only what is supposed is too much."""
    text = (
        'format = 1\nregion = "north-america"\n[vehicle]\nclass = "half-ton-crew-cab"\n'
        'payload = "1500 lb"\n[trailer]\nstyle = "rear-living"\ngvwr = "9500 lb"\n'
    )
    told, code = said(tmp_path, "trip", text)
    assert code == 1
    assert "Only this tips the verdict. List what rides along" in told
    assert "steelyard stow" not in told


def test_a_slide_that_would_tip_stops_no_plan(tmp_path: Path) -> None:
    """An excavator aft of where it would stand best: where some way back the rig would tip, that is
    no place for it, and the plan is told all the same."""
    told, code = said(tmp_path, "stow --seconds 0.2", LOWBOY)
    assert code == 1
    assert "excavator" in told


def test_an_australian_tow_ball_mass_is_not_asked_about(tmp_path: Path) -> None:
    """A tenth of 2,450 kg on the ball is what such a caravan is built to."""
    told, _ = said(tmp_path, "check", AUSTRALIAN)
    assert "is that right?" not in told


def test_a_share_likely_off_to_either_side_is_called_neither(tmp_path: Path) -> None:
    """A mower anywhere on its deck: a share that is likelier off than not, and rather neither below
    nor above, is likely outside its band."""
    rig = HAULER.replace('"2000 lb"', '"900 lb"\ntongue_weight = "125 lb"')
    rig = (
        rig.replace("car-hauler", "open-utility")
        .replace('"4600 lb"', '"700 lb"')
        .replace("count = 2", "count = 1")
    )
    rig = rig.replace('station = "12 ft"\nslides = true\n', "").replace('"13 ft"', '"9 ft"')
    rig = rig.replace('station = "12 ft"', 'station = "8 ft 6 in"').replace('"18 ft"', '"10 ft"')
    told, _ = said(tmp_path, "check", rig)
    assert "Tongue share: likely outside its band: do not tow until weighed" in told


HEAVY_NOSE = """format = 1
[vehicle]
class = "half-ton-crew-cab"
[hitch.receiver]
rating_tongue = "500 lb"
[trailer]
style = "enclosed-cargo"
[trailer.empty]
weight = "2900 lb"
[places.front]
station = "6 ft"
[items.scopes]
weight = "1800 lb"
place = "front"
"""


def test_a_receiver_carries_more_with_bars(tmp_path: Path) -> None:
    """A ball load over the weight-carrying rating asks for bars first, as `fit` says, and for load
    to be moved; never where the vehicle's maker forbids them, nor alone where the share on the ball
    is too large as well, which the bars do not change (statics: they lift no weight off it)."""
    further = HEAVY_NOSE.replace('station = "6 ft"', 'station = "12 ft"')
    told, _ = said(tmp_path, "check", further)
    assert "1. Fit spring bars, or move or leave weight to bring receiver: tongue within" in told
    both = "1. Move or leave weight to bring receiver: tongue and the tongue share"
    assert both in said(tmp_path, "check", HEAVY_NOSE)[0]
    maker = HEAVY_NOSE.replace("[hitch.receiver]", 'distribution = "forbidden"\n[hitch.receiver]')
    assert "1. Move or leave weight to bring receiver" in said(tmp_path, "check", maker)[0]


SOFT = """format = 1
name = "soft tyres"
everything_listed = true
[vehicle]
class = "three-quarter-ton"
[trailer]
style = "flatbed-equipment"
brakes = true
empty = { weight = "1400 lb", tongue_weight = "190 lb" }
[trailer.axles]
count = 1
station = "12 ft"
tyres = { kind = "st", max_load = "1760 lb", max_pressure = "50 psi", pressure = "30 psi" }
[places.deck]
station = "11 ft"
length = "1 ft"
[items.sand]
weight = { value = "1500 lb", basis = "weighed" }
place = "deck"
[people.ada]
seat = "driver"
"""


def test_soft_tyres_are_pumped_up_before_a_load_is_left(tmp_path: Path) -> None:
    """Some 1,300 lb on a tyre that carries 1,760 at 50 psi and by the published power 0.8 (tyre
    tables) 1,170 at 30: air mends it. At 50 psi nothing is to be pumped; a tyre of 1,200 lb no
    pressure makes carry it."""
    told, code = said(tmp_path, "check", SOFT)
    assert code == 1
    assert "1. Pump the trailer tires up, to the sidewall's 50 psi at most, cold" in told
    full = said(tmp_path, "check", SOFT.replace('"30 psi"', '"50 psi"'))[0]
    weak = said(tmp_path, "check", SOFT.replace("1760", "1200"))[0]
    assert "Pump" not in full + weak
    assert "trailer axle 1 tire" in weak


def test_what_a_trailer_lifts_is_not_within_what_it_may_bear(tmp_path: Path) -> None:
    """A tractor 2 ft behind the axle pulls receiver and mount up by more than half their rating:
    nothing is called within of that, in words or to a program."""
    path = tmp_path / "flatbed.toml"
    path.write_text(LIFTING, "utf-8")
    first = CliRunner().invoke(main, ["check", str(path)])
    assert "Do not tow: the trailer lifts the ball." in first.stdout
    assert len(re.findall(r"(?:receiver|ball mount): tongue .* ▲ lifted", first.stdout)) == 2
    CliRunner().invoke(main, ["card", str(path), "--to", str(tmp_path / "card.html")])
    front = (tmp_path / "card.html").read_text("utf-8").partition("Tires, cold")[0]
    ball = re.sub("<[^>]*>", " ", front[front.index("Loads in lb") :])
    assert re.search(r"\bball\s+-[\d,]+\s+± [\d,]+\s+▲ lifted", ball)
    report = json.loads(CliRunner().invoke(main, ["check", str(path), "--json"]).stdout)
    lifted = {o["name"]: o["standing"] for o in report["stages"][0]["limits"] if o["lifted"]}
    assert lifted == dict.fromkeys(("hitch.receiver.tongue", "hitch.ball_mount.tongue"), "unknown")


LIFTING = """format = 1
everything_listed = true
[vehicle]
class = "half-ton-crew-cab"
[hitch]
receiver = { rating_tongue = "700 lb", rating_trailer = "7000 lb" }
ball_mount = { rating_tongue = "700 lb", rating_trailer = "7000 lb" }
[people.Ada]
seat = "driver"
[trailer]
style = "flatbed-equipment"
gvwr = "7000 lb"
axles.station = "10 ft"
empty.weight = "1900 lb"
empty.tongue_weight = "200 lb"
[places.deck]
station = "12 ft"
[items.tractor]
weight = "3000 lb"
place = "deck"
"""


@pytest.mark.parametrize(("taped", "asked"), [("", True), ('station = "15.5 ft"\n', False)])
def test_what_is_exceeded_for_want_of_a_tape_says_so(
    tmp_path: Path, taped: str, asked: bool
) -> None:
    """A tractor of 1,500 lb somewhere on 16 ft of deck, 4 ft behind the axle at its middle, lifts
    the ball; where it stands moves the ball by more than it is lifted. Taped, it does not."""
    path = tmp_path / "observatory.toml"
    item = '[items.tractor]\nweight = "1500 lb"\nplace = "deck"\n' + taped
    deck = LIFTING.partition("[places.deck]")[0].replace("10 ft", "11.5 ft")
    deck += '[places.deck]\nstation = "15.5 ft"\nlength = "16 ft"\n' + item
    path.write_text(deck, "utf-8")
    found = CliRunner().invoke(main, ["check", str(path)])
    assert found.exit_code == 1
    assert ("how far back tractor rides" in " ".join(found.stdout.split())) is asked


@pytest.mark.parametrize(("trailer", "told"), [("3816 lb", True), ("", False)])
def test_a_share_weighed_at_its_floor_is_not_weighed_again(
    tmp_path: Path, trailer: str, told: bool
) -> None:
    """424 lb of 4,240 on the tongue is 10.0 %, which no further reading moves off the floor of
    10 %; with the tongue alone on a scale the trailer's weight is still to be read."""
    path, ticket = tmp_path / "observatory.toml", tmp_path / "ticket.csv"
    deck = LIFTING.replace("10 ft", "11.5 ft").replace("12 ft", "11 ft").replace("3000", "1500")
    path.write_text(deck.replace("1900 lb", "2600 lb +- 400 lb"), "utf-8")
    ticket.write_text(f"arrangement,tongue,trailer\ntrailer alone,424 lb,{trailer}\n", "utf-8")
    found = CliRunner().invoke(main, ["check", str(path), "--with", str(ticket)])
    said = " ".join(found.stdout.split())
    assert "0.0 points" not in said
    assert ("at its floor: move load ahead until the ball carries" in said) is told
    assert ("Weigh the tongue and the whole trailer" in said) is not told
    assert ("Tape how far back" in said) is not told


ELECTRIC = """format = 1
everything_listed = true
region = "europe"
[vehicle]
class = "mid-size-suv"
electric = true
weight = { value = "2100 kg", kind = "running-order" }
[trailer]
style = "centre-axle-caravan"
gvwr = "1500 kg"
[people.Ada]
seat = "driver"
weight = "75 kg"
[places.front]
station = "2 m"
[items.box]
weight = "40 kg"
place = "front"
[stages.out]
[stages.back]
distance = "120 km"
"""


def test_an_electric_vehicle_has_no_fuel(tmp_path: Path) -> None:
    """None is assumed, asked for a distance driven, or shown; its mass in running order holds the
    driver of 75 kg and nothing that could burn, so that with him aboard and no trailer on it the
    vehicle weighs 2,100 kg and what hangs behind its bumper."""
    path = tmp_path / "electric.toml"
    path.write_text(ELECTRIC + "\n", "utf-8")
    for command in (["check", "--all"], ["trip"], ["ledger"]):
        answer = CliRunner().invoke(main, [command[0], str(path), *command[1:]])
        assert answer.exit_code in (0, 1, 3)
        assert "fuel" not in answer.output
    report = json.loads(CliRunner().invoke(main, ["check", str(path), "--json"]).stdout)
    axles = report["stages"][0]["axles"]
    alone = sum(one["alone_kg"] for one in axles if one["name"] in ("front", "rear"))
    assert alone == pytest.approx(2100, abs=15)  # a tow bar's ball weighs less
    for wrong in ("vehicle.tanks.fuel.capacity = '50 L'", "stages.back.fuel_use = '9 km/L'"):
        key, _, value = wrong.partition(" = ")
        table, _, name = key.rpartition(".")
        head = f"[{table}]\n{name} = {value}\n" if "tanks" in table else f"{name} = {value}\n"
        path.write_text(ELECTRIC + head, "utf-8")
        told = CliRunner().invoke(main, ["check", str(path)])
        assert told.exit_code == 2
        assert "expected none of an electric vehicle" in told.output
    path.write_text(ELECTRIC.replace("electric = true\n", ""), "utf-8")
    (line,) = CliRunner().invoke(main, ["check", str(path)]).output.splitlines()
    assert all(key in line for key in ("fuel_use", "vehicle.tanks.fuel.capacity"))  # at once
