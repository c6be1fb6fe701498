"""The rig from above: what rides left and right, and what each wheel carries."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np

from steelyard.assessment import Assessment, AxleLoad, StageResult
from steelyard.drawing.labels import Box, Label, Line, first_free
from steelyard.drawing.names import item_name
from steelyard.drawing.outline import Corner, Point, outline
from steelyard.drawing.paper import (
    FAINT,
    INK,
    LEFT,
    LINE,
    PAPER,
    PHONE,
    SMALL,
    SPREAD,
    TEXT,
    block,
    broken,
    lifted,
    sheet,
    stroke,
    words,
)
from steelyard.drawing.plan_wheels import Wheel, bars, drawn_wheel, wheels_of
from steelyard.drawing.rig import stage_of
from steelyard.drawing.ruler import Ruler, ruler
from steelyard.drawing.sizes import Sizes, sizes
from steelyard.drawing.svg import Markup, element, join
from steelyard.drawing.tanks import USUAL_LENGTH
from steelyard.quantity import System, Value, shown
from steelyard.typical.vehicle import seat_place
from steelyard.words.assessed import weight, weight_spread

ROOM: Final = {True: 120.0, False: 66.0}
"""Units above and below the rig for the wheels' bars and words."""
SEAT: Final = (0.45, 0.45)
DEEP: Final = 3
"""Things in one spot that are still named one by one."""
FOOTPRINT: Final = (0.6, 0.5)
"""m, length and width of a thing that states no size (assumed)."""


def plan_picture(found: Assessment, stage: str, system: System, *, wide: bool = True) -> str:
    """The rig from above as SVG, on the ruler of `rig_picture`; the left side is below."""
    result = stage_of(found, stage)
    size = sizes(found)
    rule = ruler(found, result, size, wide=wide)
    half = max(size.trailer_width, size.vehicle_width) / 2 * rule.scale
    axis = 30.0 + ROOM[wide] + half
    wheels = wheels_of(result, rule, size, axis)
    things = list(_things(found, result, rule, axis, system))
    centre = _centre_at(result, rule, size, axis)
    deep = axis + half + ROOM[wide]
    words_below, height = _words(result, size, wheels, system, deep, wide=wide)
    return sheet(
        "plan-picture",
        f"{found.rig.name}, {result.title}: from above",
        "; ".join(f"{w.axle} {w.side} {weight_spread(w.load, system)}" for w in wheels),
        (rule.width, height),
        words(LEFT[wide], 20, "Left and right", 17.0 if wide else 15.0, bold=True),
        _side("right wheels", axis - half - 8, rule, wheels),
        _side("left wheels", axis + half + 16, rule, wheels),
        _bodies(rule, size, axis),
        stroke(8, axis, rule.width - 8, axis, 0.8, stroke=LINE, stroke_dasharray="9 4 2 4"),
        *(_drawn(one) for one in things),
        *(drawn_wheel(one, rule) for one in wheels),
        bars(wheels, half, axis, rule, system),
        *(_names(partial(_called, found), things, wheels, rule, axis, centre) if wide else ()),
        _centre(centre, result, rule, size),
        words_below,
    )


def _side(text: str, base: float, rule: Ruler, wheels: list[Wheel]) -> Markup:
    """Which side it is: at the right edge, or further left where wheels stand there."""
    size, reach = TEXT[rule.wide], 18.0 if rule.wide else 9.0
    label = Label(lines=(Line(text=text, size=size),))
    taken = [(one.x - reach, base - size, one.x + reach, base) for one in wheels]
    right = rule.width - 14
    spots = [(right - step, base - size, "end") for step in np.arange(0.0, right, 6.0)]
    x = (first_free(label, spots, taken, 6.0, rule.width) or spots[0])[0]
    return words(x, base, text, size, anchor="end", fill=FAINT)


def _bodies(rule: Ruler, size: Sizes, axis: float) -> Markup:
    v = size.vehicle_width / 2 * rule.scale
    t = size.trailer_width / 2 * rule.scale
    vehicle = _rectangle(
        rule.x("vehicle", -size.front_overhang),
        rule.x("vehicle", size.wheelbase + size.rear_overhang),
        axis,
        v,
        (size.is_assumed("front_overhang"), size.is_assumed("vehicle_width")),
    )
    start = rule.x("trailer", size.box_start)
    trailer = _rectangle(
        start,
        rule.x("trailer", size.box_end),
        axis,
        t,
        (size.is_assumed("box_start"), size.is_assumed("trailer_width")),
    )
    frame = [
        stroke(rule.ball, axis, start, axis + side * 0.35 * t, 2.0)
        for side in (-1, 1)
        if start > rule.ball
    ]
    end = size.wheelbase + (0.0 if size.pin else size.rear_overhang)
    mount = stroke(rule.x("vehicle", end), axis, rule.ball, axis, 2.0, stroke=FAINT)
    ball = element("circle", cx=rule.ball, cy=axis, r=5 if rule.wide else 3, fill=INK)
    r = 10.0 if rule.wide else 4.0
    return join(outline(vehicle, 2 * r), mount, *frame, outline(trailer, r), ball)


