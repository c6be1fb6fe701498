"""Judging a check: within, tight, exceeded or unknown, with the chance of exceeding."""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from steelyard.estimate import Array
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
    """Judge one check at one stage; column 0 is the best estimate, the last `points` the draws.

    Exceeded where the chance is 50 % or more, and where the best estimate itself is over.
    """
    value = _row(check.value, stage, stages)
    drawn = value[-points:]
    if check.high is None:
        return _standing(check, "unknown", value, drawn, np.nan, np.nan, np.nan, "over")
    high = _row(check.high, stage, stages)
    over = float(np.mean(~(drawn <= _tail(high, points))))  # NaN, no balance, counts as over
    margin, rating, side, under = high[0] - value[0], high[0], "over", 0.0
    if check.low is not None:
        low = _row(check.low, stage, stages)
        under = float(np.mean(drawn < _tail(low, points)))
        if under > over or (under == over and value[0] - low[0] < margin):
            margin, rating, side = value[0] - low[0], low[0], "under"
    verdict: Verdict = "exceeded" if margin < 0 else _verdict(over + under, tight)
    return _standing(check, verdict, value, drawn, rating, margin, over + under, side)


def _tail(x: Array, points: int) -> Array:
    return x[-points:] if x.size > 1 else x


def _row(x: Array, stage: int, stages: int) -> Array:
    """One stage's row (n,) of something that broadcasts to (S, n)."""
    array = np.atleast_1d(np.asarray(x, dtype=float))
    if array.ndim == 1:
        return array
    return np.asarray(array[stage] if array.shape[0] == stages else array[0])


def _verdict(chance: float, tight: float) -> Verdict:
    if chance >= EXCEEDED:
        return "exceeded"
    return "tight" if chance >= tight else "within"


def _standing(
    check: Check,
    verdict: Verdict,
    value: Array,
    drawn: Array,
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
        value=float(value[0]),
        sd=float(np.std(drawn)) if drawn.size > 1 else 0.0,
        rating=float(rating),
        margin=float(margin),
        chance=float(chance),
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
