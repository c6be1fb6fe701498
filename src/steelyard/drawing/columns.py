"""Loads hang from the ground: one scale for all axles and the ball, rating a notch, spread a band.

How near the band comes to the notch is the whole story.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Final

from steelyard.assessment import AxleLoad, OnAxles, Spread, StageResult
from steelyard.drawing.labels import Box, Label, Line, Piece, Spot, settled
from steelyard.drawing.names import ORDINALS, axle_path, axle_title
from steelyard.drawing.paper import (
    FAINT,
    LARGE,
    NORMAL,
    PAPER,
    PHONE,
    SMALL,
    block,
    broken,
    lettering,
    stroke,
    words,
)
from steelyard.drawing.plan_wheels import gauge
from steelyard.drawing.ruler import Ruler, axle_x
from steelyard.drawing.sizes import Sizes
from steelyard.drawing.svg import Markup, element, join
from steelyard.quantity import System
from steelyard.ratings import LimitStatus, Verdict, severity, worst
from steelyard.words.assessed import LIFTED, MARKS, number, room, stood, weight_spread
from steelyard.words.headline import pressing

LONGEST: Final = {True: 190.0, False: 120.0}
THICK: Final = {True: 16.0, False: 11.0}
APART: Final = {True: 42.0, False: 27.0}
NEAR: Final = 90.0
FIRST: Final = 2
"""Lines about limits without a column that a phone shows above the loads; where there are more, the
last counts them."""
ASIDE: Final = 200.0
"""Units that a line about a limit without a column may take beside one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One load to hang: N; `limit` is what decides of it, `verdict` the worst of all that bind.

    `own` and `trailer` are what the load in the vehicle, and the trailer, put on this axle;
    `over` is where it acts if it had to be drawn beside that; `also` are limits at hand that no
    column hangs from and that are exceeded, tight or cannot be told, the gravest first.
    """

    key: str
    title: str
    x: float
    load: Spread
    limit: LimitStatus | None
    verdict: Verdict
    own: float | None
    trailer: float | None
    over: float | None = None
    also: tuple[LimitStatus, ...] = ()

    @property
    def mark(self) -> str:
        """Mark and word: what is lifted is not within what it is rated to bear."""
        lifted = self.limit is not None and stood(self.limit) == LIFTED
        return LIFTED if lifted else MARKS[self.verdict]

    @property
    def rating(self) -> float | None:
        """The rating that decides, N, where one is known."""
        known = self.limit is not None and self.limit.rating == self.limit.rating
        return self.limit.rating if self.limit is not None and known else None

    @property
    def reach(self) -> float:
        """The farthest from the ground of load, spread and rating, kg."""
        load = self.load
        return max(abs(load.value), abs(load.low), abs(load.high), self.rating or 0.0)


def columns(
    stage: StageResult, rule: Ruler, size: Sizes, carried: Sequence[OnAxles]
) -> tuple[Column, ...]:
    """Front and rear axle, ball, trailer axles, in their order along the rig."""
    cargo = [one for one in carried if one.body == "vehicle" and one.name != "vehicle itself"]
    share = {"front": sum(c.front_kg for c in cargo), "rear": sum(c.rear_kg for c in cargo)}
    limits = {limit.name: limit for limit in (*stage.limits, *stage.notes)}
    found_columns = [_ball(stage, rule, size.seat)]
    for axle in stage.axles:
        limit = limits.get(f"{axle_path(axle.name)}.gawr")
        own, title = share.get(axle.name), axle_title(axle.name, len(size.axles))
        found_columns.append(_axle(axle, axle_x(rule, size, axle.name), title, limit, own))
    hung = _with_others(found_columns, stage)
    return _apart(sorted(hung, key=lambda one: one.x), rule)


def _with_others(hung: Sequence[Column], stage: StageResult) -> list[Column]:
    """Columns with what presses and has no column, each at the one where it acts."""
    own = {one.limit.name for one in hung if one.limit is not None}
    others = [one for one in pressing(stage) if one.name not in own]
    return [replace(one, also=tuple(x for x in others if acts_at(x) == one.key)) for one in hung]


def acts_at(limit: LimitStatus) -> str:
    """The column at which a limit without one acts: `front`, `rear`, `trailer 1`, or the ball."""
    for count, name in enumerate(ORDINALS, start=1):
        if limit.name.startswith(f"trailer.axles.{name}"):
            return f"trailer {count}"
    if limit.name in ("trailer.gvwr", "trailer.gtm"):
        return "trailer 1"
    if limit.name.startswith("vehicle.front"):
        return "front"
    if limit.name.startswith("vehicle.rear") or limit.name in ("vehicle.payload", "vehicle.gvwr"):
        return "rear"
    return "ball"


def _apart(hung: Sequence[Column], rule: Ruler) -> tuple[Column, ...]:
    """Columns with a ball that stands over an axle moved aside, just far enough to tell them."""
    least = APART[rule.wide]
    ball = next(one for one in hung if one.key == "ball")
    near = min((one for one in hung if one is not ball), key=lambda one: abs(one.x - ball.x))
    if abs(near.x - ball.x) >= least:
        return tuple(hung)
    x = near.x - least if ball.x <= near.x else near.x + least
    moved = [replace(one, x=x, over=ball.x) if one is ball else one for one in hung]
    return tuple(sorted(moved, key=lambda one: one.x))


def _axle(
    axle: AxleLoad, x: float, title: str, limit: LimitStatus | None, own: float | None
) -> Column:
    return Column(
        key=axle.name,
        title=title,
        x=x,
        load=axle.weight_kg,
        limit=limit,
        verdict=limit.verdict if limit else "unknown",
        own=own,
        trailer=None if axle.alone_kg is None else axle.weight_kg.value - axle.alone_kg,
    )


def _ball(stage: StageResult, rule: Ruler, title: str) -> Column:
    """Tongue weight, bars off, which the ratings of the coupling chain bind."""
    chain = [x for x in stage.limits if x.chain and x.name.endswith((".tongue", ".s"))]
    known = [limit for limit in chain if limit.verdict != "unknown"]
    asked = next((limit for limit in chain if limit.asked), None)
    return Column(
        key="ball",
        title=title,
        x=rule.ball,
        load=stage.tongue.weight_kg,
        limit=min(known, key=lambda limit: limit.margin, default=asked),
        verdict=worst(limit.verdict for limit in chain) if chain else "unknown",
        own=None,
        trailer=None,
    )


def loads_picture(hung: Sequence[Column], rule: Ruler, system: System) -> tuple[Markup, float]:
    """The columns from y = 0 down, labelled, and the height they take."""
    longest = max(one.reach for one in hung)
    unit = LONGEST[rule.wide] / max(longest, 1.0)
    drawn = [_hung(one, unit, rule, system) for one in hung]
    if not rule.wide:
        return _listed(hung, drawn, unit, system)
    taken: list[Box] = [box for one in hung for box in _boxes(one, unit)]
    labels = []
    for one in sorted(hung, key=lambda c: (c.key != "ball", len(_near(c, hung)))):
        label = _label(one, system)
        end = max(one.reach * unit, 0.0)
        own = (one.x - 21.0, min(one.load.low * unit, 0.0) - 1.0, one.x + 21.0, end + 2.0)
        for leader in (partial(_leader, one.x, end), _none):
            spots = _spots(one, label, end, _near(one, hung))
            drawing = settled(label, spots, leader, taken, own, rule.width)
            if drawing is not None:
                labels.append(drawing)
                break
    return join(*drawn, *labels), max(box[3] for box in taken) + 8.0


def _hung(one: Column, unit: float, rule: Ruler, system: System) -> Markup:
    """Column, spread band and notch, and how the column comes about."""
    half = THICK[rule.wide] / 2
    parts = [element("title", f"{one.title}: {weight_spread(one.load, system)}")]
    parts += gauge(one.x, one.load, one.rating, unit, half)
    parts += _shares(one, unit, half)
    if one.over is not None:
        parts.append(stroke(one.over, 3.0, one.x, 3.0, 2.0))
    return element("g", *parts, class_="column", data_load=one.key, data_kg=one.load.value)


def _shares(one: Column, unit: float, half: float) -> Iterator[Markup]:
    """The vehicle's load lightly within the column; what the trailer takes off, dotted below it."""
    if one.own is None or one.trailer is None:
        return
    itself = one.load.value - one.own - one.trailer
    long = min(one.own, max(one.load.value - itself, 0.0))
    if one.own > 0:
        x, wide = one.x - half + 1.5, 2 * half - 3
        yield block(x, itself * unit, wide, long * unit, fill=PAPER, fill_opacity=0.38)
    if one.trailer < 0:
        look = {"fill": "none", "stroke": FAINT, "stroke_dasharray": "2 2"}
        y, long = one.load.value * unit, -one.trailer * unit
        yield block(one.x - half, y, 2 * half, long, stroke_width=0.9, **look)


