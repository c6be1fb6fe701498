"""A rig through time: tongue share and axle loads at each weighing, and what changed between."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from steelyard.assessment import Spread
from steelyard.drawing import paper
from steelyard.drawing.book import Outline, Thing
from steelyard.drawing.svg import Markup, element, join
from steelyard.quantity import System, to_border
from steelyard.ratings import Verdict
from steelyard.words.assessed import MARKS

ROOMY: Final = 120.0
"""Units between moments from which what changed stands beside them."""
INSET: Final = {True: (118.0, 92.0), False: (62.0, 40.0)}
"""Units left and right of the first and the last moment."""
TALL: Final = {True: (150.0, 84.0), False: (120.0, 74.0)}
"""Units of the share's panel, and of a load's."""


SMALL_RIG: Final = 168.0
"""Units that a rig's small picture is wide, at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """One moment of a rig: when, what had changed since the one before, whether it was weighed
    then or is estimated; tongue share of 1 and the band wanted; loads in N by name, each with its
    rating where one is known. `word`: what kind of moment it is; outline, things: how it stood,
    `moved` naming the things that had been moved or changed."""

    when: str
    word: str
    changed: tuple[str, ...]
    weighed: bool
    verdict: Verdict
    share: Spread
    band: tuple[float, float] | None
    loads: Mapping[str, tuple[Spread, float | None]]
    outline: Outline
    things: tuple[Thing, ...]
    moved: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Panel:
    """One quantity at every moment in border units, None where there is none; `share`: of which the
    band is wanted, while a load has its rating at each moment."""

    title: str
    points: Sequence[Spread | None]
    ratings: Sequence[float | None]
    band: tuple[float, float] | None
    share: bool

    def written(self, value: float) -> str:
        """A value as a label."""
        return f"{value:.1f} %" if self.share else f"{value:,.0f}"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """Where a panel stands: the moments' x, its top and height, the values at its edges."""

    xs: Sequence[float]
    top: float
    tall: float
    low: float
    high: float
    wide: bool

    @property
    def ends(self) -> tuple[float, float]:
        """x of its left and right edge."""
        return self.xs[0] - 22.0, self.xs[-1] + 22.0

    def y(self, value: float) -> float:
        """Where a value stands."""
        return self.top + self.tall * (self.high - value) / ((self.high - self.low) or 1.0)


def history_picture(name: str, moments: Sequence[Moment], system: System, *, wide: bool) -> str:
    """All moments in their order, one below the other for share and loads, as SVG."""
    head, top = paper.heading(f"{name} through time", "", wide=wide)
    xs = _places(len(moments), wide=wide)
    rigs, y = _rigs(moments, xs, top, wide=wide)
    dates, y = _dates(moments, xs, y, wide=wide)
    parts = [head, rigs, dates]
    for panel in _panels(moments, system):
        drawn, y = _drawn(panel, moments, xs, y + 12.0, wide=wide)
        parts.append(drawn)
    said = "; ".join(_told(one) for one in moments)
    return paper.sheet(
        "history", f"{name} through time", said, (paper.WIDTH[wide], y + 8.0), *parts
    )


def _told(one: Moment) -> str:
    way = "weighed" if one.weighed else "estimated"
    share = 100 * one.share.value
    return f"{one.when}, {way}: tongue share {share:.1f} %, {MARKS[one.verdict]}"


def _places(count: int, *, wide: bool) -> list[float]:
    left, right = INSET[wide]
    room = paper.WIDTH[wide] - left - right
    return [left + (room * i / (count - 1) if count > 1 else room / 2) for i in range(count)]


def _pitch(xs: Sequence[float], *, wide: bool) -> float:
    return xs[1] - xs[0] if len(xs) > 1 else paper.WIDTH[wide] - 60.0


