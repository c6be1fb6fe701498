"""What one more pound in each place does, and how much each place, seat and tank can still take."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Final

import numpy as np

from steelyard.assessment.result import Assessment
from steelyard.estimate import Array, Values, draws
from steelyard.quantity import Value, parse, reported
from steelyard.ratings import Check, checks
from steelyard.rig import Place, Rig
from steelyard.scene import Scene
from steelyard.statics.ledger import Influence
from steelyard.statics.masses import Body, Mass, in_place
from steelyard.travel import StagePlan, chosen_stages
from steelyard.typical.vehicle import seat_names, seat_place

MOST: Final = 2000.0
"""kg: no place is asked whether it takes more than this."""
DRAWS: Final = 512
SLIGHT: Final = 0.02
"""kg of a limit's margin per kg added, below which a spot is taken not to move that limit."""
SHARE_PER_KG: Final = 1e-3
"""The same for limits that are shares or ratios: SLIGHT times this per kg."""
STEPS: Final = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Somewhere weight can go: a place, seat or tank; `room` caps it (kg, by size or level)."""

    name: str
    kind: str
    body: Body
    station: float
    offset: float
    height: float | None
    place: str | None
    room: float

    def weighing(self, rig: Rig, kg: Array, v: Values) -> Mass:
        """A weight (n,) here."""
        height = None if self.height is None else _metres(max(self.height, 0.0))
        where = rig.places.get(self.place or "")
        at, offset = _metres(self.station), _metres(self.offset)
        aside = offset if where is None else where.offset
        where = where or Place(on=self.body, station=at)
        return in_place(where, v, kg, self.station, aside, height, title=self.place)


def _metres(length: float) -> Value:
    return parse(f"{length} m", "length")


@dataclass(frozen=True, slots=True, kw_only=True)
class Headroom:
    """How much more a spot takes, kg: at the assessment's confidence and at the best estimate, each
    with the limit that stops it (None: nothing does below `most`); `effect` is per kg there."""

    spot: Annotated[Spot, reported.UNREPORTED]
    effect: Annotated[Influence, reported.Key("per_kg")]
    kg: Annotated[float, reported.KILOGRAM, reported.Key("takes")]
    stopped_by: str | None
    likely_kg: Annotated[float, reported.KILOGRAM, reported.Key("likely_takes")]
    likely_stopped_by: str | None


def headroom(found: Assessment, stage: str) -> tuple[Headroom, ...]:
    """Headroom of every place, seat and tank at one stage, limits judged with their spread."""
    rig = found.rig
    (plan,) = chosen_stages(rig, (stage,))
    centre = found.estimate.at_mean()
    spread = found.estimate.values(draws(found.estimate, DRAWS, found.seed))
    lever = next(one for one in found.stages if one.key == stage).levers
    rows = []
    for spot in spots(rig, plan, centre):
        kg, why = _most(rig, plan, spot, spread, found.tight)
        likely, likely_why = _most(rig, plan, spot, centre, 0.5)
        rows.append(
            Headroom(
                spot=spot,
                effect=lever.at(spot.body, spot.station),
                kg=kg,
                stopped_by=why,
                likely_kg=likely,
                likely_stopped_by=likely_why,
            )
        )
    return tuple(rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnAxles:
    """What one thing puts on every axle as driven; `kg` is its weight."""

    name: str
    body: Annotated[str, reported.Key("carried_by")]
    kg: Annotated[float, reported.KILOGRAM, reported.Key("weight")]
    front_kg: float
    rear_kg: float
    trailer_axles_kg: float


def on_axles(found: Assessment, stage: str) -> tuple[OnAxles, ...]:
    """What every weight of the rig puts on the axles at one stage, heaviest first."""
    (plan,) = chosen_stages(found.rig, (stage,))
    result = next(one for one in found.stages if one.key == stage)
    down, rows = float(np.cos(plan.grade)), []
    for entry in result.ledger.weights:
        effect = result.levers.at(entry.body, entry.station)
        rows.append(
            OnAxles(
                name=entry.name,
                body=entry.body,
                kg=entry.kg,
                front_kg=entry.kg * down * effect.front,
                rear_kg=entry.kg * down * effect.rear,
                trailer_axles_kg=entry.kg * down * sum(effect.trailer_axles),
            )
        )
    return tuple(sorted(rows, key=lambda one: -abs(one.kg)))


def spots(rig: Rig, plan: StagePlan, v: Values) -> list[Spot]:
    """Every place, seat and trailer tank of the rig."""
    found = []
    for name, place in rig.places.items():
        found.append(
            Spot(
                name=name,
                kind="place",
                body=place.on,
                station=place.station.value,
                offset=place.offset.value if place.offset else 0.0,
                height=place.height.value if place.height else None,
                place=name,
                room=MOST,
            )
        )
    for name in seat_names(rig):
        station, offset, height = seat_place(rig, name)
        found.append(
            Spot(
                name=name,
                kind="seat",
                body="vehicle",
                station=station,
                offset=offset,
                height=height,
                place=None,
                room=MOST,
            )
        )
    return found + [_tank(rig, plan, name, v) for name in rig.trailer.tanks]


def _tank(rig: Rig, plan: StagePlan, name: str, v: Values) -> Spot:
    tank = rig.trailer.tanks[name]
    level = float(np.asarray(v[f"stages.{plan.key}.tanks.{name}"]))
    capacity = float(np.asarray(v[f"trailer.tanks.{name}.capacity"]))
    return Spot(
        name=name,
        kind="tank",
        body="trailer",
        station=tank.station.value,
        offset=tank.offset.value if tank.offset else 0.0,
        height=tank.height.value if tank.height else 0.6,
        place=None,
        room=(1.0 - level) * capacity,
    )


def _most(
    rig: Rig, plan: StagePlan, spot: Spot, v: Values, tight: float
) -> tuple[float, str | None]:
    """Largest weight at a spot before any limit it eats into is due: a grid, then a finer one."""
    grid = np.concatenate([[0.0], MOST * 0.5 ** np.arange(STEPS - 2, -1, -1.0)])
    grid = np.unique(np.minimum(grid, spot.room))
    last, name = _first_crossing(grid, _margins(rig, plan, spot, v, grid, tight))
    if name is None:
        return float(grid[-1]), None
    if last < 0:
        return 0.0, name
    grid = np.linspace(grid[last], grid[last + 1], STEPS)
    return _interpolated(grid, _margins(rig, plan, spot, v, grid, tight))


def _interpolated(grid: Array, margins: Mapping[str, Array]) -> tuple[float, str | None]:
    """Where the first limit to break breaks, on a line between two grid points."""
    last, name = _first_crossing(grid, margins)
    if name is None:
        return float(grid[-1]), None
    if last < 0:
        return float(grid[0]), name
    row = margins[name]
    if row[last] < 0:  # broken and never mended
        return 0.0, name
    share = row[last] / max(row[last] - row[last + 1], 1e-300)
    return float(grid[last] + share * (grid[last + 1] - grid[last])), name


def _first_crossing(grid: Array, margins: Mapping[str, Array]) -> tuple[int, str | None]:
    """Last grid point before a limit breaks, and that limit; -1 if one is broken and worsening.

    A limit that is broken but mends as weight is added stops nothing until it worsens again.
    """
    best, culprit = len(grid), None
    slight = SLIGHT * (grid[-1] - grid[0])
    for name, row in margins.items():
        if row[0] - row.min() <= slight * (SHARE_PER_KG if np.abs(row).max() < 1 else 1):
            continue  # a spot that hardly moves a limit is not stopped by it
        worse = np.concatenate(
            [[row[-1] <= row[0] if len(row) < 2 else row[1] < row[0]], np.diff(row) < 0]
        )
        broken = np.flatnonzero((row < 0) & worse)
        if broken.size and broken[0] < best:
            best, culprit = int(broken[0]), name
    return best - 1, culprit


def _margins(
    rig: Rig, plan: StagePlan, spot: Spot, v: Values, grid: Array, tight: float
) -> Mapping[str, Array]:
    """Margin of each known limit at each weight (G,): its `tight` quantile over the draws."""
    sizes = [np.size(x) for x in v.values()]
    n = max(sizes)
    tiled = {name: np.tile(x, len(grid)) if np.size(x) == n > 1 else x for name, x in v.items()}
    more = spot.weighing(rig, np.repeat(grid, n), tiled)
    case = Scene(rig=rig, stages=(plan,), values=tiled, extra=(more,))
    known = [check for check in checks(case) if check.high is not None]
    return {check.title: _margin(check, len(grid), n, tight) for check in known}


def _margin(check: Check, steps: int, n: int, tight: float) -> Array:
    value = np.broadcast_to(check.value, (1, steps * n)).reshape(steps, n)
    high = np.broadcast_to(np.asarray(check.high), (1, steps * n)).reshape(steps, n)
    margin = high - value
    if check.low is not None:
        low = np.broadcast_to(check.low, (1, steps * n)).reshape(steps, n)
        margin = np.minimum(margin, value - low)
    return np.asarray(np.quantile(margin / check.size, tight, axis=1))
