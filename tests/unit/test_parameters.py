"""The one table of parameters, and what a rig file's silence is filled with."""

import math
from typing import Any

import pytest

from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.quantity import FOOT, GRAVITY, INCH, POUND, Z95
from steelyard.quantity.constants import US_GALLON
from steelyard.rig import Rig
from steelyard.statics.prior import prior
from steelyard.typical import fill
from steelyard.typical.hitch import ball_radius, without_drop
from steelyard.typical.sheet import kind, kind_of, kinds, only_sways, stated_key
from steelyard.typical.shipped_tables import default_sd, typical, vehicle_class, worth
from steelyard.typical.trailer import axle_count
from steelyard.typical.vehicle import seat_place

VEHICLE = {"class": "half-ton-crew-cab"}
TRAILER = {"style": "rear-living", "gvwr": "7000 lb"}


def test_every_parameter_of_a_rig_has_a_row() -> None:
    """What a rig fills is of a kind that the table has."""
    names = [name for text in demo_rigs().values() for name in fill(parse_rig(text)).parameters]
    assert names
    assert all(kind_of(name) in kinds().values() for name in names)


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("vehicle.rear.pressure", "vehicle.rear.tyres.pressure"),
        ("trailer.axles.tyre_load", "trailer.axles.tyres.max_load"),
        ("vehicle.wheelbase", "vehicle.wheelbase"),
        ("scale #1.slope", "scale #1.slope"),
    ],
)
def test_the_table_says_where_a_value_is_stated(name: str, key: str) -> None:
    """A tyre's numbers stand under the axle's tyres (docs/rig-file.md); others by their name."""
    assert stated_key(name) == key


def test_roles_are_read_off_the_table() -> None:
    """Cornering stiffness bears on sway alone, a spring's rate on loads; a nuisance has no row."""
    assert only_sways("vehicle.front.pressure")
    assert not only_sways("vehicle.front.rate")
    assert kind_of("scale #1.slope") is None
    with pytest.raises(KeyError, match=r"parameters\.toml"):
        kind("vehicle.colour")


@pytest.mark.parametrize(
    ("hitch", "inches"),
    [
        ({}, 2.0),
        ({"coupler": {"size": "2 5/16 in"}}, 2.3125),
        ({"ball": {"size": "50 mm"}}, 50 / 25.4),
        ({"kind": "pintle"}, 0.0),
    ],
)
def test_a_coupler_turns_half_a_ball_below_its_top(hitch: dict[str, Any], inches: float) -> None:
    """Sphere: radius is half the size stated, of the usual 2 in ball where none is; a hook is
    measured where it turns."""
    rig = Rig.model_validate({"vehicle": VEHICLE, "hitch": hitch, "trailer": TRAILER})
    assert ball_radius(rig) == pytest.approx(inches / 2 * 0.0254)


@pytest.mark.parametrize(("pounds", "half"), [(500, 20), (9_000, 20), (20_000, 40)])
def test_an_unsaid_spread_is_the_greater_of_its_two(pounds: float, half: float) -> None:
    """A class III L scale (NIST Handbook 44, from memory): 20 lb, above 10,000 lb 0.2 %."""
    sd = default_sd("scale", pounds * POUND, "mass")
    assert Z95 * sd / POUND == pytest.approx(half)


def test_a_stated_axle_station_says_how_long_the_box_is() -> None:
    """A boat trailer is stated heavy (the boat on it) with its axles 17 ft behind the ball: its
    deck is some 20 ft, as the axles' usual place along it says, not the 77 ft that its weight over
    a bare trailer's weight per length would."""
    rig = Rig.model_validate(
        {
            "vehicle": {"class": "mid-size-pickup"},
            "trailer": {
                "style": "boat",
                "empty": {"weight": "4900 lb", "tongue_weight": "245 lb"},
                "axles": {"count": 2, "station": "17 ft"},
            },
        }
    )
    found = prior(rig).estimate.at_mean()
    assert 16 * FOOT < float(found["trailer.box_length"]) < 26 * FOOT


