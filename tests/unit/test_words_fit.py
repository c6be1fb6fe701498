"""What is said of a fit: heights, steps, sizes, jack and bars, by results built by hand.

Expected numbers are hand arithmetic: 0.45359237 kg to the pound, 25.4 mm to the inch (NIST SP 811),
1.96 sd to the half of a 95 % interval.
"""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.said import IN, LB, NONE, limit, rig_of, spread

from steelyard.hitching.result import (
    Bars,
    Clearance,
    Fenders,
    Fit,
    Height,
    Jacking,
    Lift,
    Match,
    Pitch,
    Step,
)
from steelyard.quantity import System
from steelyard.words.bars import bar_lines
from steelyard.words.hitching import (
    answer,
    ball_lines,
    called,
    clearance_lines,
    fit_steps,
    jack_lines,
    length,
    length_spread,
    level_lines,
    loose,
    match_lines,
    match_row,
    nose,
    pitch_line,
    rating_lines,
    small,
)


def step(drop: float | None = 4.0, *, noses: tuple[float, ...] = (0.2,), **more: Any) -> Step:
    """A step, in: its drop, a ball at 20 ± 0.4, at 19 under the load, and the nose by stage."""
    parts: dict[str, Any] = {
        "drop": None if drop is None else drop * IN,
        "ball": spread(20 * IN, 0.4 * IN),
        "driven": tuple(spread((19 - n) * IN, 0.3 * IN) for n in range(len(noses))),
        "nose": tuple(spread(one * IN) for one in noses),
        "chances": (0.9,) * len(noses),
        "chance": 0.9,
        "level": True,
        "present": False,
    }
    return Step(**{**parts, **more})


def height(chosen: Step | None = None, **more: Any) -> Height:
    """Heights of which one is chosen; level is within half an inch."""
    chosen = chosen or step()
    parts: dict[str, Any] = {
        "mode": "drop",
        "steps": (chosen,),
        "chosen": chosen,
        "present": None,
        "worst_stage": 0,
        "wanted": spread(20.5 * IN, 0.6 * IN),
        "wanted_drop": spread(3.5 * IN, 0.6 * IN),
        "squat": spread(1.5 * IN, 0.2 * IN),
        "tolerance": 0.5 * IN,
        "mismatch": None,
        "missing": (),
        "widened": (),
        "source": "every inch",
        "verdict": "within",
    }
    return Height(**{**parts, **more})


def fit(chosen: Step | None = None, **more: Any) -> Fit:
    """A fitting in which all is well unless said otherwise."""
    parts: dict[str, Any] = {
        "rig": rig_of(),
        "region": "north-america",
        "stages": (("out", "Going out"),),
        "height": height(chosen),
        "pitch": (),
        "matches": (),
        "limits": (),
        "governing": None,
        "jack": Jacking(lifts=(), load=None, foot=None, missing=()),
        "bars": None,
        "clearances": (),
        "lifts": None,
        "draws": 64,
        "seed": 0,
        "verdict": "within",
    }
    return Fit(**{**parts, **more})


FIFTH = rig_of(trailer={"style": "fifth-wheel"})
GOOSE = rig_of(trailer={"style": "fifth-wheel"}, hitch={"kind": "gooseneck"})
TWO = (("out", "Going out"), ("home", "Going home"))


@pytest.mark.parametrize(
    ("si", "system", "told"),
    [
        (2 * IN, "us", "2 in"),
        (2.3125 * IN, "us", "2.3125 in"),
        (1.875 * IN, "us", "1.875 in"),
        (2.33 * IN, "us", "2.33 in"),
        (2.304 * IN, "us", "2.3 in"),
        (10 * IN, "us", "10 in"),
        (2.31254 * IN, "us", "2.3125 in"),
        (2.3127 * IN, "us", "2.31 in"),
        (0.05, "metric", "50 mm"),
        (0.0508, "metric", "50.8 mm"),
    ],
)
def test_a_size_as_it_is_stamped(si: float, system: System, told: str) -> None:
    """2 5/16 in is 2.3125; what is no sixteenth, to a thousandth of one, to a hundredth."""
    assert small(si, system) == told


