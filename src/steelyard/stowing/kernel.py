"""Two goals of a plan from the relaxation: its bound, a plan near it, and its reduced costs.

With things cut in pieces the least cost is known in milliseconds, and no plan can cost less. A
descent from there mostly ends on a plan within a part `loose` of it, which is then proven as good.
Else the integer program is asked: an arrangement whose cost is within `loose` of the relaxation's
can use no cell whose reduced cost is more than that part of it, so those cells are shut.
"""

from time import perf_counter
from typing import Final

import highspy
import numpy as np

from steelyard.estimate import Array
from steelyard.stowing.descent import Descent, counts_of, units_of
from steelyard.stowing.program import INTEGER, REAL, SMALL, Goal, Program

STEPS: Final = 800
"""Steps of a descent to the second goal, and half its time at most."""
SMALL_STEPS: Final = 60
"""The same on a small plan, where the solver itself is quick."""
MOVES_STEPS: Final = 250
"""Steps to fewer moves."""
FROM_HOME: Final = 0.4
"""Chance that a thing starts from where it rides now, else from where the plan has it."""


def relaxed(program: Program, name: str, cost: Array) -> tuple[Goal, Array, Array] | None:
    """The least cost with things cut in pieces, every cell's reduced cost and count (C,)."""
    n = len(program.cells)
    index = np.arange(n, dtype=np.int32)
    program.highs.changeColsIntegrality(n, index, np.full(n, REAL))
    found = program.seek(name, cost, near=0.0, loose=0.0, seconds=5.0)
    solution = program.highs.getSolution() if found else None
    program.highs.changeColsIntegrality(n, index, np.full(n, INTEGER))
    if found is None or solution is None:
        return None
    return found, np.array(solution.col_dual)[:n], np.array(solution.col_value)[:n]


def cheap(
    program: Program,
    name: str,
    cost: Array,
    loose: float,
    seconds: float,
    flat: tuple[Goal, Array],
    start: Array | None,
) -> Goal | None:
    """A goal sought among the cells that can matter, stopped at the first that is good enough.

    `flat` is the relaxation's goal and reduced costs. None where no arrangement was found in time;
    one that was may still miss `loose`. The program is left as it was.
    """
    least, reduced = flat
    n, highs = len(program.cells), program.highs
    index, upper = np.arange(n, dtype=np.int32), program.problem.count[program.cells[:, 0]]
    dear = reduced > loose * least.value
    highs.changeColsBounds(n, index, np.zeros(n), np.where(dear, 0.0, upper))
    highs.setOptionValue("objective_target", least.value * (1.0 + loose))
    found = program.seek(name, cost, near=0.0, loose=0.0, seconds=seconds, start=start)
    highs.setOptionValue("objective_target", -highspy.kHighsInf)
    highs.changeColsBounds(n, index, np.zeros(n), upper)
    return found


def both_goals(program: Program, near: float, loose: float, seconds: float) -> tuple[Goal, ...]:
    """Goals `share` and `spread` at once, the ball within `near` kg of what is proven possible and
    the weight, where time allows, within a part `loose` of it; nothing where none was found."""
    problem = program.problem
    began = perf_counter()
    ball = relaxed(program, "share", program.cost(np.zeros(problem.allowed.shape), far=1.0))
    if ball is None:
        return ()
    middle = perf_counter()
    far = ball[0].value + near
    program.highs.changeColBounds(program.far, 0.0, far)
    spread = _spread(program, far, loose, seconds)
    program.highs.changeColBounds(program.far, 0.0, highspy.kHighsInf)
    if spread is None:
        return ()
    off = problem.aim_base + np.tensordot(problem.aim, program.found, 2)
    value = float(np.max(np.abs(off), initial=0.0))
    share = Goal(name="share", value=value, bound=ball[0].value, seconds=middle - began)
    return share, Goal(
        name="spread", value=spread.value, bound=spread.bound, seconds=perf_counter() - middle
    )


def lighter(program: Program, cost: Array, held: list[float], plan: Array, seconds: float) -> Array:
    """Counts (G, P) with fewer moves than `plan`, both goals `held`; `plan` where none is found.

    `held` is how far the ball may be from its target, kg, and the spread-out weight, kg m2.
    """
    problem = program.problem
    units = units_of(problem, held[0], cost, held[1])
    home = np.zeros(plan.shape)
    home[np.arange(len(plan)), problem.home] = problem.count
    descent = Descent(units, FROM_HOME * home + (1.0 - FROM_HOME) * plan)
    descent.run(0.0, MOVES_STEPS, seconds, program.watch.stopped)
    if descent.best is None or descent.cost >= float((cost * plan).sum()):
        return plan
    return counts_of(units, descent.best, plan.shape)


def _spread(program: Program, far: float, loose: float, seconds: float) -> Goal | None:
    """The second goal with the ball held within `far` kg of its target."""
    problem = program.problem
    cost = program.cost(problem.spread_out)
    flat = relaxed(program, "spread", cost)
    if flat is None:
        return None
    least, reduced, pieces = flat
    whole = np.zeros(problem.allowed.shape)
    whole[tuple(program.cells.T)] = pieces
    units = units_of(problem, far, problem.spread_out)
    descent = Descent(units, whole)
    small = problem.allowed.size <= SMALL
    steps, stopped = SMALL_STEPS if small else STEPS, program.watch.stopped
    good = descent.run(least.value * (1.0 + loose), steps, seconds / 2, stopped)
    program.interrupted = program.interrupted or stopped()
    start = None if descent.best is None else counts_of(units, descent.best, whole.shape)
    found: Goal | None = None
    if not good and not small and not program.interrupted:
        found = cheap(program, "spread", cost, loose, seconds, (least, reduced), start)
    if start is not None and (found is None or found.value >= descent.cost):
        program.found = start
        program.watch.tell("spread", descent.cost, least.value)
        found = Goal(name="spread", value=descent.cost, bound=least.value, seconds=0.0)
    if found is None:
        return None
    return Goal(name="spread", value=found.value, bound=least.value, seconds=0.0)
