"""What flows between stages is neither made nor lost: water, fuel, and the rig's mass."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.assessment import assess
from steelyard.quantity import Z95, Level, QuantityError, parse
from steelyard.rig import Rig
from steelyard.statics.masses import masses
from steelyard.statics.prior import prior
from steelyard.travel import TripError, flows, plan_stages, travelled, unfollowed

CAPACITY = {"fresh": 160.0, "grey": 140.0, "black": 110.0}
"""Litres."""


def rig_with(legs: list[tuple[float, float, float]], start: float, economy: float) -> Rig:
    """A rig whose legs each use water (L), burn fuel over a distance (km), with a part to black."""
    stages: dict[str, Any] = {
        "home": {
            "tanks": {"fresh": f"{start} L +- 0 L", "grey": "empty", "black": "empty"},
            "vehicle_tanks": {"fuel": "full"},
        }
    }
    for number, (water, distance, part) in enumerate(legs):
        stages[f"stop {number}"] = {
            "water_used": f"{water} L",
            "distance": f"{distance} km",
            "fuel_use": f"{economy} km/L",
            "to_black": f"{100 * part} %",
        }
    tanks = {
        name: {"content": name, "capacity": f"{litres} L", "station": "4 m"}
        for name, litres in CAPACITY.items()
    }
    return Rig.model_validate(
        {
            "vehicle": {"class": "half-ton-crew-cab", "tanks": {"fuel": {"capacity": "98 L"}}},
            "trailer": {"style": "rear-living", "empty": {"weight": "2500 kg"}, "tanks": tanks},
            "stages": stages,
        }
    )


def litres(rig: Rig, stage: str, tank: str) -> float:
    """What a tank holds at a stage, as the resolved rig says."""
    level = rig.stages[stage].tanks[tank]
    assert level.share is not None or level.volume is not None
    if level.share is not None:
        return level.share.value * CAPACITY[tank]
    assert level.volume is not None
    return 1000.0 * level.volume.value


legs = st.lists(
    st.tuples(
        st.floats(0.5, 20.0).map(lambda x: round(x, 3)),
        st.floats(1.0, 60.0).map(lambda x: round(x, 3)),
        st.floats(0.0, 1.0).map(lambda x: round(x, 3)),
    ),
    min_size=1,
    max_size=5,
)


@given(legs=legs, start=st.floats(100.0, 160.0).map(lambda x: round(x, 2)))
def test_water_is_conserved(legs: list[tuple[float, float, float]], start: float) -> None:
    """Fresh, grey and black together hold the same water at every stage."""
    rig = travelled(rig_with(legs, start, 5.0))
    for stage in rig.stages:
        total = sum(litres(rig, stage, tank) for tank in CAPACITY)
        assert total == pytest.approx(start, abs=1e-6)


@given(legs=legs, start=st.floats(100.0, 160.0).map(lambda x: round(x, 2)))
def test_mass_changes_by_the_fuel_burnt_only(
    legs: list[tuple[float, float, float]], start: float
) -> None:
    """The whole rig grows lighter by the fuel burnt and by nothing else, to the spread's rounding.

    A level of exactly empty has no place on the logit scale and is held near it, so the sums are
    compared from the second stop on, where every tank that is used holds something.
    """
    rig = rig_with(legs, start, 5.0)
    burnt = [flow.fuel_burnt_l for flow in flows(rig)]
    assert sum(burnt) == pytest.approx(sum(leg[1] for leg in legs) / 5.0)
    whole = travelled(rig)
    estimate = prior(whole).estimate
    values = dict(estimate.at_mean())
    for stage in whole.stages:
        for tank in CAPACITY:
            values[f"stages.{stage}.tanks.{tank}"] = np.asarray(
                litres(whole, stage, tank) / CAPACITY[tank]
            )
        fuel = whole.stages[stage].vehicle_tanks["fuel"].share
        assert fuel is not None
        values[f"stages.{stage}.vehicle_tanks.fuel"] = np.asarray(fuel.value)
    plans = plan_stages(whole)
    rows = masses(whole, plans, values)
    total = sum((row.kg for row in rows), np.zeros((len(plans), 1)))
    density = float(values["vehicle.tanks.fuel.capacity"]) / 0.098
    lost = [float(x) for x in (total[0] - total).ravel()]
    due = [0.0]
    for fuel_burnt in burnt:
        due.append(due[-1] + fuel_burnt * density / 1000.0)
    assert lost == pytest.approx(due, abs=1e-6)


@given(used=st.floats(161.0, 1000.0))
def test_no_tank_gives_more_than_it_has(used: float) -> None:
    """Using more water than there is in fresh is one sentence that names stage and tank."""
    with pytest.raises(TripError, match=r"stages\.stop 0.*fresh"):
        travelled(rig_with([(round(used, 2), 1.0, 0.2)], 160.0, 5.0))


def test_what_is_left_is_as_little_known_as_what_was_burnt() -> None:
    """100 km at 5 km/L, known to 20 % (one sd), are 20 L and sd 4 L of 98 L; in quadrature with the
    level before (GUM 5.1.2)."""
    rig = rig_with([(1.0, 100.0, 0.2)], 150.0, 5.0)
    home, stop = rig.stages.values()
    full = home.model_copy(
        update={
            "vehicle_tanks": {"fuel": Level(share=parse("90 % +- 9.8 %", "share"), volume=None)}
        }
    )
    economy = parse(f"5 km/L +- {5 * 0.2 * Z95!r} km/L", "economy")
    stages = {"home": full, "stop 0": stop.model_copy(update={"fuel_use": economy})}
    whole = travelled(rig.model_copy(update={"stages": stages}))
    left = whole.stages["stop 0"].vehicle_tanks["fuel"].share
    assert left is not None
    assert left.value == pytest.approx(0.9 - 20 / 98)
    assert left.sd == pytest.approx(np.hypot(0.098 / Z95, 4 / 98))


def _trip(tanks: dict[str, float], stage: dict[str, Any], **levels: str) -> Rig:
    """Two stages, the second with what flowed; tanks of so many litres, half full unless said."""
    held = {
        name: {"content": name, "capacity": f"{litres} L", "station": "4 m"}
        for name, litres in tanks.items()
    }
    start = {name: levels.get(name, "50 % +- 0 %") for name in tanks}
    return Rig.model_validate(
        {
            "region": "europe",
            "vehicle": {"class": "half-ton-crew-cab", "tanks": {"fuel": {"capacity": "98 L"}}},
            "trailer": {"style": "rear-living", "empty": {"weight": "2500 kg"}, "tanks": held},
            "stages": {
                "home": {
                    "tanks": start,
                    "vehicle_tanks": {"fuel": "90 % +- 0 %"},
                    "fuel_use": "5 km/L",
                },
                "there": stage,
            },
        }
    )


@pytest.mark.parametrize(
    ("waste", "grey", "black"),
    [
        ({"grey": 140.0, "black": 110.0}, 16.0, 4.0),
        ({"grey": 140.0}, 20.0, 0.0),
        ({"black": 110.0}, 0.0, 20.0),
        ({}, 0.0, 0.0),
    ],
)
def test_a_fifth_goes_to_black_unless_said(
    waste: dict[str, float], grey: float, black: float
) -> None:
    """Of 20 L used, docs/method.md: a fifth; all of it to grey where there is no black tank, to
    black where there is no grey one; nowhere where there is neither. Each known to 10 % (assumed),
    as are the 20 L of fuel burnt on 100 km at the 5 km/L stated for the stage before."""
    rig = _trip({"fresh": 160.0, **waste}, {"water_used": "20 L", "distance": "100 km"})
    (flow,) = flows(rig)
    told = (flow.water_drawn_l, flow.to_grey_l, flow.to_black_l, flow.fuel_burnt_l)
    assert told == pytest.approx((20.0, grey, black, 20.0))
    there = travelled(rig).stages["there"]
    levels = {**there.tanks, "fuel": there.vehicle_tanks["fuel"]}
    sizes = {"fresh": 160.0, **waste, "fuel": 98.0}
    moved = {"fresh": -20.0, "grey": grey, "black": black, "fuel": -20.0}
    for name, litres in sizes.items():
        share, start = levels[name].share, 0.9 if name == "fuel" else 0.5
        assert share is not None
        assert share.value == pytest.approx(start + moved[name] / litres)
        assert share.sd == pytest.approx(0.1 * abs(moved[name]) / litres)


@pytest.mark.parametrize(
    ("flow", "levels", "said"),
    [
        ({"water_used": "50 L"}, {"black": "100 L"}, None),
        ({"water_used": "51 L"}, {"black": "100 L"}, "at most 10.0 L of room.*10.2 L"),
        ({"water_used": "50 L"}, {"fresh": "50 L"}, None),
        ({"water_used": "50.1 L"}, {"fresh": "50 L"}, "at most 50.0 L to give.*50.1 L"),
        ({"distance": "440 km"}, {}, None),
        ({"distance": "442 km"}, {}, "at most 88.2 L to give in fuel.*88.4 L"),
    ],
)
def test_a_tank_gives_all_and_takes_all_and_no_more(
    flow: dict[str, str], levels: dict[str, str], said: str | None
) -> None:
    """To the last litre, with what it has or has room for: 110 L of black from 100, 160 L of fresh
    from 50, 90 % of 98 L of fuel."""
    rig = _trip(CAPACITY, flow, **levels)
    if said is None:
        there = travelled(rig).stages["there"]
        shares = [one.share for one in (*there.tanks.values(), *there.vehicle_tanks.values())]
        assert all(share is not None and 0.0 <= share.value <= 1.0 for share in shares)
    else:
        with pytest.raises(TripError, match=said):
            travelled(rig)


def test_what_did_not_flow_leaves_levels_as_they_were_written() -> None:
    """No distance, or one of nothing however unsure, burns nothing; no use of water draws none; a
    volume's spread is its share of the tank, 8 L of 160."""
    for stage in ({"water_used": "1 L"}, {"distance": "0 km +- 1 m", "water_used": "1 L"}):
        rig = _trip(CAPACITY, stage)
        (flow,) = flows(rig)
        there = travelled(rig).stages["there"]
        assert flow.fuel_burnt_l == 0.0
        assert there.vehicle_tanks["fuel"] == rig.stages["home"].vehicle_tanks["fuel"]
    rig = _trip(CAPACITY, {"distance": "100 km"}, fresh="80 L +- 8 L")
    (flow,) = flows(rig)
    assert (flow.water_drawn_l, flow.to_grey_l, flow.to_black_l) == (0.0, 0.0, 0.0)
    fresh = travelled(rig).stages["there"].tanks["fresh"].share
    assert fresh is not None
    assert (fresh.value, fresh.sd) == pytest.approx((0.5, 8 / Z95 / 160))


