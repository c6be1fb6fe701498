"""Up the grade: pull, grip of the driven tyres, drive force and power against what it takes."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from steelyard.braking.footing import Footing, Rolling
from steelyard.braking.grade import (
    climbing_force,
    force_grade,
    power_needed,
    speed_held,
    traction_grade,
)
from steelyard.braking.result import Climb
from steelyard.braking.settings import Settings
from steelyard.braking.stage_ranges import chance, row, spread
from steelyard.braking.transfer import apparent, friction_used
from steelyard.estimate import Array, Values
from steelyard.rig import Rig


@dataclass(frozen=True, kw_only=True)
class Upward:
    """Arrays (S, 1 + n) of a steady climb; None where the rig file leaves unsaid what it takes."""

    driven: str | None
    footing: Footing
    needed: Array
    friction: Array
    used: Array | None
    traction: Array | None
    force: Array | None
    forced: Array | None
    power: Array
    engine: Array | None
    held: Array | None


def upward(rig: Rig, v: Values, moving: Rolling, level: Footing, asked: Settings) -> Upward:
    """Everything about the climb, for all stages and draws at once.

    A steady climb needs the drive force alone, so launching is the same question with nothing to
    spare; what is over goes into gaining speed.
    """
    slope = float(np.arctan(asked.grade))
    footing = moving.at(slope, apparent(0.0, slope), 0.0)
    mass, c = moving.mass, np.maximum(v["road.rolling"], 0.0)
    needed = climbing_force(mass, slope, c)
    area, eta = np.maximum(v["road.drag_area"], 0.1), np.clip(v["road.driveline"], 0.05, 1.0)
    grip, driven = np.maximum(v["road.friction"], 0.0), rig.vehicle.driven
    driving = None if driven is None else (_driven(footing, driven), _driven(level, driven))
    force, engine = v.get("road.drive_force"), v.get("road.engine_power")
    tilt = max(asked.grade, 1e-9)
    return Upward(
        driven=driven,
        footing=footing,
        needed=needed,
        friction=grip,
        used=None if driving is None else friction_used(needed, driving[0]),
        traction=None
        if driving is None
        else traction_grade(
            driving[1], (driving[0] / np.cos(slope) - driving[1]) / tilt, mass, c, grip
        ),
        force=force,
        forced=None if force is None else force_grade(force, mass, c),
        power=power_needed(needed, asked.speed, area, eta),
        engine=engine,
        held=None if engine is None else speed_held(engine, needed, area, eta),
    )


def _driven(footing: Footing, driven: str) -> Array:
    """Load of the driven axle or axles, N."""
    by_word = {"front": footing.front, "rear": footing.rear, "all": footing.front + footing.rear}
    return by_word[driven]


def climb(up: Upward, asked: Settings, number: int) -> Climb:
    """One stage's answer."""
    like = up.footing.front

    def at(x: Any) -> Array:
        return row(x, number, like)

    slips = None if up.used is None else chance(~(at(up.used) <= at(up.friction)))
    short = None if up.force is None else chance(at(up.needed) > at(up.force))
    return Climb(
        driven=up.driven,
        needed=spread(at(up.needed)),
        used=None if up.used is None else spread(at(up.used)),
        slips=slips,
        traction=None if up.traction is None else spread(at(up.traction)),
        forced=None if up.forced is None else spread(at(up.forced)),
        short=short,
        power=spread(at(up.power)),
        held=None if up.held is None else spread(at(up.held)),
        slower=None if up.held is None else chance(at(up.held) < asked.speed),
    )
