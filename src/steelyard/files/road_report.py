"""Brakes and grades as JSON for programs; versioned, only grows."""

from typing import Any, Final

from steelyard.braking.result import StageRoad
from steelyard.files.plain import plain
from steelyard.rig import Rig

ROAD: Final = 1
"""Version of this form."""


def road_report(rig: Rig, found: tuple[StageRoad, ...]) -> dict[str, Any]:
    """Every stage's answer; loads in kg, forces along the road in N."""
    return {
        "road": ROAD,
        "rig": rig.name,
        "settings": plain(found[0].settings),
        "stages": plain(found),
    }