def _boxes(one: Column, unit: float) -> list[Box]:
    """What no label may cover."""
    reach = THICK[True] / 2 + 12.0
    rating = one.rating
    low, high = one.load.low * unit, one.load.high * unit
    found = [(one.x - 9, min(one.load.value * unit, 0.0), one.x + 9, max(high, 0.0))]
    found.append((one.x - reach, low - 1, one.x + reach, high + 1))
    if rating is not None:
        found.append((one.x - reach, rating * unit - 2, one.x + reach, rating * unit + 2))
    return found


def _near(one: Column, hung: Sequence[Column]) -> list[float]:
    """How far to the right columns stand that are so near that labels below them may meet."""
    apart = (other.x - one.x for other in hung)
    return [dx for dx in apart if 0.0 < abs(dx) < NEAR]


def _spots(one: Column, label: Label, end: float, near: Sequence[float]) -> Iterator[Spot]:
    """Beside the column, right or left, further and further down; at last below its end, a leader
    away, out of the way of what stands near."""
    for step in range(int(max(end - label.height, 0.0) / 10.0) + 1):
        top = 8.0 + 10.0 * step
        yield one.x + 26.0, top, "start"
        yield one.x - 26.0, top, "end"
    sides = [(0.0, "middle"), (-10.0, "start"), (10.0, "end")]
    if near and sum(near) != 0.0:
        sides = [sides[1 if sum(near) < 0.0 else 2], *sides]
    for step in range(60):
        for dx, anchor in sides:
            yield one.x + dx, end + 10.0 + 10.0 * step, anchor


