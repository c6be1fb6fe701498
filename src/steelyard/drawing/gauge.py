"""A load as a bar from its base, its spread a pale band behind its end, its rating a notch."""

from collections.abc import Iterator

from steelyard.assessment import Spread
from steelyard.drawing.paper import INK, LIFT, PAPER, SPREAD, block, stroke
from steelyard.drawing.svg import Markup


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
