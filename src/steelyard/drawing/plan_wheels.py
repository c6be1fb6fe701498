"""What each wheel carries, as bars outwards from it: rating a notch, spread a band."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from steelyard.assessment import Spread, StageResult
from steelyard.drawing.labels import spaced
from steelyard.drawing.names import axle_path
from steelyard.drawing.paper import INK, LIFT, PAPER, SMALL, SPREAD, block, lettering, stroke, words
from steelyard.drawing.ruler import Ruler, axle_x
from steelyard.drawing.sizes import TRAILER_WHEEL, VEHICLE_WHEEL, Sizes
from steelyard.drawing.svg import Markup, join
from steelyard.quantity import System
from steelyard.words.assessed import weight_spread

BAR: Final = {True: 64.0, False: 44.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Wheel:
    """One side of an axle: where it stands, and its load (kg)."""

    axle: str
    side: str
    x: float
    y: float
    load: Spread
    rating: float | None


def wheels_of(stage: StageResult, rule: Ruler, size: Sizes, axis: float) -> list[Wheel]:
    """Both sides of every axle; the rating is that of all tyres of a side together."""
    limits = {limit.name: limit for limit in (*stage.limits, *stage.notes)}
    found = []
    tracks = {"front": size.front_track, "rear": size.rear_track}
    for axle in stage.axles:
        track = tracks.get(axle.name, size.track)
        limit = limits.get(f"{axle_path(axle.name)}.tyres")
        for side, sign, load in (("left", 1, axle.left_kg), ("right", -1, axle.right_kg)):
            rating = None
            if limit is not None and limit.rating == limit.rating and limit.value > 0:
                most = max(axle.left_kg.value, axle.right_kg.value)
                rating = limit.rating * max(round(most / limit.value), 1)
            found.append(
                Wheel(
                    axle=axle.name,
                    side=side,
                    x=axle_x(rule, size, axle.name),
                    y=axis + sign * track / 2 * rule.scale,
                    load=load,
                    rating=rating,
                )
            )
    return found


def drawn_wheel(one: Wheel, rule: Ruler) -> Markup:
    """The tyre from above."""
    radius = (VEHICLE_WHEEL if one.axle in ("front", "rear") else TRAILER_WHEEL) * rule.scale
    thick = 0.24 * rule.scale
    return block(one.x - radius, one.y - thick / 2, 2 * radius, thick, fill=INK, rx=2)


def bars(wheels: list[Wheel], half: float, axis: float, rule: Ruler, system: System) -> Markup:
    """A bar outwards from each wheel by its load, rating as a notch, spread as a band."""
    reach = max(max(w.load.high, w.rating or 0.0) for w in wheels)
    unit = BAR[rule.wide] / max(reach, 1.0)
    thick = 7.0 if rule.wide else 4.0
    parts: list[Markup] = []
    for sign, side in ((1, "left"), (-1, "right")):
        edge = axis + sign * (half + 6.0)
        row = [w for w in wheels if w.side == side]
        for one in row:
            parts += gauge(one.x, one.load, one.rating, unit, thick, base=edge, sign=sign)
        if rule.wide:
            parts += _bar_words(row, edge, sign, unit, system)
    return join(*parts)


def _bar_words(
    row: list[Wheel], edge: float, sign: int, unit: float, system: System
) -> Iterator[Markup]:
    """Loads beyond the longest bar, side by side."""
    reach = max(max(w.load.high, w.rating or 0.0) for w in row) * unit
    y = edge + sign * (reach + 12.0) + (6.0 if sign > 0 else 0.0)
    texts = [weight_spread(w.load, system) for w in row]
    widths = [lettering(text, SMALL, bold=True) for text in texts]
    xs = spaced([w.x for w in row], widths, 6.0, 1274.0, 12.0)
    for x, text in zip(xs, texts, strict=True):
        yield words(x, y, text, SMALL, anchor="middle", bold=True)


def gauge(
    x: float,
    load: Spread,
    rating: float | None,
    unit: float,
    half: float,
    *,
    base: float = 0.0,
    sign: float = 1.0,
    pen: float = 1.0,
) -> Iterator[Markup]:
    """Kg drawn by `unit` from `base`, down or, by `sign`, up; `half` as wide as the bar.

    How near the band comes to the notch is the whole story. A load that lifts is ochre and stands
    on the other side of the base.
    """
    reach = half + min(half, 7.0)
    end, low, high = (base + sign * n * unit for n in (load.value, load.low, load.high))
    top, foot = sorted((low, high))
    wide, tall = 2 * reach, foot - top
    yield block(x - reach, top, wide, tall, fill=SPREAD, fill_opacity=0.55, class_="spread")
    top, tall, ink = min(end, base), abs(end - base), INK if load.value >= 0 else LIFT
    yield block(x - half, top, 2 * half, tall, fill=ink, class_="load")
    for y in (low, high):
        yield stroke(x - reach, y, x + reach, y, 1.2 * pen)
    if rating is not None:
        y, reach = base + sign * rating * unit, reach + 4.0
        yield stroke(x - reach, y, x + reach, y, 5.0 * pen, stroke=PAPER)
        yield stroke(x - reach, y, x + reach, y, 3.0 * pen, class_="rating")
