"""A trip drawn: the tongue share of every stage with its spread, in the wanted band."""

from pathlib import Path
from typing import Any

import numpy as np
from matplotlib import rc_context
from matplotlib.figure import Figure

from steelyard.assessment import Assessment, StageResult
from steelyard.figures.paper import BAND, BLUE, FAINT, INK, OCHRE, STYLE, save
from steelyard.quantity import GRAVITY, System, shown, to_border
from steelyard.ratings import Standing
from steelyard.sway import StageSway

COLOUR = {"within": BLUE, "unknown": FAINT, "tight": OCHRE, "exceeded": OCHRE}
MARK = {"within": "o", "unknown": "o", "tight": "s", "exceeded": "D"}


def draw_trip(
    found: Assessment, path: Path, system: System, swings: tuple[StageSway, ...] = ()
) -> None:
    """Panels in an .svg or .png file: share by stage, how much room each limit leaves and, where
    `swings` tells, how fast a swing dies away."""
    heights = (3, 2, 2) if swings else (3, 2)
    width = 2.4 + 1.9 * max(3, len(found.stages))
    with rc_context(STYLE):
        figure = Figure(figsize=(width, 1.3 * sum(heights)), layout="constrained")
        panels = figure.subplots(len(heights), 1, height_ratios=heights, sharex=True)
        _shares(panels[0], found)
        _ball(panels[1], found, system)
        if swings:
            _damping(panels[2], swings, system)
        panels[-1].set_xticks(range(len(found.stages)), [_label(stage) for stage in found.stages])
    save(figure, path)


def band(found: Assessment) -> tuple[float, float]:
    """Edges of the wanted tongue share; NaN where no rule gives one."""
    edges = [
        limit.band
        for stage in found.stages
        for limit in (*stage.limits, *stage.notes)
        if limit.name == "tongue-band" and limit.band is not None
    ]
    return edges[0] if edges else (float("nan"), float("nan"))


def _label(stage: StageResult) -> str:
    words = stage.title.split()
    half = (len(words) + 1) // 2
    return " ".join(words[:half]) + ("\n" + " ".join(words[half:]) if words[half:] else "")


def _shares(axes: Any, found: Assessment) -> None:
    low, high = band(found)
    if np.isfinite(low):
        axes.axhspan(100 * low, 100 * high, color=BAND, zorder=0)
        last = len(found.stages) - 0.52
        axes.annotate("wanted", (last, 100 * low), color=FAINT, ha="right", va="bottom")
    centres = [100 * stage.tongue.share.value for stage in found.stages]
    axes.plot(range(len(centres)), centres, color=FAINT, linewidth=1, zorder=1)
    for place, stage in enumerate(found.stages):
        share, colour = stage.tongue.share, COLOUR[stage.verdict]
        axes.errorbar(
            place,
            100 * share.value,
            yerr=[[100 * (share.value - share.low)], [100 * (share.high - share.value)]],
            fmt=MARK[stage.verdict],
            color=colour,
            ecolor=colour,
            capsize=4,
        )
        axes.annotate(
            f"{100 * share.value:.1f}", (place, centres[place]), (8, 4), textcoords="offset points"
        )
    axes.set_xlim(-0.5, len(found.stages) - 0.5)
    axes.set_ylabel("tongue share, %")
    title = f"{found.rig.name}: the ball through the trip (bars: 95 %)"
    axes.set_title(title, loc="left", fontweight="bold")


def _ball(axes: Any, found: Assessment, system: System) -> None:
    """Room of each stage's deciding limit, in standard deviations."""
    axes.axhline(0, color=INK, linewidth=1)
    for place, stage in enumerate(found.stages):
        decider = stage.deciding
        if decider is None:
            continue
        height = float(np.clip(decider.room, -4, 8))
        axes.bar(place, height, width=0.5, color=COLOUR[stage.verdict])
        axes.annotate(
            _room(decider, system),
            (place, max(height, 0.0)),
            (0, 3),
            textcoords="offset points",
            ha="center",
            fontsize=8,
        )
    axes.set_ylim(top=11)
    axes.set_ylabel("least room, sd")


def _damping(axes: Any, swings: tuple[StageSway, ...], system: System) -> None:
    """Damping ratio of the least damped swing with its 95 % interval, and the ratio asked for."""
    asked, speed = swings[0].chosen_ratio, swings[0].chosen_speed
    axes.axhline(asked, color=FAINT, linestyle="--", linewidth=1)
    place = (len(swings) - 0.52, asked)
    axes.annotate("asked for", place, color=FAINT, ha="right", va="bottom")
    for number, stage in enumerate(swings):
        band = stage.at_damping
        value, low, high = (float(x) for x in (band.value, band.low, band.high))
        colour = OCHRE if value < asked else BLUE
        axes.plot([number, number], [low, high], color=colour, linewidth=1)
        axes.plot([number], [value], marker="o", color=colour)
        axes.annotate(f"{value:.2f}", (number, value), (8, -3), textcoords="offset points")
    axes.set_ylim(bottom=min(0.0, *(float(stage.at_damping.low) for stage in swings)))
    axes.set_ylabel(f"damping at {shown(speed, 'speed', system)}")


def _room(limit: Standing, system: System) -> str:
    if limit.measure == "weight":
        unit = "lb" if system == "us" else "kg"
        gap = f"{to_border(limit.margin / GRAVITY, 'mass', system):,.0f} {unit}"
    else:
        gap = f"{100 * limit.margin:.1f} points" if limit.measure == "share" else ""
    return f"{limit.title}\n{gap}"
