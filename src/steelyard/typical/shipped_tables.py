"""Reading the shipped tables of typical values."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, Generic, overload

import numpy as np

from steelyard.quantity import Z95, Dimension, F, Floats, N, parse
from steelyard.rig import Own

_DATA = Path(__file__).parent / "data"


@dataclass(frozen=True, slots=True, kw_only=True)
class Typical(Generic[N]):
    """A typical value with one standard deviation, in SI, and where it comes from.

    rigs: how many of the owner's own it rests on.
    """

    value: N
    sd: N
    source: str
    rigs: int = 0

    @overload
    def times(self: "Typical[float]", factor: F) -> "Typical[F]": ...

    @overload
    def times(self, factor: Floats) -> "Typical[Floats]": ...

    def times(self: "Typical[Floats]", factor: Floats) -> "Typical[Floats]":
        """The same of something that goes with it, such as a share of a weight."""
        return replace(self, value=self.value * factor, sd=self.sd * factor)


@cache
def read_table(name: str) -> Mapping[str, Any]:
    """One of the shipped tables, by its file."""
    with (_DATA / name).open("rb") as file:
        return tomllib.load(file)


def vehicle_class(name: str) -> Mapping[str, Any]:
    """The table of one vehicle class."""
    return read_table(f"vehicles/{name}.toml")


def trailer_style(name: str) -> Mapping[str, Any]:
    """The table of one trailer style."""
    return read_table(f"trailers/{name}.toml")


def in_region(table: Mapping[str, Any], region: str | None) -> Mapping[str, Any]:
    """A style's table with the relations of trailers built for a region in the place of others."""
    mine = table.get(region or "", {})
    return {**table, "relations": {**table["relations"], **mine}} if mine else table


def with_own(table: Mapping[str, Any], own: Mapping[str, Own]) -> Mapping[str, Any]:
    """A style's or class's table with the owner's own relations in the place of shipped ones."""
    mine = {key: _own_row(table["relations"][key], one) for key, one in own.items()}
    return {**table, "relations": {**table["relations"], **mine}} if mine else table


def _own_row(row: Mapping[str, Any], one: Own) -> dict[str, Any]:
    source = (
        f"{from_own(one.rigs)}; without them: {row['value']} ± {row['spread']}, {row['source']}"
    )
    return {**row, "value": one.value, "spread": Z95 * one.sd, "source": source, "rigs": one.rigs}


def from_own(rigs: int) -> str:
    """`from 14 of your own rigs`."""
    return f"from {rigs} of your own rigs" if rigs != 1 else "from one of your own rigs"


def hitch_table() -> Mapping[str, Any]:
    """Hitch parts and cargo habits."""
    return read_table("hitch.toml")


def spreads() -> Mapping[str, Any]:
    """Default spreads of stated values, by whose word they are."""
    return read_table("spreads.toml")


def density(content: str) -> float:
    """kg/m3 of what is in a tank."""
    return 1000.0 * float(hitch_table()["densities"][content]["value"])


def typical(table: Mapping[str, Any], key: str, dimension: Dimension) -> Typical | None:
    """The typical value under `values.key`, or None."""
    entry = table["values"].get(key)
    if entry is None:
        return None
    value = parse(entry["value"], dimension).value
    half_width = parse(entry["spread"], dimension).value
    return Typical(value=value, sd=half_width / Z95, source=entry["source"])


def present(table: Mapping[str, Any], key: str, dimension: Dimension) -> Typical:
    """The same, of a table that has it."""
    found = typical(table, key, dimension)
    assert found is not None
    return found


def relation(table: Mapping[str, Any], key: str) -> Typical:
    """The dimensionless (or plain SI) tie under `relations.key`."""
    entry = table["relations"][key]
    return Typical(
        value=float(entry["value"]),
        sd=float(entry["spread"]) / Z95,
        source=entry["source"],
        rigs=entry.get("rigs", 0),
    )


def worth(table: Mapping[str, Any], key: str) -> tuple[Typical, float]:
    """The tie under `relations.key`, and the published rows it is worth: one where assumed, and no
    more than make its mean as well known as it is, with few makers behind it."""
    entry = table["relations"][key]
    rows = float(entry.get("rows", 1))
    if "mean_spread" in entry:
        rows = min(rows, max((entry["spread"] / entry["mean_spread"]) ** 2 - 1.0, 1.0))
    return relation(table, key), rows


def default_sd(kind: str, value: F, dimension: Dimension) -> F:
    """One sd of a value stated without a spread, by whose word it is."""
    entry = spreads()[kind]
    relative: F = float(entry.get("relative", 0.0)) * np.abs(value)
    stated = entry.get("absolute", 0.0)
    absolute = parse(stated, dimension).value if isinstance(stated, str) else float(stated)
    larger: F = np.maximum(relative, absolute)
    return larger / Z95
