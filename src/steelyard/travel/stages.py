"""Resolving the stages of a rig: a rig without stages has one, as described."""

from collections.abc import Iterable
from dataclasses import dataclass

from steelyard.fault import FaultError, missing
from steelyard.quantity.columns import F, Floats
from steelyard.rig import Person, Rig


@dataclass(frozen=True, slots=True, kw_only=True)
class StagePlan:
    """One moment of the trip: who and what is aboard, and the road's slope (rad, uphill)."""

    key: str
    title: str
    people: frozenset[str]
    items: frozenset[str]
    grade: float


def plan_stages(rig: Rig[Floats]) -> tuple[StagePlan, ...]:
    """Every stage of the rig in file order."""
    if not rig.stages:
        return (
            StagePlan(
                key="as-described",
                title="as described",
                people=frozenset(rig.people),
                items=frozenset(rig.items),
                grade=0.0,
            ),
        )
    there = frozenset(rig.items) - {name for one in rig.stages.values() for name in one.bought}
    plans = []
    for key, stage in rig.stages.items():
        there = (there | frozenset(stage.bought)) - frozenset(stage.used_up)
        plans.append(_plan(rig, key, there))
    return tuple(plans)


def chosen_stages(
    rig: Rig[Floats], wanted: Iterable[str] | None, argument: str = "stage"
) -> tuple[StagePlan, ...]:
    """The stages asked for by key, all by default.

    Raises FaultError, of what was asked for as `argument`, for one that isn't there.
    """
    plans = plan_stages(rig)
    if wanted is None:
        return plans
    known = {plan.key: plan for plan in plans}
    asked = tuple(wanted)
    for key in asked:
        if key not in known:
            raise FaultError(missing("stages", key, known, argument=argument))
    return tuple(known[key] for key in asked)


def _plan(rig: Rig[Floats], key: str, there: frozenset[str]) -> StagePlan:
    """One stage, with what is `there` unless it lists its own items."""
    stage = rig.stages[key]
    people = rig.people if stage.people is None else stage.people
    items = there if stage.items is None else stage.items
    return StagePlan(
        key=key,
        title=stage.title or key.replace("-", " "),
        people=frozenset(people),
        items=frozenset(items) - frozenset(stage.without),
        grade=float(stage.grade.value) if stage.grade else 0.0,
    )


def crewed(rig: Rig[F]) -> Rig[F]:
    """The rig with a driver in it: where a file lists nobody, one of unsaid weight is assumed."""
    if rig.people:
        return rig
    return rig.model_copy(update={"people": {"driver": Person(seat="driver")}})
