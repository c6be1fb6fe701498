"""The plan: linear rows, solve, linear rows again, until it repeats; then the statics decide."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final

import numpy as np

from steelyard.assessment import Assessment, assess
from steelyard.assessment.damped import Damped, damped
from steelyard.estimate import Array, Estimate
from steelyard.ratings import TIGHT, load_rulebook
from steelyard.rig import Place, Rig
from steelyard.scene import Opening, opened, region_of
from steelyard.statics.linkage import group_station
from steelyard.stowing.arrange import Plan, arranged, believed
from steelyard.stowing.kernel import stopped_at
from steelyard.stowing.linear import (
    SAMPLES,
    STEADY,
    Rows,
    Side,
    Spot,
    allowed,
    heights,
    levels,
    linearise,
    spots_of,
    tail_of,
)
from steelyard.stowing.problem import (
    Cargo,
    Problem,
    build,
    family,
    holds,
    poured_on,
    predicted,
)
from steelyard.stowing.program import NEAR, SMALL, Effort, Goal, Watch
from steelyard.stowing.solve import Solved, solve
from steelyard.stowing.water import askable, moved_runs, poured, runs, tank_spots
from steelyard.trip import StagePlan, plan_stages
from steelyard.typical import trailer_style

ROUNDS: Final = 4
"""Times the rows are laid anew around a plan."""
REPAIRS: Final = 8
"""Times a plan that the statics refuse is solved again, its violation in the margin; one that
returns doubles it."""
LAST: Final = 2.0
"""s for each repair once somebody has stopped the search: the best plan is made to pass."""
UNTOLD: Final = 1
EVEN: Final = 2
"""Levels at which a plan may hold where it is the spread that forbids it: no graver than tight, and
at even chances."""
POURED: Final = 0.5
"""kg of water that is not worth another round."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is asked: items kept where they are, the share aimed at (None: middle of the band), the
    chance of exceeding a limit may have, and how hard to look. `water`: tanks whose level may be
    chosen, each with the share it must be filled to at least; `moves`: no more than so many; `sway`
    is whether a plan may make too little damping likelier than now."""

    keep: tuple[str, ...] = ()
    target: float | None = None
    confidence: float = TIGHT
    effort: Effort = field(default_factory=Effort)
    draws: int = 4096
    seed: int = 0
    water: Mapping[str, float] = field(default_factory=dict)
    moves: int | None = None
    sway: bool = False


@dataclass(frozen=True, kw_only=True)
class Table:
    """What every round of one question shares. Things and places stand in the order of their names,
    whatever the file's: so an answer does not depend on it. calm: how surely swings die away now,
    by stage, over all draws, and `few` over those behind the rows; `level` of `levels` at which
    limits are to hold."""

    rig: Rig
    estimate: Estimate
    plans: tuple[StagePlan, ...]
    wish: Wish
    target: float
    spots: tuple[Spot, ...]
    patterns: tuple[frozenset[str], ...]
    cargo: Cargo
    tanks: Mapping[str, Place]
    calm: tuple[Damped, ...]
    few: tuple[Damped, ...]
    level: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A plan that the statics pass: item to place, its goals, its assessment, and how it was found.

    off: kg by which the linear rows and the statics differ at most, over all limits and stages;
    calm: how surely swings die away by it, by stage; unbound: kg that the ball could come near its
    target at least if no limit stood in the way, and `stop` the limit that does, if one does.
    """

    plan: dict[str, str]
    goals: tuple[Goal, ...]
    assessment: Assessment
    calm: tuple[Damped, ...]
    rounds: int
    off: float
    interrupted: bool
    unbound: float
    stop: Side | None

    @property
    def proven(self) -> bool:
        """Whether no plan brings the ball nearer, but for how near is near enough: of what the
        statics decide, since sums of weights alone say so and no row laid around a plan."""
        return bool(self.goals) and self.goals[0].value <= self.unbound + NEAR


