"""Pictures as SVG text, from the library's own numbers, for the page and the card."""

from steelyard.drawing.cargo import cargo_picture
from steelyard.drawing.damping import damping_curve
from steelyard.drawing.difference import difference_picture
from steelyard.drawing.paper import printable
from steelyard.drawing.plan import plan_picture
from steelyard.drawing.rig import rig_picture
from steelyard.drawing.trace import trace_picture
from steelyard.drawing.trip import trip_curve

__all__ = [
    "cargo_picture",
    "damping_curve",
    "difference_picture",
    "plan_picture",
    "printable",
    "rig_picture",
    "trace_picture",
    "trip_curve",
]
