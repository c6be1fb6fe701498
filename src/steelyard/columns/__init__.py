"""Rigs that are alike but for their numbers, side by side, so that one call answers for all."""

from steelyard.columns.alike import Numbers, Path, kind_of, numbers, with_numbers
from steelyard.columns.columns_of import DifferError, Known, Way, columns, read_together

__all__ = [
    "DifferError",
    "Known",
    "Numbers",
    "Path",
    "Way",
    "columns",
    "kind_of",
    "numbers",
    "read_together",
    "with_numbers",
]
