"""The one call: a plan for everything, or what stays home and why."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from steelyard.assessment import Assessment
from steelyard.estimate import Estimate
from steelyard.fault import Fault, FaultError, missing
from steelyard.quantity import GRAVITY
from steelyard.rig import Rig
from steelyard.stowing.arrange import Plan, now
from steelyard.stowing.conflict import conflict
from steelyard.stowing.leave import in_words, riding
from steelyard.stowing.moves import Load, less, ordered
from steelyard.stowing.moves import Sequence as Order
from steelyard.stowing.plan import (
    Found,
    Sought,
    Table,
    Wish,
    assessed,
    hopeless,
    lay,
    problem_at,
    rows_at,
    seek,
)
from steelyard.stowing.program import Effort, Watch
from steelyard.stowing.rules import hindered
from steelyard.stowing.solve import solve
from steelyard.stowing.water import Run

LEAVINGS: Final = 5
"""Times more is left behind where the statics still refuse what is left."""


HALVINGS: Final = 5
"""Loads at which rows are laid where those of all of it allow nothing."""
LIGHTLY: Final = 1.0
"""s for each look at such rows."""
LESS: Final = 0.75
"""Part of a load to go on with where its rows allow what the statics refuse."""


class StowError(FaultError):
    """A question that cannot be asked of this rig; one sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stowed:
    """The answer. `found` is None where no plan passes the statics, even with things left home.

    left: what stays home; least: whether by the rows around the plan no less may; conflict: why, in
    a sentence; likely_fits: at best estimate everything
    would fit, so it is the spread that does not; stopped: somebody ended the search; hopeless:
    limits no stowing mends; water: runs of tanks whose level was chosen, as they are in the plan.
    """

    rig: Rig
    target: float
    before: Assessment
    found: Found | None
    order: Order | None
    left: tuple[str, ...]
    least: bool
    conflict: str
    likely_fits: bool
    stopped: bool
    hopeless: tuple[str, ...]
    water: tuple[Run, ...]


def beforehand(found: Stowed) -> Load | None:
    """What staying home and the water chosen add at the first stage before any move, kg; None where
    there is neither."""
    if found.order is None or not (found.left or found.water):
        return None
    stage = found.before.stages[0]
    kg = {axle.name: axle.load.best / GRAVITY for axle in stage.axles}
    now = Load(
        ball=stage.tongue.weight.best / GRAVITY,
        front=kg["front"],
        rear=kg["rear"],
        trailer=sum(part for name, part in kg.items() if name.startswith("trailer")),
    )
    return less(found.order.before, now)


def stow(
    rig: Rig,
    estimate: Estimate | None = None,
    wish: Wish | None = None,
    watch: Watch | None = None,
) -> Stowed:
    """Where everything should ride, at all stages at once.

    Raises StowError where nothing can be asked, and NoBalanceError for a rig that would tip over.
    """
    wish, watch = wish or Wish(), watch or Watch()
    _askable(rig, wish)
    table = lay(rig, estimate, wish)
    start = now(table.rig)
    before = assessed(table, start)
    rows = rows_at(table, start)
    fewer = Fewer(sought=seek(table, start, watch))
    found, table, likely = fewer.sought.found, fewer.sought.table, False
    if found is None and not watch.stopped():
        likely = _likely_fits(table, start)
        fewer = _fewer(fewer.sought, watch)
        found, table = fewer.sought.found, fewer.sought.table
    return Stowed(
        rig=table.rig,
        target=table.target,
        before=before,
        found=found,
        order=ordered(table, found.plan) if found else None,
        left=fewer.left,
        least=fewer.least,
        conflict=fewer.why,
        likely_fits=likely,
        stopped=watch.stopped(),
        hopeless=hopeless(rows),
        water=tuple(table.cargo.runs) if found else (),
    )


def _askable(rig: Rig, wish: Wish) -> None:
    """What would leave nothing to solve, told at once and in words."""
    if not rig.items:
        raise StowError(Fault(path=("items",), due="something to stow", found="nothing"))
    for name in wish.keep:
        if name not in rig.items:
            raise StowError(missing("items", name, rig.items, argument="keep"))
    for fault in hindered(rig, wish.keep):
        raise StowError(fault)


def _likely_fits(table: Table, start: Plan) -> bool:
    """Whether everything fits at the best estimate, the spread left aside."""
    rows = rows_at(table, start)
    plain = replace(rows, allowance=np.zeros_like(rows.allowance))
    problem = problem_at(table, start, plain, np.zeros(len(rows.base)))
    return solve(problem, Effort(near=1e6, loose=1.0, seconds=2.0)) is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fewer:
    """What was sought with what stays home, whether that is the least, and why."""

    sought: Sought
    left: tuple[str, ...] = ()
    least: bool = True
    why: str = ""


