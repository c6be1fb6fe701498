"""Stowing: where everything should ride, for the whole trip, and what stays home if it can't."""

from steelyard.stowing.arrange import Plan, arranged, believed, moved_items, now
from steelyard.stowing.mend import Mend, mend
from steelyard.stowing.move_order import Load, Move, changes, ordered
from steelyard.stowing.move_order import Sequence as Order
from steelyard.stowing.plan import Found
from steelyard.stowing.program import Effort, Goal, Watch
from steelyard.stowing.question import Wish, middle_of_band
from steelyard.stowing.stow import Stowed, StowError, beforehand, stow

__all__ = [
    "Effort",
    "Found",
    "Goal",
    "Load",
    "Mend",
    "Move",
    "Order",
    "Plan",
    "StowError",
    "Stowed",
    "Watch",
    "Wish",
    "arranged",
    "beforehand",
    "believed",
    "changes",
    "mend",
    "middle_of_band",
    "moved_items",
    "now",
    "ordered",
    "stow",
]
