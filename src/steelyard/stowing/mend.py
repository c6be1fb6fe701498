"""One move or two that mend what is wrong now, or what none mends: what a headline can name, found
in a moment."""

from collections.abc import Iterable
from dataclasses import dataclass
from time import perf_counter
from typing import Final

from steelyard.assessment import Assessment, assess
from steelyard.assessment.damped import damped
from steelyard.estimate import Estimate
from steelyard.ratings import LIKELY
from steelyard.rig import Rig
from steelyard.scene import opened
from steelyard.stowing.arrange import now
from steelyard.stowing.cures import cured
from steelyard.stowing.move_order import Move
from steelyard.stowing.plan import EVEN
from steelyard.stowing.program import Watch
from steelyard.stowing.question import Wish, lay
from steelyard.stowing.unmended import Unmended, unmended

MOST: Final = 2
"""Moves that a headline has room for."""
SECONDS: Final = 4.0
"""s after which nothing more is tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """The lightest one or two moves, in their order, and everything as it is after them; weigh:
    they mend it at the best estimate, and no surer; stuck: limits, by title, that are likely not to
    hold whatever rides where or stays at home."""

    moves: tuple[Move, ...]
    after: Assessment
    weigh: bool
    stuck: tuple[str, ...]


def mend(rig: Rig, estimate: Estimate | None = None) -> Mend | None:
    """Moves that leave nothing wrong which the load can mend, none where no load mends any of it;
    None where nothing is wrong, where one or two moves do not mend it, or where there is nothing to
    reckon with."""
    try:
        return _lightest(rig, estimate) if rig.items else None
    except (ValueError, ArithmeticError):
        return None


def _lightest(rig: Rig, estimate: Estimate | None) -> Mend | None:
    wish, until = Wish(moves=MOST), perf_counter() + SECONDS
    scene = opened(rig, estimate, draws=wish.draws, seed=wish.seed)
    table = lay(scene, None, wish, calm=damped(scene))
    before = assess(scene, tight=wish.confidence)
    watch = Watch(stopped=lambda: perf_counter() > until)
    start = now(table.rig)
    found = cured(table, start, before, watch)
    if found is not None:
        moves, after, weigh = found.order.moves, found.found.assessment, found.weigh
        return Mend(moves=moves, after=after, weigh=weigh, stuck=_stuck(found.unmended))
    stuck = _stuck(unmended(table, start, before, EVEN))
    return Mend(moves=(), after=before, weigh=False, stuck=stuck) if stuck else None


def _stuck(found: Iterable[Unmended]) -> tuple[str, ...]:
    return tuple(one.title for one in found if min(one.now, one.bare) >= LIKELY)
