"""What is in the rig's weights, and what is in them once only."""

from typing import Any

import numpy as np
import pytest

from steelyard.assessment import assess
from steelyard.assessment.places import spots
from steelyard.quantity import GRAVITY, POUND, Z95
from steelyard.quantity.constants import US_GALLON
from steelyard.rig import Rig
from steelyard.statics.linkage import linkage
from steelyard.statics.loads import loads
from steelyard.statics.masses import masses
from steelyard.statics.prior import prior
from steelyard.travel import plan_stages
from steelyard.typical import fill
from steelyard.typical.shipped_tables import density


def rig(
    trailer: dict[str, Any] | None = None, vehicle: dict[str, Any] | None = None, **more: Any
) -> Rig:
    """A rig with a stated weight of each, and what a test adds."""
    return Rig.model_validate(
        {
            "everything_listed": True,
            "vehicle": {
                "class": "half-ton-crew-cab",
                "weight": "2500 kg +- 0 kg",
                **(vehicle or {}),
            },
            "trailer": {
                "style": "rear-living",
                "empty": {"weight": "2700 kg +- 0 kg"},
                **(trailer or {}),
            },
            **more,
        }
    )


def weights(found: Rig, stage: int = 0) -> dict[str, float]:
    """Name to kg at the best estimate of one stage."""
    v = prior(found).estimate.at_mean()
    rows = masses(found, plan_stages(found), v)
    return {row.name: float(row.kg.reshape(-1)[stage if row.kg.size > 1 else 0]) for row in rows}


def empty(**said: Any) -> dict[str, Any]:
    """A trailer whose empty weight says something of itself."""
    return {"empty": {"weight": {"value": "2700 kg +- 0 kg", **said}}}


@pytest.mark.parametrize("stated", [("front", "rear"), ("front",), ("rear",)])
def test_stated_axle_weights_place_the_centre(stated: tuple[str, ...]) -> None:
    """Lever: 3,500 lb on the front and 2,000 on the rear, or one of them and the whole, put it
    20/55 of the wheelbase behind the front axle, however unusual for its class."""
    axles = {"front": {"weight": "3500 lb"}, "rear": {"weight": "2000 lb"}}
    axles = {axle: weight for axle, weight in axles.items() if axle in stated}
    v = prior(rig(vehicle={**axles, "weight": "5500 lb"})).estimate.at_mean()
    assert v["vehicle.cg"] / v["vehicle.wheelbase"] == pytest.approx(20 / 55, abs=4e-3)


@pytest.mark.parametrize(("start", "box"), [(1.0, 6.9), (-0.5, 7.9)])
def test_a_length_is_tongue_box_and_coupler(start: float, box: float) -> None:
    """Of 8 m over all, 0.1 m is the coupler ahead of the ball; a box that reaches ahead of it, on
    a pin, has no tongue."""
    said = {**empty(), "length": "8 m +- 0.01 m", "box_start": f"{start} m +- 0 m"}
    assert prior(rig(said)).estimate.at_mean()["trailer.box_length"] == pytest.approx(box, abs=0.02)


def test_an_unsaid_centre_is_known_as_its_class_is() -> None:
    """Of crew-cab pickups 57 % rest on the front axle, 4 points either way (NHTSA's inertial
    database, SAE 1999-01-1336; the spread assumed), however unsure the wheelbase."""
    belief = prior(rig()).estimate
    at = [belief.names.index(f"vehicle.{x}") for x in ("cg", "wheelbase")]
    cg, wheelbase = belief.mean[at]
    slope = np.array([-1.0, cg / wheelbase]) / wheelbase
    assert 1 - cg / wheelbase == pytest.approx(0.57)
    assert Z95 * np.sqrt(slope @ belief.cov[np.ix_(at, at)] @ slope) == pytest.approx(
        0.04, abs=2e-3
    )


def test_an_axle_weighed_with_its_driver_is_without_him_in_the_file() -> None:
    """3,500 lb on the front and 2,000 on the rear with 180 lb in a seat 1.5 m behind the front
    axle: by moments about it, the vehicle itself is (2,000 L - 180 * 1.5 m) / 5,320 behind it."""
    axles = {
        axle: {"weight": {"value": f"{lb} lb +- 1 lb", "includes": ["fuel", "driver"]}}
        for axle, lb in (("front", 3500), ("rear", 2000))
    }
    seats = {"driver": {"station": "1.5 m +- 0 m"}}
    people = {"ann": {"seat": "driver", "weight": "180 lb +- 0 lb"}}
    found = rig(vehicle={**axles, "seats": seats, "weight": "5320 lb"}, people=people)
    v = prior(found).estimate.at_mean()
    due = (2000 * v["vehicle.wheelbase"] - 180 * 1.5) / 5320
    assert v["vehicle.cg"] == pytest.approx(due, abs=5e-3)


