"""What is said of sway: speeds, damping, what was felt and fitted, by results built by hand.

Expected numbers are hand arithmetic: 0.45359237 kg to the pound, 1609.344 m to the mile, 1.3558179
N m to the foot-pound, 6894.757 Pa to the psi (NIST SP 811); 200 km/h are 124 mph.
"""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from tests.combinations import minivan
from tests.said import LB, MPH, NEVER, rig_of

from steelyard.assessment.sway_advice import Hurt
from steelyard.quantity import System
from steelyard.ratings import Fastest
from steelyard.rig import Rig
from steelyard.swaying.remedies import Move
from steelyard.swaying.result import Band, CriticalSpeed, Edge, StageSway
from steelyard.words.felt import counts, felt_lines, warnings
from steelyard.words.fitted import (
    CAM,
    ELECTRONIC,
    FRICTION,
    fitted_line,
    fitted_lines,
    narrowed_line,
    narrowed_lines,
)
from steelyard.words.sway import (
    ball_words,
    beyond,
    calms,
    critical_words,
    fastest_line,
    headline,
    hurt_words,
    move_words,
    onset_words,
    settling,
    starts,
    sway_sentences,
    torque,
)


def band(value: float, low: float, high: float) -> Band:
    """A number with its interval."""
    found = {"value": value, "best": value, "low": low, "high": high}
    return Band(**{name: np.asarray(x) for name, x in found.items()})


def critical(value: float, low: float, high: float, **more: Any) -> CriticalSpeed:
    """A critical speed, mph."""
    value, low, high = (MPH * x for x in (value, low, high))
    parts: dict[str, Any] = {"median": value, "never": 0.0, "shown": False, **more}
    return CriticalSpeed(value=value, low=low, high=high, **parts)


def sways(**more: Any) -> StageSway:
    """A rig that settles at 62 mph, and is known well enough for its speeds to be told."""
    flat = band(1.0, 1.0, 1.0)
    parts: dict[str, Any] = {
        "key": "out",
        "title": "Going out",
        "speeds": np.array([]),
        "damping": flat,
        "frequency": flat,
        "calm": flat,
        "chosen_speed": 62 * MPH,
        "chosen_ratio": 0.1,
        "at_damping": band(0.2, 0.15, 0.25),
        "at_frequency": flat,
        "at_calm": band(3.1, 2.6, 3.9),
        "tips": 0.0,
        "chance_below": 0.01,
        "wagging": critical(90, 85, 95),
        "jackknife": critical(NEVER, 110, NEVER),
        "falls": critical(78, 72, 84),
        "calms_again": NEVER,
        "understeer": band(0.01, 0.005, 0.02),
        "first": "wagging",
        "wagging_first": 0.7,
        "jackknife_first": 0.2,
        "combination": minivan(),
        "felt": (),
    }
    return StageSway(**{**parts, **more})


