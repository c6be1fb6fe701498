"""Every limit as a linear row: what one more kilogram in each spot does, by the statics itself."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from steelyard.assessment import DEFAULT_REGION, on_loads
from steelyard.estimate import Array, Estimate, Values, drawn
from steelyard.quantity import GRAVITY, Value, parse
from steelyard.ratings import Case, Check, checks, load_rulebook
from steelyard.rig import Item, Place, Rig
from steelyard.statics import Loads, loads
from steelyard.statics.masses import masses
from steelyard.trip import StagePlan

STEP: Final = 10.0
"""kg put into a spot to see what it does."""
TIPPED: Final = 1e5
"""kg by which a rig that tips over exceeds every limit: more than any load could mend."""
MEASURES: Final = ("weight", "share", "ratio", "force")
"""Limits on anything else do not ask where things ride."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a kilogram may stand: a place, or an item's own stated spot within it."""

    place: str
    station: float
    offset: Value | None
    height: Value | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One edge of one limit at one stage, for people; `band`: the limit has another edge too."""

    name: str
    title: str
    stage: int
    under: bool
    band: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Limits around one plan, in kg: `base` (K,) is how far each is exceeded at best estimate
    (negative: room), `allowance` (K,) what its spread adds at the stated confidence, `slope`
    (K, A, Q) what one more kg does, by pattern of stages aboard (A) and spot (Q).

    tongue and trailer (S,) kg with their slopes (S, A, Q) serve the first goal.
    """

    sides: tuple[Side, ...]
    base: Array
    allowance: Array
    slope: Array
    tongue: Array
    trailer: Array
    tongue_slope: Array
    trailer_slope: Array


def spots_of(rig: Rig) -> tuple[Spot, ...]:
    """Every place's own centre, then each stated spot that an item has now."""
    found = [
        Spot(name, place.station.value, place.offset, None) for name, place in rig.places.items()
    ]
    for item in rig.items.values():
        if own_spot(rig, item) not in found:
            found.append(own_spot(rig, item))
    return tuple(found)


def own_spot(rig: Rig, item: Item) -> Spot:
    """The spot an item has in the place where it is."""
    place = rig.places[item.place]
    station = item.station or place.station
    return Spot(item.place, station.value, item.offset or place.offset, item.height)


def linearise(
    rig: Rig,
    estimate: Estimate,
    plans: tuple[StagePlan, ...],
    spots: Sequence[Spot],
    patterns: Sequence[frozenset[str]],
    *,
    confidence: float,
    draws: int,
    seed: int,
    more: Mapping[str, Place] | None = None,
) -> Rows:
    """Rows of a rig around how it is packed; `patterns` are sets of stages (keys) aboard.

    `more` are places that spots name and the rig does not have, such as its tanks.
    """
    whole = rig.model_copy(update={"places": {**rig.places, **(more or {})}})
    probed, aboard = _with_probes(whole, plans, spots, patterns)
    count = len(spots) * len(patterns)
    values = _probe_values(estimate.at_mean(), probed, spots, patterns)
    case = _case(probed, values, aboard)
    belief = on_loads(estimate)  # the draws of `assess`: what holds here holds there
    spread = drawn(belief, draws, seed, belief.mean[None])
    wide = _case(rig, spread, plans)
    sides, base, allowance, slope = [], [], [], []
    for narrow, broad in zip(checks(case), checks(wide), strict=True):
        if narrow.high is None or narrow.measure not in MEASURES:
            continue
        for under in (False, True) if narrow.low is not None else (False,):
            excess = excess_of(narrow, case.loads, len(plans), count + 1, under=under)
            loose = excess_of(broad, wide.loads, len(plans), draws + 1, under=under)
            base.append(excess[:, 0])
            slope.append((excess[:, 1:] - excess[:, :1]) / STEP)
            tail = np.quantile(loose[:, 1:], 1.0 - confidence, axis=1, method="higher")
            allowance.append(tail - loose[:, 0])
            sides += [
                Side(
                    name=narrow.name,
                    title=narrow.title,
                    stage=stage,
                    under=under,
                    band=narrow.low is not None,
                )
                for stage in range(len(plans))
            ]
    shape = (-1, len(patterns), len(spots))
    tongue, trailer = (x / GRAVITY for x in (case.loads.tongue, case.loads.trailer))
    tongue, trailer = (np.broadcast_to(x, (len(plans), count + 1)) for x in (tongue, trailer))
    return Rows(
        sides=tuple(sides),
        base=np.concatenate(base),
        allowance=np.concatenate(allowance),
        slope=np.concatenate(slope).reshape(shape),
        tongue=tongue[:, 0],
        trailer=trailer[:, 0],
        tongue_slope=np.nan_to_num((tongue[:, 1:] - tongue[:, :1]) / STEP).reshape(shape),
        trailer_slope=np.nan_to_num((trailer[:, 1:] - trailer[:, :1]) / STEP).reshape(shape),
    )


