"""From a rig file to a scene: the trip, the crew, the belief, the stages and the draws, once."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from steelyard.estimate import Estimate, drawn, marginal, stencil
from steelyard.fault import Fault, FaultError
from steelyard.rig import Rig
from steelyard.scene.scene import Scene
from steelyard.statics import prior
from steelyard.trip import StagePlan, crewed, plan_stages, travelled
from steelyard.typical import Sheet, fill, only_sways

DRAWS: Final = 4096
"""Draws behind every spread and chance that a verdict rests on."""


@dataclass(frozen=True, kw_only=True)
class Opening(Scene):
    """A rig opened: its scene at the belief's best estimate, stencil and draws.

    stated: the rig as its file has it; `rig` is the same with the levels that its trip leaves and
    somebody at the wheel. estimate: all that is believed; `belief`: what loads depend on, with p
    parameters. Values are (1 + 2p + draws,): the best estimate, a small step up and then one down
    for each parameter, and the draws.
    """

    stated: Rig
    sheet: Sheet
    estimate: Estimate
    belief: Estimate
    draws: int
    seed: int


def opened(
    rig: Rig,
    estimate: Estimate | None = None,
    stages: Sequence[str] | None = None,
    draws: int = DRAWS,
    seed: int = 0,
) -> Opening:
    """The rig opened at its stages, all of them unless some are named by key.

    estimate: a belief sharper than the rig file's own. Raises ValueError for a stage that isn't
    there and TripError, a kind of it, for a trip that cannot happen.
    """
    whole = crewed(travelled(rig))
    plans = chosen_stages(whole, stages)
    if estimate is None:
        own = prior(whole)
        estimate, sheet = own.estimate, own.sheet
    else:
        sheet = fill(whole)
    belief = on_loads(estimate)
    return Opening(
        rig=whole,
        stages=plans,
        values=drawn(belief, draws, seed, stencil(belief)),
        stated=rig,
        sheet=sheet,
        estimate=estimate,
        belief=belief,
        draws=draws,
        seed=seed,
    )


def on_loads(estimate: Estimate) -> Estimate:
    """The belief without what bears on sway alone: fewer parameters to draw."""
    return marginal(estimate, [name for name in estimate.names if not only_sways(name)])


def chosen_stages(rig: Rig, wanted: Sequence[str] | None) -> tuple[StagePlan, ...]:
    """The stages asked for, all by default; ValueError for one that isn't there."""
    plans = plan_stages(rig)
    if wanted is None:
        return plans
    known = {plan.key: plan for plan in plans}
    for key in wanted:
        if key not in known:
            raise FaultError(Fault(due=f"a stage ({', '.join(known)})", found=f'"{key}"'))
    return tuple(known[key] for key in wanted)
