"""Solving the program: the goals in order, each held while the next is sought."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from steelyard.estimate import Array
from steelyard.stowing.problem import Problem
from steelyard.stowing.program import SMALL, Effort, Goal, Program, Watch
from steelyard.stowing.redundant_rows import thinned
from steelyard.stowing.relaxation import both_goals, lighter, near_axles

LAST: Final = 0.75
"""s for the solver to make the moves few, once both goals before are met."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """Counts (G, P) of the best arrangement found, kg more of each water (W,), and how good each
    goal is."""

    counts: Array
    poured: Array
    goals: tuple[Goal, ...]
    interrupted: bool


def moves_cost(problem: Problem) -> Array:
    """(G, P) one for each member moved, and less than one in all for their weight."""
    whole = float((problem.weight * problem.count).sum()) + 1.0
    cost = np.repeat((1.0 + problem.weight / whole)[:, None], problem.allowed.shape[1], axis=1)
    cost[np.arange(len(problem.home)), problem.home] = 0.0
    return np.asarray(cost)


def solve(
    problem: Problem,
    effort: Effort | None = None,
    watch: Watch | None = None,
) -> Solved | None:
    """The goals in order, later ones never spoiling earlier ones; None where nothing fits.

    Ball nearest its target at the worst stage; weight near the axles and low; fewest moves, then
    lightest. A goal is held at what was proven, plus how exactly it was asked for.
    """
    effort, problem = effort or Effort(), thinned(problem)
    program = Program(problem=problem, leaving=False, watch=watch or Watch())
    goals: list[Goal] = []
    pair = both_goals(program, effort.near, effort.loose, effort.seconds / 2)
    best = program.counts() if pair else None
    good = pair and pair[1].gap <= effort.loose * pair[1].bound * (1.0 + 1e-9)
    goals += pair if good or program.interrupted else ()
    most: list[float] = []
    large = problem.allowed.size > SMALL
    for number, (name, cost, near, loose) in enumerate(_order(program, effort)):
        if program.interrupted and best is not None:
            break
        if number >= len(goals):
            left = max(effort.seconds - program.spent, 0.0) / (3 - number)
            if name == "moves" and best is not None:
                best = lighter(program, cost, most, best, left) if large else best
                left = min(left, LAST)
            poured = program.poured
            goal = None
            if name == "spread":
                goal = near_axles(program, most[0], loose, left, best)
            if goal is None:
                goal = program.seek(name, cost, near=near, loose=loose, seconds=left, start=best)
            if goal is None:
                break
            goal, best = program.better(goal, cost, best, poured)
            goals.append(goal)
        goal = goals[number]
        held = max(goal.value, goal.bound + near, goal.bound * (1.0 + loose))
        most.append(held)
        program.hold(cost, held + 1e-7 * max(1.0, abs(held)))
    if best is None:
        return None
    return Solved(
        counts=best, poured=program.poured, goals=tuple(goals), interrupted=program.interrupted
    )


def _order(program: Program, effort: Effort) -> tuple[tuple[str, Array, float, float], ...]:
    """Name, cost, and how exactly it is asked for, of each goal."""
    problem = program.problem
    nothing = np.zeros(problem.allowed.shape)
    tankfuls = 1.0 / problem.water.tankful  # a whole tank more or less is as bad as a move
    return (
        ("share", program.cost(nothing, far=1.0), effort.near, 0.0),
        ("spread", program.cost(problem.spread_out), 0.0, effort.loose),
        ("moves", program.cost(moves_cost(problem), water=tankfuls), effort.light, 0.0),
    )
