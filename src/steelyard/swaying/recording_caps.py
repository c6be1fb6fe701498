"""What a recording shows with its own eyes, held against what the model makes of it.

The linear model, made sharper by swings at low speed, may put the speed at which damping is gone
above where the swings' own trend puts it, or above a speed at which a swing was seen to grow. Then
the lower is given: a recording never raises a speed beyond what it shows itself.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.estimate.tails import normal_below
from steelyard.swaying.linear.modes import TENTH
from steelyard.swaying.recordings.recording import Heard
from steelyard.swaying.recordings.trend import Trend
from steelyard.swaying.result import Band, CriticalSpeed, StageSway, first_danger

RARE: Final = 0.025
"""Chance left of never, where an interval's upper end is a speed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """Speed, m/s, at which the recording itself says damping is gone, with its 95 % interval, and
    the slowest at which a swing surely grew; each inf where it says none. trend: where it tells."""

    zero: float
    low: float
    high: float
    grew: float
    trend: Trend | None

    @property
    def gone(self) -> float:
        """The lower of both."""
        return min(self.zero, self.grew)


def shown_by(heard: Heard) -> Shown:
    """What a recording says by itself, without any rig."""
    grew = min((one.speed for one in heard.episodes if one.grows), default=np.inf)
    line = heard.trend if heard.trend is not None and heard.trend.tells else None
    if line is None:
        return Shown(zero=np.inf, low=np.inf, high=np.inf, grew=grew, trend=None)
    return Shown(zero=line.zero, low=line.low, high=line.high, grew=grew, trend=line)


def heeded(model: StageSway, heard: Heard, before: StageSway) -> StageSway:
    """The stage that was driven, no calmer anywhere than the recording shows by itself.

    Damping at every speed, and the speeds at which it is gone or has fallen to the ratio asked for,
    are the lower of the model's and the recording's. Where the recording shows no trend of its own,
    those speeds are no higher than `before` it, or than was driven.
    """
    shown = shown_by(heard)
    if shown.trend is None:
        fastest = max(one.speed for one in heard.episodes)
        wagging = _no_higher(model.wagging, before.wagging, fastest)
        falls = _no_higher(model.falls, before.falls, fastest)
        model = _first(replace(model, wagging=wagging, falls=falls), before)
    if not np.isfinite(shown.gone):
        return model
    damping = _damping(model.damping, model.speeds, shown, heard)
    here = _damping(model.at_damping, np.asarray(model.chosen_speed), shown, heard)
    lower = replace(
        model,
        damping=damping,
        calm=_calm(model.calm, model.damping, damping, model.frequency),
        at_damping=here,
        at_calm=_calm(model.at_calm, model.at_damping, here, model.at_frequency),
        chance_below=max(model.chance_below, _below(model, shown, here)),
        wagging=_lower(model.wagging, shown.gone, min(shown.low, shown.grew), shown.high),
        falls=_falls(model, shown),
    )
    return _first(lower, before)


def _first(lower: StageSway, before: StageSway) -> StageSway:
    """What comes first, once wagging may start sooner than the model has it."""
    first = first_danger(lower.wagging.value, lower.jackknife.value)
    least = max(before.wagging_first, 0.5) if first == "wagging" else 0.0
    chance = max(lower.wagging_first, least)
    rest = min(lower.jackknife_first, 1.0 - chance)
    return replace(lower, first=first, wagging_first=chance, jackknife_first=rest)


def _damping(model: Band, speeds: Array, shown: Shown, heard: Heard) -> Band:
    """The lower of the model and the recording's line, and of any swing seen to grow by then."""
    value, best, low, high = model.value, model.best, model.low, model.high
    if shown.trend is not None:
        line, half = shown.trend.at(speeds)
        value, best = np.minimum(value, line), np.minimum(best, line)
        low = np.minimum(low, line - half)
        high = np.minimum(high, np.maximum(line + half, value))
    for one in heard.episodes:
        if one.grows:
            past = speeds >= one.speed
            value = np.where(past, np.minimum(value, one.fit.ratio), value)
            best = np.where(past, np.minimum(best, one.fit.ratio), best)
            low = np.where(past, np.minimum(low, one.low), low)
            high = np.where(past, np.minimum(high, one.high), high)
    value, best, low, high = (np.asarray(x) for x in (value, best, low, high))
    return Band(value=value, best=best, low=low, high=high)


