"""When not everything fits: what stays home, and which limits cannot hold together."""

from collections.abc import Sequence
from typing import Final

import highspy
import numpy as np

from steelyard.quantity import POUND
from steelyard.stowing.problem import Problem
from steelyard.stowing.program import INF, INTEGER, REAL, Program, Watch

PLACE: Final = "place: "
"""How the name of a place's capacity begins."""
MANY: Final = 4
"""Places from which on their capacities are counted, not listed."""


def riding(problem: Problem, seconds: float, watch: Watch) -> dict[str, str] | None:
    """What rides, and where, when the least sum of importance and then the least weight stays home;
    None if that fails too."""
    program = Program(problem=problem, leaving=True, watch=watch)
    nothing = np.zeros(problem.allowed.shape)
    counts = None
    for name, each in (("importance", problem.importance), ("weight left", problem.weight)):
        cost = program.cost(nothing, left=each)
        goal = program.seek(name, cost, near=0.005 * POUND, loose=0.0, seconds=seconds / 2)
        if goal is None:
            break
        counts = program.counts()
        program.hold(cost, goal.value + 1e-7 * max(1.0, goal.value))
        if program.interrupted:
            break
    return None if counts is None else problem.plan(counts)


def conflict(problem: Problem, most: int = 60) -> tuple[str, ...]:
    """Families of limits that cannot hold together, none of them to spare.

    A deletion filter: leave one family out at a time, and for good where the rest still conflict
    (Chinneck & Dravnieks, ORSA Journal on Computing 3 (1991) 157-168). Tried on the relaxation
    first, where things may be cut in pieces: a conflict there is one all the more.
    """
    program = Program(problem=problem, leaving=False, watch=Watch())
    columns = len(program.cells)
    index = np.arange(columns, dtype=np.int32)
    program.highs.changeColsIntegrality(columns, index, np.full(columns, REAL))
    if _fits(program):
        program.highs.changeColsIntegrality(columns, index, np.full(columns, INTEGER))
    if _fits(program):
        return ()
    names = list(dict.fromkeys(name for name, _, _ in program.families if name))
    kept = [name for name in names[:most] if not _spare(program, name)]
    return tuple(kept)


def _spare(program: Program, name: str) -> bool:
    """Whether the others conflict without this family; if so it is dropped for good."""
    rows = [row for row, (own, _, _) in enumerate(program.families) if own == name]
    for row in rows:
        program.highs.changeRowBounds(row, -INF, INF)
    if not _fits(program):
        return True
    for row in rows:
        program.highs.changeRowBounds(row, *program.families[row][1:])
    return False


def _fits(program: Program) -> bool:
    """Whether anything satisfies the rows as they are, within a second."""
    highs = program.highs
    highs.setOptionValue("time_limit", 1.0)
    highs.run()
    return bool(highs.getModelStatus() != highspy.HighsModelStatus.kInfeasible)


def in_words(families: Sequence[str], left: Sequence[str]) -> str:
    """The conflict as a sentence."""
    places = [name for name in families if name.startswith(PLACE)]
    others = [f"the {name}" for name in families if len(places) < MANY or name not in places]
    if len(places) >= MANY:
        others.append(f"the capacities of {len(places)} places")
    listed = joined(others)
    aboard = f" with {joined(left)} aboard" if left else ""
    if len(families) == 1:
        return f"{listed[0].upper()}{listed[1:]} cannot hold{aboard}."
    both = "both" if len(families) == 2 else "all"
    return f"{listed[0].upper()}{listed[1:]} cannot {both} hold{aboard}."


def joined(words: Sequence[str]) -> str:
    """`a, b and c`."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
