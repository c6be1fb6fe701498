"""What the specialist is asked: how fast it calms, from what speed it doesn't, and how sure."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Final, Literal

import numpy as np

from steelyard.estimate import Array, Estimate, Values
from steelyard.fault import Fault, FaultError
from steelyard.quantity import GRAVITY, reported
from steelyard.quantity.constants import HOUR, MILE
from steelyard.rig import Rig
from steelyard.scene import DRAWS, Opening, opened, under_way
from steelyard.statics import Loads
from steelyard.sway.combination import Combination, possible, taken
from steelyard.sway.model import understeer
from steelyard.sway.modes import Oscillation
from steelyard.sway.rig import combination, front_stiffness, rear_stiffness, require_load
from steelyard.sway.search import Search, limits, settled
from steelyard.trip import StagePlan, plan_stages

RATIO: Final = 0.10
"""Damping ratio asked for at 100 km/h: common practice, from memory; a setting."""
SPEED: Final = 100 / 3.6
"""m/s: the speed at which it is asked for, where the rig states none of its own."""
SPEEDS: Final = tuple(float(u) for u in np.linspace(12.0, 40.0, 15))
"""m/s, of the curve."""
LIGHT: Final = 200
"""Draws of `glance`: a chance of 2.5 % is then told to within 2 %, 95 times in 100."""
TENTH: Final = float(np.log(10.0))
KNOWN: Final = 8 * MILE / HOUR
"""m/s: half-width of a 95 % interval from which on a speed is no order to anybody."""
Danger = Literal["wagging", "jackknife", "neither"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A number, or one for each speed: the draws' median, which is what a person reads, the best
    estimate, and the draws' 2.5 and 97.5 percentiles."""

    value: Array
    best: Array
    low: Array
    high: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class CriticalSpeed:
    """A speed, m/s, at which something starts: best estimate, median and the 2.5 and 97.5
    percentiles of the draws, each inf for never; the chance of never; and whether a recording of
    the rig shows it, by itself."""

    value: float
    median: float
    low: float
    high: float
    never: float
    shown: Annotated[bool, reported.Key("shown_by_recording")]

    @property
    def known(self) -> Annotated[bool, reported.Key("told")]:
        """Whether it may be told as an order: its 95 % half-width is under 8 mph, or a recording
        shows it."""
        return self.shown or self.high - self.low < 2 * KNOWN


@dataclass(frozen=True, slots=True, kw_only=True)
class StageSway:
    """The rig at one stage. Speeds in m/s, frequencies in rad/s, times in s.

    damping, frequency, calm: of the least damped oscillation at each of `speeds`; calm is the time
    to a tenth of the swing, inf where it grows, 0 where nothing swings. `at_*`: the same at
    `chosen_speed`, with `chance_below` that its damping ratio is below `chosen_ratio`. wagging: an
    oscillation starts to grow; jackknife: a fold without oscillation starts; falls: damping has
    fallen to `chosen_ratio`. calms_again: speed above which a wagging rig calms once more at the
    best estimate, inf if none. understeer: rad/(m/s2), trailer on. first: the danger that comes
    first at the best estimate; wagging_first, jackknife_first: chances over the draws.
    """

    key: str
    title: str
    speeds: Annotated[Array, reported.SPEED]
    damping: Band
    frequency: Annotated[Band, reported.FREQUENCY]
    calm: Annotated[Band, reported.SECOND, reported.Key("calms_to_a_tenth")]
    chosen_speed: Annotated[float, reported.SPEED, reported.Key("asked.speed")]
    chosen_ratio: Annotated[float, reported.Key("asked.ratio")]
    at_damping: Annotated[Band, reported.Key("asked.damping")]
    at_frequency: Annotated[Band, reported.UNREPORTED]
    at_calm: Annotated[Band, reported.SECOND, reported.Key("asked.calms_to_a_tenth")]
    chance_below: Annotated[float, reported.Key("asked.chance_below")]
    wagging: Annotated[CriticalSpeed, reported.SPEED]
    jackknife: Annotated[CriticalSpeed, reported.SPEED]
    falls: Annotated[CriticalSpeed, reported.SPEED, reported.Key("falls_to_ratio")]
    calms_again: Annotated[float, reported.SPEED]
    understeer: Annotated[Band, reported.Key("understeer_rad_s2_m")]
    first: Danger
    wagging_first: float
    jackknife_first: float
    combination: Annotated[Combination, reported.UNREPORTED]


