"""A recording drawn: its free swings with what was fitted, and damping against speed."""

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Final

import numpy as np

from steelyard.drawing.axes import Axes, chart, ticks
from steelyard.drawing.paper import (
    BAND,
    FAINT,
    LIFT,
    LINE,
    PRESS,
    SMALL,
    block,
    dot,
    stacked_sheets,
    stroke,
    whisker,
    words,
)
from steelyard.drawing.svg import Markup
from steelyard.estimate import Array
from steelyard.quantity import System, to_border, unit_of
from steelyard.swaying.recordings.identify import aside, swung
from steelyard.swaying.recordings.recording import Episode, Heard

MOST: Final = 1600
"""Points drawn at most."""


def recording_picture(heard: Heard, system: System) -> str:
    """The swings above, damping of each against speed with the trend below, as SVG."""
    return stacked_sheets("What the recording tells", _swings(heard), _damping(heard, system))


def _swings(heard: Heard) -> str:
    told = heard.recording
    every = max(1, len(told.times) // MOST)
    times, swing = told.times[::every], np.degrees(told.swing[::every])

    def draw(axes: Axes) -> Iterator[Markup]:
        yield axes.curve(times.tolist(), swing.tolist(), 0.8, stroke=FAINT)
        for one in heard.episodes:
            yield from _fitted(one, axes)

    return chart(
        "recording",
        "Free swings found",
        "thin: as recorded; thick: what was fitted to each free swing",
        f"{len(heard.episodes)} free swings",
        ticks(float(times[0]), float(times[-1]), 10, around=True),
        ticks(float(swing.min()), float(swing.max()), 5, around=True),
        draw,
        height=220.0,
        across="time, s",
        up=f"{told.quantity}, {'degrees/s' if told.quantity == 'yaw rate' else 'degrees'}",
    )


def _fitted(one: Episode, axes: Axes) -> Iterator[Markup]:
    times = np.linspace(one.start, one.end, 200)
    since = times - one.start
    fitted = np.degrees(swung(one.fit, since) + aside(one.fit, since))
    colour = LIFT if one.grows else PRESS
    yield axes.curve(times.tolist(), fitted.tolist(), 2.6, stroke=colour)
    if one.grows:
        x, y = (
            axes.x((one.start + one.end) / 2),
            max(axes.y(float(fitted.max())) - 5, axes.top + 10),
        )
        yield words(x, y, "▲ grew", SMALL, anchor="middle", bold=True, fill=LIFT)


def _damping(heard: Heard, system: System) -> str:
    speeds = [to_border(one.speed, "speed", system) for one in heard.episodes]
    reach = _reach(heard)
    trend = _trend(heard, reach)
    values = [x for one in heard.episodes for x in (one.low, one.high, one.peaks)]
    seen = np.array([-0.02, 0.05, *values, *(trend[1] if trend else [])])
    held = np.clip(seen[np.isfinite(seen)], -0.6, 1.2)
    ends = [to_border(float(u), "speed", system) for u in reach]
    below = "dot and whisker: fitted, 95 %; cross: by successive peaks"

    def draw(axes: Axes) -> Iterator[Markup]:
        yield from _line(axes, trend, system)
        yield axes.level(0.0, 1.6)
        y = axes.y(0.0) + 15
        yield words(axes.left + 6, y, "below this line a swing grows", SMALL, fill=FAINT)
        for u, one in zip(speeds, heard.episodes, strict=True):
            yield from _point(one, u, axes)

    return chart(
        "recording",
        "Damping against speed",
        below + ("; line and band: the trend, 95 %" if trend else ""),
        ", ".join(f"{one.fit.ratio:.2f}" for one in heard.episodes),
        ticks(ends[0], ends[1], 8, around=True),
        ticks(float(held.min()), float(held.max()), 5, around=True),
        draw,
        height=250.0,
        across=f"speed, {unit_of('speed', system)}",
        up="damping ratio",
        ground=partial(_not_driven, max(speeds)),
    )


def _reach(heard: Heard) -> tuple[float, float]:
    """Speeds drawn, m/s: those driven and, with a trend, on to where damping is gone."""
    speeds = [one.speed for one in heard.episodes]
    low, high = min(speeds), max(speeds)
    if heard.trend is None:
        return 0.9 * low, 1.1 * high
    return 0.85 * low, min(max(1.3 * high, 1.05 * heard.trend.zero), 2.0 * high)


def _trend(heard: Heard, reach: tuple[float, float]) -> tuple[Array, Array, Array] | None:
    """Speeds, m/s, the line there and the half-width of its band."""
    if heard.trend is None:
        return None
    at = np.linspace(*reach, 100)
    return (at, *heard.trend.at(at))


def _line(axes: Axes, trend: tuple[Array, Array, Array] | None, system: System) -> Iterator[Markup]:
    if trend is None:
        return
    x: Sequence[float] = [to_border(float(u), "speed", system) for u in trend[0]]
    yield axes.ribbon(x, (trend[1] - trend[2]).tolist(), (trend[1] + trend[2]).tolist())
    yield axes.curve(x, trend[1].tolist())


def _not_driven(fastest: float, axes: Axes) -> Iterator[Markup]:
    x = axes.x(fastest)
    yield block(x, axes.top, axes.right - x, axes.bottom - axes.top, fill=BAND)
    yield stroke(x, axes.top, x, axes.bottom, 1.0, stroke=LINE, stroke_dasharray="2 3")
    yield words(
        axes.right - 6, axes.top + 15, "faster than driven", SMALL, anchor="end", fill=FAINT
    )


def _point(one: Episode, speed: float, axes: Axes) -> Iterator[Markup]:
    x = axes.x(speed)
    if np.isfinite(one.peaks):
        y = axes.y(one.peaks)
        yield stroke(x - 8, y - 8, x + 8, y + 8, 1.4)
        yield stroke(x - 8, y + 8, x + 8, y - 8, 1.4)
    yield whisker(x, axes.y(one.high), x, axes.y(one.low))
    yield dot(x, axes.y(one.fit.ratio), fill=LIFT if one.grows else PRESS, diamond=one.grows)
