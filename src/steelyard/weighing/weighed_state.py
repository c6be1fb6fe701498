"""What was on the scale: trailer and tongue of the load that the first pass was weighed with."""

from dataclasses import dataclass

import numpy as np

from steelyard.estimate import Array, Values, propagate
from steelyard.quantity import GRAVITY
from steelyard.weighing.reconcile import Reconciled


@dataclass(frozen=True, slots=True, kw_only=True)
class AsWeighed:
    """Trailer weight and tongue weight (kg) and tongue share as weighed, each with one sd."""

    trailer_kg: float
    trailer_sd_kg: float
    tongue_kg: float
    tongue_sd_kg: float
    share: float
    share_sd: float


def as_weighed(found: Reconciled) -> AsWeighed:
    """The posterior's answer for the load of the first pass, by linear propagation."""
    first = next(iter(found.weighed.ticket.passes))

    def answer(v: Values) -> Array:
        pose = found.weighed.poses.at(first, v)
        trailer, tongue = pose.whole_trailer(), pose.tongue()
        return np.stack(np.broadcast_arrays(trailer, tongue, GRAVITY * tongue / trailer)) / GRAVITY

    linear = propagate(found.full, answer)
    mean, sd = linear.mean, linear.sd
    return AsWeighed(
        trailer_kg=float(mean[0]),
        trailer_sd_kg=float(sd[0]),
        tongue_kg=float(mean[1]),
        tongue_sd_kg=float(sd[1]),
        share=float(mean[2]),
        share_sd=float(sd[2]),
    )
