"""A first plan for many things: the relaxation rounded, then one thing moved or two swapped.

Each row broken costs its excess times a weight that grows while it stays broken (breakout: Morris,
AAAI-93, 40-45, from memory); what was undone stays undone for some moves (Glover, ORSA Journal on
Computing 1 (1989) 190-206, from memory). Restarts round the relaxation anew, by chance. Rows that
others imply are left out, so a limit that holds at six stages weighs, and takes time, but once.
"""

from collections.abc import Callable
from dataclasses import dataclass
from time import perf_counter
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.stowing.pairs import unmirrored
from steelyard.stowing.problem import Flags, Problem
from steelyard.stowing.redundant_rows import telling

Places = NDArray[np.intp]
RESTART: Final = 160
"""Moves without a better state before a new start."""
STERN: Final = 6.0
"""What a kilogram too many costs at first, in the mean cost of a kilogram."""
GROWTH: Final = 2.0
RELIEF: Final = 0.9
TENURE: Final = (5, 13)
"""Moves for which a thing may not go back: at least, below."""
SLACK: Final = 1e-7
MANY: Final = 80
"""Of more things than this, so many by chance are tried for swaps with all others at each step."""


@dataclass(frozen=True, kw_only=True)
class Units:
    """I things one by one: `take` (I, P, K) adds to rows that may reach `room` (K,); cost and
    allowed (I, P); `kind` (I,); `total` is their weight, kg."""

    kind: Places
    take: Array
    room: Array
    cost: Array
    allowed: Flags
    total: float


def units_of(
    problem: Problem,
    far: float,
    cost: Array,
    cells: Flags,
    held: float | None = None,
) -> Units:
    """The rows of a problem, and the ball at most `far` kg from its target, thing by thing.

    cost (G, P) per member; cells (G, P) to look at, of those allowed; held: what the spread-out
    weight may be at most, kg m2.
    """
    kind = np.repeat(np.arange(len(problem.members)), problem.count.astype(int))
    shape = cells.shape
    heavy = float(problem.weight.max(initial=1.0))
    pairs = [row for row, _ in _pairs(problem, heavy)]
    total = float((problem.weight * problem.count).sum())
    kilogram = total / max(held or 1.0, 1e-9)  # as strict as any other row
    spread = [] if held is None else [problem.spread_out * kilogram]
    rows = (
        problem.limits.take,
        problem.size.take.reshape(-1, *shape),
        problem.aim,
        -problem.aim,
        np.array([*pairs, *spread]).reshape(-1, *shape),
    )
    room = (
        problem.limits.room,
        problem.size.room,
        far - problem.aim_base,
        far + problem.aim_base,
        np.array([*(most for _, most in _pairs(problem, heavy)), *([total] if spread else ())]),
    )
    take, most = np.concatenate(rows), np.concatenate(room)
    at = np.argwhere(cells)
    keep = telling(take[:, *at.T], most, at[:, 0], problem.count)
    return Units(
        kind=kind,
        take=np.ascontiguousarray(take[keep][:, kind].transpose(1, 2, 0)),
        room=most[keep],
        cost=cost[kind],
        allowed=cells[kind],
        total=total,
    )


def _pairs(problem: Problem, heavy: float) -> list[tuple[Array, float]]:
    """Rows of what rides together or apart, one broken pair as bad as the heaviest thing."""
    found = []
    for p in range(problem.allowed.shape[1]):
        for a, b in problem.apart:
            row = np.zeros(problem.allowed.shape)
            row[a, p] = row[b, p] = heavy
            found.append((row, heavy))
        for a, b in problem.together:
            row = np.zeros(problem.allowed.shape)
            row[a, p], row[b, p] = heavy, -heavy
            found += [(row, 0.0), (-row, 0.0)]
        for a, b in problem.opposite:
            row = np.zeros(problem.allowed.shape)
            row[a, p] = heavy
            if problem.mirror[p] >= 0:
                row[b, problem.mirror[p]] = -heavy
            found += [(row, 0.0), (-row, 0.0)]
    for _, b in problem.opposite:
        row = np.zeros(problem.allowed.shape)
        row[b, unmirrored(problem.mirror)] = heavy
        found.append((row, 0.0))
    return found