def _calm(model: Band, before: Band, after: Band, frequency: Band) -> Band:
    """Times to a tenth where damping was lowered: the least damped takes longest."""

    def one(old: Array, was: Array, now: Array) -> Array:
        ratio = np.clip(now, 1e-12, 0.999)
        rate = ratio * frequency.value / np.sqrt(1.0 - ratio**2)
        took = np.where(now > 0, TENTH / np.maximum(rate, 1e-12), np.inf)
        return np.asarray(np.where(now < was, np.maximum(took, old), old))

    return Band(
        value=one(model.value, before.value, after.value),
        best=one(model.best, before.best, after.best),
        low=one(model.low, before.high, after.high),
        high=one(model.high, before.low, after.low),
    )


def _below(model: StageSway, shown: Shown, here: Band) -> float:
    """The recording's own chance that damping is below the ratio asked for."""
    least = 0.5 if float(here.value) < model.chosen_ratio else 0.0
    if shown.trend is None:
        return least
    line, half = (float(x) for x in shown.trend.at(np.asarray(model.chosen_speed)))
    sd = max(half / shown.trend.reach, 1e-12)
    return max(least, normal_below((model.chosen_ratio - line) / sd))


def _lower(model: CriticalSpeed, value: float, low: float, high: float) -> CriticalSpeed:
    """The lower of two speeds, each with its interval."""
    never = min(model.never, RARE) if np.isfinite(high) else model.never
    shown = model.shown or bool(np.isfinite(value) and value <= model.value)
    value, high = min(model.value, value), min(model.high, high)
    return CriticalSpeed(
        value=value,
        median=min(model.median, max(value, low)),
        low=min(model.low, low),
        high=max(high, value),
        never=never,
        shown=shown,
    )


def _no_higher(model: CriticalSpeed, before: CriticalSpeed, driven: float) -> CriticalSpeed:
    """A speed that the model would raise, raised no further than was driven."""
    most = max(before.value, driven)
    if model.value <= most:
        return model
    return CriticalSpeed(
        value=most,
        median=min(model.median, max(before.median, driven)),
        low=min(model.low, before.low),
        high=before.high,
        never=min(model.never, before.never),
        shown=model.shown,
    )


def no_better(model: StageSway, before: StageSway, driven: float) -> StageSway:
    """What was felt may have made calmer a speed that was driven, and nothing beyond it; driven:
    m/s, 0 where this load was not."""
    past, beyond = model.speeds > driven, np.asarray(model.chosen_speed > driven)
    damping = _capped(np.minimum, model.damping, before.damping, past)
    here = _capped(np.minimum, model.at_damping, before.at_damping, beyond)
    chance = model.chance_below
    if beyond:
        chance = max(chance, before.chance_below)
    lower = replace(
        model,
        damping=damping,
        at_damping=here,
        calm=_capped(np.maximum, model.calm, before.calm, past),
        at_calm=_capped(np.maximum, model.at_calm, before.at_calm, beyond),
        chance_below=chance,
        wagging=_held(model.wagging, before.wagging, driven),
        jackknife=_held(model.jackknife, before.jackknife, driven),
        falls=_held(model.falls, before.falls, driven),
        understeer=before.understeer,
    )
    first = first_danger(lower.wagging.value, lower.jackknife.value)
    return replace(lower, first=first)


def _capped(
    pick: Callable[[Array, Array], Array], model: Band, before: Band, where: NDArray[np.bool_]
) -> Band:
    """Of the one and what was before, what `pick` takes; elsewhere as it is."""
    names = ("value", "best", "low", "high")
    pairs = {name: (getattr(model, name), getattr(before, name)) for name in names}
    return Band(
        **{name: np.asarray(np.where(where, pick(*pair), pair[0])) for name, pair in pairs.items()}
    )


def _held(model: CriticalSpeed, before: CriticalSpeed, driven: float) -> CriticalSpeed:
    """Each of its numbers no higher than before or than was driven; never no likelier."""
    return CriticalSpeed(
        value=min(model.value, max(before.value, driven)),
        median=min(model.median, max(before.median, driven)),
        low=min(model.low, max(before.low, driven)),
        high=min(model.high, max(before.high, driven)),
        never=min(model.never, before.never),
        shown=model.shown,
    )


def _falls(model: StageSway, shown: Shown) -> CriticalSpeed:
    """Where damping has fallen to the ratio asked for: by the line, and before any growth."""
    found = _lower(model.falls, shown.grew, shown.grew, np.inf)
    if shown.trend is None:
        return found
    grid = np.geomspace(1.0, 100.0, 2000)
    line, half = shown.trend.at(grid)

    def first(ratio: Array) -> float:
        under = np.flatnonzero(ratio < model.chosen_ratio)
        return float(grid[under[0]]) if under.size else float("inf")

    return _lower(found, first(line), first(line - half), first(line + half))
