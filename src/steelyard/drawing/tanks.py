"""Tanks at their stations, filled to their level."""

from typing import Final

import numpy as np

from steelyard.assessment import Assessment, StageResult
from steelyard.drawing.paper import INK, PAPER, SMALL, SPREAD, block, lettering, words
from steelyard.drawing.ruler import Ruler
from steelyard.drawing.sizes import TRAILER_WHEEL, VEHICLE_WHEEL, Sizes
from steelyard.drawing.svg import Markup, element, join
from steelyard.typical import tank_names

USUAL_LENGTH: Final = 0.9
"""m: length of a tank that states none."""


def drawn_tanks(found: Assessment, stage: StageResult, rule: Ruler, size: Sizes) -> Markup:
    """Tanks of trailer and vehicle at their stations, filled to their level."""
    v = found.estimate.at_mean()
    wheels = [(rule.x("trailer", s), TRAILER_WHEEL) for s in size.axles]
    wheels += [(rule.x("vehicle", s), VEHICLE_WHEEL) for s in (0.0, size.wheelbase)]
    blocked = [(x - r * rule.scale - 2, x + r * rule.scale + 2) for x, r in wheels]
    parts = []
    for name, tank in found.rig.trailer.tanks.items():
        level = float(np.ravel(v[f"stages.{stage.key}.tanks.{name}"])[0])
        length = tank.length.value if tank.length else USUAL_LENGTH
        x = rule.x("trailer", tank.station.value)
        middle = tank.height.value if tank.height else size.floor - 0.2
        parts.append(_tank(rule, name, x, middle, length, level, blocked, "trailer"))
    for name in tank_names(found.rig.vehicle):
        key = f"vehicle.tanks.{name}.station"
        level_key = f"stages.{stage.key}.vehicle_tanks.{name}"
        if key in v and level_key in v:
            x, level = rule.x("vehicle", float(v[key])), float(np.ravel(v[level_key])[0])
            parts.append(_tank(rule, name, x, 0.5, USUAL_LENGTH, level, blocked, "vehicle"))
    return join(*parts)


def _tank(
    rule: Ruler,
    name: str,
    x: float,
    middle: float,
    length: float,
    level: float,
    blocked: list[tuple[float, float]],
    body: str,
) -> Markup:
    half, tall = length * rule.scale / 2, 0.24 * rule.scale
    top = rule.y(middle) - tall / 2
    title = f"{name}, {100 * level:.0f} % full"
    filled = max(0.0, min(1.0, level)) * tall
    parts = [
        element("title", title),
        block(x - half, top, 2 * half, tall, fill=PAPER, stroke="none"),
        block(x - half, top + tall - filled, 2 * half, filled, fill=SPREAD),
        block(x - half, top, 2 * half, tall, fill="none", stroke=INK, stroke_width=0.9, rx=3),
    ]
    if rule.wide:
        parts += _tank_text(name, level, x - half, x + half, top + tall / 2 + 4.2, blocked)
    return element(
        "g", *parts, class_="tank", data_tank=name, data_body=body, aria_label=title, role="img"
    )


def _tank_text(
    name: str,
    level: float,
    left: float,
    right: float,
    base: float,
    blocked: list[tuple[float, float]],
) -> list[Markup]:
    """Name and level where no wheel hides them."""
    for a, b in blocked:
        if a < right and left < b:
            if a - left > right - b:
                right = a
            else:
                left = b
    share = f"{100 * level:.0f} %"
    for text in (f"{name} {share}", share):
        if lettering(text, SMALL) <= right - left - 4:
            return [words((left + right) / 2, base, text, SMALL, anchor="middle")]
    return []