@pytest.mark.parametrize(
    ("found", "system", "told"),
    [
        (critical(78, 72, 84), "us", "at 78 mph (72 mph to 84 mph)"),
        (critical(78, 0, 130), "us", "at 78 mph (any speed to above 124 mph)"),
        (critical(78, 1, 124), "us", "at 78 mph (1 mph to 124 mph)"),
        (critical(130, 125, NEVER), "us", "above 124 mph, if at all"),
        (critical(130, NEVER, NEVER), "us", "above 124 mph, if at all"),
        (critical(NEVER, 60, NEVER), "us", "above 124 mph, if at all (but perhaps from 60 mph)"),
        (critical(NEVER, 124.1, NEVER), "us", "above 124 mph, if at all"),
        (critical(NEVER, 0, NEVER), "us", "above 124 mph, if at all (but perhaps at any speed)"),
        (critical(NEVER, 1, NEVER), "us", "above 124 mph, if at all (but perhaps from 1 mph)"),
        (critical(124, 120, 124.2), "us", "at 124 mph (120 mph to 124 mph)"),
        (critical(78, 72, 84), "metric", "at 126 km/h (116 km/h to 135 km/h)"),
        (critical(130, 130, 140), "metric", "above 200 km/h, if at all"),
        (critical(124.4, 100, 130), "us", "above 124 mph, if at all (but perhaps from 100 mph)"),
    ],
)
def test_a_critical_speed(found: CriticalSpeed, system: System, told: str) -> None:
    """With its interval up to 200 km/h, from where no speed is told; standing still is any."""
    assert critical_words(found, system) == told


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (band(3.1, 2.6, 3.9), "settles to a tenth in 3.1 s (2.6 to 3.9)"),
        (band(3.1, 2.6, NEVER), "settles to a tenth in 3.1 s (2.6 to never)"),
        (band(NEVER, 2.6, NEVER), "does not settle: it grows"),
    ],
)
def test_how_fast_a_swing_settles(found: Band, told: str) -> None:
    """To a tenth of itself; where some draws grow, to never."""
    assert calms(found) == told


def test_the_whole_answer_on_sway() -> None:
    """What is asked, the three speeds in their order, and what comes first with its chance."""
    lines = list(sway_sentences(sways(), "us"))
    assert lines[0] == (
        "● At “Going out” and 62 mph a swing settles to a tenth in 3.1 s (2.6 to 3.9), damping"
        " ratio 0.20 (0.15 to 0.25); the chance that it is below 0.1 is 1.0 %."
    )
    assert lines[1] == (
        "Sway grows by itself at 90 mph (85 mph to 95 mph). Jackknife without a swing starts above"
        " 124 mph, if at all (but perhaps from 110 mph). Damping falls to 0.1 at 78 mph (72 mph to"
        " 84 mph)."
    )
    assert lines[2] == "What comes first as speed rises: sway (chance that sway does: 70 %)."
    assert lines[3].startswith("Understeer with the trailer on: 5.6 degrees per g (2.8 to 11.2).")
    folds = list(sway_sentences(sways(first="jackknife"), "us"))
    assert folds[2] == "What comes first as speed rises: jackknife (chance that sway does: 70 %)."
    assert len(list(sway_sentences(sways(first="neither"), "us"))) == 3
    assert "0.30 %" not in settling(sways(tips=0.0), "us")
    assert "1.0 %, counting 0.3 % in which it would tip over." in settling(sways(tips=0.003), "us")


WIDE = critical(90, 60, NEVER)


@pytest.mark.parametrize(
    ("more", "says", "leaves"),
    [
        ({}, "grows by itself at 90 mph (85 mph to 95 mph). Jackkn", "No sway speed"),
        ({}, "Damping falls to 0.1 at 78 mph", "careful end"),
        ({"wagging": WIDE}, "No sway speed is told", "Sway grows by itself"),
        ({"falls": WIDE}, "Sway grows by itself at 90 mph", "Damping falls"),
        ({"falls": WIDE}, "No sway speed is told", "Damping falls"),
        ({"jackknife": WIDE}, "Sway grows by itself at 90 mph", "No sway speed"),
        ({"jackknife": WIDE}, "Sway grows by itself at 90 mph", "Jackknife"),
        ({"wagging": WIDE, "falls": WIDE, "jackknife": WIDE}, "No sway speed", "Jackknife"),
    ],
)
def test_the_first_answer_tells_what_is_known(more: Any, says: str, leaves: str) -> None:
    """Sway and the fall of damping must both be known, else the careful end is told; a jackknife
    that may or may not come is left out, and needs no words."""
    certain = {"jackknife": critical(NEVER, NEVER, NEVER, shown=True)}
    said = " ".join(headline(sways(**{**certain, **more}), "us"))
    assert says in said
    assert leaves not in said


