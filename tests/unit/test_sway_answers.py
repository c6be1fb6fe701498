"""Answers about sway: shapes, order, chances, and one clear sentence for what has no answer."""

import re
from typing import Any

import numpy as np
import pytest
from tests.combinations import minivan
from tests.rigs import plain, solved, values

from steelyard.assessment import assess
from steelyard.assessment.damped import damped
from steelyard.estimate import Array
from steelyard.files.plain import plain as plain_report
from steelyard.rig import Rig
from steelyard.scene import NoBalanceError, opened
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior
from steelyard.swaying.linear.combination import possible, taken
from steelyard.swaying.linear.modes import Oscillation, calming, oscillation
from steelyard.swaying.linear.rig import combination, require_load
from steelyard.swaying.linear.search import GONE, ratio_at
from steelyard.swaying.narrow import narrowings
from steelyard.swaying.result import StageSway
from steelyard.swaying.stage_sway import at_stage, require_speeds, require_stable_alone, sway
from steelyard.words.assessed import chance
from steelyard.words.sway import critical_words, settling

MPH = 0.44704


def _camper(**trailer: Any) -> Rig:
    return Rig.model_validate(
        {
            "everything_listed": True,
            "vehicle": {"class": "half-ton-crew-cab"},
            "trailer": {"style": "rear-living", "empty": {"weight": "6300 lb"}, **trailer},
        }
    )


@pytest.fixture(scope="module")
def answer() -> StageSway:
    """Give the answer for a truck and camper of which hardly anything is stated."""
    (found,) = sway(_camper(), samples=200, speeds=(55 * MPH, 65 * MPH, 75 * MPH))
    return found


def test_a_rig_of_which_little_is_known_has_wide_answers(answer: StageSway) -> None:
    """Best estimate inside its interval, slower is calmer, and a chance that is a chance."""
    damping = answer.damping
    assert damping.value.shape == (3,)
    assert np.all(damping.low < damping.value)
    assert np.all(damping.value < damping.high)
    assert list(damping.value) == sorted(damping.value, reverse=True)
    assert np.all(np.diff(answer.calm.value) > 0)
    assert 0.0 < answer.chance_below < 1.0
    assert answer.chosen_speed == pytest.approx(100 / 3.6)


def test_dangers_are_apart(answer: StageSway) -> None:
    """Wagging and jackknife have their own speeds and chances of never; one comes first."""
    assert answer.wagging.low < answer.wagging.median <= answer.wagging.high
    assert 0.0 <= answer.wagging.never <= 1.0
    assert answer.first == "wagging"
    assert answer.wagging_first + answer.jackknife_first <= 1.0
    assert answer.falls.value < answer.wagging.value


def test_the_same_seed_gives_the_same_answer() -> None:
    """Randomness takes a seed."""
    one, two = (sway(_camper(), samples=50)[0].wagging for _ in range(2))
    assert one == two


def test_a_fifth_wheel_is_answered() -> None:
    """The coupling ahead of the rear axle is no special case."""
    rig = Rig.model_validate(
        {
            "vehicle": {"class": "one-ton-dual-rear-wheel", "overhang": "-2 in"},
            "hitch": {"kind": "fifth-wheel"},
            "trailer": {"style": "fifth-wheel", "empty": {"weight": "10000 lb"}},
        }
    )
    (found,) = sway(rig, samples=50)
    assert float(found.combination.d) < float(found.combination.b)
    assert float(found.at_damping.value) > 0.1


def test_time_to_a_tenth() -> None:
    """ln 10 over the decay rate; never where it grows, at once where nothing swings."""
    rates = np.array([-0.5, 0.1, np.nan])
    found = calming(Oscillation(ratio=rates, frequency=rates, rate=rates))
    assert found == pytest.approx([np.log(10) / 0.5, np.inf, 0.0])


@pytest.mark.parametrize("speed", [0.0, -3.0, float("nan")])
def test_a_speed_that_is_none(speed: float) -> None:
    """Speed zero or negative is one sentence."""
    with pytest.raises(ValueError, match="expected a speed above zero"):
        require_speeds([20.0, speed])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"I1": 0.0}, "yaw inertia of the vehicle"),
        ({"I2": -5.0}, "yaw inertia of the trailer"),
        ({"Cr": 0.0}, "rear tyres"),
        ({"stiffness": (0.0,)}, "in the air"),
        ({"stations": (-1.0,)}, "behind the coupling"),
        ({"stations": (0.0,)}, "behind the coupling, found it 0 m behind"),
        ({"m1": np.array([900.0, -3.0, 0.0])}, "a mass of the vehicle .* found -3$"),
    ],
)
def test_numbers_that_nothing_can_have(change: dict[str, Any], words: str) -> None:
    """Tyres without load, an axle in the air, no inertia: each is one sentence."""
    with pytest.raises(ValueError, match=words):
        possible(minivan(**change))