@pytest.mark.parametrize(("count", "pounds"), [(2, 2 * 3195), (4, 4 * 2910)])
def test_two_tyres_stand_single_and_four_dual(count: int, pounds: float) -> None:
    """An axle's tyres together bear what the sidewall says of so many: LT245/75R17 E, 3,195 lb
    single and 2,910 lb dual (from memory)."""
    tyres = {"count": count, "max_load": "3195 lb", "max_load_dual": "2910 lb"}
    vehicle = {**VEHICLE, "rear": {"tyres": tyres}}
    found = fill(Rig.model_validate({"vehicle": vehicle, "trailer": TRAILER})).parameters
    assert found["vehicle.rear.tyre_load"].value == pytest.approx(pounds * POUND)


@pytest.mark.parametrize(
    ("style", "kind", "above"),
    [
        ("gooseneck", None, 0.08),
        ("fifth-wheel", "gooseneck", 0.08),
        ("fifth-wheel", None, 0.33),
    ],
)
def test_a_ball_in_the_bed_stands_lower_than_a_plate(
    style: str, kind: str | None, above: float
) -> None:
    """A gooseneck ball stands a hand over the floor, a fifth wheel's plate a foot; either over the
    rear axle or just ahead of it (assumed)."""
    hitch = {"kind": kind} if kind else {}
    rig = {"vehicle": VEHICLE, "hitch": hitch, "trailer": {**TRAILER, "style": style}}
    found = fill(Rig.model_validate(rig)).parameters
    bed = typical(vehicle_class("half-ton-crew-cab"), "bed.height", "length")
    assert bed is not None
    assert found["hitch.ball_height"].value == pytest.approx(bed.value + above)
    assert -0.2 < found["vehicle.overhang"].value <= 0.0


@pytest.mark.parametrize(("rows", "known", "worth_of"), [(40, 9, 9), (5, 9, 5), (40, 0.2, 1)])
def test_rows_are_worth_no_more_than_their_mean_is_known(
    rows: int, known: float, worth_of: float
) -> None:
    """The next of n alike scatters by s sqrt(1 + 1/n), their mean by s/sqrt(n): n is the square of
    their ratio less one; one row at least."""
    mean = 0.01 / known**0.5
    entry = {"value": 0.1, "spread": (0.01**2 + mean**2) ** 0.5, "mean_spread": mean, "source": ""}
    found = worth({"relations": {"share": {**entry, "rows": rows}}}, "share")
    assert found[1] == pytest.approx(worth_of)


def test_each_sleeve_lowers_the_ball_by_its_drop() -> None:
    """Two of 1 in and 2 in: 3 in lower than without them."""
    sleeves = {"one": {"drop": "1 in"}, "two": {"drop": "2 in"}}
    receiver = {"height": "20 in", "opening": "2 in"}
    rigs = [
        Rig.model_validate({"vehicle": VEHICLE, "hitch": hitch, "trailer": TRAILER})
        for hitch in ({"receiver": receiver}, {"receiver": receiver, "reducers": sleeves})
    ]
    bare, sleeved = (without_drop(rig) for rig in rigs)
    assert bare is not None
    assert sleeved is not None
    assert bare.value - sleeved.value == pytest.approx(3 * 0.0254)


PLACED = {"fresh": {"content": "fresh", "capacity": "100 L", "station": "3 m"}}
PSI = POUND * GRAVITY / INCH**2
STACK = {"height": "20 in", "opening": "2.5 in"}
FIFTH = {"trailer": {"style": "fifth-wheel"}}
BARS = {"bars": {"rating": "1000 lb"}}
TIPS = 1000 * POUND * GRAVITY / (4 * INCH)
USED = "stages.go.tanks.fresh"


