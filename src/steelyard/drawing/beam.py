"""The lever: every weight stands on the beam at its station, the axles are the fulcrum.

Above the beam a column presses on the ball, below it lifts off it; all together they are the
tongue weight.
"""

from collections.abc import Sequence
from typing import Final

from steelyard.assessment import Assessment, StageResult
from steelyard.drawing.beam_labels import labelled
from steelyard.drawing.columns import signed
from steelyard.drawing.labels import Box
from steelyard.drawing.lever import (
    FULCRUM,
    NOTHING,
    TALL,
    TOLD,
    Row,
    colour_of,
    fulcrum_of,
    rows,
    standing_at,
    worth_naming,
)
from steelyard.drawing.paper import (
    FAINT,
    INK,
    LARGE,
    NORMAL,
    PAPER,
    PHONE,
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
from steelyard.quantity import System
from steelyard.words.assessed import weight, weight_spread

HEADING: Final = 500.0
"""Units that the heading may be wide."""


def beam_picture(
    found: Assessment, stage: StageResult, rule: Ruler, size: Sizes, system: System
) -> tuple[Markup, float]:
    """The beam from y = 0 down, and the height it takes."""
    standing = rows(found, stage, rule)
    unit = TALL[rule.wide] / max((abs(row.tongue_kg) for row in standing), default=1.0)
    placed = standing_at(standing, unit, rule)
    named = worth_naming(standing, wide=rule.wide)
    if not rule.wide:
        return _on_phone(placed, named, stage, rule, size, system)
    labels, boxes, named = labelled(placed, named, rule, size, system)
    rest = _told([row for row in standing if row not in named])
    head, room = _heading(stage, rest, system, size.seat, wide=True)
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
    rest = _told([row for row, _ in placed if row not in named])
    head, room = _heading(stage, rest, system, size.seat, wide=False)
    top = min([0.0, *(box[1] for _, box in placed)])
    bottom = max([FULCRUM[False] + 6.0, *(box[3] for _, box in placed)])
    columns = [_column(row, box, system, wide=False) for row, box in placed]
    down = room - top
    listed, more = _listed(named, rest, system)
    below = down + bottom + 14.0
    drawn = shifted(down, _beam(rule, size), *columns)
    return join(head, drawn, shifted(below, listed)), below + more


def _column(row: Row, box: Box, system: System, *, wide: bool) -> Markup:
    """A column; the trailer's own share, and what has no place, in outline."""
    hollow = row.own or row.x is None
    colour = colour_of(row)
    return block(
        box[0],
        box[1],
        box[2] - box[0],
        max(box[3] - box[1], 1.0),
        element("title", f"{row.name}: {_does(row, system)}"),
        class_="lever-column",
        data_item=row.item,
        data_row=row.name,
        data_kg=row.tongue_kg,
        fill=PAPER if hollow else colour,
        stroke=colour,
        stroke_width=1.8 if hollow and wide else 1.0,
        stroke_dasharray="3 2" if row.x is None else None,
    )


def _does(row: Row, system: System) -> str:
    way = "presses on the ball with" if row.tongue_kg > 0 else "lifts off the ball"
    return f"{way} {weight(abs(row.tongue_kg), system)}"


def _beam(rule: Ruler, size: Sizes) -> Markup:
    """Ball, beam and fulcrum."""
    wide = rule.wide
    end = rule.x("trailer", max(size.box_end, size.axles[-1] + 0.2))
    start = min(rule.ball, rule.x("trailer", size.box_start))
    axles = [rule.x("trailer", s) for s in size.axles]
    fulcrum, deep = fulcrum_of(rule, size), FULCRUM[wide]
    triangle = [(fulcrum, 3.0), (fulcrum + 0.62 * deep, deep), (fulcrum - 0.62 * deep, deep)]
    foot = stroke(axles[0] - 14, deep, axles[-1] + 14, deep, 1.2)
    return join(
        element("path", d=path(triangle, closed=True), fill=INK, class_="fulcrum"),
        foot,
        stroke(start, 0, end, 0, 5.0 if wide else 3.0, stroke_linecap="round"),
        element("circle", cx=rule.ball, cy=0, r=6.5 if wide else 4.0, fill=INK),
    )


def _heading(
    stage: StageResult, rest: Sequence[Row], system: System, seat: str, *, wide: bool
) -> tuple[Markup, float]:
    """What is shown, what it adds up to, what the bars do; and the height this takes."""
    size, x, room = (NORMAL, 24.0, HEADING) if wide else (PHONE, 14.0, 364.0)
    total = weight(stage.ledger.total_kg, system)
    said = [f"the columns add up to {total}; blue presses, ochre lifts", *_bars(stage, system)]
    if rest and wide:
        said.insert(1, _small(rest, system))
    title = f"What each thing does to the {seat}"
    parts, y = [words(x, 22, title, LARGE if wide else 15.0, bold=True)], 42.0
    for line in (part for one in said for part in broken(one, size, room)):
        parts.append(words(x, y, line, size, fill=FAINT))
        y += size * 1.4
    return join(*parts), y


def _told(rest: list[Row]) -> list[Row]:
    """What is not named, where it would not be told as none."""
    return rest if abs(sum(row.tongue_kg for row in rest)) >= TOLD else []


def _small(rest: Sequence[Row], system: System) -> str:
    total = sum(row.tongue_kg for row in rest)
    if len(rest) == 1:
        return f"one more, not named: {rest[0].name} {signed(total, system)}"
    return f"{len(rest)} more, {signed(total, system)} together, not named"


def _bars(stage: StageResult, system: System) -> list[str]:
    """The row of the bars, apart: it is no part of the tongue weight."""
    pull = next((e.tongue_kg for e in stage.driven.entries if e.name == "spring bars' pull"), 0.0)
    if abs(pull) <= NOTHING:
        return []
    net = weight_spread(stage.tongue.net_kg, system)
    return [f"not in it: spring bars {signed(pull, system)}; as driven the vehicle carries {net}"]


def _listed(named: Sequence[Row], rest: Sequence[Row], system: System) -> tuple[Markup, float]:
    """On a phone: the columns named below, front to back."""
    order = sorted(named, key=lambda row: (row.x is None, row.x or 0.0))
    parts, y = [], 12.0
    for row in order:
        mark = block(
            14, y - 9, 9, 9, fill=PAPER if row.own else colour_of(row), stroke=colour_of(row)
        )
        parts += [
            mark,
            words(30, y, fitted(row.name, PHONE, 290.0), PHONE),
            words(
                376,
                y,
                signed(row.tongue_kg, system),
                PHONE,
                anchor="end",
                bold=True,
                fill=colour_of(row),
            ),
        ]
        y += 18.0
    if rest:
        parts += [words(30, y, _small(rest, system), PHONE, fill=FAINT)]
        y += 18.0
    return join(*parts), y