@pytest.mark.parametrize(
    ("drop", "system", "told"),
    [
        (4.0, "us", "a 4 in drop"),
        (-2.0, "us", "a 2 in rise"),
        (0.0, "us", "a mount without drop"),
        (8.0, "us", "an 8 in drop"),
        (11.0, "us", "an 11 in drop"),
        (18.0, "us", "an 18 in drop"),
        (1.0, "us", "a 1 in drop"),
        (None, "us", "a ball"),
        (4.0, "metric", "a 102 mm drop"),
        (-3.15, "metric", "an 80 mm rise"),
        (4.35, "metric", "a 110 mm drop"),
    ],
)
def test_a_mount_is_called_by_its_drop(drop: float | None, system: System, told: str) -> None:
    """A rise is a drop below zero; eight, eleven and eighteen begin with a vowel."""
    assert called(step(drop), system) == told


def test_lengths_in_the_readers_unit() -> None:
    """Tenths of an inch or whole millimetres; the nose's sign in words; what spreads wider than it
    is says nothing."""
    assert (length(21.84 * IN, "us"), length(21.84 * IN, "metric")) == ("21.8 in", "555 mm")
    assert length_spread(spread(0.5548, 0.0102), "us") == "21.8 ± 0.4 in"
    assert length_spread(spread(0.5548, 0.0102), "metric") == "555 ± 10 mm"
    assert nose(0.4 * IN, "us") == "0.4 in nose-up"
    assert nose(-0.4 * IN, "us") == "0.4 in nose-down"
    told = [loose(spread(x, half)) for x, half in ((-1, 0.99), (1, 0.99), (1, 1.01), (NONE, 1))]
    assert told == [False, False, True, True]


@pytest.mark.parametrize(
    ("found", "says", "leaves"),
    [
        (
            fit(),
            (
                "● within: a 4 in drop sets the ball at 20.0 ± 0.4 in (19.0 ± 0.3 in under the"
                " load): the trailer stands level within 0.5 in (chance 90 %). Every size fits"
            ),
            "nearest",
        ),
        (fit(step(ball=spread(20 * IN))), "sets the ball at 20.0 in (19.0", "20.0 ±"),
        (fit(step(None)), "a ball set at 20.0", "sets"),
        (
            fit(step(level=False, noses=(1.5,), chance=0.03)),
            (
                "no step stands level within 0.5 in; a 4 in drop sets the ball at 20.0 ± 0.4 in"
                " (19.0 ± 0.3 in under the load) comes nearest, the trailer 1.5 in nose-up, level"
                " with a chance of 3.0 %."
            ),
            "at every stage",
        ),
        (
            fit(
                height=height(step(level=False, noses=(0.1, -1.5)), worst_stage=1),
                stages=TWO,
            ),
            (
                "at every stage; a 4 in drop sets the ball at 20.0 ± 0.4 in (18.0 ± 0.3 in under"
                " the load) comes nearest, the trailer 1.5 in nose-down at “Going home”, level"
            ),
            "Going out",
        ),
        (fit(step(None, level=False)), "no height stands level", "no step"),
        (
            fit(
                height=height(step(None, level=False, noses=(0, 2), present=True), worst_stage=1),
                stages=TWO,
            ),
            (
                "the ball is set at 20.0 ± 0.4 in (18.0 ± 0.3 in under the load) and does not"
                " stand the trailer level within 0.5 in: it stands 2.0 in nose-up at “Going"
                " home”, level with"
            ),
            "no height",
        ),
        (fit(step(None), rig=FIFTH), "a bed hitch set at", "ball"),
    ],
)
def test_the_height_that_is_chosen(found: Fit, says: str, leaves: str) -> None:
    """Ball without and under the load at the worst stage, whether that is level, which way not."""
    said = answer(found, "us")
    assert says in said
    assert leaves not in said


