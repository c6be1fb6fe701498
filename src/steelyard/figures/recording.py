"""A recording drawn: its free swings with what was fitted, and damping against speed."""

from pathlib import Path
from typing import Any

import numpy as np
from matplotlib import rc_context
from matplotlib.figure import Figure

from steelyard.figures.paper import BAND, BLUE, FAINT, INK, OCHRE, STYLE, save
from steelyard.quantity import System, to_border
from steelyard.sway.identify import aside, swung
from steelyard.sway.recording import Episode, Heard


def draw_recording(heard: Heard, path: Path, system: System) -> None:
    """The recording above, damping of each episode against speed with the trend below."""
    with rc_context(STYLE):
        figure = Figure(figsize=(8.5, 8.0), layout="constrained")
        above, below = figure.subplots(2, 1)
        _swings(above, heard)
        _damping(below, heard, system)
    save(figure, path)


def _swings(axes: Any, heard: Heard) -> None:
    told = heard.recording
    unit = "deg/s" if told.quantity == "yaw rate" else "deg"
    axes.plot(told.times, np.degrees(told.swing), color=FAINT, linewidth=0.7)
    for one in heard.episodes:
        t = np.linspace(one.start, one.end, 400)
        colour = OCHRE if one.grows else BLUE
        axes.plot(t, np.degrees(_fitted(one, t)), color=colour, linewidth=1.8)
        if one.grows:
            axes.annotate(
                "GREW",
                (one.end, np.degrees(float(np.max(_fitted(one, t))))),
                (-24, 0),
                textcoords="offset points",
                color=OCHRE,
                ha="right",
                fontweight="bold",
            )
    axes.set_xlabel("time, s")
    axes.set_ylabel(f"{told.quantity}, {unit}")
    axes.set_title("Free swings found, and what was fitted", loc="left", fontweight="bold")


def _fitted(one: Episode, times: Any) -> Any:
    since = times - one.start
    return swung(one.fit, since) + aside(one.fit, since)


def _damping(axes: Any, heard: Heard, system: System) -> None:
    unit = "mph" if system == "us" else "km/h"
    speeds = np.array([one.speed for one in heard.episodes])
    at = [to_border(float(u), "speed", system) for u in speeds]
    ratios = [one.fit.ratio for one in heard.episodes]
    halves = [one.fit.reach * one.fit.ratio_sd for one in heard.episodes]
    if heard.trend is not None:
        end = min(
            max(1.3 * float(speeds.max()), 1.05 * heard.trend.zero), 2.0 * float(speeds.max())
        )
        u = np.linspace(0.85 * float(speeds.min()), end, 200)
        line, half = heard.trend.at(u)
        x = [to_border(float(one), "speed", system) for one in u]
        axes.fill_between(x, line - half, line + half, color=BAND)
        axes.plot(x, line, color=BLUE, linewidth=1.5)
        axes.axvspan(max(at), x[-1], color=FAINT, alpha=0.12, linewidth=0)
        axes.text(max(at), axes.get_ylim()[1], " not driven", color=FAINT, va="top")
    axes.errorbar(at, ratios, yerr=halves, fmt="o", color=OCHRE, capsize=4, label="fitted, 95 %")
    peaks = [one.peaks for one in heard.episodes]
    axes.plot(at, peaks, "x", color=INK, label="by successive peaks")
    axes.axhline(0, color=INK, linewidth=1)
    axes.text(min(at), 0, "below this line a swing grows", color=INK, va="bottom")
    axes.legend(loc="upper right", frameon=False)
    axes.set_xlabel(f"speed, {unit}")
    axes.set_ylabel("damping ratio (95 %)")
    axes.set_title("Damping against speed", loc="left", fontweight="bold")
