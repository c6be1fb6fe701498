"""Two goals of a plan from the relaxation: its bound, a plan near it, and its reduced costs.

With things cut in pieces the least cost is known in milliseconds, and no plan can cost less. A
descent from there mostly ends on a plan within a part `loose` of it, which is then proven as good.
Else the integer program is asked, for a better plan or a higher bound: an arrangement costs at
least the relaxation and the reduced cost of any cell it uses, so cells too dear are shut. Water is
left as it was last found, while a descent moves things.
"""

from dataclasses import dataclass, replace
from time import perf_counter
from typing import Final

import highspy
import numpy as np

from steelyard.estimate import Array
from steelyard.stowing.descent import Descent, counts_of, units_of
from steelyard.stowing.problem import Bound, Problem
from steelyard.stowing.program import GUARD, INTEGER, LEAST, REAL, SMALL, Goal, Program, Watch

STEPS: Final = 800
"""Steps of a descent to the second goal."""
MOVES_STEPS: Final = 400
"""Steps to fewer moves."""
DEAR: Final = 15.0
"""A descent looks at no cell that costs beyond the relaxation more than so many times what each
thing may in the mean."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Flat:
    """The least cost with things cut in pieces, proven, and every cell's reduced cost (G, P), inf
    where nothing may ride, and count (G, P)."""

    least: float
    reduced: Array
    pieces: Array


def relaxed(program: Program, name: str, cost: Array) -> Flat | None:
    """A goal with things cut in pieces; None where they fit nowhere even so."""
    n = len(program.cells)
    index = np.arange(n, dtype=np.int32)
    program.highs.changeColsIntegrality(n, index, np.full(n, REAL))
    found = program.seek(name, cost, near=0.0, loose=0.0, seconds=5.0)
    proven = program.highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    solution = program.highs.getSolution()
    program.highs.changeColsIntegrality(n, index, np.full(n, INTEGER))
    if found is None or not proven:
        return None
    return Flat(
        least=found.value,
        reduced=program.grid(np.array(solution.col_dual), empty=np.inf),
        pieces=program.grid(np.array(solution.col_value)),
    )


def stopped_at(problem: Problem) -> tuple[float, str | None]:
    """kg that the ball is from its target at least where no limit stands in the way, and the family
    of limits that keeps it farthest from there; None where none does.

    By linear programs: a row's dual is what a kilogram more of its room would bring the ball.
    """
    limits = problem.limits
    none = Bound(take=limits.take[:0], room=limits.room[:0], family=())
    water = replace(problem.water, take=problem.water.take[:0])
    free = _nearest(replace(problem, limits=none, water=water))
    bound = _nearest(problem)
    if free is None:
        return 0.0, None
    least = float(free[0])
    if bound is None or bound[0] <= least + 1e-6:
        return least, None
    worth = np.abs(bound[1][len(problem.count) : len(problem.count) + len(limits.room)])
    return least, limits.family[int(worth.argmax())] if worth.max(initial=0.0) > 1e-9 else None


def _nearest(problem: Problem) -> tuple[float, Array] | None:
    """The ball's least distance with things cut in pieces, and each row's dual."""
    program = Program(problem=problem, leaving=False, watch=Watch())
    cost = program.cost(np.zeros(problem.allowed.shape), far=1.0)
    found = relaxed(program, "share", cost)
    if found is None:
        return None
    return found.least, np.array(program.highs.getSolution().row_dual)


def cheap(
    program: Program,
    cost: Array,
    loose: float,
    seconds: float,
    flat: Flat,
    start: Array | None,
) -> Goal | None:
    """The second goal among the cells that can matter, until one is proven good enough.

    Were no arrangement below `enough`, then `start` (G, P), or where there is none one good enough
    by the relaxation, would be within `loose`; any with a cell that is shut costs more than that.
    None where nothing was found in time. The program is left as it was.
    """
    cells, highs = tuple(program.cells.T), program.highs
    n, upper = len(program.cells), program.problem.count[program.cells[:, 0]]
    good = flat.least * (1.0 + loose)
    used = np.zeros(n) if start is None else start[cells]
    enough = good if start is None else float(cost[:n] @ used) / (1.0 + loose)
    shut = (flat.reduced[cells] > enough - flat.least) & (used == 0.0)
    index = np.arange(n, dtype=np.int32)
    highs.changeColsBounds(n, index, np.zeros(n), np.where(shut, 0.0, upper))
    highs.setOptionValue("objective_target", good)
    part = loose / (1.0 + loose)  # of what is found, as the solver counts
    found = program.seek("spread", cost, near=0.0, loose=part, seconds=seconds, start=start)
    highs.setOptionValue("objective_target", -highspy.kHighsInf)
    highs.changeColsBounds(n, index, np.zeros(n), upper)
    if found is None:
        return None
    return replace(found, bound=max(min(found.bound, enough), flat.least))


def both_goals(program: Program, near: float, loose: float, seconds: float) -> tuple[Goal, ...]:
    """Goals `share` and `spread` at once, the ball within `near` kg of what is proven possible and
    the weight, where time allows, within a part `loose` of it; nothing where none was found."""
    began = perf_counter()
    nearest = program.cost(np.zeros(program.problem.allowed.shape), far=1.0)
    ball = relaxed(program, "share", nearest)
    if ball is None:
        return ()
    middle = perf_counter()
    far = ball.least + near
    program.highs.changeColBounds(program.far, 0.0, far)
    spread = near_axles(program, far, loose, seconds)
    program.highs.changeColBounds(program.far, 0.0, highspy.kHighsInf)
    if spread is None:
        return ()
    value = program.worth(nearest, program.found, program.poured)
    share = Goal(name="share", value=value, bound=ball.least, seconds=middle - began)
    return share, replace(spread, seconds=perf_counter() - middle)


def as_good(problem: Problem, counts: Array, near: float, loose: float) -> bool:
    """Whether no arrangement, things cut in pieces or water poured, brings the ball nearer its
    target than `counts` (G, P) does by more than `near` kg, nor the weight by a part `loose`."""
    program = Program(problem=problem, leaving=False, watch=Watch())
    ball, dry = program.cost(np.zeros(problem.allowed.shape), far=1.0), program.poured
    far, flat = program.worth(ball, counts, dry), relaxed(program, "share", ball)
    if flat is None or far > flat.least + near:
        return False
    program.highs.changeColBounds(program.far, 0.0, flat.least + near)
    spread = program.cost(problem.spread_out)
    flat = relaxed(program, "spread", spread)
    return flat is not None and program.worth(spread, counts, dry) <= flat.least * (1.0 + loose)


def _as_poured(program: Program) -> Problem:
    """The program's problem with its water as last found, no more to be chosen."""
    problem, poured = program.problem, program.poured
    wet = problem.limits.room - problem.water.take @ poured
    return replace(
        problem,
        limits=replace(problem.limits, room=wet),
        aim_base=problem.aim_base + problem.water.aim @ poured,
    )


