"""Reading quantities as people write them: `"25 ft 4 in"`, `"700 lb +- 25 lb"`, `"2 5/16 in"`."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Any, Final

from steelyard.fault import Fault, FaultError, quoted
from steelyard.quantity.show import shown
from steelyard.quantity.units import EXAMPLES, NOUNS, UNITS, Dimension, dimension_of
from steelyard.quantity.value import KINDS, Z95, Value

_COMMA = r"\d+,(?:\d\d?|\d{4,})(?![\d.,])"
_NUMBER = rf"{_COMMA}|(?:\d{{1,3}}(?:,\d{{3}})+|\d+)?(?:\.\d+)?(?:[eE][+-]?\d+)?"
_TERM: Final = re.compile(
    r"\s*(?P<sign>[+-]?)(?:(?:(?P<whole>\d+)[\s-]+)?(?P<top>\d+)/(?P<bottom>\d+)"
    rf"|(?P<number>{_NUMBER}))\s*"
    r"(?P<unit>(?:(?:US|imp) (?:gal|mpg)|of 1|N[ ·]m|lb[ ·]ft)(?![A-Za-z])|['\"]"
    r"|[A-Za-z°%][A-Za-z0-9/]*)\s*"
)
_WORDS: Final = {
    **dict.fromkeys(("pound", "pounds"), "lb"),
    **dict.fromkeys(("foot", "feet"), "ft"),
    **dict.fromkeys(("inch", "inches"), "in"),
}
"""Units as they are spoken."""
_METRIC: Final = frozenset(
    {"kg", "g", "t", "mm", "cm", "m", "km", "L", "N", "kN", "daN", "kPa", "bar", "%", "km/h"}
)
"""Units whose number may have a decimal comma; three digits behind one are thousands."""
_PLUS_MINUS: Final = re.compile(r"\+-|\+/-|±")
_KEYS: Final = {"value", "spread", "basis", "includes", "kind", "sure"}
LARGEST: Final = 1e9
"""No number a rig file can mean is larger than this in SI; larger ones are typing errors."""


LETTERS: Final = 100
"""In a number with its unit and spread; more are no number."""
TIMES: Final = 5
"""A half-width that is more times its number says nothing, and is a typing error."""
WIDEST: Final[Mapping[Dimension, float]] = MappingProxyType(
    {"mass": 250.0, "length": 2.0, "angle": 0.6, "share": 1.0, "volume": 0.5, "force": 1e4}
)
"""SI: half-widths that a number near zero may have."""


class QuantityError(FaultError):
    """A quantity that cannot be read; the message says what was found and what is due."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Term:
    number: float
    unit: str


def parse(raw: Any, dimension: Dimension) -> Value:
    """A quantity of `dimension` from a string or from a table of `_KEYS`.

    Returns SI. Raises QuantityError with one sentence for anything else, a bare number included.
    """
    if isinstance(raw, Value):
        return raw
    if isinstance(raw, dict):
        return _from_table(raw, dimension)
    if not isinstance(raw, str):
        raise QuantityError(_due(raw, dimension))
    return _from_text(raw, dimension)


PARTED: Final = r"\s*[1-9]\d{0,2}\.\d{3}\s*(kg|lb|lbs)\b.*"
_PARTED: Final = re.compile(PARTED)


def parted(text: str) -> bool:
    """Whether a weight's point may stand between thousands, in European style: `"1.250 kg"`."""
    return "." in text and _PARTED.fullmatch(text) is not None


def _from_table(raw: dict[Any, Any], dimension: Dimension) -> Value:
    if "value" not in raw or set(raw) - _KEYS:
        due = "a string or a table with value, spread, basis, includes, kind, sure"
        raise QuantityError(due=due, found=quoted(raw))
    plain = _from_text(str(raw["value"]), dimension)
    spread = raw.get("spread")
    sd = plain.sd if spread is None else _spread(str(spread), plain.value, dimension)
    return Value(
        value=plain.value,
        sd=sd,
        basis=_choice(raw, "basis", ("stated", "weighed", "measured", "assumed"), "stated"),
        includes=_words(raw.get("includes")),
        kind=_choice(raw, "kind", KINDS, None),
        text=plain.text if spread is None else _joined(plain.text, str(spread)),
        sure=_whether(raw.get("sure", False)),
    )


def _whether(raw: Any) -> bool:
    if not isinstance(raw, bool):
        raise QuantityError(due="sure to be true or false", found=quoted(raw))
    return raw


def _joined(text: str, spread: str) -> str:
    """A value's text with the spread that its table gave it, so that it is written back whole."""
    return f"{_PLUS_MINUS.split(text)[0].strip()} +- {spread.strip()}"


def _choice(raw: dict[Any, Any], key: str, allowed: tuple[str, ...], default: Any) -> Any:
    found = raw.get(key, default)
    if found is not default and found not in allowed:
        raise QuantityError(due=f"{key} to be one of {', '.join(allowed)}", found=quoted(found))
    return found


def _words(raw: Any) -> tuple[str, ...] | None:
    if raw is None:
        return None
    if not isinstance(raw, list | tuple) or not all(isinstance(word, str) for word in raw):
        raise QuantityError(due="includes to be a list of words", found=quoted(raw))
    return tuple(raw)


