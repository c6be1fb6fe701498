"""Sweeps: any numbers of a rig varied between two ends, and what comes of it."""

from steelyard.sweeps.designs import BYS, By, how_many, points
from steelyard.sweeps.figures import FIGURES, Figure, require_figures
from steelyard.sweeps.ranges import Range, Varied, read_range, varied
from steelyard.sweeps.sensitivity import Sensitivity, sensitivity
from steelyard.sweeps.variants import Question, answered

__all__ = [
    "BYS",
    "FIGURES",
    "By",
    "Figure",
    "Question",
    "Range",
    "Sensitivity",
    "Varied",
    "answered",
    "how_many",
    "points",
    "read_range",
    "require_figures",
    "sensitivity",
    "varied",
]
