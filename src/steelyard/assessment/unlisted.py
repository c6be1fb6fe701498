"""Which limits only what nobody listed tips: they would be within without it."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from steelyard.estimate import Array, Moments
from steelyard.ratings import Check, LimitStatus, judgements
from steelyard.scene import Opening


def tipped(
    scene: Opening,
    todo: Sequence[Check],
    judged: Sequence[Sequence[LimitStatus]],
    tight: float,
) -> tuple[frozenset[str], ...]:
    """Names of such limits at each stage; none of a rig that was weighed, whatever was on it."""
    pressing = [{one.name for one in stage if _presses(one)} for stage in judged]
    if not scene.bare:
        return (frozenset(),) * len(judged)
    named = frozenset[str]().union(*pressing)
    asked = [_without(one, scene) for one in todo if one.name in named]
    without = judgements(asked, len(judged), Moments(scene.bare), tight)
    return tuple(
        frozenset(one.name for one in found.standings if one.verdict == "within") & names
        for found, names in zip(without, pressing, strict=True)
    )


def _presses(one: LimitStatus) -> bool:
    return one.verdict in ("tight", "cannot tell", "exceeded")


def _without(check: Check, scene: Opening) -> Check:
    """The check at the draws with nothing aboard but what is listed."""
    value, high, low = (_cut(x, scene) for x in (check.value, check.high, check.low))
    assert value is not None
    return replace(check, value=value, high=high, low=low)


def _cut(x: Array | None, scene: Opening) -> Array | None:
    if x is None or np.ndim(x) == 0 or x.shape[-1] == 1:
        return x
    first = len(scene.columns) - scene.draws - scene.bare
    return np.asarray(x[..., first : first + scene.bare])