def test_from_what_speed_sway_grows() -> None:
    """Where it may be told."""
    assert starts(sways(), "us") == "at 90 mph (85 mph to 95 mph)"
    assert starts(sways(wagging=WIDE), "us") == "at a speed that what is known leaves open"
    assert fastest_line(Fastest(speed=65 * MPH, reason="tyres", source=""), "us") == (
        "No faster than 65 mph: tyres."
    )


@pytest.mark.parametrize(
    ("found", "told"),
    [(200.0, ("148 lb·ft", "200 N·m")), (2000.0, ("1,475 lb·ft", "2,000 N·m"))],
)
def test_a_torque(found: float, told: tuple[str, str]) -> None:
    """1.3558179 N m to the foot-pound."""
    assert (torque(found, "us"), torque(found, "metric")) == told


def edge(mph: float) -> Edge:
    """Where a rig stands whose sway grows from so many mph."""
    return Edge(damping=0.1, falls=20.0, wagging=mph * MPH, jackknife=60.0)


def move(kind: Any, amount: float = 0.0, **more: Any) -> Move:
    """One move from the tail to the front."""
    parts: dict[str, Any] = {"what": "fill", "source": "tail", "target": "front"}
    known = {**parts, "before": edge(60), "after": edge(64), **more}
    return Move(kind=kind, amount=amount, **known)


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (move("weight", 50 * LB), "50 lb from tail to front"),
        (move("tank"), "fill the front tank"),
        (move("tank", target=""), "fill the tail tank"),
        (move("tyres", 5 * 6894.757), "5 psi more in the tyres of the front"),
        (
            move("bars", 0.75, what="tighten bars"),
            "tighten bars: 75 % of the front load given",
        ),
        (move("speed", 5 * MPH), "5 mph slower"),
    ],
)
def test_what_a_move_is(one: Move, told: str) -> None:
    """Its amount in the unit of its kind."""
    assert move_words(one, "us").removesuffix(" back") == told


def test_what_moves_do_to_onset_and_ball() -> None:
    """At 200 km/h, 124.3 mph, the last speed that is told; less than half a kilogram is nothing."""
    assert onset_words(move("weight", after=edge(124.2)), "us") == "+64 to 124 mph"
    assert onset_words(move("weight", after=edge(124.4)), "us") == beyond("us") == "above 124 mph"
    assert onset_words(move("weight", before=edge(124.4)), "us") == "64 mph"
    assert onset_words(move("weight", before=edge(124.2)), "us") == "-60 to 64 mph"
    told = [ball_words(kg, "metric") for kg in (0.49, -0.49, 0.51, -0.51, 0.5)]
    assert told == ["-", "-", "+1 kg", "-1 kg", "+0 kg"]
    assert ball_words(50 * LB, "us") == "+50 lb"


@pytest.mark.parametrize(
    ("before", "after", "margin", "measure", "told"),
    [
        ("within", "exceeded", -45 * LB, "weight", "rear axle over by 45 lb"),
        ("exceeded", "exceeded", -45 * LB, "weight", "rear axle further over by 45 lb"),
        ("within", "exceeded", 0.0, "weight", "rear axle over"),
        ("within", "exceeded", 5 * LB, "weight", "rear axle over"),
        ("within", "tight", 23 * LB, "weight", "rear axle tight, 23 lb left"),
        ("within", "cannot tell", -9 * LB, "weight", "rear axle cannot tell, 9 lb over"),
        ("within", "cannot tell", -0.9 * LB, "weight", "rear axle cannot tell, 1 lb over"),
        ("within", "exceeded", -0.9 * LB, "weight", "rear axle over by 1 lb"),
        ("within", "tight", 0.0, "weight", "rear axle tight, 0 lb left"),
        ("within", "tight", 0.012, "share", "rear axle tight, 1.2 points left"),
        ("within", "tight", 1250.0, "force", "rear axle tight, 1.25 kN left"),
        ("within", "tight", 0.5, "ratio", "rear axle tight, 0.50 left"),
    ],
)
def test_what_a_move_makes_worse(
    before: Any, after: Any, margin: float, measure: Any, told: str
) -> None:
    """By how much it is over or what is left, in the limit's unit."""
    parts: dict[str, Any] = {"name": "x", "title": "rear axle", "chance": 0.1, "measure": measure}
    assert hurt_words(Hurt(before=before, after=after, margin=margin, **parts), "us") == told