@pytest.mark.parametrize(
    ("said", "name", "value", "half"),
    [
        # A plate in the bed: the floor's 35 in and a foot, by both spreads in quadrature.
        (FIFTH, "hitch.ball_height", 35 * INCH + 0.33, math.hypot(3 * INCH, Z95 * 0.04)),
        (FIFTH, "hitch.ball_mount.weight", 180 * POUND, 90 * POUND),
        ({}, "hitch.ball_mount.weight", 25 * POUND, 15 * POUND),
        # Wheelbase and overhang less a hand.
        ({}, "hitch.ball_mount.station", (148 + 57) * INCH - 0.15, Z95 * 0.10),
        # Bars carry their rating, unsaid 12 % of the trailer's, at 4 in of travel.
        ({"hitch": BARS}, "hitch.bars.tip_rate", TIPS, Z95 * 0.5 * TIPS),
        ({"hitch": {"bars": {}}}, "hitch.bars.tip_rate", 0.84 * TIPS, Z95 * 0.42 * TIPS),
        # 20 in less half the play in the opening, less the drop, plus the ball's 3 in; three tapes
        # of 10 mm.
        (
            {
                "hitch": {
                    "receiver": STACK,
                    "ball_mount": {"shank": "2 in", "drop": "4 in"},
                    "ball": {"rise": "3 in"},
                }
            },
            "hitch.ball_height",
            18.75 * INCH,
            0.01 * 3**0.5,
        ),
        # Where one size is unsaid the bars are taken to be of one size.
        (
            {
                "hitch": {
                    "receiver": STACK,
                    "ball_mount": {"drop": "4 in"},
                    "ball": {"rise": "3 in"},
                }
            },
            "hitch.ball_height",
            19 * INCH,
            0.01 * 3**0.5,
        ),
        # A ball of unsaid height stands 2.75 +- 0.6 in on its mount.
        (
            {"hitch": {"receiver": {"height": "20 in"}, "ball_mount": {"drop": "4 in"}}},
            "hitch.ball_height",
            18.75 * INCH,
            math.hypot(0.01, 0.01, 0.6 * INCH),
        ),
        ({"hitch": {"reducers": {"one": {}}}}, "hitch.reducers.one.weight", 3.0, Z95 * 1.5),
        # A hitch in the bed stands over the rear axle or just ahead (assumed).
        (FIFTH, "vehicle.overhang", -0.05, Z95 * 0.08),
        # Weights of both axles together, wide, until they are read (assumed).
        (
            {"vehicle": {"front": {"weight": "3000 lb"}, "rear": {"weight": "2000 lb"}}},
            "vehicle.weight",
            5000 * POUND,
            Z95 * 0.30 * 5000 * POUND,
        ),
        # 57 +- 4 % of the vehicle on its front axle, four times as wide until that is read.
        ({}, "vehicle.cg", 0.43 * 148 * INCH, 4 * 0.04 * 148 * INCH),
        # Axles at 58 % of a box of 6 m from 1 m behind the ball, wide until that is read.
        (
            {"trailer": {"box_start": "1 m", "box_length": "6 m"}},
            "trailer.axles.station",
            1 + 0.58 * 6,
            Z95 * 0.25 * 6,
        ),
        # A box is three tenths of the length at least, however long the tongue.
        ({"trailer": {"length": "3 m", "box_start": "2.5 m"}}, "trailer.box_length", 0.9, None),
        # Options lie about the empty trailer's centre, a tenth of the box either way.
        ({"trailer": {"box_length": "6 m"}}, "trailer.options_offset", 0.0, 0.6),
        # Tyres for a tenth over the axle's rating, known to 6 % (one sd); by load index to 2 %.
        (
            {"vehicle": {"front": {"gawr": "3000 lb"}}},
            "vehicle.front.tyre_load",
            3300 * POUND,
            Z95 * 0.06 * 3300 * POUND,
        ),
        (
            {
                "vehicle": {
                    "rear": {"tyres": {"count": 4, "load_index": 121, "dual_load_index": 100}}
                }
            },
            "vehicle.rear.tyre_load",
            4 * 800,
            Z95 * 0.02 * 4 * 800,
        ),
        # A level by volume without a spread of its own is known to 3 % of it (one sd).
        (
            {"trailer": {"tanks": PLACED}, "stages": {"go": {"tanks": {"fresh": "40 L"}}}},
            USED,
            0.40,
            Z95 * 0.03 * 0.40,
        ),
        # A level by volume, of 100 L.
        (
            {"trailer": {"tanks": PLACED}, "stages": {"go": {"tanks": {"fresh": "40 L +- 5 L"}}}},
            USED,
            0.40,
            0.05,
        ),
        ({"trailer": {"tanks": PLACED}, "stages": {"go": {}}}, USED, 0.50, 0.48),
        (
            {
                "trailer": {"tanks": {"fresh": {**PLACED["fresh"], "content": "grey"}}},
                "stages": {"go": {}},
            },
            USED,
            0.25,
            0.40,
        ),
        ({"trailer": {"tanks": PLACED}}, "trailer.tanks.fresh.capacity", 99.8, Z95 * 0.02 * 99.8),
        (
            {"vehicle": {"tanks": {"fuel": {"content": "gasoline", "capacity": "100 L"}}}},
            "vehicle.tanks.fuel.capacity",
            74.0,
            Z95 * 0.01 * 74,
        ),
        ({}, "vehicle.tanks.fuel.capacity", 28 * US_GALLON * 740, 9 * US_GALLON * 740),
        # Overall length less tongue and 0.1 m of coupler.
        (
            {"trailer": {"length": "24 ft", "box_start": "3 ft"}},
            "trailer.box_length",
            21 * FOOT - 0.1,
            None,
        ),
        # Springs and tyres (500 kN/m two of them) in series: their flexibilities add.
        (
            {"trailer": {"axles": {"rate": "200000 N/m +- 20000 N/m"}}},
            "trailer.axles.rate",
            1e6 / 7,
            1e5 / 7,
        ),
        (
            {"trailer": {"axles": {"rate": "200000 N/m", "tyres": {"count": 4}}}},
            "trailer.axles.rate",
            1e6 / 6,
            1e5 / 6,
        ),
        # Two axles share the rating: 0.075 +- 0.035 m under it, tyres for 1.15 +- 0.2 of it.
        (
            {},
            "trailer.axles.rate",
            3500 * POUND * GRAVITY / 0.075,
            3500 * POUND * GRAVITY / 0.075 * 35 / 75,
        ),
        ({}, "trailer.axles.tyre_load", 1.15 * 3500 * POUND, 0.2 * 3500 * POUND),
        # The empty trailer's lever about its axles: 12.2 % on the ball.
        ({"trailer": {"axles": {"station": "5 m"}}}, "trailer.empty.cg", 5 * 0.878, Z95 * 1.5),
        # As near to the pressure stated, in parts, as the usual tyre to its own.
        (
            {"trailer": {"axles": {"tyres": {"max_pressure": "50 psi"}}}},
            "trailer.axles.pressure",
            50 * PSI,
            8 * 50 / 65 * PSI,
        ),
        (
            {"vehicle": {"front": {"tyres": {"placard_pressure": "70 psi"}}}},
            "vehicle.front.pressure",
            70 * PSI,
            8 * PSI,
        ),
        (
            {"vehicle": {"front": {"tyres": {"max_load": "3195 lb"}}}},
            "vehicle.front.tyre_load",
            2 * 3195 * POUND,
            Z95 * 0.02 * 2 * 3195 * POUND,
        ),
        # Two tyres where their number is unsaid, each known to a tenth; in series with springs.
        (
            {"vehicle": {"front": {"tyres": {"rate": "300000 N/m"}}}},
            "vehicle.front.tyre_rate",
            6e5,
            6e4,
        ),
        (
            {"trailer": {"axles": {"rate": "200000 N/m", "tyres": {"rate": "250000 N/m"}}}},
            "trailer.axles.rate",
            1e6 / 7,
            1e5 / 7,
        ),
        # A tyre's stiffness is known for the placard's pressure, else for the one it has.
        (
            {"vehicle": {"front": {"tyres": {"pressure": "60 psi"}}}},
            "vehicle.front.rated_pressure",
            60 * PSI,
            0.0,
        ),
        (
            {"vehicle": {"front": {"tyres": {"pressure": "60 psi", "placard_pressure": "50 psi"}}}},
            "vehicle.front.rated_pressure",
            50 * PSI,
            0.0,
        ),
        # No more people and gear than half the payload: 500 lb of 1,000.
        (
            {"vehicle": {"payload": "1000 lb", "gvwr": "7000 lb"}},
            "vehicle.unlisted",
            (0.9 * (500 * 550 / 800 - 175) + 0.9 * 500 * 250 / 800 + 0.05 * 500) * POUND,
            None,
        ),
        # Less than one lot beside what is listed in full may be anywhere in the box.
        (
            {
                "trailer": {"style": "enclosed-cargo", "gvwr": "7000 lb"},
                "places": {"box": {"station": "3 m"}},
                "items": {"pier": {"weight": "700 lb", "place": "box"}},
            },
            "trailer.unlisted_place",
            0.48,
            Z95 * 12**-0.5,
        ),
        # A payload of all of GVWR leaves none: then the usual share of GVWR.
        (
            {"vehicle": {"gvwr": "7000 lb", "payload": "7000 lb"}},
            "vehicle.weight",
            0.741 * 7000 * POUND,
            0.128 * 7000 * POUND,
        ),
        # What GVWR leaves of the payload, 0.99 +- 0.025 of it.
        (
            {"vehicle": {"gvwr": "7000 lb", "payload": "1700 lb"}},
            "vehicle.weight",
            0.99 * 5300 * POUND,
            0.025 * 5300 * POUND,
        ),
        # Four tyres of 300 kN/m, each known to a tenth.
        (
            {"vehicle": {"rear": {"tyres": {"count": 4, "rate": "300000 N/m"}}}},
            "vehicle.rear.tyre_rate",
            1.2e6,
            1.2e5,
        ),
        # A third row a step behind the second.
        (
            {"people": {"ann": {"seat": "third-left"}}},
            "vehicle.seats.third",
            101 * INCH + 0.85,
            Z95 * 0.15,
        ),
        # Anywhere between the front seats and the middle of the bed.
        ({}, "vehicle.unlisted_station", (61 + 152) / 2 * INCH, None),
        # Nobody listed: 0.9 of 550 lb of people less the driver, 0.9 of 250 lb of gear, and 5 % of
        # both; of a payload of a tenth of the vehicle, no more than half.
        (
            {"vehicle": {"payload": "1700 lb"}},
            "vehicle.unlisted",
            (0.9 * (550 - 175) + 0.9 * 250 + 0.05 * 800) * POUND,
            None,
        ),
        (
            {"vehicle": {"weight": "6000 lb", "gvwr": "6100 lb"}},
            "vehicle.unlisted",
            (0.9 * (300 * 550 / 800 - 175) + 0.9 * 300 * 250 / 800 + 0.05 * 300) * POUND,
            None,
        ),
        # A mass in running order is 5 % off, and its 20 +- 15 kg of water are the tank's.
        (
            {
                "trailer": {
                    "empty": {"weight": {"value": "1300 kg", "kind": "running-order"}},
                    "tanks": PLACED,
                }
            },
            "trailer.empty.weight",
            1280.0,
            math.hypot(65, 15),
        ),
        # Any tank of water will do, whatever else there is.
        (
            {
                "trailer": {
                    "empty": {"weight": {"value": "1300 kg", "kind": "running-order"}},
                    "tanks": {**PLACED, "grey": {**PLACED["fresh"], "content": "grey"}},
                }
            },
            "trailer.empty.weight",
            1280.0,
            math.hypot(65, 15),
        ),
        # The centre of lots of 50 kg, each anywhere between: 602.5 lb of them, or less than one.
        (
            {"vehicle": {"payload": "1700 lb"}},
            "vehicle.unlisted_station",
            (61 + 152) / 2 * INCH,
            Z95 * 91 * INCH / (12 * 602.5 * POUND / 50) ** 0.5,
        ),
        (
            {
                "people": {"ann": {"seat": "driver", "weight": "550 lb"}},
                "places": {"box": {"station": "3 m"}},
                "items": {"pier": {"weight": "3000 lb", "place": "box"}},
            },
            "vehicle.unlisted_station",
            (61 + 152) / 2 * INCH,
            Z95 * 91 * INCH / 12**0.5,
        ),
        # Beside what a working trailer was hitched for 450 lb ride at most: 0.9 of what is left of
        # that and of 250 lb of gear by a list of 70 lb, and 5 % of it.
        (
            {
                "trailer": {"style": "enclosed-cargo", "gvwr": "7000 lb"},
                "places": {"box": {"station": "3 m"}},
                "items": {"tube": {"weight": "70 lb", "place": "box"}},
            },
            "trailer.unlisted",
            450 * (0.9 * (1 - 70 / 700) + 0.05) * POUND,
            None,
        ),
        # Cargo of 0.55 of the room, which is a quarter of the rating at least.
        (
            {"trailer": {"empty": {"weight": "6900 lb"}}},
            "trailer.unlisted",
            0.95 * 0.55 * 0.25 * 7000 * POUND,
            None,
        ),
    ],
)
def test_what_is_unsaid_by_hand(
    said: dict[str, Any], name: str, value: float, half: float | None
) -> None:
    """Value and half-width of the 95 % interval out of the rows of the published tables."""
    rig = {**said, "vehicle": {**VEHICLE, **said.get("vehicle", {})}}
    rig["trailer"] = {**TRAILER, **said.get("trailer", {})}
    found = fill(Rig.model_validate(rig)).parameters[name]
    assert found.value == pytest.approx(value, rel=1e-6)
    if half is not None:
        assert Z95 * found.sd == pytest.approx(half, rel=1e-3)


