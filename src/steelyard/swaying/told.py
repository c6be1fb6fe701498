"""From a combination's draws, each with its weight, to what is told of a stage."""

from dataclasses import dataclass, replace
from functools import partial
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.swaying.felt_damping import Telling, driven, weights
from steelyard.swaying.linear.closed_forms import Critical, understeer
from steelyard.swaying.linear.combination import Combination, possible, taken
from steelyard.swaying.linear.modes import Oscillation, calming
from steelyard.swaying.linear.search import GONE, Search, among, limits, spread_out, standing
from steelyard.swaying.recording_caps import no_better
from steelyard.swaying.result import Band, CriticalSpeed, Heeded, StageSway, first_danger
from steelyard.travel import StagePlan

T = TypeVar("T", bound=np.generic)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked of every stage: speeds of the curve (S,), the ratio asked for, the speed at
    which it is, m/s, and whether it is asked from what speed on the ratio is not reached."""

    speeds: Array
    ratio: float
    chosen: float = np.nan
    falls: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """What all draws do: along the curve, at the speed asked about, where something starts, how
    they steer; from what speed the best estimate calms again; and which of them stand at all."""

    curve: Oscillation
    here: Oscillation
    ends: Critical
    falls: Array
    steer: Array
    again: float
    there: NDArray[np.bool_]


def stage_sway(
    plan: StagePlan, c: Combination, asked: Asked, told: tuple[Telling, ...] = ()
) -> StageSway:
    """The answer from a combination (1 + n,), the best estimate first, then the draws; and from
    what was felt."""
    possible(taken(c, 0))
    seen = _seen(c, asked)
    bare, w = _said(plan, c, seen, asked, None), weights(told)
    own = tuple(
        Heeded(telling=one, after=_heard(one.ratio, w), before=_heard(one.ratio, None))
        for one in told
        if one.stage == plan.key
    )
    if w is None:
        return replace(bare, felt=own)
    lower = no_better(_said(plan, c, seen, asked, w), bare, driven(told, plan.key))
    return replace(lower, felt=own)


def _seen(c: Combination, asked: Asked) -> _Seen:
    """Draws that would tip swing at any speed, and say nothing of jackknife or steering."""
    there = standing(c)
    if there.all():
        return _solved(c, asked)
    found, every = _solved(taken(c, there), asked), partial(spread_out, there=there)
    ends = Critical(
        oscillatory=every(found.ends.oscillatory, tipped=0.0),
        again=every(found.ends.again, tipped=np.inf),
        divergent=every(found.ends.divergent, tipped=np.inf),
    )
    return replace(
        found,
        curve=among(found.curve, there),
        here=among(found.here, there),
        ends=ends,
        falls=every(found.falls, tipped=0.0),
        steer=every(found.steer, tipped=float(found.steer[0])),
        there=there,
    )


def _solved(c: Combination, asked: Asked) -> _Seen:
    search = Search(c)
    curve, here = search.across(asked.speeds), _one(search.across(np.array([asked.chosen])))
    ends, falls = limits(c, asked.ratio if asked.falls else None, search)
    return _Seen(
        curve=curve,
        here=here,
        ends=ends,
        falls=falls,
        steer=understeer(c)[1],
        again=float(search.again(ends.oscillatory[:1])[0]),
        there=np.ones(c.shape, dtype=bool),
    )


def _said(plan: StagePlan, c: Combination, seen: _Seen, asked: Asked, w: Array | None) -> StageSway:
    """What is told of the draws, each with its weight."""
    curve, here, wag, fold = seen.curve, seen.here, seen.ends.oscillatory, seen.ends.divergent
    wagging, jackknife = _speed(wag, w), _speed(fold, w)
    band = partial(_band, w=w, there=seen.there)
    return StageSway(
        key=plan.key,
        title=plan.title,
        speeds=asked.speeds,
        damping=band(curve.ratio),
        frequency=band(curve.frequency),
        calm=band(calming(curve)),
        chosen_speed=asked.chosen,
        chosen_ratio=asked.ratio,
        at_damping=band(here.ratio),
        at_frequency=band(here.frequency),
        at_calm=band(calming(here)),
        tips=_chance(~_drawn(seen.there), w),
        chance_below=_chance(_drawn(here.ratio) < asked.ratio, w),
        wagging=wagging,
        jackknife=jackknife,
        falls=_speed(seen.falls, w),
        calms_again=seen.again,
        understeer=band(seen.steer),
        first=first_danger(wagging.value, jackknife.value),
        wagging_first=_chance(_drawn(wag) < _drawn(fold), w),
        jackknife_first=_chance(_drawn(fold) < _drawn(wag), w),
        combination=taken(c, 0),
        felt=(),
    )


def _one(found: Oscillation) -> Oscillation:
    """The only one of several speeds."""
    ratio, frequency, rate = (x[..., 0] for x in (found.ratio, found.frequency, found.rate))
    return Oscillation(ratio=ratio, frequency=frequency, rate=rate)


def _drawn(x: NDArray[T]) -> NDArray[T]:
    """The draws after the best estimate; the best estimate itself where there are none."""
    return x[1:] if len(x) > 1 else x


def _quantiles(x: Array, w: Array | None, *at: float) -> Array:
    """Quantiles of draws, along the first axis, that stay meaningful where some of x is inf."""
    if w is None and x.ndim == 1:
        places = np.ceil(len(x) * np.array(at)).astype(np.intp) - 1
        return np.asarray(np.sort(x)[places])
    return np.asarray(np.quantile(x, at, axis=0, method="inverted_cdf", weights=w))


def _chance(which: NDArray[np.bool_], w: Array | None) -> float:
    return float(np.average(which, weights=w))


def _band(x: Array, w: Array | None, there: NDArray[np.bool_]) -> Band:
    """Of the best estimate and the draws; of weighted draws the best estimate is their median."""
    found = _drawn_band(_drawn(x), w, _drawn(there))
    return found if w is not None else replace(found, best=np.asarray(x[0]))


def _heard(ratio: Array, w: Array | None) -> Band:
    return _drawn_band(ratio, w, ratio > GONE)


def _drawn_band(x: Array, w: Array | None, there: NDArray[np.bool_]) -> Band:
    """Its ends are of the draws that stand; its median counts the others too, as far as the end."""
    low, high = _quantiles(x[there], None if w is None else w[there], 0.025, 0.975)
    middle = np.clip(_quantiles(x, w, 0.5)[0], low, high)
    return Band(value=middle, best=middle, low=low, high=high)


def _speed(x: Array, w: Array | None) -> CriticalSpeed:
    """Of weighted draws the best estimate is their median."""
    low, median, high = (float(one) for one in _quantiles(_drawn(x), w, 0.025, 0.5, 0.975))
    return CriticalSpeed(
        value=float(x[0]) if w is None else median,
        median=median,
        low=low,
        high=high,
        never=_chance(np.isinf(_drawn(x)), w),
        shown=False,
    )
