"""What holds of every rig: equilibrium, symmetry, scaling, the ledger, influence, draws."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.rigs import one, plain, values

from steelyard.estimate import Array, Values, draws, propagate
from steelyard.quantity import GRAVITY
from steelyard.rig import Rig
from steelyard.statics.ledger import ledgers, levers
from steelyard.statics.loads import Loads, loads
from steelyard.statics.masses import masses
from steelyard.statics.prior import prior
from steelyard.travel import plan_stages


@st.composite
def numbers(draw: Callable[..., Any], graded: bool = True) -> dict[str, Any]:
    """Numbers of an ordinary rig: axles tied or free, bars or none, pin or ball, slope or level."""

    def between(low: float, high: float) -> float:
        return float(draw(st.floats(low, high)))

    first = between(3.5, 6.5)
    count = draw(st.integers(1, 3))
    pin = draw(st.booleans())
    ball = between(1.1, 1.3) if pin else between(0.4, 0.65)
    bars = {"arm": between(0.5, 0.9), "tip_rate": between(4e4, 2e5), "preset": between(-0.02, 0.08)}
    return {
        "vehicle": between(2000, 3600),
        "vehicle_cg": between(1.3, 2.0),
        "wheelbase": between(3.0, 4.3),
        "overhang": between(-0.3, 0.1) if pin else between(0.8, 1.7),
        "weight": between(1000, 4500),
        "cg": first * between(0.8, 0.95),
        "axles": tuple(first + 0.9 * i for i in range(count)),
        "suspension": draw(st.sampled_from(["equaliser", "independent"])),
        "ball": ball,
        "coupler": ball + between(-0.1, 0.1),
        "height": between(0.6, 1.4),
        "front_rate": between(5e4, 1e5),
        "rear_rate": between(6e4, 1.5e5),
        "axle_rate": between(1e5, 3e5),
        "bars": None if pin or draw(st.booleans()) else bars,
        "items": {
            "bed": ("vehicle", between(1, 400), between(3.0, 4.5)),
            "front": ("trailer", between(1, 300), between(0.5, 3.0)),
            "rack": ("trailer", between(1, 150), between(6.0, 9.0)),
        },
        "grade": between(-0.12, 0.12) if graded else 0.0,
    }


def solve(rig: Rig, **changes: float) -> tuple[Loads, Values]:
    """Loads at the best estimate, and the values."""
    v = values(rig, **changes)
    return loads(rig, v), v


@given(numbers())
def test_forces_balance(given_numbers: dict[str, Any]) -> None:
    """All axles together carry both weights, times the cosine of the slope; so they do bars off."""
    found, _ = solve(plain(**given_numbers))
    whole = one(found.vehicle) + one(found.trailer)
    axles = one(found.front) + one(found.rear) + sum(one(x) for x in found.trailer_axles)
    assert axles == pytest.approx(whole * np.cos(given_numbers["grade"]), rel=1e-9)


@given(numbers())
def test_moments_balance(given_numbers: dict[str, Any]) -> None:
    """About the ball the trailer's axles hold its weights and the bars; about the front axle the
    whole train balances; on a slope with the moments of the heights, less what squat takes."""
    n = given_numbers
    found, v = solve(plain(**n))
    rows = found.balance.rows
    cos, sin = np.cos(n["grade"]), np.sin(n["grade"])
    squat = [float(np.ravel(part)[0]) for part in found.balance.lowered]
    ball, turn = n["ball"], one(found.balance.attitude) + squat[2]

    def about(body: str, height: float) -> float:
        return sum(
            float(row.kg.reshape(-1)[0])
            * GRAVITY
            * float(float(row.station) * cos + (float(row.height) - height) * sin)
            for row in rows
            if row.body == body
        )

    held = sum(
        one(x) * s for x, s in zip(found.trailer_axles, found.balance.link.axles, strict=True)
    )
    pull = one(found.trailer) * sin
    moment = one(found.bar_moment)
    assert held == pytest.approx(about("trailer", ball) - turn + moment, rel=1e-9, abs=1e-3)
    L, h = n["wheelbase"], n["overhang"]
    vehicle = about("vehicle", 0.0) + squat[1] * L + pull * ball + one(found.net) * (L + h) - moment
    assert one(found.rear) * L == pytest.approx(vehicle, rel=1e-9, abs=1e-3)
    assert v["vehicle.wheelbase"] == pytest.approx(L)


RATES = ("front_rate", "rear_rate", "axle_rate")


@given(numbers(), st.floats(0.5, 3.0))
def test_scaling_weights_and_rates(given_numbers: dict[str, Any], k: float) -> None:
    """k times the weights on k times the springs is k times the loads, at the same heights."""
    n = given_numbers
    bars = n["bars"] and {**n["bars"], "tip_rate": k * n["bars"]["tip_rate"]}
    scaled = {
        **n,
        **{key: k * n[key] for key in ("vehicle", "weight", *RATES)},
        "bars": bars,
        "items": {name: (on, k * kg, at) for name, (on, kg, at) in n["items"].items()},
    }
    large, _ = solve(plain(tyre_rate=5e8 * k, **scaled), trailer__axles__unsprung=100.0 * k)
    small, _ = solve(plain(tyre_rate=5e8, **n), trailer__axles__unsprung=100.0)
    for a, b in zip(_outputs(small), _outputs(large), strict=True):
        assert b == pytest.approx(k * a, rel=1e-6, abs=1e-3)
    assert one(large.heights.ball) == pytest.approx(one(small.heights.ball), abs=1e-9)


def _outputs(found: Loads) -> list[float]:
    return [one(found.net), *_driven(found)]


@given(numbers(), st.floats(-0.4, 0.4))
def test_mirror(given_numbers: dict[str, Any], aside: float) -> None:
    """What is moved to the other side of the centreline swaps left and right on every axle; what
    the vehicle's sides bear unequally is its own weight times how far that stands aside (moments
    about the centreline)."""
    rig = plain(**given_numbers)

    def sides(sign: float) -> dict[tuple[str, str], float]:
        found, _ = solve(
            rig, vehicle__cg_offset=sign * aside, trailer__empty__cg_offset=-sign * aside
        )
        return {(wheel.axle, wheel.side): one(wheel.load) for wheel in found.wheels}

    here, there = sides(1.0), sides(-1.0)
    for (axle, side), load in here.items():
        other = "right" if side == "left" else "left"
        assert load == pytest.approx(there[axle, other], rel=1e-9, abs=1e-6)
    for axle in {axle for axle, _ in here}:
        heavier = here[axle, "left"] - here[axle, "right"]
        expected = aside if axle in ("front", "rear") else -aside
        assert heavier * expected >= -1e-6
    _, v = solve(rig)
    moments = [
        (here[axle, "left"] - here[axle, "right"]) / 2 * float(v[f"vehicle.{axle}.track"])
        for axle in ("front", "rear")
    ]
    assert sum(moments) == pytest.approx(given_numbers["vehicle"] * GRAVITY * aside, abs=1e-6)


@given(numbers())
def test_ledgers_sum_to_the_loads(given_numbers: dict[str, Any]) -> None:
    """Rows sum to tongue weight and to net coupling force, within 1e-9 of the trailer's weight,
    hubs lower than the ball too."""
    rig = plain(**given_numbers)
    found, v = solve(rig, trailer__hub_height=0.35)
    (book, driven), *_ = ledgers(loads(rig, v, plan_stages(rig)))
    for ledger, force in ((book, found.tongue), (driven, found.net)):
        total = sum(entry.tongue_kg for entry in ledger.entries)
        assert abs(total * GRAVITY - one(force)) < 1e-9 * one(found.trailer)
        assert ledger.total_kg * GRAVITY == pytest.approx(one(force), rel=1e-12)


@given(numbers(graded=False), st.sampled_from(["bed", "front", "rack"]))
@settings(max_examples=50)
def test_influence_is_the_derivative(given_numbers: dict[str, Any], name: str) -> None:
    """A newton more in a place does what central differences of its item say, contacts kept.

    Heights at the ball's, so that no weight moves by pitch; on others attitude adds under 2 %.
    """
    n = {**given_numbers, "height": given_numbers["ball"]}
    on, kg, at = n["items"][name]

    def with_mass(mass: float) -> Loads:
        return solve(plain(**{**n, "items": {**n["items"], name: (on, mass, at)}}))[0]

    step = 0.01
    low, middle, high = (with_mass(kg + change) for change in (-step, 0.0, step))
    if len({_contacts(x) for x in (low, middle, high)}) > 1:
        return
    found = levers(middle.balance)[0].at(on, at)
    ours = [found.tongue, found.front, found.rear, *found.trailer_axles]
    slope = [
        (b - a) / (2 * step * GRAVITY) for a, b in zip(_driven(low), _driven(high), strict=True)
    ]
    assert slope == pytest.approx(ours, abs=1e-6)


def _contacts(found: Loads) -> tuple[bool, ...]:
    states = (*found.balance.off.touching, *found.balance.driven.touching)
    return tuple(bool(np.all(state)) for state in states)


def _driven(found: Loads) -> list[float]:
    return [one(x) for x in (found.tongue, found.front, found.rear, *found.trailer_axles)]


@given(numbers(graded=False))
@settings(max_examples=50)
def test_influence_sums_to_one(given_numbers: dict[str, Any]) -> None:
    """Each newton put anywhere ends on the ground: front, rear and trailer axles add up to one."""
    found, _ = solve(plain(**given_numbers))
    for body, station in (("vehicle", 3.9), ("trailer", 1.0), ("trailer", 8.0)):
        part = levers(found.balance)[0].at(body, station)
        assert part.front + part.rear + sum(part.trailer_axles) == pytest.approx(1.0, abs=1e-9)


def ordinary(style: str, klass: str, weight: float, *, bars: bool, suspension: str) -> Rig:
    """A rig as people write it, with typical spreads."""
    hitch = {"bars": {"rating": "1000 lb", "restoration": "50 %"}} if bars else {}
    return Rig.model_validate(
        {
            "vehicle": {"class": klass},
            "hitch": hitch,
            "trailer": {
                "style": style,
                "empty": {"weight": f"{weight} lb"},
                "axles": {"suspension": suspension},
                "tanks": {"fresh": {"content": "fresh", "capacity": "40 gal", "station": "10 ft"}},
            },
            "people": {"ann": {"seat": "driver"}},
            "places": {"rear": {"station": "20 ft", "length": "3 ft"}},
            "items": {"things": {"weight": "200 lb", "place": "rear"}},
            "stages": {"go": {"tanks": {"fresh": "50 %"}}},
        }
    )


RIGS = [
    ("rear-living", "half-ton-crew-cab", 6300.0, True, "equaliser"),
    ("rear-bunk", "three-quarter-ton", 7300.0, False, "equaliser"),
    ("front-living", "three-quarter-ton", 6000.0, False, "independent"),
    ("small-single-axle", "half-ton-crew-cab", 3000.0, False, "equaliser"),
]


@pytest.mark.parametrize(("style", "klass", "weight", "bars", "suspension"), RIGS)
def test_linear_propagation_is_the_draws(
    style: str, klass: str, weight: float, bars: bool, suspension: str
) -> None:
    """Where no contact lies within 2 sd and all is listed, the tongue share of draws and of linear
    propagation agree to 0.5 % of the trailer's weight in the mean and to 10 % in the sd."""
    whole = ordinary(style, klass, weight, bars=bars, suspension=suspension)
    rig = whole.model_copy(update={"everything_listed": True})
    belief = prior(rig).estimate
    drawn = loads(rig, belief.values(draws(belief, 4096, seed=0)))
    for force in drawn.balance.off.force:
        assert np.mean(force) > 2 * np.std(force)
    linear = propagate(belief, lambda v: np.asarray(loads(rig, v).share[0]))
    assert float(linear.mean) == pytest.approx(float(np.mean(drawn.share)), abs=0.005)
    assert float(linear.sd) == pytest.approx(float(np.std(drawn.share)), rel=0.10)