def match(verdict: Any = "within", title: str = "ball in coupler", **more: Any) -> Match:
    """Two parts of 2 and 2 5/16 in."""
    parts: dict[str, Any] = {"first": 2 * IN, "second": 2.3125 * IN, "why": ""}
    return Match(name="ball", title=title, verdict=verdict, **{**parts, **more})


def jack(task: Any = "couple", verdict: Any = "within", **more: Any) -> Lift:
    """A jack that reaches 22 in of 20 needed, with 300 ± 20 lb on it."""
    parts: dict[str, Any] = {
        "needed": spread(20 * IN, 0.5 * IN),
        "reach": spread(22 * IN),
        "short": 0.03,
        "carries_kg": spread(300 * LB, 20 * LB),
    }
    return Lift(task=task, verdict=verdict, **{**parts, **more})


def jacking(*lifts: Lift, **more: Any) -> Jacking:
    """A jack's tasks."""
    parts: dict[str, Any] = {"load": None, "foot": None, "missing": (), **more}
    return Jacking(lifts=lifts, **parts)


OVER = limit(1100 * LB, 1000 * LB, 20 * LB, verdict="exceeded", title="ball: tongue", chance=0.99)
LOAD = limit(700 * LB, 800 * LB, title="jack")


def bars(**more: Any) -> Bars:
    """Bars that are due and set to give back half at the only stage."""
    parts: dict[str, Any] = {
        "due": "due",
        "reasons": ("the manual requires them",),
        "fitted": True,
        "supposed": False,
        "verdict": "within",
        "front_load_lost_kg": spread(100.0),
        "carries_kg": spread(900 * LB, 60 * LB),
        "size": 1000 * LB,
        "share": 0.5,
        "set_at": "Going out",
        "set_stage": 0,
        "fenders_prove": True,
        "preset": spread(np.radians(10.0), np.radians(2.0)),
        "take_up": spread(3 * IN, 0.5 * IN),
        "moment": spread(1500.0),
        "fenders": Fenders(
            front_off=spread(1.2 * IN, 0.3 * IN),
            front_on=spread(0.6 * IN, 0.2 * IN),
            rear_off=spread(-2.5 * IN, 0.4 * IN),
            rear_on=spread(-2.1 * IN, 0.35 * IN),
        ),
        "restored": (spread(0.48),),
    }
    return Bars(**{**parts, **more})


