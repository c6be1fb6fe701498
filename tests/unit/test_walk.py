"""The walk round a rig: stops, answers, doubts, the running line, the answer that tells most."""

import tomllib
from typing import Any, get_args

import numpy as np
import pytest
from tests.trades import rig_of as rig_spoken

from steelyard.assessment import assess
from steelyard.files.changes import put
from steelyard.files.demo import demo_rigs
from steelyard.files.new import new_rig
from steelyard.files.reader import parse_rig, validated
from steelyard.quantity import POUND, System
from steelyard.rig import NO_BED, Rig
from steelyard.rig.checks import PINS
from steelyard.rig.kinds import Region, TrailerStyle, VehicleClass
from steelyard.typical import fill
from steelyard.typical.plausible import usual
from steelyard.walk.doubts import doubts
from steelyard.walk.foot import SO_FAR, foot
from steelyard.walk.next import useful
from steelyard.walk.starting_rig import begun, laid, layout, settled
from steelyard.walk.stops import every_stop, fields, flags, stops
from steelyard.walk.typed_answer import Slip, shown_as, taken
from steelyard.web import form
from steelyard.web.acts.walk import followed
from steelyard.words.headline import headline
from steelyard.words.unstated import stated_at

GVWR = next(one for one in fields() if one.at == "vehicle.gvwr")
BALL = next(one for one in fields() if one.at == "hitch.ball.size")


def rig_of(data: dict[str, Any]) -> Rig:
    """The rig in plain data."""
    return validated(Rig, data, "", "draft")


def draft(
    vehicle: str = "half-ton-crew-cab",
    style: str = "front-living",
    region: str = "north-america",
    **stated: str,
) -> dict[str, Any]:
    """A draft with its usual places and tanks, and what is stated, keys with __ for dots."""
    data = begun(vehicle, style, region, "draft")
    for path, value in laid(rig_of(data), whole=True):
        data = put(data, path.split("."), value)
    for key, value in stated.items():
        data = put(data, key.split("__"), value)
    return data


@pytest.mark.parametrize("region", get_args(Region))
@pytest.mark.parametrize("style", get_args(TrailerStyle))
def test_every_field_is_a_key_of_the_rig_file(style: str, region: str) -> None:
    """What the walk asks of any rig is a key that such a file has, of the dimension that it has."""
    vehicle = "three-quarter-ton"
    for bars in (True, False):
        data = draft(vehicle, style, region)
        if bars and style not in PINS:
            data = put(data, ("hitch", "bars"), {})
        walk = stops(rig_of(data))
        for part in ("receiver", "ball", "ball_mount", "coupler", "chains", "bars"):
            data = data if data.get("hitch", {}).get(part) else put(data, ("hitch", part), {})
        for field in fields(walk):
            if field.at == "hitch.bars":
                continue
            found = form.field_at(data, field.at)
            assert found is not None, field.at
            assert found.dimension == field.dimension, field.at


def test_a_stop_asks_nothing_twice_and_every_field_once() -> None:
    """On one rig no key is asked at two places."""
    for region in get_args(Region):
        for data in (draft(region=region), put(draft(region=region), ("hitch", "bars"), {})):
            asked = [field.at for field in fields(stops(rig_of(data)))]
            assert len(asked) == len(set(asked))


@pytest.mark.parametrize("style", get_args(TrailerStyle))
@pytest.mark.parametrize("vehicle", get_args(VehicleClass))
def test_a_body_and_a_style_are_a_rig(vehicle: str, style: str) -> None:
    """Two picks make a rig that stands, in every pair that can be coupled."""
    if style in PINS and vehicle in NO_BED:
        with pytest.raises(ValueError, match="a vehicle with a bed"):
            draft(vehicle, style)
        return
    data = draft(vehicle, style)
    rig = rig_of(data)
    assert set(rig.places) >= set(layout(style)["places"])
    found = assess(rig, draws=64)
    assert found.verdict != "within"
    assert not found.questions


def test_a_new_file_says_that_the_weight_is_assumed() -> None:
    """`new` without any weight writes a file that reads, its weight marked as assumed."""
    rig = parse_rig(new_rig("mine", "car", "boat", "europe"), "new")
    assert rig.trailer.empty.weight is not None
    assert rig.trailer.empty.weight.basis == "assumed"
    stated = parse_rig(new_rig("mine", "car", "boat", "europe", {"trailer_gvwr": "900 kg"}), "new")
    assert stated.trailer.empty.weight is None


