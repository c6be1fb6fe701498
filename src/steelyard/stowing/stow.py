"""The one call: a plan for everything, or what stays home and why."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from steelyard.assessment import Assessment
from steelyard.estimate import Estimate
from steelyard.rig import Rig
from steelyard.stowing.arrange import Plan, now
from steelyard.stowing.leave import conflict, in_words, to_leave
from steelyard.stowing.moves import Sequence as Order
from steelyard.stowing.moves import ordered
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
from steelyard.stowing.rules import forbidden
from steelyard.stowing.solve import solve
from steelyard.stowing.water import Run

LEAVINGS: Final = 4
"""Times more is left behind where the statics still refuse what is left."""


class StowError(ValueError):
    """A question that cannot be asked of this rig; one sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stowed:
    """The answer. `found` is None where no plan passes the statics, even with things left home.

    left: what stays home; conflict: why, in a sentence; likely_fits: at best estimate everything
    would fit, so it is the spread that does not; stopped: somebody ended the search; hopeless:
    limits no stowing mends; water: runs of tanks whose level was chosen, as they are in the plan.
    """

    rig: Rig
    target: float
    before: Assessment
    found: Found | None
    order: Order | None
    left: tuple[str, ...]
    conflict: str
    likely_fits: bool
    stopped: bool
    hopeless: tuple[str, ...]
    water: tuple[Run, ...]


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
    sought, why, likely = seek(table, start, watch), "", False
    found, table = sought.found, sought.table
    left: tuple[str, ...] = ()
    if found is None and not watch.stopped():
        likely = _likely_fits(table, start)
        sought, left, why = _fewer(start, sought, watch)
        found, table = sought.found, sought.table
    return Stowed(
        rig=table.rig,
        target=table.target,
        before=before,
        found=found,
        order=ordered(table, found.plan) if found else None,
        left=left,
        conflict=why,
        likely_fits=likely,
        stopped=watch.stopped(),
        hopeless=hopeless(rows),
        water=tuple(table.cargo.runs) if found else (),
    )


def _askable(rig: Rig, wish: Wish) -> None:
    """What would leave nothing to solve, told at once and in words."""
    if not rig.items:
        raise StowError("items: expected something to stow, found nothing")
    for name in wish.keep:
        if name not in rig.items:
            listed = ", ".join(list(rig.items)[:8])
            raise StowError(f'--keep: expected one of the items ({listed}), found "{name}"')
    for name in rig.items:
        reasons = [list(forbidden(rig, name, place, wish.keep)) for place in rig.places]
        if all(reasons):
            told = "; ".join(dict.fromkeys(why[0] for why in reasons))
            raise StowError(f"items.{name}: expected a place that may hold it, found none: {told}")


def _likely_fits(table: Table, start: Plan) -> bool:
    """Whether everything fits at the best estimate, the spread left aside."""
    rows = rows_at(table, start)
    plain = replace(rows, allowance=np.zeros_like(rows.allowance))
    problem = problem_at(table, start, plain, np.zeros(len(rows.base)))
    return solve(problem, Effort(near=1e6, loose=1.0, seconds=2.0)) is not None


def _fewer(start: Plan, sought: Sought, watch: Watch) -> tuple[Sought, tuple[str, ...], str]:
    """A plan for as much as fits, what stays home, and the conflict that all of it would make."""
    why = ""
    left: tuple[str, ...] = ()
    for _ in range(LEAVINGS):
        table = sought.table
        rows = rows_at(table, sought.at)
        problem = problem_at(table, sought.at, rows, sought.margin)
        families = conflict(problem) if not why else ()
        more = to_leave(problem, table.wish.effort.seconds / 2, watch)
        if families:
            why = in_words(families, more or ())
        if not more:
            return replace(sought, found=None), left, why
        left = (*left, *more)
        aboard = {name: place for name, place in start.items() if name not in left}
        sought = seek(table, aboard, watch)
        if sought.found is not None or not aboard:
            return sought, left, why
    return replace(sought, found=None), left, why
