"""A belief about the rig made sharper by how it swung."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from steelyard.estimate import (
    Array,
    Estimate,
    Reading,
    Values,
    condition,
    extended,
    linearise,
    marginal,
)
from steelyard.fault import FaultError
from steelyard.quantity import Z95
from steelyard.rig import Rig
from steelyard.scene import opened
from steelyard.statics.loads import loads
from steelyard.swaying.linear.modes import Oscillation, oscillation
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.recordings.recording import Heard

RATIO_OFF: Final = 0.02
"""Spread of how far the linear model's damping ratios lie off a real rig's, alike in all episodes:
assumed, of the size by which tyre lag, friction at the coupling and the body's roll move it."""
FREQUENCY_OFF: Final = 0.05
"""The same of frequencies, as a share: assumed."""
SPEED_OFF: Final = 0.02
"""Spread of a recorder's speed, as a share, alike in all episodes: assumed."""
OFFS: Final = ("recording.ratio", "recording.frequency", "recording.speed")
TOLD: Final = (
    "trailer.axles.cornering",
    "vehicle.rear.cornering",
    "vehicle.understeer",
    "tyres.relaxation",
    "trailer.yaw_radius",
    "vehicle.yaw_inertia_ratio",
)
"""Parameters that decide a swing and that no scale sees."""


NAN: Final = np.full((), np.nan)
NOTHING: Final = Oscillation(ratio=NAN, frequency=NAN, rate=NAN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sharpened:
    """The belief before and after, the stage driven, and how well they agree: `off`, how many sd
    each episode's damping and frequency lie from what was foretold, (n, 2); `pulled`, the parameter
    that moved furthest, by `pull` of its sd before."""

    stage: str
    title: str
    before: Estimate
    after: Estimate
    off: Array
    pulled: str
    pull: float


def sharpen(
    rig: Rig, heard: Heard, stage: str | None = None, estimate: Estimate | None = None
) -> Sharpened:
    """The estimate given damping and frequency of each episode at its speed.

    All parameters move together, as in a weighing; what the linear model leaves out is an unknown
    shared by all episodes and taken off again. stage: the load that was driven, the first if
    unsaid.
    """
    scene = opened(rig, estimate, None if stage is None else (stage,), draws=1)
    rig, plan, before = scene.rig, scene.stages[0], scene.estimate
    speeds = np.array([one.speed for one in heard.episodes])
    whole = extended(
        before,
        [
            (OFFS[0], "linear", 0.0, RATIO_OFF / Z95),
            (OFFS[1], "log", 1.0, FREQUENCY_OFF / Z95),
            (OFFS[2], "log", 1.0, SPEED_OFF / Z95),
        ],
    )

    def swings(v: Values) -> list[Oscillation]:
        try:
            own = combination(rig, v, loads(rig, v, (plan,)))
        except ValueError:  # a step onto no body at all: `condition` takes a shorter one
            return [NOTHING] * len(speeds)
        return [oscillation(own, u * v[OFFS[2]]) for u in speeds]

    readings = _readings(heard, _remembered(swings))
    off = _off(whole, readings)
    after = condition(whole, readings)
    if not np.all(np.isfinite(after.mean)):
        raise FaultError(
            due="swings like this rig's",
            found=f"one {np.max(np.abs(off)):.0f} sd from what the rig file foretells"
            f" at “{plan.title}”, which no such rig can give",
            hint="look at the stage, the weights and the tyres",
        )
    own = marginal(after, before.names)
    pull = np.abs(own.mean - before.mean) / np.maximum(before.sd, 1e-300)
    return Sharpened(
        stage=plan.key,
        title=plan.title,
        before=before,
        after=own,
        off=off,
        pulled=before.names[int(np.argmax(pull))],
        pull=float(np.max(pull)),
    )


Foretold = Callable[[Values], Array]


def _remembered(swings: Callable[[Values], list[Oscillation]]) -> Foretold:
    """Foretold (2, episodes, n) of values, computed once for all readings of the same values."""
    last: list[tuple[Values, Array]] = []

    def foretold(v: Values) -> Array:
        if not last or last[0][0] is not v:
            last[:] = [(v, _foretold(swings(v), v))]
        return last[0][1]

    return foretold


def _foretold(found: list[Oscillation], v: Values) -> Array:
    """Damping ratio and log of the frequency as a recorder sees them, (2, episodes, n)."""
    ratio = [np.ravel(one.ratio) + v[OFFS[0]] for one in found]
    turn = [np.log(np.maximum(np.ravel(one.frequency), 1e-3) * v[OFFS[1]]) for one in found]
    return np.array([ratio, turn])


def _readings(heard: Heard, foretold: Foretold) -> list[Reading]:
    found = []
    for place, one in enumerate(heard.episodes):
        widen = heard.trend.scatter if heard.trend is not None else 1.0
        rows = (
            (0, one.fit.ratio, widen * one.fit.ratio_sd),
            (1, float(np.log(one.fit.frequency)), widen * one.fit.frequency_sd / one.fit.frequency),
        )
        for kind, value, sd in rows:
            name = f"episode {place + 1} {('damping', 'frequency')[kind]}"
            found.append(
                Reading(name=name, predict=_one(foretold, kind, place), value=value, sd=sd)
            )
    return found


def _one(foretold: Foretold, kind: int, place: int) -> Callable[[Values], Array]:
    return lambda v: np.asarray(foretold(v)[kind, place])


def _off(whole: Estimate, readings: list[Reading]) -> Array:
    """Readings less what was foretold, in sd of both together, (episodes, 2)."""
    seen, slope = linearise(whole, readings, whole.mean)
    sd = np.sqrt(
        np.einsum("ij,jk,ik->i", slope, whole.cov, slope)
        + np.array([reading.sd**2 for reading in readings])
    )
    return np.reshape((np.array([one.value for one in readings]) - seen) / sd, (-1, 2))
