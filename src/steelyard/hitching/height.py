"""Which drop sets the ball so that the trailer stands level."""

from collections.abc import Sequence

import numpy as np

from steelyard.estimate import Array
from steelyard.hitching.result import Height, Step
from steelyard.hitching.sold_sizes import grid, source
from steelyard.hitching.trial import BALL, Trial, Tried
from steelyard.quantity import Z95
from steelyard.ratings import TIGHT, Verdict, doubted, questions
from steelyard.rig import Rig, is_pin
from steelyard.scene import region_of
from steelyard.statics.linkage import group_station
from steelyard.typical.hitch import over_receiver, without_drop

BASE = "fit.ball_without_drop"
"""A drawn value: height of the ball on a mount without drop, where no mount is stated."""

NEAR = 0.05
"""Steps whose chances differ by less are told apart by how level the best estimate stands."""

NAMED, WORTH_NAMING = 3, 0.1
"""How many values that widen the answer are named, and the part each must explain."""
TOO_SMALL = 1e-6
"""m: a nose that moves by less has no spread worth explaining."""


def base(trial: Trial) -> Array | None:
    """Height of the ball at no drop, (m,): from the present mount, else from the receiver."""
    mount = trial.rig.hitch.ball_mount
    if is_pin(trial.rig):
        return None
    if mount is not None and mount.drop is not None and _ball_known(trial.rig):
        return np.asarray(trial.row(BALL) + mount.drop.value)
    return trial.row(BASE) if BASE in trial.values else None


def _ball_known(rig: Rig) -> bool:
    return rig.hitch.ball_height is not None or over_receiver(rig) is not None


def nose(tried: Tried) -> Array:
    """How far the trailer's nose stands above level over ball to axles, m (S, K, m): -pitch s_a."""
    pitch = tried.split(tried.loads.heights.trailer_pitch)
    axles = np.broadcast_to(group_station(tried.trial.rig, tried.trial.values), pitch.shape[-1:])
    return np.asarray(-pitch * axles)


def chances(found: Array, tolerance: float) -> Array:
    """Chance (S, K) that the nose is within the tolerance of level; column 0 is no draw."""
    inside = np.abs(found[..., 1:]) <= tolerance  # NaN, a draw that tips, counts as off level
    return np.asarray(inside.mean(axis=-1))


def height(
    trial: Trial, sizes: Sequence[float], tolerance: float, why: str
) -> tuple[Height, Array]:
    """The answer, and the chosen ball height at every column (m,)."""
    zero, present = base(trial), trial.row(BALL) if _ball_known(trial.rig) else None
    balls = _by_tape(trial) if zero is None else [zero - size for size in sizes]
    drops: list[float | None] = [None] * len(balls) if zero is None else list(sizes)
    if zero is None and present is not None and trial.rig.region == "europe":
        balls, drops = [], []  # a tow bar's ball stands where it stands
    if present is not None:
        mount = trial.rig.hitch.ball_mount
        stated = mount.drop.value if mount and mount.drop and zero is not None else None
        drops, balls = [*drops, stated], [*balls, present]
    tried = trial.at(np.array(balls))
    found = nose(tried)
    steps = _steps(tried, found, drops, tolerance, has_present=present is not None)
    place = best_step(steps, only_present=len(steps) == 1)
    summary = _summary(tried, found, steps, place, tolerance, why)
    return summary, np.asarray(balls[place])


def _by_tape(trial: Trial) -> list[Array]:
    """Round heights about the one that would be level, as a tape would set them."""
    step, reach = grid(region_of(trial.rig))
    middle = float(trial.row("trailer.coupler_height")[0])
    nearest = round(middle / step)
    places = range(max(nearest - reach, 1), nearest + reach + 1)
    return [np.full(trial.columns, place * step) for place in places]


def _steps(
    tried: Tried,
    found: Array,
    drops: Sequence[float | None],
    tolerance: float,
    *,
    has_present: bool,
) -> list[Step]:
    trial, chance = tried.trial, chances(found, tolerance)
    driven = tried.split(tried.loads.heights.ball)
    balls = tried.values[BALL].reshape(len(drops), trial.columns)
    stages = range(len(trial.plans))
    return [
        Step(
            drop=drop,
            ball=trial.spread(balls[k]),
            driven=tuple(trial.spread(driven[s, k]) for s in stages),
            nose=tuple(trial.spread(found[s, k]) for s in stages),
            chances=tuple(float(chance[s, k]) for s in stages),
            chance=float(chance[:, k].min()),
            level=bool(np.all(np.abs(found[:, k, 0]) <= tolerance)),
            present=has_present and k == len(drops) - 1,
        )
        for k, drop in enumerate(drops)
    ]


