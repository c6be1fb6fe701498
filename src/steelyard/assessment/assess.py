"""The one call: loads, ledger and standings of a rig at all its stages, with their spread."""

from collections.abc import Mapping

import numpy as np

from steelyard.assessment.assumed import assumptions, at_stencil, widened_by
from steelyard.assessment.result import (
    Assessment,
    Attitude,
    AxleLoad,
    Spread,
    StageResult,
    Tongue,
)
from steelyard.estimate import Array, Estimate, drawn, from_stencil, marginal, stencil
from steelyard.quantity import Z95
from steelyard.ratings import TIGHT, Case, Check, Standing, checks, judge, load_rulebook
from steelyard.rig import Rig
from steelyard.statics import Ledger, Loads, ledgers, loads, prior
from steelyard.trip import StagePlan, crewed, plan_stages, travelled
from steelyard.typical import fill, only_sways

DEFAULT_REGION = "north-america"


def assess(
    rig: Rig,
    estimate: Estimate | None = None,
    stages: tuple[str, ...] | None = None,
    draws: int = 4096,
    seed: int = 0,
    tight: float = TIGHT,
) -> Assessment:
    """Everything Steelyard knows of a rig: loads, tongue weight, ledger, limits, at each stage.

    estimate: a belief sharper than the rig file's own, from a weighing; stages: keys to look at,
    all by default; draws: Latin hypercube draws behind every spread and chance; tight: the chance
    of exceeding from which a limit is called tight. Raises ValueError for a stage that isn't
    there, and its kind NoBalanceError for a rig that would tip over.

    >>> from steelyard import Rig, assess
    >>> rig = Rig(
    ...     vehicle={"class": "half-ton-crew-cab"},
    ...     trailer={"style": "rear-living", "empty": {"weight": "6300 lb"}},
    ... )
    >>> assess(rig).verdict
    'tight'
    """
    listed, rig = rig.people, crewed(travelled(rig))
    plans = _chosen(plan_stages(rig), stages)
    if estimate is None:
        own = prior(rig)
        estimate, sheet = own.estimate, own.sheet
    else:
        sheet = fill(rig)
    belief = _on_loads(estimate)
    values = drawn(belief, draws, seed, stencil(belief))
    found = loads(rig, values, plans)
    _require_balance(found, plans)
    region = rig.region or DEFAULT_REGION
    case = Case(rig=rig, loads=found, values=values, stages=plans, rulebook=load_rulebook(region))
    todo, books = checks(case), ledgers(rig, belief.at_mean(), plans)
    assumed = assumptions(sheet, belief, found.share)
    results = tuple(
        _stage(found, belief, todo, plans, number, draws, tight, books[number])
        for number in range(len(plans))
    )
    return Assessment(
        rig=rig,
        estimate=estimate,
        stages=results,
        assumed=assumed,
        remarks=(*sheet.remarks, *_tipping(found, plans, draws), *_remarks(rig, results)),
        missing=tuple(what for what, there in _listed(rig, people=bool(listed)) if not there),
        region=region,
        draws=draws,
        seed=seed,
        tight=tight,
    )


def _on_loads(estimate: Estimate) -> Estimate:
    """The belief without what bears on sway alone: fewer parameters to draw."""
    return marginal(estimate, [name for name in estimate.names if not only_sways(name)])


class NoBalanceError(ValueError):
    """The rig as described cannot stand: some axle would leave the ground and stay up."""


def _require_balance(found: Loads, plans: tuple[StagePlan, ...]) -> None:
    """Say plainly, rather than in NaNs, that the best estimate of a stage does not stand."""
    for number, plan in enumerate(plans):
        if not np.all(np.isfinite(found.tongue[number, 0])):
            raise NoBalanceError(
                f"{plan.title}: expected a rig that stands on its wheels, found one that would tip;"
                " look at weights, stations and axle places"
            )


def _listed(rig: Rig, *, people: bool) -> tuple[tuple[str, bool], ...]:
    """What rides, and whether the file lists any of it."""
    carriers = {rig.places[item.place].on for item in rig.items.values()}
    return (
        ("people", people),
        ("cargo in the vehicle", "vehicle" in carriers),
        ("cargo in the trailer", "trailer" in carriers),
    )


def _tipping(found: Loads, plans: tuple[StagePlan, ...], n: int) -> list[str]:
    """Stages at which some draws of the estimate would not stand; each counts as exceeding."""
    said = []
    for number, plan in enumerate(plans):
        share = float(np.mean(np.isnan(found.tongue[number, -n:])))
        if share > 0:
            said.append(
                f"{plan.title}: {100 * share:.1f} % of what is possible would tip over; those count"
                " against every limit and are left out of the spreads"
            )
    return said


def _chosen(plans: tuple[StagePlan, ...], wanted: tuple[str, ...] | None) -> tuple[StagePlan, ...]:
    if wanted is None:
        return plans
    known = {plan.key: plan for plan in plans}
    for key in wanted:
        if key not in known:
            raise ValueError(f'expected a stage ({", ".join(known)}), found "{key}"')
    return tuple(known[key] for key in wanted)


def _spread(x: Array, stage: int, n: int) -> Spread:
    row = x[stage] if x.shape[0] > stage else x[0]
    if row.size == 1:
        only = float(row[0])
        return Spread(value=only, sd=0.0, low=only, high=only)
    drawn = row[-n:]
    if np.isnan(drawn).any():
        drawn = drawn[~np.isnan(drawn)]  # draws that would tip have no load: see `_tipping`
    low, high = _tails(drawn)
    return Spread(value=float(row[0]), sd=float(np.std(drawn)), low=low, high=high)