def _case(rig: Rig, values: Values, plans: tuple[StagePlan, ...]) -> Case:
    return Case(
        rig=rig,
        loads=loads(rig, values, plans),
        values=values,
        stages=plans,
        rulebook=load_rulebook(rig.region or DEFAULT_REGION),
    )


def excess_of(check: Check, found: Loads, stages: int, n: int, *, under: bool) -> Array:
    """How far a limit is exceeded, (S, n): kg for weights, and for shares kg of the trailer; what
    would tip over exceeds them all."""
    edge = check.low if under else check.high
    over = np.asarray(check.value) - np.asarray(edge)
    over = -over if under else over
    if check.measure == "share":
        over = over * found.trailer / GRAVITY
    elif check.measure in ("weight", "force"):
        over = over / GRAVITY
    else:
        over = over * found.vehicle / GRAVITY
    over = np.where(np.isnan(over), TIPPED, over)
    return np.broadcast_to(over, (stages, n)) if over.ndim else np.full((stages, n), over)


def _probe(pattern: int, spot: int) -> str:
    return f"probe {pattern} {spot}"


def _with_probes(
    rig: Rig,
    plans: tuple[StagePlan, ...],
    spots: Sequence[Spot],
    patterns: Sequence[frozenset[str]],
) -> tuple[Rig, tuple[StagePlan, ...]]:
    """The rig with a weightless item in every spot for each pattern of stages aboard."""
    nothing = parse("0 kg", "mass")
    items = dict(rig.items)
    for a in range(len(patterns)):
        for q, spot in enumerate(spots):
            items[_probe(a, q)] = Item(
                weight=nothing, place=spot.place, offset=spot.offset, height=spot.height
            )
    aboard = tuple(
        StagePlan(
            key=plan.key,
            title=plan.title,
            people=plan.people,
            items=plan.items
            | {
                _probe(a, q)
                for a, pattern in enumerate(patterns)
                for q in range(len(spots))
                if plan.key in pattern
            },
            grade=plan.grade,
        )
        for plan in plans
    )
    return rig.model_copy(update={"items": items}), aboard


def _probe_values(
    centre: Values, rig: Rig, spots: Sequence[Spot], patterns: Sequence[frozenset[str]]
) -> dict[str, Array]:
    """Values (1 + A·Q,): nothing anywhere, then `STEP` in one spot after the other."""
    del rig
    count = len(spots) * len(patterns)
    values = {name: np.asarray(x) for name, x in centre.items()}
    for a in range(len(patterns)):
        for q, spot in enumerate(spots):
            kg = np.zeros(count + 1)
            kg[1 + a * len(spots) + q] = STEP
            values[f"items.{_probe(a, q)}.weight"] = kg
            values[f"items.{_probe(a, q)}.station"] = np.asarray(spot.station)
    return values


def heights(
    rig: Rig, estimate: Estimate, plans: tuple[StagePlan, ...], spots: Sequence[Spot]
) -> Array:
    """Height of a thing in each spot, m above ground, (Q,)."""
    probed, aboard = _with_probes(rig, plans, spots, [frozenset()])
    values = _probe_values(estimate.at_mean(), probed, spots, [frozenset()])
    rows = {row.name: row for row in masses(probed, aboard, values)}
    return np.array([float(np.ravel(rows[_probe(0, q)].height)[0]) for q in range(len(spots))])
