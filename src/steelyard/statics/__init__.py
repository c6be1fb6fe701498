"""Loads from masses and geometry: the lever, the springs, the bars, the wheels, the ledger."""

from steelyard.statics.ledger import (
    Entry,
    Influence,
    Ledger,
    Levers,
    closed,
    ledgers,
    levers,
)
from steelyard.statics.loads import Heights, Loads, Wheel, loads
from steelyard.statics.masses import Mass
from steelyard.statics.prior import Prior, prior

__all__ = [
    "Entry",
    "Heights",
    "Influence",
    "Ledger",
    "Levers",
    "Loads",
    "Mass",
    "Prior",
    "Wheel",
    "closed",
    "ledgers",
    "levers",
    "loads",
    "prior",
]
