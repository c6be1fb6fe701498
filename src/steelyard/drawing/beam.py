"""The lever: every weight stands on the beam at its station, the axles are the fulcrum.

Above the beam a column presses on the ball, below it lifts off it; all together they are the
tongue weight.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from steelyard.assessment import Assessment, StageResult
from steelyard.drawing.columns import signed
from steelyard.drawing.labels import Box, Label, Line, Spot, meet, stacked
from steelyard.drawing.paper import (
    FAINT,
    INK,
    LARGE,
    LIFT,
    NORMAL,
    PAPER,
    PHONE,
    PRESS,
    SMALL,
    block,
    broken,
    fitted,
    shifted,
    stroke,
    words,
)
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import Sizes
from steelyard.drawing.svg import Markup, element, join, path
from steelyard.quantity import GRAVITY, POUND, System
from steelyard.words import weight, weight_spread

TALL: Final = {True: 120.0, False: 84.0}
THICK: Final = {True: 14.0, False: 8.0}
NAMED: Final = {True: 12, False: 9}
FULCRUM: Final = {True: 22.0, False: 12.0}
HEADING: Final = 500.0
"""Units that the heading may be wide."""
SMALLEST: Final = 0.006
"""Columns below this part of the largest stand with the small things."""
VEHICLE: Final = "vehicle itself"
SPRINGS: Final = "springs and ball height"
"""Rows of the ledger by their names."""
NOTHING: Final = 0.05 * POUND * GRAVITY
"""N: a row below this is not drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One column: name, key of the item if it is one, x (None: it has no place), N on the ball."""

    name: str
    item: str | None
    x: float | None
    force: float
    own: bool


def rows(found: Assessment, stage: StageResult, rule: Ruler) -> tuple[Row, ...]:
    """The ledger as columns that sum to the tongue weight.

    What rides in the vehicle moves the ball only where each axle has springs of its own; it is
    one row. So are the springs with the empty vehicle on them: how high the ball stands.
    """
    drawn, aboard, stance = [], 0.0, 0.0
    for entry in stage.ledger.entries:
        if entry.name in (VEHICLE, SPRINGS):
            stance += entry.force
            continue
        if entry.body == "vehicle":
            aboard += entry.force
            continue
        item = entry.name if entry.name in found.rig.items else None
        title = found.rig.items[entry.name].title if item else None
        x = rule.x("trailer", entry.station) if entry.body == "trailer" else None
        own = entry.name == "trailer itself"
        drawn.append(Row(name=title or entry.name, item=item, x=x, force=entry.force, own=own))
    drawn.append(Row(name="ball height, springs", item=None, x=None, force=stance, own=False))
    drawn.append(Row(name="load in the vehicle", item=None, x=None, force=aboard, own=False))
    return tuple(row for row in drawn if abs(row.force) > NOTHING)


def beam_picture(
    found: Assessment, stage: StageResult, rule: Ruler, size: Sizes, system: System
) -> tuple[Markup, float]:
    """The beam from y = 0 down, and the height it takes."""
    standing = rows(found, stage, rule)
    unit = TALL[rule.wide] / max((abs(row.force) for row in standing), default=1.0)
    placed = _placed(standing, unit, rule)
    named = _worth_naming(standing, wide=rule.wide)
    if not rule.wide:
        return _on_phone(placed, named, stage, rule, size, system)
    labels, boxes, named = _labelled(placed, named, rule, size, system)
    rest = [row for row in standing if row not in named]
    head, room = _heading(stage, rest, system, wide=True)
    top = min([-24.0, *(box[1] for box in boxes)])
    at_left = min([0.0, *(box[1] for box in boxes if box[0] < HEADING)])
    down = max(10.0 - top, room + 8.0 - at_left)
    bottom = max([FULCRUM[True] + 8.0, *(box[3] for box in boxes)])
    columns = [_column(row, box, system, wide=True) for row, box in placed]
    return join(head, shifted(down, _beam(rule, size), *columns, *labels)), down + bottom + 10.0


def _on_phone(
    placed: Sequence[tuple[Row, Box]],
    named: list[Row],
    stage: StageResult,
    rule: Ruler,
    size: Sizes,
    system: System,
) -> tuple[Markup, float]:
    """Heading, columns, and their names in a list below."""
    rest = [row for row, _ in placed if row not in named]
    head, room = _heading(stage, rest, system, wide=False)
    top = min([0.0, *(box[1] for _, box in placed)])
    bottom = max([FULCRUM[False] + 6.0, *(box[3] for _, box in placed)])
    columns = [_column(row, box, system, wide=False) for row, box in placed]
    down = room - top
    listed, more = _listed(named, rest, system)
    below = down + bottom + 14.0
    drawn = shifted(down, _beam(rule, size), *columns)
    return join(head, drawn, shifted(below, listed)), below + more


def _placed(standing: Sequence[Row], unit: float, rule: Ruler) -> list[tuple[Row, Box]]:
    """Each column's box about the beam; those that meet stand on one another."""
    thick = THICK[rule.wide]
    loose = iter(range(99))
    spots = [
        row.x if row.x is not None else rule.ball - (34.0 + 96.0 * next(loose)) * rule.width / 1280
        for row in standing
    ]
    order = sorted(range(len(standing)), key=lambda i: -abs(standing[i].force))
    found: list[tuple[Row, Box]] = []
    for sign in (1, -1):
        side = [i for i in order if (standing[i].force > 0) == (sign > 0)]
        spans = [
            (spots[i] - thick / 2, spots[i] + thick / 2, abs(standing[i].force) * unit)
            for i in side
        ]
        for i, span, foot in zip(side, spans, stacked(spans, [3.0] * len(side)), strict=True):
            near, far = -sign * foot, -sign * (foot + span[2])
            found.append((standing[i], (span[0], min(near, far), span[1], max(near, far))))
    return found


