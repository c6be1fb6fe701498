"""The one call that answers for a rig, and what more each place could take."""

from steelyard.assessment.assess import assess
from steelyard.assessment.places import Headroom, Spot, headroom
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
    "Spot",
    "Spread",
    "StageResult",
    "Tongue",
    "assess",
    "headroom",
]
