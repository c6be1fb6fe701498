"""The one judge: from values, edges and draws to the number read, its room, chance and verdict.

Every door asks it: the limits of a rig, plans, advice, the road, the hitch, whole lists of pairs.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array, Moments
from steelyard.ratings.check import LIKELY, Check, LimitStatus, Verdict

VERDICTS: Final[tuple[Verdict, ...]] = ("within", "unknown", "tight", "cannot tell", "exceeded")
"""From the best to the gravest, which decides a headline."""
WITHIN, UNKNOWN, CLOSE, OPEN, OVER = range(len(VERDICTS))
"""Verdicts as numbers, for arrays."""
TIGHT: Final = 0.025
"""Chance of not holding from which a limit is tight, unless told otherwise."""
UNSURE: Final = 0.20
"""From here nobody can tell: weigh it."""
SURE: Final = 0.80
"""From here, on one side alone, it is exceeded."""
HAIR: Final = 1e-9
"""Part of an edge by which what is summed up to that very edge may miss it: it is reached then, and
not passed, whatever the sum's rounding."""
Mask = NDArray[np.bool_]
Codes = NDArray[np.int8]


def severity(verdict: Verdict) -> int:
    """Place of a verdict from the best to the gravest."""
    return VERDICTS.index(verdict)


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The gravest of some verdicts; `within` of none."""
    return max(verdicts, key=VERDICTS.index, default="within")


def verdicts(over: Any, under: Any = 0.0, tight: float = TIGHT) -> Codes:
    """Verdicts (...) of the chances of being beyond the upper and below the lower edge; NaN in
    `over` where no rating is known."""
    over, under = np.asarray(over, dtype=float), np.asarray(under, dtype=float)
    either, surely = over + under, np.maximum(over, under) >= SURE
    cases = [np.isnan(over), surely, either >= UNSURE, either >= tight]
    return np.select(cases, [UNKNOWN, OVER, OPEN, CLOSE], WITHIN).astype(np.int8)


def verdict(chance: float, tight: float = TIGHT) -> Verdict:
    """The verdict on one chance of not holding."""
    return VERDICTS[int(verdicts(chance, 0.0, tight))]


def refuses(found: Verdict, chance: float) -> bool:
    """Whether a verdict with its chance forbids towing as it is."""
    return found == "exceeded" or (found == "cannot tell" and chance >= LIKELY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What numbers come to, arrays (...): the nearer edge, the room to it (negative: beyond it,
    -inf where most draws would tip), the chance of being beyond either and beyond the farther, the
    verdict's number."""

    rating: Array
    margin: Array
    chance: Array
    aside: Array
    under: Mask
    code: Codes


def judged(
    value: Array, over: Array, under: Array, low: Array, high: Array, tight: float = TIGHT
) -> Judged:
    """Numbers (...) read as `value`, the median, against their edges.

    over, under: chances of being beyond them; high: NaN where no rating is known; low: -inf where
    there is no floor.
    """
    top, floor = (_room(x, edge) for x, edge in ((high - value, high), (value - low, low)))
    below = (under > over) | ((under == over) & (floor < top))
    margin = np.where(below, floor, top)
    unknown = np.isnan(high)
    return Judged(
        rating=np.where(below, low, high),
        margin=np.where(np.isnan(value) & ~unknown, -np.inf, margin),
        chance=np.where(unknown, np.nan, np.minimum(over + under, 1.0)),
        aside=np.where(below, over, under),
        under=below & ~unknown,
        code=verdicts(np.where(unknown, np.nan, over), under, tight),
    )


def _room(room: Array, edge: Array) -> Array:
    """Room to an edge; none, where it is no more than rounding."""
    none = np.isfinite(edge) & (np.abs(room) <= HAIR * np.abs(edge))
    return np.asarray(np.where(none, 0.0, room))


def above(excess: Array, sd: Array, edge: Array) -> Array:
    """Chance that a normal number of this mean and sd is above zero.

    What has no spread but rounding, against its edge, is above it or is not.
    """
    hair = HAIR * np.where(np.isfinite(edge), np.abs(edge), 1.0)
    plain = sd <= hair
    z = np.where(excess > hair, np.inf, -np.inf)
    z = np.where(plain, z, excess / np.where(plain, 1.0, sd))
    z = np.nan_to_num(z, nan=np.inf)
    found = np.where(z > 0, 1.0, 0.0)
    open_ = np.abs(z) < _FAR
    found[open_] = 0.5 * _erfc(-z[open_] / math.sqrt(2.0))
    return np.asarray(found)


def _erfc(x: Array) -> Array:
    """SciPy's where so many are asked that loading it pays."""
    if x.size < _MANY:
        return np.array([math.erfc(one) for one in x])
    from scipy.special import erfc

    return np.asarray(erfc(x))


_FAR: Final = 6.0
"""Standard deviations beyond which a chance is none, or all."""
_MANY: Final = 2_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """Every limit at one stage, and the chance that any of those that decide does not hold."""

    standings: tuple[LimitStatus, ...]
    chance: float


def judgements(
    checks: Sequence[Check], stages: int, moments: Moments, tight: float = TIGHT
) -> list[Judgement]:
    """Every check at every stage, the draws being the last columns of its arrays.

    What is alike at all stages is judged once; draws that would tip count as beyond.
    """
    if not checks:
        return [Judgement(standings=(), chance=0.0)] * stages
    read, counted = _read(checks, moments)
    found = judged(read.value, read.over, read.under, read.low, read.high, tight)
    sizes = np.repeat([one.check.size for one in counted], [one.count for one in counted])
    told = (x / sizes for x in (read.value, read.best, read.sd, found.rating, found.margin))
    parts = (*told, found.chance, found.aside, found.under, found.code)
    rows = zip(*(part.tolist() for part in parts), strict=True)
    each = [[_standing(one.check, *next(rows)) for _ in range(one.count)] for one in counted]
    both = zip(counted, each, strict=True)
    open_ = [(one, own) for one, own in both if not (one.held is None and one.under is None)]
    return [
        Judgement(
            standings=tuple(own[min(stage, len(own) - 1)] for own in each),
            chance=_any(open_, stage),
        )
        for stage in range(stages)
    ]


