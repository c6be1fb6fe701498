"""How a field of a result stands in a report: with what unit in its key, under which key.

The number is the field's own: a report converts nothing.
"""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Unit:
    """The unit a field is in, and what it adds to the key."""

    ending: str


@dataclass(frozen=True, slots=True)
class Key:
    """A field's key where it is not its name; a dot makes a table, an empty one leaves it out."""

    path: str


KILOGRAM: Final = Unit("kg")
NEWTON: Final = Unit("n")
NEWTON_METRE: Final = Unit("nm")
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
