"""What is asked, and what every round of one question shares: things, places, rows, belief."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from steelyard.assessment.damped import Damped, damped
from steelyard.estimate import Array, Estimate
from steelyard.ratings import TIGHT, load_rulebook
from steelyard.rig import Place, Rig
from steelyard.scene import Opening, opened, region_of
from steelyard.statics.linkage import group_station
from steelyard.stowing.arrange import Plan, arranged, believed
from steelyard.stowing.linear import Edge, Rows, Spared, Spot, heights, linearise, spots_of
from steelyard.stowing.problem import Cargo, Problem, build
from steelyard.stowing.program import Effort
from steelyard.stowing.water import askable, moved_runs, poured, runs, tank_spots
from steelyard.travel import StagePlan, plan_stages
from steelyard.typical.shipped_tables import trailer_style


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
    by stage; `level` of `levels` at which limits are to hold; `laid`: rows already laid; `spared`:
    edges that no load mends and that are to get no worse; `firm`: limits as they are now, by
    name and stage, of which none is to get likelier not to hold."""

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
    level: int = 0
    spared: Mapping[Edge, Spared] = field(default_factory=dict)
    firm: Mapping[tuple[str, int], Spared] = field(default_factory=dict)
    laid: dict[object, Rows] = field(default_factory=dict, repr=False, compare=False)


def lay(
    rig: Rig | Opening,
    estimate: Estimate | None,
    wish: Wish,
    calm: tuple[Damped, ...] | None = None,
) -> Table:
    """Everything that stays the same while plans come and go.

    calm: how surely swings die away now, where that is not of this rig: something has slid.
    """
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
        calm=damped(scene) if calm is None else calm,
    )


def by_name(rig: Rig) -> Rig:
    """The rig with its things and places in the order of their names."""
    items, places = (dict(sorted(x.items())) for x in (rig.items, rig.places))
    return rig.model_copy(update={"items": items, "places": places})


def watered(table: Table, kg: Array) -> Table:
    """The same question with so many kg more in each run, whatever else rides where."""
    rig, estimate = poured(table.rig, table.estimate, table.cargo.runs, list(kg))
    cargo = replace(table.cargo, rig=rig, runs=moved_runs(table.cargo.runs, list(kg)))
    return replace(table, rig=rig, estimate=estimate, cargo=cargo, laid={})


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
    draws = draws or table.wish.draws
    key = (tuple(plan.items()), draws, tuple(one.undriven for one in table.calm))
    if key not in table.laid:
        table.laid[key] = _laid(table, plan, draws)
    rows = table.laid[key]
    rows = rows.eased(table.level) if table.level else rows
    rows = rows.spared(table.spared) if table.spared else rows
    return rows.firm(table.firm) if table.firm else rows


def _laid(table: Table, plan: Plan, draws: int) -> Rows:
    rig = arranged(table.rig, plan)
    return linearise(
        rig,
        believed(table.estimate, table.rig, rig),
        plan_stages(rig),
        table.spots,
        table.patterns,
        confidence=table.wish.confidence,
        draws=draws,
        seed=table.wish.seed,
        more=table.tanks,
        calm=() if table.wish.sway else table.calm,
    )


def problem_at(
    table: Table, plan: Plan, rows: Rows, margin: Array, items: Sequence[str] | None = None
) -> Problem:
    """The program around a plan; what no arrangement mends is left out of it.

    items: what is to ride, where that is more than rides in the plan.
    """
    return build(table.cargo, rows, plan, margin, table.target, items)
