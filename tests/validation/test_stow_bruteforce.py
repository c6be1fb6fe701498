"""Plans held to trying every arrangement there is: exact, by an independent search in plain NumPy.

Source: exhaustive enumeration of all arrangements of up to 8 items in 4 places at 3 stages; and for
each plan the statics core itself, which knows nothing of the program's rows.
"""

import os

import numpy as np
import pytest
from tests.packing import Everything, instances, program_of

from steelyard.rig import Rig
from steelyard.stowing import Effort, Wish, arranged, stow
from steelyard.stowing.leave import conflict, to_leave
from steelyard.stowing.problem import Problem
from steelyard.stowing.program import APART, TOGETHER, Watch
from steelyard.stowing.solve import solve

COUNT = 300 if os.environ.get("STEELYARD_STUDY") == "1" else 40
EXACT = Effort(near=1e-7, loose=0.0, light=1e-6, seconds=60.0)
RIGS = list(instances(COUNT, 8, 4, 3))


def _squeezed(problem: Problem, by: float) -> Problem:
    """The program with so many kg less room under every limit."""
    limits = problem.limits
    room = limits.room - by
    tight = type(limits)(take=limits.take, room=room, family=limits.family)
    return Problem(**{**vars(problem), "limits": tight})


@pytest.mark.parametrize(("number", "rig"), RIGS, ids=[f"instance {n}" for n, _ in RIGS])
def test_exact_agreement(number: int, rig: Rig) -> None:
    """The three goals in order are those of the best of all arrangements, or nothing fits in both.

    Every fourth instance is squeezed until little or nothing fits.
    """
    problem = program_of(rig)
    if number % 4 == 3:
        problem = _squeezed(problem, 15.0 * (number % 5))
    every, found = Everything(problem), solve(problem, EXACT)
    best = every.best()
    assert (found is None) == (best is None)
    if found is None or best is None:
        return
    share, spread, moves = found.goals
    assert share.value == pytest.approx(best[0], abs=2e-5)
    assert spread.value == pytest.approx(best[1], rel=1e-5)
    assert int(moves.value) == best[2]
    assert np.array_equal(found.counts.sum(axis=1), problem.count)


@pytest.mark.parametrize("number", range(max(COUNT // 8, 5)))
def test_least_is_left(number: int) -> None:
    """What stays home has the least sum of importance, then the least weight, of all subsets."""
    _, rig = list(instances(number + 1, 5, 3, 2))[number]
    problem = _squeezed(program_of(rig), 60.0)
    left = to_leave(problem, 20.0, Watch())
    names = [name for names in problem.members for name in names]
    best = _least(problem, names)
    if left is None:
        assert best is None
        return
    assert best is not None
    importance = {n: problem.importance[g] for g, ns in enumerate(problem.members) for n in ns}
    weight = {n: problem.weight[g] for g, ns in enumerate(problem.members) for n in ns}
    cost = (sum(importance[n] for n in left), sum(weight[n] for n in left))
    assert cost == pytest.approx(best, abs=0.01)


def _least(problem: Problem, names: list[str]) -> tuple[float, float] | None:
    """The cheapest subset to leave, by trying each subset with each arrangement of the rest."""
    found: list[tuple[float, float]] = []
    for mask in range(2 ** len(names)):
        gone = {names[i] for i in range(len(names)) if mask >> i & 1}
        members = tuple(tuple(n for n in ns if n not in gone) for ns in problem.members)
        kept = {g for g, ns in enumerate(members) if ns}
        bolted = any(
            problem.bolted[g] and len(ns) < len(problem.members[g]) for g, ns in enumerate(members)
        )
        torn = any((a in kept) != (b in kept) for a, b in problem.together)
        if bolted or torn:
            continue
        pairs = {
            key: tuple(p for p in getattr(problem, key) if set(p) <= kept)
            for key in ("together", "apart")
        }
        rest = Problem(**{**vars(problem), "members": members, **pairs})
        if Everything(rest).holds.any():
            lost = [g for g, ns in enumerate(problem.members) for n in ns if n in gone]
            found.append((float(problem.importance[lost].sum()), float(problem.weight[lost].sum())))
    return min(found, default=None)


@pytest.mark.parametrize("number", range(6))
def test_conflicts_are_irreducible(number: int) -> None:
    """A conflict that is named has no family to spare: without any one of them something fits."""
    _, rig = list(instances(number + 1, 5, 3, 2))[number]
    problem = _squeezed(program_of(rig), 90.0)
    families = conflict(problem)
    if not families:
        assert Everything(problem).holds.any()
        return
    assert not Everything(_only(problem, set(families))).holds.any()
    relaxed = [_only(problem, set(families) - {name}) for name in families]
    assert all(solve(one, Effort(near=1e6, loose=1.0)) is not None for one in relaxed)


def _only(problem: Problem, families: set[str]) -> Problem:
    """The program with only these families of limits."""
    parts = {}
    for key in ("limits", "size"):
        bound = getattr(problem, key)
        keep = [k for k, name in enumerate(bound.family) if name in families]
        parts[key] = type(bound)(
            take=bound.take[keep],
            room=bound.room[keep],
            family=tuple(bound.family[k] for k in keep),
        )
    tied = problem.together if TOGETHER in families else ()
    parted = problem.apart if APART in families else ()
    return Problem(**{**vars(problem), **parts, "together": tied, "apart": parted})


@pytest.mark.parametrize("number", range(0, 12, 2))
def test_the_statics_pass_each_plan(number: int) -> None:
    """No plan is shown that the statics core does not find within every limit that load can touch,
    and the linear rows differ from the statics by less than a pound."""
    from steelyard.assessment import assess

    _, rig = RIGS[number]
    found = stow(rig, wish=Wish(draws=1024))
    if found.found is None:
        return
    packed = arranged(found.rig, found.found.plan)
    answer = assess(packed, estimate=found.found.assessment.estimate, draws=1024)
    bad = [limit for stage in answer.stages for limit in stage.limits if _broken(limit.verdict)]
    assert [limit.name for limit in bad if limit.title not in found.hopeless] == []
    assert found.found.off < 0.4536


def _broken(verdict: str) -> bool:
    return verdict in ("tight", "exceeded")
