"""What rides, as blocks: items and people at their stations, their heights by weight."""

from collections import Counter
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from steelyard.assessment import Assessment, StageResult
from steelyard.drawing.labels import stacked
from steelyard.drawing.names import item_name
from steelyard.drawing.paper import INK, PAPER, SMALL, block, fitted, lettering, words
from steelyard.drawing.places import Area
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import Sizes
from steelyard.drawing.svg import Markup, element, join
from steelyard.quantity import System
from steelyard.statics.ledger import Entry
from steelyard.words.assessed import number, weight

SEAT_FLOOR: Final = 0.62
"""m: height from which people are drawn (assumed)."""
TWO_LINES: Final = 31.0
ONE_LINE: Final = 13.5
"""Heights from which words fit."""
ROUNDS: Final = 6
WIDEST: Final = 200.0
"""Units that a block's words may take where nothing stands beside it."""
TALLEST: Final = 0.55
"""Most of a room's height that one block takes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One block to be drawn: what it is, where its middle stands, how wide and how heavy."""

    entry: Entry
    kind: str
    x: float
    own: float
    room: float
    floor: float
    ceiling: float
    title: str
    label: tuple[str, str]

    def words(self, height: float) -> tuple[str, ...]:
        """Name and weight, cut to the room there is: two lines where it is tall enough, or one."""
        name, heavy = self.label
        room = max(self.room, self.own) - 6.0
        if height >= TWO_LINES:
            return fitted(name, SMALL, room), heavy
        if height < ONE_LINE:
            return ()
        return (f"{fitted(name, SMALL, room - lettering(heavy + ' ', SMALL))} {heavy}".strip(),)

    def width(self, lines: tuple[str, ...], *, wide: bool) -> float:
        """Its own length, or what its words take."""
        if not wide:
            return max(self.own, 9.0)
        return max(self.own, 30.0, max((lettering(x, SMALL) for x in lines), default=0.0) + 9.0)


def drawn_blocks(
    found: Assessment,
    stage: StageResult,
    rule: Ruler,
    size: Sizes,
    places: Mapping[str, Area],
    system: System,
    moved: Container[str] = (),
) -> Markup:
    """Items and people at their stations, their heights by weight, piled where they meet."""
    rig, all_blocks = found.rig, []
    for entry in stage.ledger.entries:
        area = places.get(entry.place or "")
        if entry.name in rig.items and area is not None and entry.kg > 0:
            room = _room(entry, stage.ledger.entries, size, rule, area)
            all_blocks.append(_item(found, entry, rule, area, room, system))
        elif entry.name in rig.people and entry.kg > 0:
            all_blocks.append(_person(entry, rule, size, system))
    drawn = []
    all_blocks = _heaped(all_blocks, places, system, least=19.0 if rule.wide else 10.0)
    for kinds in (("person",), ("item", "heap")):
        alike = [one for one in all_blocks if one.kind in kinds]
        alike.sort(key=lambda one: (-one.floor, -one.entry.kg, one.x))
        piled = _piled(alike, wide=rule.wide)
        for one, at in zip(alike, piled, strict=True):
            thick = 2.6 if one.entry.name in moved else 0.0
            drawn.append(_drawn(one, at, max(thick, 1.2 if rule.wide else 0.9)))
    return join(*drawn)


def _heaped(
    blocks: list[Block], places: Mapping[str, Area], system: System, *, least: float
) -> list[Block]:
    """The blocks, those of a place where not all can be `least` high and told as one heap."""
    found = [one for one in blocks if one.kind != "item"]
    for name, area in places.items():
        inside = [one for one in blocks if one.kind == "item" and one.entry.place == name]
        heap = len(inside) * least > max(inside[0].floor - inside[0].ceiling, 0.0) if inside else 0
        found += [_heap(inside, area, system)] if heap and len(inside) > 1 else inside
    return found


def _heap(inside: list[Block], area: Area, system: System) -> Block:
    kg = sum(one.entry.kg for one in inside)
    x = sum(one.x * one.entry.kg for one in inside) / kg
    heavy = weight(kg, system)
    name = f"{len(inside)} things"
    return replace(
        inside[0],
        entry=replace(inside[0].entry, name=name, kg=kg),
        kind="heap",
        x=x,
        own=0.0,
        room=max(area.right - area.left, 72.0),
        title=f"{name}, {_spoken(heavy)}, in {area.title}: see each",
        label=(name, number(kg, system)),
    )


def _room(entry: Entry, entries: Sequence[Entry], size: Sizes, rule: Ruler, area: Area) -> float:
    """Units that a thing's words may take: as its place is wide, more where nothing is near, and
    within the walls of what it rides in."""
    others = (one for one in entries if one is not entry and one.body == entry.body and one.place)
    near = min((abs(one.station - entry.station) for one in others), default=WIDEST)
    walls = (size.box_start, size.box_end)
    if entry.body == "vehicle":
        walls = (-size.front_overhang, size.wheelbase + size.rear_overhang)
    within = walls[0] <= entry.station <= walls[1]  # a gooseneck's neck is ahead of its deck
    wall = min(abs(x - entry.station) for x in walls) if within else WIDEST
    free, most = (2.0 * x * rule.scale - 8.0 for x in (near, wall))
    return max(min(max(free, min(area.right - area.left, 116.0)), most, WIDEST), 72.0)


