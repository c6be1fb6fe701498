"""The integer program in HiGHS: columns, rows, and seeking one goal."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from time import perf_counter
from typing import Annotated, Any, Final

import highspy
import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.quantity import POUND, reported
from steelyard.stowing.pairs import unmirrored
from steelyard.stowing.problem import Bound, Problem

Index = NDArray[Any]
INF: Final = float(highspy.kHighsInf)
NO: Final = False
TOGETHER: Final = "rule of what rides together"
APART: Final = "rule of what rides apart"
OPPOSITE: Final = "rule of what rides opposite"
INTEGER: Final = highspy.HighsVarType.kInteger
REAL: Final = highspy.HighsVarType.kContinuous
NEAR: Final = 2.0 * POUND
"""kg on the ball: the first goal is proven to this and held to it."""
LOOSE: Final = 0.03
"""Part of the spread-out weight by which the second goal may miss the proven best."""

SMALL: Final = 200
"""Kinds times places up to which a plan is small."""
LIGHT: Final = 0.1
"""Part of the cargo's weight by which the moves may miss the lightest; their number is proven."""
PACE: Final = 12_000.0
"""Times the solver asks whether to go on, in a second of an ordinary core, times kinds times
places; measured on plans of 72 to 840 cells. The search stops by this count, not by the clock: the
same rig, the same plan, on any machine."""
GUARD: Final = 3.0
"""A clock ends a search that takes so many times what it was given; only then is a plan not the
same everywhere."""
LEAST: Final = 10.0
"""s that the clock grants any search at least."""
QUICK: Final = {
    "mip_heuristic_run_rins": False,
    "mip_heuristic_run_rens": False,
    "mip_heuristic_run_root_reduced_cost": False,
    "mip_allow_restart": False,
    "mip_detect_symmetry": False,
    "mip_pool_soft_limit": 100,
}
"""Of little use on a plan of a dozen items: without them the same proof takes two thirds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How exactly and how long to look: kg on the ball, part of the second goal, part of all cargo
    by which the moved weight may miss the least, s in all, as an ordinary core has them."""

    near: float = NEAR
    loose: float = LOOSE
    light: float = LIGHT
    seconds: float = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """One goal: what was found, what is proven to be the least possible, and the time it took.

    Units: kg on the ball, kg m2, number of moves, importance or kg left behind.
    """

    name: str
    value: float
    bound: float
    seconds: float

    @property
    def gap(self) -> Annotated[float, reported.Key("gap")]:
        """Found less proven bound, in the goal's own unit."""
        return max(self.value - self.bound, 0.0)

    @property
    def relative(self) -> float:
        """The gap over what was found."""
        return self.gap / abs(self.value) if self.value else 0.0


@dataclass(slots=True)
class Watch:
    """Somebody looking on: told of each better plan, asked whether to stop."""

    stopped: Callable[[], bool] = lambda: False
    tell: Callable[[str, float, float], None] = lambda name, best, bound: None


def _proven(bound: float, value: float) -> float:
    """What is proven: never above what was found; no cost here is below nothing unless found so."""
    return float(min(bound, value)) if np.isfinite(bound) else float(min(0.0, value))


def quiet() -> Any:
    """A solver that prints nothing: the friendlier class above it prints its banner when made."""
    highs = highspy.highs._Highs()  # type: ignore[attr-defined]
    highs.setOptionValue("output_flag", NO)
    return highs


