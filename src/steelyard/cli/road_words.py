"""What `steelyard road` prints, 80 columns wide."""

import math
from collections.abc import Iterator, Sequence
from typing import Final

from steelyard.braking.result import Range, StageRoad, Stop
from steelyard.braking.settings import Setting
from steelyard.cli.words import bullets, do_next, paragraph, shows_sources, table
from steelyard.quantity import GRAVITY, Z95, System, percent, shown, to_border
from steelyard.rig import Rig
from steelyard.scene import assumed_of
from steelyard.words.road import (
    CAUTIONS,
    FIRST_CAUTION,
    climb_lines,
    descent_lines,
    far,
    gees,
    grade_lines,
    lift_lines,
    lock_line,
    push_line,
    road_verdict,
    rule_line,
    to_know,
    unstated_lines,
)

AS_ASKED: Final = Setting(value=0.0).source
UNSAID: Final[dict[bool | None, str]] = {True: "has brakes", False: "has none"}


CUTS: Final = 3


def first_answer(
    rig: Rig,
    found: StageRoad,
    others: Sequence[StageRoad],
    system: System,
    *,
    rules: bool,
    cut: int = 0,
) -> Iterator[str]:
    """Verdict and what to do, the stop, the grade; nothing that fails or is unknown is folded.

    cut: what a rig with much amiss does without, of `CUTS`: what the rules that decide say, the
    push and what surge brakes cannot do.
    """
    asked = found.settings
    yield rig.name
    yield paragraph(road_verdict(found))
    yield from _others(others)
    yield ""
    yield from stops(found, system, everything=False)
    yield paragraph(" ".join(grade_lines(found.climb, found.descent, asked, system, found.brakes)))
    if cut < 2:
        yield paragraph(push_line(found.stances, system, found.brakes).partition(";")[0] + ".")
    yield from (paragraph(f"{line[0].upper()}{line[1:]}") for line in lift_lines(found.stances))
    yield from surge(rig) if cut < 2 else ()
    yield ""
    yield from do_next(tuple(to_know(found)))
    if cut:
        yield "What the rules on brakes say: --rules."
    else:
        yield from ruled(found, everything=rules)
    yield paragraph("With --all: loads that move, which axle locks first, what is assumed.")
    yield paragraph(FIRST_CAUTION)


def _others(others: Sequence[StageRoad]) -> Iterator[str]:
    if others:
        listed = ", ".join(f"{one.title} ({one.verdict})" for one in others)
        yield paragraph(f"This is the stage that decides; the others: {listed}.")


def ruled(found: StageRoad, *, everything: bool) -> Iterator[str]:
    """Rules that decide; those that decide nothing are counted unless asked for."""
    deciding = [rule for rule in found.rules if not rule.note and rule.verdict != "within"]
    shown = found.rules if everything else deciding
    yield from bullets([rule_line(rule, sources=shows_sources()) for rule in shown])
    left = len(found.rules) - len(shown)
    if left:
        rules = (
            "1 rule on brakes that holds or decides"
            if left == 1
            else f"{left} rules on brakes that hold or decide"
        )
        yield paragraph(f"{rules} nothing here: --rules.")


def answer(
    rig: Rig, found: StageRoad, others: Sequence[StageRoad], system: System, *, rules: bool
) -> Iterator[str]:
    """Everything at the stage with the worst verdict."""
    asked = found.settings
    yield rig.name
    yield paragraph(road_verdict(found))
    yield from _others(others)
    yield ""
    yield from stops(found, system)
    said = UNSAID.get(found.brakes, "brakes not stated: judged as none")
    yield f"Must the trailer have brakes? (rig file: {said})"
    yield from ruled(found, everything=rules)
    yield ""
    yield from loads(found, system)
    yield paragraph(push_line(found.stances, system, found.brakes))
    yield from (paragraph(f"{line[0].upper()}{line[1:]}") for line in lift_lines(found.stances))
    yield from (paragraph(lock_line(one)) for one in found.locking)
    yield from surge(rig)
    yield ""
    yield f"Grade of {percent(asked.grade)}"
    yield from bullets(list(climb_lines(found.climb, asked.grade, asked.speed, system)))
    yield from bullets(
        list(descent_lines(found.descent, asked.grade, asked.length, system, found.brakes))
    )
    yield ""
    yield from assumed(rig, found)
    yield from (paragraph(line) for line in CAUTIONS)


