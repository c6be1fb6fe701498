"""A weighing drawn: what each reading says against what it should, and what it did to the share."""

from pathlib import Path
from typing import Any

import numpy as np
from matplotlib import rc_context
from matplotlib.figure import Figure

from steelyard.assessment import Assessment
from steelyard.figures.paper import BAND, BLUE, FAINT, INK, OCHRE, STYLE, save
from steelyard.quantity import Z95, System, to_border
from steelyard.weighing import Judged, Reconciled


def draw_weighing(found: Reconciled, before: Assessment, after: Assessment, path: Path) -> None:
    """Two panels in an .svg or .png file: readings against expectation, share before and after."""
    system: System = "us" if before.region == "north-america" else "metric"
    with rc_context(STYLE):
        height = 1.8 + 0.34 * max(len(found.readings), 2 * len(after.stages))
        figure = Figure(figsize=(11, height), layout="constrained")
        left, right = figure.subplots(1, 2, width_ratios=(3, 2))
        _readings(left, found, system)
        _shares(right, before, after)
    save(figure, path)


def _readings(axes: Any, found: Reconciled, system: System) -> None:
    """Off by how many sd, each reading a row; beyond the dashed lines it does not belong."""
    rows = list(reversed(found.readings))
    for place, one in enumerate(rows):
        odd = found.suspect is not None and one.name == found.suspect.name
        colour, mark = (OCHRE, "D") if odd else (BLUE, "o")
        axes.errorbar(
            one.standardised, place, xerr=Z95, fmt=mark, color=colour, ecolor=FAINT, capsize=3
        )
    labels = [_label(one, system, odd=one is found.suspect) for one in rows]
    axes.set_yticks(range(len(rows)), labels)
    axes.axvline(0, color=INK, linewidth=1)
    for edge in (-2.58, 2.58):
        axes.axvline(edge, color=FAINT, linewidth=1, linestyle="--")
    axes.set_xlabel("reading less what all the others say, in standard deviations")
    axes.set_title("Do the readings agree?", loc="left", fontweight="bold")


def _label(one: Judged, system: System, *, odd: bool) -> str:
    name = f"{one.name} (suspect)" if odd else one.name
    if one.dimension != "mass":
        return name
    unit = "lb" if system == "us" else "kg"
    read, due = (to_border(x, "mass", system) for x in (one.value, one.predicted))
    return f"{name}\n{read:,.0f} read, {due:,.0f} {unit} expected"


def _shares(axes: Any, before: Assessment, after: Assessment) -> None:
    """Tongue share at every stage, before (hollow) and after (full), in the wanted band."""
    low, high = _band(after)
    if np.isfinite(low):
        axes.axvspan(100 * low, 100 * high, color=BAND, zorder=0)
    stages = list(reversed(list(zip(before.stages, after.stages, strict=True))))
    for place, pair in enumerate(stages):
        for shift, stage, face in ((0.14, pair[0], "none"), (-0.14, pair[1], BLUE)):
            share = stage.tongue.share
            axes.errorbar(
                100 * share.value,
                place + shift,
                xerr=[[100 * (share.value - share.low)], [100 * (share.high - share.value)]],
                fmt="o",
                color=BLUE,
                mfc=face,
                ecolor=FAINT,
                capsize=3,
            )
    axes.set_yticks(range(len(stages)), [new.title for _, new in stages])
    axes.set_ylim(-0.6, len(stages) - 0.4)
    axes.set_xlabel("tongue share, % (hollow before, full after)")
    axes.set_title("What the weighing did", loc="left", fontweight="bold")


def _band(found: Assessment) -> tuple[float, float]:
    edges = [
        limit.band
        for stage in found.stages
        for limit in (*stage.limits, *stage.notes)
        if limit.name == "tongue-band" and limit.band is not None
    ]
    return edges[0] if edges else (float("nan"), float("nan"))