def _worth_naming(standing: Sequence[Row], *, wide: bool) -> list[Row]:
    """Rows to be named, largest first; the rest are summed. One alone is no rest."""
    ranked = sorted(standing, key=lambda row: -abs(row.force))
    least = SMALLEST * max((abs(row.force) for row in ranked), default=0.0)
    named = [row for row in ranked[: NAMED[wide]] if abs(row.force) >= least]
    return ranked if len(ranked) == len(named) + 1 else named


def _colour(row: Row) -> str:
    return PRESS if row.force > 0 else LIFT


def _column(row: Row, box: Box, system: System, *, wide: bool) -> Markup:
    """A column; the trailer's own share, and what has no place, in outline."""
    hollow = row.own or row.x is None
    colour = _colour(row)
    return block(
        box[0],
        box[1],
        box[2] - box[0],
        max(box[3] - box[1], 1.0),
        element("title", f"{row.name}: {_does(row, system)}"),
        class_="lever-column",
        data_item=row.item,
        data_row=row.name,
        data_newtons=row.force,
        fill=PAPER if hollow else colour,
        stroke=colour,
        stroke_width=1.8 if hollow and wide else 1.0,
        stroke_dasharray="3 2" if row.x is None else None,
    )


def _does(row: Row, system: System) -> str:
    way = "presses on the ball with" if row.force > 0 else "lifts off the ball"
    return f"{way} {weight(abs(row.force), system)}"


def _fulcrum(rule: Ruler, size: Sizes) -> float:
    return sum(rule.x("trailer", s) for s in size.axles) / len(size.axles)


def _beam(rule: Ruler, size: Sizes) -> Markup:
    """Ball, beam and fulcrum."""
    wide = rule.wide
    end = rule.x("trailer", max(size.box_end, size.axles[-1] + 0.2))
    start = min(rule.ball, rule.x("trailer", size.box_start))
    axles = [rule.x("trailer", s) for s in size.axles]
    fulcrum, deep = _fulcrum(rule, size), FULCRUM[wide]
    triangle = [(fulcrum, 3.0), (fulcrum + 0.62 * deep, deep), (fulcrum - 0.62 * deep, deep)]
    foot = stroke(axles[0] - 14, deep, axles[-1] + 14, deep, 1.2)
    return join(
        element("path", d=path(triangle, closed=True), fill=INK, class_="fulcrum"),
        foot,
        stroke(start, 0, end, 0, 5.0 if wide else 3.0, stroke_linecap="round"),
        element("circle", cx=rule.ball, cy=0, r=6.5 if wide else 4.0, fill=INK),
    )


def _labelled(
    placed: Sequence[tuple[Row, Box]],
    named: Sequence[Row],
    rule: Ruler,
    size: Sizes,
    system: System,
) -> tuple[list[Markup], list[Box], list[Row]]:
    """Labels of the named columns, each where it meets nothing; all boxes; who found room."""
    lowest = rule.x("trailer", max(size.box_end, size.axles[-1]))
    fulcrum, deep = _fulcrum(rule, size), FULCRUM[True]
    solid: list[Box] = [box for _, box in placed]
    solid.append((fulcrum - 14.0, 0.0, fulcrum + 14.0, deep))
    axles = [rule.x("trailer", s) for s in size.axles]
    foot = (axles[0] - 16.0, deep - 2.0, axles[-1] + 16.0, deep + 2.0)
    taken = [*solid, foot, (rule.ball - 8.0, -8.0, lowest, 5.0)]
    there = len(taken)
    wanted = [(row, box, _label(row, system)) for row, box in placed if row in named]
    wanted.sort(key=lambda one: -abs(one[0].force))
    drawn, shown = [], []
    for first in (True, False):
        for row, box, label in wanted:
            if row in shown:
                continue
            spots = [_home(row, box, label)] if first else _spots(row, box, label)
            found = _settled(row, box, label, spots, solid, taken, there, rule.width)
            if found is not None:
                drawn.append(found)
                shown.append(row)
    return drawn, taken, shown