def _rectangle(
    left: float, right: float, axis: float, half: float, assumed: tuple[bool, bool]
) -> list[Corner]:
    """Corners of a body; `assumed` says which of its ends and sides are."""
    spots = ((left, -half), (right, -half), (right, half), (left, half))
    by_x, by_y = assumed
    return [Corner(x=x, y=axis + y, x_assumed=by_x, y_assumed=by_y) for x, y in spots]


@dataclass(frozen=True, slots=True, kw_only=True)
class Footprint:
    """A thing from above: middle, length and width in units of the drawing."""

    name: str
    kind: str
    said: str
    x: float
    y: float
    long: float
    wide: float
    dashed: bool

    @property
    def box(self) -> Box:
        """Its edges."""
        return (
            self.x - self.long / 2,
            self.y - self.wide / 2,
            self.x + self.long / 2,
            self.y + self.wide / 2,
        )


def _things(
    found: Assessment, stage: StageResult, rule: Ruler, axis: float, system: System
) -> Iterator[Footprint]:
    """Tanks, items and people at their offsets; an offset nobody stated makes a dashed edge."""
    rig, v = found.rig, found.estimate.at_mean()
    aside = float(np.ravel(v.get("load.offset", np.zeros(1)))[0])
    for name, tank in rig.trailer.tanks.items():
        long = tank.length.value if tank.length else USUAL_LENGTH
        x = rule.x("trailer", tank.station.value)
        yield _footprint(rule, name, "tank", x, axis, tank.offset, 0.0, (long, 0.7))
    for entry in stage.ledger.entries:
        x, said = 0.0, ""
        if entry.kg > 0:
            x, said = rule.x(entry.body, entry.station), weight(entry.kg, system)
        if not said:
            continue
        if entry.name in rig.items:
            item = rig.items[entry.name]
            own = item.offset or rig.places[item.place].offset
            size = (item.size[0].value, item.size[1].value) if item.size else FOOTPRINT
            yield _footprint(rule, entry.name, "item", x, axis, own, aside, size, said)
        elif entry.name in rig.people:
            offset = seat_place(rig, rig.people[entry.name].seat)[1]
            yield _footprint(rule, entry.name, "person", x, axis, None, offset, SEAT, said)


def _footprint(
    rule: Ruler,
    name: str,
    kind: str,
    x: float,
    axis: float,
    stated: Value | None,
    otherwise: float,
    size: tuple[float, float],
    said: str = "",
) -> Footprint:
    offset = stated.value if stated else otherwise
    return Footprint(
        name=name,
        kind=kind,
        said=said,
        x=x,
        y=axis + offset * rule.scale,
        long=max(size[0] * rule.scale, 5.0),
        wide=max(size[1] * rule.scale, 5.0),
        dashed=kind == "item" and stated is None,
    )


def _drawn(one: Footprint) -> Markup:
    """The thing's edge, translucent, so that things over each other all show."""
    tank = one.kind == "tank"
    edge = block(
        one.x - one.long / 2,
        one.y - one.wide / 2,
        one.long,
        one.wide,
        fill=SPREAD if tank else PAPER,
        fill_opacity=0.4 if tank else 0.75,
        stroke=FAINT if tank else INK,
        stroke_width=0.9,
        stroke_dasharray="4 2.5" if one.dashed else None,
        rx=one.long / 2 if one.kind == "person" else 2,
    )
    title = element("title", f"{one.name} {one.said}".strip())
    item = one.name if one.kind == "item" else None
    return element("g", title, edge, class_=one.kind, data_item=item)


def _names(
    called: Callable[[Footprint], str],
    things: list[Footprint],
    wheels: list[Wheel],
    rule: Ruler,
    axis: float,
    centre: Point,
) -> list[Markup]:
    """Names of items and people in or beside their footprints, as far as there is room."""
    taken: list[Box] = [(w.x - 32.0, w.y - 12.0, w.x + 32.0, w.y + 12.0) for w in wheels]
    taken.append((centre[0] - 9.0, centre[1] - 9.0, centre[0] + 9.0, centre[1] + 9.0))
    drawn = []
    for heap in _heaps(things):
        one = heap[0]
        text = called(one) if len(heap) == 1 else f"{len(heap)} things"
        label = Label(lines=tuple(Line(text=x, size=SMALL) for x in broken(text, SMALL, 96.0)))
        inside = (one.x, one.y - label.height / 2, "middle")
        out = one.wide / 2 + 2.0
        steps = [out + 15.0 * n for n in range(4)]
        spots = [inside]
        spots += [(one.x, one.y - step - label.height, "middle") for step in steps]
        spots += [(one.x, one.y + step, "middle") for step in steps]
        limit = min((abs(w.y - axis) for w in wheels), default=80.0) + 14.0
        kept = [s for s in spots if axis - limit < s[1] < axis + limit - label.height]
        spot = first_free(label, kept, taken, 4.0, rule.width - 4.0)
        if spot is not None:
            taken.append(label.box(*spot))
            drawn.append(lifted(label.drawn(*spot)))
    return drawn


