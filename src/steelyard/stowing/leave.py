"""When not everything fits: what stays home, and why, in words."""

from collections.abc import Sequence

import numpy as np

from steelyard.fault import joined
from steelyard.quantity import POUND
from steelyard.stowing.problem import Problem
from steelyard.stowing.program import Program, Watch
from steelyard.stowing.redundant_rows import thinned


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