class Descent:
    """One search; used only inside this package."""

    def __init__(self, units: Units, flat: Array, seed: int = 0) -> None:
        """flat (G, P): counts to be rounded, the relaxation's or between two plans."""
        self._u, self._dice = units, np.random.default_rng(seed)
        share = np.where(units.allowed, np.maximum(flat[units.kind], 0.0), 0.0)
        self._chance = share / np.maximum(share.sum(axis=1, keepdims=True), 1e-12)
        self._things = np.arange(len(units.kind))
        self._kilogram = float((units.cost * self._chance).sum()) / max(units.total, 1e-9)
        self._swaps, self._left, self._until = False, 0, 0.0
        self._stopped: Callable[[], bool] = lambda: False
        self.best: Places | None = None
        self.cost = np.inf

    def run(
        self,
        target: float,
        steps: int,
        seconds: float,
        stopped: Callable[[], bool] = lambda: False,
    ) -> bool:
        """Search until a plan costs at most `target`, for so many steps; whether one does.

        Every second start weighs all swaps at each step, the others only where no move is downhill.
        Steps, not the clock, end the search: the same rig, the same plan.
        """
        self._left, self._until, self._stopped = steps, perf_counter() + seconds, stopped
        start = 0
        while self._going() and self.cost > target:
            self._swaps = start % 2 == 1
            at = self._start(exact=start == 0)
            self._from(at, target)
            start += 1
        return self.cost <= target

    def _going(self) -> bool:
        return self._left > 0 and perf_counter() < self._until and not self._stopped()

    def _start(self, *, exact: bool) -> Places:
        if exact:
            return np.asarray(self._chance.argmax(axis=1))
        dice = self._dice.random((len(self._things), 1))
        at = (self._chance.cumsum(axis=1) > dice).argmax(axis=1)
        there = self._u.allowed[self._things, at]
        return np.asarray(np.where(there, at, self._chance.argmax(axis=1)))

    def _from(self, at: Places, target: float) -> None:
        """Descend from one start, until `RESTART` moves bring nothing better."""
        u, things = self._u, self._things
        weight = np.full(len(u.room), STERN * self._kilogram)
        shut = np.zeros(u.allowed.shape, dtype=int)
        over = u.take[things, at].sum(axis=0) - u.room
        least, idle, step = np.inf, 0, 0
        while idle <= RESTART and self._going():
            self._left -= 1
            cost = float(u.cost[things, at].sum())
            if np.all(over <= SLACK) and cost < self.cost:
                self.best, self.cost = at.copy(), cost
                if cost <= target:
                    return
            worth = cost + float(weight @ np.maximum(over, 0.0))
            least, idle = (worth, 0) if worth < least - 1e-9 else (least, idle + 1)
            gain, moved = self._next(at, over, weight, shut <= step)
            if gain >= -1e-9:
                relief = 1.0 if self.best is None else RELIEF
                weight = weight * np.where(over > SLACK, GROWTH, relief)
            if not moved:
                return
            step += 1
            until_step = step + int(self._dice.integers(*TENURE))
            for i, p in moved:
                shut[i, at[i]] = until_step
                over = over + u.take[i, p] - u.take[i, at[i]]
            for i, p in moved:
                at[i] = p

    def _next(
        self, at: Places, over: Array, weight: Array, free: Flags
    ) -> tuple[float, list[tuple[int, int]]]:
        """The best of moves, or of moves and swaps: what it gains, and things with places."""
        u, things = self._u, self._things
        own = u.take[things, at]
        near = over > -2.0 * np.abs(own).max(axis=0, initial=0.0) - 5.0
        take, own, over, weight = u.take[:, :, near], own[:, near], over[near], weight[near]
        saved = u.cost[things, at]
        now = float(weight @ np.maximum(over, 0.0))
        may = u.allowed & free
        gain = np.maximum(take + (over - own)[:, None], 0.0) @ weight - now
        gain += u.cost - saved[:, None]
        gain[~may] = np.inf
        gain[things, at] = np.inf
        i, p = np.unravel_index(int(gain.argmin()), gain.shape)
        best, moved = float(gain[i, p]), [(int(i), int(p))]
        if best < -1e-9 and not self._swaps:
            return best, moved
        some = self._dice.permutation(things)[:MANY]
        there = at[some]
        change = take[:, there] - own[:, None] + take[some][:, at].transpose(1, 0, 2) - own[some]
        swap = np.maximum(change + over, 0.0) @ weight - now
        swap += u.cost[:, there] - saved[:, None] + u.cost[some][:, at].T - saved[some]
        swap[~(may[:, there] & may[some][:, at].T) | (at[:, None] == there)] = np.inf
        i, k = np.unravel_index(int(swap.argmin()), swap.shape)
        if swap[i, k] < best:
            j = int(some[k])
            best, moved = float(swap[i, k]), [(int(i), int(at[j])), (j, int(at[i]))]
        return best, moved if np.isfinite(best) else []


def counts_of(units: Units, at: Places, shape: tuple[int, ...]) -> Array:
    """Things in places as counts (G, P) of kinds."""
    found = np.zeros(shape)
    np.add.at(found, (units.kind, at), 1.0)
    return found
