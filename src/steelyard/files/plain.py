"""Results as plain JSON values: one serialiser, which reads keys off the fields and converts no
number."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from types import MappingProxyType
from typing import Annotated, Any, Final, get_args, get_origin

import numpy as np

from steelyard.quantity.reported import UNREPORTED, Key, Unit

Forms = Mapping[type, Callable[[Any], Any]]
"""Types that stand otherwise in one report than their fields say."""
_AS_THEY_ARE: Final[Forms] = MappingProxyType({})


def plain(found: Any, forms: Forms = _AS_THEY_ARE) -> Any:
    """A result as JSON values; numbers null where they are not finite.

    A dataclass is a table of its fields, and of the properties whose annotation has a key.
    """
    if found is None or isinstance(found, str | bool | int):
        return found
    if isinstance(found, float):
        return found + 0.0 if math.isfinite(found) else None
    if type(found) in forms:
        return forms[type(found)](found)
    if isinstance(found, np.ndarray | np.generic):
        return plain(found.tolist(), forms)
    if isinstance(found, Mapping):
        return {str(key): plain(one, forms) for key, one in found.items()}
    if is_dataclass(found):
        return _table(found, forms)
    assert isinstance(found, Sequence), type(found)
    return [plain(one, forms) for one in found]


@dataclass(frozen=True, slots=True)
class _Entry:
    """One field, the tables and the key it stands under."""

    name: str
    tables: tuple[str, ...]
    key: str


def _table(found: Any, forms: Forms) -> dict[str, Any]:
    whole: dict[str, Any] = {}
    for entry in _entries(found.__class__):
        table = whole
        for name in entry.tables:
            table = table.setdefault(name, {})
        table[entry.key] = plain(getattr(found, entry.name), forms)
    return whole


@cache
def _entries(kind: type[Any]) -> tuple[_Entry, ...]:
    marks = {one.name: _marks(one.type) for one in fields(kind)}
    for name, one in vars(kind).items():
        if isinstance(one, property) and (found := _marks(one.fget.__annotations__["return"])):
            marks[name] = found
    return tuple(_entry(name, found) for name, found in marks.items() if UNREPORTED not in found)


def _marks(annotation: Any) -> tuple[Any, ...]:
    return get_args(annotation)[1:] if get_origin(annotation) is Annotated else ()


def _entry(name: str, marks: Sequence[Any]) -> _Entry:
    key = next((one.path for one in marks if isinstance(one, Key)), name)
    unit = next((one for one in marks if isinstance(one, Unit)), None)
    *tables, last = (key if unit is None else f"{key}_{unit.ending}").split(".")
    return _Entry(name=name, tables=tuple(tables), key=last)
