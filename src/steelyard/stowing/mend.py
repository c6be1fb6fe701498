"""One move or two that mend what is wrong now, or what none mends: what a headline can name, found
in a moment."""

from collections.abc import Iterable
from dataclasses import dataclass
from time import perf_counter
from typing import Final

from steelyard.assessment import Assessment, assess
from steelyard.assessment.damped import damped
from steelyard.estimate import Estimate
from steelyard.quantity import Level, parse
from steelyard.ratings import LIKELY, TIGHT
from steelyard.rig import Rig
from steelyard.scene import Opening, opened
from steelyard.stowing.arrange import arranged, now
from steelyard.stowing.cures import cured
from steelyard.stowing.move_order import Move
from steelyard.stowing.plan import EVEN
from steelyard.stowing.program import Watch
from steelyard.stowing.question import Wish, lay, middle_of_band
from steelyard.stowing.slides import slid
from steelyard.stowing.unmended import Unmended, unmended
from steelyard.stowing.what_if import filled, refilled

MOST: Final = 2
"""Moves that a headline has room for."""
SECONDS: Final = 4.0
"""s after which nothing more is tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """The lightest one or two moves, in their order, and everything as it is after them; weigh:
    they mend it at the best estimate, and no surer; stuck: limits, by title, that are likely not to
    hold whatever rides where or stays at home; lightened: those of them that are likely no more
    with the tanks empty too and, in a rig never weighed, nothing aboard that nobody listed."""

    moves: tuple[Move, ...]
    after: Assessment
    weigh: bool
    stuck: tuple[str, ...]
    lightened: frozenset[str]


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
        stuck, light = _stuck(found.unmended), frozenset[str]()
    else:
        moves, after, weigh = (), before, False
        stuck = _stuck(unmended(table, start, before, EVEN))
        if not stuck or _slides(scene, before, stuck):
            return None
        light = _lightened(scene, stuck, weighed=estimate is not None)
    return Mend(moves=moves, after=after, weigh=weigh, stuck=stuck, lightened=light)


def _slides(scene: Opening, before: Assessment, stuck: Iterable[str]) -> bool:
    """Whether sliding what may stand anywhere along its deck mends one of these limits."""
    target = middle_of_band(scene.rig)
    there, slides = slid(scene, before, damped(scene), target, TIGHT)
    after = assess(there).stages if slides else ()
    left = {x.title for stage in after for x in stage.limits if x.chance >= LIKELY}
    return bool(slides) and not left.issuperset(stuck)


def _lightened(scene: Opening, stuck: Iterable[str], *, weighed: bool) -> frozenset[str]:
    """Of these limits, those that are likely no more with the load at home, the tanks empty and,
    unless weighed, nothing aboard that nobody listed."""
    bolted = {name: item.place for name, item in scene.rig.items.items() if item.fixed}
    empty = Level(share=parse("0 %", "share"), volume=None)
    levels = {(key, t): empty for key in scene.rig.stages for t in scene.rig.trailer.tanks}
    rig = filled(arranged(scene.rig, bolted), levels)
    if weighed:
        bare = assess(scene.changed(rig, refilled(scene.estimate, rig, levels)))
    else:
        bare = assess(rig.model_copy(update={"everything_listed": True}), draws=scene.draws)
    over = {x.title for one in bare.stages for x in one.limits if x.chance >= LIKELY}
    return frozenset(stuck) - over


def _stuck(found: Iterable[Unmended]) -> tuple[str, ...]:
    return tuple(x.title for x in found if min(x.now, x.bare) >= LIKELY and not x.freed)
