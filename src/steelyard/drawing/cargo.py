"""Where the cargo rides against speed: how well a swing dies out, and the tongue share there."""

from typing import Final

import numpy as np

from steelyard.drawing.axes import Axes, scales, ticks, written
from steelyard.drawing.paper import (
    FAINT,
    PHONE,
    PHONE_WIDTH,
    SMALL,
    WIDE_WIDTH,
    block,
    dot,
    heading,
    lettering,
    sheet,
    stroke,
    whisker,
    words,
)
from steelyard.drawing.svg import Markup, element, join
from steelyard.estimate import Array
from steelyard.quantity import Z95, System, to_border
from steelyard.sway import CargoChart

LEVELS: Final = (-0.1, 0.0, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4)
RAMP: Final = (
    "#8a4606",
    "#c98434",
    "#e9c795",
    "#f4ecdd",
    "#dbe6ef",
    "#b3cadd",
    "#86a9c8",
    "#5686b1",
    "#2f659a",
)
INK_ON_COLOUR: Final = "#1b2530"
PAPER_ON_COLOUR: Final = "#faf9f4"
"""The colours do not turn with the theme, nor does what stands on them."""
"""Ochre grows, blue dies out: one ramp of two hues, lightest where neither is far."""


def cargo_picture(
    chart: CargoChart, system: System, *, speed: float | None = None, wide: bool = True
) -> str:
    """Damping over the cargo's place and speed, as SVG; `speed` (m/s) is where the point stands."""
    size = SMALL if wide else PHONE
    unit, length = ("mph", "in") if system == "us" else ("km/h", "mm")
    mass = to_border(chart.kg, "mass", system)
    said = "lines: damping ratio of a swing; ochre grows, blue dies out; whisker 95 %"
    across = f"middle of the cargo, {length} behind the ball"
    title = f"Where the {mass:,.0f} {'lb' if system == 'us' else 'kg'} of cargo ride, and how fast"
    head, top = heading(title, said, wide=wide)
    frame = _frame(chart, system, top + 42.0, wide=wide)
    xs = written(ticks(frame.x0, frame.x1, 8 if wide else 4))
    ys = written(ticks(frame.y0, frame.y1, 6))
    return sheet(
        "cargo-picture",
        title,
        "Damping of a swing by the cargo's place and the speed; ochre grows, blue dies out.",
        (frame.right + 24.0, frame.bottom + 52.0),
        head,
        _ground(chart, frame, system, size, _now_box(chart, frame, system, speed, size)),
        scales(frame, xs, ys, wide=wide, across=across),
        words(24 if wide else 14, frame.top - 26, f"speed, {unit}", size, fill=FAINT),
        _shares(chart, frame, system, size, wide=wide),
        _now(chart, frame, system, speed, size),
    )


def _frame(chart: CargoChart, system: System, top: float, *, wide: bool) -> Axes:
    places = [to_border(float(chart.stations[i]), "length", system) for i in (0, -1)]
    speeds = [to_border(float(chart.speeds[i]), "speed", system) for i in (0, -1)]
    return Axes(
        left=70.0 if wide else 40.0,
        right=(WIDE_WIDTH if wide else PHONE_WIDTH) - 24.0,
        top=top,
        bottom=top + (330.0 if wide else 260.0),
        x0=places[0],
        x1=places[1],
        y0=speeds[0],
        y1=speeds[1],
    )


Point = tuple[float, float]
Corner = tuple[float, float, float]
"""x and y in units of the drawing, and how far above the level."""


def _ground(
    chart: CargoChart, frame: Axes, system: System, size: float, now: tuple[float, float, float]
) -> Markup:
    """Colour by level, then lines of equal damping, the one of none thickest, then their words,
    which keep off the word `now`, of this left end, height and width."""
    xs = [frame.x(to_border(float(s), "length", system)) for s in chart.stations]
    ys = [frame.y(to_border(float(u), "speed", system)) for u in chart.speeds]
    z = np.nan_to_num(chart.damping, nan=9.0)
    fills = [block(xs[0], frame.top, xs[-1] - xs[0], frame.bottom - frame.top, fill=RAMP[0])]
    lines, labels = [], []
    left, y, width = now
    taken: list[Corner] = [(left + width / 2, y, width / 2), (left + width / 2, y - 16, width / 2)]
    for level, shade in zip(LEVELS, RAMP[1:], strict=True):
        area, line, along = _above(xs, ys, z - level)
        if area:
            fills.append(element("path", d=area, fill=shade, stroke=shade, stroke_width=0.4))
        if line:
            width = 2.6 if level == 0 else 0.9
            lines.append(
                element("path", d=line, fill="none", stroke=INK_ON_COLOUR, stroke_width=width)
            )
            labels += _level_word(level, along, frame, size, taken)
    return join(*fills, *lines, *labels)


