"""Small pictures of the walk round a rig: a body, a style, where one stands, what a tape spans."""

from collections.abc import Container, Mapping, Sequence
from typing import Final

from steelyard.assessment import Assessment
from steelyard.drawing.paper import DASH, INK, PAPER, lettering, stroke, words
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import Sizes, sizes
from steelyard.drawing.svg import Markup, element, join
from steelyard.drawing.trailer import coupling, drawn_trailer, trailer_wheels
from steelyard.drawing.vehicle import drawn_vehicle, vehicle_wheels
from steelyard.quantity import Value
from steelyard.rig import Rig
from steelyard.typical.ride import in_si
from steelyard.typical.vehicle import seat_place

WIDE: Final = 390.0
"""Units that the pictures of a whole stop are wide, as a phone is."""
DOT: Final = 3.6
HERE: Final = 6.5
"""Radii of a stop's dot, and of the one where one stands."""


def body_picture(found: Assessment, width: float = 108.0, height: float = 44.0) -> str:
    """The vehicle alone, every body at one scale of its own box."""
    size = sizes(found)
    long = size.front_overhang + size.wheelbase + size.rear_overhang
    scale = min((width - 6) / long, (height - 8) / size.vehicle_roof)
    front = (width - long * scale) / 2 + size.front_overhang * scale
    rule = _rule(scale, front, front + size.ball * scale, height)
    return _svg(width, height, drawn_vehicle(rule, size), vehicle_wheels(rule, size), _ground(rule))


def style_picture(found: Assessment, width: float = 108.0, height: float = 50.0) -> str:
    """The trailer alone, from its ball to its end."""
    size = sizes(found)
    left, right = min(size.box_start, 0.0), max(size.box_end, size.axles[-1] + 0.4)
    scale = min((width - 6) / (right - left), (height - 8) / max(size.highest, 2.2))
    ball = (width - (right - left) * scale) / 2 - left * scale
    rule = _rule(scale, ball - size.ball * scale, ball, height)
    return _svg(width, height, drawn_trailer(rule, size), trailer_wheels(rule, size), _ground(rule))


def map_picture(
    found: Assessment, spots: Sequence[tuple[str, str]], here: str, done: Container[str]
) -> str:
    """The rig with a dot at every stop (its name and spot): large where one stands, filled where
    something was answered."""
    width, height = 164.0, 54.0
    size, rule = _whole(found, width, height)
    dots = [
        _dot(*_spot(rule, size, spot), here=name == here, done=name in done) for name, spot in spots
    ]
    return _svg(width, height, *_rig(rule, size), *dots)


def tape_picture(found: Assessment, spans: Mapping[str, str]) -> str:
    """The rig with an arrow for every distance: key of the rig file to its letter."""
    height = 170.0
    size, rule = _whole(found, WIDE, height, below=56.0)
    arrows = [
        _arrow(rule, one, spans[one], *ends)
        for one, ends in _spans(rule, size).items()
        if one in spans
    ]
    return _svg(WIDE, height, *_rig(rule, size), *arrows)


def spots_picture(found: Assessment) -> str:
    """The rig with every place, tank and taken seat where it is: each a `data-at` of the rig file
    with its `data-body`; the picture's `data-scale` is units a metre."""
    height = 226.0
    size, rule = _whole(found, WIDE, height, below=74.0)
    rig = found.rig
    places = sorted(rig.places.items(), key=lambda row: row[1].station.value)
    above = [
        _mark(rule, f"places.{key}.station", key, one.on, one.station, 18.0 + 25.0 * (row % 3))
        for row, (key, one) in enumerate(places)
    ]
    below = [
        _mark(rule, f"trailer.tanks.{key}.station", key, "trailer", one.station, low)
        for row, (key, one) in enumerate(rig.trailer.tanks.items())
        for low in [rule.ground + 22.0 + 25.0 * (row % 2)]
    ]
    seats = [
        _mark(rule, f"vehicle.seats.{one.seat}.station", key, "vehicle", _seat(rig, one.seat), low)
        for row, (key, one) in enumerate(rig.people.items())
        for low in [rule.ground + 22.0 + 25.0 * (row % 2)]
    ]
    marks = [*above, *below, *seats]
    return _svg(WIDE, height, *_rig(rule, size), *marks, scale=rule.scale, hidden=False)


def _seat(rig: Rig, seat: str) -> Value:
    """Where a seat is, said or usual."""
    said = rig.vehicle.seats.get(seat)
    if said is not None and said.station is not None:
        return said.station
    return in_si(seat_place(rig, seat)[0], 0.0, "m")