def test_the_command_line_asks_a_part_of_the_walk() -> None:
    """Every option of `new` is a field of the walk, under its own name."""
    assert set(flags()) == {
        *("vehicle_gvwr", "payload", "front_gawr", "rear_gawr"),
        *("trailer_gvwr", "empty_weight", "tongue_weight", "axle_station"),
    }


@pytest.mark.parametrize(
    ("typed", "unit", "held"),
    [
        ("7600", "lb", "7600 lb"),
        ("7,600", "lb", "7600 lb"),
        ("7 600", "lb", "7600 lb"),
        (" 7600 ", "kg", "7600 kg"),
        ("7600 kg", "lb", "7600 kg"),
        ("7600 lb +- 20 lb", "kg", "7600 lb +- 20 lb"),
        ("", "lb", None),
    ],
)
def test_a_bare_number_is_in_the_unit_of_the_screen(
    typed: str, unit: str, held: str | None
) -> None:
    """Written with a unit of its own, that one holds."""
    assert taken(GVWR, typed, unit) == held


def test_a_fraction_is_read_as_stamped() -> None:
    """A ball of 2 5/16 is typed as it is stamped."""
    assert taken(BALL, "2 5/16", "in") == "2 5/16 in"


@pytest.mark.parametrize(
    ("typed", "mend"),
    [("72OO", "7200"), ("l790", "1790"), ("7200 Ib.", "7200"), ("about", ""), ("--", "")],
)
def test_what_is_no_number_has_few_words_and_one_mend(typed: str, mend: str) -> None:
    """Letters that look like digits are read as them, where that gives a number."""
    slip = taken(GVWR, typed, "lb")
    assert isinstance(slip, Slip)
    assert len(slip.words.split()) <= 6
    assert slip.mend == mend


@pytest.mark.parametrize(
    ("typed", "unit", "mend"),
    [
        ("1769KG", "lb", "1769 kg"),
        ("1769 kg (3900 lb)", "lb", "1769 kg"),
        ("7200lbs.", "kg", "7200 lbs"),
        ("17 ft 6", "in", "17 ft 6 in"),
        ("12'6", "in", "12'6 in"),
        ("2 m 70", "mm", ""),
        ("12 6", "in", ""),
    ],
)
def test_a_mend_says_no_other_quantity_than_was_typed(typed: str, unit: str, mend: str) -> None:
    """A number stays in the unit that was typed behind it, and loses no inches: in a field of
    pounds 1,769 kg became 1,769 lb, 17 ft 6 became 17 in."""
    known = {field.at: field for field in fields(every_stop())}
    field = GVWR if unit in ("lb", "kg") else known["vehicle.wheelbase"]
    slip = taken(field, typed, unit)
    assert isinstance(slip, Slip)
    assert slip.mend == mend
    assert not mend or not isinstance(taken(field, mend, unit), Slip)


def test_a_field_shows_what_was_typed() -> None:
    """Without the screen's own unit, and with another."""
    assert shown_as("7600 lb", "lb") == "7600"
    assert shown_as("3447 kg", "lb") == "3447 kg"
    assert shown_as("6 ft 2 in", "in") == "6 ft 2 in"
    assert shown_as({"value": "165 in", "basis": "measured"}, "in") == "165"


@pytest.mark.parametrize(
    ("path", "typed", "at", "mend"),
    [
        ("vehicle__front__gawr", "39000 lb", "vehicle.front.gawr", "3900 lb"),
        ("vehicle__front__gawr", "390 lb", "vehicle.front.gawr", "3900 lb"),
        ("vehicle__gvwr", "3266 lb", "vehicle.gvwr", "3266 kg"),
        ("vehicle__payload", "179 lb", "vehicle.payload", "1790 lb"),
        ("vehicle__gvwr", "3.266 kg", "vehicle.gvwr", "3266 kg"),
    ],
)
def test_a_doubt_stands_at_its_field_with_what_would_mend_it(
    path: str, typed: str, at: str, mend: str
) -> None:
    """A digit too many or too few, kilograms typed as pounds or in European style: one press
    mends it. (Labels of one
    invented pickup: 7,200 lb or 3,266 kg, 3,900 lb, 1,790 lb; 1 lb is 0.45359237 kg exactly.)"""
    assert round(7200 * POUND) == 3266
    rig = rig_of(draft(**{path: typed}))
    found = doubts(rig, stops(rig), "us")
    assert found[at].mend == mend
    assert len(found[at].words.split()) <= 6


