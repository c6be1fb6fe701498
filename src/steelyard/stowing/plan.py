"""The plan: linear rows, solve, linear rows again, until it repeats; then the statics decide."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from steelyard.assessment import Assessment, assess
from steelyard.estimate import Array, Estimate
from steelyard.ratings import TIGHT, load_rulebook
from steelyard.rig import Place, Rig
from steelyard.scene import opened, region_of
from steelyard.statics.linkage import group_station
from steelyard.stowing.arrange import Plan, arranged, believed
from steelyard.stowing.linear import Rows, Spot, heights, linearise, spots_of
from steelyard.stowing.problem import Cargo, Problem, build, family, poured_on, predicted
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
POURED: Final = 0.5
"""kg of water that is not worth another round."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is asked: items kept where they are, the share aimed at (None: middle of the band), the
    chance of exceeding a limit may have, and how hard to look. `water`: tanks whose level may be
    chosen, each with the share it must be filled to at least."""

    keep: tuple[str, ...] = ()
    target: float | None = None
    confidence: float = TIGHT
    effort: Effort = field(default_factory=Effort)
    draws: int = 4096
    seed: int = 0
    water: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Table:
    """What every round of one question shares."""

    rig: Rig
    estimate: Estimate
    plans: tuple[StagePlan, ...]
    wish: Wish
    target: float
    spots: tuple[Spot, ...]
    patterns: tuple[frozenset[str], ...]
    cargo: Cargo
    tanks: Mapping[str, Place]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A plan that the statics pass: item to place, its goals, its assessment, and how it was found.

    off: kg by which the linear rows and the statics differ at most, over all limits and stages.
    """

    plan: dict[str, str]
    goals: tuple[Goal, ...]
    assessment: Assessment
    rounds: int
    off: float
    interrupted: bool


def lay(rig: Rig, estimate: Estimate | None, wish: Wish) -> Table:
    """Everything that stays the same while plans come and go."""
    scene = opened(rig, estimate, draws=1)
    rig, estimate, plans = scene.rig, scene.estimate, scene.stages
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
    )


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
    return linearise(
        rig,
        believed(table.estimate, table.rig, rig),
        plan_stages(rig),
        table.spots,
        table.patterns,
        confidence=table.wish.confidence,
        draws=draws or table.wish.draws,
        seed=table.wish.seed,
        more=table.tanks,
    )


def problem_at(
    table: Table, plan: Plan, rows: Rows, margin: Array, items: Sequence[str] | None = None
) -> Problem:
    """The program around a plan; what no arrangement mends is left out of it.

    items: what is to ride, where that is more than rides in the plan.
    """
    return build(table.cargo, rows, plan, margin, table.target, items)


def assessed(table: Table, plan: Plan) -> Assessment:
    """The statics' own answer for a plan."""
    rig = arranged(table.rig, plan)
    return assess(
        rig,
        estimate=believed(table.estimate, table.rig, rig),
        draws=table.wish.draws,
        seed=table.wish.seed,
        tight=table.wish.confidence,
    )


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
    refused: list[dict[str, str]] = []
    for _ in range(REPAIRS):
        hurried, effort = watch, table.wish.effort
        if watch.stopped():
            hurried, effort = Watch(tell=watch.tell), replace(effort, seconds=LAST)
        table, solved, at, rows, told, rounds = _settled(table, at, rows, margin, effort, hurried)
        used, off = used + rounds, max(off, told)
        if solved is None:
            break
        found = assessed(table, at)
        extra = _refused(found, rows_at(table, at))
        if extra is None:
            plan = Found(
                plan=at,
                goals=solved.goals,
                assessment=found,
                rounds=used,
                off=off,
                interrupted=watch.stopped(),
            )
            return Sought(table=table, found=plan, at=at, margin=margin)
        again = at in refused
        refused.append(at)
        margin = margin + np.where(extra > 0, np.maximum(extra, margin if again else 0.0), 0.0)
    return Sought(table=table, found=None, at=at, margin=margin)


def _bare(table: Table, rows: Rows) -> Sought:
    """Nothing to arrange: the statics alone say whether the rig passes with nothing aboard."""
    found = assessed(table, {})
    plan = Found(plan={}, goals=(), assessment=found, rounds=0, off=0.0, interrupted=False)
    passed = _refused(found, rows) is None
    return Sought(
        table=table, found=plan if passed else None, at={}, margin=np.zeros(len(rows.base))
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
        off = float(np.max(np.abs(told - rows.base), initial=off))
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


def _refused(found: Assessment, rows: Rows) -> Array | None:
    """What to add to each row's margin, kg, where the statics do not pass a plan; else None.

    Limits that are broken whatever one does with the load are told apart, not planned around.
    """
    bad = {
        (limit.name, number)
        for number, stage in enumerate(found.stages)
        for limit in stage.limits
        if limit.verdict in ("tight", "cannot tell", "exceeded")
    }
    movable = np.any(np.abs(rows.slope) > 1e-9, axis=(1, 2))
    excess = rows.base + rows.allowance
    hit = np.array([(side.name, side.stage) in bad for side in rows.sides], dtype=bool)
    hit &= movable & (excess > -0.05 * np.abs(rows.allowance))
    if not hit.any():
        return None
    return np.where(hit, np.maximum(excess, 0.0) + 0.5, 0.0)


def hopeless(rows: Rows) -> tuple[str, ...]:
    """Limits that are broken whatever is done with the load, in words."""
    still = ~np.any(np.abs(rows.slope) > 1e-9, axis=(1, 2))
    broken = still & (rows.base + rows.allowance > 0)
    return tuple(dict.fromkeys(family(rows.sides[k]) for k in np.flatnonzero(broken)))