def felt(what: str = "swayed", **more: Any) -> Rig:
    """A rig of which one thing was felt at 60 mph."""
    rig = {key: more.pop(key) for key in ("since",) if key in more}
    return rig_of(felt={"one": {"what": what, "speed": "60 mph", **more}}, **rig)


def heeded() -> Any:
    """What it comes to: damping 0.12 with it, 0.05 without."""
    telling = SimpleNamespace(name="one")
    after, before = band(0.12, 0.08, 0.16), band(0.05, -0.02, 0.11)
    return SimpleNamespace(telling=telling, after=after, before=before)


@pytest.mark.parametrize(
    ("rig", "says", "leaves"),
    [
        (
            felt(),
            "Felt at 60 mph: it swayed. Damping ratio there: 0.12 (0.08 to 0.16); without it",
            "x",
        ),
        (felt(), "without it 0.05 (-0.02 to 0.11). Stay well under that speed until", "calmer"),
        (felt("settled"), "it swung and settled. Damping", "Stay well"),
        (felt("settled"), "It makes no speed beyond that one calmer.", "counts for nothing"),
        (felt("settled", swings="1"), "it swung and settled in 1 swing.", "swings"),
        (felt("settled", swings="0"), "it swung and settled in 0 swings.", "x"),
        (felt("settled", swings="2"), "it swung and settled in 2 swings.", "x"),
        (felt("settled", swings="2 to 4"), "in 2 to 4 swings.", "x"),
        (felt("steady", lasting="20 min"), "steady for 20 min.", "swung"),
        (felt("steady"), "steady for 5 min.", "swung"),
        (
            felt(date="2025-05-01", since="2025-06-01"),
            "That was before 2025-06-01, since when the rig is as its file says: it counts for n",
            "Damping",
        ),
        (felt(date="2025-06-01", since="2025-06-01"), "Stay well under", "nothing"),
        (felt(since="2025-06-01"), "Stay well under", "nothing"),
        (felt(date="2025-06-01"), "Stay well under", "nothing"),
    ],
)
def test_what_was_felt(rig: Rig, says: str, leaves: str) -> None:
    """At its speed, and the damping there with and without it; nothing of what was felt before the
    rig was as it is."""
    stage: Any = SimpleNamespace(title="Going out", felt=(heeded(),))
    (said,) = felt_lines(rig, (stage,), "us")
    assert says in said
    assert leaves == "x" or leaves not in said
    both = list(felt_lines(rig, (stage, stage), "us"))
    assert [one.startswith("Felt at “Going out” at 60 mph") for one in both] == [True, True]
    old = "counts for nothing" in said
    assert counts(rig, rig.felt["one"]) is not old
    due = ["It swayed at 60 mph, as was felt: stay well under that."]
    assert list(warnings(rig, "us")) == (due if "it swayed" in said and not old else [])


BAR = {"kind": "bar", "moment": "200 N m"}
CAMS = {"bars": {"rating": "1000 lb"}, "sway_control": {"kind": "cam"}}