def test_a_level_is_written_as_it_was_stated() -> None:
    """By share or by volume, each with its unit."""
    for text in ("50 %", "40 L", "10 gal"):
        stage = rig(stages={"go": {"vehicle_tanks": {"fuel": text}}}).stages["go"]
        assert stage.model_dump()["vehicle_tanks"] == {"fuel": text}


def test_nothing_weighs_nothing_however_uncertain() -> None:
    """No weight is below zero, so a zero has no spread: the row is there and answers stand."""
    box = {"place": "box", "weight": "0 lb +- 5 lb"}
    found = rig(items={"box": box}, places={"box": {"on": "trailer", "station": "2 m"}})
    assert fill(found).parameters["items.box.weight"].sd == 0.0
    assert weights(found)["box"] == 0.0


def test_a_tongue_weight_beside_a_centre_of_gravity_is_told_not_to_be_read() -> None:
    """docs/rig-file.md: with `empty.cg` stated, `empty.tongue_weight` is not read; nothing that is
    stated is passed over in silence."""
    stated = {"weight": "1000 kg", "cg": "3 m", "tongue_weight": "150 kg"}
    both = rig({"style": "rear-living", "empty": stated})
    told = [assess(one, draws=32).remarks for one in (both, both.replace("trailer.empty.cg", None))]
    said = [any("trailer.empty.tongue_weight: not read" in one for one in each) for each in told]
    assert said == [True, False]


@pytest.mark.parametrize(
    ("said", "told"),
    [({}, 1), ({"kind": "label"}, 1), ({"includes": ["propane"]}, 0)],
)
def test_what_an_empty_weight_is_taken_to_include_is_told(said: dict[str, Any], told: int) -> None:
    """Unless the file says it itself."""
    remarks = fill(rig(empty(**said))).remarks
    assert sum(one.startswith("trailer.empty.weight: taken to") for one in remarks) == told


class TestFuel:
    """The vehicle's stated weight holds a full tank; less is a negative row."""

    def test_full_adds_nothing(self) -> None:
        """Full tank: zero."""
        full = rig(stages={"go": {"vehicle_tanks": {"fuel": "full"}}})
        assert weights(full)["fuel short of full"] == pytest.approx(0)

    def test_empty_takes_all_off(self) -> None:
        """Empty tank of 30 gal of gasoline: its weight off."""
        tank = {"fuel": {"capacity": "30 gal"}}
        found = rig(vehicle={"tanks": tank}, stages={"go": {"vehicle_tanks": {"fuel": "empty"}}})
        missing = -30 * US_GALLON * density("gasoline")
        assert weights(found)["fuel short of full"] == pytest.approx(missing, rel=1e-6)

    def test_weight_without_fuel(self) -> None:
        """A weight that includes the driver only is without fuel: the full tank comes on top."""
        said = {"value": "2500 kg +- 0.1 kg", "includes": ["driver"]}
        people = {"ann": {"seat": "driver", "weight": "80 kg +- 0 kg"}}
        found = rig(
            vehicle={"weight": said, "tanks": {"fuel": {"capacity": "100 L +- 0 L"}}}, people=people
        )
        assert weights(found)["vehicle itself"] == pytest.approx(2500 - 80 + 74, abs=0.5)

    def test_weight_that_includes_nothing(self) -> None:
        """An empty list of what a weight includes means without fuel, too."""
        said = {"value": "2500 kg +- 0.1 kg", "includes": []}
        found = rig(vehicle={"weight": said, "tanks": {"fuel": {"capacity": "100 L +- 0 L"}}})
        assert weights(found)["vehicle itself"] == pytest.approx(2500 + 74, abs=0.5)

    def test_a_second_tank_weighs_when_full(self) -> None:
        """A slip tank in the bed is not in the vehicle's own weight: full, it adds its diesel, and
        the fuel tank is still there."""
        tanks = {"slip": {"content": "diesel", "capacity": "50 gal +- 0 gal", "station": "3.5 m"}}
        levels = {"slip": "full", "fuel": "full"}
        found = rig(vehicle={"tanks": tanks}, stages={"go": {"vehicle_tanks": levels}})
        kg = sum(loads(found, prior(found).estimate.at_mean()).vehicle.reshape(-1)) / GRAVITY
        bare = rig(stages={"go": {"vehicle_tanks": {"fuel": "full"}}})
        own = sum(loads(bare, prior(bare).estimate.at_mean()).vehicle.reshape(-1)) / GRAVITY
        assert kg - own == pytest.approx(50 * US_GALLON * density("diesel"), rel=0.01)


