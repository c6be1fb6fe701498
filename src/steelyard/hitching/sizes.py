"""Whether ball, coupler, bars, sleeves and pins are of one size, as a row each."""

from steelyard.hitching.result import Match
from steelyard.ratings.part_sizes import pairs
from steelyard.rig import Rig


def matches(rig: Rig, region: str) -> tuple[Match, ...]:
    """Every pair of parts of the coupling chain that must fit, vehicle end first."""
    return tuple(
        Match(
            name=pair.name,
            title=pair.title,
            first=pair.first,
            second=pair.second,
            verdict=pair.verdict,
            why=pair.why,
        )
        for pair in pairs(rig, region)
    )
