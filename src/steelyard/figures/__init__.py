"""Drawings from results, one function each; they compute nothing. Needs matplotlib."""

from steelyard.figures.sway import draw_sway
from steelyard.figures.weighing import draw_weighing

__all__ = ["draw_sway", "draw_weighing"]
