"""What an inch of ball height does to the tongue and to each trailer axle, found by the statics."""

from dataclasses import replace

import numpy as np

from steelyard.estimate import Array
from steelyard.hitching.result import Pitch
from steelyard.hitching.trial import Trial, Tried
from steelyard.quantity.constants import GRAVITY, INCH
from steelyard.rig import Rig
from steelyard.typical.trailer import axle_count, suspension


def pitches(trial: Trial, ball: Array, stage: int) -> tuple[Pitch, ...]:
    """Both kinds of suspension where there is more than one axle, the rig's own first."""
    own = suspension(trial.rig)
    if axle_count(trial.rig) == 1:
        return (_pitch(trial, ball, stage, own, own=True),)
    other = "independent" if own == "equaliser" else "equaliser"
    return (
        _pitch(trial, ball, stage, own, own=True),
        _pitch(_with(trial, other), ball, stage, other, own=False),
    )


def _with(trial: Trial, kind: str) -> Trial:
    rig: Rig = trial.rig
    axles = rig.trailer.axles.model_copy(update={"suspension": kind})
    trailer = rig.trailer.model_copy(update={"axles": axles})
    return replace(trial, rig=rig.model_copy(update={"trailer": trailer}))


def _pitch(trial: Trial, ball: Array, stage: int, kind: str, *, own: bool) -> Pitch:
    tried = trial.at(np.array([ball, ball + INCH, ball - INCH]))
    axles = [_changes(tried, load, stage) for load in tried.loads.trailer_axles]
    up, down = _changes(tried, tried.loads.tongue, stage)
    return Pitch(
        suspension=kind,
        assumed=own and axle_count(trial.rig) > 1 and trial.rig.trailer.axles.suspension is None,
        own=own,
        inch_up_tongue_kg=trial.spread(up, GRAVITY),
        inch_down_tongue_kg=trial.spread(down, GRAVITY),
        inch_up_axles_kg=tuple(trial.spread(one[0], GRAVITY) for one in axles),
        inch_down_axles_kg=tuple(trial.spread(one[1], GRAVITY) for one in axles),
    )


def _changes(tried: Tried, x: Array, stage: int) -> tuple[Array, Array]:
    level, up, down = tried.split(x)[stage]
    return up - level, down - level