def sway(
    rig: Rig | Opening,
    estimate: Estimate | None = None,
    stages: tuple[str, ...] | None = None,
    speeds: Sequence[float] = SPEEDS,
    ratio: float = RATIO,
    speed: float | None = None,
    samples: int = DRAWS,
    seed: int = 0,
    *,
    relaxation: bool = True,
    damper: float = 0.0,
) -> tuple[StageSway, ...]:
    """How far the rig is from losing it, at each stage.

    estimate: a belief sharper than the file's own; speeds: m/s, of the curve; ratio: damping ratio
    asked for; speed: m/s at which it is asked for (default: the rig's own, else 100 km/h);
    samples: draws behind every spread and chance, of a rig already opened at most so many of its
    own; relaxation: tyres answer with a lag, which is on
    the safe side; damper: N m s/rad at the coupling. Raises ValueError, in one sentence, for what
    cannot be answered.
    """
    scene = opened(rig, estimate, stages, samples, seed)
    chosen = asked_speed(scene.rig, speed)
    require_speeds([*speeds, chosen])
    require_load(scene.loads)
    require_stable_alone(scene.loads, scene.values, chosen)
    whole = combination(scene.rig, scene.values, scene.loads, relaxation=relaxation, damper=damper)
    columns, count = scene.few(samples), len(scene.stages)
    return tuple(
        stage_sway(
            plan, taken(at_stage(whole, number, count), columns), np.asarray(speeds), ratio, chosen
        )
        for number, plan in enumerate(scene.stages)
    )


def asked_speed(rig: Rig, speed: float | None) -> float:
    """The speed asked about, m/s: as asked, else the rig's own, else 100 km/h."""
    if speed is not None:
        return speed
    return rig.speed.value if rig.speed else SPEED


def glance(
    rig: Rig | Opening,
    estimate: Estimate | None = None,
    stage: str | None = None,
    ratio: float = RATIO,
    speed: float | None = None,
    samples: int = LIGHT,
    seed: int = 0,
    *,
    relaxation: bool = True,
    damper: float = 0.0,
) -> StageSway:
    """One stage (the first unless named), without the curve and from fewer draws: what a page asks
    for at each change. The best estimate is that of `sway`; spreads and chances are rougher."""
    whole = rig if isinstance(rig, Opening) else under_way(rig)
    plans = whole.stages if isinstance(whole, Opening) else plan_stages(whole)
    return sway(
        rig,
        estimate,
        (plans[0].key if stage is None else stage,),
        speeds=(),
        ratio=ratio,
        speed=speed,
        samples=samples,
        seed=seed,
        relaxation=relaxation,
        damper=damper,
    )[0]


def at_stage(c: Combination, stage: int, stages: int) -> Combination:
    """One stage of a combination whose fields broadcast to (stages, n); fields (n,)."""
    shape = c.shape
    if len(shape) < 2 or shape[0] < stages:
        return taken(c, (0, slice(None)) if len(shape) > 1 else ...)
    return taken(c, (stage, slice(None)))


