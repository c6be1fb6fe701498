"""Vehicles with trailers: which belong together, why, what would help; why two trailers differ."""

from steelyard.matching.beliefs import of_pair
from steelyard.matching.candidates import Tow, Towed, cannot, tow_of, towed_of
from steelyard.matching.compare import Because, Comparison, compare
from steelyard.matching.kernel import Block
from steelyard.matching.limits import OVER, TIGHT_, UNKNOWN, WITHIN
from steelyard.matching.match import DRAWS, Matched, match
from steelyard.matching.pairing import EMPTY, FULL, TITLES, TYPICAL
from steelyard.matching.rank import WORDS, Place, Summary, keys, ranked, standing_of, summary
from steelyard.matching.what_if import Remedy, remedies

__all__ = [
    "DRAWS",
    "EMPTY",
    "FULL",
    "OVER",
    "TIGHT_",
    "TITLES",
    "TYPICAL",
    "UNKNOWN",
    "WITHIN",
    "WORDS",
    "Because",
    "Block",
    "Comparison",
    "Matched",
    "Place",
    "Remedy",
    "Summary",
    "Tow",
    "Towed",
    "cannot",
    "compare",
    "keys",
    "match",
    "of_pair",
    "ranked",
    "remedies",
    "standing_of",
    "summary",
    "tow_of",
    "towed_of",
]
