"""Stability of vehicle and trailer: linear answers, what moves them, simulation in time."""

from steelyard.swaying.chart import CargoChart, cargo_chart
from steelyard.swaying.closed_forms import Critical, critical_speeds, understeer
from steelyard.swaying.combination import Combination
from steelyard.swaying.friction import damper_needed, growing_amplitude
from steelyard.swaying.inputs import (
    Disturbance,
    braking,
    gust,
    lane_change,
    passing_truck,
    steer_impulse,
)
from steelyard.swaying.machine import Machine, machine
from steelyard.swaying.modes import Oscillation, oscillation
from steelyard.swaying.remedies import Move, moves
from steelyard.swaying.result import Band, CriticalSpeed, Edge, Heeded, StageSway
from steelyard.swaying.rig import combination
from steelyard.swaying.search import across, ratio_at, settled
from steelyard.swaying.simulate import Runs, Trace, batch, run
from steelyard.swaying.stage_sway import RATIO, SPEED, SPEEDS, glance, sway
from steelyard.swaying.standard_runs import (
    USUAL,
    WIND,
    dies_out,
    fitted_friction,
    machine_at,
    stays_straight,
    swings,
)
from steelyard.swaying.told import stage_sway

__all__ = [
    "RATIO",
    "SPEED",
    "SPEEDS",
    "USUAL",
    "WIND",
    "Band",
    "CargoChart",
    "Combination",
    "Critical",
    "CriticalSpeed",
    "Disturbance",
    "Edge",
    "Heeded",
    "Machine",
    "Move",
    "Oscillation",
    "Runs",
    "StageSway",
    "Trace",
    "across",
    "batch",
    "braking",
    "cargo_chart",
    "combination",
    "critical_speeds",
    "damper_needed",
    "dies_out",
    "fitted_friction",
    "glance",
    "growing_amplitude",
    "gust",
    "lane_change",
    "machine",
    "machine_at",
    "moves",
    "oscillation",
    "passing_truck",
    "ratio_at",
    "run",
    "settled",
    "stage_sway",
    "stays_straight",
    "steer_impulse",
    "sway",
    "swings",
    "understeer",
]
