"""Mean and covariance over named parameters: condition, propagate, draw."""

from steelyard.estimate.condition import condition
from steelyard.estimate.draws import drawn, draws
from steelyard.estimate.estimate import (
    Array,
    Estimate,
    Memory,
    Reading,
    Values,
    extended,
    marginal,
    to_scale,
    unread,
    updated,
)
from steelyard.estimate.memory import remembered, remembering
from steelyard.estimate.moments import Moments
from steelyard.estimate.points import base_points, named_points, root
from steelyard.estimate.propagate import (
    Linear,
    explained,
    from_stencil,
    linearise,
    propagate,
    stencil,
)

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
    "remembered",
    "remembering",
    "root",
    "stencil",
    "to_scale",
    "unread",
    "updated",
]
