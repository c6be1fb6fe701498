"""One stage's row of an array over draws, and what it comes to: ranges, chances, verdicts."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from steelyard.braking.result import BrakeRule, Climb, Finding, Range, Stance, Stop
from steelyard.estimate import Array
from steelyard.ratings import Question, doubted, verdict

Mask = NDArray[np.bool_]


def row(x: Any, stage: int, like: Array) -> Array:
    """(1 + n,) of something that broadcasts to (S, 1 + n); best estimate first."""
    return np.asarray(np.broadcast_to(np.asarray(x), like.shape)[stage])


def drawn(x: Array) -> Array:
    """The draws after the best estimate; the best estimate itself where there are none."""
    return x[1:] if len(x) > 1 else x


def spread(x: Array) -> Range:
    """Median, best estimate and 95 % interval; draws without a balance (NaN) are left out."""
    there = drawn(x)[~np.isnan(drawn(x))]
    if there.size == 0:
        nothing = float("nan")
        return Range(value=nothing, best=float(x[0]), low=nothing, high=nothing)
    low, middle, high = np.quantile(there, (0.025, 0.5, 0.975), method="inverted_cdf")
    return Range(value=float(middle), best=float(x[0]), low=float(low), high=float(high))


def chance(x: Any) -> float:
    """Share of the draws in which `x` (1 + n, of bool) holds."""
    return float(np.mean(drawn(np.asarray(x))))


NAN = float("nan")


def findings(
    brakes: bool | None,  # noqa: FBT001  (a key of the rig file)
    stances: tuple[Stance, ...],
    stops: tuple[Stop, ...],
    climb: Climb,
    rules: tuple[BrakeRule, ...],
    tight: float,
    asked: Sequence[Question],
) -> tuple[Finding, ...]:
    """Everything that must hold, judged with the trailer's brakes as the rig file says.

    Unsaid brakes are judged as none, and what would hold is not known while a value is asked about
    that it rests on: unknown is never assumed safe.
    """
    found = (*_need(brakes, rules), *_findings(brakes, stances, stops, climb, tight))
    return tuple(_if_sure(one, asked) for one in found)


def _if_sure(one: Finding, asked: Sequence[Question]) -> Finding:
    doubt = doubted(f"road.{one.name}", asked) if one.verdict in ("within", "tight") else None
    return replace(one, verdict="unknown", due=f"whether {doubt} is right") if doubt else one


def _need(brakes: bool | None, rules: tuple[BrakeRule, ...]) -> tuple[Finding, ...]:  # noqa: FBT001
    """A trailer without brakes where no rule that was read says whether it needs them."""
    if brakes is not False or any(not rule.note for rule in rules):
        return ()
    due = "the weight from which your state or province asks for brakes"
    title = "a trailer without brakes"
    return (Finding(name="brakes-due", title=title, verdict="unknown", chance=NAN, due=due),)


def _findings(
    brakes: bool | None,  # noqa: FBT001  (a key of the rig file)
    stances: tuple[Stance, ...],
    stops: tuple[Stop, ...],
    climb: Climb,
    tight: float,
) -> Iterator[Finding]:
    if brakes is None:
        due = "whether the trailer has brakes of its own (trailer.brakes)"
        yield Finding(
            name="trailer-brakes", title="trailer brakes", verdict="unknown", chance=NAN, due=due
        )
    fitted = brakes is True
    mine = [one for one in stances if one.trailer_brakes is fitted or one.name == "uphill"]
    worst = max(mine, key=lambda one: one.lifts)
    yield _judged("lift", "an axle lifting", worst.lifts, tight)
    for stop in (one for one in stops if one.trailer_brakes is fitted):
        where = "downhill" if stop.down else "level"
        title = f"slowing as asked, {where}"
        yield _judged(f"stop-{where}", title, stop.short, tight)
    yield from _uphill(climb, tight)


def _uphill(climb: Climb, tight: float) -> Iterator[Finding]:
    grip, pull = "grip of the driven tyres uphill", "drive force to start uphill"
    if climb.slips is None:
        due = "which axle is driven (vehicle.driven)"
        yield Finding(name="grip", title=grip, verdict="unknown", chance=NAN, due=due)
    else:
        yield _judged("grip", grip, climb.slips, tight)
    if climb.short is None:
        due = "pull at the driven tyres in the lowest gear (vehicle.drive_force)"
        yield Finding(name="drive-force", title=pull, verdict="unknown", chance=NAN, due=due)
    else:
        yield _judged("drive-force", pull, climb.short, tight)


def _judged(name: str, title: str, chance: float, tight: float) -> Finding:
    return Finding(name=name, title=title, verdict=verdict(chance, tight), chance=chance, due="")
