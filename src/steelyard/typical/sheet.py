"""Every parameter of a rig with its value, spread and basis: stated, or typical where unsaid."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from steelyard.quantity import Basis, Dimension, Scale, Value
from steelyard.typical.tables import Typical, default_sd


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter:
    """One number of the rig in SI, its sd, and on what it rests: `rigs` of the owner's own, too."""

    name: str
    dimension: Dimension
    scale: Scale
    value: float
    sd: float
    basis: Basis
    source: str
    rigs: int = 0


_SWAY_ONLY = (
    ".yaw_inertia_ratio",
    ".yaw_radius",
    ".cornering",
    ".understeer",
    ".tyre_load",
    ".pressure",
    ".rated_pressure",
)


def only_sways(name: str) -> bool:
    """Whether a parameter bears on how the rig yaws and on no load."""
    return name.startswith("tyres.") or name.endswith(_SWAY_ONLY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """All parameters of one rig, the typical ties between them, and what had to be taken on trust.

    `ties` are typical relations that still have to be read as weak readings (name to value, sd).
    `remarks` are assumptions that are no parameter, such as what a brochure weight includes.
    """

    parameters: Mapping[str, Parameter]
    ties: Mapping[str, Typical]
    remarks: tuple[str, ...]


@dataclass(slots=True)
class Builder:
    """Collects parameters while the rig is read; used only inside this package."""

    parameters: dict[str, Parameter] = field(default_factory=dict)
    ties: dict[str, Typical] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)

    def take(
        self,
        name: str,
        stated: Value | None,
        fallback: Typical | None,
        dimension: Dimension,
        word: str,
        scale: Scale = "linear",
    ) -> float:
        """Add one parameter: the stated value, else the typical one; returns its value (SI).

        `word` names the default spread of a value stated without one.
        """
        if stated is not None:
            sd = default_sd(word, stated.value, dimension) if stated.sd is None else stated.sd
            return self.put(name, stated.value, sd, dimension, scale, stated.basis, "the rig file")
        if fallback is None:
            raise KeyError(f"no typical value for {name}")
        return self.put(
            name,
            fallback.value,
            fallback.sd,
            dimension,
            scale,
            "assumed",
            fallback.source,
            fallback.rigs,
        )

    def put(
        self,
        name: str,
        value: float,
        sd: float,
        dimension: Dimension,
        scale: Scale,
        basis: Basis,
        source: str,
        rigs: int = 0,
    ) -> float:
        """Add one parameter; on a log scale a zero has no spread and stays a constant."""
        sd = 0.0 if scale == "log" and value <= 0 else sd
        self.parameters[name] = Parameter(
            name=name,
            dimension=dimension,
            scale=scale,
            value=value,
            sd=sd,
            basis=basis,
            source=source,
            rigs=rigs,
        )
        return value

    def tie(self, name: str, typical: Typical) -> None:
        """A typical relation to be read as a weak reading."""
        self.ties[name] = typical

    def sheet(self) -> Sheet:
        """What was collected, frozen."""
        return Sheet(parameters=self.parameters, ties=self.ties, remarks=tuple(self.remarks))
