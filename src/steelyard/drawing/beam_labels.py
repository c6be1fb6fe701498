"""Names on the lever's columns, none over another, with a thin leader where one stepped away."""

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Final

from steelyard.drawing.columns import signed
from steelyard.drawing.labels import Box, Label, Line, Piece, Spot, settled
from steelyard.drawing.lever import FULCRUM, NAMED, Row, fulcrum_of
from steelyard.drawing.paper import FAINT, LIFT, PRESS, SMALL, broken
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import Sizes
from steelyard.drawing.svg import Markup
from steelyard.quantity import System

BESIDE: Final = 9.0
"""Units from a column to what stands beside it: nearer it would meet its own column."""


def labelled(
    placed: Sequence[tuple[Row, Box]],
    named: Sequence[Row],
    rule: Ruler,
    size: Sizes,
    system: System,
) -> tuple[list[Markup], list[Box], list[Row]]:
    """Labels of the named columns, each where it meets nothing; all boxes; who found room."""
    lowest = rule.x("trailer", max(size.box_end, size.axles[-1]))
    fulcrum, deep = fulcrum_of(rule, size), FULCRUM[True]
    axles = [rule.x("trailer", s) for s in size.axles]
    free = [
        (axles[0] - 16.0, deep - 2.0, axles[-1] + 16.0, deep + 2.0),
        (rule.ball - 8.0, -8.0, rule.ball + 8.0, 8.0),
        (rule.ball, -2.5, lowest, 2.5),
    ]
    taken: list[Box] = [*(box for _, box in placed), *free]
    taken.append((fulcrum - 14.0, 0.0, fulcrum + 14.0, deep))
    wanted = _piles(placed, named, system)
    drawn: list[Markup] = []
    shown: list[Row] = []
    for first in (True, False):
        for members, box, label in wanted:
            row = members[0]
            if row in shown:
                continue
            spots = [_home(row, box, label)] if first else _spots(row, box, label)
            leader = partial(_leader, row, box)
            found = settled(label, spots, leader, taken, box, rule.width, free)
            if found is not None:
                drawn.append(found)
                shown += members
    return drawn, taken, shown


def _piles(
    placed: Sequence[tuple[Row, Box]], named: Sequence[Row], system: System
) -> list[tuple[list[Row], Box, Label]]:
    """What gets a label: each named row; where things are many, what rides in one place together.

    Largest first; the first row of each decides side and colour.
    """
    many = len(placed) > NAMED[True]
    heaps: dict[object, list[tuple[Row, Box]]] = {}
    for row, box in placed:
        if many and row.place is not None:
            heaps.setdefault((row.place, row.tongue_kg > 0, round(box[0])), []).append((row, box))
        elif row in named:
            heaps[row.name] = [(row, box)]
    found = []
    for heap in heaps.values():
        members = [row for row, _ in heap]
        lefts, tops, rights, lows = zip(*(box for _, box in heap), strict=True)
        kg = sum(row.tongue_kg for row in members)
        name = members[0].name if len(members) == 1 else f"{len(members)} in {members[0].place}"
        label = _label(name, kg, system)
        found.append((members, (min(lefts), min(tops), max(rights), max(lows)), label))
    return sorted(found, key=lambda one: -abs(sum(row.tongue_kg for row in one[0])))


def _label(name: str, kg: float, system: System) -> Label:
    colour = PRESS if kg > 0 else LIFT
    above = (Line(text=text, size=SMALL, fill=FAINT) for text in broken(name, SMALL, 150.0))
    return Label(lines=(*above, Line(text=signed(kg, system), bold=True, fill=colour)))


def _home(row: Row, box: Box, label: Label) -> Spot:
    """Right over (or under) the column's end."""
    top = box[1] - 4.0 - label.height if row.tongue_kg > 0 else box[3] + 2.0
    return (box[0] + box[2]) / 2, top, "middle"


def _spots(row: Row, box: Box, label: Label) -> Iterator[Spot]:
    """Beside the column, else further and further out from its end."""
    x, up = (box[0] + box[2]) / 2, row.tongue_kg > 0
    half, middle = label.width / 2, (box[1] + box[3] - label.height) / 2
    near = box[3] - label.height - 4.0 if up else box[1] + 4.0
    for top in (middle, near):
        yield box[0] - BESIDE, top, "end"
        yield box[2] + BESIDE, top, "start"
    for step in range(26):
        away = 4.0 + 10.0 * step
        top = box[1] - away - label.height if up else box[3] + away - 2.0
        for dx in (0.0, 0.6 * half, -0.6 * half, half + 3, -half - 3):
            yield x + dx, top, "middle"


def _leader(row: Row, box: Box, mine: Box) -> Piece | None:
    """The line between a column and a label that is not right at its end."""
    near, far = (mine[3], box[1]) if row.tongue_kg > 0 else (mine[1], box[3])
    x = (box[0] + box[2]) / 2
    over = abs(near - far) < 12.0 and mine[0] <= x <= mine[2]
    aside = max(mine[0] - box[2], box[0] - mine[2])
    if over or (aside < BESIDE + 1.0 and mine[1] < box[3] + 2.0 and box[1] - 2.0 < mine[3]):
        return None
    return x, far, min(max(x, mine[0] + 4), mine[2] - 4), near
