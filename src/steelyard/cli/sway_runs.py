"""Runs in time behind `steelyard sway`: one at the best estimate, or one for every draw."""

import sys
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from typing import Any, Final, Literal

import click
import numpy as np

from steelyard.cli.words import paragraph
from steelyard.estimate import Estimate, Values, draws
from steelyard.quantity import System, percent, shown
from steelyard.rig import Rig
from steelyard.statics import loads, prior
from steelyard.sway import (
    Disturbance,
    Machine,
    Runs,
    StageSway,
    Trace,
    batch,
    braking,
    growing_amplitude,
    gust,
    lane_change,
    machine,
    passing_truck,
    run,
    steer_impulse,
)
from steelyard.trip import crewed, plan_stages

TRUCK: Final = 1500.0
"""N: greatest side force of a passing truck on the trailer (assumed: no published value found)."""
MANOEUVRES: Final[dict[str, Callable[[], Disturbance]]] = {
    "truck": lambda: passing_truck(TRUCK),
    "lane-change": lambda: lane_change(0.02),
    "impulse": lambda: steer_impulse(0.03),
    "braking": lambda: braking(3.0),
}
"""Disturbances of a usual size: road-wheel steer of 1.1 and 1.7 degrees, slowing of 0.3 g."""


def disturbance(wind: float | None, manoeuvre: str | None) -> Disturbance | None:
    """What was asked to be run, if anything."""
    if wind is not None:
        return gust(wind)
    return MANOEUVRES[manoeuvre]() if manoeuvre else None


def one_run(
    rig: Rig, estimate: Estimate | None, worst: StageSway, what: Disturbance, friction: float
) -> Trace:
    """One run at the best estimate."""
    belief = prior(crewed(rig)).estimate if estimate is None else estimate
    built = _machine(rig, belief.at_mean(), worst, friction)
    return run(built, worst.chosen_speed, what)


def many_runs(
    rig: Rig,
    estimate: Estimate | None,
    worst: StageSway,
    what: Disturbance,
    friction: float,
    count: int,
) -> Runs:
    """One run for each of `count` draws, with a progress bar on the error stream."""
    belief = prior(crewed(rig)).estimate if estimate is None else estimate
    built = _machine(rig, belief.values(draws(belief, count, 0)), worst, friction)
    engine: Literal["numba", "numpy"] = "numba" if find_spec("numba") else "numpy"
    bar: Any = click.progressbar(length=count, label="runs", file=sys.stderr)
    done = [0]

    def progress(now: int, whole: int) -> None:
        del whole
        bar.update(now - done[0])
        done[0] = now

    with bar:
        return batch(built, worst.chosen_speed, what, engine=engine, progress=progress)


def _machine(rig: Rig, v: Values, worst: StageSway, friction: float) -> Machine:
    rig = crewed(rig)
    plan = next(plan for plan in plan_stages(rig) if plan.key == worst.key)
    return machine(rig, v, loads(rig, v, (plan,)), friction=friction)


def traced(trace: Trace, system: System) -> Iterator[str]:
    """What one run did: the greatest swing and whether it died out."""
    angle = np.degrees(np.abs(trace.of("angle")))
    aside = shown(float(np.max(np.abs(trace.of("y")))), "length", system)
    late = float(np.max(angle[trace.times > trace.times[-1] - 2.0]))
    most = float(np.max(angle))
    how = "dying out" if late < 0.3 * most else "not calmed after the run"
    yield paragraph(
        f"In the run the trailer swings {most:.1f}° at most, the vehicle goes {aside} aside; in the"
        f" last two seconds {late:.1f}°: {how}."
    )
    yield ""


def spread_of(runs: Runs) -> Iterator[str]:
    """What all the runs did."""
    peak = np.degrees(runs.peak)
    low, middle, high = np.nanquantile(peak, (0.025, 0.5, 0.975))
    yield paragraph(
        f"Over {runs.peak.size:,} draws the greatest swing is {middle:.1f}° ({low:.1f}° to"
        f" {high:.1f}°); {percent(float(np.mean(runs.folded)))} of them fold up."
    )
    yield ""


def rubbing(worst: StageSway, friction: float) -> Iterator[str]:
    """Dry friction at the coupling: the swing beyond which it no longer holds."""
    edge = growing_amplitude(worst.combination, worst.chosen_speed, friction)
    if not np.isfinite(edge):
        said = "the rig calms without it at this speed; it only helps"
    else:
        said = f"a swing beyond {np.degrees(edge):.1f}° grows all the same: slow down"
    yield paragraph(f"With {friction:.0f} N·m of dry friction at the coupling: {said}.")
    yield ""


def further(
    rig: Rig,
    estimate: Estimate | None,
    worst: StageSway,
    what: Disturbance | None,
    friction: float,
    runs: int,
) -> Iterator[str]:
    """What dry friction does, and what every draw does in the run, where asked for."""
    if friction > 0:
        yield from rubbing(worst, friction)
    if what is not None and runs:
        yield from spread_of(many_runs(rig, estimate, worst, what, friction, runs))
