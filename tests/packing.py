"""Small and large programs to solve, and the plain search that tries every arrangement."""

from collections.abc import Iterator
from itertools import product

import numpy as np
from benchmarks.cargo import packed

from steelyard.estimate import Array
from steelyard.rig import Rig
from steelyard.stowing.arrange import now
from steelyard.stowing.problem import Flags, Problem
from steelyard.stowing.question import Table, Wish, lay, problem_at, rows_at


def table_of(rig: Rig, **wish: object) -> Table:
    """What a question about this rig rests on."""
    return lay(rig, None, Wish(**wish))  # type: ignore[arg-type]


def program_of(rig: Rig, draws: int = 64) -> Problem:
    """The integer program around how a rig is packed now."""
    table = table_of(rig)
    rows = rows_at(table, now(table.rig), draws)
    return problem_at(table, now(table.rig), rows, np.zeros(len(rows.base)))


def instances(count: int, items: int, places: int, stages: int) -> Iterator[tuple[int, Rig]]:
    """Rigs by number, with up to so many items, places and stages, and rules on every third."""
    for number in range(count):
        dice = np.random.default_rng(number)
        sizes = (int(dice.integers(3, items + 1)), int(dice.integers(2, places + 1)))
        rig = packed(*sizes, int(dice.integers(1, stages + 1)), number, fill=0.45)
        yield number, ruled(rig, dice) if number % 3 == 0 else rig


def ruled(rig: Rig, dice: np.random.Generator) -> Rig:
    """The rig with one item fixed, two bound together and two kept apart."""
    names = list(rig.items)
    picked = [names[i] for i in dice.permutation(len(names))]
    items = dict(rig.items)
    items[picked[0]] = items[picked[0]].model_copy(update={"fixed": True})
    items[picked[1]] = items[picked[1]].model_copy(update={"together": (picked[2],)})
    if len(picked) > 4:
        items[picked[3]] = items[picked[3]].model_copy(update={"apart": (picked[4],)})
    return rig.model_copy(update={"items": items})


class Everything:
    """Every arrangement (A, I) of a small program, whether it holds, and its three costs."""

    def __init__(self, problem: Problem) -> None:
        kinds = [g for g, names in enumerate(problem.members) for _ in names]
        choices = [np.flatnonzero(problem.allowed[g]) for g in kinds]
        self.kinds = np.array(kinds, dtype=int)
        every = list(product(*choices))
        self.at = np.array(every, dtype=int).reshape(len(every), len(kinds))
        self.problem = problem
        self.holds = self._holds()
        off = self._sum(problem.aim) + problem.aim_base[:, None]
        self.far = np.max(np.abs(off), axis=0)
        self.spread = self._sum(problem.spread_out[None])[0]
        self.moves = (self.at != problem.home[self.kinds]).sum(axis=1)

    def _sum(self, take: Array) -> Array:
        """Sums (K, A) of rows (K, G, P) over what every arrangement puts where."""
        total = np.zeros((len(take), len(self.at)))
        for i, g in enumerate(self.kinds):
            total += take[:, g, self.at[:, i]]
        return total

    def _holds(self) -> Flags:
        problem = self.problem
        good = np.ones(len(self.at), dtype=bool)
        for bound in (problem.limits, problem.size):
            over = self._sum(bound.take) - bound.room[:, None]
            good &= np.max(over, axis=0, initial=-np.inf) <= 1e-7
        first = {g: i for i, g in reversed(list(enumerate(self.kinds)))}
        for a, b in problem.together:
            good &= self.at[:, first[a]] == self.at[:, first[b]]
        for a, b in problem.apart:
            good &= self.at[:, first[a]] != self.at[:, first[b]]
        for a, b in problem.opposite:
            good &= self.at[:, first[b]] == problem.mirror[self.at[:, first[a]]]
        return np.asarray(good)

    def best(self) -> tuple[float, float, int] | None:
        """The three goals in order, each exactly, or None where nothing holds."""
        left = self.holds.copy()
        if not left.any():
            return None
        far = float(self.far[left].min())
        left &= self.far <= far + 1e-6
        spread = float(self.spread[left].min())
        left &= self.spread <= spread + 1e-6 * max(1.0, spread)
        return far, spread, int(self.moves[left].min())
