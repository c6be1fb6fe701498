"""Weighings kept: stored whole or not at all, listed, compared, and what changed over a season."""

from steelyard.logbook.change import (
    Change,
    Comparison,
    Drift,
    Pair,
    Trend,
    compare,
    disagrees,
    drift,
)
from steelyard.logbook.exchange import from_json, readings_csv, to_json, weighings_csv
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.records import Lesson, Logged, LoggedReading, Summary, Weighing
from steelyard.logbook.store import Logbook
from steelyard.logbook.where import default_path

__all__ = [
    "Change",
    "Comparison",
    "Drift",
    "Lesson",
    "Logbook",
    "LogbookError",
    "Logged",
    "LoggedReading",
    "Pair",
    "Summary",
    "Trend",
    "Weighing",
    "compare",
    "default_path",
    "disagrees",
    "drift",
    "from_json",
    "readings_csv",
    "to_json",
    "weighings_csv",
]
