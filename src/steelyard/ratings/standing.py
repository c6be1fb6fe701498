"""Judging a check: within, tight, exceeded or unknown, with the chance of exceeding."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from steelyard.estimate import Array, Moments
from steelyard.ratings.check import Check, Measure

Verdict = Literal["within", "tight", "exceeded", "unknown"]
TIGHT: Final = 0.025
"""Chance of exceeding from which a limit is tight, unless told otherwise."""
MAY_BE_OVER: Final = 0.20
EXCEEDED: Final = 0.50


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """One limit at one stage. SI: weights in N. NaN where the rating is unknown.

    `value` and `margin` are at the best estimate, `sd` of the value; `side` is the edge of a band
    that is nearer; `chance` of exceeding it; `note` is advice, or a rule from
    memory that holds: it never decides; `band` has both edges where the limit is one.
    """

    name: str
    title: str
    verdict: Verdict
    value: float
    sd: float
    rating: float
    margin: float
    chance: float
    side: Literal["over", "under"]
    measure: Measure
    source: str
    due: str
    note: bool
    chain: bool
    band: tuple[float, float] | None

    @property
    def room(self) -> float:
        """Margin in standard deviations; the smallest decides. What has no spread and holds, such
        as a part that fits, decides nothing; broken, it decides first."""
        if self.verdict == "unknown":
            return float("inf")
        if self.sd <= 1e-9 * abs(self.rating):
            return float("inf") if self.margin >= 0 else float("-inf")
        return self.margin / self.sd

    @property
    def may_be_over(self) -> bool:
        """Tight enough that a person should hear "may be over: weigh"."""
        return self.verdict == "tight" and self.chance >= MAY_BE_OVER


def judge(check: Check, stage: int, stages: int, points: int, tight: float = TIGHT) -> Standing:
    """One check at one stage; `points` of its columns, the last, are draws. See `judged`."""
    return judged([check], stages, Moments(points), tight)[stage][0]


def judged(
    checks: Sequence[Check], stages: int, moments: Moments, tight: float = TIGHT
) -> list[list[Standing]]:
    """Every check at every stage, stages first; column 0 is the best estimate, the last the draws.

    Exceeded where the chance is 50 % or more, and where the best estimate itself is over. What is
    alike at all stages is judged once.
    """
    by_check = [_by_stage(check, stages, moments, tight) for check in checks]
    return [[found[stage] for found in by_check] for stage in range(stages)]


def _by_stage(check: Check, stages: int, moments: Moments, tight: float) -> list[Standing]:
    value, drawn, sd = (
        np.atleast_2d(check.value),
        moments.drawn(check.value),
        moments.sd(check.value),
    )
    low, high = (None if x is None else np.atleast_2d(x) for x in (check.low, check.high))
    differing = any(x is not None and len(x) > 1 for x in (value, low, high))
    found = [
        _judge(
            check,
            _row(value, stage),
            _row(drawn, stage),
            float(_row(sd, stage)),
            None if low is None else _row(low, stage),
            None if high is None else _row(high, stage),
            tight,
        )
        for stage in range(stages if differing else 1)
    ]
    return found if differing else found * stages


def _judge(
    check: Check,
    value: Array,
    drawn: Array,
    sd: float,
    low: Array | None,
    high: Array | None,
    tight: float,
) -> Standing:
    """One row: best estimate first in `value` (n,), draws in `drawn`."""
    best, size = float(value[0]), drawn.size
    if high is None:
        return _standing(check, "unknown", best, sd, np.nan, np.nan, np.nan, "over")
    points = np.count_nonzero(drawn <= _tail(high, size))
    over = (size - points) / size  # NaN, no balance, counts as over
    margin, rating, side, under = float(high[0]) - best, float(high[0]), "over", 0.0
    if low is not None:
        under = np.count_nonzero(drawn < _tail(low, size)) / size
        if under > over or (under == over and best - low[0] < margin):
            margin, rating, side = best - float(low[0]), float(low[0]), "under"
    verdict: Verdict = "exceeded" if margin < 0 else _verdict(over + under, tight)
    return _standing(check, verdict, best, sd, rating, margin, over + under, side)


def _tail(x: Array, points: int) -> Array:
    return x[-points:] if x.size > 1 else x


def _row(x: Array, stage: int) -> Array:
    """One stage's row of something that may be alike at all of them."""
    return np.asarray(x[stage if len(x) > 1 else 0])


def _verdict(chance: float, tight: float) -> Verdict:
    if chance >= EXCEEDED:
        return "exceeded"
    return "tight" if chance >= tight else "within"


def _standing(
    check: Check,
    verdict: Verdict,
    value: float,
    sd: float,
    rating: float,
    margin: float,
    chance: float,
    side: str,
) -> Standing:
    from_memory = check.rule is not None and not check.rule.is_read
    return Standing(
        name=check.name,
        title=check.title,
        verdict=verdict,
        value=value,
        sd=sd,
        rating=rating,
        margin=margin,
        chance=chance,
        side=side,  # type: ignore[arg-type]
        measure=check.measure,
        source=check.source,
        due=check.due,
        note=check.advice or (from_memory and verdict == "within"),
        chain=check.chain,
        band=_band(check),
    )


def _band(check: Check) -> tuple[float, float] | None:
    """Both edges of a band, at the best estimate; None for a plain limit."""
    if check.low is None or check.high is None:
        return None
    return float(np.ravel(check.low)[0]), float(np.ravel(check.high)[0])