def gap(**more: Any) -> Clearance:
    """A turn of 60 ± 5 degrees before the corner touches."""
    angle = spread(np.radians(60.0), np.radians(5.0))
    parts: dict[str, Any] = {"value": angle, "always": False, "touches": False, "is_angle": True}
    return Clearance(name="turn", **{**parts, "title": "turning", "missing": (), **more})


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({}, "Every size fits and every rating holds."),
        ({"matches": (match("exceeded"),)}, "Does not fit: ball in coupler."),
        ({"matches": (match("cannot tell"),)}, "Cannot tell, weigh: ball in coupler."),
        ({"matches": (match("tight"), match("tight"))}, "Tight: ball in coupler."),
        ({"matches": (match("unknown"), match("within"))}, "Not known: ball in coupler."),
        ({"limits": (("Going out", OVER),)}, "Does not fit: rating, ball: tongue."),
        ({"limits": (("Going out", replace(OVER, note=True)),)}, "Every size fits and"),
        ({"jack": jacking(jack("couple", "exceeded"))}, "Does not fit: jack to couple."),
        ({"jack": jacking(jack("bars", "exceeded"))}, "jack to hook the spring bars."),
        ({"jack": jacking(load=replace(LOAD, verdict="tight"))}, "Tight: rating, tongue jack"),
        ({"lifts": "Going out"}, "the load, which lifts the vehicle at “Going out”."),
        ({"bars": bars(fitted=False, verdict="exceeded")}, "fit: spring bars due, none fitted."),
        (
            {"bars": bars(due="forbidden", verdict="exceeded")},
            "Does not fit: spring bars, forbidden.",
        ),
        (
            {"bars": bars(due="unknown", fitted=False, verdict="unknown")},
            "Not known: whether spring bars are due.",
        ),
        (
            {"bars": bars(due="unknown", fitted=False, verdict="exceeded")},
            "Does not fit: whether spring bars are due.",
        ),
        ({"bars": bars(verdict="exceeded")}, "Every size fits and every rating holds."),
        ({"clearances": (gap(touches=True),)}, "Does not fit: turning."),
        ({"clearances": (gap(),)}, "Every size fits and every rating holds."),
    ],
)
def test_what_else_does_not_fit(more: Any, told: str) -> None:
    """Every part by its verdict, each once; bars that are fitted and due are no fault."""
    assert answer(fit(**more), "us").endswith(told) or told in answer(fit(**more), "us")


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (fit(), "Fit a 4 in drop and tape the trailer level."),
        (fit(step(present=True)), ""),
        (fit(step(None)), "Set the ball at 20.0 in, nothing hitched, and tape the trailer level."),
        (fit(step(None), rig=FIFTH), "Set the bed hitch at 20.0 in, nothing hitched"),
        (fit(step(None), rig=GOOSE), "Set the coupler's post until the trailer stands level"),
        (fit(lifts="Going out"), "Move load ahead of the trailer's axles, or leave what rides"),
        (
            fit(step(level=False, noses=(1.5,))),
            (
                "No height tried reaches, by about 1.5 in: it takes a lower vehicle, or a trailer"
                " that stands higher"
            ),
        ),
        (
            fit(step(level=False, noses=(-1.5,))),
            (
                "No height tried reaches, by about 1.5 in: it takes a higher vehicle, or a"
                " trailer that stands lower (axles"
            ),
        ),
        (
            fit(step(level=False, noses=(1.5,), present=True)),
            (
                "Have a receiver fitted whose ball stands about 1.5 in lower, or coupler or axles"
                " of the trailer set higher by as much."
            ),
        ),
        (
            fit(step(level=False, noses=(-1.5,), present=True)),
            (
                "Have a receiver fitted whose ball stands about 1.5 in higher, or coupler or"
                " axles of the trailer set lower"
            ),
        ),
        (
            fit(height=height(step(level=False, noses=(-0.6, 0.5)))),
            "No one height is level at every stage",
        ),
        (
            fit(height=height(step(level=False, noses=(0.4, 1.3)), worst_stage=1)),
            "No height tried reaches, by about 1.3 in: it takes a lower vehicle",
        ),
    ],
)
def test_what_to_set(found: Fit, told: str) -> None:
    """A nose that is up wants a lower ball; where stages differ by more than twice the tolerance,
    an inch, no one height will do."""
    said = " ".join(fit_steps(found, "us"))
    assert said.startswith(told)
    assert bool(said) is bool(told)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"height": height(missing=("hitch.ball_height",))}, "Tape the ball height. Ground to the"),
        ({"bars": bars()}, "Set the bars until the front fender stands 0.60 ± 0.20 in above"),
        ({"bars": bars(fenders_prove=False)}, ""),
        ({"bars": bars(fenders=None)}, ""),
        ({"matches": (match("unknown"), match("tight", "pin"))}, "Measure ball in coupler."),
        ({"jack": jacking(missing=("hitch.jack.travel",))}, "Measure hitch jack travel."),
    ],
)
def test_what_to_measure(more: Any, told: str) -> None:
    """After the mount: what is missing, and the fender that proves the bars."""
    lines = list(fit_steps(fit(**more), "us"))[1:]
    assert len(lines) == bool(told)
    assert " ".join(lines).startswith(told)


