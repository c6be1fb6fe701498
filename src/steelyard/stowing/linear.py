"""Every limit as a linear row: what one more kilogram in each spot does, by the statics itself."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.assessment.damped import Damped, damping
from steelyard.estimate import Array, Estimate, Values, drawn
from steelyard.fault import Fault, FaultError
from steelyard.quantity import GRAVITY, Value
from steelyard.ratings import LIKELY, TIGHT, UNSURE, Check, checks, questions
from steelyard.rig import Item, Place, Rig
from steelyard.scene import Scene
from steelyard.statics.loads import Loads
from steelyard.statics.masses import Mass, in_place
from steelyard.travel import StagePlan

STEP: Final = 10.0
"""kg put into a spot to see what it does."""
TIPPED: Final = 1e5
"""kg by which a rig that tips over exceeds every limit: more than any load could mend."""
MEASURES: Final = ("weight", "share", "ratio", "force")
"""Limits on anything else do not ask where things ride."""
DAMPING: Final = "damping of a swing"
"""What the rows of sway are called."""
STEADY: Final = 3000.0
"""kg that one whole damping ratio is worth in a row: 100 kg moved alter it by some hundredths."""


Edge = tuple[str, int, bool]
"""A limit, at a stage, from below or not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spared:
    """What an edge that no load mends is to stay under: kg over it at the best estimate now, and
    its limit's chance of not holding."""

    over: float
    chance: float


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a kilogram may stand: a place, or an item's own stated spot within it."""

    place: str
    station: float
    offset: Value | None
    height: Value | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One edge of one limit at one stage, for people; `band`: the limit has another edge too.

    rating: the edge at best estimate, SI, as its `measure` has it."""

    name: str
    title: str
    stage: int
    under: bool
    band: bool
    rating: float = math.nan
    measure: str = "weight"

    @property
    def edge(self) -> "Edge":
        """What it is known by, whatever a plan does to its rating."""
        return self.name, self.stage, self.under

    @property
    def sways(self) -> bool:
        """Whether it is no limit but the damping asked for."""
        return self.name == DAMPING


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Limits around one plan, in kg: `base` (K,) is how far each is exceeded at best estimate
    (negative: room), `allowance` (K,) what its spread adds at the confidence asked for, `slope`
    (K, A, Q) what one more kg does, by pattern of stages aboard (A) and spot (Q). `tails` (L, K)
    are allowances at the confidence asked for, where nobody can tell, and at even chances.

    tongue and trailer (S,) kg with their slopes (S, A, Q) serve the first goal.
    """

    sides: tuple[Side, ...]
    base: Array
    allowance: Array
    tails: Array
    slope: Array
    tongue: Array
    trailer: Array
    tongue_slope: Array
    trailer_slope: Array

    @property
    def sways(self) -> NDArray[np.bool_]:
        """Rows that are no limit but the damping asked for, (K,)."""
        return np.array([side.sways for side in self.sides], dtype=bool)

    @property
    def movable(self) -> NDArray[np.bool_]:
        """Rows that anything aboard touches, (K,)."""
        return np.asarray(np.any(np.abs(self.slope) > 1e-9, axis=(1, 2)))

    @property
    def touched(self) -> frozenset[tuple[str, int]]:
        """Names of limits, with the stage, that anything aboard touches."""
        each = zip(self.sides, self.movable, strict=True)
        return frozenset((side.name, side.stage) for side, on in each if on)

    def eased(self, level: int) -> "Rows":
        """The same with the allowance of another level of `tails`."""
        return replace(self, allowance=self.tails[level])

    def spared(self, most: Mapping["Edge", "Spared"]) -> "Rows":
        """The same, but no more asked of these edges than to get no worse at the best estimate."""
        now = [-most[s.edge].over if s.edge in most else np.inf for s in self.sides]
        return replace(
            self, tails=np.minimum(self.tails, now), allowance=np.minimum(self.allowance, now)
        )

    def firm(self, now: Mapping[tuple[str, int], "Spared"]) -> "Rows":
        """The same, but no limit may lose room at the best estimate that it needs to be as sure as
        asked, or has now where that is less."""
        none = Spared(over=np.inf, chance=1.0)
        room = np.array([-now.get(side.edge[:2], none).over for side in self.sides])
        return replace(self, allowance=np.maximum(self.allowance, np.minimum(room, self.tails[0])))


def levels(confidence: float) -> tuple[float, ...]:
    """Chances of not holding at which a plan is looked for, one after the other."""
    return (confidence, max(UNSURE, confidence), max(LIKELY, confidence))


def allowed(calm: Sequence[Damped]) -> Array:
    """Chance that damping may be too little at each stage, (S,): no more than now, but `TIGHT`."""
    return np.array([max(TIGHT, one.undriven) for one in calm])


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
    calm: Sequence[Damped] = (),
) -> Rows:
    """Rows of a rig around how it is packed; `patterns` are sets of stages (keys) aboard.

    `more` are places that spots name and the rig does not have, such as its tanks; `calm` is how
    surely swings die away now, by stage. FaultError where no limit is known, with what is asked.
    """
    places = {**rig.places, **(more or {})}
    count = len(spots) * len(patterns)
    centre = estimate.at_mean()
    probes = _probes(places, centre, plans, spots, patterns)
    case = Scene(rig=rig, stages=plans, values=centre, extra=probes)
    spread = drawn(estimate, draws, seed, estimate.mean[None])  # as `assess` draws
    wide = Scene(rig=rig, stages=plans, values=spread)
    chances = levels(confidence)
    sides, base, tails, slope = _limit_rows(case, wide, chances)
    if not sides:
        raise FaultError(*(one.fault for one in questions(rig)), Fault(due="a limit with a rating"))
    found = _swaying(case, wide, calm) if calm else None
    if found is not None:
        base.append(found[0])
        tails.append(np.repeat(found[1][None], len(chances), axis=0))
        slope.append(found[2])
        sides += [_damping_side(one, stage) for stage, one in enumerate(calm)]
    shape = (-1, len(patterns), len(spots))
    tongue, trailer = (x / GRAVITY for x in (case.loads.tongue, case.loads.trailer))
    tongue, trailer = (np.broadcast_to(x, (len(plans), count + 1)) for x in (tongue, trailer))
    wings = np.concatenate(tails, axis=1)
    return Rows(
        sides=tuple(sides),
        base=np.concatenate(base),
        allowance=wings[0],
        tails=wings,
        slope=np.concatenate(slope).reshape(shape),
        tongue=tongue[:, 0],
        trailer=trailer[:, 0],
        tongue_slope=np.nan_to_num((tongue[:, 1:] - tongue[:, :1]) / STEP).reshape(shape),
        trailer_slope=np.nan_to_num((trailer[:, 1:] - trailer[:, :1]) / STEP).reshape(shape),
    )


