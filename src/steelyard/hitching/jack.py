"""Whether the jack gets high enough to couple, and to lift the vehicle for hooking spring bars."""

import numpy as np

from steelyard.assessment import Spread
from steelyard.estimate import Array
from steelyard.hitching.result import Jacking, Lift
from steelyard.hitching.sold_sizes import setting
from steelyard.hitching.trial import Tried
from steelyard.quantity import GRAVITY, INCH
from steelyard.ratings import Check, LimitStatus, judge, verdict
from steelyard.ratings.check import at_most
from steelyard.ratings.limits.coupling import UNMEASURED
from steelyard.rig import FIFTH_WHEELS, Rig
from steelyard.statics.balance import alone, response
from steelyard.statics.contact import Triple, settle, stretch
from steelyard.statics.lever import tongue_weight
from steelyard.statics.linkage import group_station
from steelyard.statics.loads import Heights, heights, heights_alone

NEEDED = ("flange", "retracted", "travel")


def flange_height(level: Array, station: Array, raised: Array, pitch: Array) -> Array:
    """Height of a point of the trailer, m: where it is level, plus the coupler's rise, plus s phi.

    pitch phi is nose-down, rad; station s in m aft of the ball. First order in phi.
    """
    return np.asarray(level + raised + station * pitch)


def point_height(tried: Tried, stand: Heights, stage: int, level: Array, station: Array) -> Array:
    """Height, as the rig stands, of a point of the trailer `level` up when it stands level, m."""
    ball, pitch = (tried.split(x)[stage, 0] for x in (stand.ball, stand.trailer_pitch))
    return flange_height(level, station, ball - tried.trial.values["trailer.coupler_height"], pitch)


def jacking(tried: Tried, stage: int) -> Jacking:
    """The jack at one stage, with the rig tried at one ball height."""
    rig = tried.trial.rig
    fitted = rig.hitch.jack
    missing = tuple(
        f"hitch.jack.{key}" for key in NEEDED if fitted is None or getattr(fitted, key) is None
    )
    couple = _couple(tried, stage)
    lifts = [_lift(tried, "couple", *couple)]
    load = None
    if rig.hitch.bars is not None:
        needed, force = _for_bars(tried, stage)
        lifts.append(_lift(tried, "bars", needed, force))
        load = _load(rig, force, tried.trial.draws)
    return Jacking(
        lifts=tuple(lifts), load=load, foot=_foot(tried, stage, missing), missing=missing
    )


def _station(tried: Tried) -> Array:
    v = tried.trial.values
    return np.asarray(v.get("hitch.jack.station", np.asarray(UNMEASURED)))


def _of(tried: Tried, name: str) -> Array:
    """A length of the jack, (m,); what is left out is nothing, but for those that must be known."""
    v = tried.trial.values
    path = f"hitch.jack.{name}"
    due = np.nan if name in NEEDED else 0.0
    return np.broadcast_to(v.get(path, np.asarray(due)), (tried.trial.columns,))


def _reach(tried: Tried) -> Array:
    parts = ("retracted", "travel", "drop_leg", "blocks")
    return np.asarray(sum(_of(tried, name) for name in parts))


def _couple(tried: Tried, stage: int) -> tuple[Array, Array]:
    """Flange height (m) at which the coupler passes over the ball, and the force there (N)."""
    trial, found = tried.trial, tried.loads.balance
    front, rear = alone(found.link, found.vehicle, found.slope)
    ball = tried.split(heights_alone(found.link, front, rear).ball)[stage, 0]
    axle, station = group_station(trial.rig, trial.values), _station(tried)
    raised = ball + _over(trial.rig) - trial.values["trailer.coupler_height"]
    needed = flange_height(_of(tried, "flange"), station, raised, -raised / axle)
    tongue = tongue_weight(found.trailer.weight, found.trailer.moment, np.tile(axle, 1))
    return needed, np.asarray(tried.split(tongue)[stage, 0] * axle / (axle - station))


def _over(rig: Rig) -> float:
    """How far above its seat a coupler passes, m: by the ball's size; a king pin slides in."""
    level = rig.hitch.kind == "fifth-wheel" or rig.trailer.style in FIFTH_WHEELS
    size = rig.hitch.ball.size if rig.hitch.ball else None
    return setting("jack", "lip") + (0.0 if level else size.value if size else 2 * INCH)


@np.errstate(divide="ignore", invalid="ignore")  # a draw that stands on nothing has no force
def slackening(tried: Tried, station: Array) -> tuple[Array, Triple]:
    """Upward force (N) at a trailer station that slackens the bars, and where the rig then stands.

    From the opening c u and the preset: F = -(preset + c u) / (c w), with w what a newton lifted
    at the station does to the unknowns; Newton's method, as springs may let go on the way.
    """
    found = tried.loads.balance
    link = found.link
    lifted = tuple(-x for x in link.at_trailer(station))
    preset = np.asarray(found.bar_moment / found.bar_rate - stretch(link.bar, found.driven.u, 0.0))
    state, force = found.off, np.zeros_like(found.bar_moment)
    for _ in range(4):
        unit = response(link, state, lifted)
        gap = preset + stretch(link.bar, state.u, 0.0)
        force = np.maximum(force - gap / stretch(link.bar, unit, 0.0), 0.0)
        a, b, c = (f + force * x for f, x in zip(found.load, lifted, strict=True))
        state = settle(link.springs, (a, b, c))
    return np.where(found.bar_moment > 0, force, 0.0), state.u


def _for_bars(tried: Tried, stage: int) -> tuple[Array, Array]:
    """Flange height (m) and force (N) at which the bars hang slack, coupled."""
    station = _station(tried)
    force, u = slackening(tried, station)
    stand = heights(tried.loads.balance.link, u)
    needed = point_height(tried, stand, stage, _of(tried, "flange"), station)
    return needed, tried.split(force)[stage, 0]


def _lift(tried: Tried, task: str, needed: Array, force: Array) -> Lift:
    trial, reach = tried.trial, _reach(tried)
    known = bool(np.isfinite(needed[0] + reach[0]))
    short = float(np.mean(~(needed <= reach)[1:])) if known else float("nan")
    return Lift(
        task="couple" if task == "couple" else "bars",
        needed=trial.spread(needed),
        reach=trial.spread(reach) if known else None,
        short=short,
        carries_kg=trial.spread(force, GRAVITY),
        verdict=verdict(short),
    )


def _load(rig: Rig, force: Array, draws: int) -> LimitStatus:
    """What lifting the vehicle's rear asks of the jack, against its rating."""
    rating = rig.hitch.jack.rating if rig.hitch.jack else None
    check: Check = at_most(
        "jack",
        "hitch.jack.lift",
        "tongue jack, lifting for the bars",
        force,
        rating.value * GRAVITY if rating else None,
        due="the label on the jack",
    )
    return judge(check, 0, 1, draws)


def _foot(tried: Tried, stage: int, missing: tuple[str, ...]) -> Spread | None:
    """Height of the jack's foot above ground as driven, run all the way in, m."""
    if "hitch.jack.flange" in missing or "hitch.jack.retracted" in missing:
        return None
    driven = point_height(tried, tried.loads.heights, stage, _of(tried, "flange"), _station(tried))
    return tried.trial.spread(driven - _of(tried, "retracted"))