@lru_cache(maxsize=4096)
def _from_text(text: str, dimension: Dimension) -> Value:
    parts = _PLUS_MINUS.split(text)
    if len(parts) > 2 or len(text) > LETTERS:
        raise QuantityError(_due(text, dimension))
    if len(parts) == 2 and not parts[0].strip():
        raise QuantityError(replace(_due(text, dimension), hint="no number before its +-"))
    value = _sum(parts[0], dimension)
    sd = _spread(parts[1], value, dimension) if len(parts) == 2 else None
    return Value(value=value, sd=sd, basis="stated", includes=None, kind=None, text=text.strip())


def written_like(si: float, like: str, dimension: Dimension, step: float) -> str:
    """`si` in the units that `like` is written in, as exact as `step` (SI): `"3.831 m"` beside
    `"4.2 m"`, `"12 ft 6.8 in"` beside `"13 ft 2 in"`; no thousands are parted."""
    units = [term.unit for term in _terms(_PLUS_MINUS.split(like)[0], dimension)]
    sizes = [UNITS[dimension][unit] for unit in units]
    places = max(math.ceil(math.log10(sizes[-1] / step) - 1e-9), 0)
    rest, parts = round(abs(si) / sizes[-1] * 10**places), []
    for unit, size in zip(units[:-1], sizes[:-1], strict=True):
        count, rest = divmod(rest, round(size / sizes[-1] * 10**places))
        parts.append(f"{count} {unit}")
    parts.append(f"{rest / 10**places:.{places}f} {units[-1]}")
    minus = "-" if round(si / step) < 0 else ""
    return minus + " ".join(parts)


def _spread(text: str, value: float, dimension: Dimension) -> float:
    if not re.search(r"[^\W\d]|[%°'\"]", text):
        missing = "its spread has no unit" if text.strip() else "no number behind its +-"
        raise QuantityError(replace(_due(f"+- {text.strip()}".strip(), dimension), hint=missing))
    if dimension != "share" and text.strip().endswith("%"):
        half_width = abs(value) * _sum(text, "share")
    else:
        half_width = _sum(text, dimension)
    if half_width < 0:
        raise QuantityError(due="a spread of at least zero", found=quoted(text.strip()))
    if half_width > max(WIDEST.get(dimension, 0.0), TIMES * abs(value)):
        due = f"a spread of at most {TIMES} times the number it stands beside"
        hint = "a value known so little is better left out"
        raise QuantityError(due=due, found=quoted(text.strip()), hint=hint)
    return half_width / Z95


def _sum(text: str, dimension: Dimension) -> float:
    terms = _terms(text, dimension)
    for term in terms:
        if term.unit not in UNITS[dimension]:
            raise QuantityError(_wrong_unit(term.unit, text, dimension))
    scaled = [term.number * UNITS[dimension][term.unit] for term in terms]
    for coarse, fine, size in zip(terms, terms[1:], scaled[1:], strict=False):
        if size >= UNITS[dimension][coarse.unit]:
            due = f"fewer {fine.unit} than make 1 {coarse.unit}"
            raise QuantityError(due=due, found=quoted(text.strip()))
    sign = -1.0 if text.strip().startswith("-") else 1.0
    total = scaled[0] + sign * sum(scaled[1:])
    if not abs(total) <= LARGEST:
        due = f"{NOUNS[dimension]} of at most {shown(LARGEST, dimension, 'metric')}"
        raise QuantityError(due=due, found=quoted(text.strip()))
    return total


def _terms(text: str, dimension: Dimension) -> list[_Term]:
    terms: list[_Term] = []
    position = 0
    while position < len(text):
        match = _TERM.match(text, position)
        if match is None or not (match["number"] or match["top"]):
            raise QuantityError(_due(text.strip(), dimension))
        terms.append(_term(match, text, dimension))
        position = match.end()
    if not terms:
        raise QuantityError(_due(text.strip(), dimension))
    return terms


def _term(match: re.Match[str], text: str, dimension: Dimension) -> _Term:
    decimal = re.fullmatch(_COMMA, match["number"] or "") is not None
    if decimal and match["unit"] not in _METRIC:
        raise QuantityError(_due(text.strip(), dimension))
    try:
        if match["top"]:
            size = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
        else:
            size = float(match["number"].replace(",", "." if decimal else ""))
    except (ValueError, ZeroDivisionError, OverflowError):
        raise QuantityError(_due(text.strip(), dimension)) from None
    unit = _WORDS.get(match["unit"], match["unit"])
    return _Term(number=-size if match["sign"] == "-" else size, unit=unit)


def _wrong_unit(unit: str, text: str, dimension: Dimension) -> Fault:
    other = dimension_of(unit)
    known = f"{unit} is {NOUNS[other]}" if other else f"no unit is called {unit[:20]}"
    return replace(_due(text.strip(), dimension), hint=known)


def _due(found: Any, dimension: Dimension) -> Fault:
    due = f"{NOUNS[dimension]} with its unit, such as {EXAMPLES[dimension]}"
    return Fault(due=due, found=quoted(found))
