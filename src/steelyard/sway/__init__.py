"""Stability of vehicle and trailer: linear answers, what moves them, simulation in time."""

from steelyard.sway.chart import CargoChart, cargo_chart
from steelyard.sway.closed_forms import Critical, critical_speeds, understeer, yaw_gain
from steelyard.sway.combination import Combination
from steelyard.sway.friction import damper_needed, equivalent_damper, growing_amplitude
from steelyard.sway.inputs import (
    Disturbance,
    braking,
    gust,
    lane_change,
    passing_truck,
    steer_impulse,
)
from steelyard.sway.machine import Machine, machine
from steelyard.sway.modes import Oscillation, oscillation
from steelyard.sway.remedies import Move, moves
from steelyard.sway.result import Band, CriticalSpeed, Heeded, StageSway
from steelyard.sway.rig import combination
from steelyard.sway.search import across, falling_to, ratio_at, settled
from steelyard.sway.simulate import Runs, Trace, batch, damping_of, run
from steelyard.sway.slopes import Edge, Sensitivity, sensitivities
from steelyard.sway.stage_sway import RATIO, SPEED, SPEEDS, glance, sway
from steelyard.sway.standard_runs import (
    USUAL,
    WIND,
    dies_out,
    fitted_friction,
    machine_at,
    stays_straight,
    swings,
)
from steelyard.sway.told import stage_sway

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
    "Sensitivity",
    "StageSway",
    "Trace",
    "across",
    "batch",
    "braking",
    "cargo_chart",
    "combination",
    "critical_speeds",
    "damper_needed",
    "damping_of",
    "dies_out",
    "equivalent_damper",
    "falling_to",
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
    "sensitivities",
    "settled",
    "stage_sway",
    "stays_straight",
    "steer_impulse",
    "sway",
    "swings",
    "understeer",
    "yaw_gain",
]
