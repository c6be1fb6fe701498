"""Sway as the page asks for it: the stage in view, the speed asked about, one run."""

from collections.abc import Mapping
from typing import Final

import numpy as np

from steelyard.files.changes import AskError, asking
from steelyard.quantity import QuantityError, parse
from steelyard.scene import opened
from steelyard.swaying.stage_sway import asked_speed
from steelyard.swaying.time.simulate import Trace, run
from steelyard.swaying.time.standard_runs import USUAL, dies_out, machine_at, stays_straight, swings
from steelyard.web.work import Work

MANOEUVRES: Final[Mapping[str, str]] = {
    "gust": "a strong side gust",
    "truck": "a passing truck",
    "lane-change": "a lane change",
    "impulse": "a jerk at the wheel",
    "braking": "braking at 0.3 g",
}
"""What the disturbances of a usual size are called."""


def speed_of(text: str | None) -> float | None:
    """m/s; AskError where it is no speed."""
    if text is None:
        return None
    with asking(QuantityError, of="speed"):
        found = parse(text, "speed").value
    if not 0.0 < found < 70.0:
        raise AskError(f"speed: expected a road speed, found {text!r}")
    return found


def traced(work: Work, what: str, key: str, speed: str | None) -> tuple[Trace, float]:
    """One run at the best estimate, and the speed it was made at, m/s."""
    chosen = speed_of(speed)
    with asking(ValueError):
        u = asked_speed(work.rig, chosen)
        belief = opened(work.rig, work.estimate, draws=1).estimate
        return run(machine_at(work.rig, belief.at_mean(), key), u, USUAL[what]()), u


def told(trace: Trace, what: str) -> str:
    """What a run did."""
    most = np.degrees(swings(trace)[0])
    how = "it dies out" if dies_out(trace) else "it has not calmed when the run ends"
    name = MANOEUVRES[what]
    if stays_straight(trace):
        return f"{name[0].upper()}{name[1:]}: the trailer stays straight; nothing sets it swinging."
    return f"{name[0].upper()}{name[1:]}: the trailer swings {most:z.1f}° at most; {how}."
