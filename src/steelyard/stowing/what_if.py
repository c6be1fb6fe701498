"""What if: things moved and tanks filled by hand, before and after, nothing planned."""

from collections.abc import Mapping
from dataclasses import dataclass

from steelyard.assessment import Assessment, StageResult, assess
from steelyard.assessment.damped import Damped, damped
from steelyard.estimate import Estimate
from steelyard.quantity import Level
from steelyard.ratings import TIGHT, LimitStatus
from steelyard.rig import Rig
from steelyard.scene import opened, restated, under_way
from steelyard.stowing.allowed_places import forbidden, torn
from steelyard.stowing.arrange import arranged, believed, now
from steelyard.stowing.boarding import Boarding, boardings


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One limit at one stage, before and after."""

    stage: str
    before: LimitStatus
    after: LimitStatus


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """Before and after; `calm_before` and `calm_after` are how surely swings die away, by stage,
    nothing where the sway model has no answer; `changed` are limits whose standing is another,
    nearest first; `against` are rules the moves break, in words; `boardings`, of what is moved,
    what rolls on over the tail."""

    rig: Rig
    before: Assessment
    after: Assessment
    calm_before: tuple[Damped, ...]
    calm_after: tuple[Damped, ...]
    boardings: tuple[Boarding, ...]
    changed: tuple[Change, ...]
    against: tuple[str, ...]


def what_if(
    rig: Rig,
    moves: Mapping[str, str],
    levels: Mapping[tuple[str, str], Level],
    estimate: Estimate | None = None,
    tight: float = TIGHT,
) -> WhatIf:
    """What moving items (to places) and setting tank levels (stage, tank) would do.

    rig: as its file has it, so that levels which follow from a level that is set follow it too.
    Raises TripError where what flows on the way then finds no water or no room.
    """
    scene = opened(rig, estimate)
    stated, rig, estimate = scene.stated, scene.rig, scene.estimate
    levels = _other(rig, under_way(filled(stated, levels)))
    after = filled(arranged(rig, {**now(rig), **moves}), levels)
    belief = refilled(believed(estimate, rig, after), after, levels)
    then = scene.changed(after, belief)
    old, new = assess(scene, tight=tight), assess(then, tight=tight)
    against = [
        f"{name}: {why}" for name, place in moves.items() for why in forbidden(rig, name, place)
    ]
    was, calm = set(torn(rig)), damped(scene)
    against += [why for why in torn(after) if why not in was]
    return WhatIf(
        rig=after,
        before=old,
        after=new,
        calm_before=calm,
        calm_after=damped(then, calm),
        boardings=tuple(one for one in boardings(after, belief, then.stages) if one.item in moves),
        changed=_changed(old, new),
        against=tuple(against),
    )


def _other(before: Rig, after: Rig) -> dict[tuple[str, str], Level]:
    """Levels by stage and tank that the one rig has and the other does not."""
    return {
        (key, tank): level
        for key, stage in after.stages.items()
        for name in ("tanks", "vehicle_tanks")
        for tank, level in getattr(stage, name).items()
        if getattr(before.stages[key], name).get(tank) != level
    }


def tank_key(rig: Rig, tank: str) -> str:
    """Which of a stage's tables holds this tank's level."""
    return "tanks" if tank in rig.trailer.tanks else "vehicle_tanks"


def filled(rig: Rig, levels: Mapping[tuple[str, str], Level]) -> Rig:
    """The rig with other levels, by stage and tank."""
    stages = dict(rig.stages)
    for (stage, tank), level in levels.items():
        key = tank_key(rig, tank)
        table = {**getattr(stages[stage], key), tank: level}
        stages[stage] = stages[stage].model_copy(update={key: table})
    return rig.model_copy(update={"stages": stages})


def refilled(estimate: Estimate, rig: Rig, levels: Mapping[tuple[str, str], Level]) -> Estimate:
    """The belief with the levels as they are now said to be."""
    names = [f"stages.{stage}.{tank_key(rig, tank)}.{tank}" for stage, tank in levels]
    return restated(estimate, rig, names)


def _changed(before: Assessment, after: Assessment) -> tuple[Change, ...]:
    found = [
        Change(stage=new.title, before=old_limit, after=new_limit)
        for old, new in zip(before.stages, after.stages, strict=True)
        for old_limit, new_limit in _pairs(old, new)
        if old_limit.verdict != new_limit.verdict
    ]
    return tuple(sorted(found, key=lambda one: one.after.room))


def _pairs(old: StageResult, new: StageResult) -> list[tuple[LimitStatus, LimitStatus]]:
    """Limits of both by name; notes count, since a note may turn into a limit."""
    known = {limit.name: limit for limit in (*old.limits, *old.notes)}
    return [
        (known[limit.name], limit) for limit in (*new.limits, *new.notes) if limit.name in known
    ]
