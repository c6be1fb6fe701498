"""Tanks at their stations, filled to their level."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from steelyard.assessment import Assessment, StageResult
from steelyard.drawing.labels import Box, Label, Line, first_free
from steelyard.drawing.paper import INK, PAPER, SMALL, SPREAD, block, fitted
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import TRAILER_WHEEL, VEHICLE_WHEEL, Sizes
from steelyard.drawing.svg import Markup, element, join
from steelyard.estimate import Array
from steelyard.typical.vehicle import tank_names

USUAL_LENGTH: Final = 0.8
"""m: length of a tank that states none."""
TALL: Final = 0.22
_ASIDE: Final = [sign * 8.0 * n for n in range(11) for sign in (1, -1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """A tank as drawn: its box, and how full."""

    name: str
    body: str
    left: float
    right: float
    top: float
    tall: float
    level: float


def drawn_tanks(found: Assessment, stage: StageResult, rule: Ruler, size: Sizes) -> Markup:
    """Tanks of trailer and vehicle, filled to their level, with words where no wheel hides them."""
    there = list(_tanks(found, stage, rule, size))
    wheels = [(rule.x("trailer", s), TRAILER_WHEEL) for s in size.axles]
    wheels += [(rule.x("vehicle", s), VEHICLE_WHEEL) for s in (0.0, size.wheelbase)]
    taken: list[Box] = [
        (x - r * rule.scale - 2, rule.y(2 * r), x + r * rule.scale + 2, rule.ground)
        for x, r in wheels
    ]
    said = [_words(one, taken, rule) for one in there] if rule.wide else []
    return join(*(_drawn(one) for one in there), *said)


def _tanks(found: Assessment, stage: StageResult, rule: Ruler, size: Sizes) -> Iterator[Tank]:
    v = found.estimate.at_mean()
    for name, tank in found.rig.trailer.tanks.items():
        length = tank.length.value if tank.length else USUAL_LENGTH
        height = tank.height.value if tank.height else size.floor - 0.2
        level = _at(v, f"stages.{stage.key}.tanks.{name}")
        yield _tank(rule, name, "trailer", (tank.station.value, height, length), level)
    for name in tank_names(found.rig.vehicle):
        station = _at(v, f"vehicle.tanks.{name}.station")
        level = _at(v, f"stages.{stage.key}.vehicle_tanks.{name}")
        yield _tank(rule, name, "vehicle", (station, 0.5, USUAL_LENGTH), level)


def _at(v: Mapping[str, Array], name: str) -> float:
    return float(np.ravel(v[name])[0])


def _tank(
    rule: Ruler, name: str, body: str, where: tuple[float, float, float], level: float
) -> Tank:
    """where: station, height and length, m."""
    station, height, length = where
    x, half = rule.x(body, station), length * rule.scale / 2
    tall = TALL * rule.scale
    return Tank(
        name=name,
        body=body,
        left=x - half,
        right=x + half,
        top=rule.y(height) - tall / 2,
        tall=tall,
        level=min(max(level, 0.0), 1.0),
    )


def _drawn(one: Tank) -> Markup:
    title = f"{one.name}, {100 * one.level:.0f} % full"
    wide, filled = one.right - one.left, one.level * one.tall
    foot = one.top + one.tall - filled
    return element(
        "g",
        element("title", title),
        block(one.left, one.top, wide, one.tall, fill=PAPER, stroke="none"),
        block(one.left, foot, wide, filled, fill=SPREAD),
        block(one.left, one.top, wide, one.tall, fill="none", stroke=INK, stroke_width=0.9, rx=3),
        class_="tank",
        data_tank=one.name,
        data_body=one.body,
        aria_label=title,
        role="img",
    )


def _words(one: Tank, taken: list[Box], rule: Ruler) -> Markup:
    """Name and level in the tank, else under it, shifted past a wheel; `taken` grows."""
    text = f"{fitted(one.name, SMALL, 90.0)} {100 * one.level:.0f} %"
    label = Label(lines=(Line(text=text, size=SMALL),))
    middle = (one.left + one.right) / 2
    inside = (middle, one.top + one.tall / 2 - label.height / 2 - 0.5, "middle")
    below = one.top + one.tall + 1.0
    spots = [inside] if label.width < one.right - one.left else []
    spots += [(middle + dx, below, "middle") for dx in _ASIDE]
    spot = first_free(label, spots, taken, 4.0, rule.width - 4.0)
    if spot is None or label.box(*spot)[3] > rule.ground - 1.0:
        return Markup("")
    taken.append(label.box(*spot))
    return label.drawn(*spot)