def _mark(rule: Ruler, at: str, name: str, body: str, value: Value, top: float) -> Markup:
    """A place's flag: its line to the ground and its name, dashed where it is assumed."""
    x, name = rule.x(body, value.value), name.replace("-", " ")
    wide = lettering(name, 13.0) + 10
    middle = min(max(x, wide / 2 + 1), WIDE - wide / 2 - 1)  # a flag at the end stays whole
    assumed = value.basis == "assumed"
    line = stroke(x, top, x, rule.ground, 1.4, stroke_dasharray=DASH if assumed else None)
    plate = element(
        "rect",
        x=middle - wide / 2,
        y=top - 16,
        width=wide,
        height=22,
        rx=3,
        fill=PAPER,
        stroke=INK,
        stroke_width=1.4,
        stroke_dasharray=DASH if assumed else None,
    )
    return element(
        "g",
        line,
        plate,
        words(middle, top, name, 13.0, anchor="middle"),
        class_="spot",
        data_at=at,
        data_body=body,
        data_station=f"{value.value:.3f}",
        tabindex=0.0,
        role="slider",
        aria_label=f"{name}, from the {'ball' if body == 'trailer' else 'front wheel'}",
        aria_valuenow=f"{value.value:.2f}",
        aria_valuetext=f"{value.value:.2f} m",
    )


def _spans(rule: Ruler, size: Sizes) -> dict[str, tuple[float, float, float]]:
    """From where to where the tape goes, and how far below the ground the arrow stands."""
    front, rear = (rule.x("vehicle", x) for x in (0.0, size.wheelbase))
    ball, box, end = (rule.x("trailer", x) for x in (0.0, size.box_start, size.box_end))
    middle = rule.x("trailer", sum(size.axles) / len(size.axles))
    found = {
        "vehicle.wheelbase": (front, rear, 14.0),
        "vehicle.overhang": (rear, ball, 14.0),
        "trailer.axles.station": (ball, middle, 30.0),
        "trailer.box_start": (ball, box, 46.0),
        "trailer.box_length": (box, end, 46.0),
    }
    if len(size.axles) > 1:
        first, last = (rule.x("trailer", size.axles[n]) for n in (0, -1))
        found["trailer.axles.spacing"] = (first, last, 14.0)
    return found


def _arrow(rule: Ruler, at: str, letter: str, start: float, end: float, down: float) -> Markup:
    """A span with its ends, and its letter where it leaves room, else beside it."""
    y, beside = rule.ground + down, abs(end - start) < 30
    x = max(start, end) + 12 if beside else (start + end) / 2
    line = element(
        "path", d=f"M{start:.1f} {y}H{end:.1f}M{start:.1f} {y - 6}v12M{end:.1f} {y - 6}v12"
    )
    back = element("rect", x=x - 8, y=y - 9, width=16, height=18, class_="back")
    text = element("text", letter, x=x, y=y + 5, text_anchor="middle", font_size=15)
    return element("g", line, back, text, class_="span", data_span=at)


def _spot(rule: Ruler, size: Sizes, spot: str) -> tuple[float, float]:
    seat = sum(size.rows) / 2
    places = {
        "driver": ("vehicle", size.rows[0] - 0.45, 0.9),
        "seats": ("vehicle", seat + 0.25, 1.45),
        "ball": ("vehicle", size.ball - 0.12, 0.42),
        "coupler": ("trailer", 0.55, 0.45),
        "nose": ("trailer", size.box_start + 0.35, size.floor + 0.45),
        "axles": ("trailer", sum(size.axles) / len(size.axles), 0.3),
        "bumper": ("vehicle", (size.wheelbase + size.ball) / 2, 0.1),
        "box": ("trailer", (size.box_start + size.box_end) / 2, size.floor + 0.9),
    }
    body, station, height = places[spot]
    return rule.x(body, station), rule.y(height)


def _dot(x: float, y: float, *, here: bool, done: bool) -> Markup:
    return element(
        "circle",
        cx=x,
        cy=y,
        r=HERE if here else DOT,
        fill=INK if here or done else PAPER,
        stroke=PAPER if here else INK,
        stroke_width=2 if here else 1.4,
    )


def _rig(rule: Ruler, size: Sizes) -> tuple[Markup, ...]:
    return (
        drawn_vehicle(rule, size),
        drawn_trailer(rule, size),
        coupling(rule, size),
        vehicle_wheels(rule, size),
        trailer_wheels(rule, size),
        _ground(rule),
    )


def _whole(
    found: Assessment, width: float, height: float, below: float = 5.0
) -> tuple[Sizes, Ruler]:
    """The ruler on which the whole rig has room."""
    size = sizes(found)
    left, right = -size.front_overhang, size.ball + max(size.box_end, size.axles[-1] + 0.4)
    scale = min((width - 8) / (right - left), (height - below - 4) / size.highest)
    front = (width - (right - left) * scale) / 2 - left * scale
    rule = _rule(scale, front, front + size.ball * scale, height - below + 3)
    return size, rule


def _rule(scale: float, front: float, ball: float, height: float) -> Ruler:
    return Ruler(scale=scale, front=front, ball=ball, ground=height - 4, width=0.0, wide=False)


def _ground(rule: Ruler) -> Markup:
    return stroke(0, rule.ground, 400, rule.ground, 1.0, stroke=INK)


def _svg(
    width: float, height: float, *parts: Markup, scale: float | None = None, hidden: bool = True
) -> str:
    return element(
        "svg",
        join(*parts),
        viewBox=f"0 0 {width:g} {height:g}",
        data_scale=scale,
        aria_hidden="true" if hidden else None,
        focusable="false",
    )
