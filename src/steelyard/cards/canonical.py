"""A rig file in its shortest steady form: what was stated, in the order of the form, as TOML.

No comments, no blank lines, nothing that a default says already. Equal rigs give equal text, and
the text is a rig file: reading it gives the same rig.
"""

import json
import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, Final

from pydantic import BaseModel

from steelyard.quantity import Z95, Dimension, Level, Value, parse
from steelyard.quantity.units import UNITS, dimension_of
from steelyard.rig import FORMAT, Rig

_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")
_SI: Final[Mapping[Dimension, str]] = {
    "mass": "kg",
    "length": "m",
    "pressure": "Pa",
    "force": "N",
    "rate": "N/m",
    "angle": "rad",
    "share": "of 1",
    "volume": "m3",
    "speed": "m/s",
    "power": "W",
    "time": "s",
    "moment": "N m",
}
NEAR: Final = 8
"""Neighbouring floats tried for a spread that reads back as the very same number."""


def canonical(rig: Rig) -> str:
    """The rig as the text of a rig file, without comments; the same for equal rigs."""
    data = {"format": FORMAT, **plain(rig)}
    return "\n".join(_lines(data, ())) + "\n"


def plain(fact: BaseModel) -> dict[str, Any]:
    """What a model states beyond its defaults, by the keys of the file."""
    found: dict[str, Any] = {}
    for name, field in type(fact).model_fields.items():
        stated = getattr(fact, name)
        if field.is_required() or stated != field.get_default(call_default_factory=True):
            found[field.alias or name] = _plain(stated)
    return found


def _plain(stated: Any) -> Any:
    if isinstance(stated, BaseModel):
        return plain(stated)
    if isinstance(stated, Level):
        return _value(stated.stated)
    if isinstance(stated, Value):
        return _value(stated)
    if isinstance(stated, Mapping):
        return {key: _plain(one) for key, one in stated.items()}
    if isinstance(stated, tuple):
        return [_plain(one) for one in stated]
    return stated


def _value(value: Value) -> Any:
    """A quantity's own text, or a table where more was said than the text tells."""
    more: dict[str, Any] = {}
    dimension = _dimension(value.text)
    if value.sd is not None and parse(value.text, dimension).sd != value.sd:
        more["spread"] = _spread(value.sd, dimension)
    if value.basis != "stated":
        more["basis"] = value.basis
    if value.includes is not None:
        more["includes"] = list(value.includes)
    if value.kind is not None:
        more["kind"] = value.kind
    return {"value": value.text, **more} if more else value.text


@cache
def _units() -> tuple[str, ...]:
    return tuple(sorted({unit for units in UNITS.values() for unit in units}, key=len)[::-1])


def _dimension(text: str) -> Dimension:
    """The dimension of a quantity's text, by the unit of its number."""
    number = re.split(r"\+-|\+/-|±", text)[0].rstrip()
    unit = next(unit for unit in _units() if number.endswith(unit))
    found = dimension_of(unit)
    assert found is not None
    return found


def _spread(sd: float, dimension: Dimension) -> str:
    """A spread written so that reading it gives this very sd."""
    unit = _SI.get(dimension, "km/L")
    size = UNITS[dimension][unit]
    half = sd * Z95 / size
    step = half * 2.0**-53
    tries = (half + n * step for n in range(-NEAR, NEAR + 1))
    return f"{next((x for x in tries if x * size / Z95 == sd), half)!r} {unit}"


def _lines(data: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    """Plain keys first, then a table for each group that is not written in one line."""
    groups = {key: x for key, x in data.items() if (isinstance(x, dict) and "value" not in x)}
    simple = {key: x for key, x in data.items() if key not in groups}
    if path and (simple or not groups):
        yield f"[{'.'.join(map(_key, path))}]"
    for key, one in simple.items():
        yield f"{_key(key)}={_inline(one)}"
    for key, group in groups.items():
        yield from _lines(group, (*path, key))


def _inline(x: Any) -> str:
    if isinstance(x, dict):
        return "{" + ",".join(f"{_key(key)}={_inline(one)}" for key, one in x.items()) + "}"
    if isinstance(x, list):
        return "[" + ",".join(map(_inline, x)) + "]"
    if isinstance(x, str):
        return json.dumps(x, ensure_ascii=False).replace("\x7f", "\\u007f")
    return repr(x).lower() if isinstance(x, bool) else repr(x)


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else _inline(name)
