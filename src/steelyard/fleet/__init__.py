"""Fleets: sweeps and matches in parts, on this machine or a cluster."""

from steelyard.fleet.engines import KEPT, engine, run
from steelyard.fleet.match import Match, Merged, merged
from steelyard.fleet.parts import Finished, finish
from steelyard.fleet.sweep import GIVEN, Sweep, planned, sweep

__all__ = [
    "GIVEN",
    "KEPT",
    "Finished",
    "Match",
    "Merged",
    "Sweep",
    "engine",
    "finish",
    "merged",
    "planned",
    "run",
    "sweep",
]
