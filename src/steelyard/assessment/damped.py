"""How surely a swing dies away at each stage, of a rig however it is packed.

One way to ask, for plans, for things moved by hand, and for cures: the same model, speed and ratio
that `sway` tells, over the same draws.
"""

from dataclasses import dataclass, field
from typing import Annotated

import numpy as np

from steelyard.estimate import Array
from steelyard.quantity import reported
from steelyard.scene import Opening, Scene
from steelyard.statics.loads import Loads
from steelyard.swaying.combination import flat, rebuilt
from steelyard.swaying.rig import combination, require_load
from steelyard.swaying.search import across
from steelyard.swaying.stage_sway import RATIO, asked_speed, require_stable_alone

GONE = -1.0
"""Damping ratio of what would tip over."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Damped:
    """One stage at `speed` (m/s): the damping ratio's best estimate and the draws' median, and the
    chance that it is below the ratio `asked` for; `drawn` (n,) is of every draw."""

    key: Annotated[str, reported.Key("stage")]
    title: Annotated[str, reported.UNREPORTED]
    speed: Annotated[float, reported.SPEED]
    asked: float
    best: Annotated[float, reported.Key("best_damping")]
    value: Annotated[float, reported.Key("damping")]
    chance: Annotated[float, reported.Key("chance_below")]
    drawn: Annotated[Array, reported.UNREPORTED] = field(repr=False, compare=False)


def damping(scene: Scene, speed: float) -> Array | None:
    """Damping ratio of the least damped swing at a speed (m/s), (S, n); None where the single-track
    model cannot answer for the rig at its best estimate, the first value."""
    found, stages = scene.loads, len(scene.stages)
    try:
        require_load(found)
        require_stable_alone(found, scene.values, speed)
        whole = combination(scene.rig, scene.values, found)
    except ValueError:
        return None
    shape = np.broadcast_shapes((stages, 1), whole.shape)
    stands = np.broadcast_to(_stands(found), shape)
    ratio = np.full(shape, GONE)
    upright = rebuilt(whole, [np.broadcast_to(part, shape)[stands] for part in flat(whole)])
    ratio[stands] = across(upright, np.array([speed])).ratio[:, 0]
    return ratio


def _stands(found: Loads) -> Array:
    """Where every axle bears a load, (S, n)."""
    good = (found.front > 0) & (found.rear > 0)
    for axle in found.trailer_axles:
        good = good & (axle > 0)
    return np.asarray(good)


def damped(scene: Opening, ratio: float = RATIO, speed: float | None = None) -> tuple[Damped, ...]:
    """Every stage of a rig that is opened; nothing where the model cannot answer for it."""
    at = asked_speed(scene.rig, speed)
    columns = scene.few(scene.draws)
    some = {name: x[columns] if np.size(x) > 1 else x for name, x in scene.values.items()}
    found = damping(scene.valued(some), at)
    if found is None:
        return ()
    drawn = found[:, 1:] if len(columns) > 1 else found
    return tuple(
        Damped(
            key=plan.key,
            title=plan.title,
            speed=at,
            asked=ratio,
            best=float(found[stage, 0]),
            value=float(np.quantile(drawn[stage], 0.5, method="inverted_cdf")),
            chance=float(np.mean(drawn[stage] < ratio)),
            drawn=drawn[stage],
        )
        for stage, plan in enumerate(scene.stages)
    )
