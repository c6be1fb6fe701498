"""Which limits only what nobody listed tips: they would be within without it."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from steelyard.estimate import Moments
from steelyard.ratings import LimitStatus, Question, checks, judgements
from steelyard.scene import Opening
from steelyard.typical.unlisted import UNLISTED

FEW: Final = 512
"""Draws that tell whether a limit would be within."""


def tipped(
    scene: Opening,
    asked: Sequence[Question],
    judged: Sequence[Sequence[LimitStatus]],
    tight: float,
) -> tuple[frozenset[str], ...]:
    """Names of such limits at each stage; none of a rig that was weighed, whatever was on it."""
    pressing = [{one.name for one in stage if _presses(one)} for stage in judged]
    there = [name for name in UNLISTED if name in scene.values]
    if scene.estimate.memory is not None or not there or not any(pressing):
        return (frozenset(),) * len(judged)
    columns = scene.few(FEW)
    values = {n: x[columns] if np.ndim(x) else x for n, x in scene.values.items()}
    bare = scene.valued({**values, **dict.fromkeys(there, np.zeros(()))})
    moments = Moments(min(scene.draws, FEW))
    without = judgements(checks(bare, asked), len(judged), moments, tight)
    return tuple(
        frozenset(one.name for one in found.standings if one.verdict == "within") & names
        for found, names in zip(without, pressing, strict=True)
    )


def _presses(one: LimitStatus) -> bool:
    return one.verdict in ("tight", "cannot tell", "exceeded")