def stage_sway(
    plan: StagePlan, c: Combination, speeds: Array, ratio: float, chosen: float
) -> StageSway:
    """The answer from a combination (1 + n,): the best estimate first, then the draws."""
    best = taken(c, 0)
    possible(best)
    search = Search(c)
    curve, here = search.across(speeds), _one(search.across(np.array([chosen])))
    ends, falls = limits(c, ratio, search)
    wag, fold = ends.oscillatory, ends.divergent
    return StageSway(
        key=plan.key,
        title=plan.title,
        speeds=speeds,
        damping=_band(curve.ratio),
        frequency=_band(curve.frequency),
        calm=_band(calming(curve)),
        chosen_speed=chosen,
        chosen_ratio=ratio,
        at_damping=_band(here.ratio),
        at_frequency=_band(here.frequency),
        at_calm=_band(calming(here)),
        chance_below=float(np.mean(_drawn(here.ratio) < ratio)),
        wagging=_speed(wag),
        jackknife=_speed(fold),
        falls=_speed(falls),
        calms_again=float(settled(best).again) if np.isfinite(wag[0]) else float("inf"),
        understeer=_band(understeer(c)[1]),
        first=first_danger(float(wag[0]), float(fold[0])),
        wagging_first=float(np.mean(_drawn(wag) < _drawn(fold))),
        jackknife_first=float(np.mean(_drawn(fold) < _drawn(wag))),
        combination=best,
    )


def _one(found: Oscillation) -> Oscillation:
    """The only one of several speeds."""
    ratio, frequency, rate = (x[..., 0] for x in (found.ratio, found.frequency, found.rate))
    return Oscillation(ratio=ratio, frequency=frequency, rate=rate)


def calming(found: Oscillation) -> Array:
    """Time to a tenth of the swing, s: ln 10/(ratio times undamped frequency)."""
    rate = np.nan_to_num(found.rate, nan=-np.inf)
    falls = rate < 0
    return np.where(falls, TENTH / np.where(falls, -rate, 1.0), np.inf)


def first_danger(wag: float, fold: float) -> Danger:
    """What comes first as speed rises."""
    if not np.isfinite(min(wag, fold)):
        return "neither"
    return "wagging" if wag < fold else "jackknife"


def _drawn(x: Array) -> Array:
    """The draws after the best estimate; the best estimate itself where there are none."""
    return x[1:] if len(x) > 1 else x


def _quantiles(x: Array, at: tuple[float, ...]) -> Array:
    """Quantiles along the first axis that stay meaningful where some of x is inf."""
    return np.asarray(np.quantile(_drawn(x), at, axis=0, method="inverted_cdf"))


def _band(x: Array) -> Band:
    low, middle, high = _quantiles(x, (0.025, 0.5, 0.975))
    return Band(value=middle, best=np.asarray(x[0]), low=low, high=high)


def _speed(x: Array) -> CriticalSpeed:
    low, median, high = (float(one) for one in _quantiles(x, (0.025, 0.5, 0.975)))
    never = float(np.mean(np.isinf(_drawn(x))))
    return CriticalSpeed(
        value=float(x[0]), median=median, low=low, high=high, never=never, shown=False
    )


def require_speeds(speeds: Sequence[float]) -> None:
    """Raise ValueError for a speed at which nothing rolls forward."""
    for speed in speeds:
        if not speed > 0:
            raise FaultError(Fault(due="a speed above zero", found=f"{speed:g} m/s"))


def require_stable_alone(found: Loads, v: Values, speed: float) -> None:
    """Raise ValueError if the vehicle without its trailer would spin at the speed asked about.

    The textbook's bicycle model: u = sqrt(-L/K), K = m_f/C_f - m_r/C_r.
    """
    front, rear = found.front_alone, found.rear_alone
    K = front / front_stiffness(front, v) - rear / rear_stiffness(rear, v)
    for least in np.ravel(np.atleast_2d(K)[:, :1]) / GRAVITY:
        wheelbase = float(np.ravel(v["vehicle.wheelbase"])[0])
        if least < 0 and speed**2 > -wheelbase / least:
            raise FaultError(
                Fault(
                    due="a vehicle that runs straight without its trailer",
                    found=f"one that would spin above {np.sqrt(-wheelbase / least):.0f} m/s",
                    hint="look at its weight and tyres",
                )
            )
