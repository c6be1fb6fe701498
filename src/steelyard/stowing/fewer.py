"""When not everything fits: what stays home, by rows laid around what rides, until it repeats."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from steelyard.fault import joined
from steelyard.ratings import LIKELY
from steelyard.scene import NoBalanceError
from steelyard.stowing.arrange import Plan
from steelyard.stowing.conflict import conflict
from steelyard.stowing.leave import in_words, riding
from steelyard.stowing.linear import Rows
from steelyard.stowing.plan import EVEN, Sought, as_it_is, assessed, passes, refused, seek
from steelyard.stowing.problem import Bound, Problem
from steelyard.stowing.program import Watch
from steelyard.stowing.question import Table, problem_at, rows_at

ROUNDS: Final = 10
"""Times the rows are laid anew around what rides."""
SAMPLES: Final = 1024
"""Draws behind rows that are laid only to see what may ride."""
LIGHTLY: Final = 0.5
"""s for each look at what may ride."""
AFTER: Final = 5.0
"""s for the goals of what rides, once what stays home is found."""
MORE: Final = 8
"""Things of those left, the most important, that are tried once more."""
LESS: Final = 0.5
"""Part of a load at which rows are laid where those of all of it allow nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fewer:
    """What was sought with what stays home, whether that is the least by the rows around it, what
    of it the spread alone keeps there, and why something must stay."""

    sought: Sought
    left: tuple[str, ...] = ()
    least: bool = True
    unsure: tuple[str, ...] = ()
    why: str = ""


def leaving(table: Table, start: Plan, watch: Watch) -> Fewer:
    """A plan for as much as fits, what stays home, and the conflict that all of it would make.

    The least importance stays home, then the least weight. Rows hold near the load they are laid
    at: those of far too much can refuse even an empty rig, and are then laid at half of it.
    """
    at, least, refusals = dict(start), False, 0
    best: dict[str, str] | None = None
    margin = np.zeros(0)
    known: Problem | None = None
    for _ in range(ROUNDS):
        rows = rows_at(table, at, SAMPLES)
        margin = margin if margin.size else np.zeros(len(rows.base))
        problem = problem_at(table, at, rows, margin, list(start))
        rides = riding(_both(problem, known), LIGHTLY, watch) if refusals > 1 else None
        rides = rides or riding(problem, LIGHTLY, watch)
        if rides is None and best is None:
            at, margin = _most_important(table, at, LESS), np.zeros(len(rows.base))
            continue
        if rides is None or (best and _cost(table, start, rides[0]) >= _cost(table, start, best)):
            least = rides is not None and rides[1] and at == best
            break
        known = _both(problem, known)
        extra = refused(table, assessed(table, rides[0]), rows_at(table, rides[0]))
        if extra is None:
            best, margin, refusals = rides[0], np.zeros(len(rows.base)), 0
        else:
            refusals += 1
            if rides[0] == at:  # its own rows allow it, a few draws short of the judge's
                margin = margin + extra
        at = rides[0]
        if watch.stopped():
            break
    if best is None and passes(table, bolted := _most_important(table, start, 0.0)):
        best = bolted
    if best is not None and not least:
        best = _one_more(table, start, best, watch)
    return _found(table, start, best, watch, least=least)


def _even_bare(table: Table, start: Plan) -> str:
    """What is likelier over than not with all at home that may be; nothing where that holds."""
    try:
        found = assessed(table, _most_important(table, start, 0.0)).assessment
    except NoBalanceError:  # needs its load to stand at all
        return ""
    limits = (one for stage in found.stages for one in stage.limits)
    over = list(dict.fromkeys(f"the {one.title}" for one in limits if one.chance >= LIKELY))
    ends = "are likelier beyond their limits" if len(over) > 1 else "is likelier beyond its limit"
    return f"With all of it at home {joined(over)} {ends} than not." if over else ""


