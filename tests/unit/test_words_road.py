"""What is said of brakes and grades, by results built by hand.

Expected numbers are hand arithmetic: 0.3048 m to the foot, 1609.344 m to the mile, 4.4482216 N to
the pound-force, 745.69987 W to the horsepower, 9.80665 m/s2 (NIST SP 811).
"""

from dataclasses import replace
from typing import Any

import pytest
from tests.said import NEVER, NONE, rig_of

from steelyard.braking.result import (
    BrakeRule,
    Climb,
    Descent,
    Finding,
    Locking,
    Range,
    StageRoad,
    Stance,
)
from steelyard.braking.stage_road import settings_for
from steelyard.quantity import System
from steelyard.words.road import (
    axle,
    braking_lines,
    climb_lines,
    descent_lines,
    far,
    finding_title,
    gees,
    grade_lines,
    joules,
    lift_lines,
    lock_line,
    pull,
    push_line,
    road_verdict,
    rule_line,
    span,
    tangent,
    to_know,
    unstated_lines,
)

LBF, HP, G, MPH = 4.4482216, 745.69987, 9.80665, 0.44704


def about(value: float, low: float | None = None, high: float | None = None) -> Range:
    """A number with its 95 % interval."""
    low, high = value if low is None else low, value if high is None else high
    return Range(value=value, best=value, low=low, high=high)


@pytest.mark.parametrize(
    ("metres", "us", "metric"),
    [
        (56.0, "184 ft", "56 m"),
        (1499.0, "4,918 ft", "1,499 m"),
        (1500.0, "0.9 mi", "1.5 km"),
        (8046.72, "5.0 mi", "8.0 km"),
        (NEVER, "never", "never"),
    ],
)
def test_a_distance(metres: float, us: str, metric: str) -> None:
    """From a kilometre and a half on in miles or kilometres."""
    assert (far(metres, "us"), far(metres, "metric")) == (us, metric)


def test_forces_energies_and_slowing() -> None:
    """Each in its unit: 3.4 m/s2 is 0.35 g."""
    assert gees(3.4) == "0.35 g"
    assert pull(1000 * LBF, "us") == "1,000 lbf"
    assert joules(18.44e6) == "18.4 MJ"


@pytest.mark.parametrize(
    ("slope", "told"),
    [
        (0.062, "6.2 %"),
        (0.0, "no grade at all"),
        (-0.01, "no grade at all"),
        (NEVER, "any"),
        (NONE, "unknown"),
    ],
)
def test_a_grade(slope: float, told: str) -> None:
    """Nothing at or below level is a grade."""
    assert tangent(slope) == told


@pytest.mark.parametrize(
    ("found", "say", "told"),
    [
        (about(3.6576, 3.048, 4.572), lambda x: far(x, "us"), "12 ft (10 to 15 ft)"),
        (about(3.6576), lambda x: far(x, "us"), "12 ft"),
        (about(3.6576, 3.048), lambda x: far(x, "us"), "12 ft (10 to 12 ft)"),
        (about(3.6576, None, 4.572), lambda x: far(x, "us"), "12 ft (12 to 15 ft)"),
        (about(3.6576, 3.048, NEVER), lambda x: far(x, "us"), "12 ft (10 ft to never)"),
        (about(0.05, 0.0, 0.062), tangent, "5.0 % (no grade at all to 6.2 %)"),
        (about(0.7, 0.5, 0.9), lambda x: f"{x:.1f}", "0.7 (0.5 to 0.9)"),
        (about(NONE), tangent, "no balance"),
    ],
)
def test_a_number_with_its_interval(found: Range, say: Any, told: str) -> None:
    """The unit once where both ends have it; no interval where it doesn't show."""
    assert span(found, say) == told


def finding(name: str = "lift", verdict: Any = "within", due: str = "") -> Finding:
    """Something that must hold."""
    return Finding(name=name, title=name.replace("-", " "), verdict=verdict, chance=0.5, due=due)