def test_what_is_bought_rides_from_then_on_and_what_is_used_up_no_more() -> None:
    """Firewood bought at the second stop and burnt at the third, ice used up at the second; what a
    stage lists itself is all that rides there."""
    rig = Rig.model_validate(
        {
            "vehicle": {"class": "van"},
            "trailer": {"style": "boat", "gvwr": "2000 kg"},
            "places": {"box": {"station": "3 m"}},
            "items": {
                name: {"weight": "10 kg", "place": "box"} for name in ("wood", "ice", "stool")
            },
            "stages": {
                "home": {},
                "shop": {"bought": ["wood"], "used_up": ["ice"]},
                "camp": {"without": ["stool"]},
                "fire": {"used_up": ["wood"]},
                "light": {"items": ["stool", "ice"]},
                "back": {},
            },
        }
    )
    aboard = {plan.key: set(plan.items) for plan in plan_stages(rig)}
    assert aboard == {
        "home": {"ice", "stool"},
        "shop": {"wood", "stool"},
        "camp": {"wood"},
        "fire": {"stool"},
        "light": {"stool", "ice"},
        "back": {"stool"},
    }


def test_a_stated_level_stands() -> None:
    """Where the file says a level no flow touches it: somebody filled or dumped the tank."""
    rig = rig_with([(20.0, 10.0, 0.2)], 150.0, 5.0)
    stop = rig.stages["stop 0"]
    grey = rig.stages["home"].tanks["grey"]
    dumped = stop.model_copy(update={"tanks": {"grey": grey}})
    whole = travelled(rig.model_copy(update={"stages": {**rig.stages, "stop 0": dumped}}))
    assert litres(whole, "stop 0", "grey") == 0.0
    assert litres(whole, "stop 0", "fresh") == pytest.approx(130.0)


