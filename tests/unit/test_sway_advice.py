"""What moves the edge: slopes that agree with differences, moves that say the right direction."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from tests.combinations import lagging, minivan

from steelyard.rig import Rig
from steelyard.statics import loads, prior
from steelyard.swaying import (
    Combination,
    combination,
    critical_speeds,
    falling_to,
    moves,
    oscillation,
    settled,
)
from steelyard.swaying.combination import flat, labels, rebuilt, taken
from steelyard.swaying.gradient import damping_slope, divergence_slope, speed_slope
from steelyard.swaying.slopes import sensitivities
from steelyard.travel import crewed

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


def _differences(name: str, c: Combination, answer: Callable[[Combination], Any]) -> float:
    """Central difference of an answer by one field, extrapolated once."""
    place = labels(c).index(name)
    parts = flat(c)
    found = []
    for share in (1e-4, 5e-5):
        step = share * (1e3 if name == "damper" else max(abs(float(parts[place])), 1.0))
        ends = [
            float(answer(rebuilt(c, [*parts[:place], parts[place] + s, *parts[place + 1 :]])))
            for s in (step, -step)
        ]
        found.append((ends[0] - ends[1]) / (2 * step))
    return (4 * found[1] - found[0]) / 3


FIELDS = (
    "m1",
    "I1",
    "a",
    "b",
    "d",
    "Cf",
    "Cr",
    "m2",
    "I2",
    "e",
    "station 1",
    "stiffness 1",
    "damper",
)


@pytest.mark.parametrize("name", FIELDS)
def test_slopes_of_damping(name: str) -> None:
    """Left and right eigenvectors give what differences give, to 1e-6."""
    for c in (minivan(2.7), lagging(2.7, 0.5)):
        slope = damping_slope(c, 20.0).ratio[name]
        want = _differences(name, c, lambda one: oscillation(one, 20.0).ratio)
        assert slope == pytest.approx(want, rel=1e-6)


@pytest.mark.parametrize("name", FIELDS)
def test_slopes_of_the_wagging_speed(name: str) -> None:
    """The implicit slope of the critical speed, closed form and search alike."""
    for c in (minivan(2.9), lagging(2.9, 0.5)):
        slope = speed_slope(c, float(settled(c).oscillatory))[name]
        want = _differences(name, c, lambda one: settled(one).oscillatory)
        assert slope == pytest.approx(want, rel=1e-6)


@pytest.mark.parametrize("name", [x for x in FIELDS if x not in ("I1", "I2", "damper")])
def test_slopes_of_the_jackknife_speed(name: str) -> None:
    """Inertias and dampers do not matter; all else as differences have it."""
    c = minivan(2.5)
    slope = divergence_slope(c, float(critical_speeds(c).divergent))
    want = _differences(name, c, lambda one: critical_speeds(one).divergent)
    assert slope[name] == pytest.approx(want, rel=1e-6, abs=1e-12)
    assert slope["I2"] == 0.0


@pytest.mark.parametrize(
    "name",
    [
        "items.bikes.weight",
        "items.bikes.station",
        "trailer.axles.station",
        "trailer.axles.pressure",
        "vehicle.rear.pressure",
        "hitch.bars.restoration",
        "trailer.yaw_radius",
        "vehicle.overhang",
        "stages.as-described.tanks.fresh",
    ],
)
def test_slopes_of_the_whole_rig(rig: Rig, name: str) -> None:
    """From the rig file to damping and to the speed it falls at: 1e-6 of differences."""
    found = {one.name: one for one in sensitivities(rig, speed=SPEED)}[name]
    driven = crewed(rig)
    centre = prior(driven).estimate.at_mean()

    def answer(x: float) -> tuple[float, float]:
        v = {**centre, name: np.asarray(x)}
        c = taken(combination(driven, v, loads(driven, v)), (0, 0))
        return float(oscillation(c, SPEED).ratio), float(falling_to(c, 0.1))

    rough = []
    for share in (2e-4, 1e-4):
        h = share * max(abs(found.value), 0.05)
        up, down = answer(found.value + h), answer(found.value - h)
        rough.append([(a - b) / (2 * h) for a, b in zip(up, down, strict=True)])
    want = [(4 * b - a) / 3 for a, b in zip(*rough, strict=True)]
    assert found.damping == pytest.approx(want[0], rel=1e-6, abs=1e-12)
    assert found.falls == pytest.approx(want[1], rel=1e-6, abs=1e-9)


def test_moves_are_ranked_and_point_the_right_way(rig: Rig) -> None:
    """Forward, drained grey, slower: better; to the rear: worse; the best comes first."""
    found = moves(rig, speed=SPEED)
    gains = [one.gain for one in found]
    assert gains == sorted(gains, reverse=True)
    by = {(one.source, one.target): one for one in found if one.kind == "weight"}
    assert by["rear", "front"].gain > by["rear", "bed"].gain > 0
    assert by["front", "rear"].gain < 0
    assert by["rear", "front"].amount == pytest.approx(45.36, abs=0.01)
    assert by["front", "rear"].amount == pytest.approx(60 * 0.45359237)
    kinds = {one.kind for one in found}
    assert {"weight", "tank", "tyres", "bars", "speed"} <= kinds
    assert next(one for one in found if one.kind == "speed").gain > 0
    assert "friction" not in kinds


def test_a_move_is_worked_out_whole(rig: Rig) -> None:
    """Splitting the item in the file, 100 lb of it in front, gives the move's own answer."""
    one = next(m for m in moves(rig, speed=SPEED) if (m.source, m.target) == ("rear", "front"))
    driven = crewed(rig)
    part = driven.items["bikes"].model_copy(update={"place": "front"})
    split = driven.model_copy(update={"items": {**driven.items, "some": part}})
    v = dict(prior(driven).estimate.at_mean())
    v["items.some.weight"] = np.asarray(one.amount)
    v["items.some.station"] = np.asarray(rig.places["front"].station.value)
    v["items.bikes.weight"] = v["items.bikes.weight"] - one.amount
    c = taken(combination(split, v, loads(split, v)), (0, 0))
    assert one.after.damping == pytest.approx(float(oscillation(c, SPEED).ratio), rel=1e-3)
    assert one.after.falls == pytest.approx(float(falling_to(c, 0.1)), rel=1e-3)


def test_bars_are_offered_where_they_fit(rig: Rig) -> None:
    """A rig without bars is told what fitting them would do; a fifth wheel is not, nor is anybody
    told to fit bars, or to set them harder, whose vehicle's maker forbids them."""
    bare = rig.model_copy(update={"hitch": rig.hitch.model_copy(update={"bars": None})})
    assert any(one.what == "fit bars" for one in moves(bare, speed=SPEED))
    vehicle = rig.vehicle.model_copy(update={"distribution": "forbidden"})
    for one in (bare, rig):
        forbidden = one.model_copy(update={"vehicle": vehicle})
        assert not any(move.kind == "bars" for move in moves(forbidden, speed=SPEED))
    fifth = Rig.model_validate(
        {
            "vehicle": {"class": "three-quarter-ton"},
            "trailer": {"style": "fifth-wheel", "empty": {"weight": "9000 lb"}},
        }
    )
    assert not any(one.kind == "bars" for one in moves(fifth))