def test_equipment_stands_in_the_middle_unless_said() -> None:
    """Across the trailer, as the hitch's parts do; on the side and as far as is said."""
    part = {"weight": "50 kg", "station": "1 m"}
    found = rig({**empty(), "equipment": {"winch": part, "spare": {**part, "offset": "0.6 m"}}})
    rows = masses(found, plan_stages(found), prior(found).estimate.at_mean())
    aside = {row.name: float(row.offset) for row in rows if row.kind == "equipment"}
    assert (aside["winch"], aside["spare"]) == (0.0, 0.6)
    assert {float(row.offset) for row in rows if row.kind == "hitch"} == {0.0}


class TestGasAndBattery:
    """Gas and battery count once: in the stated weight, as equipment, or as an assumption."""

    def test_brochure_leaves_them_out(self) -> None:
        """A brochure weight has gas, battery and options on top."""
        found = weights(rig(empty(kind="brochure")))
        assert found["gas and battery"] > 30
        assert found["options"] > 50

    def test_scale_holds_all(self) -> None:
        """A weighed trailer has nothing on top."""
        found = weights(rig(empty(kind="scale")))
        assert "gas and battery" not in found
        assert "options" not in found

    def test_label_leaves_the_battery_out(self) -> None:
        """A label's weight has the gas and the options; the battery is still to come."""
        found = weights(rig(empty(kind="label")))
        assert "options" not in found
        assert sum(kg for name, kg in found.items() if "battery" in name) > 10

    def test_a_battery_listed_does_not_take_the_gas_away(self) -> None:
        """Equipment named battery leaves the gas to be assumed."""
        battery = {"battery": {"weight": "28 kg", "station": "0.6 m"}}
        found = weights(rig({**empty(kind="brochure"), "equipment": battery}))
        assert sum(kg for name, kg in found.items() if "gas" in name or "propane" in name) > 15

    def test_a_propane_tank_is_not_counted_twice(self) -> None:
        """A tank of propane replaces the gas assumed, it does not come on top."""
        tank = {"propane": {"content": "propane", "capacity": "9.4 gal", "station": "0.6 m"}}
        listed = weights(
            rig(
                {**empty(kind="brochure"), "tanks": tank},
                stages={"go": {"tanks": {"propane": "full"}}},
            )
        )
        assumed = weights(rig(empty(kind="brochure")))
        assert listed["gas and battery"] < assumed["gas and battery"]

    def test_weighed_tongue_holds_all_that_is_there(self) -> None:
        """A tongue weight off a scale is of the trailer as it stands, gas and battery included:
        the trailer as described then has just that on the ball."""
        tongue = {"value": "340 kg +- 1 kg", "basis": "weighed", "kind": "scale"}
        said = {"value": "2700 kg +- 1 kg", "kind": "brochure"}
        found = rig({"empty": {"weight": said, "tongue_weight": tongue}})
        v = prior(found).estimate.at_mean()
        assert float(loads(found, v).tongue[0, 0]) / GRAVITY == pytest.approx(340, abs=12)

    def test_water_of_the_running_order_is_in_no_tank(self) -> None:
        """Mass in running order counts some water of heater and toilet (Regulation (EU) 1230/2012),
        whose place nobody knows: with an empty tank in the file the tongue weight stated with it
        tells the same but for a few of its 20 kg."""
        said = {
            name: {"value": f"{kg} kg +- 1 kg", "kind": "running-order"}
            for name, kg in (("weight", 2700), ("tongue_weight", 340))
        }
        tank = {"fresh": {"content": "fresh", "capacity": "100 L", "station": "3 m"}}
        dry = {"go": {"tanks": {"fresh": "empty"}}}
        rigs = rig({"empty": said}), rig({"empty": said, "tanks": tank}, stages=dry)
        one, two = (loads(x, prior(x).estimate.at_mean()).tongue[0, 0] / GRAVITY for x in rigs)
        assert two == pytest.approx(one, abs=5)