def _called(found: Assessment, one: Footprint) -> str:
    return item_name(found.rig, one.name) if one.kind == "item" else one.name


def _heaps(things: list[Footprint]) -> list[list[Footprint]]:
    """Items and people; those that lie more than three deep in one spot together."""
    found: dict[tuple[int, int], list[Footprint]] = {}
    for one in things:
        if one.kind != "tank":
            found.setdefault((round(one.x / 12.0), round(one.y / 12.0)), []).append(one)
    deep = [heap for heap in found.values() if len(heap) > DEEP]
    return deep + [[one] for heap in found.values() if len(heap) <= DEEP for one in heap]


def _centre_at(stage: StageResult, rule: Ruler, size: Sizes, axis: float) -> Point:
    x = sum(rule.x("trailer", s) for s in size.axles) / len(size.axles)
    return x, axis + lateral(stage, size)[0] * rule.scale


def _centre(at: Point, stage: StageResult, rule: Ruler, size: Sizes) -> Markup:
    """Where the trailer's load stands sideways, over its axles, with its spread."""
    (x, y), reach, r = at, lateral(stage, size)[1] * rule.scale, 8.0 if rule.wide else 5.0
    quarters = (
        f"M{x:.1f} {y:.1f}v{-r}a{r} {r} 0 0 1 {r} {r}zM{x:.1f} {y:.1f}v{r}a{r} {r} 0 0 1 {-r} {-r}z"
    )
    return element(
        "g",
        element("title", "centre of the trailer's load over its axles, sideways"),
        stroke(x, y - reach, x, y + reach, 2.2),
        *(stroke(x - r - 3, end, x + r + 3, end, 1.8) for end in (y - reach, y + reach)),
        element("circle", cx=x, cy=y, r=r, fill=PAPER, stroke=INK, stroke_width=1.6),
        element("path", d=quarters, fill=INK),
        class_="centre",
    )


def lateral(stage: StageResult, size: Sizes) -> tuple[float, float]:
    """How far left of the middle the trailer's axles are loaded, m, and its 95 % half-width.

    (left - right)/(left + right) x track/2; the spread of the difference from those of both sides
    and of their sum: var(L - R) = 2 (var L + var R) - var(L + R).
    """
    axles: list[AxleLoad] = [axle for axle in stage.axles if axle.alone_kg is None]
    whole = sum(axle.weight_kg.value for axle in axles)
    if whole <= 0:
        return 0.0, 0.0
    apart = sum(axle.left_kg.value - axle.right_kg.value for axle in axles)
    sides = ((a.left_kg.sd**2 + a.right_kg.sd**2, a.weight_kg.sd**2) for a in axles)
    sd = sum(max(2 * both - whole, 0.0) ** 0.5 for both, whole in sides)
    arm = size.track / 2
    return apart / whole * arm, 1.96 * sd / whole * arm


def _words(
    stage: StageResult,
    size: Sizes,
    wheels: list[Wheel],
    system: System,
    top: float,
    *,
    wide: bool,
) -> tuple[Markup, float]:
    middle, half = lateral(stage, size)
    side = "left" if middle >= 0 else "right"
    digits = 1 if system == "us" else 0
    spread = shown(half, "length", system, digits)
    apart = shown(abs(middle), "length", system, digits)
    where = (
        "in the middle"
        if float(apart.split()[0]) == 0
        else f"{apart} off the middle, toward the {side} wheels"
    )
    text = f"trailer's load {where}, ± {spread}"
    size_of = TEXT[wide]
    left = LEFT[wide]
    if wide:
        return words(170, 20, text, size_of, fill=FAINT), top + 12.0
    parts = [
        words(left, top, text, size_of, fill=FAINT),
        words(246, top + 22, "left wheels", PHONE, anchor="end", fill=FAINT),
        words(376, top + 22, "right wheels", PHONE, anchor="end", fill=FAINT),
    ]
    y = top + 40.0
    for one, other in zip(wheels[::2], wheels[1::2], strict=True):
        name = f"{one.axle} axle" if one.axle in ("front", "rear") else one.axle
        parts += [
            words(left, y, name, PHONE, fill=FAINT),
            words(246, y, weight_spread(one.load, system), PHONE, anchor="end", bold=True),
            words(376, y, weight_spread(other.load, system), PHONE, anchor="end", bold=True),
        ]
        y += 18.0
    return join(*parts), y + 4.0
