"""Stowing: the everyday case to the proof, large plans against the plain model, growth."""

from collections.abc import Iterator
from statistics import median
from time import perf_counter, process_time

import cargo
import highspy
import numpy as np
from table import Row

from steelyard.rig import Rig
from steelyard.stowing.arrange import now
from steelyard.stowing.problem import Problem
from steelyard.stowing.program import Effort, Goal, Program, Watch
from steelyard.stowing.question import Wish, lay, problem_at, rows_at
from steelyard.stowing.redundant_rows import thinned
from steelyard.stowing.solve import Solved, solve
from steelyard.stowing.stow import stow

EVERYDAY = 9
LARGE = 5
PATIENCE = 15.0
"""s for the plain model."""


def rows() -> Iterator[Row]:
    """12 x 8 x 3 proven; free water and far too much; 60 x 14 x 6 against the plain model; 10 to
    200 items."""
    yield from _everyday()
    yield from _whole()
    yield from _large()
    yield from _growth()


def program_of(rig: Rig) -> Problem:
    """The integer program around how a rig is packed now."""
    table = lay(rig, None, Wish())
    found = rows_at(table, now(table.rig), 512)
    return problem_at(table, now(table.rig), found, np.zeros(len(found.base)))


def _everyday() -> Iterator[Row]:
    walls, works, whole = [], [], []
    for number in range(EVERYDAY):
        rig = cargo.packed(12, 8, 3, number)
        problem = program_of(rig)
        wall, work = perf_counter(), process_time()
        found = solve(problem)
        walls.append(perf_counter() - wall)
        works.append(process_time() - work)
        assert found is None or len(found.goals) == 3
        start = perf_counter()
        stow(rig)
        whole.append(perf_counter() - start)
    yield Row(
        name="stow, 12 x 8 x 3: three goals proven, one round",
        measured=f"{median(walls):.2f} s, {median(works):.2f} s of processor",
        ratio="",
        baseline=f"{EVERYDAY} instances, median",
        target="0.5 s",
        met=median(walls) < 0.5,
    )
    yield Row(
        name="stow, 12 x 8 x 3: all rounds and the statics' check",
        measured=f"{median(whole):.2f} s",
        ratio="",
        baseline="the same instances",
    )


def _whole() -> Iterator[Row]:
    """The whole answer where water is free, and where far too much is aboard."""
    cases = {
        "12 x 8 x 3 with free water": (cargo.packed(12, 8, 3, 1), Wish(water={"fresh": 0.1})),
        "20 x 10 x 3, twice what the places hold": (cargo.packed(20, 10, 3, 1, 2.0), Wish()),
    }
    for name, (rig, wish) in cases.items():
        start = perf_counter()
        found = stow(rig, wish=wish)
        took = perf_counter() - start
        yield Row(
            name=f"stow, {name}",
            measured=f"{took:.2f} s, {len(found.left)} left",
            ratio="",
            baseline="one instance",
            target="3 s",
            met=took < 3.0,
        )


def _large() -> Iterator[Row]:
    for number in range(LARGE):
        problem = program_of(cargo.packed(60, 14, 6, number))
        ours, our_time = _first_two(problem, 0.01)
        near, near_time = _first_two(problem, 0.03)
        held = max(ours[0].value, ours[0].bound + Effort().near) if ours else 0.0
        plain_time, plain_gap = _plain(problem, held, 0.01)
        ratio = plain_time / our_time if our_time else float("nan")
        gap = 100 * near[1].relative if near else float("nan")
        yield Row(
            name=f"stow, 60 x 14 x 6, instance {number}: 1 % proven",
            measured=f"{our_time:.2f} s; 3 % in {near_time:.2f} s (gap {gap:.1f} %)",
            ratio=f"{'at least ' if plain_gap > 0.01 else ''}{ratio:.1f} x sooner",
            baseline=f"plain model, {plain_time:.1f} s, gap {100 * plain_gap:.1f} %",
            target="5 x, 3 % in 5 s",
            met=ratio >= 5 and near_time < 5 and gap <= 3,
        )


def _first_two(problem: Problem, loose: float) -> tuple[tuple[Goal, ...], float]:
    """Share and spread by our formulation, and the time to both, thinning the rows included."""
    start = perf_counter()
    thinned(problem)
    thinning = perf_counter() - start
    found: Solved | None = solve(problem, Effort(loose=loose, light=1e9, seconds=30.0))
    goals = found.goals[:2] if found else ()
    spent = perf_counter() - start
    return goals, thinning + sum(goal.seconds for goal in goals) if goals else spent


def _plain(problem: Problem, far: float, loose: float) -> tuple[float, float]:
    """Time and gap of the plain assignment model at the second goal, the first held alike.

    One binary a cell, no start, no order, solver's own settings: given the first goal for nothing.
    """
    program = Program(problem=problem, leaving=False, watch=Watch(), highs=_noiseless())
    program.highs.changeColBounds(program.far, 0.0, far)
    cost = program.cost(problem.spread_out)
    start = perf_counter()
    goal = program.seek("spread", cost, near=0.0, loose=loose, seconds=PATIENCE)
    took = perf_counter() - start
    return took, goal.relative if goal else 1.0


def _noiseless() -> highspy.Highs:
    highs = highspy.highs._Highs()
    highs.setOptionValue("output_flag", False)  # noqa: FBT003
    return highs


def _growth() -> Iterator[Row]:
    for items in (10, 20, 50, 100, 200):
        problem = program_of(cargo.packed(items, 10, 4, 7))
        goals, took = _first_two(problem, 0.03)
        gap = f"gap {100 * goals[1].relative:.1f} %" if len(goals) > 1 else "none found"
        yield Row(
            name=f"stow, {items} x 10 x 4: share and spread to 3 %",
            measured=f"{took:.2f} s, {gap}",
            ratio="",
            baseline="",
        )
