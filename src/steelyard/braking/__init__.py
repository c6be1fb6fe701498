"""Brakes and grades: load transfer, stopping, pushing, locking, climbing, heat of a descent."""

from steelyard.braking.result import (
    BrakeRule,
    Climb,
    Descent,
    Finding,
    Locking,
    Range,
    StageRoad,
    Stance,
    Stop,
    severity,
)
from steelyard.braking.settings import Setting, Settings, require
from steelyard.braking.stage_road import road, settings_for

__all__ = [
    "BrakeRule",
    "Climb",
    "Descent",
    "Finding",
    "Locking",
    "Range",
    "Setting",
    "Settings",
    "StageRoad",
    "Stance",
    "Stop",
    "require",
    "road",
    "settings_for",
    "severity",
]
