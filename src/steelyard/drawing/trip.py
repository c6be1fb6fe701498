"""The trip as a curve: one number at every stage, its spread, and the band or rating it has."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from steelyard.assessment import Assessment, Spread, StageResult
from steelyard.drawing.axes import Axes, scales, ticks
from steelyard.drawing.paper import (
    BAND,
    FAINT,
    INK,
    LARGE,
    LIFT,
    PAPER,
    PHONE,
    PHONE_WIDTH,
    PRESS,
    SMALL,
    SPREAD,
    WIDE_WIDTH,
    broken,
    fitted,
    lettering,
    sheet,
    stroke,
    words,
)
from steelyard.drawing.svg import Markup, element, join
from steelyard.quantity import GRAVITY, System, to_border
from steelyard.words import MARKS

NARROW = 64.0
"""Units between stages below which their names stand in a list, by number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """What is drawn: title, spreads in border units by stage, the wanted band and how a number is
    written."""

    title: str
    points: tuple[Spread, ...]
    band: tuple[float | None, float | None]
    band_word: str
    written: Callable[[float], str]


def trip_curve(
    found: Assessment,
    system: System,
    *,
    chosen: str,
    quantity: str = "share",
    damping: Sequence[Spread | float] | None = None,
    wide: bool = True,
) -> str:
    """One quantity through the trip as SVG, stages to pick by `data-stage`.

    quantity: "share", "ball", "vehicle", "trailer", "damping" or the name of an axle ("front",
    "rear", "trailer 1"). damping: one damping ratio a stage, with or without spread; due for that
    quantity. Raises ValueError for an unknown quantity.
    """
    curve = _curve(found, system, quantity, damping)
    frame = _frame(curve, wide=wide)
    xs = [float(i) for i in range(len(found.stages))]
    pitch = (frame.right - frame.left) / max(len(xs) - 1, 1)
    parts = [_band(curve, frame, wide=wide), _line(curve, frame, xs)]
    worst = found.worst_stage.key
    listed = pitch < NARROW
    spots = [
        _point(stage, i, curve, frame, chosen=chosen, worst=worst, wide=wide, listed=listed)
        for i, stage in enumerate(found.stages)
    ]
    names, height = _names(found, frame, pitch, chosen, wide=wide)
    width = WIDE_WIDTH if wide else PHONE_WIDTH
    heading = words(24 if wide else 14, 20, curve.title, LARGE if wide else 15.0, bold=True)
    said = "; ".join(
        f"{stage.title} {curve.written(point.value)}"
        for stage, point in zip(found.stages, curve.points, strict=True)
    )
    return sheet(
        "trip-curve",
        f"{curve.title} through the trip",
        f"{said}. Worst: {found.worst_stage.title}.",
        (width, height),
        heading,
        *parts,
        names,
        *spots,
        active=True,
        data_quantity=quantity,
    )


def _curve(
    found: Assessment,
    system: System,
    quantity: str,
    damping: Sequence[Spread | float] | None,
) -> Curve:
    if quantity == "share":
        points = tuple(_scaled(stage.tongue.share, 100.0) for stage in found.stages)
        low, high = _wanted(found)
        return Curve(
            title="Tongue share",
            points=points,
            band=(low, high),
            band_word="wanted",
            written=lambda x: f"{x:.1f} %",
        )
    if quantity == "damping":
        if damping is None or len(damping) != len(found.stages):
            raise ValueError("expected one damping ratio for each stage")
        return Curve(
            title="Damping ratio of the swing",
            points=tuple(_as_spread(one) for one in damping),
            band=(0.0, None),
            band_word="a swing dies out",
            written=lambda x: f"{x:.2f}",
        )
    return _loads(found, system, quantity)


