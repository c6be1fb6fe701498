"""What is wrong now, cured by as few and as light moves as can be: one, two, then any number.

All moves of one thing, and all pairs of moves, are weighed at once by the rows around how the rig
is packed; the lightest that those rows pass are tried in the statics and the sway model, which
decide.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.assessment import Assessment
from steelyard.estimate import Array
from steelyard.ratings import LIKELY
from steelyard.stowing.allowed_places import may_ride
from steelyard.stowing.arrange import Plan, moved_items
from steelyard.stowing.linear import Rows, levels
from steelyard.stowing.move_order import Sequence, ordered
from steelyard.stowing.plan import (
    EVEN,
    POURED,
    UNTOLD,
    Found,
    Judged,
    as_judged,
    assessed,
    holds,
    likely,
    spared_chances,
)
from steelyard.stowing.problem import Problem, effects_of
from steelyard.stowing.program import Program, Watch
from steelyard.stowing.question import Table, problem_at, rows_at, watered
from steelyard.stowing.redundant_rows import thinned
from steelyard.stowing.solve import moves_cost
from steelyard.stowing.unmended import Unmended, beside, sparing
from steelyard.stowing.water import Run

TRIES: Final = 6
"""Moves, or pairs of them, tried in the statics for each number of moves."""
NEARLY: Final = 4.0
"""kg by which the rows may refuse what is tried after all that they pass."""
REPAIRS: Final = 4
"""Times as few moves as can be are sought, what the statics refuse in the margin."""
BRIEFLY: Final = 0.5
"""s for as few moves as can be."""
ROUGHLY: Final = 0.1
LIGHTLY: Final = 0.01
"""Of a move, to which the fewest and lightest are found: where water is free, a hundredth of a
tank."""
HAIR: Final = 1e-6
"""kg that are none."""
CHUNK: Final = 2_000_000
"""Numbers looked at in one go."""
Tried = tuple[Table, dict[str, str], Judged]
"""A plan that passes, with the question as the water chosen leaves it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """Moves that leave nothing wrong which the load can mend: as sure as was asked, or, `weigh`, no
    surer than at the best estimate; water: runs of tanks whose level changes, as they are then;
    unmended: what nothing mends, got no worse."""

    found: Found
    order: Sequence
    moves: tuple[str, ...]
    water: tuple[Run, ...]
    weigh: bool
    unmended: tuple[Unmended, ...] = ()


def wrong(rows: Rows, before: Assessment, confidence: float) -> tuple[str, ...]:
    """Limits that anything aboard touches and that do not hold now as surely as asked."""
    found = [
        limit.title
        for number, stage in enumerate(before.stages)
        for limit in stage.limits
        if (limit.name, number) in rows.touched and limit.chance >= confidence
    ]
    return tuple(dict.fromkeys(found))


def cured(table: Table, start: Plan, before: Assessment, watch: Watch) -> Cure | None:
    """The fewest, then lightest, moves that cure what is wrong; None where nothing is, or none do.

    First as sure as was asked; where no moves are, no graver than tight, then at even chances: what
    holds already at such a level waits for a weighing. Then whatever can be, beside what cannot.
    """
    found = _cured(table, start, before, watch)
    if found or not wrong(rows_at(table, start), before, table.wish.confidence):
        return found
    for known in beside(table, start, before):
        found = _cured(sparing(table, known), start, before, watch) if known else None
        if found or watch.stopped():
            return replace(found, unmended=known) if found else None
    return None


def _cured(table: Table, start: Plan, before: Assessment, watch: Watch) -> Cure | None:
    """A cure of all that is asked."""
    rows = rows_at(_calmer(table), start)
    for level in (0, UNTOLD, EVEN):
        eased = _eased(rows, level)
        excess = eased.base + eased.allowance
        astray = level == 0 and bool(misplaced(table, start))
        if not (astray or np.any(excess[rows.movable] > HAIR)) or watch.stopped():
            return None
        asked = replace(_calmer(table), level=level)
        for there, plan, judged in _tried(asked, start, eased, before, watch):
            order = ordered(replace(there, calm=table.calm), plan)
            return cure_of(table, there, start, as_judged(plan, judged), order)
    return None


