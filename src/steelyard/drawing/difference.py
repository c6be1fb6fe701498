"""Two ledgers against each other: what makes the tongue weights differ, largest first."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise
from typing import Final

from steelyard.drawing import paper
from steelyard.drawing.axes import Axes, frame
from steelyard.drawing.columns import signed
from steelyard.drawing.lever import SPRINGS, STANCE, VEHICLE
from steelyard.drawing.svg import Markup
from steelyard.quantity import System

MOST: Final = 12
HIGH: Final = 30.0
"""Units that a row takes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One row's difference, kg: b less a."""

    name: str
    tongue_kg: float


def changes(rows: Iterable[tuple[str, float]]) -> tuple[Change, ...]:
    """Differences by name, largest first; rows of one name are one, and so is all that makes how
    high the ball stands, whose parts nearly cancel."""
    found: dict[str, float] = {}
    for name, kg in rows:
        name = STANCE if name in (VEHICLE, SPRINGS) else name
        found[name] = found.get(name, 0.0) + kg
    each = (Change(name=name, tongue_kg=kg) for name, kg in found.items())
    return tuple(sorted(each, key=lambda one: -abs(one.tongue_kg)))


def difference_picture(
    rows: Iterable[tuple[str, float]], system: System, names: tuple[str, str], *, wide: bool
) -> str:
    """Why the second presses more or less on the ball than the first, as SVG: bars that add up to
    the difference. rows: each thing's name, and the kg by which the second's is more."""
    found = changes(rows)
    total = sum(one.tongue_kg for one in found)
    bars = [one for one in found[:MOST] if abs(one.tongue_kg) > 0.05]
    rest = total - sum(one.tongue_kg for one in bars)
    if abs(rest) > 0.05:
        bars.append(Change(name=f"{len(found) - len(bars)} small things", tongue_kg=rest))
    title = f"{signed(total, system)} {'lb' if system == 'us' else 'kg'} on the ball"
    below = f"{names[1]} against {names[0]}: what differs, largest first, adds up to that"
    head, top = paper.heading(title, below, wide=wide)
    said = "; ".join(f"{one.name} {signed(one.tongue_kg, system)}" for one in bars)
    return paper.sheet(
        "difference-picture",
        f"{names[1]} against {names[0]}: {title}",
        said or "The two ledgers agree.",
        (paper.WIDTH[wide], top + HIGH * (len(bars) + 1) + 16.0),
        head,
        paper.shifted(top, *_stairs(bars, total, system, wide=wide)),
    )


def _stairs(
    bars: Sequence[Change], total: float, system: System, *, wide: bool
) -> Iterator[Markup]:
    """Each bar starts where the one above it ended; the last, in ink, is the whole."""
    names, figures = (284.0, 100.0) if wide else (132.0, 68.0)
    ends = [0.0, *accumulate(one.tongue_kg for one in bars)]
    low, high = min(*ends, total), max(*ends, total)
    axes = frame((low, max(high, low + 1e-9)), (0.0, 1.0), 0.0, 0.0, wide=wide)
    axes = replace(axes, left=names, right=paper.WIDTH[wide] - figures)
    deep = HIGH * (len(bars) + 1)
    yield paper.stroke(axes.x(0.0), 0, axes.x(0.0), deep, 1.0, stroke=paper.FAINT)
    for n, (one, (start, end)) in enumerate(zip(bars, pairwise(ends), strict=True)):
        yield from _bar(one, axes, (start, end), HIGH * n, system, wide=wide)
        x, y = axes.x(end), HIGH * (n + 1)
        yield paper.stroke(x, y - 10, x, y + 4, 0.8, stroke=paper.FAINT)
    whole = Change(name="together", tongue_kg=total)
    yield from _bar(whole, axes, (0.0, total), deep - HIGH, system, wide=wide, whole=True)


def _bar(
    one: Change,
    axes: Axes,
    run: tuple[float, float],
    y: float,
    system: System,
    *,
    wide: bool,
    whole: bool = False,
) -> Iterator[Markup]:
    """Name, bar and number of one row."""
    size = paper.NORMAL if wide else paper.PHONE
    colour = paper.INK if whole else (paper.PRESS if one.tongue_kg > 0 else paper.LIFT)
    left, right = sorted(axes.x(end) for end in run)
    lines = paper.broken(one.name, size, axes.left - 26.0, 2, bold=whole)
    for n, line in enumerate(lines):
        base = y + 15 + (n - (len(lines) - 1) / 2) * size
        yield paper.words(axes.left - 14, base, line, size, anchor="end", bold=whole)
    data: dict[str, str | float | None] = {"data_row": one.name, "data_kg": one.tongue_kg}
    yield paper.block(left, y + 3, max(right - left, 1.0), 17, fill=colour, **data)
    said, x = signed(one.tongue_kg, system), axes.right + (86.0 if wide else 54.0)
    yield paper.words(x, y + 15, said, size, anchor="end", bold=True, fill=colour)
