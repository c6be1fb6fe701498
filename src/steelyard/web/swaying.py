"""Sway as the page asks for it: the stage in view, the speed asked about, one run."""

from collections.abc import Callable, Mapping
from typing import Final

import numpy as np

from steelyard.assessment import Spread
from steelyard.quantity import Z95, QuantityError, parse
from steelyard.statics import loads, prior
from steelyard.sway import (
    Disturbance,
    Trace,
    braking,
    glance,
    gust,
    lane_change,
    machine,
    passing_truck,
    run,
    steer_impulse,
)
from steelyard.trip import crewed, plan_stages
from steelyard.web.apart import apart
from steelyard.web.state import AskError, Work

WIND: Final = 12.0
"""m/s, a side gust of one second: a fresh to strong breeze."""
TRUCK: Final = 1500.0
"""N: greatest side force of a passing truck on the trailer (assumed: no published value found)."""
MANOEUVRES: Final[Mapping[str, tuple[str, Callable[[], Disturbance]]]] = {
    "gust": ("a side gust of 12 m/s (27 mph)", lambda: gust(WIND)),
    "truck": ("a passing truck", lambda: passing_truck(TRUCK)),
    "lane-change": ("a lane change", lambda: lane_change(0.02)),
    "impulse": ("a jerk at the wheel", lambda: steer_impulse(0.03)),
    "braking": ("braking at 0.3 g", lambda: braking(3.0)),
}


def speed_of(text: str | None) -> float | None:
    """m/s; AskError where it is no speed."""
    if text is None:
        return None
    try:
        found = parse(text, "speed").value
    except QuantityError as error:
        raise AskError(f"speed: {error}") from None
    if not 0.0 < found < 70.0:
        raise AskError(f"speed: expected a road speed, found {text!r}")
    return found


def dampings(work: Work) -> tuple[Spread, ...]:
    """Damping ratio at the rig's own speed at each stage, its spread from the draws."""
    try:
        found = [apart(glance, work.rig, work.estimate, stage.key) for stage in work.found.stages]
    except ValueError as error:
        raise AskError(str(error)) from None
    return tuple(
        Spread(
            value=float(one.at_damping.value),
            sd=float(one.at_damping.high - one.at_damping.low) / (2 * Z95),
            low=float(one.at_damping.low),
            high=float(one.at_damping.high),
        )
        for one in found
    )


def traced(work: Work, what: str, stage: str | None, speed: str | None) -> tuple[Trace, float]:
    """One run at the best estimate, and the speed it was made at, m/s."""
    rig = crewed(work.rig)
    key = stage or work.found.worst_stage.key
    plan = next((one for one in plan_stages(rig) if one.key == key), None)
    if plan is None:
        raise AskError(f'There is no stage "{key}".')
    chosen = speed_of(speed)
    try:
        u = chosen or glance(work.rig, work.estimate, key).chosen_speed
        belief = work.estimate or prior(rig).estimate
        v = belief.at_mean()
        built = machine(rig, v, loads(rig, v, (plan,)))
        return run(built, u, MANOEUVRES[what][1]()), u
    except ValueError as error:
        raise AskError(str(error)) from None


def told(trace: Trace, what: str) -> str:
    """What a run did."""
    angle = np.degrees(np.abs(trace.of("angle")))
    most, late = float(np.max(angle)), float(np.max(angle[trace.times > trace.times[-1] - 2.0]))
    how = "it dies out" if late < 0.3 * most else "it has not calmed when the run ends"
    name = MANOEUVRES[what][0]
    return f"{name[0].upper()}{name[1:]}: the trailer swings {most:.1f}° at most; {how}."
