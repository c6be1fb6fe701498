"""Where labels go so that no two collide: beside their thing, else shifted or stepped away."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from steelyard.drawing.paper import FAINT, INK, NORMAL, lettering, stroke, words
from steelyard.drawing.svg import Markup, join

Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""
LEADING: Final = 1.28
ASIDE: Final = 5.0
"""Beside a label and its gap, so that two on one line do not read as one."""
_BEFORE: Final = {"start": 0.0, "middle": 0.5, "end": 1.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of a label."""

    text: str
    size: float = NORMAL
    bold: bool = False
    fill: str = INK

    @property
    def width(self) -> float:
        """How wide it is at most."""
        return lettering(self.text, self.size, bold=self.bold)


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Lines set below each other; how wide and high they are follows."""

    lines: tuple[Line, ...]

    width: float = field(init=False)
    height: float = field(init=False)

    def __post_init__(self) -> None:
        widest = max((line.width for line in self.lines), default=0.0)
        object.__setattr__(self, "width", widest)
        object.__setattr__(self, "height", sum(line.size for line in self.lines) * LEADING)

    def box(self, x: float, top: float, anchor: str) -> Box:
        """The room it takes at x by its anchor."""
        left = x - _BEFORE[anchor] * self.width
        return left, top, left + self.width, top + self.height

    def drawn(self, x: float, top: float, anchor: str) -> Markup:
        """The label in place."""
        found, y = [], top
        for line in self.lines:
            base = y + 1.02 * line.size
            found.append(
                words(x, base, line.text, line.size, anchor=anchor, bold=line.bold, fill=line.fill)
            )
            y += line.size * LEADING
        return join(*found)


Spot = tuple[float, float, str]
"""x, top, anchor."""


def first_free(
    label: Label, spots: Iterable[Spot], taken: Sequence[Box], low: float, high: float
) -> Spot | None:
    """The first spot where a label lies between low and high and meets nothing taken."""
    for spot in spots:
        box = label.box(*spot)
        if box[0] < low or box[2] > high:
            continue
        if not _first(box, taken, 3.0):
            return spot
    return None


Piece = tuple[float, float, float, float]
"""x and y of both ends."""


def settled(
    label: Label,
    spots: Iterable[Spot],
    leader: Callable[[Box], Piece | None],
    taken: list[Box],
    own: Box,
    width: float,
    free: Sequence[Box] = (),
) -> Markup | None:
    """A label at the first spot where neither it nor its leader meets what is taken; None if none.

    leader: the line to the label's box from its thing, None where it stands beside it; own: the
    thing's box, which the leader may touch, as it may what is `free`. `taken` grows by both. What
    was met last is tried first, as likely still met.
    """
    passed = [other for other in taken if other not in free and not _within(other, own)]
    met: Sequence[Box] = ()
    crossed: Sequence[Box] = ()
    for spot in spots:
        mine = label.box(*spot)
        aired = mine[0] - ASIDE, mine[1], mine[2] + ASIDE, mine[3]
        if mine[0] < 6.0 or mine[2] > width - 6.0 or _first(aired, met, 3.0):
            continue
        met = _first(aired, taken, 3.0)
        if met:
            continue
        piece = leader(mine)
        if piece is None:
            taken.append(mine)
            return label.drawn(*spot)
        thin = _thin(piece)
        if _first(thin, crossed):
            continue
        crossed = _first(thin, passed)
        if not crossed:
            taken += [mine, thin]
            return join(label.drawn(*spot), stroke(*piece, 0.8, stroke=FAINT))
    return None


def _first(box: Box, others: Sequence[Box], gap: float = 0.0) -> Sequence[Box]:
    """A box that is nearer to this one than `gap`, alone; none where none is."""
    x0, y0, x1, y1 = box[0] - gap, box[1] - gap, box[2] + gap, box[3] + gap
    for other in others:
        if x0 < other[2] and other[0] < x1 and y0 < other[3] and other[1] < y1:
            return (other,)
    return ()


def _thin(piece: Piece) -> Box:
    x0, y0, x1, y1 = piece
    return min(x0, x1) - 2, min(y0, y1) + 2, max(x0, x1) + 2, max(y0, y1) - 2


def _within(one: Box, other: Box) -> bool:
    """Whether one box is part of the other."""
    return one[0] >= other[0] and one[1] >= other[1] and one[2] <= other[2] and one[3] <= other[3]


def spaced(
    centres: Sequence[float], widths: Sequence[float], low: float, high: float, gap: float = 6.0
) -> list[float]:
    """Centres moved as little as need be (least squares, order kept) so that widths do not overlap.

    Pool-adjacent-violators on centres less the room taken before each; then kept within [low, high]
    as far as the widths allow.
    """
    if not centres:
        return []
    before = [0.0]
    for left, right in pairwise(widths):
        before.append(before[-1] + (left + right) / 2 + gap)
    pools: list[list[float]] = []
    for centre, offset in zip(centres, before, strict=True):
        pools.append([centre - offset, 1.0])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (a, n), (b, m) = pools[-2], pools[-1]
            pools[-2:] = [[(a * n + b * m) / (n + m), n + m]]
    least = low + widths[0] / 2
    most = high - widths[-1] / 2 - before[-1]
    flat = [max(min(mean, most), least) for mean, count in pools for _ in range(int(count))]
    return [place + offset for place, offset in zip(flat, before, strict=True)]


def stacked(spans: Sequence[tuple[float, float, float]], floors: Sequence[float]) -> list[float]:
    """Height of each block's foot when blocks (left, right, height) are set down one by one.

    Each stands on its floor or on what already stands there below it.
    """
    placed: list[tuple[float, float, float]] = []
    feet = []
    for (left, right, height), floor in zip(spans, floors, strict=True):
        foot = floor
        for a, b, top in placed:
            if a < right - 0.5 and left < b - 0.5 and top > foot:
                foot = top
        feet.append(foot)
        placed.append((left, right, foot + height))
    return feet
