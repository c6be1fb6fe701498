"""What the specialist is asked: how fast it calms, from what speed it doesn't, and how sure."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from steelyard.estimate import Array, Estimate, Values
from steelyard.fault import FaultError
from steelyard.quantity import GRAVITY
from steelyard.rig import Rig
from steelyard.scene import DRAWS, Opening, opened, under_way
from steelyard.statics.loads import Loads
from steelyard.swaying.felt_damping import tellings
from steelyard.swaying.linear.combination import Combination, taken
from steelyard.swaying.linear.modes import oscillation
from steelyard.swaying.linear.rig import combination, front_stiffness, rear_stiffness, require_load
from steelyard.swaying.linear.search import limits
from steelyard.swaying.result import Edge, StageSway
from steelyard.swaying.told import Asked, stage_sway
from steelyard.travel import StagePlan, plan_stages

RATIO: Final = 0.10
"""Damping ratio asked for at 100 km/h: common practice, from memory; a setting."""
SPEED: Final = 100 / 3.6
"""m/s: the speed at which it is asked for, where the rig states none of its own."""
SPEEDS: Final = tuple(float(u) for u in np.linspace(12.0, 40.0, 15))
"""m/s, of the curve."""


def sway(
    rig: Rig | Opening,
    estimate: Estimate | None = None,
    stages: tuple[str, ...] | None = None,
    speeds: Sequence[float] = SPEEDS,
    ratio: float = RATIO,
    speed: float | None = None,
    samples: int = DRAWS,
    seed: int = 0,
) -> tuple[StageSway, ...]:
    """How far the rig is from losing it, at each stage.

    estimate: a belief sharper than the file's own; speeds: m/s, of the curve; ratio: damping ratio
    asked for; speed: m/s at which it is asked for (default: the rig's own, else 100 km/h);
    samples: draws behind every spread and chance, of a rig already opened at most so many of its
    own. Raises ValueError, in one sentence, for what cannot be answered.
    """
    scene = opened(rig, estimate, stages, samples, seed).standing()
    return _told(scene, Asked(speeds=np.asarray(speeds), ratio=ratio), speed, samples)


def _told(scene: Opening, what: Asked, speed: float | None, samples: int) -> tuple[StageSway, ...]:
    """What is asked of every stage of a scene, at a speed or the rig's own, from so many draws."""
    chosen = asked_speed(scene.rig, speed)
    require_speeds([*what.speeds, chosen])
    require_load(scene.loads)
    require_stable_alone(scene.loads, scene.values, chosen)
    whole = combination(scene.rig, scene.values, scene.loads)
    columns, count = scene.few(samples), len(scene.stages)
    told = tuple(tellings(scene, columns))
    what = replace(what, chosen=chosen)
    return tuple(
        stage_sway(plan, taken(at_stage(whole, number, count), columns), what, told)
        for number, plan in enumerate(scene.stages)
    )


def asked(
    rig: Rig | Opening, estimate: Estimate | None, stage: str | None, speed: float | None
) -> tuple[Rig, StagePlan, Estimate, float]:
    """The rig as opened, one stage, the belief and the speed, each as asked or by default."""
    scene = opened(rig, estimate, None if stage is None else (stage,), draws=1)
    chosen = asked_speed(scene.rig, speed)
    require_speeds([chosen])
    return scene.rig, scene.stages[0], scene.estimate, chosen


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
    samples: int = DRAWS,
    seed: int = 0,
) -> StageSway:
    """One stage (the first unless named) as a page asks for it at each change: without the curve,
    and without `falls`, which is not looked for and NaN. All else is that of `sway`."""
    whole = rig if isinstance(rig, Opening) else under_way(rig)
    plans = whole.stages if isinstance(whole, Opening) else plan_stages(whole)
    scene = opened(rig, estimate, (plans[0].key if stage is None else stage,), samples, seed)
    what = Asked(speeds=np.empty(0), ratio=ratio, falls=False)
    return _told(scene.standing(), what, speed, samples)[0]


def at_stage(c: Combination, stage: int, stages: int) -> Combination:
    """One stage of a combination whose fields broadcast to (stages, n); fields (n,)."""
    shape = c.shape
    if len(shape) < 2 or shape[0] < stages:
        return taken(c, (0, slice(None)) if len(shape) > 1 else ...)
    return taken(c, (stage, slice(None)))


def require_speeds(speeds: Sequence[float]) -> None:
    """Raise ValueError for a speed at which nothing rolls forward."""
    for speed in speeds:
        if not speed > 0:
            raise FaultError(due="a speed above zero", found=f"{speed:g} m/s")


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
                due="a vehicle that runs straight without its trailer",
                found=f"one that would spin above {np.sqrt(-wheelbase / least):.0f} m/s",
                hint="look at its weight and tyres",
            )


def edges(c: Combination, ratio: float, speed: Array | float) -> list[Edge]:
    """Edges of n combinations (n,)."""
    ends, falls = limits(c, ratio)
    here = np.broadcast_to(oscillation(c, speed).ratio, c.shape)
    rows = zip(here, falls, ends.oscillatory, ends.divergent, strict=True)
    return [
        Edge(damping=float(a), falls=float(b), wagging=float(w), jackknife=float(j))
        for a, b, w, j in rows
    ]
