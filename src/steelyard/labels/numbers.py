"""Numbers with units in a line of a label, whether two of them say the same; the VIN's digits."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from steelyard.labels.label_kinds import Unit
from steelyard.quantity.units import UNITS

ROUND: Final = 5
"""The number that a label was made from is a multiple of this; the other follows from it."""
LARGEST: Final = 99_999
_NUMBER: Final = re.compile(
    r"(?<![\w.,/])(\d{1,3}(?:,\d{3})+|\d{1,5})\s?(LBS?|POUNDS?|KGS?|KILOGRAMS?|PSI|KPA)(?![A-Z0-9])"
)
_MEASURES: Final[tuple[Unit, ...]] = ("mass", "pressure")
_UNITS: Final = {"P": "lb", "L": "lb", "K": "kg"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """A number as it stands, with its unit."""

    size: int
    unit: str
    start: int
    end: int

    @property
    def text(self) -> str:
        """As a rig file has it."""
        return f"{self.size} {self.unit}"


def numbers(line: str) -> Iterator[Number]:
    """The numbers of a line in capitals that carry their unit."""
    for match in _NUMBER.finditer(line):
        size = int(match[1].replace(",", ""))
        if 0 < size <= LARGEST:
            yield Number(size=size, unit=_unit(match[2]), start=match.start(), end=match.end())


def _unit(word: str) -> str:
    if word in ("PSI", "KPA"):
        return "psi" if word == "PSI" else "kPa"
    return _UNITS[word[0]]


def of(unit: Unit, found: Sequence[Number]) -> list[Number]:
    """Those that measure it."""
    return [one for one in found if one.unit in UNITS[unit]]


def agreed(one: Number, other: Number) -> Number | None:
    """The one of two numbers in two units that the other follows from; None where they say
    different things, or neither is as round as what a label is made from.

    Pounds and kilograms: the rounder, a multiple of 5, turned into the other unit and rounded, is
    the other exactly. Pressures: the whole psi nearest to the kPa is the psi.
    """
    if {one.unit, other.unit} == {"psi", "kPa"}:
        psi, kpa = (one, other) if one.unit == "psi" else (other, one)
        size = UNITS["pressure"]["kPa"] / UNITS["pressure"]["psi"]
        return psi if round(kpa.size * size) == psi.size and kpa.size % ROUND == 0 else None
    if {one.unit, other.unit} != {"lb", "kg"}:
        return None
    pair = next(_by_roundness(one, other), None)
    return pair[0] if pair and _turned(*pair) == pair[1].size else None


def consistent(one: Number, other: Number) -> bool:
    """Whether two numbers in two units may be one, however they were rounded."""
    sizes = [
        UNITS[unit][x.unit] * x.size
        for x in (one, other)
        for unit in _MEASURES
        if x.unit in UNITS[unit]
    ]
    return len(sizes) == 2 and abs(sizes[0] - sizes[1]) <= 0.01 * max(sizes)


def _by_roundness(one: Number, other: Number) -> Iterator[tuple[Number, Number]]:
    """The rounder first, pounds before kilograms; nothing where neither is round."""
    pounds, kilograms = (one, other) if one.unit == "lb" else (other, one)
    for first, second in ((pounds, kilograms), (kilograms, pounds)):
        if first.size % (2 * ROUND) == 0:
            yield first, second
    for first, second in ((pounds, kilograms), (kilograms, pounds)):
        if first.size % ROUND == 0:
            yield first, second


def _turned(one: Number, other: Number) -> int:
    """A number in the unit of another, to the nearest whole."""
    return round(one.size * UNITS["mass"][one.unit] / UNITS["mass"][other.unit])


_FORM: Final = re.compile(r"(?<![A-Z0-9])([A-HJ-NPR-Z0-9]{8}[0-9X][A-HJ-NPR-Z0-9]{8})(?![A-Z0-9])")
_VALUES: Final = {
    **{str(digit): digit for digit in range(10)},
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    "P": 7,
    "R": 9,
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
_WEIGHTS: Final = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)


def right(vin: str) -> bool:
    """Whether the ninth sign is the check digit of the others.

    The remainder of the weighted sum over 11, X for 10. Source: 49 CFR 565.15, whose worked example
    is 1G4AH59H45G118341.

    >>> right("1G4AH59H45G118341")
    True
    """
    rest = sum(_VALUES[sign] * weight for sign, weight in zip(vin, _WEIGHTS, strict=True)) % 11
    return vin[8] == ("X" if rest == 10 else str(rest))


def vins(text: str) -> tuple[list[str], bool]:
    """The numbers of a text in capitals whose check digit is right, and whether one's is not."""
    found = [match[1] for match in _FORM.finditer(text) if any(sign.isalpha() for sign in match[1])]
    good = [vin for vin in found if right(vin)]
    return good, len(good) < len(found)