@pytest.mark.parametrize(
    ("more", "says", "leaves"),
    [
        (
            {},
            "Exactly level: a ball 20.5 ± 0.6 in high, vehicle alone, that is 3.5 ± 0.6 in of d",
            "x",
        ),
        ({"wanted_drop": spread(-1.5 * IN, 0.6 * IN)}, "that is 1.5 ± 0.6 in of rise.", "drop"),
        ({"wanted_drop": spread(0.0, 0.6 * IN)}, "that is 0.0 ± 0.6 in of drop.", "rise"),
        ({"wanted_drop": None}, "vehicle alone. The load sinks it by 1.5 ± 0.2 in.", "that is"),
        ({"squat": spread(0.0, 0.2 * IN)}, "The load sinks it by 0.0 ± 0.2 in.", "lifts"),
        ({"squat": spread(-0.5 * IN, 0.2 * IN)}, "The load lifts it by 0.5 ± 0.2 in.", "sinks"),
        (
            {"present": step(noses=(0.3, -0.7), chance=0.3), "worst_stage": 1},
            "As it is (20.0 in), it stands 0.7 in nose-down, level with a chance of 30 %.",
            "taped",
        ),
        ({"mismatch": 1.2 * IN}, "The ball was taped 1.2 in above where receiver", "below"),
        ({"mismatch": -1.2 * IN}, "The ball was taped 1.2 in below where receiver", "above"),
        ({"widened": ("a", "b")}, "What widens this most: a, b.", "No other"),
        ({}, "Steps looked at: every inch.", "widens"),
        ({"chosen": step(present=True)}, "No other ball height was tried", "Steps looked at"),
        ({"missing": ("hitch.ball.rise",)}, "hitch.ball.rise. Its platform to its top is", "x"),
    ],
)
def test_what_exactly_would_be_level(more: Any, says: str, leaves: str) -> None:
    """Height and drop or rise for it, how far the load sinks or lifts it, how it stands now."""
    found = fit(height=height(**{"chosen": step(), **more}))
    said = " ".join(ball_lines(found, "us"))
    assert says in said
    assert leaves == "x" or leaves not in said
    assert said.startswith(" ".join(level_lines(found, "us")))


def pitch(axles: int = 2, **more: Any) -> Pitch:
    """An inch up takes 10 lb off the tongue; the first axle gains 90 lb, the second loses 80."""
    up, down = (90.0, -80.0)[:axles], (-88.0, 79.0)[:axles]
    parts: dict[str, Any] = {
        "suspension": "independent",
        "assumed": False,
        "own": True,
        "inch_up_tongue_kg": spread(-10.0 * LB),
        "inch_down_tongue_kg": spread(11.0 * LB),
        "inch_up_axles_kg": tuple(spread(x * LB) for x in up),
        "inch_down_axles_kg": tuple(spread(x * LB) for x in down),
    }
    return Pitch(**{**parts, **more})


@pytest.mark.parametrize(
    ("one", "system", "told"),
    [
        (
            pitch(),
            "us",
            (
                "With torsion or independent axles, coupled an inch higher: tongue -10 lb, axles"
                " from the front +90 lb, -80 lb; as much lower: tongue +11 lb, axles -88 lb, +79"
                " lb."
            ),
        ),
        (pitch(assumed=True), "us", "With torsion or independent axles (assumed), coupled"),
        (pitch(own=False, suspension="equaliser"), "us", "On axles on an equaliser instead, coup"),
        (pitch(1), "us", "Coupled an inch higher, one axle: tongue -10 lb; an inch lower, +11 lb."),
        (
            pitch(
                1,
                inch_up_tongue_kg=spread(-25.4),
                inch_down_tongue_kg=spread(50.8),
            ),
            "metric",
            "Coupled 25 mm higher, one axle: tongue -25 kg; 25 mm lower, +50 kg.",
        ),
        (pitch(1, inch_up_tongue_kg=spread(0.0)), "us", "tongue +0 lb"),
        (
            pitch(inch_up_axles_kg=(spread(101.6), spread(-76.2))),
            "metric",
            "axles from the front +100 kg, -75 kg;",
        ),
    ],
)
def test_what_an_inch_does(one: Pitch, system: System, told: str) -> None:
    """By axle, with its sign; a metric reader's 25 mm are 25/25.4 of it."""
    assert told in pitch_line(one, system)


def test_two_sizes_that_must_fit() -> None:
    """The first before the second, `?` for one that is not stated; why not, where it is known."""
    assert match_row(match(), "us")[1:] == ("2 in", "2.3125 in", "● within")
    assert match_row(match(second=None), "us")[1:3] == ("2 in", "?")
    found = fit(matches=(match(why="the socket is larger"), match(title="pin")))
    assert list(match_lines(found)) == ["ball in coupler: the socket is larger."]