@pytest.mark.parametrize(
    ("hitch", "edge", "told"),
    [
        ({"sway_control": {"kind": "bar"}}, 0.1, f"{FRICTION} Nothing is counted for it in any"),
        ({"sway_control": {"kind": "bar"}}, 0.1, "any number here, nor in a run, as its moment"),
        ({"sway_control": BAR}, NEVER, "148 lb·ft; at 62 mph the rig as its file has it settles"),
        ({"sway_control": BAR}, np.pi / 36, "62 mph a swing beyond 5.0 degrees grows all the same"),
        (CAMS, 0.1, f"a cam stabiliser on the spring bars. {CAM} Nothing"),
        ({"sway_control": {"kind": "coupling"}}, 0.1, f"pads on the ball. {FRICTION} Nothing"),
    ],
)
def test_what_friction_can_do(
    hitch: Any, edge: float, told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What it holds at the speed asked about, where its moment is stated: a swing up to so much."""
    monkeypatch.setattr("steelyard.words.fitted.growing_amplitude", lambda *_: edge)
    rig = rig_of(hitch=hitch)
    (said,) = fitted_lines(rig, sways(), "us")
    assert told in said
    assert fitted_line(rig).startswith("Fitted: a ")


@pytest.mark.parametrize("there", [True, False])
def test_electronics_that_are_fitted(there: bool) -> None:
    """The vehicle's and the trailer's, each where it is there."""
    rig = rig_of(vehicle={"trailer_stability": there}, trailer={"stability_brakes": there})
    lines = list(fitted_lines(rig, sways(), "us"))
    assert len(lines) == 2 * there
    assert all(ELECTRONIC in one for one in lines)
    assert bool(fitted_line(rig)) is there
    assert not there or "vehicle's stability" in lines[0]
    assert not there or "trailer's own" in lines[1]


def looks(*halves: float, unseen: int = 3) -> Any:
    """What narrows a damping that is known to 0.08."""
    named = ("heights", "bars", "scale")[: len(halves)]
    names = ("vehicle.understeer", "tyres.relaxation", "items.cot.station")[:unseen]
    parts: dict[str, Any] = {
        "speed": 62 * MPH,
        "half": 0.08,
        "looks": tuple(
            SimpleNamespace(look=look, half=half) for look, half in zip(named, halves, strict=True)
        ),
        "idle": ("levels", "weights"),
        "together": 0.03,
        "unseen": tuple(SimpleNamespace(name=name, half=0.07) for name in names),
    }
    return SimpleNamespace(**parts)


def test_what_would_narrow_it() -> None:
    """The two looks that narrow it most, with what they narrow it to; where none does, the two
    things that only the road tells."""
    said = narrowed_line(looks(0.05, 0.06, 0.07), "us")
    assert said.startswith(
        "The damping ratio at 62 mph is known to ± 0.08. What would narrow it: h"
    )
    assert (
        "ball and hubs (to ± 0.05); the spring bars' setting, by fender heights (to ± 0.06)."
        in said
    )
    assert "scale" not in said
    none = narrowed_line(looks(), "us")
    assert none.endswith(
        "by much. It depends on how much the vehicle understeers and how far tyres roll until they"
        " answer, which only how it ran on the road tells."
    )
    assert narrowed_line(looks(unseen=0), "us").endswith("narrows that by much.")


def test_all_that_would_narrow_it() -> None:
    """Each look in its order, what hardly helps, all together, and what is left."""
    lines = list(narrowed_lines(looks(0.05, 0.06), "us"))
    assert lines[0] == "The damping ratio at 62 mph is known to ± 0.080. What would narrow it:"
    assert [one[:3] for one in lines[1:3]] == ["1. ", "2. "]
    assert lines[2].endswith("by fender heights: to ± 0.060")
    assert lines[3].startswith("Hardly narrowed by: the levels of its tanks, off the gauges; what")
    assert lines[4] == "All of these together: to ± 0.030."
    assert lines[6:] == [
        "- how much the vehicle understeers: ± 0.070",
        "- how far tyres roll until they answer: ± 0.070",
        "- cot station: ± 0.070",
    ]
    few = list(narrowed_lines(looks(unseen=0), "us"))
    assert few[0] == "The damping ratio at 62 mph is known to ± 0.080."
    assert few[-1] == "All of these together: to ± 0.030."