def test_a_stage_where_nothing_flows_keeps_every_level() -> None:
    """Where nothing was driven no fuel appears, and where nothing was drawn no water does."""
    rig = rig_with([(20.0, 100.0, 0.2)], 150.0, 5.0)
    stop = rig.stages["stop 0"]
    still = stop.model_copy(update={"distance": None, "water_used": None, "fuel_use": None})
    washing = still.model_copy(update={"water_used": stop.water_used})
    stages = {**rig.stages, "camp": still, "morning": washing}
    whole = travelled(rig.model_copy(update={"stages": stages}))
    assert whole.stages["camp"].tanks == whole.stages["stop 0"].tanks
    fuels = [whole.stages[key].vehicle_tanks["fuel"] for key in ("stop 0", "camp", "morning")]
    assert fuels[0] == fuels[1] == fuels[2]
    assert litres(whole, "morning", "fresh") == pytest.approx(110.0)
    assert [flow.stage for flow in flows(whole)] == ["stop 0", "morning"]


def test_resolving_twice_changes_nothing() -> None:
    """A rig whose levels are all there is the same after another look."""
    once = travelled(rig_with([(20.0, 100.0, 0.2)], 150.0, 5.0))
    assert travelled(once).stages == once.stages


@pytest.mark.parametrize(
    ("text", "same"), [("12.5 L/100km", "8 km/L"), ("20 L/100 km", "5 km/L"), ("5 km/L", "5 km/L")]
)
def test_consumption_either_way(text: str, same: str) -> None:
    """Litres on a hundred kilometres are read as the distance a litre takes one."""
    rig = rig_with([(1.0, 10.0, 0.2)], 150.0, 5.0)
    data = {**rig.stages["stop 0"].model_dump(exclude_none=True, by_alias=True), "fuel_use": text}
    stage = type(rig.stages["stop 0"]).model_validate(data)
    assert stage.fuel_use is not None
    assert stage.fuel_use.value == pytest.approx(parse(same, "economy").value)