def _item(
    found: Assessment, entry: Entry, rule: Ruler, area: Area, room: float, system: System
) -> Block:
    item = found.rig.items[entry.name]
    heavy = weight(entry.kg, system)
    own = item.size[0].value * rule.scale if item.size else 0.0
    name = item_name(found.rig, entry.name)
    label = (name, number(entry.kg, system))
    return Block(
        entry=entry,
        kind="item",
        x=rule.x(entry.body, entry.station),
        own=own,
        room=room,
        floor=area.floor,
        ceiling=area.ceiling + (20.0 if rule.wide else 0.0),
        title=f"{name}, {_spoken(heavy)}, in {area.title}",
        label=label,
    )


def _person(entry: Entry, rule: Ruler, size: Sizes, system: System) -> Block:
    heavy = weight(entry.kg, system)
    label = (entry.name, number(entry.kg, system))
    return Block(
        entry=entry,
        kind="person",
        x=rule.x(entry.body, entry.station),
        own=0.0,
        room=90.0,
        floor=rule.y(SEAT_FLOOR),
        ceiling=rule.y(size.vehicle_roof - 0.08),
        title=f"{entry.name}, {_spoken(heavy)}, seat {(entry.place or '').replace('-', ' ')}",
        label=label,
    )


def _spoken(heavy: str) -> str:
    return heavy.replace(" lb", " pounds").replace(" kg", " kilograms")


@dataclass(frozen=True, slots=True, kw_only=True)
class Set:
    """One block set down: its width and height, and the y of its foot."""

    lines: tuple[str, ...]
    width: float
    height: float
    foot: float


def _piled(blocks: list[Block], *, wide: bool) -> list[Set]:
    """Heights by weight, with a least one to take hold of; piles shrink until all have room, and
    where they have none with their words, they stand without."""
    if not blocks:
        return []
    heaviest = max(one.entry.kg for one in blocks)
    rooms = [(one.floor - one.ceiling) * heaviest / one.entry.kg for one in blocks]
    tall = min(TALLEST * min(rooms), 110.0 if wide else 40.0)
    least = _least(blocks, 19.0 if wide else 4.0)
    found: list[Set] = []
    for _ in range(ROUNDS):
        found = _set_down(blocks, tall / heaviest, least, wide=wide)
        over = max(
            (b.floor - one.foot + one.height) / max(b.floor - b.ceiling, 1.0)
            for b, one in zip(blocks, found, strict=True)
        )
        if over <= 1.0:
            return found
        tall *= 0.9 / over
    return _piled(blocks, wide=False) if wide else found


def _least(blocks: list[Block], usual: float) -> list[float]:
    """The least height of each block: what all in its place can have."""
    shared = Counter(one.entry.place for one in blocks)
    return [
        max(min(usual, (one.floor - one.ceiling) / shared[one.entry.place]), 3.0) for one in blocks
    ]


def _set_down(blocks: list[Block], unit: float, least: list[float], *, wide: bool) -> list[Set]:
    heights = [max(low, unit * b.entry.kg) for b, low in zip(blocks, least, strict=True)]
    lines = [one.words(h) if wide else () for one, h in zip(blocks, heights, strict=True)]
    widths = [one.width(said, wide=wide) for one, said in zip(blocks, lines, strict=True)]
    spans = [(b.x - w / 2, b.x + w / 2, h) for b, w, h in zip(blocks, widths, heights, strict=True)]
    feet = stacked(spans, [-one.floor for one in blocks])
    return [
        Set(lines=said, width=w, height=h, foot=-foot)
        for said, w, h, foot in zip(lines, widths, heights, feet, strict=True)
    ]


def _drawn(one: Block, at: Set, thick: float) -> Markup:
    item, top = one.kind != "person", at.foot - at.height
    body = block(
        one.x - at.width / 2,
        top,
        at.width,
        at.height,
        fill=PAPER,
        stroke=INK,
        stroke_width=thick,
        rx=2 if item else min(8.0, at.height / 2),
    )
    return element(
        "g",
        element("title", one.title),
        body,
        *_lettered(one, at, top),
        class_=one.kind,
        data_item=one.entry.name if one.kind == "item" else None,
        data_person=None if item else one.entry.name,
        data_place=one.entry.place if one.kind == "heap" else None,
        data_x=one.x,
        tabindex="0" if item else None,
        role="button" if item else "img",
        aria_label=one.title,
    )


def _lettered(one: Block, at: Set, top: float) -> list[Markup]:
    """What is written inside the block."""
    middle = top + at.height / 2
    if len(at.lines) == 2:
        name, heavy = at.lines
        return [
            words(one.x, middle - 3, name, SMALL, anchor="middle"),
            words(one.x, middle + 12, heavy, SMALL, anchor="middle", bold=True),
        ]
    return [words(one.x, middle + 4.3, line, SMALL, anchor="middle") for line in at.lines]
