"""Everything a person can do on the page, and a program through the HTTP API."""

from typing import Final

from steelyard.web.acts import document, load, plan
from steelyard.web.acts.base import Act

ACTS: Final[dict[str, Act]] = {act.name: act for act in (*load.ACTS, *plan.ACTS, *document.ACTS)}

__all__ = ["ACTS", "Act"]
