"""How fast a swing dies out, against speed, with its spread and the speed at which it grows."""

from collections.abc import Iterator, Sequence
from math import isfinite
from typing import Final

import numpy as np

from steelyard.drawing.axes import Axes, chart, ticks
from steelyard.drawing.labels import Label, Line, spaced
from steelyard.drawing.paper import (
    BAND,
    FAINT,
    LIFT,
    PRESS,
    SMALL,
    TEXT,
    block,
    broken,
    dot,
    lettering,
    stroke,
    whisker,
    words,
)
from steelyard.drawing.svg import Markup, element, join
from steelyard.quantity import System, to_border, unit_of
from steelyard.swaying.result import StageSway
from steelyard.words.sway import starts

DASHES: Final = ("7 4", "2 3", "9 3 2 3", "1 5", "12 5")
NAMES: Final = 200.0
"""Units at the right for the names of other stages."""
MOST: Final = 9
"""Other stages drawn; those that calm worst come first."""


def damping_curve(
    found: StageSway, system: System, *, others: Sequence[StageSway] = (), wide: bool = True
) -> str:
    """Damping ratio against speed at one stage, as SVG; `others`: stages drawn lightly beside it,
    where it is wide."""
    speeds = [to_border(float(u), "speed", system) for u in found.speeds]
    unit, at = unit_of("speed", system), found.at_damping
    chosen = to_border(found.chosen_speed, "speed", system)
    beside = sorted(others, key=lambda one: float(one.at_damping.value))[:MOST] if wide else []

    def draw(axes: Axes) -> Iterator[str]:
        yield axes.ribbon(speeds, list(found.damping.low), list(found.damping.high))
        yield from _beside(found, beside, axes, speeds)
        yield axes.curve(speeds, list(found.damping.value), 2.4)
        yield axes.level(0.0, 1.6)
        yield axes.level(found.chosen_ratio, 1.4, stroke=LIFT, stroke_dasharray="6 4")
        yield _chosen(found, chosen, axes, unit)
        yield _wagging(found, axes, system)
        yield _notes(found, axes, chosen, system, wide=wide)

    return chart(
        "damping-curve",
        "How fast a swing dies out",
        found.title,
        f"At {chosen:.0f} {unit} the damping ratio is {float(at.value):.2f}, between"
        f" {float(at.low):.2f} and {float(at.high):.2f}. {wagging_words(found, system)}.",
        ticks(speeds[0], speeds[-1], 8 if wide else 5, around=True),
        _ratios(found),
        draw,
        height=270.0 if wide else 218.0,
        across=f"speed, {unit}",
        up="damping ratio",
        ground=_below,
        aside=NAMES if beside else 0.0,
        foot=52.0 if wide else 92.0,
        wide=wide,
    )


def wagging_words(found: StageSway, system: System) -> str:
    """From what speed a swing grows, in the words used everywhere."""
    return f"Sway grows {starts(found, system)}"


def _ratios(found: StageSway) -> list[float]:
    """Ticks that span the spread, zero and what is asked for."""
    values = np.concatenate([found.damping.low, found.damping.high, found.damping.value])
    finite = np.clip(values[np.isfinite(values)], -0.4, 1.2)
    low = min(-0.05, float(finite.min()) if finite.size else 0.0)
    high = max(found.chosen_ratio * 1.5, float(finite.max()) if finite.size else 0.3)
    return ticks(low, high, 5, around=True)


def _below(axes: Axes) -> Iterator[Markup]:
    """Where a swing grows instead of dying out."""
    y = axes.y(0.0)
    yield block(axes.left, y, axes.right - axes.left, axes.bottom - y, fill=BAND)