@dataclass
class Program:
    """The integer program in HiGHS; used only inside this package."""

    problem: Problem
    leaving: bool
    watch: Watch
    highs: Any = field(default_factory=quiet)
    interrupted: bool = False
    found: Array = field(default_factory=lambda: np.zeros(0))
    families: list[tuple[str, float, float]] = field(default_factory=list)
    spent: float = 0.0

    def __post_init__(self) -> None:
        problem = self.problem
        self.highs.setOptionValue("random_seed", 1)
        self.highs.setOptionValue("mip_heuristic_run_feasibility_jump", NO)
        for name, value in QUICK.items() if problem.allowed.size <= SMALL else ():
            self.highs.setOptionValue(name, value)
        self.cells = np.argwhere(problem.allowed)
        self.column = np.full(problem.allowed.shape, -1)
        self.column[tuple(self.cells.T)] = np.arange(len(self.cells))
        self._columns()
        self.poured = np.zeros(len(problem.water.low))
        self._everything_somewhere()
        self.bound_rows(problem.limits, problem.water.take)
        self.bound_rows(problem.size)
        self._pairs()
        self._aims()

    @property
    def far(self) -> int:
        """Column of the largest distance of the ball from its target, kg."""
        return len(self.cells)

    def _columns(self) -> None:
        count = self.problem.count[self.cells[:, 0]]
        free = np.where(self.problem.bolted, 0.0, self.problem.count)
        left = free if self.leaving else np.zeros(0)
        water = self.problem.water
        self.water = len(count) + 1 + len(left)
        upper = np.concatenate([count, [INF], left, water.high, -water.low])
        kinds = np.full(len(upper), INTEGER)
        kinds[self.far] = REAL
        kinds[self.water :] = REAL
        n = len(upper)
        self.highs.addVars(n, np.zeros(n), upper)
        self.highs.changeColsIntegrality(n, np.arange(n, dtype=np.int32), kinds)

    def row(self, low: float, high: float, columns: Index, values: Array, name: str) -> None:
        """Add one row and remember to which family of limits it belongs."""
        real = np.flatnonzero(values)
        self.families.append((name, low, high))
        index = np.asarray(columns)[real].astype(np.int32)
        status = self.highs.addRow(low, high, len(real), index, values[real])
        if status == highspy.HighsStatus.kError:  # a limit is never dropped without a word
            raise ArithmeticError(f"{name or 'a row'}: no number to hold it by")

    def _everything_somewhere(self) -> None:
        for g, count in enumerate(self.problem.count):
            columns = self.column[g][self.problem.allowed[g]]
            if self.leaving:
                columns = np.append(columns, self.far + 1 + g)
            self.row(count, count, columns, np.ones(len(columns)), "")

    def bound_rows(self, bound: Bound, water: Array | None = None) -> None:
        """Rows `take . n <= room`, with what each kg of water (K, W) adds where it adds."""
        amounts = len(self.problem.water.low)
        poured = water if water is not None and amounts else np.zeros((len(bound.room), amounts))
        columns = np.append(np.arange(len(self.cells)), self._pouring)
        for take, room, name, wet in zip(bound.take, bound.room, bound.family, poured, strict=True):
            values = np.concatenate([take[tuple(self.cells.T)], wet, -wet])
            self.row(-INF, room, columns, values, name)

    @property
    def _pouring(self) -> Index:
        """Columns of water poured in, then of water let out."""
        return np.arange(self.water, self.water + 2 * len(self.problem.water.low))

    def _pairs(self) -> None:
        allowed = self.problem.allowed
        for a, b in self.problem.together:
            for p in np.flatnonzero(allowed[a] | allowed[b]):
                self._alike(a, b, self.column[a, p], self.column[b, p], TOGETHER)
        for a, b in self.problem.opposite:
            for place, q in enumerate(self.problem.mirror.tolist()):
                there = self.column[b, q] if q >= 0 else -1
                self._alike(a, b, self.column[a, place], there, OPPOSITE)
            for place in unmirrored(self.problem.mirror):
                self._alike(a, b, -1, self.column[b, place], OPPOSITE)
        for a, b in self.problem.apart:
            for p in np.flatnonzero(allowed[a] & allowed[b]):
                both = np.array([self.column[a, p], self.column[b, p]])
                self.row(-INF, 1.0, both, np.ones(2), APART)

    def _alike(self, a: int, b: int, here: int, there: int, name: str) -> None:
        """Things `a` and `b` are in two cells (columns, -1 for none) both or not at all, while both
        ride: a rule between two binds neither once the other stays home."""
        known = [(c, s) for c, s in ((here, 1.0), (there, -1.0)) if c >= 0]
        if not known:
            return
        if not self.leaving:
            columns, signs = (np.array(x) for x in zip(*known, strict=True))
            self.row(0.0, 0.0, columns, signs, name)
            return
        for turn, other in ((1.0, b), (-1.0, a)):
            free = [(self.far + 1 + other, -1.0), *((c, turn * s) for c, s in known)]
            columns, signs = (np.array(x) for x in zip(*free, strict=True))
            self.row(-INF, 0.0, columns, signs, name)

    def _aims(self) -> None:
        """Distance of the ball from its target at each stage, either way, at most `far`."""
        problem = self.problem
        columns = np.concatenate([np.arange(len(self.cells)), self._pouring, [self.far]])
        for take, wet, base in zip(problem.aim, problem.water.aim, problem.aim_base, strict=True):
            part = np.concatenate([take[tuple(self.cells.T)], wet, -wet])
            self.row(-INF, -base, columns, np.append(part, -1.0), "")
            self.row(-INF, base, columns, np.append(-part, -1.0), "")

    def cost(
        self,
        cells: Array,
        far: float = 0.0,
        left: Array | None = None,
        water: Array | None = None,
    ) -> Array:
        """Cost of every column from costs of cells (G, P), of `far`, of leaving (G,), and of a kg
        of water (W,) poured in or let out."""
        gone = np.zeros(len(self.problem.count)) if left is None else left
        tail = gone if self.leaving else np.zeros(0)
        wet = np.zeros(len(self.problem.water.low)) if water is None else water
        return np.concatenate([cells[tuple(self.cells.T)], [far], tail, wet, wet])

    def hold(self, cost: Array, most: float) -> None:
        """Never let a goal grow beyond `most` again."""
        self.row(-INF, most, np.arange(len(cost)), cost, "")

    def seek(
        self,
        name: str,
        cost: Array,
        *,
        near: float,
        loose: float,
        seconds: float,
        start: Array | None = None,
    ) -> Goal | None:
        """Minimise a cost, from an arrangement if one is known; None if nothing fits in time.

        seconds: as an ordinary core has them, counted by `PACE`; what was used goes to `spent`.
        """
        highs, began = self.highs, perf_counter()
        highs.changeColsCost(len(cost), np.arange(len(cost), dtype=np.int32), cost)
        highs.setOptionValue("mip_abs_gap", max(near, 1e-9))
        highs.setOptionValue("mip_rel_gap", loose)
        highs.setOptionValue("time_limit", max(GUARD * seconds, LEAST))
        if start is not None:
            self.start_from(start)
        each = self.problem.allowed.size / PACE
        asked = self._listen(name, max(round(seconds / each), 1))
        highs.run()
        self.spent += each * asked[0]
        info = highs.getInfo()
        if info.primal_solution_status != 2:
            return None
        self.found = self._counts()
        return Goal(
            name=name,
            value=float(info.objective_function_value),
            bound=_proven(info.mip_dual_bound, info.objective_function_value),
            seconds=perf_counter() - began,
        )

    def better(
        self, goal: Goal, cost: Array, known: Array | None, poured: Array
    ) -> tuple[Goal, Array]:
        """A goal and its arrangement, or one of less cost that was known, with its water (W,)."""
        if known is not None:
            value = self.worth(cost, known, poured)
            if value < goal.value:
                self.found, self.poured = known, poured
                return replace(goal, value=value, bound=min(goal.bound, value)), known
        return goal, self.found

    def _listen(self, name: str, most: int) -> list[int]:
        """Ask the watcher whether to go on, at most so many times, and tell of better plans.

        Returns the count of times asked, as it grows.
        """
        kinds, asked = highspy.cb.HighsCallbackType, [0]

        def heard(kind: Any, _message: str, out: Any, into: Any, _data: Any) -> None:
            if kind == kinds.kCallbackMipInterrupt:
                asked[0] += 1
                self.interrupted = self.interrupted or self.watch.stopped()
                into.user_interrupt = self.interrupted or asked[0] >= most
            elif kind == kinds.kCallbackMipImprovingSolution:
                self.watch.tell(name, out.objective_function_value, out.mip_dual_bound)

        self.highs.setCallback(heard, None)
        for kind in (kinds.kCallbackMipInterrupt, kinds.kCallbackMipImprovingSolution):
            self.highs.startCallback(kind)
        return asked

    def start_from(self, counts: Array) -> None:
        """Give the solver a first arrangement; one that breaks a row is simply not used."""
        solution = highspy.HighsSolution()
        solution.col_value = list(self._values(counts, self.poured))
        self.highs.setSolution(solution)

    def worth(self, cost: Array, counts: Array, poured: Array) -> float:
        """What an arrangement (G, P) and its water (W,) cost, kept by the rows or not."""
        return float(cost @ self._values(counts, poured))

    def _values(self, counts: Array, poured: Array) -> Array:
        """Every column's value for an arrangement (G, P) and its water (W,)."""
        problem = self.problem
        off = problem.aim_base + np.tensordot(problem.aim, counts, 2) + problem.water.aim @ poured
        left = problem.count - counts.sum(axis=1) if self.leaving else np.zeros(0)
        wet = (np.maximum(poured, 0.0), np.maximum(-poured, 0.0))
        far = np.max(np.abs(off), initial=0.0)
        return np.concatenate([counts[tuple(self.cells.T)], [far], left, *wet])

    def counts(self) -> Array:
        """The arrangement last found, (G, P)."""
        return self.found

    def grid(self, values: Array, empty: float = 0.0) -> Array:
        """Values of columns, those of cells as (G, P); `empty` where nothing may ride."""
        found = np.full(self.problem.allowed.shape, empty)
        found[tuple(self.cells.T)] = values[: len(self.cells)]
        return found

    def _counts(self) -> Array:
        values = np.array(self.highs.getSolution().col_value)
        into, out = values[self._pouring].reshape(2, -1)
        self.poured = into - out
        return np.rint(self.grid(values))
