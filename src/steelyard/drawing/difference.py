"""Two ledgers side by side: what makes the tongue weights differ, largest first."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from steelyard.drawing.columns import signed
from steelyard.drawing.paper import (
    FAINT,
    INK,
    LIFT,
    NORMAL,
    PHONE,
    PHONE_WIDTH,
    PRESS,
    WIDE_WIDTH,
    block,
    fitted,
    heading,
    sheet,
    shifted,
    stroke,
    words,
)
from steelyard.drawing.svg import Markup, join
from steelyard.quantity import System

MOST = 12


class Booked(Protocol):
    """One row: a name and its force on the ball, N."""

    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def force(self) -> float: ...  # noqa: D102


class Book(Protocol):
    """A ledger, or whatever has its rows."""

    @property
    def entries(self) -> Iterable[Booked]: ...  # noqa: D102


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One row's difference, N: b less a."""

    name: str
    force: float


def changes(a: Book, b: Book) -> tuple[Change, ...]:
    """Differences row by row, largest first; a row that one ledger lacks counts there as zero."""
    first, second = (_sums(book) for book in (a, b))
    names = dict.fromkeys((*first, *second))
    found = [
        Change(name=name, force=second.get(name, 0.0) - first.get(name, 0.0)) for name in names
    ]
    return tuple(sorted(found, key=lambda one: -abs(one.force)))


def _sums(book: Book) -> dict[str, float]:
    """Force by name; rows of one name are one."""
    found: dict[str, float] = {}
    for entry in book.entries:
        found[entry.name] = found.get(entry.name, 0.0) + entry.force
    return found


def difference_picture(
    a: Book,
    b: Book,
    system: System,
    *,
    names: tuple[str, str] = ("A", "B"),
    wide: bool = True,
) -> str:
    """Why b presses more or less on the ball than a, as SVG: bars that add up to the difference."""
    found = changes(a, b)
    total = sum(one.force for one in found)
    shown = [one for one in found[:MOST] if abs(one.force) > 0.5]
    rest = total - sum(one.force for one in shown)
    bars = [*shown]
    if abs(rest) > 0.5:
        bars.append(Change(name=f"{len(found) - len(shown)} small things", force=rest))
    width = WIDE_WIDTH if wide else PHONE_WIDTH
    title = f"{signed(total, system)} {'lb' if system == 'us' else 'kg'} on the ball"
    below = f"{names[1]} against {names[0]}: what differs, largest first, adds up to that"
    head, top = heading(title, below, wide=wide)
    said = "; ".join(f"{one.name} {signed(one.force, system)}" for one in bars)
    size = NORMAL if wide else PHONE
    return sheet(
        "difference-picture",
        f"{names[1]} against {names[0]}: {title}",
        said or "The two ledgers agree.",
        (width, top + 30.0 * (len(bars) + 1) + 16.0),
        head,
        shifted(top, _bars(bars, total, width, size, system, wide=wide)),
    )


def _bars(
    bars: list[Change], total: float, width: float, size: float, system: System, *, wide: bool
) -> Markup:
    """A staircase: each bar starts where the one above it ended, the last is the whole."""
    names, figures = (260.0, 90.0) if wide else (120.0, 58.0)
    left, right = names + 24.0, width - figures - 10.0
    runs, at = [], 0.0
    for one in bars:
        runs.append((at, at + one.force))
        at += one.force
    low = min([0.0, total, *(min(run) for run in runs)])
    high = max([0.0, total, *(max(run) for run in runs)])
    unit = (right - left) / max(high - low, 1e-9)
    zero = left - low * unit
    y, parts = 0.0, [stroke(zero, 0, zero, 30.0 * (len(bars) + 1), 1.0, stroke=FAINT)]
    for one, (start, end) in zip(bars, runs, strict=True):
        parts += _bar(one, start, end, zero, unit, y, names, width, size, system)
        y += 30.0
        x = zero + end * unit
        parts.append(stroke(x, y - 10, x, y + 4, 0.8, stroke=FAINT))
    whole = Change(name="together", force=total)
    parts += _bar(whole, 0.0, total, zero, unit, y, names, width, size, system, bold=True)
    return join(*parts)


def _bar(
    one: Change,
    start: float,
    end: float,
    zero: float,
    unit: float,
    y: float,
    names: float,
    width: float,
    size: float,
    system: System,
    *,
    bold: bool = False,
) -> list[Markup]:
    colour = INK if bold else (PRESS if one.force > 0 else LIFT)
    x = zero + min(start, end) * unit
    name = fitted(one.name, size, names - 14.0, bold=bold)
    return [
        words(names + 10, y + 15, name, size, anchor="end", bold=bold),
        block(
            x,
            y + 3,
            max(abs(end - start) * unit, 1.0),
            17,
            fill=colour,
            data_row=one.name,
            data_newtons=one.force,
        ),
        words(
            width - 14,
            y + 15,
            signed(one.force, system),
            size,
            anchor="end",
            bold=True,
            fill=colour,
        ),
    ]
