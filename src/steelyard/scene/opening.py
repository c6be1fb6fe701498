"""From a rig file to a scene: the trip, the crew, the belief, the stages and the draws, once."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Estimate, drawn, stencil
from steelyard.quantity import F
from steelyard.rig import Rig
from steelyard.scene.scene import Scene
from steelyard.statics.prior import prior
from steelyard.travel import StagePlan, chosen_stages, crewed, plan_stages, travelled
from steelyard.typical import fill
from steelyard.typical.sheet import Sheet
from steelyard.typical.unlisted import UNLISTED

DRAWS: Final = 4096
"""Draws behind every spread and chance that a verdict rests on."""
BARE: Final = 256
"""Draws that tell whether a limit would be within without what nobody listed."""


@dataclass(frozen=True, kw_only=True)
class Opening(Scene):
    """A rig opened: its scene at the belief's best estimate, stencil and draws.

    stated: the rig as its file has it; `rig` is the same with the levels that its trip leaves and
    somebody at the wheel. Values are (1 + 2p + bare + draws,): the best estimate, a small step up
    and then one down for each of the belief's p parameters, the first draws with nothing aboard but
    what is listed, and the draws, whose points belong to the parameters' names: what differs
    between two openings is the rig or the belief, never chance.
    """

    stated: Rig
    estimate: Estimate
    draws: int
    seed: int
    bare: int = 0
    filled: Sheet | None = None

    @cached_property
    def sheet(self) -> Sheet:
        """What the rig's file or a typical value says of every parameter."""
        return self.filled or fill(self.rig)

    def few(self, most: int) -> NDArray[np.intp]:
        """Columns of the best estimate and of the first draws, `most` of them at the most."""
        first = len(self.columns) - self.draws
        return np.concatenate([[0], np.arange(first, first + min(self.draws, most))])

    @property
    def columns(self) -> range:
        """All columns of the values."""
        return range(1 + 2 * len(self.estimate.names) + self.bare + self.draws)

    def only(self, *keys: str) -> "Opening":
        """The same draws at some of its stages; ValueError for one that isn't there."""
        plans = chosen_stages(self.rig, keys)
        return self if plans == self.stages else replace(self, stages=plans)

    def changed(self, rig: Rig, estimate: Estimate) -> "Opening":
        """The same question of a rig that differs, at the same points: `rig` with its trip's levels
        and crew, and what is believed of it."""
        return _opening(self.stated, rig, estimate, self._plans(rig), self.draws, self.seed)

    def _plans(self, rig: Rig) -> tuple[StagePlan, ...]:
        keys = {plan.key for plan in self.stages}
        return tuple(plan for plan in plan_stages(rig) if plan.key in keys)


def opened(
    rig: Rig | Opening,
    estimate: Estimate | None = None,
    stages: Sequence[str] | None = None,
    draws: int = DRAWS,
    seed: int = 0,
) -> Opening:
    """The rig opened at its stages, all of them unless some are named by key.

    rig: as its file has it; one already opened is taken as it is, at the stages named. estimate: a
    belief sharper than the rig file's own. Raises ValueError for a stage that isn't there and
    TripError, a kind of it, for a trip that cannot happen.
    """
    if isinstance(rig, Opening):
        return rig if stages is None else rig.only(*stages)
    whole = under_way(rig)
    plans = chosen_stages(whole, stages)
    if estimate is None:
        own = prior(whole)
        return _opening(rig, whole, own.estimate, plans, draws, seed, own.sheet)
    return _opening(rig, whole, estimate, plans, draws, seed)


def under_way(rig: Rig[F]) -> Rig[F]:
    """The rig as it travels: with the levels that its trip leaves and somebody at the wheel."""
    return crewed(travelled(rig))


def belief_of(rig: Rig) -> Estimate:
    """What a rig file alone lets one believe of its rig as it travels."""
    return prior(under_way(rig)).estimate


def _opening(
    stated: Rig,
    rig: Rig,
    estimate: Estimate,
    plans: tuple[StagePlan, ...],
    draws: int,
    seed: int,
    filled: Sheet | None = None,
) -> Opening:
    bare = _bare(estimate, draws)
    first, last = 1 + 2 * len(estimate.names), 1 + 2 * len(estimate.names) + bare
    values = drawn(estimate, draws, seed, stencil(estimate), bare)
    for name in set(UNLISTED) & estimate.index.keys():
        values[name][first:last] = 0.0
    return Opening(
        rig=rig,
        stages=plans,
        values=values,
        stated=stated,
        estimate=estimate,
        draws=draws,
        seed=seed,
        bare=bare,
        filled=filled,
    )


def _bare(estimate: Estimate, draws: int) -> int:
    """Draws to be had without what nobody listed: none of a rig that was weighed with it aboard."""
    there = not estimate.index.keys().isdisjoint(UNLISTED)
    return min(draws, BARE) if there and estimate.memory is None else 0