def test_same_seed_same_loads() -> None:
    """The same seed gives the same loads, to the last bit; another seed gives others."""
    rig = ordinary(*RIGS[0][:3], bars=True, suspension="equaliser")
    belief = prior(rig).estimate

    def tongue(seed: int) -> Array:
        return loads(rig, belief.values(draws(belief, 256, seed))).tongue

    assert np.array_equal(tongue(3), tongue(3))
    assert not np.array_equal(tongue(3), tongue(4))


def test_vehicle_alone_on_a_slope() -> None:
    """Without a trailer's load on the ball the front axle has lost nothing, uphill or level: what
    the slope alone takes off the front axle is not the trailer's doing, but for a little squat."""
    for grade in (0.0, 0.08):
        flat: dict[str, Any] = {"ball": 0.0, "coupler": 0.0, "height": 0.0, "overhang": 0.0}
        found, _ = solve(plain(weight=300.0, cg=5.1, axles=(5.1,), grade=grade, **flat))
        lost = one(found.front_alone) - one(found.front)
        assert abs(lost) < (20.0 if grade else 1e-3)


def test_stages_are_each_alone() -> None:
    """Stages solved in one batch are the stages solved one by one."""
    stages = {"out": {}, "home": {"without": ["rack"]}}
    items = {"rack": ("trailer", 90.0, 7.5)}
    rig = plain(items=items, stages=stages, bars={"arm": 0.7, "tip_rate": 9e4, "preset": 0.05})
    v = values(rig)
    both = loads(rig, v)
    for number, plan in enumerate(plan_stages(rig)):
        alone = loads(rig, v, (plan,))
        assert one(alone.tongue) == pytest.approx(one(both.tongue, number), rel=1e-12)
        assert one(alone.front) == pytest.approx(one(both.front, number), rel=1e-12)


def test_bars_set_at_a_stage_stay_so_when_another_is_looked_at() -> None:
    """Bars set to restore half at one stage keep that preset whichever stage is asked for."""
    stages = {"home": {}, "away": {"without": ["rack"]}}
    bars = {"arm": 0.7, "tip_rate": 9e4, "restoration": 0.5}
    rig = plain(items={"rack": ("trailer", 120.0, 7.5)}, stages=stages, bars=bars)
    plans = plan_stages(rig)
    both = loads(rig, values(rig))
    alone = loads(rig, values(rig), (replace(plans[1]),))
    assert one(both.bar_moment, 1) == pytest.approx(one(alone.bar_moment), rel=1e-9)
    rack = next(row for row in masses(rig, plans, values(rig)) if row.kind == "item")
    more = [replace(rack, kg=np.array(kg)) for kg in ([[0.0], [90.0]], [[90.0]])]
    both = loads(rig, values(rig), plans, (more[0],))  # put in once the bars were set
    alone = loads(rig, values(rig), (plans[1],), (more[1],))
    assert one(both.bar_moment, 1) == pytest.approx(one(alone.bar_moment), rel=1e-9)