def _loads(found: Assessment, system: System, quantity: str) -> Curve:
    """A load of ball, axle or whole, with the lowest rating that binds it."""
    names = [axle.name for axle in found.stages[0].axles]
    if quantity not in ("ball", "vehicle", "trailer", *names):
        known = ", ".join(["share", "damping", "ball", "vehicle", "trailer", *names])
        raise ValueError(f'expected a quantity ({known}), found "{quantity}"')
    unit = to_border(1.0 / GRAVITY, "mass", system)
    word = "lb" if system == "us" else "kg"
    rating = _rating(found, quantity)
    titles = {"ball": "Tongue weight", "vehicle": "Vehicle", "trailer": "Trailer"}
    return Curve(
        title=titles.get(quantity, f"{quantity.capitalize()} axle"),
        points=tuple(_scaled(_load(stage, quantity), unit) for stage in found.stages),
        band=(None, None if rating is None else rating * unit),
        band_word="rating",
        written=lambda x: f"{x:,.0f} {word}",
    )


def _load(stage: StageResult, quantity: str) -> Spread:
    whole = {"ball": stage.tongue.weight, "vehicle": stage.vehicle, "trailer": stage.trailer}
    axles = {axle.name: axle.load for axle in stage.axles}
    return {**axles, **whole}[quantity]


def _rating(found: Assessment, quantity: str) -> float | None:
    ends = {"ball": (".tongue", ".s"), "vehicle": ("vehicle.gvwr",), "trailer": ("trailer.gvwr",)}
    ordinals = {"1": "first", "2": "second", "3": "third"}
    axle = quantity.split()
    named = f"trailer.axles.{ordinals.get(axle[-1], '')}.gawr"
    ending = ends.get(quantity, (named if len(axle) > 1 else f"vehicle.{quantity}.gawr",))
    ratings = [
        limit.rating
        for limit in found.stages[0].limits
        if limit.name.endswith(ending) and limit.rating == limit.rating
    ]
    return min(ratings, default=None)


def _wanted(found: Assessment) -> tuple[float | None, float | None]:
    for stage in found.stages:
        for limit in (*stage.limits, *stage.notes):
            if limit.name == "tongue-band" and limit.band is not None:
                return 100 * limit.band[0], 100 * limit.band[1]
    return None, None


def _scaled(one: Spread, by: float) -> Spread:
    return Spread(value=one.value * by, sd=one.sd * by, low=one.low * by, high=one.high * by)


def _as_spread(one: Spread | float) -> Spread:
    if isinstance(one, Spread):
        return one
    return Spread(value=float(one), sd=0.0, low=float(one), high=float(one))


def _frame(curve: Curve, *, wide: bool) -> Axes:
    lows = [p.low for p in curve.points] + [b for b in curve.band if b is not None]
    highs = [p.high for p in curve.points] + [b for b in curve.band if b is not None]
    low, high = min(lows), max(highs)
    pad = 0.16 * ((high - low) or abs(high) or 1.0)
    inner = 90.0 if wide else 34.0
    return Axes(
        left=66.0 + inner if wide else 50.0 + inner,
        right=(WIDE_WIDTH - 24.0 if wide else PHONE_WIDTH - 10.0) - inner,
        top=38.0,
        bottom=210.0 if wide else 196.0,
        x0=0.0 if len(curve.points) > 1 else -1.0,
        x1=float(max(len(curve.points) - 1, 1)),
        y0=low - pad,
        y1=high + pad,
    )


def _band(curve: Curve, frame: Axes, *, wide: bool) -> Markup:
    """The wanted band across the whole width, or what lies under a rating."""
    inner = 90.0 if wide else 34.0
    left, right = frame.left - inner, frame.right + inner
    low, high = curve.band
    size = SMALL if wide else PHONE
    parts = []
    if low is not None or high is not None:
        top = frame.y(high) if high is not None else frame.top
        bottom = frame.y(low) if low is not None else frame.bottom
        shape = {"x": left, "y": top, "width": right - left, "height": max(bottom - top, 0.0)}
        parts.append(element("rect", **shape, fill=BAND, class_="wanted"))
    outer = Axes(
        left=left,
        right=right,
        top=frame.top,
        bottom=frame.bottom,
        x0=0,
        x1=1,
        y0=frame.y0,
        y1=frame.y1,
    )
    edges = [edge for edge in curve.band if edge is not None]
    marks = edges or ticks(frame.y0, frame.y1, 3)
    parts.append(scales(outer, {}, {mark: curve.written(mark) for mark in marks}, wide=wide))
    if edges:
        parts.append(
            words(
                right - 4, outer.y(edges[-1]) + 14, curve.band_word, size, anchor="end", fill=FAINT
            )
        )
    return join(*parts)


