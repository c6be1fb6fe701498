"""The one call: which hitch parts, of which sizes, how high, and what an inch more would do."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from steelyard.estimate import Array, Estimate
from steelyard.fault import FaultError
from steelyard.hitching.bars import CARRYING, Said, bars, due
from steelyard.hitching.clearance import clearances
from steelyard.hitching.height import BASE, base, height
from steelyard.hitching.jack import jacking
from steelyard.hitching.result import Bars, Clearance, Due, Fit, Height, Jacking, Match, Pitch
from steelyard.hitching.sold_sizes import drops, source
from steelyard.hitching.trial import BALL, Trial, Tried, drawn_values, grown
from steelyard.quantity import GRAVITY, INCH
from steelyard.ratings import Check, LimitStatus, Verdict, checks, judge, severity, worst
from steelyard.ratings.limits.fitting import CAB
from steelyard.ratings.part_sizes import pairs
from steelyard.rig import Rig, SpringBars, is_pin, takes_bars
from steelyard.scene import DRAWS, opened, region_of
from steelyard.travel import StagePlan
from steelyard.typical.hitch import without_drop
from steelyard.typical.shipped_tables import hitch_table, present
from steelyard.typical.trailer import axle_count, suspension

TOLERANCE: Final = INCH
"""m: a nose this far above or below level is called level, unless told otherwise: mounts come in
steps of an inch or two, and what rides moves the nose by as much (common practice, no source)."""


def fit(
    rig: Rig,
    estimate: Estimate | None = None,
    stages: tuple[str, ...] | None = None,
    restore: float | None = None,
    tolerance: float = TOLERANCE,
    steps: Sequence[float] | None = None,
    draws: int = DRAWS,
    seed: int = 0,
) -> Fit:
    """Ball height, drop, sizes, ratings, jack, bars and clearances of a rig.

    estimate: a belief sharper than the rig file's own, from a weighing; stages: keys that must
    stand level, all by default; restore: share of the lost front load the bars shall give back, the
    rig's own by default, and supposes bars where none are fitted; tolerance: m, nose above or below
    level over the distance from ball to axles; steps: drops to choose from, m, those usually sold
    by default. Raises ValueError for a stage or bars that cannot be, and its kind NoBalanceError
    for a rig that would tip over.
    """
    scene = opened(rig, estimate, stages or None, draws=1)
    rig, plans, belief = scene.rig, scene.stages, scene.estimate
    _require_no_pin(rig, restore)
    plain = _plain(rig, belief, plans, draws, seed)
    said = _due(plain)
    supposed = _set_here(_supposed(rig, said[0], restore), plans)
    share = _share(supposed, restore)
    trial = _trial(supposed, belief, plans, draws, seed, share)
    _require_receiver(trial, steps)
    name = "fixed" if supposed.hitch.bars is None else "adjustable"
    sold, why = (
        (drops(name, region_of(rig)), source("drops", name, "source"))
        if steps is None
        else (steps, "as asked")
    )
    found, ball = height(trial, sold, tolerance, why)
    tried = trial.at(ball[None])
    tried.scene.standing()
    return _answer(rig, trial, tried, found, ball, said, share, seed)


@dataclass(frozen=True, kw_only=True)
class _Plain:
    rig: Rig
    tried: Tried
    standings: list[LimitStatus]


def _plain(
    rig: Rig, belief: Estimate, plans: tuple[StagePlan, ...], draws: int, seed: int
) -> _Plain:
    """The rig without bars at its present or usual ball height."""
    bare = rig.model_copy(update={"hitch": rig.hitch.model_copy(update={"bars": None})})
    trial = _trial(bare, belief, plans, draws, seed, None)
    tried = trial.at(trial.row(BALL)[None])
    tried.scene.standing()
    found = [_worst(check, tried)[1] for check in _chain(tried)]
    return _Plain(rig=bare, tried=tried, standings=found)


def _due(plain: _Plain) -> Said:
    if not takes_bars(plain.rig):
        return "not due", (), "within"
    trailer = plain.tried.split(plain.tried.loads.trailer)[:, 0, 1:]
    return due(plain.rig, trailer, [s for s in plain.standings if s.name in CARRYING])


def _supposed(rig: Rig, said: Due, restore: float | None) -> Rig:
    """The rig, with bars where none are fitted but they are due or asked for."""
    if rig.hitch.bars is not None or is_pin(rig) or (said != "due" and restore is None):
        return rig
    hitch = rig.hitch.model_copy(update={"bars": SpringBars()})
    return rig.model_copy(update={"hitch": hitch})


def _set_here(rig: Rig, plans: tuple[StagePlan, ...]) -> Rig:
    """The rig with its bars set at a stage that is looked at: the one stated, else the first."""
    fitted = rig.hitch.bars
    if fitted is None or fitted.set_at in [plan.key for plan in plans]:
        return rig
    here = fitted.model_copy(update={"set_at": plans[0].key})
    hitch = rig.hitch.model_copy(update={"bars": here})
    return rig.model_copy(update={"hitch": hitch})


def _share(rig: Rig, restore: float | None) -> float | None:
    """The share to give back: asked, stated or the usual; None where a preset is stated."""
    fitted = rig.hitch.bars
    if fitted is None or (fitted.preset is not None and restore is None):
        return None
    if restore is not None:
        return restore
    return (
        fitted.restoration.value
        if fitted.restoration
        else present(hitch_table(), "restoration", "share").value
    )


def _trial(
    rig: Rig,
    belief: Estimate,
    plans: tuple[StagePlan, ...],
    draws: int,
    seed: int,
    share: float | None,
) -> Trial:
    zero = without_drop(rig)
    more: Mapping[str, tuple[float, float]] = {BASE: (zero.value, zero.sd)} if zero else {}
    values = drawn_values(grown(belief, rig, more), draws, seed)
    if share is not None:
        values.pop("hitch.bars.preset", None)
        values["hitch.bars.restoration"] = np.asarray(share)
    return Trial(rig=rig, plans=plans, values=values, draws=draws)


def _answer(
    rig: Rig,
    trial: Trial,
    tried: Tried,
    found: Height,
    ball: Array,
    said: Said,
    share: float | None,
    seed: int,
) -> Fit:
    region = region_of(rig)
    set_at = _set_at(trial)
    todo = _chain(tried)
    limits = tuple(_worst(check, tried) for check in todo)
    jack = jacking(tried, set_at)
    fitting = matches(rig, region)
    without = rig.hitch.bars is None and share is None and not takes_bars(rig)
    bar = None
    if not (is_pin(rig) or without):
        own = next((check for check in todo if check.kind == "bars"), None)
        standing = None if own is None else _worst(own, tried)[1]
        fitted = rig.hitch.bars is not None
        bar = bars(tried, said, own, standing, set_at, fitted=fitted, share=share)
    spaces = clearances(tried, found.worst_stage)
    known = [one for one in limits if one[1].verdict != "unknown"]
    return Fit(
        rig=rig,
        region=region,
        stages=tuple((plan.key, plan.title) for plan in trial.plans),
        height=found,
        pitch=pitches(trial, ball, set_at),
        matches=fitting,
        limits=limits,
        governing=min(
            (one for one in known if one[1].chain),
            key=lambda o: (-severity(o[1].verdict), o[1].room),
            default=None,
        ),
        jack=jack,
        bars=bar,
        clearances=spaces,
        lifts=_lifts(tried),
        draws=trial.draws,
        seed=seed,
        verdict=_verdict(found, fitting, limits, jack, bar, impossible=_impossible(tried, spaces)),
    )


def _chain(tried: Tried) -> list[Check]:
    """The limits of the coupling chain, the jack and the nose behind its cab, and no others."""
    found = checks(tried.scene)
    return [one for one in found if one.chain or one.kind == "jack" or one.name == CAB]


def _every(check: Check, tried: Tried) -> list[LimitStatus]:
    stages = len(tried.trial.plans)
    return [judge(check, stage, stages, tried.trial.draws) for stage in range(stages)]


def _worst(check: Check, tried: Tried) -> tuple[str, LimitStatus]:
    """One limit at its worst stage, with the stage's title."""
    found = _every(check, tried)
    at = min(range(len(found)), key=lambda s: (-severity(found[s].verdict), found[s].room))
    return tried.trial.plans[at].title, found[at]