def _settled(
    row: Row,
    box: Box,
    label: Label,
    spots: Iterable[Spot],
    solid: list[Box],
    taken: list[Box],
    there: int,
    width: float,
) -> Markup | None:
    """A label, and its leader, at the first spot where neither meets a column or another label.

    `taken` grows; its entries from `there` on are labels and leaders.
    """
    for spot in spots:
        mine = label.box(*spot)
        if mine[0] < 6.0 or mine[2] > width - 6.0:
            continue
        if any(meet(mine, other, 3.0) for other in taken):
            continue
        leader = _leader(row, box, mine)
        if leader is None:
            taken.append(mine)
            return label.drawn(*spot)
        thin = _thin(leader)
        if any(meet(thin, other) for other in solid if other != box):
            continue
        if any(meet(thin, other, 1.0) for other in taken[there:]):
            continue
        taken += [mine, thin]
        return join(label.drawn(*spot), stroke(*leader, 0.8, stroke=FAINT))
    return None


def _label(row: Row, system: System) -> Label:
    name = Line(text=fitted(row.name, SMALL, 150.0), size=SMALL, fill=FAINT)
    force = signed(row.force, system)
    return Label(lines=(name, Line(text=force, size=NORMAL, bold=True, fill=_colour(row))))


def _home(row: Row, box: Box, label: Label) -> Spot:
    """Right over (or under) the column's end."""
    top = box[1] - 4.0 - label.height if row.force > 0 else box[3] + 2.0
    return (box[0] + box[2]) / 2, top, "middle"


def _spots(row: Row, box: Box, label: Label) -> Iterator[Spot]:
    """Beside the column, else further and further out from its end."""
    x, up = (box[0] + box[2]) / 2, row.force > 0
    half, middle = label.width / 2, (box[1] + box[3] - label.height) / 2
    for top in (middle, box[1] - 2.0, box[3] - label.height + 2.0):
        yield box[0] - 5.0, top, "end"
        yield box[2] + 5.0, top, "start"
    for step in range(26):
        away = 4.0 + 10.0 * step
        top = box[1] - away - label.height if up else box[3] + away - 2.0
        for dx in (0.0, 0.6 * half, -0.6 * half, half + 3, -half - 3):
            yield x + dx, top, "middle"


Piece = tuple[float, float, float, float]
"""x and y of both ends."""


def _leader(row: Row, box: Box, mine: Box) -> Piece | None:
    """The line between a column and a label that is not right at its end."""
    near, far = (mine[3], box[1]) if row.force > 0 else (mine[1], box[3])
    x = (box[0] + box[2]) / 2
    over = abs(near - far) < 12.0 and mine[0] <= x <= mine[2]
    aside = max(mine[0] - box[2], box[0] - mine[2])
    if over or (aside < 8.0 and mine[1] < box[3] + 2.0 and box[1] - 2.0 < mine[3]):
        return None
    return x, far, min(max(x, mine[0] + 4), mine[2] - 4), near


def _thin(piece: Piece) -> Box:
    x0, y0, x1, y1 = piece
    return min(x0, x1) - 1, min(y0, y1) + 2, max(x0, x1) + 1, max(y0, y1) - 2


def _heading(
    stage: StageResult, rest: Sequence[Row], system: System, *, wide: bool
) -> tuple[Markup, float]:
    """What is shown, what it adds up to, what the bars do; and the height this takes."""
    size, x, room = (NORMAL, 24.0, HEADING) if wide else (PHONE, 14.0, 364.0)
    total = weight(stage.ledger.total, system)
    said = [f"the columns add up to {total}; blue presses, ochre lifts", *_bars(stage, system)]
    if rest and wide:
        said.insert(1, _small(rest, system))
    title = "What each thing does to the ball"
    parts, y = [words(x, 22, title, LARGE if wide else 15.0, bold=True)], 42.0
    for line in (part for one in said for part in broken(one, size, room)):
        parts.append(words(x, y, line, size, fill=FAINT))
        y += size * 1.4
    return join(*parts), y


def _small(rest: Sequence[Row], system: System) -> str:
    total = sum(row.force for row in rest)
    things = "1 small thing" if len(rest) == 1 else f"{len(rest)} small things"
    return f"{things}, {signed(total, system)} together, not named"


def _bars(stage: StageResult, system: System) -> list[str]:
    """The row of the bars, apart: it is no part of the tongue weight."""
    pull = next((e.force for e in stage.driven.entries if e.name == "spring bars' pull"), 0.0)
    if abs(pull) <= NOTHING:
        return []
    net = weight_spread(stage.tongue.net, system)
    return [f"not in it: spring bars {signed(pull, system)}; as driven the vehicle carries {net}"]


def _listed(named: Sequence[Row], rest: Sequence[Row], system: System) -> tuple[Markup, float]:
    """On a phone: the columns named below, front to back."""
    order = sorted(named, key=lambda row: (row.x is None, row.x or 0.0))
    parts, y = [], 12.0
    for row in order:
        mark = block(14, y - 9, 9, 9, fill=PAPER if row.own else _colour(row), stroke=_colour(row))
        parts += [
            mark,
            words(30, y, fitted(row.name, PHONE, 250.0), PHONE),
            words(
                376,
                y,
                signed(row.force, system),
                PHONE,
                anchor="end",
                bold=True,
                fill=_colour(row),
            ),
        ]
        y += 18.0
    if rest:
        parts += [words(30, y, _small(rest, system), PHONE, fill=FAINT)]
        y += 18.0
    return join(*parts), y