def _one_more(table: Table, start: Plan, best: dict[str, str], watch: Watch) -> dict[str, str]:
    """The same with what may ride after all, one thing after another, the most important first."""
    items, weights = table.rig.items, table.cargo.weights
    todo = [name for name in start if name not in best]
    todo.sort(key=lambda n: (-items[n].importance, weights[n]))
    rows = rows_at(table, best, SAMPLES)
    for name in todo[:MORE]:
        place = _roomiest(table, rows, best, name)
        if place is None or watch.stopped():
            continue
        more = {**best, name: place}
        if passes(table, more):
            best, rows = more, rows_at(table, more, SAMPLES)
    return best


def _roomiest(table: Table, rows: Rows, best: Plan, name: str) -> str | None:
    """The place in which one thing more leaves most room by the rows; None where none has any."""
    problem = problem_at(table, best, rows, np.zeros(len(rows.base)), [*best, name])
    counts = np.tensordot(problem.limits.take, problem.counts(best), 2)
    kind = next(g for g, names in enumerate(problem.members) if name in names)
    over = problem.limits.take[:, kind] + (counts - problem.limits.room)[:, None]
    room = np.where(problem.allowed[kind], np.max(over, axis=0, initial=-np.inf), np.inf)
    return problem.places[int(room.argmin())] if room.min() <= 0.0 else None


def _both(problem: Problem, known: Problem | None) -> Problem:
    """The same program with the rows that were laid elsewhere too: each limit that bends upwards
    is above all of its tangents."""
    if known is None or known.members != problem.members:
        return problem
    limits = Bound(
        take=np.concatenate([problem.limits.take, known.limits.take]),
        room=np.concatenate([problem.limits.room, known.limits.room]),
        family=problem.limits.family + known.limits.family,
    )
    return replace(problem, limits=limits)


def _found(
    table: Table,
    start: Plan,
    best: dict[str, str] | None,
    watch: Watch,
    *,
    least: bool,
) -> Fewer:
    """The best plan for what rides, and why the rest does not."""
    at = best or start
    rows = rows_at(table, at, SAMPLES)
    families = conflict(problem_at(table, at, rows, np.zeros(len(rows.base)), list(start)))
    if best is None:
        sought = Sought(table=table, found=None, at=dict(start), margin=np.zeros(0))
        why = _even_bare(table, start) or (in_words(families, ()) if families else "")
        return Fewer(sought=sought, least=False, why=why)
    wish = replace(table.wish, effort=replace(table.wish.effort, seconds=AFTER))
    sought = seek(replace(table, wish=wish), best, watch)
    if sought.found is None:
        sought = as_it_is(table, best)
    left = tuple(name for name in start if name not in best)
    return Fewer(
        sought=sought,
        left=left,
        least=least,
        unsure=_unsure(table, rows, start, best, watch),
        why=in_words(families, left) if families else "",
    )


def _unsure(table: Table, rows: Rows, start: Plan, best: Plan, watch: Watch) -> tuple[str, ...]:
    """What would not stay home at the best estimate."""
    rows = rows.eased(EVEN)
    problem = problem_at(table, best, rows, np.zeros(len(rows.base)), list(start))
    rides = riding(problem, LIGHTLY, watch)
    if rides is None or _cost(table, start, rides[0]) >= _cost(table, start, best):
        return ()
    return tuple(name for name in start if name in rides[0] and name not in best)


def _cost(table: Table, start: Plan, plan: Plan) -> tuple[int, float]:
    """Importance and kg (to the gram) of what stays home."""
    left = [name for name in start if name not in plan]
    kg = sum(table.cargo.weights[name] for name in left)
    return sum(table.rig.items[name].importance for name in left), round(kg, 3)


def _most_important(table: Table, start: Plan, share: float) -> dict[str, str]:
    """Items up to a part of all their weight: what cannot stay home, then the most important."""
    items, weights = table.rig.items, table.cargo.weights
    most, kg = share * sum(weights[name] for name in start), 0.0
    kept = {}
    for name in sorted(start, key=lambda n: (not items[n].fixed, -items[n].importance, weights[n])):
        kg += weights[name]
        if items[name].fixed or name in table.wish.keep or kg <= most:
            kept[name] = start[name]
    return kept
