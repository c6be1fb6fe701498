"""Sway drawn: damping against speed, where the cargo rides, and a run as the angle against time."""

from collections.abc import Iterator, Sequence

import numpy as np

from steelyard.drawing.axes import Axes, chart, ticks
from steelyard.drawing.cargo import cargo_picture
from steelyard.drawing.damping import damping_curve
from steelyard.drawing.paper import LIFT, PRESS, stacked_sheets
from steelyard.drawing.svg import Markup
from steelyard.quantity import System, shown
from steelyard.swaying.chart import CargoChart
from steelyard.swaying.result import StageSway
from steelyard.swaying.time.simulate import Trace
from steelyard.swaying.time.standard_runs import dies_out, stays_straight


def sway_picture(
    name: str,
    found: Sequence[StageSway],
    worst: StageSway,
    system: System,
    chart: CargoChart | None = None,
    trace: Trace | None = None,
) -> str:
    """The worst stage with its band and the others beside it; chart and run where there are any."""
    others = [one for one in found if one is not worst]
    pictures = [damping_curve(worst, system, others=others)]
    if chart is not None:
        pictures.append(cargo_picture(chart, system, speed=worst.chosen_speed))
    if trace is not None:
        at = shown(worst.chosen_speed, "speed", system)
        pictures.append(trace_picture(trace, title=f"The trailer's swing at {at}"))
    return stacked_sheets(f"{name}: sway, {worst.title}", *pictures)


MOST = 480
"""Points drawn at most: more than the eye or the paper can tell apart."""


def trace_picture(trace: Trace, *, title: str = "The trailer's swing", wide: bool = True) -> str:
    """Trailer against vehicle in degrees over time, as SVG."""
    every = max(1, len(trace.times) // MOST)
    times = trace.times[::every].tolist()
    angles = np.degrees(trace.of("angle")[::every]).tolist()
    most = max(0.5, max(abs(a) for a in angles))
    grows = _grows(np.asarray(angles))
    calmed = "it dies out" if dies_out(trace) else "it has not calmed when the run ends"
    word = "it stays straight" if stays_straight(trace) else "it grows" if grows else calmed

    def draw(axes: Axes) -> Iterator[Markup]:
        yield axes.level(0.0, 1.4)
        yield axes.curve(times, angles, stroke=LIFT if grows else PRESS)

    return chart(
        "trace-picture",
        f"{title}: {word}",
        "",
        f"Greatest angle {max(abs(a) for a in angles):.1f} degrees in {times[-1]:.0f} s.",
        ticks(times[0], times[-1], 10 if wide else 5, around=True),
        ticks(-most, most, 4, around=True),
        draw,
        height=210.0 if wide else 170.0,
        across="time, s",
        up="trailer against vehicle, degrees",
        wide=wide,
    )


def _grows(angles: np.ndarray) -> bool:
    """Whether the last third swings wider than the middle one."""
    third = max(len(angles) // 3, 1)
    middle, last = angles[third : 2 * third], angles[-third:]
    if not (middle.size and last.size):
        return False
    return bool(np.ptp(last) > 1.02 * np.ptp(middle) and np.ptp(last) > 0.05)
