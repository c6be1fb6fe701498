"""Runs in time behind `steelyard sway`: one at the best estimate, or one for every draw."""

import sys
from collections.abc import Iterator
from importlib.util import find_spec
from typing import Any, Final, Literal

import click
import numpy as np

from steelyard.cli.words import paragraph
from steelyard.estimate import Estimate, draws
from steelyard.quantity import System, percent, shown
from steelyard.rig import Rig
from steelyard.scene import opened
from steelyard.swaying.linear.friction import growing_amplitude
from steelyard.swaying.result import StageSway
from steelyard.swaying.time.inputs import Disturbance, gust
from steelyard.swaying.time.simulate import Runs, Trace, batch, run
from steelyard.swaying.time.standard_runs import USUAL, dies_out, machine_at, stays_straight, swings
from steelyard.words.sway import torque

MANOEUVRES: Final = {name: made for name, made in USUAL.items() if name != "gust"}
"""What --manoeuvre runs; a gust has an option of its own, with its wind."""


def disturbance(wind: float | None, manoeuvre: str | None) -> Disturbance | None:
    """What was asked to be run, if anything."""
    if wind is not None:
        return gust(wind)
    return MANOEUVRES[manoeuvre]() if manoeuvre else None


def one_run(
    rig: Rig, estimate: Estimate | None, worst: StageSway, what: Disturbance, friction: float
) -> Trace:
    """One run at the best estimate."""
    belief = opened(rig, estimate, draws=1).estimate
    built = machine_at(rig, belief.at_mean(), worst.key, friction)
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
    belief = opened(rig, estimate, draws=1).estimate
    built = machine_at(rig, belief.values(draws(belief, count, 0)), worst.key, friction)
    engine: Literal["numba", "numpy"] = "numba" if find_spec("numba") else "numpy"
    bar: Any = click.progressbar(length=count, label="runs", file=sys.stderr)
    done = [0]

    def progress(now: int, _whole: int) -> None:
        bar.update(now - done[0])
        done[0] = now

    with bar:
        return batch(built, worst.chosen_speed, what, engine=engine, progress=progress)


def traced(trace: Trace, system: System) -> Iterator[str]:
    """What one run did: the greatest swing and whether it died out."""
    most, late = np.degrees(swings(trace))
    aside = shown(float(np.max(np.abs(trace.of("y")))), "length", system)
    how = "dying out" if dies_out(trace) else "not calmed after the run"
    how = "nothing sets it swinging" if stays_straight(trace) else how
    yield paragraph(
        f"In the run the trailer swings {most:z.1f}° at most, the vehicle goes {aside} aside; in"
        f" the last two seconds {late:z.1f}°: {how}."
    )
    yield ""


def spread_of(runs: Runs) -> Iterator[str]:
    """What all the runs did."""
    peak = np.degrees(runs.peak)
    low, middle, high = np.nanquantile(peak, (0.025, 0.5, 0.975))
    yield paragraph(
        f"Over {runs.peak.size:,} draws the greatest swing is {middle:z.1f}° ({low:z.1f}° to"
        f" {high:z.1f}°); {percent(float(np.mean(runs.folded)))} of them fold up."
    )
    yield ""


def rubbing(worst: StageSway, friction: float, system: System) -> Iterator[str]:
    """Dry friction at the coupling: the swing beyond which it no longer holds."""
    edge = growing_amplitude(worst.combination, worst.chosen_speed, friction)
    if not np.isfinite(edge):
        said = "the rig settles without it at this speed; it only helps"
    else:
        said = f"a swing beyond {np.degrees(edge):z.1f}° grows all the same: slow down"
    yield paragraph(f"With {torque(friction, system)} of dry friction at the coupling: {said}.")
    yield ""


def further(
    rig: Rig,
    estimate: Estimate | None,
    worst: StageSway,
    what: Disturbance | None,
    friction: float,
    runs: int,
    system: System,
) -> Iterator[str]:
    """What dry friction does, and what every draw does in the run, where asked for."""
    if friction > 0:
        yield from rubbing(worst, friction, system)
    if what is not None and runs:
        yield from spread_of(many_runs(rig, estimate, worst, what, friction, runs))