def lay(rig: Rig | Opening, estimate: Estimate | None, wish: Wish) -> Table:
    """Everything that stays the same while plans come and go."""
    scene = opened(rig, estimate, draws=wish.draws, seed=wish.seed)
    rig, estimate, plans = by_name(scene.rig), scene.estimate, scene.stages
    values = estimate.at_mean()
    askable(rig, wish.water)
    waters = runs(rig, plans, values, wish.water)
    tanks, wet = tank_spots(rig, waters)
    aboard = {
        name: frozenset(plan.key for plan in plans if name in plan.items) for name in rig.items
    }
    poured_at = {frozenset(run.stages) for run in waters}
    patterns = tuple(sorted({*aboard.values(), *poured_at}, key=sorted)) or (frozenset(),)
    spots = (*spots_of(rig), *wet)
    cargo = Cargo(
        rig=rig,
        spots=spots,
        patterns=patterns,
        aboard=aboard,
        weights={name: float(values[f"items.{name}.weight"]) for name in rig.items},
        inertia=_inertia(rig, estimate, spots),
        keep=wish.keep,
        stages=len(plans),
        runs=waters,
        moves=wish.moves,
    )
    return Table(
        rig=rig,
        estimate=estimate,
        plans=plans,
        wish=wish,
        target=wish.target if wish.target is not None else middle_of_band(rig),
        spots=spots,
        patterns=patterns,
        cargo=cargo,
        tanks=tanks,
        calm=damped(scene),
        few=() if wish.sway else damped(scene, samples=SAMPLES),
    )


def by_name(rig: Rig) -> Rig:
    """The rig with its things and places in the order of their names."""
    items, places = (dict(sorted(x.items())) for x in (rig.items, rig.places))
    return rig.model_copy(update={"items": items, "places": places})


def watered(table: Table, kg: Array) -> Table:
    """The same question with so many kg more in each run, whatever else rides where."""
    rig, estimate = poured(table.rig, table.estimate, table.cargo.runs, list(kg))
    cargo = replace(table.cargo, rig=rig, runs=moved_runs(table.cargo.runs, list(kg)))
    return replace(table, rig=rig, estimate=estimate, cargo=cargo)


def middle_of_band(rig: Rig) -> float:
    """The middle of the tongue band that holds for this rig."""
    pin = rig.hitch.kind in ("fifth-wheel", "gooseneck")
    name = "fifth-wheel" if pin else str(trailer_style(rig.trailer.style)["band"])
    band = load_rulebook(region_of(rig)).band(name).value
    return float(band["low"] + band["high"]) / 2


def _inertia(rig: Rig, estimate: Estimate, spots: Sequence[Spot]) -> dict[Spot, float]:
    """m2: squared distance from the trailer's axles or the vehicle's middle, and the ground."""
    values = estimate.at_mean()
    axle = float(np.ravel(group_station(rig, values))[0])
    middle = float(np.ravel(values["vehicle.wheelbase"])[0]) / 2
    inside = [spot for spot in spots if spot.place in rig.places]
    high = heights(rig, estimate, inside) if rig.items else np.zeros(len(inside))
    return {
        spot: (spot.station - (axle if rig.places[spot.place].on == "trailer" else middle)) ** 2
        + float(z) ** 2
        for spot, z in zip(inside, high, strict=True)
    }


def rows_at(table: Table, plan: Plan, draws: int | None = None) -> Rows:
    """The rows around a plan, with the spread of as many draws as the statics will judge it by."""
    rig = arranged(table.rig, plan)
    rows = linearise(
        rig,
        believed(table.estimate, table.rig, rig),
        plan_stages(rig),
        table.spots,
        table.patterns,
        confidence=table.wish.confidence,
        draws=draws or table.wish.draws,
        seed=table.wish.seed,
        more=table.tanks,
        calm=table.few,
    )
    return rows.eased(table.level) if table.level else rows