def stops(found: StageRoad, system: System, *, everything: bool = True) -> Iterator[str]:
    """A stop on the level and downhill, with trailer brakes and without; of a trailer that has none
    the rows without alone, unless everything is due."""
    asked = found.settings
    speed = shown(asked.speed, "speed", system)
    yield paragraph(
        f"Stopping from {speed}, {asked.reaction:g} s of reaction included; friction"
        f" {asked.friction.value:g}"
    )
    rows: list[Sequence[str]] = [
        ("road", "trailer", "slows at most, g", "shortest stop", f"at {gees(asked.deceleration)}")
    ]
    fitted = found.brakes is True
    kept = [one for one in found.stops if everything or found.brakes is not False]
    kept = kept or [one for one in found.stops if not one.trailer_brakes]
    rows += [_stop(one, asked.grade, system, fitted=fitted) for one in kept]
    yield table(rows, left=(0, 1), indent="")
    yield ""


def _stop(one: Stop, grade: float, system: System, *, fitted: bool) -> Sequence[str]:
    where = f"down {percent(grade, 0)}" if one.down else "level"
    return (
        where,
        ("brakes" if fitted else "if braked") if one.trailer_brakes else "rolls",
        _in_g(one.reachable),
        _shortest(one.shortest, system),
        far(one.firm.value, system) if math.isfinite(one.firm.value) else "no grip",
    )


def _in_g(found: Range) -> str:
    value, low, high = (x / GRAVITY for x in (found.value, found.low, found.high))
    return f"{value:z.2f} ({low:z.2f} to {high:z.2f})"


def _shortest(found: Range, system: System) -> str:
    low, high = (far(x, system).split()[0] for x in (found.low, found.high))
    return f"{far(found.value, system)} ({low} to {high})"


def loads(found: StageRoad, system: System) -> Iterator[str]:
    """How much each axle and the ball gain or lose, against the rig at rest on the level."""
    asked = found.settings
    unit = "lb" if system == "us" else "kg"
    yield paragraph(
        f"What moves, {unit}: braking at {gees(asked.deceleration)}, and on {percent(asked.grade)}"
        " (against level at rest; on, off: the trailer's brakes)"
    )
    head = ["", "stop, on", "stop, off", "up", "down, on", "down, off"]
    rows: list[Sequence[str]] = [head]
    rows.append(["ball", *(_change(one.coupling_change_kg, system) for one in found.stances)])
    rows += [
        [alike[0].name, *(_change(one.change_kg, system) for one in alike)]
        for alike in zip(*(one.axles for one in found.stances), strict=True)
    ]
    yield table(rows, indent="")
    if any(one.coupling_kg.value < 0 for one in found.stances):
        yield "The ball is pulled up in some of these: the coupler's latch holds it down."
    yield ""


def _change(found: Range, system: System) -> str:
    if math.isnan(found.value):
        return "tips"
    value, low, high = (to_border(x, "mass", system) for x in (found.value, found.low, found.high))
    return f"{value:+z,.0f} ± {(high - low) / 2:z,.0f}"


def surge(rig: Rig) -> Iterator[str]:
    """What surge brakes cannot do."""
    if rig.trailer.brake_kind == "surge":
        yield paragraph(
            "Surge brakes answer to the push alone: they leave some of it, drag down a long grade,"
            " do nothing once the trailer pulls, and cannot be set off by hand."
        )


def assumed(rig: Rig, found: StageRoad) -> Iterator[str]:
    """Every setting nobody stated, with its spread and source; what was asked is not assumed."""
    yield "Assumed (options change some of these)"
    loose = {k: one for k, one in found.settings.uncertain.items() if one.source != AS_ASKED}
    yield from bullets(
        [
            *(
                f"{name.removeprefix('road.').replace('_', ' ')}: {_setting(one)}"
                for name, one in loose.items()
            ),
            *unstated_lines(rig, assumed_of(rig)),
        ]
    )


def _setting(one: Setting) -> str:
    half = Z95 * one.sd
    number = f"{one.value:.2g} ± {half:.2g}"
    return f"{number}, {one.source}" if shows_sources() else number