def test_each_of_two_slips_has_its_mend() -> None:
    """Thousands in European style at the GVWR and a digit too many at the rear axle of one car of
    1,890 and 1,010 kg: neither hides what mends the other."""
    typed = {"gvwr": "1.890 kg", "front__gawr": "1020 kg", "rear__gawr": "10100 kg"}
    stated = {f"vehicle__{key}": text for key, text in typed.items()}
    rig = rig_of(draft("car", "centre-axle-caravan", "europe", **stated))
    found = doubts(rig, stops(rig), "metric")
    assert found["vehicle.gvwr"].mend == "1890 kg"
    assert found["vehicle.rear.gawr"].mend == "1010 kg"


def test_what_can_only_be_said_to_be_so_has_no_mend() -> None:
    """A figure that no usual slip explains is confirmed or typed again."""
    rig = rig_of(draft(vehicle__payload="8000 lb"))
    assert doubts(rig, stops(rig), "us")["vehicle.payload"].mend is None


def test_axles_that_the_box_puts_in_doubt_are_not_told_what_is_usual_of_them() -> None:
    """Axles at 4.2 m are usual; with a box that ends 128 in (3.25 m) behind the ball, taken as it
    was typed, the field names the trailer's length."""
    box = {"trailer__box_start": "54 in", "trailer__box_length": "74 in"}
    rig = rig_of(draft(trailer__axles__station="4.2 m", **box))
    found = doubts(rig, stops(rig), "us")["trailer.axles.station"]
    assert "length" in found.words
    assert "Usually" not in found.words


def test_the_label_takes_the_place_of_the_assumed_weight() -> None:
    """With the trailer's GVWR stated, its assumed weight goes; what is assumed to be somewhere
    moves with the box, and what was measured stays."""
    data = draft(trailer__gvwr="7000 lb")
    data = put(data, ("places", "galley", "station"), {"value": "4 m", "basis": "measured"})
    changes = dict(settled(rig_of(data)))
    assert changes["trailer.empty.weight"] is None
    assert "places.galley.station" not in changes
    assert "places.lounge.station" in changes


def test_a_place_lies_at_its_share_of_the_box() -> None:
    """A stated box of 20 ft that begins at 3 ft holds the galley (0.55) at 3 + 11 ft."""
    data = draft(trailer__box_start="3 ft", trailer__box_length="20 ft")
    station = dict(settled(rig_of(data)))["places.galley.station"]
    assert float(station["value"].split()[0]) == pytest.approx(14 * 0.3048, abs=0.006)


@pytest.mark.parametrize(
    ("style", "region", "litres", "behind"),
    [
        ("centre-axle-caravan", "europe", (30.0, 70.0), "boot"),
        ("rear-bunk", "north-america", (75.0, 230.0), "cargo-area"),
    ],
)
def test_a_tank_is_of_its_continent_and_assumed(
    style: str, region: str, litres: tuple[float, float], behind: str
) -> None:
    """Fresh water of a caravan and of a travel trailer as such are commonly built (from memory of
    their data sheets: 40 to 50 L, 30 to 60 gal), stated by nobody; the boot is named as there."""
    rig = rig_of(draft("small-suv", style, region))
    capacity = rig.trailer.tanks["fresh"].capacity
    assert litres[0] < 1000 * capacity.value < litres[1]
    assert capacity.basis == "assumed"
    assert behind in rig.places


@pytest.mark.parametrize("style", ["small-single-axle", "centre-axle-caravan", "rear-bunk"])
def test_one_axle_is_not_asked_how_far_apart_it_stands(style: str) -> None:
    """The tape goes from axle to axle where there are two; how many is stated, or the style's."""
    for count, asked in ((None, style == "rear-bunk"), (1, False), (2, True)):
        data = draft("small-suv", style)
        data = put(data, ("trailer", "axles", "count"), count) if count else data
        assert ("trailer.axles.spacing" in {one.at for one in fields(stops(rig_of(data)))}) is asked


def test_the_missing_rating_is_asked_where_one_stands() -> None:
    """Among missing ratings those of this stop come before those behind, in the walk's order."""
    rig = rig_of(draft())
    found, walk = assess(rig), stops(rig)
    first = useful(found, walk, "door")
    assert first is not None
    assert first.field.at == "vehicle.gvwr"
    later = useful(found, walk, "coupler")
    assert later is not None
    assert later.stop.name == "coupler"