def _limit_rows(
    case: Scene, wide: Scene, chances: Sequence[float]
) -> tuple[list[Side], list[Array], list[Array], list[Array]]:
    """Edges of every limit that asks where things ride: base (S,), tails (L, S), slope (S, A·Q)."""
    sides: list[Side] = []
    base, tails, slope = [], [], []
    stages, at = len(case.stages), np.subtract(1.0, chances)
    count, draws = (one.loads.tongue.shape[-1] for one in (case, wide))
    for narrow, broad in zip(checks(case), checks(wide), strict=True):
        if narrow.high is None or narrow.advice or narrow.measure not in MEASURES:
            continue
        for under in (False, True) if narrow.low is not None else (False,):
            excess = excess_of(narrow, case.loads, stages, count, under=under)
            loose = excess_of(broad, wide.loads, stages, draws, under=under)
            base.append(excess[:, 0])
            slope.append((excess[:, 1:] - excess[:, :1]) / STEP)
            tails.append(np.quantile(loose[:, 1:], at, axis=1, method="higher") - loose[:, 0])
            sides += sides_of(narrow, stages, under=under)
    return sides, base, tails, slope


def sides_of(check: Check, stages: int, *, under: bool) -> list[Side]:
    """One edge of a check at each stage."""
    edge = np.ravel(np.asarray(check.low if under else check.high, dtype=float))
    return [
        Side(
            name=check.name,
            title=check.title,
            stage=stage,
            under=under,
            band=check.low is not None,
            rating=float(edge[0]),
            measure=check.measure,
        )
        for stage in range(stages)
    ]


def _damping_side(one: Damped, stage: int) -> Side:
    return Side(name=DAMPING, title=DAMPING, stage=stage, under=True, band=False, rating=one.asked)


def _swaying(case: Scene, wide: Scene, calm: Sequence[Damped]) -> tuple[Array, Array, Array] | None:
    """Rows of damping: base (S,), the allowance (S,) at the chance allowed at each stage, slope
    (S, A·Q), in kg by `STEADY`; None where the model has no answer."""
    steps, spread = (damping(one, calm[0].speed) for one in (case, wide))
    if steps is None or spread is None:
        return None
    lack = (calm[0].asked - spread) * STEADY
    heard = calm[0].heard
    tail = np.array([tail_of(x[1:], q, heard) for x, q in zip(lack, allowed(calm), strict=True)])
    return (
        (calm[0].asked - steps[:, 0]) * STEADY,
        tail - lack[:, 0],
        (steps[:, :1] - steps[:, 1:]) * STEADY / STEP,
    )


def tail_of(excess: Array, chance: float, heard: Array | None = None) -> float:
    """What no more than such a part of draws (n,) is above, nor of them by weight where what was
    felt gives them weights (n,)."""
    if heard is not None and len(heard) == len(excess):
        order = np.argsort(-excess)
        above = np.cumsum(heard[order]) / heard.sum()
        first = min(int(np.searchsorted(above, chance + 1e-9, "right")), len(order) - 1)
        return max(tail_of(excess, chance), float(excess[order[first]]))
    most = int(np.floor(chance * len(excess) + 1e-9))
    place = len(excess) - 1 - min(most, len(excess) - 1)
    return float(np.partition(excess, place)[place])


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


def _probes(
    places: Mapping[str, Place],
    centre: Values,
    plans: tuple[StagePlan, ...],
    spots: Sequence[Spot],
    patterns: Sequence[frozenset[str]],
) -> tuple[Mass, ...]:
    """A weight in each spot for each pattern of stages aboard, (S, 1 + A·Q): nothing anywhere in
    the first column, then `STEP` in one spot after the other."""
    size = 1 + len(patterns) * len(spots)
    found = []
    for a, pattern in enumerate(patterns):
        aboard = np.array([[plan.key in pattern] for plan in plans], dtype=float)
        for q, spot in enumerate(spots):
            kg = aboard * np.where(np.arange(size) == 1 + a * len(spots) + q, STEP, 0.0)
            found.append(_in_spot(places, centre, spot, kg))
    return tuple(found)


def _in_spot(places: Mapping[str, Place], v: Values, spot: Spot, kg: Array) -> Mass:
    return in_place(
        places[spot.place], v, kg, spot.station, spot.offset, spot.height, title=spot.place
    )


def heights(rig: Rig, estimate: Estimate, spots: Sequence[Spot]) -> Array:
    """Height of a thing in each spot, m above ground, (Q,)."""
    centre = estimate.at_mean()
    found = [_in_spot(rig.places, centre, spot, np.zeros(())) for spot in spots]
    return np.array([float(np.ravel(one.height)[0]) for one in found])
