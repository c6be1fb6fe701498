"""What would calm the sway, each held against every limit: what helps one may break another."""

from dataclasses import dataclass
from typing import Annotated, Final

import numpy as np

from steelyard.assessment.assess import assess
from steelyard.assessment.result import Assessment
from steelyard.estimate import Array, Estimate
from steelyard.quantity import reported
from steelyard.ratings import (
    TIGHT,
    Check,
    LimitStatus,
    Verdict,
    above,
    checks,
    refuses,
    severity,
    verdict,
)
from steelyard.rig import Rig
from steelyard.scene import Opening
from steelyard.statics.loads import Loads
from steelyard.swaying.remedies import Move, Tried, tried
from steelyard.swaying.stage_sway import RATIO

WORSE: Final = 1e-6
"""Share of a rating by which a margin must shrink to count as worse."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hurt:
    """One limit that a move makes worse until its verdict is a graver one; `before` what it was;
    `chance` of not holding and `margin` left after it, in the unit of the limit's measure, SI."""

    name: str
    title: Annotated[str, reported.UNREPORTED]
    before: Verdict
    after: Verdict
    chance: Annotated[float, reported.UNREPORTED]
    margin: Annotated[float, reported.SI]
    measure: Annotated[str, reported.UNREPORTED]


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """A move with what else it does at that stage. tongue, front, rear, axles: change of the tongue
    weight and of the loads as driven, N; hurts: limits it brings to tight or beyond, worst first.

    Spreads are taken to stay as they are without the move; ratings nobody stated are unknown and
    hurt by nothing here.
    """

    move: Annotated[Move, reported.UNREPORTED]
    tongue: Annotated[float, reported.LOAD, reported.Key("ball_change")]
    front: Annotated[float, reported.LOAD, reported.Key("front_change")]
    rear: Annotated[float, reported.LOAD, reported.Key("rear_change")]
    axles: Annotated[float, reported.LOAD, reported.Key("trailer_axles_change")]
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
    now = assess(rig, estimate, (groups[0].scene.stages[0].key,), tight=tight)
    base = groups[0].scene.loads
    found = [one for group in groups for one in _held(group, now, base)]
    return tuple(sorted(found, key=lambda one: (bool(one.breaks), -one.move.gain)))


def _held(group: Tried, now: Assessment, base: Loads) -> list[Advice]:
    """The moves of one rig against the limits of the rig as it is."""
    found = group.scene.loads
    known = {one.name: one for one in now.stages[0].limits if one.verdict != "unknown"}
    todo = [
        (check, known[check.name])
        for check in checks(group.scene)
        if check.name in known and check.high is not None
    ]
    count = len(group.moves)
    margins = [_margin(check, count) for check, _ in todo]
    return [
        Advice(
            move=move,
            tongue=_change(found.tongue, base.tongue, number),
            front=_change(found.front, base.front, number),
            rear=_change(found.rear, base.rear, number),
            axles=sum(
                _change(axle, was, number)
                for axle, was in zip(found.trailer_axles, base.trailer_axles, strict=True)
            ),
            hurts=_hurts(
                [(was, left[number + 1]) for (_, was), left in zip(todo, margins, strict=True)], now
            ),
        )
        for number, move in enumerate(group.moves)
    ]


def _change(after: Array, before: Array, number: int) -> float:
    row = np.ravel(after[0])
    return float(row[min(number + 1, len(row) - 1)] - np.ravel(before[0])[0])


def _margin(check: Check, count: int) -> Array:
    """Margin of a check, (1 + count,); of a band to its nearer edge."""

    def row(x: Array) -> Array:
        return np.broadcast_to(np.atleast_2d(x)[0], (count + 1,))

    assert check.high is not None
    left = row(check.high) - row(check.value)
    return left if check.low is None else np.minimum(left, row(check.value) - row(check.low))


def _hurts(limits: list[tuple[LimitStatus, float]], now: Assessment) -> tuple[Hurt, ...]:
    found = []
    for was, margin in limits:
        chance = _chance(float(margin), was)
        after = verdict(chance, now.tight)
        worse = float(margin) < was.margin - WORSE * abs(was.rating)
        graver = severity(after) > severity(was.verdict) or refuses(after, chance)
        if worse and graver:
            found.append(
                Hurt(
                    name=was.name,
                    title=was.title,
                    before=was.verdict,
                    after=after,
                    chance=chance,
                    margin=float(margin),
                    measure=was.measure,
                )
            )
    return tuple(sorted(found, key=lambda one: (-one.chance, one.margin)))


def _chance(margin: float, was: LimitStatus) -> float:
    """Chance that a margin whose spread stays is gone: NaN, a rig that would tip, is."""
    return float(above(*(np.array([x]) for x in (-margin, was.sd, was.rating)))[0])
