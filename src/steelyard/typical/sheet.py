"""Every parameter of a rig with its value, spread and basis: stated, or typical where unsaid; and
the one table of parameters: in what each is measured, on which scale, what it bears on.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import Final, Generic, Literal

from steelyard.quantity import Basis, Dimension, F, N, Scale, Value, holds
from steelyard.typical.shipped_tables import Typical, default_sd, read_table

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


STATED: Final = "the rig file"
"""Where a stated value comes from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter(Generic[N]):
    """One number of the rig in SI, its sd, and on what it rests: `rigs` of the owner's own, too."""

    name: str
    dimension: Dimension
    scale: Scale
    value: N
    sd: N
    basis: Basis
    source: str
    rigs: int = 0


def only_sways(name: str) -> bool:
    """Whether a parameter bears on how the rig yaws and on no load."""
    found = kind_of(name)
    return found is not None and found.role == "sway"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet(Generic[N]):
    """All parameters of one rig, the typical ties between them, and what had to be taken on trust.

    `ties` are typical relations that still have to be read as weak readings (name to value, sd).
    `remarks` are assumptions that are no parameter, such as what a brochure weight includes.
    """

    parameters: Mapping[str, Parameter[N]]
    ties: Mapping[str, Typical[N]]
    remarks: tuple[str, ...]


@dataclass(slots=True)
class Builder(Generic[F]):
    """Collects parameters while the rig is read; used only inside this package."""

    parameters: dict[str, Parameter[F]] = field(default_factory=dict)
    ties: dict[str, Typical[F]] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)

    def take(
        self, name: str, stated: Value[F] | None, fallback: Typical[F] | None, word: str = ""
    ) -> F:
        """Add one parameter: the stated value, else the typical one; returns its value (SI).

        `word` names the default spread of a value stated without one.
        """
        if stated is not None:
            dimension, sd = kind(name).dimension, stated.sd
            sd = default_sd(word, stated.value, dimension) if sd is None else sd
            return self.put(name, stated.value, sd, stated.basis, STATED)
        if fallback is None:
            raise KeyError(f"no typical value for {name}")
        typical = fallback
        return self.put(name, typical.value, typical.sd, "assumed", typical.source, typical.rigs)

    def put(self, name: str, value: F, sd: F, basis: Basis, source: str, rigs: int = 0) -> F:
        """Add one parameter; on a log scale a zero has no spread and stays a constant."""
        known = kind(name)
        self.parameters[name] = Parameter(
            name=name,
            dimension=known.dimension,
            scale=known.scale,
            value=value,
            sd=0.0 if known.scale == "log" and holds(value <= 0) else sd,
            basis=basis,
            source=source,
            rigs=rigs,
        )
        return value

    def tie(self, name: str, typical: Typical[F]) -> None:
        """A typical relation to be read as a weak reading."""
        self.ties[name] = typical

    def sheet(self) -> Sheet[F]:
        """What was collected, frozen."""
        return Sheet(parameters=self.parameters, ties=self.ties, remarks=tuple(self.remarks))