def _none(_box: Box) -> None:
    """No leader."""


def _leader(x: float, end: float, box: Box) -> Piece | None:
    """A thin line from a column's end to a label that had to step away from it."""
    if box[1] <= end + 12.0:
        return None
    return x, end + 5.0, min(max(x, box[0]), box[2]), box[1]


def _label(one: Column, system: System) -> Label:
    lines = [
        Line(text=weight_spread(one.load, system), size=LARGE, bold=True),
        Line(text=_named(one, system), size=SMALL, fill=FAINT),
        Line(text=standing(one, system), size=SMALL, bold=one.mark != MARKS["within"]),
    ]
    for limit in one.also:
        said = broken(other(limit, system), SMALL, ASIDE, 5, bold=True)
        lines += [Line(text=text, size=SMALL, bold=True) for text in said]
    if one.own is not None and one.trailer is not None:
        lines.append(Line(text=_parts(one, system), size=SMALL, fill=FAINT))
    return Label(lines=tuple(lines))


def _named(one: Column, system: System) -> str:
    """`rear axle, rated 4,150`; of the ball, whose chain has several ratings, the part that is
    nearest: `on the ball; coupler rated 1,000`."""
    rating = one.rating
    if rating is None or one.limit is None:
        return one.title
    if one.key == "ball":
        return f"on the {one.title}; {part(one.limit)} rated {number(rating, system)}"
    return f"{one.title}, rated {number(rating, system)}"


def part(limit: LimitStatus) -> str:
    """The part of the coupling that a rating is of: `coupler` of `coupler: tongue`."""
    return limit.title.partition(":")[0].partition(",")[0]


