"""A plan drawn: what rides where before and after, from the side, and the share at every stage."""

from pathlib import Path
from typing import Any, Final

import numpy as np
from matplotlib import rc_context
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from steelyard.figures.paper import BAND, BLUE, FAINT, INK, OCHRE, STYLE, save
from steelyard.figures.trip import band
from steelyard.quantity import System, to_border
from steelyard.rig import Rig
from steelyard.stowing import Stowed

TALLEST: Final = 1.5
"""m drawn for the heaviest place."""
FLOOR: Final = 0.5


def draw_stow(found: Stowed, path: Path, system: System) -> None:
    """Three panels in an .svg or .png file: packed now, packed by the plan, share at each stage."""
    rig, now = found.rig, {name: item.place for name, item in found.rig.items.items()}
    then = found.found.plan if found.found else {}
    with rc_context(STYLE):
        figure = Figure(figsize=(11, 8.5), layout="constrained")
        top, middle, bottom = figure.subplots(3, 1, height_ratios=(3, 3, 2.4))
        most = max(_held(rig, plan, place) for plan in (now, then) for place in rig.places)
        _side(top, rig, now, now, most, system)
        _side(middle, rig, then, now, most, system)
        top.set_title(f"{rig.name}: packed now", loc="left", fontweight="bold")
        title = "by the plan (what moves in ochre)" if then else "no plan was found"
        middle.set_title(title, loc="left", fontweight="bold")
        _shares(bottom, found)
    save(figure, path)


def _held(rig: Rig, plan: dict[str, str], place: str) -> float:
    return sum(rig.items[name].weight.value for name, there in plan.items() if there == place)


def _side(
    axes: Any, rig: Rig, plan: dict[str, str], now: dict[str, str], most: float, system: System
) -> None:
    """Places as columns along the rig, front to the left, as high as what they hold is heavy."""
    ball = _ball(rig)
    for name, place in rig.places.items():
        x = place.station.value + (ball if place.on == "trailer" else 0.0)
        width = min(place.length.value if place.length else 0.9, 1.4)
        level = FLOOR
        for item in (one for one, there in plan.items() if there == name):
            height = TALLEST * rig.items[item].weight.value / max(most, 1e-9)
            colour = BLUE if now[item] == name else OCHRE
            box = Rectangle((x - width / 2, level), width, height, fc=colour, ec="white", lw=1)
            axes.add_patch(box)
            if height > 0.13:
                axes.text(
                    x, level + height / 2, item, color="white", ha="center", va="center", fontsize=7
                )
            level += height
        held = to_border(_held(rig, plan, name), "mass", system)
        unit = "lb" if system == "us" else "kg"
        axes.text(x, -0.08, f"{name}\n{held:,.0f} {unit}", ha="center", va="top", fontsize=7)
    _outline(axes, rig, ball)


def _ball(rig: Rig) -> float:
    """Where the ball is drawn, m aft of the front axle; a usual place where nothing is stated."""
    wheelbase = rig.vehicle.wheelbase.value if rig.vehicle.wheelbase else 3.7
    return wheelbase + (rig.vehicle.overhang.value if rig.vehicle.overhang else 1.5)


def _outline(axes: Any, rig: Rig, ball: float) -> None:
    """Ground, wheels, and the bodies as bare lines."""
    wheelbase = rig.vehicle.wheelbase.value if rig.vehicle.wheelbase else 3.7
    box = rig.trailer.box_start.value if rig.trailer.box_start else 1.0
    length = rig.trailer.box_length.value if rig.trailer.box_length else 6.5
    axle = rig.trailer.axles.station.value if rig.trailer.axles.station else box + 0.6 * length
    for left, width, high in ((-1.0, ball + 0.85, 1.9), (ball + box, length, 2.4)):
        axes.add_patch(Rectangle((left, FLOOR), width, high, fc="none", ec=FAINT, lw=1))
    axes.plot([ball, ball + box], [FLOOR, FLOOR], color=FAINT, lw=1)
    for x in (0.0, wheelbase, ball + axle):
        axes.plot([x], [0.2], marker="o", markersize=13, color=FAINT, fillstyle="none")
    axes.axhline(0.0, color=INK, lw=1)
    axes.set_xlim(-1.4, ball + box + length + 0.4)
    axes.set_ylim(-0.65, 3.0)
    axes.set_axis_off()


def _shares(axes: Any, found: Stowed) -> None:
    """Share with its spread at each stage: hollow now, full by the plan; the aim dashed."""
    low, high = band(found.before)
    if np.isfinite(low):
        axes.axhspan(100 * low, 100 * high, color=BAND, zorder=0)
    axes.axhline(100 * found.target, color=FAINT, linestyle="--", lw=1)
    answers = [(found.before, -0.08, "none")]
    if found.found is not None:
        answers.append((found.found.assessment, 0.08, BLUE))
    for answer, shift, face in answers:
        for place, stage in enumerate(answer.stages):
            share = stage.tongue.share
            axes.errorbar(
                place + shift,
                100 * share.value,
                yerr=[[100 * (share.value - share.low)], [100 * (share.high - share.value)]],
                fmt="o",
                color=BLUE,
                mfc=face,
                ecolor=FAINT,
                capsize=3,
            )
    axes.set_xticks(range(len(found.before.stages)), [s.title for s in found.before.stages])
    axes.set_ylabel("tongue share, %")
    axes.set_title("hollow now, full by the plan (bars: 95 %)", loc="left", fontsize=9)
