"""The one table of parameters."""

from typing import Any

import pytest

from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.quantity import POUND, Z95
from steelyard.quantity.constants import FOOT
from steelyard.rig import Rig
from steelyard.statics.prior import prior
from steelyard.typical import fill
from steelyard.typical.mount import ball_radius, without_drop
from steelyard.typical.parameters import kind, kind_of, kinds, stated_key
from steelyard.typical.sheet import only_sways
from steelyard.typical.shipped_tables import default_sd, typical, vehicle_class, worth

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