def standing(one: Column, system: System) -> str:
    """`◐ tight, 118 under its rating`: mark, word and room."""
    mark = one.mark
    if one.limit is not None and mark == LIFTED:
        return f"{mark}, by {number(-one.limit.value, system)}"
    if one.limit is None or one.limit.verdict == "unknown":
        asked = one.limit is not None and one.limit.asked
        return f"{mark}, {'what it rests on is asked about' if asked else 'no rating known'}"
    side = "over" if one.limit.margin < 0 else "under"
    what = "what is known" if one.verdict == "unknown" else "its rating"
    return f"{mark}, {number(abs(one.limit.margin), system)} {side} {what}"


def other(limit: LimitStatus, system: System) -> str:
    """`◐ tight, spring bars: 103 lb under its 1,000 lb rating`."""
    return f"{MARKS[limit.verdict]}, {limit.title}: {room(limit, system)}"


def _parts(one: Column, system: System) -> str:
    own, trailer = (signed(x or 0.0, system) for x in (one.own, one.trailer))
    return f"its load {own}, trailer {trailer}"


def signed(kg: float, system: System) -> str:
    """`+73` or `−43`."""
    said = number(abs(kg), system)
    return said if said == "0" else f"{'+' if kg > 0 else '−'}{said}"


def _listed(
    hung: Sequence[Column], drawn: list[Markup], unit: float, system: System
) -> tuple[Markup, float]:
    """On a phone: columns numbered at their ends, and a line for each below."""
    bottom = max(one.reach for one in hung) * unit + 6.0
    parts: list[Markup] = [*drawn]
    y = bottom + 32.0
    others = sorted(
        (x for one in hung for x in one.also), key=lambda x: (-severity(x.verdict), x.room)
    )
    first = FIRST if len(others) <= FIRST else FIRST - 1
    for said in (*(other(limit, system) for limit in others[:first]), *_more(others[first:])):
        lines = broken(said, NORMAL, 352.0, bold=True)
        parts += [words(14, y + 17.0 * n, line, NORMAL, bold=True) for n, line in enumerate(lines)]
        y += 17.0 * len(lines) + 6.0
    for count, one in enumerate(hung, start=1):
        end = max(one.reach * unit, 0.0)
        nudge = _nudge(hung, count - 1)
        parts.append(words(one.x + nudge, end + 15, str(count), PHONE, anchor="middle", bold=True))
        said = standing(one, system)
        load = weight_spread(one.load, system)
        parts += [
            words(14, y, str(count), PHONE, bold=True),
            words(32, y, load, LARGE, bold=True),
        ]
        grave = one.mark != MARKS["within"]
        if lettering(load, LARGE, bold=True) + lettering(said, PHONE, bold=grave) > 336.0:
            y += 16.0
            parts.append(words(32, y, said, PHONE, bold=grave))
        else:
            parts.append(words(376, y, said, PHONE, anchor="end", bold=grave))
        parts.append(words(32, y + 15, _named(one, system), PHONE, fill=FAINT))
        if one.own is not None:
            parts.append(words(376, y + 15, _parts(one, system), PHONE, anchor="end", fill=FAINT))
        y += 40.0
    return join(*parts), y - 18.0


def _more(rest: Sequence[LimitStatus]) -> Iterator[str]:
    """`4 more, below: 3 exceeded, 1 tight`."""
    counts = Counter(limit.verdict for limit in rest)
    if counts:
        said = ", ".join(f"{count} {verdict}" for verdict, count in counts.items())
        yield f"{counts.total()} more, below: {said}"


def _nudge(hung: Sequence[Column], i: int) -> float:
    """Half a digit aside for neighbours whose numbers would touch."""
    left = i > 0 and hung[i].x - hung[i - 1].x < 12
    right = i + 1 < len(hung) and hung[i + 1].x - hung[i].x < 12
    return 3.0 * left - 3.0 * right


def spoken(hung: Sequence[Column], system: System) -> str:
    """All loads in words."""
    return "; ".join(
        f"{one.title} {weight_spread(one.load, system)}, {standing(one, system)}" for one in hung
    )
