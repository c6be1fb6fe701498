"""A sheet to keep: download it, or open it to print."""

from collections.abc import Mapping
from typing import Any, Final

from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.session import Seen


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """Which units and paper the card would have."""
    system = look.system(seen.work)
    return {
        "units": "us" if system == "us" else "metric",
        "paper": "letter" if system == "us" else "a4",
        "owner": look.choice.get("owner", ""),
        "adviser": look.choice.get("adviser", ""),
    }


SECTION: Final = Section("card", "The card", "one sheet, two sides, to keep in the vehicle", facts)
