"""How fast a swing dies out, against speed, with its spread and the speed at which it grows."""

from math import isfinite
from typing import Final

import numpy as np

from steelyard.drawing.axes import Axes, scales, ticks
from steelyard.drawing.labels import spaced
from steelyard.drawing.paper import (
    BAND,
    FAINT,
    INK,
    LIFT,
    PHONE,
    PHONE_WIDTH,
    PRESS,
    SMALL,
    SPREAD,
    WIDE_WIDTH,
    block,
    heading,
    lettering,
    sheet,
    stroke,
    words,
)
from steelyard.drawing.svg import Markup, element, join
from steelyard.quantity import System, to_border
from steelyard.sway import StageSway
from steelyard.words.sway import critical_words

UNIT: Final = {"us": "mph", "metric": "km/h"}


def damping_curve(found: StageSway, system: System, *, wide: bool = True) -> str:
    """Damping ratio against speed at one stage, as SVG."""
    speeds = [to_border(float(u), "speed", system) for u in found.speeds]
    unit = UNIT[system]
    said = f"damping ratio against speed, {unit}: {found.title}"
    head, top = heading("How fast a swing dies out", said, wide=wide)
    frame = _frame(found, speeds, top + 22.0, wide=wide)
    chosen = to_border(found.chosen_speed, "speed", system)
    xs = {t: f"{t:.0f}" for t in ticks(speeds[0], speeds[-1], 8 if wide else 5)}
    ys = {t: f"{t:.2f}" for t in ticks(frame.y0, frame.y1, 5)}
    band = frame.band(speeds, list(found.damping.low), list(found.damping.high))
    parts = [
        head,
        _below(frame),
        scales(frame, xs, ys, wide=wide),
        element("path", d=band, fill=SPREAD, fill_opacity=0.55, class_="spread"),
        element(
            "path",
            d=frame.line(speeds, list(found.damping.value)),
            fill="none",
            stroke=PRESS,
            stroke_width=2.4,
        ),
        stroke(frame.left, frame.y(0.0), frame.right, frame.y(0.0), 1.6),
        stroke(
            frame.left,
            frame.y(found.chosen_ratio),
            frame.right,
            frame.y(found.chosen_ratio),
            1.4,
            stroke=LIFT,
            stroke_dasharray="6 4",
        ),
        _chosen(found, chosen, frame, unit),
        _wagging(found, frame, system),
        _notes(found, frame, chosen, system, wide=wide),
    ]
    at = found.at_damping
    width = WIDE_WIDTH if wide else PHONE_WIDTH
    return sheet(
        "damping-curve",
        f"Damping of the swing against speed, {found.title}",
        f"At {chosen:.0f} {unit} the damping ratio is {float(at.value):.2f}, between"
        f" {float(at.low):.2f} and {float(at.high):.2f}. {wagging_words(found, system)}.",
        (width, frame.bottom + (48.0 if wide else 82.0)),
        *parts,
    )


def wagging_words(found: StageSway, system: System) -> str:
    """From what speed a swing grows, in the words used everywhere."""
    return f"Wagging starts {critical_words(found.wagging, system)}"


def _frame(found: StageSway, speeds: list[float], top: float, *, wide: bool) -> Axes:
    values = np.concatenate([found.damping.low, found.damping.high, found.damping.value])
    finite = values[np.isfinite(values)]
    low = min(-0.05, float(finite.min()) if finite.size else 0.0)
    high = max(found.chosen_ratio * 1.5, float(finite.max()) if finite.size else 0.3)
    return Axes(
        left=70.0 if wide else 46.0,
        right=(WIDE_WIDTH if wide else PHONE_WIDTH) - 24.0,
        top=top,
        bottom=top + (270.0 if wide else 218.0),
        x0=speeds[0],
        x1=speeds[-1],
        y0=max(low, -0.4) - 0.02,
        y1=min(high, 1.2) + 0.02,
    )


def _below(frame: Axes) -> Markup:
    """Where a swing grows instead of dying out."""
    return block(
        frame.left, frame.y(0.0), frame.right - frame.left, frame.bottom - frame.y(0.0), fill=BAND
    )


def _chosen(found: StageSway, chosen: float, frame: Axes, unit: str) -> Markup:
    """The speed asked for, and the damping there with its whisker."""
    if not frame.x0 <= chosen <= frame.x1:
        return Markup("")
    x, at = frame.x(chosen), found.at_damping
    low, high = frame.y(float(at.low)), frame.y(float(at.high))
    return element(
        "g",
        element("title", f"{chosen:.0f} {unit}: {float(at.value):.2f}"),
        stroke(x, frame.top, x, frame.bottom, 1.0, stroke=FAINT, stroke_dasharray="2 3"),
        stroke(x, high, x, low, 2.2),
        stroke(x - 6, high, x + 6, high, 2.2),
        stroke(x - 6, low, x + 6, low, 2.2),
        element("circle", cx=x, cy=frame.y(float(at.value)), r=5.5, fill=INK),
    )


def _wagging(found: StageSway, frame: Axes, system: System) -> Markup:
    """On the line of no damping: where a swing starts to grow, and its spread."""
    one = found.wagging
    if not isfinite(one.low):
        return Markup("")
    low, high, value = (to_border(x, "speed", system) for x in (one.low, one.high, one.value))
    y = frame.y(0.0)
    parts = []
    if low <= frame.x1:
        end = frame.x(min(high, frame.x1))
        parts.append(stroke(frame.x(low), y, end, y, 7.0, stroke=LIFT, stroke_opacity=0.55))
        parts.append(stroke(frame.x(low), y - 7, frame.x(low), y + 7, 1.8, stroke=LIFT))
        if isfinite(high) and high <= frame.x1:
            parts.append(stroke(end, y - 7, end, y + 7, 1.8, stroke=LIFT))
    if isfinite(value) and value <= frame.x1:
        x = frame.x(value)
        shape = f"M{x:.1f} {y - 9:.1f}l9 9 -9 9 -9 -9Z"
        parts.append(element("path", d=shape, fill=LIFT))
    return join(*parts)


def _notes(found: StageSway, frame: Axes, chosen: float, system: System, *, wide: bool) -> Markup:
    """Words on the lines: what is asked for, where a swing grows, from what speed."""
    size, at = (SMALL if wide else PHONE), found.at_damping
    half = (float(at.high) - float(at.low)) / 2
    here = f"{chosen:.0f} {UNIT[system]}: {float(at.value):.2f} ± {half:.2f}"
    asked = f"asked for: {found.chosen_ratio:.2f}"
    below = "below this line a swing grows"
    wagging = wagging_words(found, system)
    y = frame.bottom + 40.0
    if not wide:
        return join(
            words(frame.left + 4, frame.bottom - 5, "grows", size, fill=FAINT),
            words(frame.left, y, here, size, bold=True),
            words(frame.left, y + 16, f"{asked} (dashed)", size, fill=FAINT),
            words(frame.left - 32, y + 32, wagging, size),
        )
    xs = spaced([frame.x(chosen)], [lettering(here, size, bold=True)], frame.left, frame.right)
    return join(
        words(frame.left + 6, frame.y(found.chosen_ratio) - 6, asked, size, fill=LIFT),
        words(frame.left + 6, frame.y(0.0) + 15, below, size, fill=FAINT),
        words(xs[0], frame.top - 3, here, size, anchor="middle", bold=True),
        words(frame.left, y, wagging, size),
    )