def problem_at(
    table: Table, plan: Plan, rows: Rows, margin: Array, items: Sequence[str] | None = None
) -> Problem:
    """The program around a plan; what no arrangement mends is left out of it.

    items: what is to ride, where that is more than rides in the plan.
    """
    return build(table.cargo, rows, plan, margin, table.target, items)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """The statics' own answer for a plan, how surely swings die away by it, and kg by which it
    lacks the damping asked for at each stage (S,), where it must have it."""

    assessment: Assessment
    calm: tuple[Damped, ...]
    lack: Array


def assessed(table: Table, plan: Plan) -> Judged:
    """The statics and the sway model on a plan, over all draws."""
    rig = arranged(table.rig, plan)
    belief = believed(table.estimate, table.rig, rig)
    scene = opened(rig, belief, draws=table.wish.draws, seed=table.wish.seed)
    found = assess(scene, tight=table.wish.confidence)
    calm = damped(scene)
    return Judged(assessment=found, calm=calm, lack=_lack(table, calm))


def _lack(table: Table, calm: Sequence[Damped]) -> Array:
    """What damping lacks at each stage (S,) by all draws, kg by `STEADY`; nothing unasked."""
    if not table.few or not calm:
        return np.zeros(len(table.plans))
    each = zip(calm, allowed(table.calm), strict=True)
    return np.array([tail_of((one.asked - one.drawn) * STEADY, most) for one, most in each])


@dataclass(frozen=True, slots=True, kw_only=True)
class Sought:
    """Where a search ended: a plan, or the last one tried `at` with the `margin` that it lacks;
    `table` has the water it chose."""

    table: Table
    found: Found | None
    at: dict[str, str]
    margin: Array


def seek(table: Table, start: Plan, watch: Watch) -> Sought:
    """A plan for everything in `start` that the statics pass, if one is found."""
    at = dict(start)
    rows = rows_at(table, at)
    if not at:
        return _bare(table, rows)
    margin, used, off = np.zeros(len(rows.base)), 0, 0.0
    tried: list[dict[str, str]] = []
    for _ in range(REPAIRS):
        hurried, effort = watch, table.wish.effort
        if watch.stopped():
            hurried, effort = Watch(tell=watch.tell), replace(effort, seconds=LAST)
        table, solved, at, rows, told, rounds = _settled(table, at, rows, margin, effort, hurried)
        used, off = used + rounds, max(off, told)
        if solved is None:
            break
        found = assessed(table, at)
        extra = refused(table, found, rows_at(table, at))
        if extra is None:
            plan = Found(
                plan=at,
                goals=solved.goals,
                assessment=found.assessment,
                calm=found.calm,
                rounds=used,
                off=off,
                interrupted=watch.stopped(),
                **_stop(table, at, rows, margin, solved.goals),
            )
            return Sought(table=table, found=plan, at=at, margin=margin)
        again = at in tried
        tried.append(at)
        margin = margin + np.where(extra > 0, np.maximum(extra, margin if again else 0.0), 0.0)
    return Sought(table=table, found=None, at=at, margin=margin)


def _stop(
    table: Table, at: Plan, rows: Rows, margin: Array, goals: Sequence[Goal]
) -> dict[str, Any]:
    """How near the ball could come with no limit in the way, and the limit that is most so."""
    free, binding = stopped_at(problem_at(table, at, rows, margin))
    found = next((side for side in rows.sides if family(side) == binding), None)
    far = bool(goals) and goals[0].value > free + NEAR
    return {"unbound": free, "stop": found if far else None}


def _bare(table: Table, rows: Rows) -> Sought:
    """Nothing to arrange: the statics alone say whether the rig passes with nothing aboard."""
    passed = refused(table, assessed(table, {}), rows) is None
    nothing = Sought(table=table, found=None, at={}, margin=np.zeros(len(rows.base)))
    return as_it_is(table, {}) if passed else nothing


def as_it_is(table: Table, plan: Plan) -> Sought:
    """A plan that is known to pass, without any goal sought."""
    found = as_judged(plan, assessed(table, plan))
    return Sought(table=table, found=found, at=dict(plan), margin=np.zeros(0))