def rule(verdict: Any = "within", **more: Any) -> BrakeRule:
    """A rule on brakes."""
    parts: dict[str, Any] = {"title": "Brakes above 750 kg", "text": "Due.", "source": "a book"}
    known = {"name": "r", "chance": NONE, "note": False, "due": "", **parts}
    return BrakeRule(verdict=verdict, **{**known, **more})


CLIMB = Climb(
    driven="rear",
    needed=about(2000 * LBF, 1900 * LBF, 2100 * LBF),
    used=about(0.25, 0.2, 0.3),
    slips=0.03,
    traction=about(0.15, 0.1, 0.2),
    forced=about(0.2, 0.18, 0.22),
    short=0.04,
    power=about(200 * HP, 190 * HP, 210 * HP),
    held=about(70 * MPH, 65 * MPH, 75 * MPH),
    slower=0.1,
)
DESCENT = Descent(
    drop=300.0,
    energy=about(18e6, 17e6, 19e6),
    brakes=about(12e6, 11e6, 13e6),
    power=about(50 * HP, 45 * HP, 55 * HP),
    own=about(5e6, 4e6, 6e6),
    stop=about(2e6, 1.9e6, 2.1e6),
)


def stage(*findings: Finding, **more: Any) -> StageRoad:
    """One stage with what was found."""
    parts: dict[str, Any] = {
        "key": "out",
        "title": "Going out",
        "brakes": True,
        "stances": (),
        "stops": (),
        "locking": (),
        "climb": CLIMB,
        "descent": DESCENT,
        "rules": (),
        "findings": findings,
        "settings": settings_for(rig_of(), deceleration=3.4, grade=0.06),
    }
    return StageRoad(**{**parts, **more})


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (stage(finding()), "● within at “Going out”: nothing asked about fails."),
        (
            stage(finding("stop-level", "exceeded"), finding("lift", "tight")),
            "▲ exceeded at “Going out”: stop level (0.35 g).",
        ),
        (
            stage(finding("stop-downhill", "tight"), finding("lift", "tight", "x")),
            "◐ tight at “Going out”: stop downhill (0.35 g on 6.0 %); lift.",
        ),
        (stage(finding("lift", "unknown", "the axle"), brakes=None), "lift (the axle)."),
        (
            stage(finding("stop-level", "tight"), finding("lift", "unknown", "the axle")),
            "stop level (0.35 g). Not known: lift (the axle).",
        ),
        (stage(finding("lift", "unknown"), brakes=None), "? unknown at “Going out”: lift."),
        (stage(finding("lift", "tight"), brakes=None), "not stated (trailer.brakes): judged as no"),
        (stage(finding("lift", "exceeded"), brakes=None), "trailer.brakes"),
        (stage(finding("lift", "cannot tell"), brakes=None), "trailer.brakes"),
        (stage(finding("lift", "tight"), brakes=False), "◐ tight at “Going out”: lift."),
        (stage(rules=(rule("exceeded"),)), "▲ exceeded at “Going out”: Brakes above 750 kg."),
        (stage(finding(), rules=(rule("exceeded", note=True),)), "nothing asked about fails."),
        (
            stage(finding("lift", "tight"), rules=(rule("tight", note=True), rule("tight"))),
            "◐ tight at “Going out”: Brakes above 750 kg; lift.",
        ),
    ],
)
def test_the_answer_on_brakes(found: StageRoad, told: str) -> None:
    """What has the worst verdict, rules that decide first, with the numbers that were asked; what
    is due only of what is unknown."""
    said = road_verdict(found)
    assert said.endswith(told) or told in said
    assert ("trailer.brakes" in said) is ("trailer.brakes" in told)


def test_numbers_asked_stand_with_stops_alone() -> None:
    """A stop has its slowing, downhill its grade too; lifting off has neither."""
    told = [finding_title(finding(one), stage()) for one in ("stop-level", "stop-downhill", "lift")]
    assert told == ["stop level (0.35 g)", "stop downhill (0.35 g on 6.0 %)", "lift"]


