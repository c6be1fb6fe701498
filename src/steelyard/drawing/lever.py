"""The lever's columns: what each part, item and tank does to the ball, and where it stands."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from steelyard.assessment import Assessment, StageResult
from steelyard.drawing.labels import Box, stacked
from steelyard.drawing.names import item_name, place_name
from steelyard.drawing.paper import LIFT, PRESS
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import Sizes
from steelyard.quantity import POUND

TALL: Final = {True: 120.0, False: 84.0}
THICK: Final = {True: 14.0, False: 8.0}
NAMED: Final = {True: 12, False: 9}
FULCRUM: Final = {True: 22.0, False: 12.0}
SMALLEST: Final = 0.006
"""Columns below this part of the largest stand with the small things."""
VEHICLE: Final = "vehicle itself"
SPRINGS: Final = "springs and ball height"
STANCE: Final = "ball height, springs"
"""Rows of the ledger by their names; the last is both as one."""
NOTHING: Final = 0.05 * POUND
"""Kg: a row below this is not drawn."""
TOLD: Final = 0.5
"""Kg: a row below this would be told as none, and is not named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One column: name, key of the item if it is one, x (None: it has no place), what it puts on
    the ball, and the name of the place it rides in."""

    name: str
    item: str | None
    x: float | None
    tongue_kg: float
    own: bool
    place: str | None = None


def rows(found: Assessment, stage: StageResult, rule: Ruler) -> tuple[Row, ...]:
    """The ledger as columns that sum to the tongue weight.

    What rides in the vehicle moves the ball only where each axle has springs of its own; it is
    one row. So are the springs with the empty vehicle on them: how high the ball stands.
    """
    drawn, aboard, stance = [], 0.0, 0.0
    for entry in stage.ledger.entries:
        if entry.name in (VEHICLE, SPRINGS):
            stance += entry.tongue_kg
            continue
        if entry.body == "vehicle":
            aboard += entry.tongue_kg
            continue
        item = entry.name if entry.name in found.rig.items else None
        title = item_name(found.rig, item) if item else None
        x = rule.x("trailer", entry.station) if entry.body == "trailer" else None
        own = entry.name == "trailer itself"
        drawn.append(
            Row(
                name=title or entry.name,
                item=item,
                x=x,
                tongue_kg=entry.tongue_kg,
                own=own,
                place=place_name(found.rig, entry.place) if item and entry.place else None,
            )
        )
    drawn.append(Row(name=STANCE, item=None, x=None, tongue_kg=stance, own=False))
    drawn.append(Row(name="load in the vehicle", item=None, x=None, tongue_kg=aboard, own=False))
    return tuple(row for row in drawn if abs(row.tongue_kg) > NOTHING)


def standing_at(standing: Sequence[Row], unit: float, rule: Ruler) -> list[tuple[Row, Box]]:
    """Each column's box about the beam; those that meet stand on one another."""
    thick = THICK[rule.wide]
    loose = iter(range(99))
    spots = [
        row.x if row.x is not None else rule.ball - (34.0 + 96.0 * next(loose)) * rule.width / 1280
        for row in standing
    ]
    order = sorted(range(len(standing)), key=lambda i: -abs(standing[i].tongue_kg))
    found: list[tuple[Row, Box]] = []
    for sign in (1, -1):
        side = [i for i in order if (standing[i].tongue_kg > 0) == (sign > 0)]
        spans = [
            (spots[i] - thick / 2, spots[i] + thick / 2, abs(standing[i].tongue_kg) * unit)
            for i in side
        ]
        for i, span, foot in zip(side, spans, stacked(spans, [3.0] * len(side)), strict=True):
            near, far = -sign * foot, -sign * (foot + span[2])
            found.append((standing[i], (span[0], min(near, far), span[1], max(near, far))))
    return found


def worth_naming(standing: Sequence[Row], *, wide: bool) -> list[Row]:
    """Rows to be named, largest first; the rest are summed. One alone is no rest."""
    ranked = sorted(standing, key=lambda row: -abs(row.tongue_kg))
    least = max(SMALLEST * max((abs(row.tongue_kg) for row in ranked), default=0.0), TOLD)
    named = [row for row in ranked[: NAMED[wide]] if abs(row.tongue_kg) >= least]
    alone = len(ranked) == len(named) + 1 and abs(ranked[-1].tongue_kg) >= TOLD
    return ranked if alone else named


def colour_of(row: Row) -> str:
    """Blue presses, ochre lifts."""
    return PRESS if row.tongue_kg > 0 else LIFT


def fulcrum_of(rule: Ruler, size: Sizes) -> float:
    """x of the middle of the axles."""
    return sum(rule.x("trailer", s) for s in size.axles) / len(size.axles)