def as_judged(plan: Plan, found: Judged) -> Found:
    """A plan with what the statics and the sway model say of it, without any goal."""
    return Found(
        plan=dict(plan),
        goals=(),
        assessment=found.assessment,
        calm=found.calm,
        rounds=0,
        off=0.0,
        interrupted=False,
        unbound=0.0,
        stop=None,
    )


def _settled(
    table: Table,
    at: dict[str, str],
    rows: Rows,
    margin: Array,
    effort: Effort,
    watch: Watch,
) -> tuple[Table, Solved | None, dict[str, str], Rows, float, int]:
    """Solve and lay the rows anew around what was found, until it repeats.

    Returns the table with the water chosen, what was solved last (None where nothing fits), its
    plan and rows, by how many kg rows and statics differed at most, and the rounds it took.
    """
    off, solved = 0.0, None
    for number in range(1, ROUNDS + 1):
        problem = problem_at(table, at, rows, margin)
        if solved is not None and (watch.stopped() or _stands(problem, at, off)):
            return table, solved, at, rows, off, number - 1
        solved = solve(problem, _part(effort, number), watch)
        plan = at if solved is None else problem.plan(solved.counts)
        if solved is None or (plan == at and np.all(np.abs(solved.poured) < POURED)):
            return table, solved, at, rows, off, number
        told = predicted(table.cargo, rows, at, plan)
        if solved.poured.size:
            told = told + poured_on(table.cargo, rows.slope) @ solved.poured
            table = watered(table, solved.poured)
        at, rows = plan, rows_at(table, plan)
        off = float(np.max(np.abs(told - rows.base)[~rows.sways], initial=off))
    return table, solved, at, rows, off, ROUNDS


def _stands(problem: Problem, at: Plan, off: float) -> bool:
    """Whether a large plan holds by the rows laid at itself, which hardly differ from the last."""
    if problem.allowed.size <= SMALL or off > NEAR / 4:
        return False
    used = np.tensordot(problem.limits.take, problem.counts(at), 2)
    return bool(np.all(used <= problem.limits.room + 1e-6))


def _part(effort: Effort, number: int) -> Effort:
    """The time of one round: half of all for the first, then half of what is left."""
    return replace(effort, seconds=max(effort.seconds * 0.5**number, 0.5))


def refused(table: Table, found: Judged, rows: Rows) -> Array | None:
    """What to add to each row's margin, kg, where the statics do not pass a plan, or swings die
    away less surely by it than they may; else None.

    Limits that are broken whatever one does with the load are told apart, not planned around.
    """
    most = levels(table.wish.confidence)[table.level]
    bad = {
        (limit.name, number)
        for number, stage in enumerate(found.assessment.stages)
        for limit in stage.limits
        if limit.verdict != "unknown" and limit.chance >= most
    }
    excess = rows.base + rows.allowance
    hit = np.array([(side.name, side.stage) in bad for side in rows.sides], dtype=bool)
    hit &= excess > -0.05 * np.abs(rows.allowance)
    lack = np.array([found.lack[s.stage] if s.sways else 0.0 for s in rows.sides])
    hit = (hit | (lack > 0)) & rows.movable
    if not hit.any():
        return None
    return np.where(hit, np.maximum(np.maximum(excess, lack), 0.0) + 0.5, 0.0)


def passes(table: Table, plan: Plan) -> bool:
    """Whether the statics pass a plan that keeps every rule between things and every size."""
    rows = rows_at(table, plan)
    if plan:
        problem = problem_at(table, plan, rows, np.zeros(len(rows.base)))
        if not holds(problem, problem.counts(plan)):
            return False
    return refused(table, assessed(table, plan), rows) is None


def hopeless(rows: Rows) -> tuple[str, ...]:
    """Limits that are broken whatever is done with the load, in words."""
    broken = ~rows.movable & (rows.base + rows.allowance > 0)
    return tuple(dict.fromkeys(family(rows.sides[k]) for k in np.flatnonzero(broken)))
