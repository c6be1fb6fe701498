"""The one opening of a rig: what it is, what is believed of it, and what it carries by stage."""

from steelyard.scene.opening import DRAWS, Opening, belief_of, opened, under_way
from steelyard.scene.scene import (
    DEFAULT_REGION,
    NoBalanceError,
    Scene,
    assumed_of,
    beyond,
    fingerprint,
    region_of,
    restated,
    said_of,
    summed,
)

__all__ = [
    "DEFAULT_REGION",
    "DRAWS",
    "NoBalanceError",
    "Opening",
    "Scene",
    "assumed_of",
    "belief_of",
    "beyond",
    "fingerprint",
    "opened",
    "region_of",
    "restated",
    "said_of",
    "summed",
    "under_way",
]
