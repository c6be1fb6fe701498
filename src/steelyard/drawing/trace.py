"""The trailer's angle against time: a swing that dies out, or one that grows."""

import numpy as np

from steelyard.drawing.axes import Axes, scales, ticks
from steelyard.drawing.paper import (
    LIFT,
    PHONE_WIDTH,
    PRESS,
    WIDE_WIDTH,
    heading,
    sheet,
    stroke,
)
from steelyard.drawing.svg import element
from steelyard.sway import Trace, dies_out, stays_straight

MOST = 480
"""Points drawn at most: more than the eye or the paper can tell apart."""


def trace_picture(trace: Trace, *, title: str = "The trailer's swing", wide: bool = True) -> str:
    """Trailer against vehicle in degrees over time, as SVG."""
    every = max(1, len(trace.times) // MOST)
    times = trace.times[::every].tolist()
    angles = np.degrees(trace.of("angle")[::every]).tolist()
    most = max(0.5, 1.12 * max(abs(a) for a in angles))
    grows = _grows(np.asarray(angles))
    calmed = "it dies out" if dies_out(trace) else "it has not calmed when the run ends"
    word = "it stays straight" if stays_straight(trace) else "it grows" if grows else calmed
    head, top = heading(
        f"{title}: {word}", "trailer against vehicle, degrees, over time, s", wide=wide
    )
    frame = Axes(
        left=70.0 if wide else 46.0,
        right=(WIDE_WIDTH if wide else PHONE_WIDTH) - 24.0,
        top=top,
        bottom=top + (210.0 if wide else 170.0),
        x0=times[0],
        x1=times[-1],
        y0=-most,
        y1=most,
    )
    xs = {t: f"{t:g}" for t in ticks(times[0], times[-1], 10 if wide else 5)}
    ys = {t: f"{t:g}°" for t in ticks(-most, most, 4)}
    return sheet(
        "trace-picture",
        f"{title}: {word}",
        f"Greatest angle {max(abs(a) for a in angles):.1f} degrees in {times[-1]:.0f} s.",
        (WIDE_WIDTH if wide else PHONE_WIDTH, frame.bottom + 34.0),
        head,
        scales(frame, xs, ys, wide=wide),
        stroke(frame.left, frame.y(0.0), frame.right, frame.y(0.0), 1.4),
        element(
            "path",
            d=frame.line(times, angles),
            fill="none",
            stroke=LIFT if grows else PRESS,
            stroke_width=2,
            stroke_linejoin="round",
        ),
    )


def _grows(angles: np.ndarray) -> bool:
    """Whether the last third swings wider than the middle one."""
    third = max(len(angles) // 3, 1)
    middle, last = angles[third : 2 * third], angles[-third:]
    if not (middle.size and last.size):
        return False
    return bool(np.ptp(last) > 1.02 * np.ptp(middle) and np.ptp(last) > 0.05)