def test_bare_consumption_is_refused() -> None:
    """A number without its unit is no consumption."""
    with pytest.raises(QuantityError):
        parse("12", "economy")


def test_fuel_is_no_level_without_the_tanks_capacity() -> None:
    """A tank that nobody measured, as one that is not listed, gives back no level: said."""
    stages = {
        "home": {"vehicle_tanks": {"fuel": "full"}},
        "there": {"distance": "100 km", "fuel_use": "5 km/L"},
    }
    for tanks in ({}, {"fuel": {"content": "gasoline"}}):
        with pytest.raises(ValueError, match=r"vehicle\.tanks\.fuel\.capacity, to turn fuel"):
            Rig.model_validate(
                {
                    "vehicle": {"class": "van", "tanks": tanks},
                    "trailer": {"style": "boat", "gvwr": "2000 kg"},
                    "stages": stages,
                }
            )


@pytest.mark.parametrize(
    ("unsaid", "told"),
    [({"grey": None, "fuel": None}, ("fuel", "grey")), ({"black": None}, ("black",)), ({}, ())],
)
def test_what_flows_from_or_into_a_level_unsaid_is_named(
    unsaid: dict[str, None], told: tuple[str, ...]
) -> None:
    """18 L into a grey tank that nobody said was empty leave it as full as is usual: that is said,
    and by name."""
    rig = rig_with([(20.0, 100.0, 0.1)], 150.0, 5.0)
    home = rig.stages["home"]
    tanks, fuel = (
        {name: one for name, one in held.items() if name not in unsaid}
        for held in (home.tanks, home.vehicle_tanks)
    )
    stages = {**rig.stages, "home": home.model_copy(update={"tanks": tanks, "vehicle_tanks": fuel})}
    whole = rig.model_copy(update={"stages": stages})
    assert unfollowed(travelled(whole)) == told
    remarks = " ".join(assess(whole).remarks)
    assert all(name in remarks for name in told)
    assert ("whatever flows" in remarks) is bool(told)


@pytest.mark.parametrize(
    ("country", "use", "litres", "asked"),
    [
        ("GB", "14 mpg", 33.80, True),
        ("GB", "14 imp mpg", 40.59, False),
        ("GB", "14 US mpg", 33.80, False),
        ("US", "14 mpg", 33.80, False),
        ("GB", "5 km/L", 40.23, False),
    ],
)
def test_whose_gallon_it_is_may_be_said(
    country: str, use: str, litres: float, *, asked: bool
) -> None:
    """125 miles, by hand: 125/14 gallons of 3.785 L or of 4.546 L, or 201.2 km by 5. A bare gallon
    is the US one; where the imperial one may be meant that is told."""
    rig = rig_with([(1.0, 201.168, 0.1)], 150.0, 5.0)
    data = rig.model_dump(by_alias=True, exclude_none=True)
    data["country"] = country
    data["stages"]["stop 0"]["fuel_use"] = use
    found = Rig.model_validate(data)
    (flow,) = flows(found)
    assert flow.fuel_burnt_l == pytest.approx(litres, abs=0.01)
    assert any("imp mpg" in one for one in assess(found, draws=64).remarks) is asked
