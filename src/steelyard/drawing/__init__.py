"""Pictures as SVG text, from the library's own numbers, for the page, the card and files."""

from steelyard.drawing.book import Outline, outline_sheet, rig_outline
from steelyard.drawing.cargo import cargo_picture
from steelyard.drawing.damping import damping_curve
from steelyard.drawing.difference import difference_picture
from steelyard.drawing.export import exported
from steelyard.drawing.history import Moment, history_picture
from steelyard.drawing.learned import learned_picture
from steelyard.drawing.marks import mark
from steelyard.drawing.moved import moved_picture
from steelyard.drawing.notch import notch
from steelyard.drawing.paper import printable
from steelyard.drawing.plan import plan_picture
from steelyard.drawing.recording import recording_picture
from steelyard.drawing.rig import rig_picture
from steelyard.drawing.stow import stow_picture
from steelyard.drawing.sway import sway_picture
from steelyard.drawing.trace import trace_picture
from steelyard.drawing.trip import trip_curve, trip_picture
from steelyard.drawing.walk import (
    body_picture,
    map_picture,
    spots_picture,
    style_picture,
    tape_picture,
)
from steelyard.drawing.weighing import weighing_picture
from steelyard.drawing.whole import whole_picture

__all__ = [
    "Moment",
    "Outline",
    "body_picture",
    "cargo_picture",
    "damping_curve",
    "difference_picture",
    "exported",
    "history_picture",
    "learned_picture",
    "map_picture",
    "mark",
    "moved_picture",
    "notch",
    "outline_sheet",
    "plan_picture",
    "printable",
    "recording_picture",
    "rig_outline",
    "rig_picture",
    "spots_picture",
    "stow_picture",
    "style_picture",
    "sway_picture",
    "tape_picture",
    "trace_picture",
    "trip_curve",
    "trip_picture",
    "weighing_picture",
    "whole_picture",
]