def _fewer(sought: Sought, watch: Watch) -> Fewer:
    """A plan for as much as fits, what stays home, and the conflict that all of it would make."""
    start = sought.at
    families: tuple[str, ...] = ()
    for _ in range(LEAVINGS):
        table = sought.table
        problem = problem_at(table, sought.at, rows_at(table, sought.at), sought.margin)
        families = families or conflict(problem)
        rides = riding(problem, table.wish.effort.seconds / 2, watch)
        aboard: Plan | None = rides and rides[0]
        if aboard is None:
            aboard = _riding_lighter(table, sought.at, watch)
        if (rides and len(rides[0]) == len(sought.at)) or aboard == sought.at:
            aboard = _most_important(table, sought.at, LESS)  # the statics have refused it
        if aboard is None or aboard == sought.at:
            break
        sought = seek(table, aboard, watch)
        if sought.found is not None or not aboard:
            break
    if sought.found is None:
        return Fewer(sought=sought, least=False, why=in_words(families, ()) if families else "")
    sought, least = _fuller(_lightly(sought), start, watch)
    sought = sought if least else _put_back(sought, start, watch)
    left = tuple(name for name in start if name not in sought.at)
    why = in_words(families, left) if families else ""
    return Fewer(sought=sought, left=left, least=least, why=why)


def _lightly(sought: Sought) -> Sought:
    """The same, to be looked at further in little time."""
    whole = replace(sought.table.wish, effort=replace(sought.table.wish.effort, seconds=LIGHTLY))
    return replace(sought, table=replace(sought.table, wish=whole))


def _fuller(sought: Sought, start: Plan, watch: Watch) -> tuple[Sought, bool]:
    """A plan that leaves less home, by the rows laid around the one found, until it repeats; and
    whether those rows prove that no less may."""
    for _ in range(LEAVINGS):
        rows = rows_at(sought.table, sought.at)
        problem = problem_at(sought.table, sought.at, rows, sought.margin, list(start))
        rides = riding(problem, LIGHTLY, watch)
        if rides is None or watch.stopped():
            return sought, False
        if _cost(sought.table, start, rides[0]) >= _cost(sought.table, start, sought.at):
            return sought, rides[1]
        again = seek(sought.table, rides[0], watch)
        if again.found is None:
            return sought, False
        sought = again
    return sought, False


def _cost(table: Table, start: Plan, plan: Plan) -> tuple[int, float]:
    """Importance and kg (to the gram) of what stays home."""
    left = [name for name in start if name not in plan]
    kg = sum(table.cargo.weights[name] for name in left)
    return sum(table.rig.items[name].importance for name in left), round(kg, 3)


def _put_back(sought: Sought, start: Plan, watch: Watch) -> Sought:
    """The same, with what may ride after all: the most important of what was left, half of it at
    first and fewer each time that the statics refuse them."""
    some = len(start)
    while some > 1 and not watch.stopped():
        left = {name: place for name, place in start.items() if name not in sought.at}
        some = min(some, len(left) + 1) // 2
        more = _most_important(sought.table, left, 1.0)
        again = seek(sought.table, {**sought.at, **dict(list(more.items())[:some])}, watch)
        if again.found is not None:
            sought, some = again, 2 * some
    return sought


def _riding_lighter(table: Table, start: Plan, watch: Watch) -> Plan | None:
    """What rides of `start` by rows laid where less of it is aboard; None if nothing does.

    Rows hold near the load they are laid at: those of one far too heavy, with all of its spread,
    can refuse even an empty rig. Halving finds the heaviest load whose own rows allow as much.
    """
    found: Plan | None = None
    light, heavy = 0.0, 1.0
    for _ in range(HALVINGS):
        share = (light + heavy) / 2
        at = _most_important(table, {**start, **(found or {})}, share)
        rows = rows_at(table, at)
        problem = problem_at(table, at, rows, np.zeros(len(rows.base)), list(start))
        rides = riding(problem, LIGHTLY, watch)
        if rides is None or _kg(table, rides[0]) < _kg(table, at):
            heavy = share
        else:
            light, found = share, rides[0]
    return found


def _most_important(table: Table, start: Plan, share: float) -> Plan:
    """Items up to a part of all their weight: what cannot stay home, then the most important."""
    items, weights = table.rig.items, table.cargo.weights
    most, kg = share * _kg(table, start), 0.0
    kept = {}
    for name in sorted(start, key=lambda n: (not items[n].fixed, -items[n].importance, weights[n])):
        kg += weights[name]
        if items[name].fixed or name in table.wish.keep or kg <= most:
            kept[name] = start[name]
    return kept


def _kg(table: Table, plan: Plan) -> float:
    return sum(table.cargo.weights[name] for name in plan)