HELD = replace(OVER, verdict="within", value=900 * LB, margin=100 * LB, chance=0.0)
UNRATED = replace(OVER, verdict="unknown", title="receiver: tongue", margin=NONE, chance=NONE)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({}, ["No rating of the coupling chain is known."]),
        (
            {"bars": bars()},
            ["No rating of the coupling chain as it works with spring bars is known."],
        ),
        (
            {"governing": ("Going out", HELD), "limits": (("Going out", HELD),)},
            [
                (
                    "What governs the chain: ball: tongue, 100 lb under its 1,000 lb rating at"
                    " “Going out”."
                )
            ],
        ),
        (
            {"governing": ("Going out", OVER), "limits": (("Going out", OVER),)},
            [
                (
                    "What governs the chain: ball: tongue, 100 lb over its 1,000 lb rating at"
                    " “Going out”."
                ),
                (
                    "▲ exceeded: ball: tongue, 100 lb over its 1,000 lb rating at “Going out” (99 %"
                    " chance of not holding)."
                ),
            ],
        ),
        (
            {
                "governing": ("Going out", HELD),
                "limits": (("Going out", replace(OVER, note=True)),),
            },
            [
                (
                    "What governs the chain: ball: tongue, 100 lb under its 1,000 lb rating at"
                    " “Going out”."
                )
            ],
        ),
        (
            {"limits": (("Going out", UNRATED), ("Going out", replace(UNRATED, note=True)))},
            [
                "No rating of the coupling chain is known.",
                "Not known: receiver: tongue (the label in the door).",
            ],
        ),
    ],
)
def test_what_governs_the_chain(more: Any, told: list[str]) -> None:
    """The least room, then each that is not within and each that is not known; no notes."""
    assert list(rating_lines(fit(**more), "us")) == told


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (
            jack(),
            (
                "To couple its flange must stand 20.0 ± 0.5 in high, carrying 300 ± 20 lb: it"
                " reaches 2.0 in higher (3.0 % chance of falling short)."
            ),
        ),
        (
            jack("bars", reach=spread(18.5 * IN)),
            (
                "To hook the spring bars its flange must stand 20.0 ± 0.5 in high, carrying 300 ±"
                " 20 lb: it is 1.5 in short; put blocks of that height under it."
            ),
        ),
        (jack(reach=spread(20 * IN)), "it reaches 0.0 in higher (3.0 % chance"),
        (jack(carries_kg=spread(300 * LB, 310 * LB)), "in high, carrying a load: it reaches"),
        (jack(reach=None), "To couple it works carrying 300 ± 20 lb; whether it reaches is not"),
    ],
)
def test_what_the_jack_must_do(one: Lift, told: str) -> None:
    """How high, with how much on it, and how far it reaches beyond or falls short."""
    assert told in next(jack_lines(jacking(one), "us"))


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({}, []),
        ({"missing": ("a", "b")}, ["The jack's reach is not known: state a, b."]),
        ({"load": LOAD}, ["Lifting for the bars, the jack is 100 lb under its 800 lb rating."]),
        ({"load": replace(LOAD, verdict="unknown")}, []),
        (
            {"foot": spread(8 * IN, 0.7 * IN)},
            ["As driven its foot clears the road by 8.0 ± 0.7 in."],
        ),
    ],
)
def test_the_jacks_load_and_foot(more: Any, told: list[str]) -> None:
    """Said where they are known."""
    assert list(jack_lines(jacking(**more), "us")) == told


def test_clearances_that_are_known_and_not() -> None:
    """60 ± 5 degrees, or inches; what wants a tape last, each key once."""
    inches = gap(value=spread(3 * IN, 0.5 * IN), is_angle=False)
    unknown = gap(value=None, missing=("a", "b")), gap(value=None, title="corner", missing=("b",))
    found = (unknown[0], gap(), inches, gap(always=True), gap(touches=True), unknown[1])
    assert list(clearance_lines(found, "us")) == [
        "turning: 60.0 ± 5.0°",
        "turning: 3.0 ± 0.5 in",
        "turning: clear to 90° and beyond",
        "turning: ▲ touches standing straight",
        "? not known: turning; corner. To know: a, b.",
    ]
    assert list(clearance_lines([gap()], "us")) == ["turning: 60.0 ± 5.0°"]