def test_what_is_doubted_is_asked_about_first() -> None:
    """A GVWR of 3,266 lb leaves limits unknown: the foot asks whether it is right."""
    rig = rig_of(draft(vehicle__gvwr="3266 lb"))
    line = foot(assess(rig), stops(rig), "us", "rides")
    assert line.called == "GVWR"
    assert line.tells.endswith("right?")


def test_of_ratings_that_do_not_go_together_the_foot_names_the_one_that_bears_the_doubt() -> None:
    """Beside a GVWR of 7,050 lb and a front GAWR of 3,750 a rear one of 41,000 lb for 4,100 is the
    slip: the stop marks it, and the foot asks about the same field, not about the front one."""
    ratings = {"vehicle__gvwr": "7050 lb", "vehicle__front__gawr": "3750 lb"}
    rig = rig_of(draft(**ratings, vehicle__rear__gawr="41000 lb"))
    assert doubts(rig, stops(rig), "us")["vehicle.rear.gawr"].mend == "4100 lb"
    line = foot(assess(rig), stops(rig), "us", "hitch")
    assert line.next is not None
    assert line.next.field.at == "vehicle.rear.gawr"
    assert "41000 lb" in line.tells


def test_what_is_stated_and_waits_for_a_doubt_is_no_rating_short() -> None:
    """A thing of 3.200 lb leaves every weight unknown of a camper that states all its ratings: none
    is short, and the foot asks to look at the thing."""
    text = demo_rigs()["perihelion-camper.toml"]
    data = tomllib.loads(text)
    data["items"]["pantry"]["weight"] = "3.200 lb"
    found = assess(rig_of(data))
    line = foot(found, stops(found.rig), "us")
    assert line.verdict == "Not known yet"
    assert "short" not in line.why
    assert "pantry" in line.tells


def test_the_answer_that_narrows_most_is_one_that_narrows() -> None:
    """Where a limit cannot be told, stating the named field at what is believed of it brings the
    limit's spread down by what the line says."""
    data = draft(
        vehicle__gvwr="7200 lb",
        vehicle__front__gawr="3900 lb",
        vehicle__rear__gawr="4150 lb",
        vehicle__payload="1790 lb",
        hitch__receiver__rating_tongue="900 lb",
        trailer__gvwr="7000 lb",
    )
    data["trailer"].pop("empty")
    rig = rig_of(data)
    found = assess(rig)
    one = found.worst_stage.deciding
    assert one is not None
    assert one.verdict == "cannot tell"
    best = useful(found, stops(rig))
    assert best is not None
    assert best.sd is not None
    assert best.sd_after is not None
    assert best.sd_after < best.sd
    believed = fill(rig).parameters
    size = found.estimate.at_mean().get(best.field.at)
    if best.field.at in believed and size is not None:
        text = f"{float(size) / POUND:.1f} lb"
        again = assess(rig_of(put(data, best.field.at.split("."), text)))
        sd = next(x for x in again.worst_stage.limits if x.name == one.name).sd
        assert sd == pytest.approx(best.sd_after, rel=0.15)


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_foot_says_the_verdict_and_what_to_answer(system: System) -> None:
    """A draft cannot be within: the line says so, and names a field of the walk."""
    rig = rig_of(draft())
    line = foot(assess(rig), stops(rig), system)
    assert line.verdict == "Cannot tell yet"
    assert line.next is not None
    assert line.next.field in tuple(fields(stops(rig)))
    assert line.tells


@pytest.mark.parametrize("rating", ["1200 lb", "1000 lb", "900 lb", "700 lb"])
def test_where_nothing_is_left_to_ask_the_foot_is_the_headline(rating: str) -> None:
    """Under every verdict of a camper that states all: the headline's mark, limit, room and thing
    to do, and with doubted readings its doubt."""
    text = demo_rigs()["perihelion-camper.toml"].replace('"1000 lb"', f'"{rating}"')
    found = assess(parse_rig(text))
    walk, first = stops(found.rig), headline(found, "us")
    line = foot(found, walk, "us")
    assert line.next is None
    assert (line.mark, line.tells) == (first.mark, first.step.words)
    for words in line.why.split(", "):
        assert words.replace(" over", "") in first.spoken.lower()
    doubted = foot(found, walk, "us", doubt="The readings differ")
    assert doubted.verdict == SO_FAR[headline(found, "us", doubt="The readings differ").verdict]
    assert "readings differ" in doubted.tells