def fewer_moves(cure: Cure, plan: Cure) -> Cure:
    """The whole plan as the cure, where it is as sure and moves fewer things."""
    return plan if len(plan.moves) < len(cure.moves) and plan.weigh <= cure.weigh else cure


def cure_of(table: Table, there: Table, start: Plan, found: Found, order: Sequence) -> Cure:
    """A plan as a cure, its water chosen `there`."""
    return Cure(
        found=found,
        order=order,
        moves=moved_items(start, found.plan),
        water=_other(table.cargo.runs, there.cargo.runs),
        weigh=there.level > 0,
    )


def _other(old: Iterable[Run], new: Iterable[Run]) -> tuple[Run, ...]:
    """Runs whose levels differ by more than is worth telling."""
    each = zip(old, new, strict=True)
    return tuple(b for a, b in each if abs(b.levels[0] - a.levels[0]) * b.capacity >= POURED)


def misplaced(table: Table, plan: Plan) -> tuple[str, ...]:
    """Things that are where their own rules do not let them ride."""
    keep = table.wish.keep
    return tuple(n for n, place in plan.items() if not may_ride(table.rig, n, place, keep))


def _calmer(table: Table) -> Table:
    """The same question where damping, likelier too little than not, is wrong as well."""
    most = LIKELY - 1.0 / table.wish.draws
    calm = tuple(replace(one, undriven=min(one.undriven, most)) for one in table.calm)
    return replace(table, calm=calm)


def _eased(rows: Rows, level: int) -> Rows:
    """Rows with the allowance of a level where they do not hold as surely as asked now."""
    broken = rows.base + rows.tails[0] > HAIR
    return replace(rows, allowance=np.where(broken, rows.tails[level], rows.tails[0]))


def _tried(
    table: Table, start: Plan, rows: Rows, before: Assessment, watch: Watch
) -> Iterator[Tried]:
    """Plans that pass: of free water alone, of one move, of two, of as few as can be, with water
    that is free; the lightest first."""
    if table.cargo.runs:
        still = replace(table, cargo=replace(table.cargo, moves=0))
        yield from _fewest(still, start, rows, before, watch)
    steps = Steps.of(table, start, rows)
    most = table.wish.moves or len(start)
    for number, each in enumerate((steps.ones, steps.twos), start=1):
        if number <= most:
            for plan in each():
                judged = assessed(table, plan)
                if passed(table, rows, before, judged) and not watch.stopped():
                    yield table, plan, judged
    if most > 2 and not watch.stopped():
        yield from _fewest(table, start, rows, before, watch)


def passed(table: Table, rows: Rows, before: Assessment, found: Judged) -> bool:
    """Whether nothing is wrong after, at the table's level, nor anything that was right before."""
    if np.any(found.lack > 0.0):
        return False
    asked, most = table.wish.confidence, levels(table.wish.confidence)[table.level]
    kept = spared_chances(table)
    for number, (old, new) in enumerate(zip(before.stages, found.assessment.stages, strict=True)):
        was = {limit.name: limit.chance for limit in old.limits}
        for limit in new.limits:
            if (limit.name, number) not in rows.touched or limit.verdict == "unknown":
                continue
            least = most if was.get(limit.name, 0.0) >= asked else asked
            if likely(limit, table.level) >= kept.get((limit.name, number), least):
                return False
    return True


