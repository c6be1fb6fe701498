"""Spring bars: whether they are due, of what rating, how they are set, and the fenders' proof."""

from collections.abc import Iterator

import numpy as np

from steelyard.assessment import Spread
from steelyard.estimate import Array
from steelyard.hitching.result import Bars, Due, Fenders
from steelyard.hitching.sold_sizes import bar_ratings
from steelyard.hitching.trial import Tried
from steelyard.quantity import GRAVITY
from steelyard.ratings import TIGHT, Check, LimitStatus, Verdict, severity, worst
from steelyard.ratings import verdict as judged
from steelyard.rig import Rig
from steelyard.statics.balance import Balance, alone
from steelyard.statics.contact import stretch
from steelyard.statics.loads import heights, heights_alone

CARRYING = tuple(
    f"hitch.{part}.{what}" for part in ("receiver", "ball_mount") for what in ("trailer", "tongue")
)
"""Limits that a weight-carrying hitch meets, and that its distributing ratings may lift."""


Said = tuple[Due, tuple[str, ...], Verdict]
"""Whether bars are due, what says so, and what it is to have none."""


def due(rig: Rig, trailer: Array, plain: list[LimitStatus]) -> Said:
    """Whether bars are due, and what says so: the vehicle's manual, the weight-carrying ratings.

    trailer: its weight at the draws, N, (S, n); plain: how the limits in CARRYING stand without
    bars, at any stages.
    """
    vehicle = rig.vehicle
    if vehicle.distribution == "forbidden":
        return "forbidden", ("the vehicle's manual forbids weight distribution",), "within"
    reasons = dict([*_by_manual(rig, trailer), *_by_rating(plain)])
    if reasons:
        return "due", tuple(reasons), max(reasons.values(), key=severity)
    unknown = [s.title for s in plain if s.verdict == "unknown"]
    if unknown:
        return "unknown", (f"no weight-carrying rating of {', '.join(unknown)}",), "unknown"
    why = "every weight-carrying rating holds without bars"
    if not plain:
        why = "nothing stated asks for them"
    return "not due", (why,), "within"


def _by_manual(rig: Rig, trailer: Array) -> Iterator[tuple[str, Verdict]]:
    if rig.vehicle.distribution != "required":
        return
    limit = rig.vehicle.distribution_from
    above = 1.0
    if limit is not None:  # at the stage that is heaviest; what would tip counts
        above = float(np.max(np.mean(~(trailer <= limit.value * GRAVITY), axis=-1)))
    if above >= TIGHT:
        words = "the vehicle's manual requires weight distribution at this trailer weight"
        yield words, judged(above)


def _by_rating(plain: list[LimitStatus]) -> Iterator[tuple[str, Verdict]]:
    for verdicts in (("exceeded",), ("tight", "cannot tell")):
        found = [one for one in plain if one.verdict in verdicts]
        if found:
            titles, many = ", ".join(one.title for one in found), len(found) > 1
            are = "may be" if "tight" in verdicts else "are" if many else "is"
            theirs = "their weight-carrying ratings" if many else "its weight-carrying rating"
            yield f"{titles} {are} over {theirs}", worst(one.verdict for one in found)


def preset_of(found: Balance) -> Array:
    """Preset of bars that pull, rad (S, n): B/k_B less the hitch's opening; NaN where slack."""
    opened = stretch(found.link.bar, found.driven.u, 0.0)
    pulling = found.bar_moment > 0
    rate = np.where(found.bar_rate > 0, found.bar_rate, 1.0)
    return np.where(pulling, found.bar_moment / rate - opened, np.nan)


def fenders(tried: Tried, stage: int) -> Fenders:
    """Rise of the arches against the vehicle alone with the same load in it, at one stage."""
    found, trial = tried.loads.balance, tried.trial
    bare = heights_alone(found.link, *alone(found.link, found.vehicle, found.slope))
    off, on = (heights(found.link, state.u) for state in (found.off, found.driven))

    def rise(name: str, state: object) -> Array:
        drop = getattr(bare, name) - getattr(state, name)
        return np.asarray(tried.split(drop)[stage, 0])

    return Fenders(
        front_off=trial.spread(rise("front_drop", off)),
        front_on=trial.spread(rise("front_drop", on)),
        rear_off=trial.spread(rise("rear_drop", off)),
        rear_on=trial.spread(rise("rear_drop", on)),
    )


def bars(
    tried: Tried,
    said: Said,
    rating: Check | None,
    standing: LimitStatus | None,
    set_at: int,
    *,
    fitted: bool,
    share: float | None,
) -> Bars:
    """Bars with the rig tried at one ball height; `rating` and `standing` are the bars' own limit.

    set_at: the stage at which they are set. Where no bars are fitted or supposed the settings are
    None.
    """
    trial, found = tried.trial, tried.loads
    lost = tried.split(found.front_alone - found.front_off)[set_at, 0]
    with_bars = trial.rig.hitch.bars is not None
    return Bars(
        due=said[0],
        reasons=said[1],
        fitted=fitted,
        supposed=with_bars and not fitted,
        verdict=verdict(said, standing, fitted=fitted),
        front_load_lost_kg=trial.spread(lost, GRAVITY),
        carries_kg=None if rating is None else _heaviest(tried, rating),
        size=None if rating is None else _size(tried, rating),
        share=share,
        set_at=trial.plans[set_at].title if with_bars else None,
        set_stage=set_at,
        fenders_prove=trial.rig.vehicle.levelling == "none",
        preset=trial.spread(_now(tried, preset_of(found.balance), set_at)) if with_bars else None,
        take_up=trial.spread(_take_up(tried, set_at)) if with_bars else None,
        moment=trial.spread(_now(tried, found.bar_moment, set_at)) if with_bars else None,
        fenders=fenders(tried, set_at) if with_bars else None,
        restored=tuple(
            trial.spread(_now(tried, found.restoration, s)) for s in range(len(trial.plans))
        )
        if with_bars
        else (),
    )


def _now(tried: Tried, x: Array, stage: int) -> Array:
    return np.asarray(tried.split(x)[stage, 0])


def _take_up(tried: Tried, stage: int) -> Array:
    """Preset as travel of the chain, m: preset times arm, head tilt left as it is."""
    arm = tried.trial.values["hitch.bars.arm"]
    return np.asarray(_now(tried, preset_of(tried.loads.balance), stage) * arm)


def verdict(said: Said, standing: LimitStatus | None, *, fitted: bool) -> Verdict:
    """Forbidden and fitted does not fit; missing, as surely as they are due; else the bars' rating
    decides."""
    if fitted and said[0] == "forbidden":
        return "exceeded"
    if fitted and standing is not None:
        return standing.verdict
    return "within" if fitted else said[2]


def _heaviest(tried: Tried, check: Check) -> Spread:
    rows = tried.split(check.value)[:, 0]
    return tried.trial.spread(rows[int(np.argmax(rows[:, 0]))], GRAVITY)


def _size(tried: Tried, check: Check) -> float | None:
    """The least rating sold that covers the load's 97.5 percentile at every stage, kg."""
    rows = tried.split(check.value)[:, 0, 1:]
    most = float(np.nanmax(np.nanpercentile(rows, 97.5, axis=1))) / GRAVITY
    return next((size for size in bar_ratings() if size >= most), None)
