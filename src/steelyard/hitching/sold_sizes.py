"""The sizes in which hitch parts are sold."""

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from steelyard.fault import quoted
from steelyard.quantity import INCH, Dimension, QuantityError, parse

_FILE = Path(__file__).parent / "data" / "steps.toml"


@cache
def _table() -> Mapping[str, Any]:
    with _FILE.open("rb") as file:
        return tomllib.load(file)


def kinds() -> tuple[str, ...]:
    """Names of the lists of drops."""
    return tuple(_table()["drops"])


def source(*path: str) -> str:
    """What a row of sizes rests on."""
    found: Any = _table()
    for key in path:
        found = found[key]
    return str(found)


def drops(name: str, region: str = "north-america") -> tuple[float, ...]:
    """A list of drops by its name, m, or as written: `"0 in,2 in,-2 in"`; a rise is below zero.
    Outside North America what is sold by the inch is taken by 25 mm.

    Raises QuantityError for a list that cannot be read.
    """
    known = _table()["drops"].get(name)
    texts = known["sizes"] if known else [part for part in name.split(",") if part.strip()]
    sizes = tuple(parse(text.strip(), "length").value for text in texts)
    if not sizes or max(abs(size) for size in sizes) > 0.5 or len(sizes) > 64:
        due = f"{', '.join(kinds())} or up to 64 drops of at most 0.5 m with commas between"
        raise QuantityError(due=due, found=quoted(name))
    part = _metric(region) if known else 1.0
    return tuple(sorted({part * size for size in sizes}))


def _metric(region: str) -> float:
    """What an inch is taken for over an inch: 25 mm outside North America."""
    return 1.0 if region == "north-america" else 0.025 / INCH


def grid(region: str) -> tuple[float, int]:
    """Step (m) and number of steps each way of heights that nothing sold decides."""
    row = _table()["heights"]
    return parse(row["step"], "length").value * _metric(region), int(row["reach"])


def bar_ratings() -> tuple[float, ...]:
    """Ratings of spring bars, kg, lightest first."""
    return tuple(parse(text, "mass").value for text in _table()["bars"]["ratings"])


def setting(group: str, key: str, dimension: Dimension = "length") -> float:
    """One of the other settings, SI."""
    return parse(_table()[group][key], dimension).value
