"""Limits by how likely they do not hold, at the stage where each is likeliest."""

from collections.abc import Sequence
from typing import Final

from steelyard.assessment import Assessment
from steelyard.fault import joined
from steelyard.stowing.plan import UNTOLD, likely, risen
from steelyard.words.assessed import chance

NAMED: Final = 3
"""Limits that a sentence names."""


def few(named: Sequence[str]) -> str:
    """As many as a sentence holds, and how many more."""
    more = len(named) - NAMED
    return joined([*named[:NAMED], *([f"{more} more"] if more > 0 else [])])


def likeliest(whole: Assessment, level: int) -> dict[str, float]:
    """The greatest chance at any stage that decides of each limit at a level."""
    most: dict[str, float] = {}
    for stage in whole.stages:
        for one in (*stage.limits, *stage.notes):
            if one.verdict != "unknown":
                most[one.title] = max(likely(one, level), most.get(one.title, 0.0))
    return most


def likelier(before: Assessment, after: Assessment) -> str:
    """`tongue share (10 % now, 39 % then)`: what is likelier not to hold than now, and not
    within."""
    now_, then = (likeliest(whole, UNTOLD) for whole in (before, after))
    up = [title for title in then if risen(now_.get(title, 1.0), then[title])]
    up.sort(key=lambda title: -then[title])
    return few([f"{t} ({chance(now_[t])} now, {chance(then[t])} then)" for t in up])
