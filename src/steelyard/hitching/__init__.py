"""Which hitch parts and how high: ball, drop, sizes, jack, spring bars, clearances."""

from steelyard.hitching.fit import TOLERANCE, fit
from steelyard.hitching.result import (
    Bars,
    Clearance,
    Fenders,
    Fit,
    Height,
    Jacking,
    Lift,
    Match,
    Pitch,
    Step,
)
from steelyard.hitching.sold_sizes import drops, kinds, source

__all__ = [
    "TOLERANCE",
    "Bars",
    "Clearance",
    "Fenders",
    "Fit",
    "Height",
    "Jacking",
    "Lift",
    "Match",
    "Pitch",
    "Step",
    "drops",
    "fit",
    "kinds",
    "source",
]