def test_what_of_brakes_does_not_hold() -> None:
    """Exceeded, unknown or not to be told; a climb is told elsewhere."""
    found = stage(
        finding("lift", "exceeded"),
        finding("brakes-due", "unknown", "the plate"),
        finding("climb", "exceeded"),
        finding("stop-level", "tight"),
        finding("trailer-brakes", "within"),
    )
    assert list(braking_lines(found)) == [
        "▲ exceeded: lift.",
        "? unknown: brakes due. To know: the plate.",
    ]


def test_what_nobody_can_tell_stands_beside_what_is_exceeded() -> None:
    """A rule is broken and a stop cannot be told: both are named. A trailer without brakes has none
    to mend."""
    found = stage(finding("stop-level", "cannot tell"), rules=(rule("exceeded"),), brakes=False)
    assert "Nobody can tell: stop level" in road_verdict(found)
    assert "mend" not in " ".join(to_know(found))
    assert "mend" in " ".join(to_know(replace(found, brakes=True)))


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (stage(finding("lift", "tight")), []),
        (stage(finding(), finding("lift", "cannot tell")), ["Slow down"]),
        (stage(finding(), finding("lift", "exceeded")), ["Slow down"]),
        (stage(finding(), rules=(rule("exceeded"),)), ["Have the trailer fitted with the brakes"]),
        (stage(finding("lift", "unknown", "the axle load")), ["Find out the axle load."]),
        (stage(rules=(rule("exceeded", note=True),)), []),
        (stage(finding("lift", "unknown", "axle load")), ["Find out the axle load."]),
        (stage(finding("lift", "unknown", "whether it has any")), ["Find out whether it has any."]),
        (stage(finding("lift", "unknown")), []),
        (stage(finding("lift", "tight", "axle load")), []),
        (stage(rules=(rule("unknown", due="which year"),)), ["Find out which year."]),
        (stage(rules=(rule("unknown", due="which year", note=True),)), []),
    ],
)
def test_what_to_find_out(found: StageRoad, told: list[str]) -> None:
    """Brakes or less load where a rule or the label asks for brakes, slower or lighter where else
    anything may not hold; what is due of what is unknown."""
    said = list(to_know(found))
    assert len(said) == len(told)
    assert all(one.startswith(start) for one, start in zip(said, told, strict=True))


@pytest.mark.parametrize(
    ("one", "sources", "told"),
    [
        (
            rule("tight", chance=0.4),
            False,
            "◐ tight, Brakes above 750 kg. Due. Chance of being",
        ),
        (rule("tight", chance=0.4), False, "above it: 40 %."),
        (rule("tight", due="the plate"), False, "◐ tight, Brakes above 750 kg. Due."),
        (
            rule("unknown", due="the plate"),
            False,
            "? unknown, Brakes above 750 kg. Due. To know:",
        ),
        (rule("unknown"), False, "? unknown, Brakes above 750 kg. Due."),
        (rule("exceeded", note=True), False, "note, decides nothing: Brakes above 750 kg. Due."),
        (rule(), True, "● within, Brakes above 750 kg. Due. Source: a book."),
    ],
)
def test_a_rule_on_brakes(one: BrakeRule, sources: bool, told: str) -> None:
    """Its mark unless it is a note, the chance where its threshold has one."""
    said = rule_line(one, sources=sources)
    assert told in said
    assert ("To know" in said) is ("To know" in told)
    assert ("Chance" in said) is (one.chance == one.chance)
    assert said.startswith("note") is one.note


def stance(name: str, push: float, *, on: bool = False, **more: Any) -> Stance:
    """One case with its push, lbf."""
    parts: dict[str, Any] = {
        "slope": 0.0,
        "deceleration": 0.0,
        "coupling_kg": about(1.0),
        "coupling_change_kg": about(0.0),
        "axles": (),
        "push": about(push * LBF),
        "lifted": (),
        "lifts": 0.0,
    }
    return Stance(name=name, trailer_brakes=on, **{**parts, **more})


PUSHES = (
    stance("braking", 100, on=True),
    stance("braking", 900),
    stance("downhill", 50, on=True),
    stance("downhill", 300),
    stance("uphill", -400),
)


