"""Water that may be chosen: how much a tank carries from each filling to the next.

What is used on the way stays used: the stages from one filling to the next rise and fall together,
and the tank must hold at its filling what is drawn from it before the next. Grey and black tanks
take what is used, so they do not change.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from steelyard.estimate import Estimate, Values
from steelyard.fault import FaultError, missing
from steelyard.quantity import Level, Value
from steelyard.rig import Place, Rig
from steelyard.stowing.linear import Spot
from steelyard.stowing.what_if import filled, refilled
from steelyard.travel import StagePlan

FRESH: Final = ("fresh", "water")
RISE: Final = 1e-6
"""Share by which a tank fuller than at the stage before was filled."""


class WaterError(FaultError):
    """A tank whose level cannot be chosen; one sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A tank from one filling to the next: levels (shares) at its stages, which move together by
    between `low` and `high`; capacity in kg."""

    tank: str
    stages: tuple[str, ...]
    levels: tuple[float, ...]
    capacity: float
    low: float
    high: float


def runs(
    rig: Rig, plans: Sequence[StagePlan], v: Values, free: Mapping[str, float]
) -> tuple[Run, ...]:
    """Every run of the tanks in `free`, each with the share it must at least be filled to."""
    found = []
    for tank, least in free.items():
        levels = {plan.key: _level(rig, plan.key, tank, v) for plan in plans}
        for keys in _fillings(levels):
            here = tuple(levels[key] for key in keys)
            used = here[0] - min(here)
            low = max(used, least) - here[0]
            found.append(
                Run(
                    tank=tank,
                    stages=keys,
                    levels=here,
                    capacity=float(np.ravel(v[f"trailer.tanks.{tank}.capacity"])[0]),
                    low=min(low, 0.0),
                    high=1.0 - here[0],
                )
            )
    return tuple(found)


def _level(rig: Rig, stage: str, tank: str, v: Values) -> float:
    stated = rig.stages[stage].tanks.get(tank) if stage in rig.stages else None
    if stated is not None and stated.share is not None:
        return stated.share.value
    if stated is not None and stated.volume is not None:
        return stated.volume.value / rig.trailer.tanks[tank].capacity.value
    return float(np.ravel(v[f"stages.{stage}.tanks.{tank}"])[0])


def _fillings(levels: Mapping[str, float]) -> list[tuple[str, ...]]:
    """Stages from each filling to the next."""
    found: list[list[str]] = []
    before = -1.0
    for key, level in levels.items():
        if level > before + RISE:
            found.append([])
        found[-1].append(key)
        before = level
    return [tuple(keys) for keys in found]


def askable(rig: Rig, free: Mapping[str, float]) -> None:
    """Raise WaterError for a tank that is none, holds no fresh water, or has no stages."""
    if free and not rig.stages:
        due = "a rig with stages, whose levels to choose"
        raise WaterError(argument="free_water", due=due, found="none")
    able = [name for name, tank in rig.trailer.tanks.items() if tank.content in FRESH]
    for name in free:
        if name not in able:
            raise WaterError(missing("tanks of fresh water", name, able, argument="free_water"))


def tank_spots(rig: Rig, found: Sequence[Run]) -> tuple[dict[str, Place], list[Spot]]:
    """A place for each tank in which a kilogram may be put, and its spot."""
    places, spots = {}, []
    for name in dict.fromkeys(run.tank for run in found):
        tank = rig.trailer.tanks[name]
        key = f"tank {name}"
        places[key] = Place(on="trailer", station=tank.station, offset=tank.offset)
        height = tank.height or _usual()
        spots.append(Spot(key, tank.station.value, tank.offset or _none(), height))
    return places, spots


def _usual() -> Value:
    """Height of a tank that states none, as the statics take it."""
    return Value(value=0.6, sd=None, basis="assumed", includes=None, kind=None, text="0.6 m")


def _none() -> Value:
    return Value(value=0.0, sd=None, basis="assumed", includes=None, kind=None, text="0 m")


def poured(
    rig: Rig, estimate: Estimate, found: Sequence[Run], kg: Sequence[float]
) -> tuple[Rig, Estimate]:
    """The rig and the belief once each run carries so many kg more."""
    levels: dict[tuple[str, str], Level] = {}
    for run, more in zip(found, kg, strict=True):
        for stage, level in zip(run.stages, run.levels, strict=True):
            share = min(max(level + more / run.capacity, 0.0), 1.0)
            levels[stage, run.tank] = level_of(share)
    after = filled(rig, levels)
    belief = refilled(estimate, after, levels)
    return after.model_copy(update={"felt": {}}), belief


def moved_runs(found: Sequence[Run], kg: Sequence[float]) -> tuple[Run, ...]:
    """The runs once so many kg more are in each, their bounds counted from there."""
    moved = []
    for run, more in zip(found, kg, strict=True):
        share = more / run.capacity
        levels = tuple(level + share for level in run.levels)
        moved.append(replace(run, levels=levels, low=run.low - share, high=run.high - share))
    return tuple(moved)


def level_of(share: float) -> Level:
    """A level as if the file stated it."""
    text = f"{100 * share:.4g} %"
    stated = Value(value=share, sd=None, basis="stated", includes=None, kind=None, text=text)
    return Level(share=stated, volume=None)