@pytest.mark.parametrize(
    ("vehicle", "trailer", "ties"),
    [
        ({}, {}, {"front_share", "axle_place", "tongue_share"}),
        ({"cg": "1.6 m"}, {}, {"axle_place", "tongue_share"}),
        ({}, {"axles": {"station": "5 m"}}, {"front_share", "axle_place", "tongue_share"}),
        ({}, {"box_length": "6 m"}, {"front_share", "axle_place", "tongue_share"}),
        ({}, {"axles": {"station": "5 m"}, "box_length": "6 m"}, {"front_share", "tongue_share"}),
        (
            {},
            {"axles": {"station": "5 m"}, "length": "8 m"},
            {"front_share", "tongue_share", "length"},
        ),
        ({}, {"length": "8 m"}, {"front_share", "axle_place", "tongue_share", "length"}),
        (
            {},
            {"length": "8 m", "box_length": "6 m"},
            {"front_share", "axle_place", "tongue_share"},
        ),
        ({}, {"empty": {"cg": "4 m"}}, {"front_share", "axle_place"}),
        ({}, {"empty": {"tongue_weight": "600 lb"}}, {"front_share", "axle_place"}),
    ],
)
def test_what_is_open_is_tied(
    vehicle: dict[str, Any], trailer: dict[str, Any], ties: set[str]
) -> None:
    """docs/method.md, section 7: typical relations are read where they are still open, and no
    longer once the file states what they tell."""
    rig = {"vehicle": {**VEHICLE, **vehicle}, "trailer": {**TRAILER, **trailer}}
    assert set(fill(Rig.model_validate(rig)).ties) == ties


