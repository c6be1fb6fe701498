"""Mean and covariance over named parameters: condition, propagate, draw."""

from steelyard.estimate.condition import condition
from steelyard.estimate.draws import base_points, drawn, draws, named_points
from steelyard.estimate.estimate import (
    Array,
    Estimate,
    Values,
    extended,
    marginal,
    to_scale,
    unread,
)
from steelyard.estimate.memory import Memory, remembering
from steelyard.estimate.moments import Moments
from steelyard.estimate.propagate import Linear, explained, from_stencil, propagate, stencil
from steelyard.estimate.reading import Reading, linearise

__all__ = [
    "Array",
    "Estimate",
    "Linear",
    "Memory",
    "Moments",
    "Reading",
    "Values",
    "base_points",
    "condition",
    "drawn",
    "draws",
    "explained",
    "extended",
    "from_stencil",
    "linearise",
    "marginal",
    "named_points",
    "propagate",
    "remembering",
    "stencil",
    "to_scale",
    "unread",
]
