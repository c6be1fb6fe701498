"""How a field of a result stands in a report: in what unit, under which key."""

from dataclasses import dataclass
from typing import Final

from steelyard.quantity.constants import GRAVITY


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of reports: what it adds to a key, and how large one is in SI."""

    ending: str
    size: float = 1.0


@dataclass(frozen=True, slots=True)
class Key:
    """A field's key where it is not its name; a dot makes a table, an empty one leaves it out."""

    path: str


LOAD: Final = Unit("kg", GRAVITY)
"""Loads, N within, are told as the mass that weighs as much; other forces as `NEWTON`."""
KILOGRAM: Final = Unit("kg")
NEWTON: Final = Unit("n")
NEWTON_METRE: Final = Unit("nm")
LITRE: Final = Unit("l", 1e-3)
METRE: Final = Unit("m")
RADIAN: Final = Unit("rad")
SPEED: Final = Unit("mps")
SLOWING: Final = Unit("mps2")
SECOND: Final = Unit("s")
JOULE: Final = Unit("j")
WATT: Final = Unit("w")
FREQUENCY: Final = Unit("rad_s")
SI: Final = Unit("si")
"""The SI unit of what it is."""
UNREPORTED: Final = Key("")
