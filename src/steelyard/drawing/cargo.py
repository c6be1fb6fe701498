"""Where the cargo rides against speed: how well a swing dies out, and the tongue share there."""

from typing import Final

import numpy as np

from steelyard.drawing import paper
from steelyard.drawing.axes import Axes, frame, scales, ticks, written
from steelyard.drawing.labels import Box, Label, Line, first_free
from steelyard.drawing.svg import Markup, element, join
from steelyard.estimate import Array
from steelyard.quantity import Z95, System, to_border, unit_of
from steelyard.swaying.chart import CargoChart

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
    size = paper.TEXT[wide]
    unit, length = (unit_of("speed", system), unit_of("length", system))
    mass = to_border(chart.kg, "mass", system)
    said = "lines: damping ratio of a swing; ochre grows, blue dies out; whisker 95 %"
    across = f"middle of the cargo, {length} behind the ball"
    title = f"Where the {mass:,.0f} {'lb' if system == 'us' else 'kg'} of cargo ride, and how fast"
    head, top = paper.heading(title, said, wide=wide)
    places = [to_border(float(x), "length", system) for x in chart.stations]
    speeds = [to_border(float(u), "speed", system) for u in chart.speeds]
    axes = frame(places, speeds, top + 18.0, 330.0 if wide else 260.0, wide=wide)
    xs = written(ticks(axes.x0, axes.x1, 8 if wide else 4))
    ys = written(ticks(axes.y0, axes.y1, 6))
    middle = float(chart.speeds[len(chart.speeds) // 2])
    y = axes.y(to_border(middle if speed is None else speed, "speed", system))
    now, taken = _now(chart, axes, y, system, size)
    return paper.sheet(
        "cargo-picture",
        title,
        "Damping of a swing by the cargo's place and the speed; ochre grows, blue dies out.",
        (paper.WIDTH[wide], axes.bottom + 52.0),
        head,
        _ground(chart, axes, (places, speeds), size, taken),
        scales(axes, xs, ys, wide=wide, across=across),
        paper.words(paper.LEFT[wide], axes.top - 26, f"speed, {unit}", size, fill=paper.FAINT),
        _shares(chart, axes, places, size, wide=wide),
        now,
    )


Point = tuple[float, float]
Corner = tuple[float, float, float]
"""x and y in units of the drawing, and how far above the level."""


def _ground(
    chart: CargoChart,
    axes: Axes,
    at: tuple[list[float], list[float]],
    size: float,
    taken: list[Box],
) -> Markup:
    """Colour by level, then lines of equal damping, the one of none thickest, then their words,
    which keep off what is `taken`; at: places and speeds in border units."""
    xs, ys = [axes.x(place) for place in at[0]], [axes.y(speed) for speed in at[1]]
    z = np.nan_to_num(chart.damping, nan=9.0)
    fills = [paper.block(xs[0], axes.top, xs[-1] - xs[0], axes.bottom - axes.top, fill=RAMP[0])]
    lines, labels = [], []
    for level, shade in zip(LEVELS, RAMP[1:], strict=True):
        area, line, along = _above(xs, ys, z - level)
        if area:
            fills.append(element("path", d=area, fill=shade, stroke=shade, stroke_width=0.4))
        if line:
            width = 2.6 if level == 0 else 0.9
            look = {"fill": "none", "stroke": INK_ON_COLOUR}
            lines.append(element("path", d=line, stroke_width=width, **look))
            labels.append(_level_word(level, along, axes, size, taken))
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
    level: float, along: list[Point], axes: Axes, size: float, taken: list[Box]
) -> Markup:
    """The level's number on its line, where it meets no other; `taken` grows."""
    text = "0: grows above" if level == 0 else f"{level:g}"
    label = Label(lines=(Line(text=text, size=size, fill=INK_ON_COLOUR),))
    inside = [(x, y) for x, y in along if axes.top + 10 < y < axes.bottom - 10]
    order = inside[len(inside) // 3 :] + inside[::3]
    spots = [(x, y - label.height / 2, "middle") for x, y in order]
    spot = first_free(label, spots, taken, axes.left + 3, axes.right - 3)
    if spot is None:
        return Markup("")
    taken.append(label.box(*spot))
    return paper.lifted(label.drawn(*spot), ground=PAPER_ON_COLOUR, width=7.0)


def _shares(
    chart: CargoChart, axes: Axes, places: list[float], size: float, *, wide: bool
) -> Markup:
    """The tongue share with the cargo there, along the top, wherever its number is another."""
    text = "tongue share with the cargo there"
    parts = [paper.words(axes.right, axes.top - 26, text, size, anchor="end", fill=paper.FAINT)]
    at = np.linspace(places[0], places[-1], 9 if wide else 5)
    told = [f"{100 * share:.1f} %" for share in np.interp(at, places, chart.share)]
    for k, (place, text) in enumerate(zip(at, told, strict=True)):
        if k and text == told[k - 1]:
            continue
        x = axes.x(float(place))
        anchor = "start" if k == 0 else ("end" if k == len(at) - 1 else "middle")
        parts.append(paper.stroke(x, axes.top - 5, x, axes.top, 1.0, stroke=paper.FAINT))
        parts.append(paper.words(x, axes.top - 9, text, size, anchor=anchor, fill=paper.FAINT))
    return join(*parts)


def _now(
    chart: CargoChart, axes: Axes, y: float, system: System, size: float
) -> tuple[Markup, list[Box]]:
    """Where the cargo rides now, with its spread, at the speed asked for; and the room it takes."""
    now, half = (to_border(x, "length", system) for x in (chart.now, Z95 * chart.now_sd))
    x, low, high = axes.x(now), axes.x(now - half), axes.x(now + half)
    label = Label(lines=(Line(text="now", size=size, bold=True, fill=INK_ON_COLOUR),))
    right = x + 14 + label.width < axes.right
    spot = (x + 14, y - 26, "start") if right else (x - 14, y - 26, "end")
    mark = element(
        "g",
        element("title", "where the cargo rides now"),
        paper.stroke(low, y, high, y, 5.0, stroke=PAPER_ON_COLOUR),
        paper.whisker(low, y, high, y, 7.0, 2.2, stroke=INK_ON_COLOUR),
        paper.dot(x, y, 6.5, fill=INK_ON_COLOUR, stroke=PAPER_ON_COLOUR, stroke_width=2),
        paper.lifted(label.drawn(*spot), ground=PAPER_ON_COLOUR, width=7.0),
        class_="now",
    )
    return mark, [label.box(*spot), (low - 4, y - 9, high + 4, y + 9)]