def _lifts(tried: Tried) -> str | None:
    """The first stage at which, at the best estimate, the tongue pulls up."""
    tongue = tried.split(tried.loads.tongue)[:, 0, 0]
    titles = (plan.title for plan in tried.trial.plans)
    return next((t for t, force in zip(titles, tongue, strict=True) if force <= 0), None)


def _impossible(tried: Tried, spaces: tuple[Clearance, ...]) -> bool:
    """Whether parts touch standing straight, or the trailer lifts the vehicle."""
    return _lifts(tried) is not None or any(one.touches for one in spaces)


def _set_at(trial: Trial) -> int:
    """The stage at which bars are set: the one stated if looked at, else the first."""
    fitted = trial.rig.hitch.bars
    keys = [plan.key for plan in trial.plans]
    return keys.index(fitted.set_at) if fitted and fitted.set_at in keys else 0


def _verdict(
    found: Height,
    fitting: tuple[Match, ...],
    limits: tuple[tuple[str, LimitStatus], ...],
    jack: Jacking,
    bar: Bars | None,
    *,
    impossible: bool,
) -> Verdict:
    """The gravest of all; clearances count only where parts touch standing straight."""
    verdicts: list[Verdict] = [found.verdict, *(one.verdict for one in fitting)]
    verdicts += [standing.verdict for _, standing in limits if not standing.note]
    verdicts += [lift.verdict for lift in jack.lifts]
    verdicts += [jack.load.verdict] if jack.load else []
    verdicts += [bar.verdict] if bar else []
    verdicts += ["exceeded"] if impossible else []
    return worst(verdicts)