@pytest.mark.parametrize("radius", [0.0, 0.5, 0.6])
def test_an_impossible_radius_of_gyration(radius: float) -> None:
    """Half the length is the most a body can have, with half its mass at each end; a point has
    none."""
    rig = plain()
    v: dict[str, Array] = {**values(rig), "trailer.yaw_radius": np.asarray(radius)}
    with pytest.raises(ValueError, match=r"yaw_radius below 0\.5"):
        combination(rig, v, loads(rig, v))


def test_tyres_that_carry_nothing_damp_nothing() -> None:
    """No ratio is told of an axle without load; where all are on the road it is the matrix's."""
    front, rear, axle = (8e4 * (np.arange(4) != k) for k in (1, 2, 4))
    c = minivan(Cf=front, Cr=rear, stiffness=(np.where(np.arange(4) == 3, np.nan, axle),))
    due = float(oscillation(taken(c, 0), 20.0).ratio)
    assert ratio_at(c, 20.0) == pytest.approx([due, np.nan, np.nan, np.nan], nan_ok=True)


def test_an_axle_in_the_air() -> None:
    """A trailer so tail-heavy that it lifts the vehicle's rear, or bars so hard, is named."""
    rig = plain(axles=(4.4, 5.6), suspension="independent", cg=4.35, axle_rate=2e6, coupler=0.9)
    found = solved(rig)
    assert min(float(load[0, 0]) for load in found.trailer_axles) <= 0.0
    with pytest.raises(ValueError, match="expected load on the trailer axle"):
        require_load(found)


def test_a_vehicle_that_would_spin_alone() -> None:
    """A vehicle unstable without its trailer is not blamed on the trailer; below the speed that is
    named it is asked like any other."""
    rig = plain(vehicle_cg=2.9)
    v = {**values(rig), "vehicle.understeer": np.asarray(1e-4)}
    found = loads(rig, v)
    with pytest.raises(ValueError, match="without its trailer") as told:
        require_stable_alone(found, v, 60.0)
    spins = float(re.findall(r"above (\d+) m/s", str(told.value))[0])
    require_stable_alone(found, v, spins - 1.0)
    with pytest.raises(ValueError, match="without its trailer"):
        require_stable_alone(found, v, spins + 1.0)
    require_stable_alone(solved(plain()), values(plain()), 60.0)


def test_an_unknown_stage() -> None:
    """A stage that isn't there is named with those that are."""
    with pytest.raises(ValueError, match='found "later"'):
        sway(_camper(), stages=("later",), samples=5)


def test_masses_and_inertias_of_a_laden_rig() -> None:
    """Parallel axes by hand: 100 kg on the trailer 2 m behind its centre of gravity."""
    rig, laden = plain(), plain(items={"box": ("trailer", 100.0, 6.5)})
    bare, full = (combination(r, values(r), solved(r)) for r in (rig, laden))
    e = (3000 * 4.5 + 100 * 6.5) / 3100
    assert float(np.ravel(full.e)[0]) == pytest.approx(e)
    own = float(np.ravel(bare.I2)[0])
    want = own + 3000 * (4.5 - e) ** 2 + 100 * (6.5 - e) ** 2
    assert float(np.ravel(full.I2)[0]) == pytest.approx(want)
    assert float(np.ravel(full.a + full.b)[0]) == pytest.approx(3.7)


def test_one_stage_of_several() -> None:
    """Of a mass that differs by stage its own row; of what is alike at all stages the same."""
    draws = np.array([[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]])
    for m2, due in ((draws, [4.0, 5.0, 6.0]), (draws[:1], [1.0, 2.0, 3.0]), (draws[1], [4, 5, 6])):
        assert at_stage(minivan(m2=m2), 1, 2).m2.tolist() == due


def test_stages_side_by_side() -> None:
    """Two stages in one batch answer as each would alone."""
    rig = plain(
        items={"box": ("trailer", 200.0, 7.0)}, stages={"with": {}, "bare": {"without": ["box"]}}
    )
    both = sway(rig, samples=10)
    alone = sway(rig, samples=10, stages=("bare",))
    assert float(both[1].at_damping.value) == pytest.approx(float(alone[0].at_damping.value))
    assert float(both[0].at_damping.value) < float(both[1].at_damping.value)


