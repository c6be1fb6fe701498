"""What the page shows: the parts always there, then those that unfold, in the order they stand."""

from typing import Final

from steelyard.web.sections import limits, load, picture, plan, sentence, trip
from steelyard.web.sections.base import Section

TOP: Final[tuple[Section, ...]] = (sentence.SECTION, picture.SECTION)
SECTIONS: Final[tuple[Section, ...]] = (load.SECTION, plan.SECTION, trip.SECTION, limits.SECTION)

__all__ = ["SECTIONS", "TOP", "Section"]
