"""The plan: linear rows, solve, linear rows again, until it repeats; then the statics decide."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from steelyard.assessment import Assessment, assess
from steelyard.assessment.damped import Damped, damped
from steelyard.estimate import Array
from steelyard.ratings import TIGHT, LimitStatus
from steelyard.scene import opened
from steelyard.stowing.arrange import Plan, arranged, believed
from steelyard.stowing.linear import STEADY, Rows, Side, allowed, levels, tail_of
from steelyard.stowing.problem import Problem, family, poured_on, predicted
from steelyard.stowing.program import NEAR, Effort, Goal, Watch
from steelyard.stowing.question import Table, problem_at, rows_at, watered
from steelyard.stowing.redundant_rows import thinned
from steelyard.stowing.relaxation import as_good, stopped_at
from steelyard.stowing.solve import Solved, solve

ROUNDS: Final = 4
"""Times the rows are laid anew around a plan."""
REPAIRS: Final = 8
"""Times a plan that the statics refuse is solved again, its violation in the margin; one that
returns doubles it."""
LAST: Final = 2.0
"""s for each repair once somebody has stopped the search: the best plan is made to pass."""
UNTOLD: Final = 1
EVEN: Final = 2
"""Levels at which a plan may hold where it is the spread that forbids it: no graver than tight, and
at even chances."""
SAME: Final = 1e-3
"""kg by which a row that is a plain sum is told alike around two plans."""
WORSE: Final = 0.005
"""Chance by which a limit may seem likelier broken, for the spread of what has moved, and be no
worse."""
POURED: Final = 0.5
"""kg of water that is not worth another round."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A plan that the statics pass: item to place, its goals, its assessment, and how it was found.

    off: kg by which the linear rows and the statics differ at most, over all limits and stages;
    calm: how surely swings die away by it, by stage; unbound: kg that the ball could come near its
    target at least if no limit stood in the way, and `stop` the limit that does, if one does.
    """

    plan: dict[str, str]
    goals: tuple[Goal, ...]
    assessment: Assessment
    calm: tuple[Damped, ...]
    rounds: int
    off: float
    interrupted: bool
    unbound: float
    stop: Side | None

    @property
    def proven(self) -> bool:
        """Whether no plan brings the ball nearer, but for how near is near enough: of what the
        statics decide, since sums of weights alone say so and no row laid around a plan."""
        return bool(self.goals) and self.goals[0].value <= self.unbound + NEAR


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """The statics' own answer for a plan, how surely swings die away by it, and kg by which it
    lacks the damping asked for at each stage (S,), where it must have it."""

    assessment: Assessment
    calm: tuple[Damped, ...]
    lack: Array


def assessed(table: Table, plan: Plan) -> Judged:
    """The statics and the sway model on a plan, over all draws."""
    rig = arranged(table.rig, plan)
    belief = believed(table.estimate, table.rig, rig)
    scene = opened(rig, belief, draws=table.wish.draws, seed=table.wish.seed)
    found = assess(scene, tight=table.wish.confidence)
    calm = damped(scene, () if rig.felt else table.calm)
    return Judged(assessment=found, calm=calm, lack=_lack(table, calm))


def _lack(table: Table, calm: Sequence[Damped]) -> Array:
    """What damping lacks at each stage (S,) by all draws, kg by `STEADY`; nothing unasked."""
    if table.wish.sway or not calm or not table.calm:
        return np.zeros(len(table.plans))
    each = zip(calm, allowed(table.calm), strict=True)
    return np.array(
        [tail_of((one.asked - one.drawn) * STEADY, most, one.heard) for one, most in each]
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sought:
    """Where a search ended: a plan, or the last one tried `at` with the `margin` that it lacks;
    `table` has the water it chose."""

    table: Table
    found: Found | None
    at: dict[str, str]
    margin: Array


def seek(table: Table, start: Plan, watch: Watch) -> Sought:
    """A plan for everything in `start` that the statics pass, if one is found."""
    at = dict(start)
    rows = rows_at(table, at)
    if not at:
        return _bare(table, rows)
    margin, used, off = np.zeros(len(rows.base)), 0, 0.0
    tried: list[dict[str, str]] = []
    for _ in range(REPAIRS):
        hurried, effort = watch, table.wish.effort
        if watch.stopped():
            hurried, effort = Watch(tell=watch.tell), replace(effort, seconds=LAST)
        table, solved, at, rows, told, rounds = _settled(table, at, rows, margin, effort, hurried)
        used, off = used + rounds, max(off, told)
        if solved is None:
            break
        found = assessed(table, at)
        extra = refused(table, found, rows)
        if extra is None:
            plan = Found(
                plan=at,
                goals=solved.goals,
                assessment=found.assessment,
                calm=found.calm,
                rounds=used,
                off=off,
                interrupted=watch.stopped(),
                **_stop(table, at, rows, margin, solved.goals),
            )
            return Sought(table=table, found=plan, at=at, margin=margin)
        again = at in tried
        tried.append(at)
        margin = margin + np.where(extra > 0, np.maximum(extra, margin if again else 0.0), 0.0)
    return Sought(table=table, found=None, at=at, margin=margin)


def _stop(
    table: Table, at: Plan, rows: Rows, margin: Array, goals: Sequence[Goal]
) -> dict[str, Any]:
    """How near the ball could come with no limit in the way, and the limit that is most so."""
    free, binding = stopped_at(problem_at(table, at, rows, margin))
    found = next((side for side in rows.sides if family(side) == binding), None)
    far = bool(goals) and goals[0].value > free + NEAR
    return {"unbound": free, "stop": found if far else None}


def _bare(table: Table, rows: Rows) -> Sought:
    """Nothing to arrange: the statics alone say whether the rig passes with nothing aboard."""
    passed = refused(table, assessed(table, {}), rows) is None
    nothing = Sought(table=table, found=None, at={}, margin=np.zeros(len(rows.base)))
    return as_it_is(table, {}) if passed else nothing


def as_it_is(table: Table, plan: Plan) -> Sought:
    """A plan that is known to pass, without any goal sought."""
    found = as_judged(plan, assessed(table, plan))
    return Sought(table=table, found=found, at=dict(plan), margin=np.zeros(0))


def as_judged(plan: Plan, found: Judged) -> Found:
    """A plan with what the statics and the sway model say of it, without any goal."""
    return Found(
        plan=dict(plan),
        goals=(),
        assessment=found.assessment,
        calm=found.calm,
        rounds=0,
        off=0.0,
        interrupted=False,
        unbound=0.0,
        stop=None,
    )


def _settled(
    table: Table,
    at: dict[str, str],
    rows: Rows,
    margin: Array,
    effort: Effort,
    watch: Watch,
) -> tuple[Table, Solved | None, dict[str, str], Rows, float, int]:
    """Solve and lay the rows anew around what was found, until it repeats.

    Returns the table with the water chosen, what was solved last (None where nothing fits), its
    plan and rows, by how many kg rows and statics differed at most, and the rounds it took.
    """
    off, solved = 0.0, None
    wary = np.full(len(rows.base), -np.inf)
    for number in range(1, ROUNDS + 1):
        problem = problem_at(table, at, rows, margin)
        if solved is not None and (watch.stopped() or _stands(problem, at, off, effort)):
            return table, solved, at, rows, off, number - 1
        if solved is not None:
            wider = replace(rows, allowance=np.maximum(rows.allowance, wary))
            problem = problem_at(table, at, wider, margin)
        solved = solve(problem, _part(effort, number), watch)
        plan = at if solved is None else problem.plan(solved.counts)
        if solved is None or (plan == at and np.all(np.abs(solved.poured) < POURED)):
            return table, solved, at, rows, off, number
        told = predicted(table.cargo, rows, at, plan)
        if solved.poured.size:
            told = told + poured_on(table.cargo, rows.slope) @ solved.poured
            table = watered(table, solved.poured)
        before, at, rows = rows, plan, rows_at(table, plan)
        missed = np.abs(told - rows.base)
        off = float(np.max(missed[~rows.sways], initial=off))
        wary = np.maximum(wary, _wary(before, rows, missed, margin))
    return table, solved, at, rows, off, ROUNDS


def _wary(before: Rows, rows: Rows, missed: Array, margin: Array) -> Array:
    """Allowances (K,) not to fall below in later rounds, -inf for none: the wider of two plans'
    where a row's sum is the same by both and its spread alone differs, as that of a place with more
    in it; and that of a row which refuses the very plan it is laid at."""
    refuses = rows.movable & (rows.base + rows.allowance + margin > 0)
    widest = np.maximum(before.allowance, rows.allowance)
    kept = np.where(missed < SAME, widest, -np.inf)
    return np.asarray(np.where(refuses, np.maximum(rows.allowance, kept), kept))


def _stands(problem: Problem, at: Plan, off: float, effort: Effort) -> bool:
    """Whether a plan holds by the rows laid at itself, which hardly differ from the last or by
    which, too, it is as good as any."""
    counts = problem.counts(at)
    used = np.tensordot(problem.limits.take, counts, 2)
    if np.any(used > problem.limits.room + 1e-6):
        return False
    return off <= NEAR / 4 or as_good(thinned(problem), counts, effort.near, effort.loose)


def _part(effort: Effort, number: int) -> Effort:
    """The time of one round: half of all for the first, then half of what is left."""
    return replace(effort, seconds=max(effort.seconds * 0.5**number, 0.5))


def refused(table: Table, found: Judged, rows: Rows) -> Array | None:
    """What to add to each row's margin, kg, where the statics do not pass a plan, or swings die
    away less surely by it than they may; else None.

    Limits that are broken whatever one does with the load are told apart, not planned around.
    """
    most, kept = levels(table.wish.confidence)[table.level], spared_chances(table)
    judged = {
        (limit.name, number): limit
        for number, stage in enumerate(found.assessment.stages)
        for limit in stage.limits
        if limit.verdict != "unknown"
    }
    bad = {at for at, one in judged.items() if likely(one, table.level) >= kept.get(at, most)}
    rose = {
        at
        for at, old in table.firm.items()
        if at in judged and risen(old.chance, judged[at].chance, table.wish.confidence)
    }
    excess = rows.base + rows.allowance
    near = excess > -0.05 * np.abs(rows.allowance)
    names = [side.edge[:2] for side in rows.sides]
    hit = near & np.array([at in bad for at in names]) | np.array([at in rose for at in names])
    lack = np.array([found.lack[s.stage] if s.sways else 0.0 for s in rows.sides])
    hit = (hit | (lack > 0)) & rows.movable
    if not hit.any():
        return None
    return np.where(hit, np.maximum(np.maximum(excess, lack), 0.0) + 0.5, 0.0)


def likely(limit: LimitStatus, level: int) -> float:
    """Chance that decides of a limit at a level: at even chances that of one side alone, since a
    spread as wide as a band leaves it by both, whatever rides where."""
    return limit.one_side if level == EVEN else limit.chance


def risen(now: float, then: float, confidence: float = TIGHT) -> bool:
    """Whether a limit is likelier not to hold than now, beyond the confidence asked for."""
    return then > max(now + WORSE, confidence)


def spared_chances(table: Table) -> dict[tuple[str, int], float]:
    """Chances at which limits that no load mends, by name and stage, have become worse."""
    least = levels(table.wish.confidence)[table.level]
    return {edge[:2]: max(one.chance + WORSE, least) for edge, one in table.spared.items()}


def holds(problem: Problem, counts: Array) -> bool:
    """Whether an arrangement (G, P) keeps sizes, the moves asked for and rules between things."""
    size = problem.size
    if np.any(np.tensordot(size.take, counts, 2) > size.room + 1e-6):
        return False
    if any(np.any(counts[a] * counts[b] > 0) for a, b in problem.apart):
        return False
    there = counts.sum(axis=1) > 0
    tied = [(a, b) for a, b in problem.together if there[a] and there[b]]
    if any(np.any(counts[a] != counts[b]) for a, b in tied):
        return False
    faced = [(a, b) for a, b in problem.opposite if there[a] and there[b]]
    return all(problem.mirror[int(counts[a].argmax())] == counts[b].argmax() for a, b in faced)


def passes(table: Table, plan: Plan) -> bool:
    """Whether the statics pass a plan that keeps every rule between things and every size."""
    rows = rows_at(table, plan)
    if plan:
        problem = problem_at(table, plan, rows, np.zeros(len(rows.base)))
        if not holds(problem, problem.counts(plan)):
            return False
    return refused(table, assessed(table, plan), rows) is None


def hopeless(rows: Rows) -> tuple[str, ...]:
    """Limits that are broken whatever is done with the load, in words."""
    broken = ~rows.movable & (rows.base + rows.allowance > 0)
    return tuple(dict.fromkeys(family(rows.sides[k]) for k in np.flatnonzero(broken)))
