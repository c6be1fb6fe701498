"""Brakes and grades as JSON for programs; versioned, only grows."""

from typing import Any, Final

from steelyard.braking.result import StageRoad, Stance
from steelyard.files.plain import plain
from steelyard.quantity import GRAVITY
from steelyard.rig import Rig

ROAD: Final = 1
"""Version of this form."""


def road_report(rig: Rig, found: tuple[StageRoad, ...]) -> dict[str, Any]:
    """Every stage's answer; loads in kg, forces along the road in N."""
    return {
        "road": ROAD,
        "rig": rig.name,
        "settings": plain(found[0].settings),
        "stages": plain(found, {Stance: _stance}),
    }


def _stance(one: Stance, _: float) -> dict[str, Any]:
    axles = [
        {
            "name": name,
            "load_kg": plain(load, size=GRAVITY),
            "change_kg": plain(one.changes[name], size=GRAVITY),
        }
        for name, load in one.axles.items()
    ]
    return {**plain(one), "axles": axles}
