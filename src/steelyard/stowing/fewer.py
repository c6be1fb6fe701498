"""When not everything fits: what stays home, by rows laid around what rides, until it repeats; and
which limits cannot hold together.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import highspy
import numpy as np

from steelyard.fault import joined
from steelyard.quantity import POUND
from steelyard.ratings import LIKELY
from steelyard.scene import NoBalanceError
from steelyard.stowing.arrange import Plan
from steelyard.stowing.linear import Rows
from steelyard.stowing.plan import EVEN, Sought, as_it_is, assessed, passes, refused, seek
from steelyard.stowing.problem import Bound, Problem
from steelyard.stowing.program import INF, INTEGER, REAL, Program, Watch, quiet
from steelyard.stowing.question import Table, problem_at, rows_at
from steelyard.stowing.redundant_rows import thinned

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


def riding(problem: Problem, seconds: float, watch: Watch) -> tuple[dict[str, str], bool] | None:
    """What rides, and where, when the least sum of importance and then the least weight stays home,
    and whether it is proven the least; None if that fails too."""
    program = Program(problem=thinned(problem, leaving=True), leaving=True, watch=watch)
    nothing = np.zeros(problem.allowed.shape)
    counts, proven = None, True
    for name, each in (("importance", problem.importance), ("weight left", problem.weight)):
        cost = program.cost(nothing, left=each)
        goal = program.seek(name, cost, near=0.005 * POUND, loose=0.0, seconds=seconds / 2)
        if goal is None:
            proven = False
            break
        counts, proven = program.counts(), proven and goal.gap <= 0.01 * POUND
        program.hold(cost, goal.value + 1e-7 * max(1.0, goal.value))
        if program.interrupted:
            break
    return None if counts is None else (problem.plan(counts), proven)


def in_words(families: Sequence[str], left: Sequence[str]) -> str:
    """The conflict as a sentence."""
    listed = joined([f"the {name}" for name in families])
    aboard = f" with {joined(left)} aboard" if left else ""
    if len(families) == 1:
        return f"{listed[0].upper()}{listed[1:]} cannot hold{aboard}."
    both = "both" if len(families) == 2 else "all"
    return f"{listed[0].upper()}{listed[1:]} cannot {both} hold{aboard}."


TRIES: Final = 200
"""Times to try whether some limits hold, in the search for fewer than the first conflict has."""
NODES: Final = 400
"""Nodes for one try; the clock ends it only where these take ten seconds."""
MET: Final = 1e-6
"""kg by which a row may miss in what the solver calls a solution."""


def conflict(problem: Problem) -> tuple[str, ...]:
    """Families of limits that cannot hold together: the fewest there are, or, where tries run out,
    none of them to spare. () where everything fits.

    First a deletion filter (Chinneck & Dravnieks, ORSA Journal on Computing 3 (1991) 157-168), on
    the relaxation if that conflicts, where things may be cut in pieces. Then hitting sets: whatever
    conflicts must hold a limit of each set whose absence lets the rest hold, so the fewest that do
    are tried until they conflict (Ignatiev, Previti, Liffiton & Marques-Silva, CP 2015, from
    memory).
    """
    rows = _Families(thinned(problem))  # whatever conflicts, what implies it conflicts as well
    names = rows.names
    rows.whole(things=False)
    if rows.fit(names):
        rows.whole(things=True)
        if rows.fit(names):
            return ()
    known = list(names)
    for name in names:
        fewer = [one for one in known if one != name]
        if not rows.fit(fewer):
            known = fewer
    rows.whole(things=True)
    return tuple(_fewest(rows, known))


def _fewest(rows: "_Families", known: list[str]) -> list[str]:
    """The fewest that conflict, of which `known` are some that do."""
    spared: list[list[str]] = []
    while rows.tries < TRIES:
        tried = hitting(rows.names, spared)
        if len(tried) >= len(known):
            break
        if not rows.fit(tried):
            return tried
        held = rows.met(tried)
        for name in rows.names:
            if name not in held and rows.fit([*held, name]):
                held = rows.met([*held, name])
        spared.append([name for name in rows.names if name not in held])
    return known


def hitting(names: Sequence[str], sets: Sequence[Sequence[str]]) -> list[str]:
    """As few names as have one in each set."""
    highs, n = quiet(), len(names)
    highs.addVars(n, np.zeros(n), np.ones(n))
    index = np.arange(n, dtype=np.int32)
    highs.changeColsCost(n, index, np.ones(n))
    highs.changeColsIntegrality(n, index, np.full(n, INTEGER))
    for one in sets:
        columns = np.array([names.index(name) for name in one], dtype=np.int32)
        highs.addRow(1.0, INF, len(columns), columns, np.ones(len(columns)))
    highs.run()
    chosen = np.array(highs.getSolution().col_value) > 0.5
    return [name for name, there in zip(names, chosen, strict=True) if there]


class _Families:
    """The program with its families of limits in force or not."""

    def __init__(self, problem: Problem) -> None:
        self._program = Program(problem=problem, leaving=False, watch=Watch())
        self._all = self._program.families
        self._on = [True] * len(self._all)
        self.names = list(dict.fromkeys(name for name, _, _ in self._all if name))
        self._program.highs.setOptionValue("mip_max_nodes", NODES)
        self._program.highs.setOptionValue("time_limit", 10.0)
        self.tries = 0

    def whole(self, *, things: bool) -> None:
        """Whether things stay whole, or may be cut in pieces."""
        n = len(self._program.cells)
        index = np.arange(n, dtype=np.int32)
        self._program.highs.changeColsIntegrality(n, index, np.full(n, INTEGER if things else REAL))

    def fit(self, names: Iterable[str]) -> bool:
        """Whether anything may satisfy these families, and what is no limit."""
        self.tries += 1
        highs, wanted = self._program.highs, {"", *names}
        for row, (name, low, high) in enumerate(self._all):
            on = name in wanted
            if on != self._on[row]:
                highs.changeRowBounds(row, *((low, high) if on else (-INF, INF)))
                self._on[row] = on
        highs.run()
        return bool(highs.getModelStatus() != highspy.HighsModelStatus.kInfeasible)

    def met(self, names: Iterable[str]) -> list[str]:
        """The families just tried, and all others that hold as well in the solution found."""
        broken = set(self.names) - set(names)
        values = self._program.highs.getSolution().row_value
        if self._program.highs.getInfo().primal_solution_status == 2:
            broken = {
                name
                for (name, low, high), x in zip(self._all, values, strict=True)
                if name in broken and not low - MET <= x <= high + MET
            }
        return [name for name in self.names if name not in broken]