@dataclass(frozen=True, kw_only=True)
class Steps:
    """Single moves M of items in places, what each adds to every row (K, M), and how far every row
    is exceeded now, kg (K,)."""

    start: Plan
    problem: Problem
    excess: Array
    item: NDArray[np.intp]
    names: tuple[str, ...]
    to: tuple[str, ...]
    kg: Array
    change: Array
    astray: frozenset[str]

    @classmethod
    def of(cls, table: Table, start: Plan, rows: Rows) -> "Steps":
        """All moves that nothing forbids."""
        names = tuple(start)
        effect, allowed, here = effects_of(table.cargo, rows, start)
        allowed[np.arange(len(names)), here] = False
        i, p = np.nonzero(allowed)
        change = effect[:, i, p] - effect[:, i, here[i]]
        excess = rows.base + rows.allowance
        tells = rows.movable & (excess + 2.0 * change.max(axis=1, initial=0.0) > 0.0)
        places = list(table.rig.places)
        return cls(
            start=start,
            problem=problem_at(table, start, rows, np.zeros(len(rows.base))),
            excess=excess[tells],
            item=i,
            names=tuple(names[k] for k in i),
            to=tuple(places[k] for k in p),
            kg=np.array([table.cargo.weights[names[k]] for k in i]),
            change=change[tells],
            astray=frozenset(misplaced(table, start)),
        )

    def ones(self) -> Iterator[dict[str, str]]:
        """Plans of one move worth trying, the lightest that hold by the rows first."""
        worst = np.max(self.excess[:, None] + self.change, axis=0, initial=-np.inf)
        yield from self._plans(worst, self.kg, [(m,) for m in range(len(self.kg))])

    def twos(self) -> Iterator[dict[str, str]]:
        """Plans of two moves: at least one of them mends half of what is worst."""
        if not len(self.kg) or not len(self.excess):
            return
        worst = int(self.excess.argmax())
        helping = self.change[worst] <= -0.5 * self.excess[worst] + NEARLY
        if self.astray:
            helping = np.array([name in self.astray for name in self.names])
        helps = np.flatnonzero(helping)
        pairs: list[tuple[int, ...]] = []
        worth: list[float] = []
        step = max(1, CHUNK // self.change.size)
        for k in range(0, len(helps), step):
            some = helps[k : k + step]
            both = self.excess[:, None, None] + self.change[:, some, None] + self.change[:, None]
            over = both.max(axis=0)
            over[self.item[some][:, None] == self.item[None]] = np.inf
            a, b = np.nonzero(over <= NEARLY)
            pairs += zip(some[a].tolist(), b.tolist(), strict=True)
            worth += over[a, b].tolist()
        kg = np.array([self.kg[list(pair)].sum() for pair in pairs])
        yield from self._plans(np.array(worth), kg, pairs)

    def _plans(
        self, worst: Array, kg: Array, moves: list[tuple[int, ...]]
    ) -> Iterator[dict[str, str]]:
        """Those that keep every rule, at most `TRIES`: the lightest that hold, then nearly so."""
        near = np.flatnonzero(worst <= NEARLY)
        order = near[np.lexsort((worst[near], np.round(kg[near], 6), worst[near] > 0.0))]
        tried, seen = 0, set()
        for number in order.tolist():
            plan = {**self.start, **{self.names[m]: self.to[m] for m in moves[number]}}
            key = tuple(plan.values())
            if not self.astray <= {self.names[m] for m in moves[number]}:
                continue
            if key in seen or not holds(self.problem, self.problem.counts(plan)):
                continue
            seen.add(key)
            yield plan
            tried += 1
            if tried == TRIES:
                return


def _fewest(
    table: Table, start: Plan, rows: Rows, before: Assessment, watch: Watch
) -> Iterator[Tried]:
    """As few moves as the integer program finds, a tankful of water counting as one, until the
    statics pass them."""
    at, margin = dict(start), np.zeros(len(rows.base))
    near = LIGHTLY if table.cargo.runs else ROUGHLY
    for _ in range(REPAIRS):
        problem = thinned(problem_at(table, at, rows, margin))
        program = Program(problem=problem, leaving=False, watch=watch)
        cost = program.cost(moves_cost(problem), water=1.0 / problem.water.tankful)
        goal = program.seek("moves", cost, near=near, loose=0.0, seconds=BRIEFLY)
        if goal is None or watch.stopped():
            return
        plan = problem.plan(program.counts())
        there = watered(table, program.poured) if table.cargo.runs else table
        judged = assessed(there, plan)
        if passed(table, rows, before, judged):
            yield there, plan, judged
            return
        fresh = _eased(rows_at(there, plan), table.level)
        short = np.maximum(fresh.base + fresh.allowance, 0.0)
        lack = np.array([judged.lack[s.stage] if s.sways else 0.0 for s in rows.sides])
        margin = margin + np.where(rows.movable, np.maximum(short, lack) + 0.5 * (short > 0), 0.0)