def judge(check: Check, stage: int, stages: int, points: int, tight: float = TIGHT) -> LimitStatus:
    """One check at one stage; `points` of its columns, the last, are draws."""
    return judgements([check], stages, Moments(points), tight)[stage].standings[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """What is read of all checks, (R,): the median, the best estimate, the sd, the chances of being
    above the upper and below the lower edge, both edges; for each check one row after another."""

    value: Array
    best: Array
    sd: Array
    over: Array
    under: Array
    low: Array
    high: Array


@dataclass(slots=True, kw_only=True)
class _Counted:
    """One check, its rows among all, as many as it has stages that differ, and where any draw is
    beyond an edge the draws within the upper and those below the lower one, (R, n)."""

    check: Check
    first: int
    count: int
    held: Mask | None = None
    under: Mask | None = None


def _read(checks: Sequence[Check], moments: Moments) -> tuple[_Read, list[_Counted]]:
    moments.look((check.value for check in checks), edges=False)
    known, counted, first = [moments.known(check.value) for check in checks], list[_Counted](), 0
    for check, seen in zip(checks, known, strict=True):
        count = max(len(seen.middle), _height(check.low), _height(check.high))
        counted.append(_Counted(check=check, first=first, count=count))
        first += count
    table = np.zeros((9, first))
    value, best, sd, over, under, low, high, least, most = table
    low[:], high[:] = -np.inf, np.nan
    for one, seen in zip(counted, known, strict=True):
        check, own = one.check, slice(one.first, one.first + one.count)
        value[own], best[own], sd[own] = seen.middle, _first(check.value), seen.sd
        least[own], most[own] = seen.least, seen.most
        if check.low is not None:
            low[own] = _first(check.low)
        if check.high is not None:
            high[own] = _first(check.high)
    within = (most <= reached(high)) & (least >= reached(low, floor=True))
    for one in counted:
        check, own = one.check, slice(one.first, one.first + one.count)
        if within[own].all() and not (_drawn(check.high) or _drawn(check.low)):
            continue
        drawn = moments.drawn(check.value)
        sd[own] = moments.sd(check.value)
        if check.high is not None:
            one.held = drawn <= reached(_tail(check.high, drawn))
            over[own] = _share(one.held, others=True)
        if check.low is not None:
            one.under = drawn < reached(_tail(check.low, drawn), floor=True)
            under[own] = _share(one.under)
    return _Read(value=value, best=best, sd=sd, over=over, under=under, low=low, high=high), counted


def _height(edge: Array | None) -> int:
    return 1 if edge is None or edge.ndim < 2 else len(edge)


def _first(x: Array) -> Array:
    """The best estimate, by row."""
    return np.asarray(x[:, 0] if x.ndim > 1 else np.ravel(x)[0])


def _drawn(edge: Array | None) -> bool:
    return edge is not None and edge.ndim > 0 and edge.shape[-1] > 1


def _share(those: Mask, *, others: bool = False) -> Array:
    """Part of the draws, or of the others, by row; counted by row, which is ten times sooner."""
    count = np.array([np.count_nonzero(row) for row in those])
    return np.asarray((those.shape[1] - count if others else count) / those.shape[1])


def _any(open_: list[tuple[_Counted, list[LimitStatus]]], stage: int) -> float:
    """Chance that any limit which decides does not hold at a stage."""
    failing: Any = False
    for one, own in open_:
        here = own[min(stage, len(own) - 1)]
        if here.decides and here.chance > 0:
            for mask in (None if one.held is None else ~one.held, one.under):
                if mask is not None:
                    failing = failing | mask[min(stage, len(mask) - 1)]
    return float(np.mean(failing))


def reached(edge: Array, *, floor: bool = False) -> Array:
    """How far what only reaches an edge may come, by rounding."""
    hair = HAIR * np.abs(edge)
    return np.asarray(edge - hair if floor else edge + hair)


def _tail(edge: Array, drawn: Array) -> Array:
    """An edge at the draws alone."""
    rows = np.atleast_2d(edge)
    return rows[:, -drawn.shape[1] :] if rows.shape[1] > 1 else rows


def _standing(
    check: Check,
    value: float,
    best: float,
    sd: float,
    rating: float,
    margin: float,
    chance: float,
    aside: float,
    below: bool,  # noqa: FBT001  (a column of a table)
    code: int,
) -> LimitStatus:
    found = VERDICTS[code]
    from_memory = check.rule is not None and not check.rule.is_read
    return LimitStatus(
        kind=check.kind,
        name=check.name,
        at=check.at,
        title=check.title,
        verdict=found,
        value=value,
        best=best,
        sd=sd,
        rating=rating,
        margin=margin,
        chance=chance,
        aside=aside,
        side="under" if below else "over",
        measure=check.measure,
        source=check.source,
        due=check.due,
        note=check.advice or (from_memory and found == "within"),
        chain=check.chain,
        band=_band(check),
    )


def _band(check: Check) -> tuple[float, float] | None:
    """Both edges of a band, at the best estimate; None for a plain limit."""
    if check.low is None or check.high is None:
        return None
    return float(check.low.flat[0]) / check.size, float(check.high.flat[0]) / check.size