@pytest.mark.parametrize(
    ("brakes", "told"),
    [
        (True, "by 100 lbf with trailer brakes, 900 lbf without; rolling steadily downhill by 50"),
        (
            None,
            "The trailer pushes the vehicle when braking by 100 lbf if it has brakes, 900 lbf",
        ),
        (
            False,
            "has no brakes, pushes the vehicle when braking by 900 lbf; rolling steadily",
        ),
        (False, "downhill by 300 lbf. Uphill it pulls by 400 lbf and what its"),
    ],
)
def test_whether_the_trailer_pushes(brakes: Any, told: str) -> None:
    """With its brakes and without; of one without any only that; uphill it pulls."""
    assert told in push_line(PUSHES, "us", brakes)


@pytest.mark.parametrize(
    ("first", "chances", "told"),
    [
        (
            ("rear",),
            {"front": 0.1, "rear": 0.9},
            "With trailer brakes the rear axle locks first",
        ),
        (("rear",), {"front": 0.1, "rear": 0.9}, "first: front 10 %, rear 90 %. Locked, a rear or"),
        (
            ("rear", "trailer 1"),
            {"rear": 0.5, "trailer 1": 0.5},
            "rear axle and trailer axle 1 lock together first",
        ),
        (("front",), {"front": 0.976, "rear": 0.024}, "first: front 98 %, rear 2.4 %."),
        (("front",), {"front": 0.975, "rear": 0.025}, "rear 2.5 %. Locked, a rear or trailer axle"),
        (("front",), {"front": 0.9, "rear": 0.1, "trailer 1": 0.0}, "rear 10 %. Locked, a rear"),
        (("front",), {"front": 0.9, "rear": 0.0049}, "first: front 90 %."),
        (("front",), {"front": 0.9, "rear": 0.005}, "first: front 90 %, rear"),
        ((), {}, "With trailer brakes no axle locks."),
    ],
)
def test_what_locks_first(first: Any, chances: Any, told: str) -> None:
    """At the best estimate, with the chances of half a percent and more; what a locked axle does
    where it is a rear one by one chance in forty."""
    found = Locking(
        trailer_brakes=True, used={}, first=first, chances=chances, deceleration=about(0.5 * G)
    )
    said = lock_line(found)
    assert told in said
    swings = sum(p for name, p in chances.items() if name != "front") >= 0.025
    assert ("swing out" in said) is swings
    assert said.startswith("With trailer")
    assert lock_line(replace(found, trailer_brakes=False)).startswith("Without trailer brakes")
    assert not first or "0.50 g" in said


def test_names_of_axles() -> None:
    """A trailer's has its number, a vehicle's its place."""
    assert (axle("trailer 2"), axle("front")) == ("trailer axle 2", "front axle")


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (stance("braking", 1, on=True, lifts=0.0004), []),
        (
            stance("braking", 1, on=True, lifts=0.0005),
            ["braking, trailer braking: chance of an axle leaving the road under 0.1 %."],
        ),
        (
            stance("downhill", 1, lifts=0.6, lifted=("front", "trailer 1")),
            [
                (
                    "downhill, trailer not braking: chance of an axle leaving the road 60 %. At"
                    " the best estimate: front axle, trailer axle 1."
                )
            ],
        ),
        (
            stance("uphill", 1, lifts=0.3),
            ["uphill: chance of an axle leaving the road 30 %."],
        ),
    ],
)
def test_axles_that_leave_the_road(one: Stance, told: list[str]) -> None:
    """Told from one chance in two thousand on, and whatever lifts at the best estimate."""
    assert list(lift_lines((one,))) == told