def _beside(
    main: StageSway, others: Sequence[StageSway], axes: Axes, speeds: list[float]
) -> Iterator[Markup]:
    """Other stages as dashed lines, each with its name, and that of the main one, at its end."""
    if not others:
        return
    ends = sorted([main, *others], key=lambda one: -float(one.damping.value[-1]))
    names = {one.key: _name(one, bold=one is main) for one in ends}
    heights = [names[one.key].height for one in ends]
    at = [axes.y(float(one.damping.value[-1])) for one in ends]
    middles = spaced(at, heights, axes.top - 20, axes.bottom + 20, 1.0)
    x = axes.x(speeds[-1])
    y = middles[ends.index(main)]
    yield stroke(axes.right + 8, y, axes.right + 34, y, 2.4, stroke=PRESS)
    for dashes, one in enumerate(others):
        look = {"stroke": FAINT, "stroke_dasharray": DASHES[dashes % len(DASHES)]}
        yield axes.curve(speeds, list(one.damping.value), 1.3, **look)
        y = middles[ends.index(one)]
        yield stroke(axes.right + 8, y, axes.right + 34, y, 1.3, **look)
    for one, middle, height, y in zip(ends, middles, heights, at, strict=True):
        yield stroke(x, y, axes.right + 6, middle, 0.6, stroke=FAINT)
        yield names[one.key].drawn(axes.right + 40, middle - height / 2, "start")


def _name(one: StageSway, *, bold: bool) -> Label:
    lines = broken(one.title, SMALL, NAMES - 26.0, bold=bold)
    return Label(lines=tuple(Line(text=text, size=SMALL, bold=bold) for text in lines))


def _chosen(found: StageSway, chosen: float, axes: Axes, unit: str) -> Markup:
    """The speed asked for, and the damping there with its whisker."""
    if not axes.x0 <= chosen <= axes.x1:
        return Markup("")
    x, at = axes.x(chosen), found.at_damping
    return element(
        "g",
        element("title", f"{chosen:.0f} {unit}: {float(at.value):.2f}"),
        stroke(x, axes.top, x, axes.bottom, 1.0, stroke=FAINT, stroke_dasharray="2 3"),
        whisker(x, axes.y(float(at.high)), x, axes.y(float(at.low)), width=2.2),
        dot(x, axes.y(float(at.value)), 5.5),
    )


def _wagging(found: StageSway, axes: Axes, system: System) -> Markup:
    """On the line of no damping: where a swing starts to grow, and its spread."""
    one = found.wagging
    if not isfinite(one.low):
        return Markup("")
    low, high, value = (to_border(x, "speed", system) for x in (one.low, one.high, one.value))
    y = axes.y(0.0)
    parts = []
    if low <= axes.x1:
        end = axes.x(min(high, axes.x1))
        parts.append(stroke(axes.x(low), y, end, y, 7.0, stroke=LIFT, stroke_opacity=0.55))
        parts.append(stroke(axes.x(low), y - 7, axes.x(low), y + 7, 1.8, stroke=LIFT))
        if isfinite(high) and high <= axes.x1:
            parts.append(stroke(end, y - 7, end, y + 7, 1.8, stroke=LIFT))
    if isfinite(value) and value <= axes.x1:
        parts.append(dot(axes.x(value), y, 7.0, diamond=True, fill=LIFT))
    return join(*parts)


def _notes(found: StageSway, axes: Axes, chosen: float, system: System, *, wide: bool) -> Markup:
    """Words on the lines: what is asked for, where a swing grows, from what speed."""
    size, at = TEXT[wide], found.at_damping
    half = (float(at.high) - float(at.low)) / 2
    here = f"{chosen:.0f} {unit_of('speed', system)}: {float(at.value):.2f} ± {half:.2f}"
    asked = f"asked for: {found.chosen_ratio:.2f}"
    wagging = wagging_words(found, system)
    y = axes.bottom + 40.0
    if not wide:
        return join(
            words(axes.left + 4, axes.bottom - 5, "grows", size, fill=FAINT),
            words(14, y + 10, here, size, bold=True),
            words(14, y + 26, f"{asked} (dashed)", size, fill=FAINT),
            words(14, y + 42, wagging, size),
        )
    room = lettering("damping ratio", size)
    xs = spaced([axes.x(chosen)], [lettering(here, size, bold=True)], axes.left + room, axes.right)
    return join(
        words(axes.left + 6, axes.y(found.chosen_ratio) - 6, asked, size, fill=LIFT),
        words(axes.left + 6, axes.y(0.0) + 15, "below this line a swing grows", size, fill=FAINT),
        words(xs[0], axes.top - 6, here, size, anchor="middle", bold=True),
        words(axes.left, y, wagging, size),
    )