@pytest.mark.parametrize(
    ("more", "says", "leaves"),
    [
        ({}, "Spring bars are due: the manual requires them.", "may be due"),
        ({"fitted": False}, "Spring bars may be due: the manual", "are due"),
        ({"fitted": False, "verdict": "exceeded"}, "Spring bars are due: ", "may be due"),
        ({"fitted": False, "due": "not due"}, "Spring bars are not due: ", "may be due"),
        (
            {},
            "They carry tongue plus cargo behind the rear axle, 900 ± 60 lb: rated 1,000 lb or m",
            "x",
        ),
        ({"size": None}, "900 ± 60 lb: none sold covers it.", "rated"),
        ({"carries_kg": None}, "To give back 50 %", "They carry"),
        (
            {},
            (
                "To give back 50 % of the front load lost at “Going out”: 10.0° (8.0 to 12.0) of"
                " preset, or 3.0 ± 0.5 in of chain with no head tilt."
            ),
            "Supposing",
        ),
        ({"supposed": True}, "Supposing bars of a usual kind, to give back 50 %", "To give"),
        ({"share": None}, "To keep the preset stated, giving back 48 % of the front", "50 %"),
        (
            {"share": None, "set_stage": 1, "restored": (spread(0.48), spread(0.61))},
            "giving back 61 % of",
            "48 %",
        ),
        ({"share": None, "restored": (spread(NONE),)}, "giving back nothing of the front", "nan"),
        ({"moment": spread(0.0)}, "At “Going out” the bars hang slack", "give back"),
        ({"moment": spread(0.5)}, "To give back 50 %", "hang slack"),
        ({"moment": spread(NONE)}, "At “Going out” the bars hang slack", "give back"),
        ({"preset": spread(0.1, 0.11)}, "lost at “Going out”. The bars' stiffness", "of preset"),
        ({"take_up": spread(0.1, 0.11)}, "lost at “Going out”. The bars' stiffness", "of preset"),
        ({"preset": None}, "They carry", "give back"),
        ({"take_up": None}, "They carry", "give back"),
        ({"moment": None}, "They carry", "give back"),
        (
            {},
            (
                "the front fender rises 1.20 ± 0.30 in without bars; set them until it stands"
                " 0.60 ± 0.20 in up. The rear fender goes from 2.50 ± 0.40 in down to 2.10 ± 0.35"
                " in."
            ),
            "levels itself",
        ),
        ({"fenders_prove": False}, "The vehicle levels itself: its fenders prove", "Proof by tape"),
        ({"fenders": None}, "To give back 50 %", "Proof by tape"),
    ],
)
def test_what_is_said_of_spring_bars(more: Any, says: str, leaves: str) -> None:
    """Whether they are due, of what rating, how they are set and what proves it; no number whose
    spread is larger than itself."""
    said = " ".join(bar_lines(bars(**more), "us"))
    assert says in said
    assert leaves == "x" or leaves not in said


def test_fenders_are_taped_in_whole_millimetres() -> None:
    """1.2 ± 0.3 in are 30 ± 8 mm."""
    assert "rises 30 ± 8 mm without bars" in " ".join(bar_lines(bars(), "metric"))


@pytest.mark.parametrize("which", ["front_off", "front_on"])
def test_a_fender_that_spreads_wider_than_it_moves_proves_nothing(which: str) -> None:
    """0.6 ± 0.7 in could as well be a drop."""
    seen = bars().fenders
    assert seen is not None
    loosely: Any = {which: spread(0.6 * IN, 0.7 * IN)}
    found = bars(fenders=replace(seen, **loosely))
    assert "Proof by tape" not in " ".join(bar_lines(found, "us"))
