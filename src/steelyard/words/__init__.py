"""What the numbers are called and how they are said: sentences without layout."""

from steelyard.words.assessed import (
    MARKS,
    chance,
    coupling,
    measured,
    missing_line,
    natural,
    number,
    question_lines,
    room,
    share_spread,
    system_of,
    unsure,
    verdict_line,
    weight,
    weight_spread,
)

__all__ = [
    "MARKS",
    "chance",
    "coupling",
    "measured",
    "missing_line",
    "natural",
    "number",
    "question_lines",
    "room",
    "share_spread",
    "system_of",
    "unsure",
    "verdict_line",
    "weight",
    "weight_spread",
]
