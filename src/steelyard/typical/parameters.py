"""The one table of parameters: in what each is measured, on which scale, what it bears on."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final, Literal

from steelyard.quantity import Dimension, Scale
from steelyard.typical.shipped_tables import read_table

ANY: Final = "*"
"""Stands in a path for a name of the rig's own, a stage's key or an axle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """What is said of all parameters of one path; its keys are explained in parameters.toml."""

    meaning: str
    dimension: Dimension
    scale: Scale = "linear"
    role: Literal["loads", "sway", "road"] = "loads"
    symbol: str = ""
    told: str = ""
    at: str = ""
    instead: str = ""
    helps: str = ""
    weighs: bool = False


@cache
def kinds() -> Mapping[str, Kind]:
    """Every kind of parameter, by its path."""
    return {path: Kind(**row) for path, row in read_table("parameters.toml").items()}


@lru_cache(maxsize=4096)
def kind_of(name: str) -> Kind | None:
    """The kind of a parameter; None for a nuisance of a weighing or a recording."""
    path = _path(name)
    return None if path is None else kinds()[path]


def kind(name: str) -> Kind:
    """The kind of a rig's parameter, which the table must have."""
    found = kind_of(name)
    if found is None:
        raise KeyError(f"no row for {name} in parameters.toml")
    return found


def stated_key(name: str) -> str:
    """The key of the rig file that states a parameter."""
    found = kind_of(name)
    if found is None or not found.at:
        return name
    path = _path(name) or ""
    own = [part for part, said in zip(name.split("."), path.split("."), strict=True) if said == ANY]
    return found.at.replace(ANY, own[0]) if own else found.at


def _path(name: str) -> str | None:
    if name in kinds():
        return name
    parts = name.split(".")
    for path in _by_length().get(len(parts), ()):
        if all(said in (ANY, part) for said, part in zip(path.split("."), parts, strict=True)):
            return path
    return None


@cache
def _by_length() -> Mapping[int, tuple[str, ...]]:
    """Paths by how many parts they have."""
    lengths = {path: path.count(".") + 1 for path in kinds()}
    return {n: tuple(p for p, length in lengths.items() if length == n) for n in lengths.values()}