def _tails(row: Array) -> tuple[float, float]:
    """The 2.5 and 97.5 percentiles as `np.percentile` has them, at a third of its cost."""
    if row.size == 0:
        return float("nan"), float("nan")
    places = np.array([0.025, 0.975]) * (row.size - 1)
    below = places.astype(int)
    above = np.minimum(below + 1, row.size - 1)
    sorted_there = np.partition(row, (*below, *above))
    step = sorted_there[above] - sorted_there[below]
    low, high = sorted_there[below] + (places - below) * step
    return float(low), float(high)


def _stage(
    found: Loads,
    estimate: Estimate,
    todo: list[Check],
    plans: tuple[StagePlan, ...],
    number: int,
    n: int,
    tight: float,
    books: tuple[Ledger, Ledger],
) -> StageResult:
    judged = [judge(check, number, len(plans), n, tight) for check in todo]
    widened = {
        standing.name: widened_by(check, estimate, number)
        for check, standing in zip(todo, judged, strict=True)
        if standing.verdict == "tight"
    }
    limits = tuple(standing for standing in judged if not standing.note)
    return StageResult(
        key=plans[number].key,
        title=plans[number].title,
        trailer=_spread(found.trailer, number, n),
        vehicle=_spread(found.vehicle, number, n),
        tongue=_tongue(found, number, n),
        axles=_axles(found, number, n),
        attitude=_attitude(found, number, n),
        limits=limits,
        notes=tuple(standing for standing in judged if standing.note),
        deciding=_least(limits),
        governing=_least([standing for standing in limits if standing.chain]),
        ledger=books[0],
        driven=books[1],
        linear_share=_linear(found, estimate, number),
        widened=widened,
    )


def _least(limits: tuple[Standing, ...] | list[Standing]) -> Standing | None:
    known = [standing for standing in limits if standing.verdict != "unknown"]
    return min(known, key=lambda standing: standing.room, default=None)


def _tongue(found: Loads, stage: int, n: int) -> Tongue:
    restored = found.restoration[stage]
    fitted = bool(np.any(found.bar_moment)) and bool(np.isfinite(restored[0]))
    return Tongue(
        weight=_spread(found.tongue, stage, n),
        share=_spread(found.share, stage, n),
        net=_spread(found.net, stage, n),
        contact=_spread(found.contact, stage, n),
        bar_moment=_spread(found.bar_moment, stage, n),
        restoration=_spread(np.nan_to_num(found.restoration), stage, n) if fitted else None,
    )


def _axles(found: Loads, stage: int, n: int) -> tuple[AxleLoad, ...]:
    names = ["front", "rear", *(f"trailer {i + 1}" for i in range(len(found.trailer_axles)))]
    whole = [found.front, found.rear, *found.trailer_axles]
    alone = [found.front_alone, found.rear_alone, *([None] * len(found.trailer_axles))]
    sides = {(wheel.axle, wheel.side): wheel.load for wheel in found.wheels}
    return tuple(
        AxleLoad(
            name=name,
            load=_spread(load, stage, n),
            left=_spread(sides[name, "left"], stage, n),
            right=_spread(sides[name, "right"], stage, n),
            alone=None if bare is None else _spread(bare, stage, n).value,
        )
        for name, load, bare in zip(names, whole, alone, strict=True)
    )


def _attitude(found: Loads, stage: int, n: int) -> Attitude:
    heights = found.heights
    return Attitude(
        ball_height=_spread(heights.ball, stage, n),
        front_drop=_spread(heights.front_drop, stage, n),
        rear_drop=_spread(heights.rear_drop, stage, n),
        trailer_pitch=_spread(heights.trailer_pitch, stage, n),
        vehicle_pitch=_spread(heights.vehicle_pitch, stage, n),
    )


def _linear(found: Loads, estimate: Estimate, stage: int) -> Spread:
    """Tongue share by linear propagation, to be held against the draws."""
    linear = from_stencil(estimate, at_stencil(found.share, estimate, stage))
    mean, sd = float(linear.mean), float(linear.sd)
    return Spread(value=mean, sd=sd, low=mean - Z95 * sd, high=mean + Z95 * sd)


def _remarks(rig: Rig, results: tuple[StageResult, ...]) -> list[str]:
    """Contradictions among the ratings themselves, in words."""
    found = []
    if rig.region is None:
        found.append(f"region: not stated, rules of {DEFAULT_REGION} taken")
    vehicle = rig.vehicle
    stated = vehicle.weight
    if vehicle.gvwr and vehicle.payload and stated and stated.includes is None:
        built = vehicle.gvwr.value - vehicle.payload.value
        if stated.value > built:
            found.append(
                "vehicle.weight: more than GVWR less placard payload; one of the three is not this"
                " vehicle's (49 CFR 567.4)"
            )
    found += _band_conflicts(results)
    return found


def _band_conflicts(results: tuple[StageResult, ...]) -> list[str]:
    """Where the tongue band and a rated tongue weight cannot both hold, the rating wins."""
    worst: Mapping[str, str] = {}
    for stage in results:
        bands = [s for s in (*stage.limits, *stage.notes) if s.name == "tongue-band"]
        caps = [s for s in stage.limits if s.name.endswith((".tongue", ".s")) and s.rating > 0]
        for cap in caps:
            if (
                bands
                and bands[0].side == "under"
                and cap.rating < bands[0].rating * stage.trailer.value
            ):
                text = (
                    f"{stage.title}: the tongue share's floor and the rating of {cap.title} cannot"
                    " both hold at this trailer weight; the rating wins"
                )
                worst = {**worst, cap.name: text}
    return list(worst.values())
