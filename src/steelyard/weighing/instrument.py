"""How wrong an instrument may be."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from pydantic import Field

from steelyard.quantity import Z95, Dimension, Mass, Share, parse
from steelyard.rig.base import Fact

_DATA = Path(__file__).parent / "data" / "scales.toml"
COARSE: Final = ("100 kg", "100 lb", "50 kg", "50 lb", "20 kg")
"""Steps that scales of vehicles show, coarsest first (common practice, no source)."""
BY_CHANCE: Final = 20.0
"""Tickets in which such numbers may be by chance once (judgement)."""
ROUND: Final = 1e-6
"""Part of a step that a weight may be off a multiple of it, for arithmetic's sake."""


class Instrument(Fact):
    """What a ticket says of one of its scales; the rest is the kind's default."""

    graduation: Mass | None = Field(default=None, description="smallest step it shows")
    slope: Share | None = Field(
        default=None, description="error in proportion to the load, shared by all its readings"
    )
    repeatability: Mass | None = Field(default=None, description="each reading's own error")


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrorModel:
    """One sd of a reading's own error (SI) and of the instrument's shared slope (share)."""

    own: float
    slope: float
    source: str


@cache
def _defaults() -> dict[str, Any]:
    with _DATA.open("rb") as file:
        return tomllib.load(file)


def friction() -> tuple[float, float]:
    """Share of a height change that spring friction holds back, and its sd."""
    entry = _defaults()["friction"]
    return parse(entry["share"], "share").value, parse(entry["spread"], "share").value / Z95


def coarser(kind: str, read: set[float]) -> Mass | None:
    """A step that so many different weights (kg) are multiples of that a scale of the finer default
    would show them by chance once in `BY_CHANCE` tickets or less."""
    finest = parse(_defaults()[kind]["graduation"], "mass").value
    for step in (parse(text, "mass") for text in COARSE):
        whole = all(abs(kg / step.value - round(kg / step.value)) < ROUND for kg in read)
        if whole and len(read) > 1 and (step.value / finest) ** len(read) > BY_CHANCE:
            return step
    return None


def error_model(kind: str, dimension: Dimension, stated: Instrument | None) -> ErrorModel:
    """The error of one kind of instrument: as the ticket states it, else the default of its kind.

    Rounding to a graduation d has sd d/sqrt(12) (JCGM 100:2008, 4.3.7).
    """
    entry = _defaults()[kind]

    def number(key: str, of: Dimension) -> float:
        said = getattr(stated, key) if stated is not None else None
        if said is not None:
            return float(said.value)
        return parse(entry[key], of).value if key in entry else 0.0

    step, repeat = number("graduation", dimension), number("repeatability", dimension)
    own = (step**2 / 12 + (repeat / Z95) ** 2) ** 0.5
    return ErrorModel(own=own, slope=number("slope", "share") / Z95, source=entry["source"])