@pytest.mark.parametrize(
    ("vehicle", "trailer", "name", "basis"),
    [
        ({}, {}, "vehicle.cg", "assumed"),
        ({"front": {"weight": "3000 lb"}}, {}, "vehicle.cg", "stated"),
        ({"rear": {"weight": "3000 lb"}}, {}, "vehicle.cg", "stated"),
        ({}, {}, "trailer.empty.cg", "assumed"),
        ({}, {"empty": {"tongue_weight": "600 lb"}}, "trailer.empty.cg", "stated"),
    ],
)
def test_what_follows_from_a_stated_weight_is_not_assumed(
    vehicle: dict[str, Any], trailer: dict[str, Any], name: str, basis: str
) -> None:
    """A centre that an axle weight or a tongue weight gives is no assumption; one that is stated
    beside them stands as it is."""
    rig = {"vehicle": {**VEHICLE, **vehicle}, "trailer": {**TRAILER, **trailer}}
    assert fill(Rig.model_validate(rig)).parameters[name].basis == basis
    rig["vehicle"]["cg"] = "1.6 m"
    rig["trailer"]["empty"] = {**trailer.get("empty", {}), "cg": "4 m"}
    stated = fill(Rig.model_validate(rig)).parameters
    assert (stated["vehicle.cg"].value, stated["trailer.empty.cg"].value) == (1.6, 4.0)


