"""Every parameter of a rig with its value, spread and basis: stated, or typical where unsaid."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Generic

from steelyard.quantity import Basis, Dimension, Scale, Value
from steelyard.quantity.columns import F, holds
from steelyard.quantity.value import N
from steelyard.typical.parameters import kind, kind_of
from steelyard.typical.shipped_tables import Typical, default_sd

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
