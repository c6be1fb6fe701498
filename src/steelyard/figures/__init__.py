"""Drawings from results, one function each; they compute nothing. Needs matplotlib."""

from steelyard.figures.weighing import draw_weighing

__all__ = ["draw_weighing"]