def test_a_seat_of_ones_own_is_where_it_is_said_and_in_the_middle() -> None:
    """One of no usual row: its station as stated, side and height as the class has them."""
    seats = {"jump": {"station": "1.2 m"}, "driver": {"offset": "0.5 m"}}
    rig = Rig.model_validate({"vehicle": {**VEHICLE, "seats": seats}, "trailer": TRAILER})
    usual = Rig.model_validate({"vehicle": VEHICLE, "trailer": TRAILER})
    assert seat_place(rig, "jump")[:2] == (1.2, 0.0)
    station, offset, height = seat_place(usual, "driver")
    assert station == pytest.approx(61 * INCH)
    assert offset > 0.0
    assert seat_place(rig, "driver") == (station, 0.5, height)
    assert seat_place(usual, "passenger") == (station, -offset, height)


@pytest.mark.parametrize(
    ("style", "pounds", "count"),
    [
        ("rear-living", 5000, 1),
        ("rear-living", 5001, 2),
        ("rear-living", 14000, 2),
        ("rear-living", 14001, 3),
        ("enclosed-cargo", 3500, 1),
        ("enclosed-cargo", 3501, 2),
        ("small-single-axle", 9000, 1),
    ],
)
def test_axles_unsaid_go_by_the_rating(style: str, pounds: int, count: int) -> None:
    """As many as the style's row says up to that very rating (assumed, in its table)."""
    trailer = {"style": style, "gvwr": f"{pounds} lb"}
    assert axle_count(Rig.model_validate({"vehicle": VEHICLE, "trailer": trailer})) == count


