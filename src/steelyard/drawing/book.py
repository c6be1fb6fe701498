"""A rig in a list or a history: its outline on one scale, ball under ball, and what rides in it."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from steelyard.assessment import Assessment, StageResult
from steelyard.drawing.labels import stacked
from steelyard.drawing.paper import INK, PAPER, block, stroke
from steelyard.drawing.places import Area, areas
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import Sizes, sizes
from steelyard.drawing.svg import Markup, element, join
from steelyard.drawing.trailer import coupling, drawn_trailer, trailer_wheels
from steelyard.drawing.vehicle import drawn_vehicle, vehicle_wheels

PER_METRE: Final = 17.0
"""Units per metre in every list."""
THING: Final = (11.0, 26.0)
"""Units: how wide each thing is drawn, and how high the heaviest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """A rig's side view as SVG elements, the ball at x = 0 and the ground at y = 0; how far it
    reaches left and right of the ball and above the ground, in units."""

    drawing: str
    left: float
    right: float
    above: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """A thing that rides, in the outline's units: its middle, its foot and how high it is."""

    name: str
    x: float
    foot: float
    tall: float

    def drawn(self, moved: Collection[str]) -> Markup:
        """A block, filled where it is among what was moved."""
        wide, fill = THING[0], INK if self.name in moved else PAPER
        top = self.foot - self.tall
        return block(
            self.x - wide / 2, top, wide, self.tall, fill=fill, stroke=INK, stroke_width=1.6
        )


def _ruler(size: Sizes) -> Ruler:
    front = -size.ball * PER_METRE
    return Ruler(scale=PER_METRE, front=front, ball=0.0, ground=0.0, width=0.0, wide=False)


def things(found: Assessment, stage: StageResult) -> tuple[Thing, ...]:
    """What rides at a stage, each where it stands in the outline, piled where things meet."""
    size = sizes(found)
    rule = _ruler(size)
    places = areas(found, rule, size)
    riding = [
        (one, rule.x(one.body, one.station))
        for one in stage.ledger.entries
        if one.name in found.rig.items and one.place in places and one.kg > 0
    ]
    rooms = [places[one.place or ""] for one, _ in riding]
    unit = THING[1] / max((one.kg for one, _ in riding), default=1.0)
    piled = _piled([(x, unit * one.kg) for one, x in riding], rooms)
    return tuple(
        Thing(name=one.name, x=x, foot=foot, tall=tall)
        for (one, x), (foot, tall) in zip(riding, piled, strict=True)
    )


def _piled(blocks: list[tuple[float, float]], rooms: list[Area]) -> list[tuple[float, float]]:
    """The foot and the height of each block of a middle and a height, all lower where a pile would
    go through its roof."""
    reach = THING[0] / 2
    spans = [(x - reach, x + reach, tall) for x, tall in blocks]
    feet = [-y for y in stacked(spans, [-room.floor for room in rooms])]
    over = max(
        (
            (room.floor - foot + tall) / max(room.floor - room.ceiling, 1.0)
            for room, foot, (_, tall) in zip(rooms, feet, blocks, strict=True)
        ),
        default=0.0,
    )
    if over > 1.0 + 1e-6 and max(tall for _, tall in blocks) > 1.0:
        return _piled([(x, tall / over) for x, tall in blocks], rooms)
    return [(foot, tall) for foot, (_, tall) in zip(feet, blocks, strict=True)]


def rig_outline(found: Assessment) -> Outline:
    """The outline of an assessed rig, without what it carries."""
    size = sizes(found)
    rule = _ruler(size)
    left = rule.front - size.front_overhang * PER_METRE
    right = max(size.box_end, size.axles[-1] + 0.4) * PER_METRE
    parts = (
        drawn_vehicle(rule, size),
        drawn_trailer(rule, size),
        coupling(rule, size),
        vehicle_wheels(rule, size),
        trailer_wheels(rule, size),
    )
    return Outline(
        drawing=join(*parts),
        left=4.0 - left,
        right=right + 4.0,
        above=size.highest * PER_METRE + 4.0,
    )


def outline_sheet(one: Outline, room: tuple[float, float, float], title: str) -> Markup:
    """An outline in the frame that all of a list share: `room` left, right and above."""
    left, right, above = (max(part, 1.0) for part in room)
    ground = stroke(-left, 0.0, right, 0.0, 1.2, stroke=INK)
    return element(
        "svg",
        element("title", title),
        ground,
        Markup(one.drawing),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"{-left:.0f} {-above:.0f} {left + right:.0f} {above + 2:.0f}",
        class_="drawing outline",
        role="img",
        aria_label=title,
    )
