"""Units people write, by dimension, and how large each is in SI.

A table of exact factors, not a unit library: loading one costs more than half of what a whole
`check` may take (see docs/decisions/0002-units.md). The tests hold every factor to such a library.
"""

from collections.abc import Mapping
from math import pi
from types import MappingProxyType
from typing import Final, Literal

from steelyard.quantity.constants import (
    FOOT,
    GRAVITY,
    HOUR,
    IMPERIAL_GALLON,
    INCH,
    LITRE,
    MILE,
    POUND,
    POUND_FORCE,
    US_GALLON,
)

Dimension = Literal[
    "mass",
    "length",
    "pressure",
    "force",
    "rate",
    "angle",
    "share",
    "volume",
    "speed",
    "economy",
    "power",
    "time",
    "moment",
]
System = Literal["us", "metric", "uk", "continent"]
"""`metric` has kPa and km/h, `uk` kg with mph and psi, `continent` bar."""

_TABLE: dict[Dimension, dict[str, float]] = {
    "mass": {"kg": 1.0, "lb": POUND, "lbs": POUND, "g": 1e-3, "t": 1000.0, "oz": POUND / 16},
    "length": {
        "m": 1.0,
        "mm": 1e-3,
        "cm": 1e-2,
        "ft": FOOT,
        "in": INCH,
        "'": FOOT,
        '"': INCH,
        "mi": MILE,
        "km": 1000.0,
    },
    "pressure": {"Pa": 1.0, "kPa": 1e3, "bar": 1e5, "psi": POUND_FORCE / INCH**2},
    "force": {"N": 1.0, "kN": 1e3, "lbf": POUND_FORCE, "kgf": GRAVITY, "daN": 10.0},
    "rate": {
        "N/m": 1.0,
        "kN/m": 1e3,
        "N/mm": 1e3,
        "lb/in": POUND_FORCE / INCH,
        "lbf/in": POUND_FORCE / INCH,
    },
    "angle": {"rad": 1.0, "deg": pi / 180, "°": pi / 180},
    "share": {"%": 0.01, "of 1": 1.0},
    "volume": {
        "L": LITRE,
        "l": LITRE,
        "m3": 1.0,
        "gal": US_GALLON,
        "US gal": US_GALLON,
        "imp gal": IMPERIAL_GALLON,
    },
    "speed": {"m/s": 1.0, "km/h": 1000 / HOUR, "mph": MILE / HOUR},
    "economy": {
        "mpg": MILE / US_GALLON,
        "US mpg": MILE / US_GALLON,
        "imp mpg": MILE / IMPERIAL_GALLON,
        "km/L": 1e6,
    },
    "power": {"kW": 1e3, "W": 1.0, "hp": 550 * FOOT * POUND_FORCE},
    "time": {"s": 1.0, "min": 60.0, "h": HOUR},
    "moment": {
        "N m": 1.0,
        "N·m": 1.0,
        "Nm": 1.0,
        "lb ft": FOOT * POUND_FORCE,
        "lb·ft": FOOT * POUND_FORCE,
    },
}
UNITS: Final = MappingProxyType(_TABLE)

EXAMPLES: Final[MappingProxyType[Dimension, str]] = MappingProxyType(
    {
        "mass": '"6300 lb" or "2858 kg"',
        "length": '"25 ft 4 in" or "7.72 m"',
        "pressure": '"65 psi" or "450 kPa"',
        "force": '"17 kN"',
        "rate": '"250 lb/in" or "44 N/mm"',
        "angle": '"2 deg"',
        "share": '"50 %"',
        "volume": '"40 gal" or "150 L"',
        "speed": '"65 mph" or "100 km/h"',
        "economy": '"11 mpg" or "4.7 km/L"',
        "power": '"310 hp" or "230 kW"',
        "time": '"40 min" or "1 h"',
        "moment": '"150 N m" or "110 lb ft"',
    }
)
NOUNS: Final[MappingProxyType[Dimension, str]] = MappingProxyType(
    {
        "mass": "a weight",
        "length": "a length",
        "pressure": "a pressure",
        "force": "a force",
        "rate": "a spring rate",
        "angle": "an angle",
        "share": "a share",
        "volume": "a volume",
        "speed": "a speed",
        "economy": "a distance per volume of fuel",
        "power": "a power",
        "time": "a time",
        "moment": "a moment",
    }
)
_METRIC: Final[dict[Dimension, str]] = {
    "mass": "kg",
    "length": "mm",
    "pressure": "kPa",
    "force": "N",
    "rate": "N/mm",
    "angle": "deg",
    "share": "%",
    "volume": "L",
    "speed": "km/h",
    "economy": "km/L",
    "power": "kW",
    "time": "min",
    "moment": "N·m",
}
_US: Final[dict[Dimension, str]] = {
    "mass": "lb",
    "length": "in",
    "pressure": "psi",
    "force": "lbf",
    "rate": "lb/in",
    "angle": "deg",
    "share": "%",
    "volume": "gal",
    "speed": "mph",
    "economy": "mpg",
    "power": "hp",
    "time": "min",
    "moment": "lb·ft",
}
BORDER_UNIT: Final[Mapping[System, Mapping[Dimension, str]]] = MappingProxyType(
    {
        "us": _US,
        "metric": _METRIC,
        "uk": {**_METRIC, "pressure": "psi", "speed": "mph"},
        "continent": {**_METRIC, "pressure": "bar"},
    }
)
DIGITS: Final[Mapping[str, int]] = {"bar": 1}
"""Digits after the point that a unit needs; none for one that is not here."""


def unit_of(dimension: Dimension, system: System) -> str:
    """The unit in which a reader of `system` expects a quantity."""
    return BORDER_UNIT[system][dimension]


def factor(unit: str, dimension: Dimension) -> float:
    """SI size of one `unit`; KeyError if the dimension has no such unit."""
    return UNITS[dimension][unit]


def dimension_of(unit: str) -> Dimension | None:
    """The dimension a unit belongs to, or None for an unknown word."""
    return next((dimension for dimension, units in UNITS.items() if unit in units), None)


def to_border(si: float, dimension: Dimension, system: System) -> float:
    """An SI number in the unit a reader of `system` expects (lb or kg, in or mm, ...)."""
    return si / factor(BORDER_UNIT[system][dimension], dimension)
