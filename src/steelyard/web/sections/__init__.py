"""What the page shows: the parts always there, then those that unfold, in the order they stand."""

from typing import Final

from steelyard.web.sections import (
    assumed,
    card,
    edge,
    explain,
    headline,
    history,
    ledger,
    limits,
    load,
    picture,
    plan,
    rig,
    sentence,
    sway,
    tools,
    trip,
    walk,
    weigh,
    weigh_next,
)
from steelyard.web.sections.base import Section

TOP: Final[tuple[Section, ...]] = (
    headline.SECTION,
    tools.SECTION,
    picture.SECTION,
    sentence.SECTION,
    edge.SECTION,
)
SECTIONS: Final[tuple[Section, ...]] = (
    load.SECTION,
    plan.SECTION,
    weigh.SECTION,
    weigh_next.SECTION,
    assumed.SECTION,
    rig.SECTION,
    trip.SECTION,
    sway.SECTION,
    ledger.SECTION,
    explain.SECTION,
    limits.SECTION,
    history.SECTION,
    card.SECTION,
)

WALK: Final[tuple[Section, ...]] = walk.WALK

__all__ = ["SECTIONS", "TOP", "WALK", "Section"]
