"""Sway drawn: damping against speed with its spread, and the trace of a run."""

from pathlib import Path
from typing import Any, Final

import numpy as np
from matplotlib import rc_context
from matplotlib.figure import Figure
from matplotlib.patheffects import withStroke

from steelyard.figures.paper import BAND, BLUE, FAINT, INK, OCHRE, PAPER, STYLE, save
from steelyard.quantity import Z95, System, to_border
from steelyard.sway import CargoChart, StageSway, Trace

LEVELS: Final = (-0.1, 0.0, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4)
RAMP: Final = (
    *("#8a4606", "#c98434", "#e9c795", "#f4ecdd", "#dbe6ef"),
    *("#b3cadd", "#86a9c8", "#5686b1", "#2f659a"),
)
"""Ochre grows, blue dies out, lightest where neither is far; as in `drawing.cargo`."""
DASHES: Final = (":", "--", "-.", (0, (1, 3)), (0, (6, 2)))


def draw_sway(
    found: tuple[StageSway, ...],
    worst: StageSway,
    trace: Trace | None,
    chart: CargoChart | None,
    path: Path,
    system: System,
) -> None:
    """Damping against speed, the worst stage with its band; then the cargo's place, then a run."""
    with rc_context(STYLE):
        rows = 1 + (trace is not None) + (chart is not None)
        figure = Figure(figsize=(8.5, 4.4 * rows), layout="constrained")
        axes = list(np.atleast_1d(figure.subplots(rows, 1)))
        _curve(axes.pop(0), found, worst, system)
        if chart is not None:
            _cargo(axes.pop(0), chart, worst, system)
        if trace is not None:
            _run(axes.pop(0), trace, worst, system)
    save(figure, path)


def _curve(axes: Any, found: tuple[StageSway, ...], worst: StageSway, system: System) -> None:
    unit = "mph" if system == "us" else "km/h"
    speeds = [to_border(float(u), "speed", system) for u in worst.speeds]
    axes.fill_between(
        speeds, worst.damping.low, worst.damping.high, color=BAND, label="95 % of what is possible"
    )
    dashes = iter(DASHES * (1 + len(found) // len(DASHES)))
    for one in sorted(found, key=lambda one: one is not worst):
        main = one is worst
        axes.plot(
            speeds,
            one.damping.value,
            color=BLUE if main else FAINT,
            linewidth=2 if main else 1.2,
            linestyle="-" if main else next(dashes),
            label=one.title,
        )
    axes.legend(loc="upper right", frameon=False)
    axes.axhline(0, color=INK, linewidth=1)
    axes.axhline(worst.chosen_ratio, color=OCHRE, linewidth=1, linestyle="--")
    axes.text(speeds[0], worst.chosen_ratio, " asked for", color=OCHRE, va="bottom")
    axes.text(speeds[0], 0, " below this line a swing grows", color=INK, va="bottom")
    at = to_border(worst.chosen_speed, "speed", system)
    axes.axvline(at, color=INK, linewidth=1, linestyle=":")
    axes.text(at, axes.get_ylim()[0], f" {at:.0f} {unit}", color=INK, va="bottom")
    axes.set_xlabel(f"speed, {unit}")
    axes.set_ylabel("damping ratio of the swing")
    axes.set_title(f"How fast a swing dies out: {worst.title}", loc="left", fontweight="bold")


def _cargo(axes: Any, chart: CargoChart, worst: StageSway, system: System) -> None:
    """Damping over the cargo's place and speed; the tongue share stands along the top."""
    unit, length = ("mph", "in") if system == "us" else ("km/h", "mm")
    speeds = [to_border(float(u), "speed", system) for u in chart.speeds]
    places = np.array([to_border(float(s), "length", system) for s in chart.stations])
    filled = axes.contourf(places, speeds, chart.damping, levels=LEVELS, colors=RAMP, extend="both")
    lines = axes.contour(places, speeds, chart.damping, levels=LEVELS, colors=INK, linewidths=0.6)
    halo = [withStroke(linewidth=3, foreground=PAPER)]
    for label in axes.clabel(lines, fmt="%.2f", fontsize=9, colors=INK):
        label.set_path_effects(halo)
    now, spread = (to_border(x, "length", system) for x in (chart.now, Z95 * chart.now_sd))
    at = to_border(worst.chosen_speed, "speed", system)
    axes.errorbar(now, at, xerr=spread, fmt="o", color=OCHRE, mec=PAPER, capsize=4, zorder=5)
    axes.annotate(
        "as packed now",
        (now, at),
        (-6, -16),
        ha="right",
        textcoords="offset points",
        color=INK,
        path_effects=halo,
    )
    axes.set_title(f"Where the cargo rides: {worst.title}", loc="left", fontweight="bold")
    axes.set_xlabel(f"where the cargo's centre rides, {length} behind the ball (bar: 95 %)")
    axes.set_ylabel(f"speed, {unit}")
    top = axes.secondary_xaxis("top")
    ticks = np.linspace(places[0], places[-1], 9)
    shares = np.interp(ticks, places, chart.share)
    top.set_xticks(ticks, [f"{100 * share:.1f} %" for share in shares])
    top.set_xlabel("tongue share with the cargo there")
    weight = to_border(chart.kg, "mass", system)
    mass = "lb" if system == "us" else "kg"
    bar = axes.figure.colorbar(filled, ax=axes, ticks=LEVELS, format="%.2f")
    bar.set_label(f"damping ratio, {weight:,.0f} {mass} of cargo; below 0 a swing grows")


def _run(axes: Any, trace: Trace, worst: StageSway, system: System) -> None:
    at = to_border(worst.chosen_speed, "speed", system)
    unit = "mph" if system == "us" else "km/h"
    axes.plot(trace.times, np.degrees(trace.of("angle")), color=BLUE, linewidth=1.5)
    axes.axhline(0, color=INK, linewidth=0.8)
    axes.set_xlabel("time, s")
    axes.set_ylabel("trailer against vehicle, degrees")
    axes.set_title(f"The trailer's swing at {at:.0f} {unit}", loc="left", fontweight="bold")
