"""Disturbances of a usual size, the machine of one stage, and what a run came to."""

from collections.abc import Callable, Mapping
from typing import Final

import numpy as np

from steelyard.estimate import Values
from steelyard.rig import Rig
from steelyard.scene import under_way
from steelyard.statics.loads import loads
from steelyard.swaying.time.inputs import (
    Disturbance,
    braking,
    gust,
    lane_change,
    passing_truck,
    steer_impulse,
)
from steelyard.swaying.time.machine import Machine, machine
from steelyard.swaying.time.simulate import Trace
from steelyard.travel import chosen_stages

WIND: Final = 12.0
"""m/s, a side gust of one second: a strong breeze (assumed: a round number)."""
TRUCK: Final = 1500.0
"""N: greatest side force of a passing truck on the trailer (assumed: no published value found)."""
USUAL: Final[Mapping[str, Callable[[], Disturbance]]] = {
    "gust": lambda: gust(WIND),
    "truck": lambda: passing_truck(TRUCK),
    "lane-change": lambda: lane_change(0.02),
    "impulse": lambda: steer_impulse(0.03),
    "braking": lambda: braking(3.0),
}
"""Road-wheel steer of 1.1 and 1.7 degrees, slowing of 0.3 g."""
STRAIGHT: Final = np.radians(0.05)
"""rad, a trailer's angle that nobody would see (assumed)."""
LATE, DIED = 2.0, 0.3
"""s at the end of a run, and the part of the greatest swing under which it has died out there."""


def machine_at(rig: Rig, v: Values, stage: str, friction: float = 0.0) -> Machine:
    """The machine of one stage of a rig; friction: dry, at the coupling, N m, that of what is
    fitted where it is 0.

    Raises ValueError for a stage that is not there.
    """
    rig = under_way(rig)
    friction = friction or fitted_friction(rig)
    found = loads(rig, v, chosen_stages(rig, (stage,)))
    return machine(rig, v, found, friction=friction)


def fitted_friction(rig: Rig) -> float:
    """Dry friction of the sway control that is fitted, N m; 0 where its moment is not stated, since
    no source says what one of its kind has."""
    fitted = rig.hitch.sway_control
    return fitted.moment.value if fitted is not None and fitted.moment is not None else 0.0


def swings(trace: Trace) -> tuple[float, float]:
    """Greatest angle of the trailer, and the greatest in the last two seconds, rad."""
    angle = np.abs(trace.of("angle"))
    return float(np.max(angle)), float(np.max(angle[trace.times > trace.times[-1] - LATE]))


def stays_straight(trace: Trace) -> bool:
    """Whether nothing set it swinging, so that it tells nothing of how a swing dies out."""
    return bool(swings(trace)[0] < STRAIGHT)


def dies_out(trace: Trace) -> bool:
    """Whether the swing is small when the run ends."""
    most, late = swings(trace)
    return late < DIED * most