@pytest.mark.parametrize(
    ("more", "says", "leaves"),
    [
        ({}, "Up 6.0 % takes 2,000 lbf (1,900 to 2,100 lbf) at the driven tyres", "x"),
        (
            {},
            (
                "Driven axle (rear): asks for friction 0.25 (0.20 to 0.30); 3.0 % chance of"
                " spinning; grips to 15.0 % (10.0 to 20.0 %)."
            ),
            "vehicle.driven",
        ),
        ({"driven": "all"}, "Driven axles (all): asks", "Driven axle ("),
        ({"used": None}, "Grip: unknown, since vehicle.driven is not stated.", "spinning"),
        ({"traction": None}, "Grip: unknown, since vehicle.driven is not stated.", "spinning"),
        ({"slips": None}, "Grip: unknown, since vehicle.driven is not stated.", "spinning"),
        (
            {},
            "The stated drive force starts it to 20.0 % (18.0 to 22.0 %); 4.0 % chance of being",
            "Starting on the grade: unknown",
        ),
        ({"forced": None}, "Starting on the grade: unknown, since vehicle.drive_force", "too li"),
        ({"short": None}, "Starting on the grade: unknown, since vehicle.drive_force", "too li"),
        (
            {},
            (
                "Holding 60 mph takes 200 hp (190 to 210 hp) of the engine; the stated power"
                " holds 70 mph (65 to 75 mph)."
            ),
            "engine_power",
        ),
        ({"held": None}, "of the engine; unknown whether it has it, since vehicle.engine", "holds"),
        ({"slower": None}, "engine; unknown whether it has it, since vehicle.engine_p", "holds"),
    ],
)
def test_up_the_grade(more: Any, says: str, leaves: str) -> None:
    """Pull, grip, drive force and power; each unknown that the file leaves so."""
    lines = list(climb_lines(replace(CLIMB, **more), 0.06, 60 * MPH, "us"))
    assert len(lines) == 4
    assert says in " ".join(lines)
    assert leaves == "x" or leaves not in " ".join(lines)


@pytest.mark.parametrize("brakes", [True, False, None])
def test_down_the_grade(brakes: Any) -> None:
    """Length, drop, energy, what takes it, the mean power, the trailer's part unless it has no
    brakes; three sentences of it for a first answer."""
    (said,) = descent_lines(DESCENT, 0.06, 5000.0, "us", brakes)
    assert said.startswith("Down 6.0 % for 3.1 mi (984 ft of drop) gives up 18.0 MJ (17.0 to 19.0")
    assert "engine braking take 12.0 MJ (11.0 to 13.0 MJ), a mean of 50 hp (45 to 55 hp)." in said
    assert ("kept on would take 5.0 MJ (4.0 to 6.0 MJ) of it" in said) is (brakes is not False)
    assert said.endswith("One stop is 2.0 MJ (1.9 to 2.1 MJ).")
    asked = settings_for(rig_of(), grade=0.06, length=5000.0, speed=60 * MPH)
    pulled, power, down = grade_lines(CLIMB, DESCENT, asked, "us", brakes)
    assert pulled == "Up 6.0 % takes 2,000 lbf (1,900 to 2,100 lbf) at the driven tyres."
    assert power.endswith("the stated power holds 70 mph (65 to 75 mph).")
    assert down.endswith("a mean of 50 hp (45 to 55 hp).")


@pytest.mark.parametrize(
    ("trailer", "assumed", "told"),
    [
        ({"axles": {"count": 2}}, (), ["all trailer axles"]),
        ({"axles": {"count": 1}}, (), []),
        ({"axles": {"count": 2}, "brakes": False}, (), []),
        ({"axles": {"count": 2}, "braked_axles": 1, "brakes": True}, (), []),
        (
            {"axles": {"count": 1}},
            ("hitch.ball_height", "vehicle.cg_height", "vehicle.weight"),
            ["height of the vehicle's centre of gravity, ball height: typical"],
        ),
    ],
)
def test_what_is_left_unsaid(trailer: Any, assumed: Any, told: list[str]) -> None:
    """Heights that load moves by, and which of several axles brake, where any does."""
    said = list(unstated_lines(rig_of(trailer=trailer), assumed))
    assert len(said) == len(told)
    assert all(one.startswith(start) for one, start in zip(said, told, strict=True))


@pytest.mark.parametrize(("system", "told"), [("us", "2,000 lbf"), ("metric", "8,896 N")])
def test_a_pull_in_the_readers_unit(system: System, told: str) -> None:
    """2,000 lbf are 8,896 N."""
    assert next(climb_lines(CLIMB, 0.06, 20.0, system)).startswith(f"Up 6.0 % takes {told}")