def lighter(program: Program, cost: Array, held: list[float], plan: Array, seconds: float) -> Array:
    """Counts (G, P) with fewer moves than `plan`, both goals `held`; `plan` where none is found.

    `held` is how far the ball may be from its target, kg, and the spread-out weight, kg m2. The
    water stays as it is.
    """
    water, value = program.poured, program.worth(cost, plan, program.poured)
    flat = relaxed(program, "moves", cost)
    program.poured = water
    if flat is None:
        return plan
    spare = value - flat.least
    counts = _descended(program, cost, flat, spare, 0.0, held[0], MOVES_STEPS, seconds, held[1])
    if counts is None or program.worth(cost, counts, water) >= value:
        return plan
    return counts


def _descended(
    program: Program,
    cost: Array,
    flat: Flat,
    spare: float,
    target: float,
    far: float,
    steps: int,
    seconds: float,
    held: float | None = None,
) -> Array | None:
    """Counts (G, P) that a descent from `flat` finds, water as last found; None where none is.

    It ends at a cost of `target`; it looks at no cell dearer by itself than `DEAR` times each
    thing's part of `spare`.
    """
    problem = program.problem
    each = spare / max(float(problem.count.sum()), 1.0)
    cells = problem.allowed & ((flat.reduced <= DEAR * each) | (flat.pieces > 0.0))
    units = units_of(_as_poured(program), far, program.grid(cost), cells, held)
    descent = Descent(units, flat.pieces)
    descent.run(target, steps, max(GUARD * seconds, LEAST), program.watch.stopped)
    return None if descent.best is None else counts_of(units, descent.best, cells.shape)


def near_axles(
    program: Program, far: float, loose: float, seconds: float, known: Array | None = None
) -> Goal | None:
    """The second goal with the ball held within `far` kg of its target; `known` (G, P) may hold.

    Without one a small plan is not left to the solver, which tells sooner that nothing is so near.
    """
    began, problem, water = perf_counter(), program.problem, program.poured
    cost, start = program.cost(problem.spread_out), known
    flat = relaxed(program, "spread", cost)
    if flat is None:
        return None
    value = np.inf if known is None else program.worth(cost, known, water)
    good = flat.least * (1.0 + loose)
    counts = _descended(program, cost, flat, good - flat.least, good, far, STEPS, seconds)
    if counts is not None and (worth := program.worth(cost, counts, water)) < value:
        start, value, water = counts, worth, program.poured
    program.interrupted = program.interrupted or program.watch.stopped()
    program.poured, goal = water, None
    askable = known is not None or problem.allowed.size > SMALL
    if value > good and askable and not program.interrupted:
        goal = cheap(program, cost, loose, seconds, flat, start)
    if start is None or (goal is not None and goal.value < value):
        return goal
    program.found, program.poured = start, water
    program.watch.tell("spread", value, flat.least)
    bound = goal.bound if goal else flat.least
    return Goal(name="spread", value=value, bound=bound, seconds=perf_counter() - began)