@pytest.mark.parametrize(
    ("kilograms", "left"), [(0.0, 1.0), (50.0, None), (109.0, 0.2), (500.0, 0.2)]
)
def test_a_fifth_of_the_usual_options_stays(kilograms: float, left: float | None) -> None:
    """docs/method.md: listed equipment is taken off the options usual of the style, 6 % of 5,000 lb
    (136 kg), down to a fifth; a battery is none of them, and leaves the gas of 130 lb of both to be
    assumed: 75 lb (from memory: filled cylinders 75, battery 55)."""
    usual = 0.06 * 5000 * POUND
    equipment = {"battery": {"weight": "25 kg", "station": "1 m"}}
    if kilograms:
        equipment["winch"] = {"weight": f"{kilograms} kg", "station": "1 m"}
    empty = {"weight": {"value": "5000 lb", "kind": "brochure"}}
    trailer = {**TRAILER, "empty": empty, "equipment": equipment}
    found = fill(Rig.model_validate({"vehicle": VEHICLE, "trailer": trailer})).parameters
    part = 1 - kilograms / usual if left is None else left
    assert found["trailer.options"].value == pytest.approx(part * usual)
    assert found["trailer.gas_and_battery"].value == pytest.approx(75 * POUND, rel=0.01)


@pytest.mark.parametrize(
    ("gas", "battery", "counted"),
    [
        ("propane", "battery", True),
        ("gas", "house batteries", True),
        ("lpg-bottles", "Leisure_battery", True),
        ("gas fridge", "battery", False),
    ],
)
def test_gas_and_battery_are_known_by_what_people_call_them(
    gas: str, battery: str, *, counted: bool
) -> None:
    """Listed by the words in use, neither is reckoned with a second time; a fridge that burns gas
    is no bottle of it."""
    named = {name: {"weight": "30 kg", "station": "1 m"} for name in (gas, battery)}
    trailer = {**TRAILER, "empty": {"weight": "5000 lb"}, "equipment": named}
    found = fill(Rig.model_validate({"vehicle": VEHICLE, "trailer": trailer})).parameters
    assert ("trailer.gas_and_battery" not in found) is counted
    held = {**trailer, "empty": {"weight": {"value": "5000 lb", "kind": "scale"}}}
    whole = fill(Rig.model_validate({"vehicle": VEHICLE, "trailer": held})).parameters
    once = whole["trailer.empty.weight"].value - found["trailer.empty.weight"].value
    assert once == pytest.approx(-60.0 if counted else -30.0)


@pytest.mark.parametrize(("index", "kg"), [(98, 750), (113, 1150), (121, 1450), (126, 1700)])
def test_a_load_index_is_read_as_its_table_has_it(index: int, kg: float) -> None:
    """ISO 4000-1's table (from memory), within 2 %, two tyres."""
    vehicle = {**VEHICLE, "front": {"tyres": {"load_index": index}}}
    found = fill(Rig.model_validate({"vehicle": vehicle, "trailer": TRAILER})).parameters
    assert found["vehicle.front.tyre_load"].value == pytest.approx(2 * kg, rel=0.02)