def test_a_field_gives_each_limit_that_it_names_its_rating() -> None:
    """Those that name several, as a plate's S and D do, give each of them."""
    several = [one for one in fields() if len(one.limits) > 1]
    assert several
    assert all(one.rates(limit) for one in several for limit in one.limits)


def test_the_stops_stand_in_the_order_a_person_walks() -> None:
    """Door, behind the bumper, the trailer's end, its label, its wheels, the tape, people, load."""
    order = ["door", "hitch", "coupler", "trailer", "tyres", "tape", "people", "rides"]
    assert [stop.name for stop in every_stop()] == order


@pytest.mark.parametrize("style", ["boat", "enclosed-cargo", "front-living"])
def test_a_trailer_that_nobody_weighed_is_as_wide_as_such_trailers_weigh(style: str) -> None:
    """95 % of a draft's empty weights lie in the band that is usual of its style; a boat trailer of
    150 to 6,000 lb was taken to weigh 44 to 20,700."""
    band = usual("trailer.empty.weight", style)
    assert band is not None
    estimate = assess(rig_of(begun("half-ton-crew-cab", style, "north-america", "draft"))).estimate
    at = estimate.names.index("trailer.empty.weight")
    middle, half = estimate.mean[at], 1.96 * estimate.sd[at]
    assert np.exp([middle - half, middle + half]) == pytest.approx([band.low, band.high], rel=0.01)


def test_a_stated_gvwr_needs_no_assumed_weight() -> None:
    """A draft is given a weight only where neither is stated; a stated one stays."""
    bare = {"vehicle": {"class": "van"}, "trailer": {"style": "boat"}}
    stated = {**bare, "trailer": {"style": "boat", "gvwr": "2000 kg"}}
    assert "empty" not in followed(stated, "x")["trailer"]
    assert "weight" in followed(bare, "x")["trailer"]["empty"]
    weighed = {**bare, "trailer": {"style": "boat", "empty": {"weight": "600 kg"}}}
    assert followed(weighed, "x")["trailer"]["empty"]["weight"] == "600 kg"


@pytest.mark.parametrize(
    ("seated", "stated", "name", "at"),
    [
        ((), "driver", "second", "second-left.station"),
        (("second-right",), "driver", "second", "second-right.station"),
        (("second-left", "second-right"), "second-left", "second", "second-right.station"),
        (("bench",), "bench", "bench", "bench"),
    ],
)
def test_a_row_of_seats_is_stated_at_a_seat_somebody_takes(
    seated: tuple[str, ...], stated: str, name: str, at: str
) -> None:
    """The first seat of the row that is taken and not stated, else the row's first; a seat with a
    name of its own stands for itself."""
    text = 'format = 1\nvehicle.class = "car"\ntrailer = { style = "boat", gvwr = "750 kg" }\n'
    text += f'vehicle.seats.{stated}.station = "2 m"\n'
    text += "".join(f'people.{"AB"[n]}.seat = "{seat}"\n' for n, seat in enumerate(seated))
    assert stated_at(f"vehicle.seats.{name}", parse_rig(text)) == f"vehicle.seats.{at}"


@pytest.mark.parametrize(
    ("words", "coupling", "there", "gone"),
    [
        ("us", "pintle", {"receiver", "mount", "ball", "tube"}, {"bars", "sizes", "bed-hitch"}),
        ("us", "ball", {"receiver", "bars", "sizes", "tube"}, {"bed-hitch"}),
        ("us", "gooseneck", {"bed-hitch"}, {"bars", "sizes", "tube", "ball"}),
    ],
)
def test_the_walk_asks_what_the_coupling_has(
    words: str, coupling: str, there: set[str], gone: set[str]
) -> None:
    """A pintle hook has a receiver and no spring bars, and no ball's size is asked of it."""
    asked = {sheet.name for stop in stops(rig_spoken(words, coupling)) for sheet in stop.sheets}
    assert there <= asked
    assert not gone & asked


def test_an_australian_reads_a_compliance_plate_and_not_a_european_one() -> None:
    """No line of the plate is numbered 1 and 2, as those of a statutory plate are."""
    plates = [
        sheet
        for stop in stops(rig_spoken("australia", "ball"))
        for sheet in stop.sheets
        if sheet.name == "plate"
    ]
    reads = [one.reads for sheet in plates for one in sheet.fields]
    assert plates[0].head.startswith("Compliance plate")
    assert reads[:3] == ["GVWR", "front axle", "rear axle"]
    assert "trailer's GVWR" in reads
    assert not any("-" in one for one in reads)
