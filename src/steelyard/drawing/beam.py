"""The lever: every weight stands on the beam at its station, the axles are the fulcrum.

Above the beam a column presses on the ball, below it lifts off it; all together they are the
tongue weight.
"""

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Final

from steelyard.assessment import Assessment, StageResult
from steelyard.drawing import lever, paper
from steelyard.drawing.columns import signed
from steelyard.drawing.labels import Box, Label, Line, Piece, Spot, settled
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import Sizes
from steelyard.drawing.svg import Markup, element, join, path
from steelyard.quantity import System
from steelyard.words.assessed import weight, weight_spread

HEADING: Final = 500.0
"""Units that the heading may be wide."""


def beam_picture(
    found: Assessment, stage: StageResult, rule: Ruler, size: Sizes, system: System
) -> tuple[Markup, float]:
    """The beam from y = 0 down, and the height it takes."""
    standing = lever.rows(found, stage, rule)
    unit = lever.TALL[rule.wide] / max((abs(row.tongue_kg) for row in standing), default=1.0)
    placed = lever.standing_at(standing, unit, rule)
    named = lever.worth_naming(standing, wide=rule.wide)
    if not rule.wide:
        return _on_phone(placed, named, stage, rule, size, system)
    labels, boxes, named = labelled(placed, named, rule, size, system)
    rest = _told([row for row in standing if row not in named])
    head, room = _heading(stage, rest, system, size.seat, wide=True)
    top = min([-24.0, *(box[1] for box in boxes)])
    at_left = min([0.0, *(box[1] for box in boxes if box[0] < HEADING)])
    down = max(10.0 - top, room + 8.0 - at_left)
    bottom = max([lever.FULCRUM[True] + 8.0, *(box[3] for box in boxes)])
    columns = [_column(row, box, system, wide=True) for row, box in placed]
    return join(
        head, paper.shifted(down, _beam(rule, size), *columns, *labels)
    ), down + bottom + 10.0


def _on_phone(
    placed: Sequence[tuple[lever.Row, Box]],
    named: list[lever.Row],
    stage: StageResult,
    rule: Ruler,
    size: Sizes,
    system: System,
) -> tuple[Markup, float]:
    """Heading, columns, and their names in a list below."""
    rest = _told([row for row, _ in placed if row not in named])
    head, room = _heading(stage, rest, system, size.seat, wide=False)
    top = min([0.0, *(box[1] for _, box in placed)])
    bottom = max([lever.FULCRUM[False] + 6.0, *(box[3] for _, box in placed)])
    columns = [_column(row, box, system, wide=False) for row, box in placed]
    down = room - top
    listed, more = _listed(named, rest, system)
    below = down + bottom + 14.0
    drawn = paper.shifted(down, _beam(rule, size), *columns)
    return join(head, drawn, paper.shifted(below, listed)), below + more


def _column(row: lever.Row, box: Box, system: System, *, wide: bool) -> Markup:
    """A column; the trailer's own share, and what has no place, in outline."""
    hollow = row.own or row.x is None
    colour = lever.colour_of(row)
    return paper.block(
        box[0],
        box[1],
        box[2] - box[0],
        max(box[3] - box[1], 1.0),
        element("title", f"{row.name}: {_does(row, system)}"),
        class_="lever-column",
        data_item=row.item,
        data_row=row.name,
        data_kg=row.tongue_kg,
        fill=paper.PAPER if hollow else colour,
        stroke=colour,
        stroke_width=1.8 if hollow and wide else 1.0,
        stroke_dasharray="3 2" if row.x is None else None,
    )


def _does(row: lever.Row, system: System) -> str:
    way = "presses on the ball with" if row.tongue_kg > 0 else "lifts off the ball"
    return f"{way} {weight(abs(row.tongue_kg), system)}"


def _beam(rule: Ruler, size: Sizes) -> Markup:
    wide = rule.wide
    end = rule.x("trailer", max(size.box_end, size.axles[-1] + 0.2))
    start = min(rule.ball, rule.x("trailer", size.box_start))
    axles = [rule.x("trailer", s) for s in size.axles]
    fulcrum, deep = lever.fulcrum_of(rule, size), lever.FULCRUM[wide]
    triangle = [(fulcrum, 3.0), (fulcrum + 0.62 * deep, deep), (fulcrum - 0.62 * deep, deep)]
    foot = paper.stroke(axles[0] - 14, deep, axles[-1] + 14, deep, 1.2)
    return join(
        element("path", d=path(triangle, closed=True), fill=paper.INK, class_="fulcrum"),
        foot,
        paper.stroke(start, 0, end, 0, 5.0 if wide else 3.0, stroke_linecap="round"),
        element("circle", cx=rule.ball, cy=0, r=6.5 if wide else 4.0, fill=paper.INK),
    )


