"""One goal of a large plan, from the relaxation's reduced costs.

An arrangement whose cost is within a part `loose` of the relaxation's can use no cell whose reduced
cost is more than that part of it. With those cells shut the program is small, and what it finds is
proven by the relaxation's own bound; where it finds nothing the whole program is solved instead.
"""

from time import perf_counter

import highspy
import numpy as np

from steelyard.estimate import Array
from steelyard.stowing.program import INTEGER, REAL, Goal, Program


def relaxed(program: Program, name: str, cost: Array) -> tuple[Goal, Array] | None:
    """The least cost with things cut in pieces, and the reduced cost of every cell (C,)."""
    n = len(program.cells)
    index = np.arange(n, dtype=np.int32)
    program.highs.changeColsIntegrality(n, index, np.full(n, REAL))
    found = program.seek(name, cost, near=0.0, loose=0.0, seconds=5.0)
    reduced = np.array(program.highs.getSolution().col_dual)[:n] if found else None
    program.highs.changeColsIntegrality(n, index, np.full(n, INTEGER))
    return None if found is None or reduced is None else (found, reduced)


def cheap(program: Program, name: str, cost: Array, loose: float, seconds: float) -> Goal | None:
    """A goal sought among the cells that can matter, stopped at the first that is good enough.

    None where no arrangement was found in time; one that was may still miss `loose`. The program is
    left as it was.
    """
    began = perf_counter()
    flat = relaxed(program, name, cost)
    if flat is None:
        return None
    least, reduced = flat
    n, highs = len(program.cells), program.highs
    index, upper = np.arange(n, dtype=np.int32), program.problem.count[program.cells[:, 0]]
    dear = reduced > loose * least.value
    highs.changeColsBounds(n, index, np.zeros(n), np.where(dear, 0.0, upper))
    highs.setOptionValue("objective_target", least.value * (1.0 + loose))
    found = program.seek(name, cost, near=0.0, loose=0.0, seconds=seconds)
    highs.setOptionValue("objective_target", -highspy.kHighsInf)
    highs.changeColsBounds(n, index, np.zeros(n), upper)
    if found is None:
        return None
    return Goal(name=name, value=found.value, bound=least.value, seconds=perf_counter() - began)


def both_goals(program: Program, near: float, loose: float, seconds: float) -> tuple[Goal, ...]:
    """Goals `share` and `spread` at once, the ball within `near` kg of what is proven possible and
    the weight, where time allows, within a part `loose` of it; nothing where none was found."""
    problem = program.problem
    flat = relaxed(program, "share", program.cost(np.zeros(problem.allowed.shape), far=1.0))
    if flat is None:
        return ()
    ball = flat[0]
    program.highs.changeColBounds(program.far, 0.0, ball.value + near)
    spread = cheap(program, "spread", program.cost(problem.spread_out), loose, seconds)
    program.highs.changeColBounds(program.far, 0.0, highspy.kHighsInf)
    if spread is None:
        return ()
    off = problem.aim_base + np.tensordot(problem.aim, program.found, 2)
    value = float(np.max(np.abs(off), initial=0.0))
    return Goal(name="share", value=value, bound=ball.value, seconds=ball.seconds), spread