class TestStages:
    """Who and what is aboard at each stage."""

    def test_people_items_and_tanks(self) -> None:
        """Absent people and items weigh nothing; a tank weighs its level."""
        found = rig(
            {
                "tanks": {
                    "fresh": {"content": "fresh", "capacity": "100 L +- 0 L", "station": "3 m"}
                }
            },
            people={"ann": {"seat": "driver", "weight": "70 kg"}, "bo": {"seat": "passenger"}},
            places={"rack": {"station": "8 m"}},
            items={"bikes": {"weight": "40 kg +- 0 kg", "place": "rack"}},
            stages={
                "out": {"people": ["ann"], "tanks": {"fresh": "full"}},
                "home": {"without": ["bikes"], "tanks": {"fresh": "empty"}},
            },
        )
        out, home = weights(found, 0), weights(found, 1)
        assert (out["bo"], home["bikes"]) == (0, 0)
        assert (out["ann"], home["ann"]) == pytest.approx((70, 70))
        assert (out["bikes"], home["bo"]) == pytest.approx((40, 175 * POUND), rel=0.01)
        assert (out["fresh tank"], home["fresh tank"]) == pytest.approx((99.8, 0), abs=0.1)

    def test_vehicle_and_trailer_weigh_their_rows(self) -> None:
        """Both bodies weigh the sum of their rows."""
        found = rig(people={"ann": {"seat": "driver"}})
        v = prior(found).estimate.at_mean()
        rows = masses(found, plan_stages(found), v)
        solved = loads(found, v)
        for body, force in (("vehicle", solved.vehicle), ("trailer", solved.trailer)):
            kg = sum(float(row.kg.reshape(-1)[0]) for row in rows if row.body == body)
            assert float(force.reshape(-1)[0]) == pytest.approx(kg * GRAVITY, rel=1e-12)


def test_axle_rate_does_not_depend_on_saying_the_usual() -> None:
    """A light single-axle trailer is as stiff whether its one axle was said or taken as usual."""
    rates = []
    for axles in ({}, {"count": 1}):
        found = Rig.model_validate(
            {
                "vehicle": {"class": "half-ton-crew-cab"},
                "trailer": {
                    "style": "small-single-axle",
                    "empty": {"weight": "3000 lb"},
                    "gvwr": "3900 lb",
                    "axles": axles,
                },
            }
        )
        link = linkage(found, prior(found).estimate.at_mean())
        rates.append(float(link.springs.rate[-1]))
    assert rates[0] == pytest.approx(rates[1], rel=0.01)


def test_heights_by_tape_are_not_taken_for_level() -> None:
    """Ball and coupler measured apart stay as measured; that a trailer is towed level is only
    assumed where one of them is not."""
    ball = {"ball_height": "30 in +- 0.5 in"}

    def heights(**trailer: str) -> tuple[float, float]:
        v = prior(rig(trailer=trailer, hitch=ball)).estimate.at_mean()
        return float(v["hitch.ball_height"]), float(v["trailer.coupler_height"])

    inch = 0.0254
    assert heights(coupler_height="22 in +- 0.5 in") == pytest.approx((30 * inch, 22 * inch))
    taped, assumed = heights()
    assert taped == pytest.approx(30 * inch, abs=0.2 * inch)
    assert 0.0 < taped - assumed < 5 * inch


def test_a_thing_is_anywhere_it_fits_along_its_place() -> None:
    """4 ft of length in a place of 5 ft leave a foot: sd 1 ft over the root of 12 (GUM 4.3.7); its
    width and height take none of it."""
    places = {"bay": {"station": "3 m", "length": "5 ft"}}
    box = {"weight": "50 kg", "place": "bay", "size": ["4 ft", "1 ft", "2 ft"]}
    found = prior(rig(places=places, items={"box": box})).estimate
    sd = found.sd[found.index["items.box.station"]]
    assert sd == pytest.approx(0.3048 / 12**0.5, rel=1e-6)


def test_the_room_in_a_tank_is_what_is_not_in_it() -> None:
    """A quarter full leaves three quarters of what it holds."""
    fresh = {"content": "fresh", "capacity": "100 L +- 0 L", "station": "3 m"}
    found = rig(
        trailer={"tanks": {"fresh": fresh}}, stages={"go": {"tanks": {"fresh": "25 % +- 0 %"}}}
    )
    (plan,) = plan_stages(found)
    (tank,) = (
        one for one in spots(found, plan, prior(found).estimate.at_mean()) if one.kind == "tank"
    )
    assert tank.room == pytest.approx(75.0, rel=0.01)
