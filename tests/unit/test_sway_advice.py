"""What moves the edge: moves that say the right direction and are worked out whole."""

import numpy as np
import pytest

from steelyard.quantity import POUND
from steelyard.quantity.constants import US_GALLON
from steelyard.rig import Item, Rig
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior
from steelyard.swaying.linear.combination import taken
from steelyard.swaying.linear.modes import oscillation
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.linear.search import limits
from steelyard.swaying.remedies import Move, tried
from steelyard.travel import crewed
from steelyard.typical.shipped_tables import density

SPEED = 27.0


@pytest.fixture(scope="module")
def rig() -> Rig:
    """Give a truck and a tail-heavy camper with bars and two places."""
    return Rig.model_validate(
        {
            "everything_listed": True,
            "vehicle": {"class": "half-ton-crew-cab"},
            "hitch": {"bars": {}},
            "trailer": {
                "style": "rear-bunk",
                "empty": {"weight": "5200 lb"},
                "tanks": {"fresh": {"content": "fresh", "capacity": "40 gal", "station": "9 ft"}},
            },
            "places": {
                "front": {"station": "5 ft", "length": "2 ft"},
                "rear": {"station": "24 ft", "length": "2 ft"},
                "bed": {"on": "vehicle", "station": "150 in", "length": "2 ft"},
            },
            "items": {
                "bikes": {"weight": "150 lb", "place": "rear"},
                "tools": {"weight": "60 lb", "place": "front"},
            },
        }
    )


def moves(rig: Rig, speed: float | None = SPEED) -> list[Move]:
    """All that was tried, at best estimate."""
    return [one for each in tried(rig, speed=speed) for one in each.moves]


def test_moves_point_the_right_way(rig: Rig) -> None:
    """Forward, drained grey, slower: better; to the rear: worse."""
    found = moves(rig)
    by = {(one.source, one.target): one for one in found if one.kind == "weight"}
    assert by["rear", "front"].gain > by["rear", "bed"].gain > 0
    assert by["front", "rear"].gain < 0
    assert by["rear", "front"].amount == pytest.approx(45.36, abs=0.01)
    assert by["front", "rear"].amount == pytest.approx(60 * 0.45359237)
    kinds = {one.kind for one in found}
    assert {"weight", "tank", "bars", "speed"} <= kinds
    assert next(one for one in found if one.kind == "speed").gain > 0
    assert "friction" not in kinds


def test_a_move_is_worked_out_whole(rig: Rig) -> None:
    """Splitting the item in the file, 100 lb of it in front, gives the move's own answer."""
    one = next(m for m in moves(rig) if (m.source, m.target) == ("rear", "front"))
    driven = crewed(rig)
    part = driven.items["bikes"].model_copy(update={"place": "front"})
    split = driven.model_copy(update={"items": {**driven.items, "some": part}})
    v = dict(prior(driven).estimate.at_mean())
    v["items.some.weight"] = np.asarray(one.amount)
    v["items.some.station"] = np.asarray(rig.places["front"].station.value)
    v["items.bikes.weight"] = v["items.bikes.weight"] - one.amount
    c = taken(combination(split, v, loads(split, v)), (0, 0))
    assert one.after.damping == pytest.approx(float(oscillation(c, SPEED).ratio), rel=1e-3)
    assert one.after.falls == pytest.approx(float(limits(c, 0.1)[1]), rel=1e-3)


def test_bars_are_offered_where_they_fit(rig: Rig) -> None:
    """A rig without bars is told what fitting them would do; a fifth wheel is not, nor one whose
    tongue pulls up, nor is anybody told to fit bars, or to set them harder, whose vehicle's maker
    forbids them."""
    bare = rig.model_copy(update={"hitch": rig.hitch.model_copy(update={"bars": None})})
    assert any(one.what == "fit bars" for one in moves(bare))
    vehicle = rig.vehicle.model_copy(update={"distribution": "forbidden"})
    for one in (bare, rig):
        forbidden = one.model_copy(update={"vehicle": vehicle})
        assert not any(move.kind == "bars" for move in moves(forbidden))
    fifth = Rig.model_validate(
        {
            "vehicle": {"class": "three-quarter-ton"},
            "trailer": {"style": "fifth-wheel", "empty": {"weight": "9000 lb"}},
        }
    )
    assert not any(one.kind == "bars" for one in moves(fifth, None))
    stone = Item.model_validate({"weight": "2500 lb", "place": "rear"})
    lifted = bare.model_copy(update={"items": {"stone": stone}})
    assert not any(one.what == "fit bars" for one in moves(lifted))


def _offered(share: str = "90 %", most: str = "60.1 psi", speed: float = SPEED) -> list[Move]:
    """A rig of stated levels, pressures and bars, whose front place holds 100 lb."""
    level = {"tanks": {"fresh": "25 % +- 0 %", "grey": "50 % +- 0 %"}}
    whole = Rig.model_validate(
        {
            "everything_listed": True,
            "vehicle": {"class": "half-ton-crew-cab"},
            "hitch": {"bars": {"restoration": f"{share} +- 0 %"}},
            "trailer": {
                "style": "rear-bunk",
                "empty": {"weight": "5200 lb"},
                "axles": {"tyres": {"pressure": "50 psi +- 0 psi", "max_pressure": most}},
                "tanks": {
                    name: {"content": name, "capacity": "40 gal +- 0 gal", "station": "9 ft"}
                    for name in ("fresh", "grey")
                },
            },
            "places": {
                "front": {"station": "5 ft", "capacity": "100 lb"},
                "rear": {"station": "24 ft"},
                "shelf": {"station": "20 ft", "capacity": "1 lb"},
            },
            "items": {
                "bikes": {"weight": "150 lb +- 0 lb", "place": "rear"},
                "stove": {"weight": "90 lb +- 0 lb", "place": "rear", "fixed": True},
                "tools": {"weight": "60 lb +- 0 lb", "place": "front"},
            },
            "stages": {"go": level},
        }
    )
    return moves(whole, speed)


def test_how_much_each_move_moves_by_hand() -> None:
    """40 lb go where 60 of 100 stand; 60 lb are all that can come back, none on a shelf that holds
    a pound; a quarter tank is let out or three quarters filled, waste never filled; 10 psi more up
    to the sidewall's most, none where nobody stated both; bars to all of the front load; 5 mph
    less."""
    found = _offered()
    kg = {(one.source, one.target): one.amount / POUND for one in found if one.kind == "weight"}
    assert kg == pytest.approx({("rear", "front"): 40.0, ("front", "rear"): 60.0})
    gallon = US_GALLON * density("fresh")
    tanks = {(one.what, one.source, one.target): one.amount for one in found if one.kind == "tank"}
    assert tanks == pytest.approx(
        {
            ("drain", "fresh", ""): 10 * gallon,
            ("fill", "", "fresh"): 30 * gallon,
            ("drain", "grey", ""): 20 * US_GALLON * density("grey"),
        },
        rel=1e-3,
    )
    tyres = {one.target: one.amount for one in found if one.kind == "tyres"}
    assert tyres == pytest.approx({"trailer axles": 68947.57})
    (bars,) = (one for one in found if one.kind == "bars")
    assert bars.amount == 1.0
    (slower,) = (one for one in found if one.kind == "speed")
    assert slower.amount == pytest.approx(5 * 1609.344 / 3600)
    less = _offered(share="100 %", most="59.9 psi", speed=4.4)
    assert {one.kind for one in less} == {"weight", "tank"}
    (bars,) = (one for one in _offered(share="50 %", speed=4.5) if one.kind == "bars")
    assert bars.amount == 0.75
