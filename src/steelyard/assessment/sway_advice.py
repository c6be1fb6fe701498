"""What would calm the sway, each held against every limit: what helps one may break another."""

from dataclasses import dataclass, replace
from typing import Annotated, Final

import numpy as np

from steelyard.assessment.assess import assess
from steelyard.estimate import Array, Estimate, Moments
from steelyard.quantity import GRAVITY, reported
from steelyard.ratings import (
    TIGHT,
    Check,
    LimitStatus,
    Verdict,
    checks,
    judgements,
    refuses,
    severity,
)
from steelyard.ratings.check import UNITS, Measure
from steelyard.rig import Rig
from steelyard.scene import Opening, opened
from steelyard.statics.loads import Loads
from steelyard.swaying.remedies import Move, Tried, tried
from steelyard.swaying.stage_sway import RATIO

WORSE: Final = 1e-6
"""Share of a rating by which a margin must shrink to count as worse."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hurt:
    """One limit that a move makes worse until its verdict is a graver one; `before` what it was;
    `chance` of not holding and `margin` left after it, in the limit's unit."""

    name: str
    title: Annotated[str, reported.UNREPORTED]
    before: Verdict
    after: Verdict
    chance: Annotated[float, reported.UNREPORTED]
    margin: Annotated[float, reported.UNREPORTED]
    measure: Annotated[Measure, reported.UNREPORTED]

    @property
    def si(self) -> Annotated[float, reported.Key("margin_si")]:
        """The margin in SI, a weight's in N."""
        return self.margin * UNITS[self.measure][1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """A move with what else it does at that stage: change of the tongue weight and of the loads as
    driven; hurts: limits it brings to tight or beyond, worst first.

    Limits are judged over the draws of the rig as it is, each altered as the best estimate is by
    the move; ratings nobody stated are unknown and hurt by nothing here.
    """

    move: Annotated[Move, reported.UNREPORTED]
    ball_change_kg: float
    front_change_kg: float
    rear_change_kg: float
    trailer_axles_change_kg: float
    hurts: Annotated[tuple[Hurt, ...], reported.Key("limits")]

    @property
    def breaks(self) -> tuple[Hurt, ...]:
        """The limits that would be exceeded, or likely so, or further exceeded, after it."""
        return tuple(one for one in self.hurts if refuses(one.after, one.chance))


def sway_advice(
    rig: Rig | Opening,
    estimate: Estimate | None = None,
    stage: str | None = None,
    ratio: float = RATIO,
    speed: float | None = None,
    tight: float = TIGHT,
) -> tuple[Advice, ...]:
    """Every move of `sway.moves`: first those that break no limit, then the others; best first."""
    groups = tried(rig, estimate, stage, ratio, speed)
    scene = opened(rig, estimate, (groups[0].scene.stages[0].key,))
    now = assess(scene, tight=tight)
    held = _Held(
        limits={one.name: one for one in now.stages[0].limits if one.verdict != "unknown"},
        drawn={check.name: check for check in checks(scene)},
        best={check.name: check for check in checks(groups[0].scene)},
        moments=Moments(scene.draws),
        tight=tight,
    )
    base = groups[0].scene.loads
    found = [one for group in groups for one in _advice(group, held, base)]
    return tuple(sorted(found, key=lambda one: (bool(one.breaks), -one.move.gain)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    """The rig as it is: its known limits, as judged, drawn, and at the best estimate."""

    limits: dict[str, LimitStatus]
    drawn: dict[str, Check]
    best: dict[str, Check]
    moments: Moments
    tight: float


def _advice(group: Tried, held: _Held, base: Loads) -> list[Advice]:
    """The moves of one rig, each with what it does to loads and limits."""
    found = group.scene.loads
    after = [one for one in checks(group.scene) if one.name in held.limits and one.high is not None]
    return [
        Advice(
            move=move,
            ball_change_kg=_change(found.tongue, base.tongue, number),
            front_change_kg=_change(found.front, base.front, number),
            rear_change_kg=_change(found.rear, base.rear, number),
            trailer_axles_change_kg=sum(
                _change(axle, was, number)
                for axle, was in zip(found.trailer_axles, base.trailer_axles, strict=True)
            ),
            hurts=_hurts(held, [_moved(held, check, number) for check in after]),
        )
        for number, move in enumerate(group.moves, start=1)
    ]


def _moved(held: _Held, check: Check, number: int) -> Check:
    """A limit over all draws after a move: each draw is altered as the best estimate is."""
    drawn, best = held.drawn[check.name], held.best[check.name]

    def part(of: str) -> Array | None:
        if getattr(drawn, of) is None:
            return None
        by = _at(getattr(check, of), number) - _at(getattr(best, of), 0)
        return np.asarray(getattr(drawn, of) + by)

    value = part("value")
    assert value is not None
    return replace(drawn, value=value, high=part("high"), low=part("low"))


def _at(x: Array, number: int) -> float:
    """The stage's value after a move, the first as it is; what has one value has it after any."""
    row = np.atleast_2d(x)[0]
    return float(row[min(number, len(row) - 1)])


def _change(after: Array, before: Array, number: int) -> float:
    return (_at(after, number) - _at(before, 0)) / GRAVITY


def _hurts(held: _Held, after: list[Check]) -> tuple[Hurt, ...]:
    """What the one judge finds worse, and graver or refused, after a move."""
    found = []
    for new in judgements(after, 1, held.moments, held.tight)[0].standings:
        was = held.limits[new.name]
        worse = new.margin < was.margin - WORSE * abs(was.rating)
        if worse and (severity(new.verdict) > severity(was.verdict) or new.refuses):
            found.append(
                Hurt(
                    name=was.name,
                    title=was.title,
                    before=was.verdict,
                    after=new.verdict,
                    chance=new.chance,
                    margin=new.margin,
                    measure=was.measure,
                )
            )
    return tuple(sorted(found, key=lambda one: (-one.chance, one.margin)))
