"""The trailer's angle against time: a swing that dies out, or one that grows."""

import numpy as np

from steelyard.drawing.axes import frame, scales, ticks, written
from steelyard.drawing.paper import LIFT, PHONE_WIDTH, PRESS, WIDE_WIDTH, heading, sheet
from steelyard.sway import Trace, dies_out, stays_straight

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
    head, top = heading(f"{title}: {word}", "", wide=wide)
    xs = ticks(times[0], times[-1], 10 if wide else 5, around=True)
    ys = ticks(-most, most, 4, around=True)
    axes = frame(xs, ys, top, 210.0 if wide else 170.0, wide=wide)
    up = "trailer against vehicle, degrees"
    return sheet(
        "trace-picture",
        f"{title}: {word}",
        f"Greatest angle {max(abs(a) for a in angles):.1f} degrees in {times[-1]:.0f} s.",
        (WIDE_WIDTH if wide else PHONE_WIDTH, axes.bottom + 46.0),
        head,
        scales(axes, written(xs), written(ys), wide=wide, across="time, s", up=up),
        axes.level(0.0, 1.4),
        axes.curve(times, angles, stroke=LIFT if grows else PRESS),
    )


def _grows(angles: np.ndarray) -> bool:
    """Whether the last third swings wider than the middle one."""
    third = max(len(angles) // 3, 1)
    middle, last = angles[third : 2 * third], angles[-third:]
    if not (middle.size and last.size):
        return False
    return bool(np.ptp(last) > 1.02 * np.ptp(middle) and np.ptp(last) > 0.05)
