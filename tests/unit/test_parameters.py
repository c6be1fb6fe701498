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
from steelyard.typical.mount import ball_radius
from steelyard.typical.parameters import kind, kind_of, kinds, stated_key
from steelyard.typical.sheet import only_sways
from steelyard.typical.shipped_tables import default_sd

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
