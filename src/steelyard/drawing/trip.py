"""The trip as a curve: one number at every stage, its spread, its band or rating, its room."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from steelyard.assessment import Assessment, Spread, StageResult
from steelyard.drawing import paper
from steelyard.drawing.axes import Axes, frame, scales, ticks, written
from steelyard.drawing.names import axle_path
from steelyard.drawing.rows import Dot, Row, Scale, rows_picture
from steelyard.drawing.share import wanted
from steelyard.drawing.svg import Markup, element, join
from steelyard.quantity import Z95, System, shown, to_border
from steelyard.swaying.result import StageSway
from steelyard.words.assessed import MARKS, room

NUMBER: Final = 64.0
"""Units that a number beside the word of a band may take, half on either side."""
NARROW: Final = 64.0
"""Units between stages below which their names stand in a list, by number."""
INSET: Final = {True: 90.0, False: 34.0}
"""Units from the frame's edges to the first and last stage."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """What is drawn: title, unit, spreads in border units by stage, the band (an edge may be
    missing) with its word, and decimals."""

    title: str
    unit: str
    points: tuple[Spread, ...]
    band: tuple[float | None, float | None]
    band_word: str
    decimals: int

    def written(self, x: float) -> str:
        """A number with its unit."""
        return f"{x:,.{self.decimals}f} {self.unit}".strip()


def trip_picture(found: Assessment, system: System, swings: Sequence[StageSway] = ()) -> str:
    """The share through the trip, the room at every stage and, where `swings` tells, how fast a
    swing dies away, as one SVG."""
    chosen = found.worst_stage.key
    pictures = [trip_curve(found, system, chosen=chosen), room_picture(found, system)]
    if swings:
        damping = _damping([_as_spread(stage) for stage in swings])
        asked, at = swings[0].chosen_ratio, shown(swings[0].chosen_speed, "speed", system)
        title = f"{damping.title} at {at}"
        curve = replace(damping, title=title, band=(asked, None), band_word="as asked for")
        pictures.append(_drawn(found, curve, chosen, "damping", wide=True))
    return paper.stacked_sheets(f"{found.rig.name}: the trip", *pictures)


def trip_curve(
    found: Assessment,
    system: System,
    *,
    chosen: str,
    quantity: str = "share",
    damping: Sequence[Spread] | None = None,
    wide: bool = True,
) -> str:
    """One quantity through the trip as SVG, stages to pick by `data-stage`.

    quantity: "share", "ball", "vehicle", "trailer", "damping" or the name of an axle ("front",
    "rear", "trailer 1"). damping: one damping ratio a stage; due for that
    quantity. Raises ValueError for an unknown quantity.
    """
    curve = _curve(found, system, quantity, damping)
    return _drawn(found, curve, chosen, quantity, wide=wide)


def _drawn(found: Assessment, curve: Curve, chosen: str, quantity: str, *, wide: bool) -> str:
    head, top = paper.heading(curve.title, "", wide=wide)
    axes, at = _frame(curve, top, wide=wide)
    xs = [float(i) for i in range(len(found.stages))]
    pitch = axes.x(1.0) - axes.x(0.0)
    names, height = _names(found, axes, pitch, chosen, wide=wide)
    listed = names is None
    if names is None:
        names, height = _listed(found, axes, chosen, wide=wide)
    said = "; ".join(
        f"{stage.title} {curve.written(point.value)}"
        for stage, point in zip(found.stages, curve.points, strict=True)
    )
    return paper.sheet(
        "trip-curve",
        f"{curve.title} through the trip",
        f"{said}. Worst: {found.worst_stage.title}.",
        (paper.WIDTH[wide], height),
        head,
        _band(curve, axes, at, wide=wide),
        axes.ribbon(xs, [p.low for p in curve.points], [p.high for p in curve.points]),
        axes.curve(xs, [p.value for p in curve.points]),
        _band_word(curve, axes, wide=wide),
        names,
        *(
            _point(found, i, curve, axes, chosen=chosen, wide=wide, listed=listed)
            for i in range(len(found.stages))
        ),
        active=True,
        data_quantity=quantity,
    )


def _curve(
    found: Assessment,
    system: System,
    quantity: str,
    damping: Sequence[Spread] | None,
) -> Curve:
    if quantity == "share":
        return Curve(
            title="Tongue share",
            unit="%",
            points=tuple(stage.tongue.share.times(100.0) for stage in found.stages),
            band=wanted(found) or (None, None),
            band_word="wanted",
            decimals=1,
        )
    if quantity == "damping":
        if damping is None or len(damping) != len(found.stages):
            raise ValueError("expected one damping ratio for each stage")
        return _damping(damping)
    return _loads(found, system, quantity)


def _damping(points: Sequence[Spread]) -> Curve:
    return Curve(
        title="Damping ratio of the swing",
        unit="",
        points=tuple(points),
        band=(0.0, None),
        band_word="a swing dies out",
        decimals=2,
    )


def _loads(found: Assessment, system: System, quantity: str) -> Curve:
    """A load of ball, axle or whole, with the lowest rating that binds it."""
    names = [axle.name for axle in found.stages[0].axles]
    if quantity not in ("ball", "vehicle", "trailer", *names):
        known = ", ".join(["share", "damping", "ball", "vehicle", "trailer", *names])
        raise ValueError(f'expected a quantity ({known}), found "{quantity}"')
    unit = to_border(1.0, "mass", system)
    rating = _rating(found, quantity)
    titles = {"ball": "Tongue weight", "vehicle": "Vehicle", "trailer": "Trailer"}
    return Curve(
        title=titles.get(quantity, f"{quantity.capitalize()} axle"),
        unit="lb" if system == "us" else "kg",
        points=tuple(_load(stage, quantity).times(unit) for stage in found.stages),
        band=(None, None if rating is None else rating * unit),
        band_word="rating",
        decimals=0,
    )


def _load(stage: StageResult, quantity: str) -> Spread:
    whole = {
        "ball": stage.tongue.weight_kg,
        "vehicle": stage.vehicle_kg,
        "trailer": stage.trailer_kg,
    }
    axles = {axle.name: axle.weight_kg for axle in stage.axles}
    return {**axles, **whole}[quantity]


def _rating(found: Assessment, quantity: str) -> float | None:
    whole = {"ball": "", "vehicle": "vehicle.gvwr", "trailer": "trailer.gvwr"}
    name = whole[quantity] if quantity in whole else f"{axle_path(quantity)}.gawr"
    ratings = [
        limit.rating
        for limit in found.stages[0].limits
        if (limit.kind == "part's tongue" if quantity == "ball" else limit.name == name)
        and limit.rating == limit.rating
    ]
    return min(ratings, default=None)


def _as_spread(one: StageSway) -> Spread:
    at = one.at_damping
    value, low, high = float(at.value), float(at.low), float(at.high)
    return Spread(value=value, best=value, sd=0.0, low=low, high=high)


def _frame(curve: Curve, top: float, *, wide: bool) -> tuple[Axes, list[float]]:
    """The frame within its inset, and its ticks, which span all there is to draw."""
    edges = [edge for edge in curve.band if edge is not None]
    low = min([p.low for p in curve.points] + edges)
    high = max([p.high for p in curve.points] + edges)
    pad = 0.1 * ((high - low) or abs(high) or 1.0)
    at = ticks(low - (0.0 if low in edges else pad), high + pad, 4, around=True)
    last = max(len(curve.points) - 1, 1)
    whole = frame((0.0 if len(curve.points) > 1 else -1.0, last), at, top, 170.0, wide=wide)
    inset = INSET[wide]
    return replace(whole, left=whole.left + inset, right=whole.right - inset), at


def _band(curve: Curve, axes: Axes, at: Sequence[float], *, wide: bool) -> Markup:
    """The wanted band across the whole width, or what lies under a rating, and the scale."""
    outer = replace(axes, left=axes.left - INSET[wide], right=axes.right + INSET[wide])
    low, high = curve.band
    parts = []
    top = axes.y(high) if high is not None else axes.top
    bottom = axes.y(low) if low is not None else axes.bottom
    if low is not None or high is not None:
        width = outer.right - outer.left
        parts.append(
            paper.block(outer.left, top, width, bottom - top, fill=paper.BAND, class_="wanted")
        )
    up = f"{curve.unit or 'ratio'}; whiskers 95 %"
    parts.append(scales(outer, {}, written(at), wide=wide, up=up))
    edges = [edge for edge in curve.band if edge is not None]
    return join(*parts, *(outer.level(edge, 1.4, stroke=paper.FAINT) for edge in edges))


def _band_word(curve: Curve, axes: Axes, *, wide: bool) -> Markup:
    """What the band is, at its edge: between the last two points where it meets neither's number,
    else at the end."""
    edges = [edge for edge in curve.band if edge is not None]
    if not edges:
        return Markup("")
    size, (low, high) = paper.TEXT[wide], curve.band
    bottom, top = axes.bottom if low is None else axes.y(low), axes.y(edges[-1])
    y = top + (-5 if high is None or bottom - top < 18 else 14)
    x, anchor = axes.right + INSET[wide] - 4, "end"
    last = len(curve.points) - 1.5
    if last > 0 and axes.x(1.0) - axes.x(0.0) > paper.lettering(curve.band_word, size) + NUMBER:
        x, anchor = axes.x(last), "middle"
    return paper.lifted(paper.words(x, y, curve.band_word, size, anchor=anchor, fill=paper.FAINT))


def _point(
    found: Assessment, i: int, curve: Curve, axes: Axes, *, chosen: str, wide: bool, listed: bool
) -> Markup:
    """A stage to pick: ring, full when chosen, a diamond and a word when worst; whisker; number."""
    stage, point, x = found.stages[i], curve.points[i], axes.x(float(i))
    y, top, low = axes.y(point.value), axes.y(point.high), axes.y(point.low)
    here, bad = stage.key == chosen, _is_worst(found, stage)
    r = 8.0 if here else 6.0
    text = curve.written(point.value)
    size = paper.TEXT[wide]
    if listed and paper.lettering(text, size, bold=here) > axes.x(1.0) - axes.x(0.0) - 4:
        text = ""
    title = f"{stage.title}: {curve.written(point.value)}, {MARKS[stage.verdict]}"
    tall = axes.bottom - axes.top + 26
    return element(
        "g",
        element("title", title),
        paper.block(x - 22, axes.top, 44, tall, fill=paper.PAPER, fill_opacity=0),
        paper.whisker(x, top, x, low),
        paper.dot(
            x,
            y,
            r,
            diamond=bad,
            fill=paper.INK if here else paper.PAPER,
            stroke=paper.LIFT if bad and not here else paper.INK,
            stroke_width=2.0,
        ),
        paper.lifted(
            paper.words(x, min(top, y - r - 2) - 6, text, size, anchor="middle", bold=here)
        ),
        class_="stage chosen" if here else "stage",
        data_stage=stage.key,
        tabindex="0",
        role="button",
        aria_label=title + (", worst of the trip" if bad else ""),
        aria_pressed="true" if here else "false",
    )


def _is_worst(found: Assessment, stage: StageResult) -> bool:
    """Whether it is the worst of several."""
    return len(found.stages) > 1 and stage.key == found.worst_stage.key


def _names(
    found: Assessment, axes: Axes, pitch: float, chosen: str, *, wide: bool
) -> tuple[Markup | None, float]:
    """Names below their points; None where they have no room whole."""
    size = paper.SMALL + 1 if wide else paper.PHONE
    parts, lowest = [], 0.0
    for i, stage in enumerate(found.stages):
        x, here = axes.x(float(i)), stage.key == chosen
        title = stage.title + (" (worst)" if _is_worst(found, stage) else "")
        room = min(pitch - 8, 2 * (x - 4), 2 * (paper.WIDTH[wide] - 4 - x))
        lines = paper.broken(title, size, room, bold=here)
        if pitch < NARROW or any("…" in line for line in lines):
            return None, 0.0
        for n, line in enumerate(lines):
            y = axes.bottom + 18.0 + n * size * 1.2
            lowest = max(lowest, y)
            parts.append(paper.words(x, y, line, size, anchor="middle", bold=here))
    return join(*parts), lowest + 10.0


def _listed(found: Assessment, axes: Axes, chosen: str, *, wide: bool) -> tuple[Markup, float]:
    """Numbers below the points, and a list of names."""
    size, left = (paper.SMALL + 1, 24.0) if wide else (paper.PHONE, 14.0)
    base = axes.bottom + 18.0
    parts, y = [], base + 22.0
    for i, stage in enumerate(found.stages):
        here = stage.key == chosen
        title = stage.title + (" (worst)" if _is_worst(found, stage) else "")
        parts.append(
            paper.words(axes.x(float(i)), base, str(i + 1), size, anchor="middle", bold=here)
        )
        parts.append(paper.words(left, y, str(i + 1), size, bold=here))
        for line in paper.broken(title, size, 330.0, 9, bold=here):
            parts.append(paper.words(left + 22.0, y, line, size, bold=here))
            y += size * 1.45
    return join(*parts), y


def room_picture(found: Assessment, system: System) -> str:
    """Each stage a row; left of the line the limit is exceeded."""
    rows = [_row(stage, system) for stage in found.stages]
    below = "the limit that decides at each stage; whiskers 95 %; left of the line it is exceeded"
    scale = Scale(title="room left, % of the rating", marks=((0.0, "at its rating"),))
    return rows_picture("How much room is left", below, rows, scale)


def _row(stage: StageResult, system: System) -> Row:
    limit = stage.deciding
    if limit is None or not limit.rating:
        said = MARKS[stage.verdict] + (f": {limit.title}" if limit else ", no rating known")
        return Row(name=stage.title, dots=(), said=said)
    x, half = (100 * y / abs(limit.rating) for y in (limit.margin, Z95 * limit.sd))
    bad = stage.verdict in ("cannot tell", "exceeded")
    dot = Dot(
        value=x, low=x - half, high=x + half, diamond=bad, colour=paper.LIFT if bad else paper.INK
    )
    said = f"{MARKS[stage.verdict]}: {limit.title}, {room(limit, system)}"
    return Row(name=stage.title, dots=(dot,), said=said)