def test_taking_elements() -> None:
    """An index applies to every field, broadcast or not."""
    c = minivan(m2=np.array([1900.0, 2000.0, 2100.0]))
    assert taken(c, 1).shape == ()
    assert float(taken(c, 2).m2) == 2100.0
    assert prior(plain()).estimate.constants["trailer.empty.weight"] == 3000.0


def test_a_draw_that_lifts_an_axle_has_no_damping() -> None:
    """Independent axles under a ball that may stand high: a draw whose first axle hangs is as bad
    as can be, not one that the tyres left on the road damp."""
    rig = plain(axles=(4.4, 5.8), suspension="independent", axle_rate=4e5)
    data = rig.model_dump(exclude_none=True, by_alias=True)
    data["hitch"]["ball_height"] = "0.92 m +- 0.06 m"
    scene = opened(Rig.model_validate(data), draws=64)
    hangs = scene.loads.trailer_axles[0][0, scene.few(64)[1:]] == 0
    (found,) = damped(scene)
    assert 0 < hangs.sum() < len(hangs)
    assert np.all(found.drawn[hangs] == GONE)
    assert np.all(found.drawn[~hangs] > GONE)
    assert found.value == np.sort(found.drawn)[(len(hangs) - 1) // 2]


def test_a_draw_that_stands_on_its_bars_has_no_damping() -> None:
    """Bars hold a vehicle whose front wheels a heavy tongue lifts: wheels in the air steer nothing,
    so that such a draw is as bad as can be."""
    rig = plain(vehicle_cg=3.2, bars={"arm": 0.7, "tip_rate": 9e4, "preset": -0.02})
    data = rig.model_dump(exclude_none=True, by_alias=True)
    data["trailer"]["empty"]["cg"] = "3.0 m +- 0.8 m"
    scene = opened(Rig.model_validate(data), draws=64)
    lifts = scene.loads.front[0, scene.few(64)[1:]] == 0
    (found,) = damped(scene)
    assert 0 < lifts.sum() < len(lifts)
    assert np.all(found.drawn[lifts] == GONE)
    assert np.all(found.drawn[~lifts] > GONE)


def test_a_rig_that_would_tip_is_refused_as_elsewhere() -> None:
    """A load all behind the axle lifts the ball off a light car: the sentence that `check` has, in
    place of a load that is no number."""
    rig = plain(items={"tractor": ("trailer", 9000.0, 12.0)})
    with pytest.raises(NoBalanceError, match="would tip") as checked:
        assess(rig, draws=16)
    with pytest.raises(NoBalanceError, match=re.escape(str(checked.value))):
        sway(rig, samples=16)


def test_draws_that_would_tip_count_and_stop_nothing() -> None:
    """A car that may stand anywhere on its deck: where some draws would tip, damping is told all
    the same, and they count among those below the ratio asked for."""
    rig = plain(items={"car": ("trailer", 1700.0, 6.0)}, weight=900.0)
    data = rig.model_dump(exclude_none=True, by_alias=True)
    data["items"]["car"]["station"] = "6 m +- 2.5 m"
    scene = opened(Rig.model_validate(data), draws=400)
    tips = float(np.mean(np.isnan(scene.loads.tongue[0, scene.few(400)[1:]])))
    (found,) = sway(scene, samples=400)
    assert 0.03 < tips < 0.5
    assert found.chance_below >= tips
    assert np.isfinite(found.at_damping.value)
    assert np.isfinite(narrowings(scene, samples=400).half)


def test_what_would_tip_is_worded_and_no_number_stands_for_it() -> None:
    """Ends of a spread are of the draws that stand, speeds begin at none, and the part of the
    chance that is tipping is said, here and in the report."""
    rig = plain(items={"car": ("trailer", 1700.0, 6.0)}, weight=900.0)
    data = rig.model_dump(exclude_none=True, by_alias=True)
    data["items"]["car"]["station"] = "6 m +- 2.5 m"
    (found,) = sway(Rig.model_validate(data), samples=400)
    assert GONE < found.at_damping.low <= found.at_damping.value <= found.at_damping.high
    assert np.all(found.damping.low > GONE)
    assert f", counting {chance(found.tips)} in which it would tip over." in settling(found, "us")
    assert "(any speed to" in critical_words(found.falls, "us")
    assert plain_report(found)["asked"]["chance_tips"] == pytest.approx(found.tips)
