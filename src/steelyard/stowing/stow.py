"""The one call: a plan for everything, or what stays home and why."""

from dataclasses import dataclass, replace

from steelyard.assessment import Assessment, assess
from steelyard.assessment.damped import Damped, damped
from steelyard.estimate import Estimate
from steelyard.fault import FaultError, missing
from steelyard.ratings import LIKELY, severity
from steelyard.rig import Rig
from steelyard.scene import opened
from steelyard.stowing.allowed_places import hindered
from steelyard.stowing.arrange import Plan, now
from steelyard.stowing.boarding import Boarding, boardings
from steelyard.stowing.cures import Cure, cure_of, cured, fewer_moves, wrong
from steelyard.stowing.fewer import Fewer, leaving
from steelyard.stowing.move_order import Load, less, ordered
from steelyard.stowing.move_order import Sequence as Order
from steelyard.stowing.plan import EVEN, UNTOLD, Found, Sought, as_it_is, hopeless, passes, seek
from steelyard.stowing.program import Watch
from steelyard.stowing.question import Table, Wish, lay, middle_of_band, rows_at
from steelyard.stowing.slides import Slide, slid
from steelyard.stowing.unmended import Unmended, as_now, beside, sparing, unmended
from steelyard.stowing.water import Run


class StowError(FaultError):
    """A question that cannot be asked of this rig; one sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stowed:
    """The answer. `found` is None where no plan passes the statics, even with things left home.

    calm: how surely swings die away now, by stage, nothing where the model has no answer; wrong:
    limits that do not hold now as surely as asked and that the load touches; cure: the fewest and
    lightest moves that mend them, if any do.
    left: what stays home; least: whether by the rows around the plan no less may; unsure: what of
    it the spread alone keeps at home; conflict: why, in a sentence; weigh: whether the plan holds
    at the best estimate and not as surely as asked; stopped: somebody ended the search; hopeless:
    limits no stowing mends; water: runs of tanks whose level was chosen, as they are in the plan;
    unmended: what no load makes sure, that a plan or cure keeps from getting worse;
    boardings: what rolls or slides on over the tail, and what that does; slides: what slides to a
    better station before anything is moved.
    """

    rig: Rig
    target: float
    before: Assessment
    calm: tuple[Damped, ...]
    wrong: tuple[str, ...]
    cure: Cure | None
    found: Found | None
    order: Order | None
    left: tuple[str, ...]
    least: bool
    unsure: tuple[str, ...]
    conflict: str
    weigh: bool
    stopped: bool
    hopeless: tuple[str, ...]
    water: tuple[Run, ...]
    boardings: tuple[Boarding, ...]
    slides: tuple[Slide, ...]
    unmended: tuple[Unmended, ...]


def beforehand(found: Stowed) -> Load | None:
    """What staying home, sliding and the water chosen add at the first stage before any move, kg;
    None where there is none."""
    if found.order is None or not (found.left or found.water or found.slides):
        return None
    stage = found.before.stages[0]
    kg = {axle.name: axle.weight_kg.best for axle in stage.axles}
    now = Load(
        ball=stage.tongue.weight_kg.best,
        front=kg["front"],
        rear=kg["rear"],
        trailer=sum(part for name, part in kg.items() if name.startswith("trailer")),
    )
    return less(found.order.before, now)


def stow(
    rig: Rig,
    estimate: Estimate | None = None,
    wish: Wish | None = None,
    watch: Watch | None = None,
) -> Stowed:
    """Where everything should ride, at all stages at once.

    Raises StowError where nothing can be asked, and NoBalanceError for a rig that would tip over.
    """
    wish, watch = wish or Wish(), watch or Watch()
    _askable(rig, wish)
    scene = opened(rig, estimate, draws=wish.draws, seed=wish.seed)
    before, calm = assess(scene, tight=wish.confidence), damped(scene)
    target = middle_of_band(scene.rig) if wish.target is None else wish.target
    stands, slides = slid(scene, before, calm, target, wish.confidence)
    table = lay(stands, None, wish, calm=calm)
    start = now(table.rig)
    rows = rows_at(table, start)
    silent = Watch(stopped=watch.stopped)  # what is told of is a plan that can be stopped at
    cure = cured(table, start, before, silent)
    asked = table
    table = replace(table, firm=as_now(rows, before))
    fewer, beyond = _sought(table, start, watch), cure.unmended if cure else ()
    if fewer.sought.found is None and not watch.stopped():
        fewer, beyond = _beside(table, start, before, fewer, watch)
    if fewer.left and not wish.sway and not watch.stopped():
        fewer = _or_swaying(table, start, fewer, silent)
    found, table = fewer.sought.found, fewer.sought.table
    order = ordered(table, found.plan) if found else None
    if cure and found and order and not fewer.left:
        cure = fewer_moves(cure, cure_of(asked, table, start, found, order))
    return Stowed(
        rig=scene.rig,
        target=table.target,
        before=before,
        calm=calm,
        wrong=wrong(rows, before, wish.confidence),
        cure=cure,
        found=found,
        order=order,
        left=tuple(name for name in scene.rig.items if name in fewer.left),
        least=fewer.least,
        unsure=tuple(name for name in scene.rig.items if name in fewer.unsure),
        conflict=fewer.why,
        weigh=table.level > 0,
        stopped=watch.stopped(),
        hopeless=hopeless(rows),
        water=tuple(table.cargo.runs) if found else (),
        slides=tuple(one for one in slides if one.item not in fewer.left),
        unmended=beyond,
        boardings=tuple(
            one
            for one in boardings(scene.rig, scene.estimate, scene.stages)
            if one.item not in fewer.left
        ),
    )


def _sought(table: Table, start: Plan, watch: Watch) -> Fewer:
    """A plan for everything, as surely as asked or else at the best estimate, or for less of it."""
    sure = seek(table, start, watch)
    if sure.found is not None or watch.stopped():
        return Fewer(sought=sure)
    eased = _eased(table, start, watch)
    return Fewer(sought=eased) if eased else leaving(table, start, watch)


def _beside(
    table: Table, start: Plan, before: Assessment, fewer: Fewer, watch: Watch
) -> tuple[Fewer, tuple[Unmended, ...]]:
    """A plan beside what no load mends, of what may ride at the best estimate if not of everything.

    Failing that, one by which nothing gets worse; where the ball or sway itself is amiss, one by
    which nothing more is likelier over than not.
    """
    for known in beside(table, start, before):
        there = sparing(table, known)
        again = _sought(there, start, watch) if known else fewer
        if again.sought.found is None and not watch.stopped():
            even = replace(there, level=EVEN)
            both = [leaving(one, start, watch) for one in (even, replace(even, firm={}))]
            again = min(both, key=_gravity)  # the first of equals
        if again.sought.found is not None or watch.stopped():
            return again, known
    known = unmended(table, start, before, None)
    for level in (EVEN, 0) if _swings(table, before) else (0,):
        sought = _firmly(replace(sparing(table, known), level=level), start, watch)
        if sought.found is not None or watch.stopped():
            return Fewer(sought=sought), known
    return fewer, ()


def _or_swaying(table: Table, start: Plan, fewer: Fewer, watch: Watch) -> Fewer:
    """The same, saying so where nothing need stay home but for the damping that is kept."""
    free = replace(table, wish=replace(table.wish, sway=True), laid={})
    if not _eased(free, start, watch):
        return fewer
    words = "All of it has a place if too little damping may be likelier than now (--allow-sway)."
    return replace(fewer, why=f"{fewer.why} {words}".lstrip())


def _gravity(one: Fewer) -> float:
    """How grave what a plan leaves is; beyond all where there is none."""
    found = one.sought.found
    return severity(found.assessment.verdict) if found else float("inf")


def _swings(table: Table, before: Assessment) -> bool:
    """Whether too little damping, or a share on the ball beyond its band, is likelier than not."""
    bands = (limit for stage in before.stages for limit in stage.limits if limit.kind == "band")
    return any(one.undriven >= LIKELY for one in table.calm) or any(
        one.one_side >= LIKELY for one in bands
    )


def _askable(rig: Rig, wish: Wish) -> None:
    """What would leave nothing to solve, told at once and in words."""
    if not rig.items:
        raise StowError(path=("items",), due="something to stow", found="nothing")
    for name in wish.keep:
        if name not in rig.items:
            raise StowError(missing("items", name, rig.items, argument="keep"))
    for fault in hindered(rig, wish.keep):
        raise StowError(fault)


def _eased(table: Table, start: Plan, watch: Watch) -> Sought | None:
    """A plan for everything that holds at the best estimate, where the spread alone forbids one:
    as sure as can be, but at even chances at least; None where there is none."""
    likely = _firmly(replace(table, level=EVEN), start, watch)
    if likely.found is None or watch.stopped():
        return likely if likely.found else None
    surer = _firmly(replace(table, level=UNTOLD), likely.at, watch)
    return surer if surer.found else likely


def _firmly(table: Table, start: Plan, watch: Watch) -> Sought:
    """A plan by which nothing gets likelier not to hold; else, where something is likelier not to
    hold than to or nothing may stay as it is, one that makes other limits likelier."""
    firm = seek(table, start, watch)
    grave = any(one.chance >= LIKELY for one in table.firm.values())
    if firm.found is not None or watch.stopped():
        return firm
    if not grave and passes(table, start):
        return as_it_is(table, start)
    return seek(replace(table, firm={}), start, watch) if grave or table.level == EVEN else firm
