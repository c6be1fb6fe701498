"""Steelyard: what a trailer puts on its ball, axles and tyres, and whether every rating holds.

>>> import steelyard
>>> steelyard.__version__
'0.1.0'
"""

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = ["Assessment", "Estimate", "Rig", "__version__", "assess", "read_rig", "sweep"]

if TYPE_CHECKING:
    from steelyard.assessment import Assessment, assess
    from steelyard.estimate import Estimate
    from steelyard.files import read_rig
    from steelyard.rig import Rig

_HOMES = {
    "Assessment": "steelyard.assessment",
    "Estimate": "steelyard.estimate",
    "Rig": "steelyard.rig",
    "assess": "steelyard.assessment",
    "read_rig": "steelyard.files",
    "sweep": "steelyard.fleet",
}


def __getattr__(name: str) -> Any:
    """Import the public names on first use, so that `steelyard --help` stays quick."""
    if name not in _HOMES:
        raise AttributeError(f"module 'steelyard' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)
