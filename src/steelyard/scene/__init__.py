"""The one opening of a rig: what it is, what is believed of it, and what it carries by stage."""

from steelyard.scene.opening import DRAWS, Opening, belief_of, opened, under_way
from steelyard.scene.scene import DEFAULT_REGION, NoBalanceError, Scene, region_of, summed

__all__ = [
    "DEFAULT_REGION",
    "DRAWS",
    "NoBalanceError",
    "Opening",
    "Scene",
    "belief_of",
    "opened",
    "region_of",
    "summed",
    "under_way",
]
