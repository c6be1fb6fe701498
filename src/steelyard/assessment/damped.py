"""How surely a swing dies away at each stage, of a rig however it is packed.

One way to ask, for plans, for things moved by hand, and for cures: the same model, speed and ratio
that `sway` tells, over the same draws.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Annotated

import numpy as np

from steelyard.estimate import Array
from steelyard.quantity import reported
from steelyard.scene import Opening, Scene
from steelyard.statics.loads import Loads
from steelyard.swaying.felt_damping import driven, tellings, weights
from steelyard.swaying.linear.combination import flat, rebuilt
from steelyard.swaying.linear.rig import combination, require_load
from steelyard.swaying.linear.search import GONE, across
from steelyard.swaying.stage_sway import RATIO, asked_speed, require_stable_alone
from steelyard.travel import StagePlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Damped:
    """One stage at `speed` (m/s): the damping ratio's best estimate and the draws' median, and the
    chance that it is below the ratio `asked` for, and `undriven` what that were had nobody driven
    this load, by which it is set beside another; `drawn` (n,) is of every draw, `heard` (n,) its
    weight by what was felt, None where nothing was."""

    key: Annotated[str, reported.Key("stage")]
    title: Annotated[str, reported.UNREPORTED]
    speed: Annotated[float, reported.SPEED]
    asked: float
    best: Annotated[float, reported.Key("best_damping")]
    value: Annotated[float, reported.Key("damping")]
    chance: Annotated[float, reported.Key("chance_below")]
    undriven: Annotated[float, reported.Key("chance_below_undriven")]
    drawn: Annotated[Array, reported.UNREPORTED] = field(repr=False, compare=False)
    heard: Annotated[Array | None, reported.UNREPORTED] = field(repr=False, compare=False)


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


def damped(scene: Opening, was: Sequence[Damped] = (), ratio: float = RATIO) -> tuple[Damped, ...]:
    """Every stage of a rig that is opened; nothing where the model cannot answer for it.

    was: the same before something was moved: what was felt then bears on the draws still, and makes
    nothing calmer, since nobody drove with this load. FaultError for what was felt against the
    physics.
    """
    at = asked_speed(scene.rig, None)
    columns = scene.few(scene.draws)
    some = {name: x[columns] if np.size(x) > 1 else x for name, x in scene.values.items()}
    found = damping(scene.valued(some), at)
    if found is None:
        return ()
    drawn = found[:, 1:] if len(columns) > 1 else found
    told = () if was else tuple(tellings(scene, columns))
    heard = was[0].heard if was else weights(told)
    return tuple(
        _damped(
            plan, float(found[stage, 0]), drawn[stage], at, ratio, heard, driven(told, plan.key)
        )
        for stage, plan in enumerate(scene.stages)
    )


def _damped(
    plan: StagePlan,
    best: float,
    drawn: Array,
    speed: float,
    ratio: float,
    heard: Array | None,
    driven: float,
) -> Damped:
    """One stage, its draws by their weights: calmer by these than without them only up to the speed
    that its load was driven at, m/s."""
    bare, felt = _told(drawn, ratio, None), _told(drawn, ratio, heard)
    value, undriven = min(bare[0], felt[0]), max(bare[1], felt[1])
    return Damped(
        key=plan.key,
        title=plan.title,
        speed=speed,
        asked=ratio,
        best=best if heard is None else felt[0] if speed <= driven else value,
        value=felt[0] if speed <= driven else value,
        chance=felt[1] if speed <= driven else undriven,
        undriven=undriven,
        drawn=drawn,
        heard=heard,
    )


def _told(drawn: Array, ratio: float, heard: Array | None) -> tuple[float, float]:
    """The median, and the chance of being below a ratio, of weighted draws."""
    value = np.quantile(drawn, 0.5, method="inverted_cdf", weights=heard)
    return float(value), float(np.average(drawn < ratio, weights=heard))