def _require_no_pin(rig: Rig, restore: float | None) -> None:
    if restore is not None and is_pin(rig):
        raise FaultError(due="no share to restore on a fifth wheel or gooseneck", found="one")


def _require_receiver(trial: Trial, steps: Sequence[float] | None) -> None:
    if steps is not None and base(trial) is None:
        raise FaultError(
            due="hitch.receiver.height, or hitch.ball_height and hitch.ball_mount.drop, to"
            " choose among drops",
            found="neither",
        )


def pitches(trial: Trial, ball: Array, stage: int) -> tuple[Pitch, ...]:
    """Both kinds of suspension where there is more than one axle, the rig's own first."""
    own = suspension(trial.rig)
    if axle_count(trial.rig) == 1:
        return (_pitch(trial, ball, stage, own, own=True),)
    other = "independent" if own == "equaliser" else "equaliser"
    return (
        _pitch(trial, ball, stage, own, own=True),
        _pitch(_with(trial, other), ball, stage, other, own=False),
    )


def _with(trial: Trial, kind: str) -> Trial:
    rig: Rig = trial.rig
    axles = rig.trailer.axles.model_copy(update={"suspension": kind})
    trailer = rig.trailer.model_copy(update={"axles": axles})
    return replace(trial, rig=rig.model_copy(update={"trailer": trailer}))


def _pitch(trial: Trial, ball: Array, stage: int, kind: str, *, own: bool) -> Pitch:
    tried = trial.at(np.array([ball, ball + INCH, ball - INCH]))
    axles = [_changes(tried, load, stage) for load in tried.loads.trailer_axles]
    up, down = _changes(tried, tried.loads.tongue, stage)
    return Pitch(
        suspension=kind,
        assumed=own and axle_count(trial.rig) > 1 and trial.rig.trailer.axles.suspension is None,
        own=own,
        inch_up_tongue_kg=trial.spread(up, GRAVITY),
        inch_down_tongue_kg=trial.spread(down, GRAVITY),
        inch_up_axles_kg=tuple(trial.spread(one[0], GRAVITY) for one in axles),
        inch_down_axles_kg=tuple(trial.spread(one[1], GRAVITY) for one in axles),
    )


def _changes(tried: Tried, x: Array, stage: int) -> tuple[Array, Array]:
    level, up, down = tried.split(x)[stage]
    return up - level, down - level


def matches(rig: Rig, region: str) -> tuple[Match, ...]:
    """Every pair of parts of the coupling chain that must fit, vehicle end first."""
    return tuple(
        Match(
            name=pair.name,
            title=pair.title,
            first=pair.first,
            second=pair.second,
            verdict=pair.verdict,
            why=pair.why,
        )
        for pair in pairs(rig, region)
    )
