"""The starter list of things people bring, with typical weights and spreads."""

from collections.abc import Mapping
from typing import Any

from steelyard.typical.shipped_tables import read_table

STARTERS = ("camping", "work")


def starter(kind: str) -> Mapping[str, Mapping[str, Any]]:
    """Items of one list (`camping` or `work`) by name: title, weight with spread, source."""
    found: Mapping[str, Mapping[str, Any]] = read_table("items.toml")[kind]
    return found