def _line(curve: Curve, frame: Axes, xs: list[float]) -> Markup:
    values = [p.value for p in curve.points]
    band = frame.band(xs, [p.low for p in curve.points], [p.high for p in curve.points])
    return join(
        element("path", d=band, fill=SPREAD, fill_opacity=0.55, class_="spread"),
        element("path", d=frame.line(xs, values), fill="none", stroke=PRESS, stroke_width=2),
    )


def _point(
    stage: StageResult,
    i: int,
    curve: Curve,
    frame: Axes,
    *,
    chosen: str,
    worst: str,
    wide: bool,
    listed: bool,
) -> Markup:
    """A stage to pick: ring, full when chosen, a diamond and a word when worst; whisker; number."""
    point, x = curve.points[i], frame.x(float(i))
    y, top, low = frame.y(point.value), frame.y(point.high), frame.y(point.low)
    here, bad = stage.key == chosen, stage.key == worst
    r = 8.0 if here else 6.0
    fill = INK if here else PAPER
    shape = {"fill": fill, "stroke": LIFT if bad and not here else INK, "stroke_width": 2.0}
    mark = (
        element(
            "path",
            d=f"M{x:.1f} {y - r - 2:.1f}l{r + 2} {r + 2} {-r - 2} {r + 2} {-r - 2} {-r - 2}Z",
            **shape,
        )
        if bad
        else element("circle", cx=x, cy=y, r=r, **shape)
    )
    text = curve.written(point.value) + (" worst" if bad and wide else "")
    size = SMALL if wide else PHONE
    room = (frame.right - frame.left) / max(len(curve.points) - 1, 1)
    if lettering(text, size, bold=here) > room - 4 and listed:
        text = ""
    title = f"{stage.title}: {curve.written(point.value)}, {MARKS[stage.verdict]}"
    return element(
        "g",
        element("title", title),
        element(
            "rect",
            x=x - 22,
            y=frame.top,
            width=44,
            height=frame.bottom - frame.top + 26,
            fill=PAPER,
            fill_opacity=0,
        ),
        stroke(x, top, x, low, 1.6),
        stroke(x - 6, top, x + 6, top, 1.6),
        stroke(x - 6, low, x + 6, low, 1.6),
        mark,
        words(x, min(top, y - r - 2) - 6, text, size, anchor="middle", bold=here),
        class_="stage chosen" if here else "stage",
        data_stage=stage.key,
        tabindex="0",
        role="button",
        aria_label=title + (", worst of the trip" if bad else ""),
        aria_pressed="true" if here else "false",
    )


def _names(
    found: Assessment, frame: Axes, pitch: float, chosen: str, *, wide: bool
) -> tuple[Markup, float]:
    """Names below their points, or, where they have no room, numbers and a list."""
    size = SMALL + 1 if wide else PHONE
    base = frame.bottom + 18.0
    parts, lowest = [], base
    worst = found.worst_stage.key
    if pitch >= NARROW:
        for i, stage in enumerate(found.stages):
            title = stage.title if wide or stage.key != worst else f"{stage.title} (worst)"
            here = stage.key == chosen
            x = frame.x(float(i))
            room = min(pitch - 8, 2 * (x - 4), 2 * ((WIDE_WIDTH if wide else PHONE_WIDTH) - 4 - x))
            for n, line in enumerate(broken(title, size, room, bold=here)):
                y = base + n * size * 1.2
                parts.append(words(x, y, line, size, anchor="middle", bold=here))
                lowest = max(lowest, y)
        return join(*parts), lowest + 10.0
    y = base + 22.0
    for i, stage in enumerate(found.stages):
        here = stage.key == chosen
        title = f"{i + 1}  {stage.title}" + (" (worst)" if stage.key == worst else "")
        parts.append(words(frame.x(float(i)), base, str(i + 1), size, anchor="middle", bold=here))
        parts.append(words(14, y, fitted(title, size, 360.0), size, bold=here))
        y += size * 1.45
    return join(*parts), y