def _every(moments: Sequence[Moment], xs: Sequence[float], *, wide: bool) -> int:
    """Of how many moments one has its date and its small picture: of each where there is room."""
    size = paper.TEXT[wide] + wide
    widest = max(paper.lettering(f"▲ {one.when}", size, bold=True) for one in moments)
    return max(1, int(widest // max(_pitch(xs, wide=wide), 1.0)) + 1)


def _rigs(
    moments: Sequence[Moment], xs: Sequence[float], top: float, *, wide: bool
) -> tuple[Markup, float]:
    """A small picture of the rig over each date, all on one scale; what was moved is filled."""
    every = _every(moments, xs, wide=wide)
    left, right, above = (
        max(getattr(one.outline, side) for one in moments) for side in ("left", "right", "above")
    )
    room = min(every * _pitch(xs, wide=wide) - 8.0, SMALL_RIG)
    scale = room / (left + right)
    ground, parts = top + above * scale, []
    for i, (one, x) in enumerate(zip(moments, xs, strict=True)):
        if (len(moments) - 1 - i) % every == 0:
            ball = _inside(x, room, wide=wide) + scale * (left - right) / 2
            drawn = (Markup(one.outline.drawing), *(thing.drawn(one.moved) for thing in one.things))
            floor = paper.stroke(-left, 0.0, right, 0.0, 1.4)
            at = f"translate({ball:.1f} {ground:.1f}) scale({scale:.3f})"
            parts.append(element("g", *drawn, floor, transform=at))
    return join(*parts), ground + 4.0


def _inside(x: float, width: float, *, wide: bool) -> float:
    """The middle of something so wide, at x or as near as the paper lets it be."""
    most = paper.WIDTH[wide] - 2.0 - width / 2
    return max(min(x, most), 2.0 + width / 2)


def _dates(
    moments: Sequence[Moment], xs: Sequence[float], top: float, *, wide: bool
) -> tuple[Markup, float]:
    """Mark and date of each, and, where there is room, what changed; else every so many dates."""
    size, pitch = paper.TEXT[wide] + wide, _pitch(xs, wide=wide)
    every = _every(moments, xs, wide=wide)
    parts, lowest = [], top + size
    for i, (one, x) in enumerate(zip(moments, xs, strict=True)):
        if (len(moments) - 1 - i) % every == 0:
            text = f"{MARKS[one.verdict].split()[0]} {one.when}"
            middle = _inside(x, paper.lettering(text, size, bold=True), wide=wide)
            parts.append(paper.words(middle, top + size, text, size, anchor="middle", bold=True))
        if pitch < ROOMY:
            continue
        room = min(pitch - 14.0, 2 * (x - 4.0), 2 * (paper.WIDTH[wide] - 4.0 - x))
        lines = paper.broken("; ".join((one.word, *one.changed)), paper.TEXT[wide], room, 4)
        for n, line in enumerate(lines, start=1):
            y = top + size + n * 1.35 * paper.TEXT[wide]
            lowest = max(lowest, y)
            parts.append(
                paper.words(x, y, line, paper.TEXT[wide], anchor="middle", fill=paper.FAINT)
            )
    return join(*parts), lowest + 6.0


def _panels(moments: Sequence[Moment], system: System) -> list[_Panel]:
    """The share, then each load."""
    names = dict.fromkeys(name for one in moments for name in one.loads)
    share = _Panel(
        title="Tongue share, % of the trailer; wanted band shaded",
        points=[one.share.times(100.0) for one in moments],
        ratings=[None] * len(moments),
        band=next((one.band for one in reversed(moments) if one.band), None),
        share=True,
    )
    return [share, *(_load(name, moments, system) for name in names)]


def _load(name: str, moments: Sequence[Moment], system: System) -> _Panel:
    unit = to_border(1.0, "mass", system)
    word = "lb" if system == "us" else "kg"
    found = [one.loads.get(name) for one in moments]
    ratings = [None if one is None or one[1] is None else one[1] * unit for one in found]
    known = "; the bar is its rating" if any(ratings) else "; its rating is not known"
    return _Panel(
        title=f"{name[:1].upper()}{name[1:]}, {word}{known}",
        points=[None if one is None else one[0].times(unit) for one in found],
        ratings=ratings,
        band=None,
        share=False,
    )


def _drawn(
    panel: _Panel, moments: Sequence[Moment], xs: Sequence[float], top: float, *, wide: bool
) -> tuple[Markup, float]:
    """One panel, and the y below it."""
    size = paper.NORMAL if wide else paper.PHONE
    tall = TALL[wide][0 if panel.share else 1]
    low, high = _span(panel)
    at = _Frame(xs=xs, top=top + size + 20.0, tall=tall, low=low, high=high, wide=wide)
    parts = [paper.words(paper.LEFT[wide], top + size, panel.title, size, bold=True)]
    parts += _band(panel, at)
    parts += _bars(panel, at)
    parts += _joined(panel, moments, at)
    named = _named(panel, at)
    for i, one in enumerate(moments):
        parts += _point(panel, i, at, weighed=one.weighed, named=i in named)
    return element("g", *parts), at.top + tall + 12.0


def _span(panel: _Panel) -> tuple[float, float]:
    """The least and the greatest of all there is to draw, and a little beyond."""
    known = [one for one in panel.points if one is not None]
    edges = [*(panel.band or ()), *(one for one in panel.ratings if one is not None)]
    low = min([one.low for one in known] + edges)
    high = max([one.high for one in known] + edges)
    pad = 0.06 * ((high - low) or abs(high) or 1.0)
    return low - pad, high + pad


def _band(panel: _Panel, at: _Frame) -> Iterator[Markup]:
    if panel.band is None:
        return
    (left, right), (low, high) = at.ends, panel.band
    yield paper.block(left, at.y(high), right - left, at.y(low) - at.y(high), fill=paper.BAND)
    for edge in panel.band:
        yield _edge(f"{edge:g} %", edge, at)


def _edge(text: str, value: float, at: _Frame) -> Markup:
    """What stands at the left beside a level."""
    x, y = at.ends[0] - 6.0, at.y(value) + 4.0
    return paper.words(x, y, text, paper.TEXT[at.wide], anchor="end", fill=paper.FAINT)


def _bars(panel: _Panel, at: _Frame) -> Iterator[Markup]:
    """The rating at every moment, a thick line from half-way to half-way."""
    known = [(i, one) for i, one in enumerate(panel.ratings) if one is not None]
    halves = [*((a + b) / 2 for a, b in pairwise(at.xs)), at.ends[1]]
    for i, one in known:
        left = at.ends[0] if i == 0 else halves[i - 1]
        yield paper.stroke(left - 0.5, at.y(one), halves[i] + 0.5, at.y(one), 4.0)
    if known:
        yield _edge(panel.written(known[0][1]), known[0][1], at)


def _joined(panel: _Panel, moments: Sequence[Moment], at: _Frame) -> Iterator[Markup]:
    """Lines between weighings that follow each other."""
    rows = list(zip(moments, panel.points, at.xs, strict=True))
    for (one, a, x0), (other, b, x1) in pairwise(rows):
        if one.weighed and other.weighed and a is not None and b is not None:
            yield paper.stroke(x0, at.y(a.value), x1, at.y(b.value), 1.4)


def _named(panel: _Panel, at: _Frame) -> set[int]:
    """Which points have their number beside them: all where there is room, else the last, the
    least and the greatest."""
    known = [(i, one.value) for i, one in enumerate(panel.points) if one is not None]
    widest = max(paper.lettering(panel.written(value), paper.TEXT[at.wide]) for _, value in known)
    if len(at.xs) < 2 or widest + 8.0 <= at.xs[1] - at.xs[0]:
        return {i for i, _ in known}
    ends = (min(known, key=lambda one: one[1]), max(known, key=lambda one: one[1]), known[-1])
    return {i for i, _ in ends}


def _point(panel: _Panel, i: int, at: _Frame, *, weighed: bool, named: bool) -> Iterator[Markup]:
    """Filled where it was weighed, open where it is estimated; its spread; its number, on the side
    that the rating's bar leaves free."""
    one, x = panel.points[i], at.xs[i]
    if one is None:
        return
    top, low = at.y(one.high), at.y(one.low)
    yield paper.whisker(x, top, x, low, 5.0)
    yield paper.dot(
        x,
        at.y(one.value),
        5.5,
        fill=paper.INK if weighed else paper.PAPER,
        stroke=paper.INK,
        stroke_width=2.0,
    )
    if named:
        rating, size = panel.ratings[i], paper.TEXT[at.wide]
        near = rating is not None and abs(top - size - 6.0 - at.y(rating)) < size + 6.0
        middle = at.y(one.value)
        y = max(low, middle + 8.0) + size + 4.0 if near else min(top, middle - 8.0) - 5.0
        last, said = i == len(at.xs) - 1, panel.written(one.value)
        yield paper.lifted(paper.words(x, y, said, size, anchor="middle", bold=last))
