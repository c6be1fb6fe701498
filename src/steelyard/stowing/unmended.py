"""Limits that no arrangement of the load makes hold, even with all of it at home that may be."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from steelyard.assessment import Assessment
from steelyard.estimate import Array
from steelyard.ratings import LIKELY, UNSURE
from steelyard.scene import NoBalanceError
from steelyard.stowing.arrange import Plan
from steelyard.stowing.linear import Edge, Rows, Spared
from steelyard.stowing.plan import EVEN, UNTOLD, assessed
from steelyard.stowing.problem import BRIM, effects_of, poured_on
from steelyard.stowing.question import Table, rows_at


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmended:
    """A limit by its title, its chance of not holding now and with all at home that may be, at the
    worst stage, and its edges; freed: what rides somewhere could take enough off it, at the cost of
    another limit or of damping."""

    title: str
    now: float
    bare: float
    freed: bool
    edges: Mapping[Edge, Spared]


def beside(table: Table, start: Plan, before: Assessment) -> Iterator[tuple[Unmended, ...]]:
    """What a plan may be made beside, more and more of it: what no load makes likelier than not to
    hold, then what none makes hold but tightly, then what none makes as sure as asked."""
    told: list[set[str]] = []
    for level in (EVEN, UNTOLD, 0):
        found = unmended(table, start, before, level)
        if {one.title for one in found} not in told:
            told.append({one.title for one in found})
            yield found


def unmended(
    table: Table, start: Plan, before: Assessment, level: int | None
) -> tuple[Unmended, ...]:
    """Limits that are not as sure as asked, and would not be whatever rides where or stays home: of
    those exceeded now, only what does not hold at a level then either; no level: all that is wrong,
    where no plan mends some of it without making other of it worse."""
    items = table.rig.items
    bolted = {n: p for n, p in start.items() if items[n].fixed or n in table.wish.keep}
    try:
        bare, judged = rows_at(table, bolted), assessed(table, bolted).assessment
    except NoBalanceError:  # needs its load to stand at all
        return ()
    lifted, now = _lightest(table, bare, start, bolted), rows_at(table, start)
    least = bare.base + lifted
    sure, none = (least + bare.tails[at or 0] > BRIM for at in (table.level, level))
    found: dict[str, dict[Edge, Spared]] = {}
    freed = (lifted <= -BRIM) & (least + bare.tails[EVEN] <= BRIM)
    kept: set[str] = set()
    for k in np.flatnonzero(now.movable & ~now.sways & (now.base + now.allowance > BRIM)):
        side = now.sides[k]
        chance = _chance(before, (side.edge,))
        alone = not side.band and lifted[k] > -BRIM  # nothing that rides anywhere takes off it
        likely = alone and _chance(judged, (side.edge,)) >= LIKELY
        if level is None or (sure[k] and chance < 1.0 - UNSURE) or none[k] or likely:
            here = Spared(over=float(now.base[k]), chance=chance)
            found.setdefault(side.title, {})[side.edge] = here
            if not freed[k]:
                kept.add(side.title)
    return tuple(
        Unmended(
            title=t,
            now=_chance(before, e),
            bare=_chance(judged, e),
            freed=t not in kept,
            edges=e,
        )
        for t, e in found.items()
    )


def sparing(table: Table, found: Iterable[Unmended]) -> Table:
    """The same question, in which these get no worse and need not hold."""
    return replace(table, spared={edge: kept for one in found for edge, kept in one.edges.items()})


def as_now(rows: Rows, before: Assessment) -> dict[tuple[str, int], Spared]:
    """Limits by name and stage that the load touches, as they are now; of a band the nearer edge,
    since to come from that to the middle makes it surer."""
    each = ((n, x) for n, stage in enumerate(before.stages) for x in (*stage.limits, *stage.notes))
    chances = {(x.name, n): x.chance for n, x in each}
    found: dict[tuple[str, int], Spared] = {}
    for side, over, touched in zip(rows.sides, rows.base, rows.movable, strict=True):
        at = side.edge[:2]
        if touched and at in chances and (at not in found or found[at].over < over):
            found[at] = Spared(over=float(over), chance=chances[at])
    return found


def _lightest(table: Table, rows: Rows, start: Plan, bolted: Plan) -> Array:
    """kg that the load adds to each row at least (K,), each thing wherever it is best or home."""
    effect, allowed, _ = effects_of(table.cargo, rows, start)
    best = np.where(allowed[None], effect, np.inf).min(axis=2, initial=np.inf)
    free = np.array([name not in bolted for name in start], dtype=bool)
    sums = np.minimum(best[:, free], 0.0).sum(axis=1)
    take = poured_on(table.cargo, rows.slope)
    for w, run in enumerate(table.cargo.runs):
        ends = take[:, w, None] * np.array([run.low, run.high]) * run.capacity
        sums = sums + ends.min(axis=1)
    return np.asarray(sums)


def _chance(found: Assessment, edges: Iterable[Edge]) -> float:
    """The greatest chance that a limit does not hold, at the stages of some edges."""
    named = {edge[:2] for edge in edges}
    return max(
        limit.chance
        for number, stage in enumerate(found.stages)
        for limit in stage.limits
        if (limit.name, number) in named
    )