def _above(xs: list[float], ys: list[float], z: Array) -> tuple[str, str, list[Point]]:
    """Marching squares: the `d` of all that is above zero and of its edge, and points on it."""
    above = z > 0
    count = above[:-1, :-1].astype(int) + above[1:, 1:] + above[:-1, 1:] + above[1:, :-1]
    area, line, along = [], [], []
    for j, row in enumerate(count.tolist()):
        start = None
        for i, inside in enumerate([*row, 0]):
            if inside == 4 and start is None:
                start = i
            if inside != 4 and start is not None:
                area.append(_rectangle(xs[start], xs[i], ys[j], ys[j + 1]))
                start = None
            if 0 < inside < 4:
                shape, cuts = _cell(xs, ys, z, j, i)
                area.append(f"M{'L'.join(map(_xy, shape))}Z")
                for a, b in zip(cuts[::2], cuts[1::2], strict=False):
                    line.append(f"M{_xy(a)}L{_xy(b)}")
                    along.append(a)
    return "".join(area), "".join(line), along


def _cell(
    xs: list[float], ys: list[float], z: Array, j: int, i: int
) -> tuple[list[Point], list[Point]]:
    """The part of one cell that is above zero, and where its edges are cut."""
    corners: list[Corner] = [
        (xs[i + a], ys[j + b], float(z[j + b, i + a])) for a, b in ((0, 0), (1, 0), (1, 1), (0, 1))
    ]
    shape, cuts = [], []
    for one, other in zip(corners, (*corners[1:], corners[0]), strict=True):
        if one[2] > 0:
            shape.append(one[:2])
        if (one[2] > 0) != (other[2] > 0):
            part = one[2] / (one[2] - other[2])
            cut = one[0] + part * (other[0] - one[0]), one[1] + part * (other[1] - one[1])
            shape.append(cut)
            cuts.append(cut)
    return shape, cuts


def _xy(point: Point) -> str:
    return f"{point[0]:.1f} {point[1]:.1f}"


def _rectangle(left: float, right: float, low: float, top: float) -> str:
    return f"M{left:.1f} {low:.1f}H{right:.1f}V{top:.1f}H{left:.1f}Z"


def _level_word(
    level: float, along: list[Point], frame: Axes, size: float, taken: list[Corner]
) -> list[Markup]:
    """The level's number on its line, where it meets no other; `taken` grows."""
    text = "0: grows above" if level == 0 else f"{level:g}".replace("-", "−")
    half = lettering(text, size) / 2 + 3
    for x, y in along[len(along) // 3 :] + along[::3]:
        near = any(abs(x - a) < half + b and abs(y - c) < 20 for a, c, b in taken)
        inside = frame.left + half < x < frame.right - half
        if not near and inside and frame.top + 10 < y < frame.bottom - 10:
            taken.append((x, y, half))
            return [
                block(x - half, y - 8, 2 * half, 16, fill=PAPER_ON_COLOUR, rx=3),
                words(x, y + 4.2, text, size, anchor="middle", fill=INK_ON_COLOUR),
            ]
    return []


def _shares(chart: CargoChart, frame: Axes, system: System, size: float, *, wide: bool) -> Markup:
    """The tongue share with the cargo there, along the top."""
    count = 9 if wide else 5
    picked = np.linspace(0, len(chart.stations) - 1, count).round().astype(int).tolist()
    text = "tongue share with the cargo there"
    parts = [words(frame.right, frame.top - 26, text, size, anchor="end", fill=FAINT)]
    for place, i in enumerate(picked):
        x = frame.x(to_border(float(chart.stations[i]), "length", system))
        anchor = "start" if place == 0 else ("end" if place == count - 1 else "middle")
        parts.append(stroke(x, frame.top - 5, x, frame.top, 1.0, stroke=FAINT))
        text = f"{100 * float(chart.share[i]):.1f} %"
        parts.append(words(x, frame.top - 9, text, size, anchor=anchor, fill=FAINT))
    return join(*parts)


def _now_box(
    chart: CargoChart, frame: Axes, system: System, speed: float | None, size: float
) -> tuple[float, float, float]:
    """Left end of the word `now`, height of the mark it stands above, width of the word."""
    middle = float(chart.speeds[len(chart.speeds) // 2])
    y = frame.y(to_border(middle if speed is None else speed, "speed", system))
    x = frame.x(to_border(chart.now, "length", system))
    wide = lettering("now", size, bold=True) + 8
    return (x + 14 if x + 14 + wide < frame.right else x - 14 - wide), y, wide


def _now(
    chart: CargoChart, frame: Axes, system: System, speed: float | None, size: float
) -> Markup:
    """Where the cargo rides now, with its spread, at the speed asked for."""
    left, y, wide = _now_box(chart, frame, system, speed, size)
    now, half = (to_border(x, "length", system) for x in (chart.now, Z95 * chart.now_sd))
    x, low, high = frame.x(now), frame.x(now - half), frame.x(now + half)
    return element(
        "g",
        element("title", "where the cargo rides now"),
        stroke(low, y, high, y, 5.0, stroke=PAPER_ON_COLOUR),
        whisker(low, y, high, y, 7.0, 2.2, stroke=INK_ON_COLOUR),
        dot(x, y, 6.5, fill=INK_ON_COLOUR, stroke=PAPER_ON_COLOUR, stroke_width=2),
        block(left, y - 24, wide, 17, fill=PAPER_ON_COLOUR, rx=3),
        words(left + wide / 2, y - 11, "now", size, anchor="middle", bold=True, fill=INK_ON_COLOUR),
        class_="now",
    )
