"""What a weight on a plate holds, against the definitions of the plates.

Sources: Regulation (EU) No 1230/2012, article 2(4), read; the driver's 75 kg from a trade paper,
read; Australian tare (ADR definitions and VSB 1 section 12.7), read as quoted; unloaded vehicle
weight as the North American trade association defines it, read in makers' publications; densities
and tank sizes are stated by the tests. What caravans' mass in running order holds of water is from
memory and one maker's handbook.
"""

from typing import Any

import pytest

from steelyard.quantity import GRAVITY
from steelyard.rig import Rig
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior
from steelyard.typical.shipped_tables import density

EXACT = "+- 0.1 kg"


def rig(weight: Any, empty: Any = None, **more: Any) -> Rig:
    """A car with a 60 L tank and a caravan, each with the weight its plate tells; nobody aboard."""
    trailer = {"style": "centre-axle-caravan", "empty": {"weight": empty or f"1300 kg {EXACT}"}}
    vehicle = {
        "class": "car",
        "weight": weight,
        "tanks": {"fuel": {"content": "gasoline", "capacity": f"60 L {'+- 0 L'}"}},
    }
    return Rig.model_validate(
        {"everything_listed": True, "vehicle": vehicle, "trailer": {**trailer, **more}}
    )


def own(found: Rig) -> float:
    """kg of the vehicle with full fuel and nobody, at the best estimate."""
    return float(prior(found).estimate.at_mean()["vehicle.weight"])


def standing(found: Rig) -> dict[str, float]:
    """The trailer's kg in all, and its parameters."""
    v = prior(found).estimate.at_mean()
    whole = float(loads(found, v).trailer.reshape(-1)[0]) / GRAVITY
    return {**{name: float(x) for name, x in v.items()}, "all": whole}


LITRE = 1e-3
FUEL = 60 * LITRE * density("gasoline")
TEN = 10 * LITRE * density("gasoline")


@pytest.mark.parametrize(
    ("kind", "full"),
    [
        ("running-order", 1500 - 75 + 0.10 * FUEL),
        ("tare", 1500 - TEN + FUEL),
        ("unloaded", 1500.0),
        ("dry", 1500 + FUEL + 20),
        ("brochure", 1500.0),
    ],
)
def test_vehicle(kind: str, full: float) -> None:
    """The vehicle with full fuel and nobody aboard, from what each plate's word holds."""
    found = rig({"value": f"1500 kg {EXACT}", "kind": kind})
    assert own(found) == pytest.approx(full, abs=0.5)


def test_a_list_goes_before_the_word() -> None:
    """A mass in running order that says it holds fuel alone has no driver taken off."""
    said = {"value": f"1500 kg {EXACT}", "kind": "running-order", "includes": ["fuel"]}
    assert own(rig(said)) == pytest.approx(1500 + 0.10 * FUEL, abs=0.5)


def test_accessories_weighed_with_the_vehicle_count_once() -> None:
    """Accessories that the weight holds are not in the vehicle itself; left out, they are extra."""
    said = {"value": f"1500 kg {EXACT}", "includes": ["fuel", "accessories"]}
    vehicle = {"class": "car", "weight": said, "accessories": "60 kg +- 0 kg"}
    trailer = {"style": "boat", "gvwr": "1000 kg"}
    found = Rig.model_validate({"everything_listed": True, "vehicle": vehicle, "trailer": trailer})
    assert own(found) == pytest.approx(1440, abs=0.5)


@pytest.mark.parametrize(
    ("kind", "on_top", "held"),
    [
        ("running-order", ("trailer.options", "trailer.gas_and_battery"), ()),
        ("tare", ("trailer.gas_and_battery",), ("trailer.options",)),
        ("unloaded", ("trailer.gas_and_battery",), ("trailer.options",)),
        ("dry", ("trailer.options", "trailer.gas_and_battery"), ()),
    ],
)
def test_trailer(kind: str, on_top: tuple[str, ...], held: tuple[str, ...]) -> None:
    """What each plate's word leaves out of a trailer comes on top, and nothing that it holds."""
    v = standing(rig("1500 kg", {"value": f"1300 kg {EXACT}", "kind": kind}))
    assert set(on_top) <= set(v)
    assert not set(held) & set(v)


def test_gas_and_battery_by_halves() -> None:
    """Mass in running order holds the gas and tare the battery: each leaves the other on top."""
    brochure, running, tare = (
        standing(rig("1500 kg", {"value": f"1300 kg {EXACT}", "kind": kind}))
        for kind in ("brochure", "running-order", "tare")
    )
    parts = running["trailer.gas_and_battery"] + tare["trailer.gas_and_battery"]
    assert parts == pytest.approx(brochure["trailer.gas_and_battery"], rel=1e-6)


@pytest.mark.parametrize("name", ["battery", "mover"])
def test_equipment_that_the_weight_holds_counts_once(name: str) -> None:
    """A weight that says it holds a piece of equipment weighs as much whether or not the file
    lists that piece; one that doesn't weighs more by it."""
    part = {name: {"weight": "30 kg +- 0 kg", "station": "4 m"}}
    held = {"value": f"1300 kg {EXACT}", "includes": ["propane", "battery", "options", name]}
    other = {**held, "includes": ["propane", "options", "battery"]}
    assert standing(rig("1500 kg", held, equipment=part))["all"] == pytest.approx(1300, abs=0.5)
    beside = standing(rig("1500 kg", other, equipment=part))["all"]
    assert beside == pytest.approx(1300 if name == "battery" else 1330, abs=0.5)


def test_listed_equipment_is_of_the_usual_options() -> None:
    """A mover listed beside a weight without options is one of them: as much less is assumed."""
    said = {"value": f"1300 kg {EXACT}", "kind": "dry"}
    usual = standing(rig("1500 kg", said))
    mover = {"mover": {"weight": "20 kg +- 0 kg", "station": "4 m"}}
    listed = standing(rig("1500 kg", said, equipment=mover))
    assert usual["trailer.options"] > 25
    assert listed["trailer.options"] == pytest.approx(usual["trailer.options"] - 20, abs=0.1)
    assert listed["all"] == pytest.approx(usual["all"], abs=0.1)


def test_a_gas_tank_that_the_weight_holds_counts_once() -> None:
    """A label's weight with its gas, and the gas listed as a full tank: the label's weight."""
    tank = {"gas": {"content": "propane", "capacity": "40 L +- 0 L", "station": "0.6 m"}}
    said = {"value": f"1300 kg {EXACT}", "includes": ["propane", "battery", "options"]}
    found = Rig.model_validate(
        {
            "everything_listed": True,
            "vehicle": {"class": "car"},
            "trailer": {"style": "centre-axle-caravan", "empty": {"weight": said}, "tanks": tank},
            "stages": {"go": {"tanks": {"gas": "full"}}},
        }
    )
    assert standing(found)["all"] == pytest.approx(1300, abs=0.5)


def test_water_is_taken_out_only_where_it_is_listed() -> None:
    """Mass in running order holds a heater's water: it stays in the weight until the file has
    water tanks of its own, which then carry it."""
    said = {"value": f"1300 kg {EXACT}", "kind": "running-order"}
    tank = {"fresh": {"content": "fresh", "capacity": "40 L", "station": "3 m"}}
    bare = standing(rig("1500 kg", said))["trailer.empty.weight"]
    listed = standing(rig("1500 kg", said, tanks=tank))["trailer.empty.weight"]
    assert bare == pytest.approx(1300, abs=0.5)
    assert 1265 < listed < 1295
