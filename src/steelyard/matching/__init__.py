"""Vehicles with trailers: which belong together, why, what would help; why two trailers differ."""

from steelyard.matching.beliefs import of_pair
from steelyard.matching.block_answers import Block
from steelyard.matching.candidates import Tow, Towed, cannot, tow_of, towed_of
from steelyard.matching.compare import Because, Comparison, compare
from steelyard.matching.match import DRAWS, Matched, match, matches
from steelyard.matching.pair_limits import Room
from steelyard.matching.pair_remedies import Remedy, remedies
from steelyard.matching.pairing import EMPTY, FULL, TITLES, TYPICAL
from steelyard.matching.rank import (
    LISTS,
    List,
    Pair,
    Summary,
    keys,
    lists,
    pairs,
    ranked,
    standing_of,
    summary,
)

__all__ = [
    "DRAWS",
    "EMPTY",
    "FULL",
    "LISTS",
    "TITLES",
    "TYPICAL",
    "Because",
    "Block",
    "Comparison",
    "List",
    "Matched",
    "Pair",
    "Remedy",
    "Room",
    "Summary",
    "Tow",
    "Towed",
    "cannot",
    "compare",
    "keys",
    "lists",
    "match",
    "matches",
    "of_pair",
    "pairs",
    "ranked",
    "remedies",
    "standing_of",
    "summary",
    "tow_of",
    "towed_of",
]