def _heading(
    stage: StageResult, rest: Sequence[lever.Row], system: System, seat: str, *, wide: bool
) -> tuple[Markup, float]:
    """What is shown, what it adds up to, what the bars do; and the height this takes."""
    size, x, room = (paper.NORMAL, 24.0, HEADING) if wide else (paper.PHONE, 14.0, 364.0)
    total = weight(stage.ledger.total_kg, system)
    said = [f"the columns add up to {total}; blue presses, ochre lifts", *_bars(stage, system)]
    if rest and wide:
        said.insert(1, _small(rest, system))
    title = f"What each thing does to the {seat}"
    parts, y = [paper.words(x, 22, title, paper.LARGE if wide else 15.0, bold=True)], 42.0
    for line in (part for one in said for part in paper.broken(one, size, room)):
        parts.append(paper.words(x, y, line, size, fill=paper.FAINT))
        y += size * 1.4
    return join(*parts), y


def _told(rest: list[lever.Row]) -> list[lever.Row]:
    """What is not named, where it would not be told as none."""
    return rest if abs(sum(row.tongue_kg for row in rest)) >= lever.TOLD else []


def _small(rest: Sequence[lever.Row], system: System) -> str:
    total = sum(row.tongue_kg for row in rest)
    if len(rest) == 1:
        return f"one more, not named: {rest[0].name} {signed(total, system)}"
    return f"{len(rest)} more, {signed(total, system)} together, not named"


def _bars(stage: StageResult, system: System) -> list[str]:
    """The row of the bars, apart: it is no part of the tongue weight."""
    pull = next((e.tongue_kg for e in stage.driven.entries if e.name == "spring bars' pull"), 0.0)
    if abs(pull) <= lever.NOTHING:
        return []
    net = weight_spread(stage.tongue.net_kg, system)
    return [f"not in it: spring bars {signed(pull, system)}; as driven the vehicle carries {net}"]


def _listed(
    named: Sequence[lever.Row], rest: Sequence[lever.Row], system: System
) -> tuple[Markup, float]:
    """On a phone: the columns named below, front to back."""
    order = sorted(named, key=lambda row: (row.x is None, row.x or 0.0))
    parts, y = [], 12.0
    for row in order:
        mark = paper.block(
            14,
            y - 9,
            9,
            9,
            fill=paper.PAPER if row.own else lever.colour_of(row),
            stroke=lever.colour_of(row),
        )
        parts += [
            mark,
            paper.words(30, y, paper.fitted(row.name, paper.PHONE, 290.0), paper.PHONE),
            paper.words(
                376,
                y,
                signed(row.tongue_kg, system),
                paper.PHONE,
                anchor="end",
                bold=True,
                fill=lever.colour_of(row),
            ),
        ]
        y += 18.0
    if rest:
        parts += [paper.words(30, y, _small(rest, system), paper.PHONE, fill=paper.FAINT)]
        y += 18.0
    return join(*parts), y


BESIDE: Final = 9.0
"""Units from a column to what stands beside it: nearer it would meet its own column."""


def labelled(
    placed: Sequence[tuple[lever.Row, Box]],
    named: Sequence[lever.Row],
    rule: Ruler,
    size: Sizes,
    system: System,
) -> tuple[list[Markup], list[Box], list[lever.Row]]:
    """Labels of the named columns, each where it meets nothing; all boxes; who found room."""
    lowest = rule.x("trailer", max(size.box_end, size.axles[-1]))
    fulcrum, deep = lever.fulcrum_of(rule, size), lever.FULCRUM[True]
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
    shown: list[lever.Row] = []
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
    placed: Sequence[tuple[lever.Row, Box]], named: Sequence[lever.Row], system: System
) -> list[tuple[list[lever.Row], Box, Label]]:
    """What gets a label: each named row; where things are many, what rides in one place together.

    Largest first; the first row of each decides side and colour.
    """
    many = len(placed) > lever.NAMED[True]
    heaps: dict[object, list[tuple[lever.Row, Box]]] = {}
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
    colour = paper.PRESS if kg > 0 else paper.LIFT
    above = (
        Line(text=text, size=paper.SMALL, fill=paper.FAINT)
        for text in paper.broken(name, paper.SMALL, 150.0)
    )
    return Label(lines=(*above, Line(text=signed(kg, system), bold=True, fill=colour)))


def _home(row: lever.Row, box: Box, label: Label) -> Spot:
    """Right over (or under) the column's end."""
    top = box[1] - 4.0 - label.height if row.tongue_kg > 0 else box[3] + 2.0
    return (box[0] + box[2]) / 2, top, "middle"


def _spots(row: lever.Row, box: Box, label: Label) -> Iterator[Spot]:
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


def _leader(row: lever.Row, box: Box, mine: Box) -> Piece | None:
    """The line between a column and a label that is not right at its end."""
    near, far = (mine[3], box[1]) if row.tongue_kg > 0 else (mine[1], box[3])
    x = (box[0] + box[2]) / 2
    over = abs(near - far) < 12.0 and mine[0] <= x <= mine[2]
    aside = max(mine[0] - box[2], box[0] - mine[2])
    if over or (aside < BESIDE + 1.0 and mine[1] < box[3] + 2.0 and box[1] - 2.0 < mine[3]):
        return None
    return x, far, min(max(x, mine[0] + 4), mine[2] - 4), near
