"""An answer as it is typed: a bare number in the screen's unit, short words where it fails."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from steelyard.quantity import Dimension, QuantityError, parse
from steelyard.quantity.units import UNITS
from steelyard.walk.stops import Field

NUMBER: Final = re.compile(r"-?\d{1,3}(?:[ ,]\d{3})+|-?\d*\.?\d+|\d+,\d+|\d+[\s-]+\d+/\d+|\d+/\d+")
THOUSANDS: Final = re.compile(r"(?<=\d)[ ,](?=\d{3}(?:[ ,]|$))")
ALIKE: Final = str.maketrans({"O": "0", "o": "0", "l": "1", "I": "1", "|": "1", "S": "5", "B": "8"})
"""Letters that stand where a digit was meant."""
SHORT: Final[Mapping[Dimension, str]] = {
    "mass": "That is no weight.",
    "length": "That is no length.",
    "pressure": "That is no pressure.",
    "force": "That is no force.",
    "volume": "That is no volume.",
}
COUNTED: Final = "A whole number is due."


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """An answer that cannot be taken: few words, and what would mend it (nothing: clear it)."""

    words: str
    mend: str


def taken(field: Field, text: str, unit: str) -> Any | Slip:
    """What the rig file is to hold for a text typed into a field whose unit is `unit`; None for
    nothing typed, a Slip where it cannot be."""
    text = text.strip()
    if not text:
        return None
    if field.dimension is None:
        return _picked(field, text)
    whole = _with_unit(text, unit)
    try:
        parse(whole, field.dimension)
    except QuantityError:
        words = SHORT.get(field.dimension, "That is no number.")
        return Slip(words=words, mend=_meant(text, field.dimension, unit))
    more = {key: value for key in ("kind", "basis") if (value := getattr(field, key))}
    return {"value": whole, **more} if more else whole


def _picked(field: Field, text: str) -> Any | Slip:
    if field.options == ("yes", "no"):
        return {"yes": True, "no": False}.get(text, Slip(words="Yes or no is due.", mend=""))
    if not text.isdecimal() or len(text) > 4:
        return Slip(words=COUNTED, mend=_mended(text))
    return int(text)


def _with_unit(text: str, unit: str) -> str:
    """The text, in the screen's unit where it is a bare number."""
    if not NUMBER.fullmatch(text):
        return text
    return f"{text if '/' in text else THOUSANDS.sub('', text)} {unit}"


def _meant(text: str, dimension: Dimension, unit: str) -> str:
    """What was meant: inches behind feet, a number in the unit that stands behind it however that
    is written, else what its letters stand for."""
    if unit == "in" and re.fullmatch(r"\d+ ?(?:ft|') ?\d+", text):
        return f"{text} in"
    first = re.match(r"([\d.,]*\d) ?([A-Za-z]+)(?! ?\d)", text)
    if first is None:
        return _mended(text)
    spelt = {one.lower(): one for one in UNITS[dimension]}
    whole = f"{first[1]} {spelt.get(first[2].lower(), first[2].lower())}"
    try:
        parse(whole, dimension)
    except QuantityError:
        return _mended(text)
    return whole


def _mended(text: str) -> str:
    """The number that was meant, where letters stand for digits or words behind it."""
    first = re.match(r"[\dOolI|SB.,]*\d[\dOolI|SB.,]*(?!.*\d)", text)
    digits = THOUSANDS.sub("", first[0].translate(ALIKE).strip(".,")) if first else ""
    return digits if re.fullmatch(r"\d{1,7}(?:\.\d+)?", digits) else ""


def shown_as(said: Any, unit: str) -> str:
    """What the file holds as it stands in the field: without the screen's own unit."""
    text = str(said.get("value", "")) if isinstance(said, Mapping) else said
    if isinstance(text, bool):
        return "yes" if text else "no"
    text = "" if text is None else str(text)
    bare = text.removesuffix(f" {unit}") if unit else text
    return bare if NUMBER.fullmatch(bare) else text  # `5 ft 3 in` stays whole
