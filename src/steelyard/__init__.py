"""Steelyard: what a trailer puts on its ball, axles and tyres, and whether every rating holds.

>>> import steelyard
>>> steelyard.__version__
'0.1.0'
"""

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = [
    "Assessment",
    "Estimate",
    "FaultError",
    "Rig",
    "__version__",
    "assess",
    "card",
    "compare",
    "fit",
    "learn",
    "match",
    "move",
    "read_rig",
    "read_ticket",
    "road",
    "stow",
    "sway",
    "sweep",
    "trip",
    "weigh",
]

if TYPE_CHECKING:
    from steelyard.assessment import Assessment
    from steelyard.estimate import Estimate
    from steelyard.fault import FaultError
    from steelyard.files import read_rig
    from steelyard.files.tickets import read_ticket
    from steelyard.functions import (
        assess,
        card,
        compare,
        fit,
        learn,
        match,
        move,
        road,
        stow,
        sway,
        sweep,
        trip,
        weigh,
    )
    from steelyard.rig import Rig

_HOMES = {
    "Assessment": "steelyard.assessment",
    "Estimate": "steelyard.estimate",
    "FaultError": "steelyard.fault",
    "Rig": "steelyard.rig",
    "read_rig": "steelyard.files",
    "read_ticket": "steelyard.files.tickets",
}


def __dir__() -> list[str]:
    return sorted(__all__)


def __getattr__(name: str) -> Any:
    """Import the public names on first use, so that `steelyard --help` stays quick."""
    if name not in __all__:
        raise AttributeError(f"module 'steelyard' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES.get(name, "steelyard.functions")), name)
