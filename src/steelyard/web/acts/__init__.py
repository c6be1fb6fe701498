"""Everything a person can do on the page, and a program through the HTTP API."""

from typing import Final

from steelyard.web.acts import document, labels, load, plan, readings, rig, sway, walk
from steelyard.web.acts.base import Act

_HOMES: Final = (document, labels, load, plan, readings, rig, sway, walk)
ACTS: Final[dict[str, Act]] = {act.name: act for home in _HOMES for act in home.ACTS}

__all__ = ["ACTS", "Act"]
