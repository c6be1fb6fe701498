"""The one call that answers for a rig, and what more each place could take."""

from steelyard.assessment.assess import assess
from steelyard.assessment.places import Headroom, OnAxles, Spot, headroom, on_axles
from steelyard.assessment.result import (
    Assessment,
    Assumption,
    Attitude,
    AxleLoad,
    Spread,
    StageResult,
    Tongue,
)

__all__ = [
    "Assessment",
    "Assumption",
    "Attitude",
    "AxleLoad",
    "Headroom",
    "OnAxles",
    "Spot",
    "Spread",
    "StageResult",
    "Tongue",
    "assess",
    "headroom",
    "on_axles",
]