def off_level(step: Step) -> float:
    """The farthest the best estimate is from level at any stage, m."""
    return max(abs(one.value) if np.isfinite(one.value) else np.inf for one in step.nose)


def best_step(steps: Sequence[Step], *, only_present: bool) -> int:
    """The likeliest to be level at its worst stage; near ties go to the nearest to level."""
    buyable = [k for k, step in enumerate(steps) if only_present or not step.present]
    most = max(steps[k].chance for k in buyable)
    near = [k for k in buyable if steps[k].chance >= most - NEAR]
    return min(near, key=lambda k: off_level(steps[k]))


def _summary(
    tried: Tried, found: Array, steps: list[Step], place: int, tolerance: float, why: str
) -> Height:
    trial, chosen, rig = tried.trial, steps[place], tried.trial.rig
    worst = max(
        range(len(chosen.nose)), key=lambda s: (1 - chosen.chances[s], abs(chosen.nose[s].value))
    )
    ball = tried.values[BALL].reshape(len(steps), trial.columns)
    wanted = ball[place] - found[worst, place] / _slope(trial, ball[place], worst)
    zero = base(trial)
    return Height(
        mode="height" if zero is None else "drop",
        steps=tuple(steps),
        chosen=chosen,
        present=next((step for step in steps if step.present), None),
        worst_stage=worst,
        wanted=trial.spread(wanted),
        wanted_drop=None if zero is None else trial.spread(zero - wanted),
        squat=trial.spread(ball[place] - tried.split(tried.loads.heights.ball)[worst, place]),
        tolerance=tolerance,
        mismatch=_mismatch(rig),
        missing=_missing(rig),
        widened=_widened(trial, found[worst, place]),
        source=source("heights", "source") if zero is None else why,
        verdict=_verdict(rig, chosen),
    )


def _slope(trial: Trial, ball: Array, stage: int) -> Array:
    """How far the nose rises per metre of ball height about one height, (m,)."""
    half = grid(region_of(trial.rig))[0] / 2
    low, high = nose(trial.at(np.array([ball - half, ball + half])))[stage]
    return np.asarray((high - low) / (2 * half))


def _widened(trial: Trial, found: Array) -> tuple[str, ...]:
    """The values that explain most of the nose's spread over the draws, each by itself."""
    drawn = found[1:]
    good = np.isfinite(drawn)
    off = drawn[good] - drawn[good].mean() if good.any() else np.zeros(1)
    if not np.any(np.abs(off) > TOO_SMALL):
        return ()
    shares = {}
    for name, x in trial.values.items():
        part = x[1:][good] - x[1:][good].mean() if np.size(x) > 1 else np.zeros(1)
        if np.any(part):
            shares[name] = float((part @ off) ** 2 / ((part @ part) * (off @ off)))
    ranked = sorted(shares, key=lambda name: -shares[name])
    return tuple(name for name in ranked[:NAMED] if shares[name] >= WORTH_NAMING)


def _verdict(rig: Rig, chosen: Step) -> Verdict:
    if rig.trailer.coupler_height is None or doubted("road.level", questions(rig)):
        return "unknown"
    if not chosen.level and chosen.chance < TIGHT:
        return "exceeded"
    return "within" if chosen.chance >= 1 - TIGHT else "tight"


def _missing(rig: Rig) -> tuple[str, ...]:
    """What a tape should still find out for the ball's height."""
    found = [] if rig.trailer.coupler_height else ["trailer.coupler_height"]
    if is_pin(rig):
        return tuple(found + ([] if rig.hitch.ball_height else ["hitch.ball_height"]))
    mount, ball = rig.hitch.ball_mount, rig.hitch.ball
    drop = mount is not None and mount.drop is not None
    if without_drop(rig) and not rig.hitch.ball_height and (ball is None or ball.rise is None):
        found.append("hitch.ball.rise")
    if rig.region == "europe" and rig.hitch.ball_height:
        return tuple(found)
    if without_drop(rig) is None and not (drop and rig.hitch.ball_height):
        found.append("hitch.receiver.height")
    return tuple(found)


def _mismatch(rig: Rig) -> float | None:
    """Taped ball height less what the parts give, m, where they differ by more than chance."""
    taped, parts = rig.hitch.ball_height, over_receiver(rig)
    if taped is None or parts is None or is_pin(rig):
        return None
    apart = taped.value - parts.value
    own = 0.01 / Z95 if taped.sd is None else taped.sd
    return apart if abs(apart) > Z95 * (own**2 + parts.sd**2) ** 0.5 else None
