"""The two spellings of a key: a rig file may say `tires` wherever `tyres` is due."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from pydantic import model_validator

from steelyard.fault import Fault
from steelyard.quantity import N, refused
from steelyard.rig.base import Fact

KEY, ALSO = "tyres", "tires"
_TRAILER: Final = ("trailer", "axles")
AXLES: Final = (
    ("vehicle", "front"),
    ("vehicle", "rear"),
    _TRAILER,
    *((*_TRAILER, which) for which in ("first", "second", "third")),
)
"""Tables of a rig file that hold one of tyres."""


class OnTyres(Fact[N]):
    """A table that holds one of tyres, under either spelling."""

    @model_validator(mode="before")
    @classmethod
    def _either(cls, data: Any) -> Any:
        if not isinstance(data, Mapping) or ALSO not in data:
            return data
        if KEY in data:
            raise refused(Fault(path=(ALSO,), due=f"{KEY} or {ALSO}", found="both"))
        return {KEY if key == ALSO else key: value for key, value in data.items()}


def spelt_path(path: Sequence[str]) -> tuple[str, ...]:
    """A path of a rig file with `tyres`, however it was spelt."""
    for axle in AXLES:
        end = len(axle)
        if tuple(path[:end]) == axle and tuple(path[end : end + 1]) == (ALSO,):
            return (*axle, KEY, *path[end + 1 :])
    return tuple(path)


def one_spelling(data: Mapping[str, Any]) -> Mapping[str, Any]:
    """Plain data of a rig file with `tyres`; the same object where it has it."""
    for axle in AXLES:
        data = _respelt(data, axle, ALSO, KEY)
    return data


def spelt_like(data: Mapping[str, Any], other: Mapping[str, Any]) -> Mapping[str, Any]:
    """Plain data with `tires` where another has it; everywhere, if it has no `tyres`."""
    tables = [_at(other, axle) for axle in AXLES]
    only = any(ALSO in one for one in tables) and not any(KEY in one for one in tables)
    for axle, table in zip(AXLES, tables, strict=True):
        if ALSO in table or only:
            data = _respelt(data, axle, KEY, ALSO)
    return data


def _at(data: Mapping[str, Any], path: Sequence[str]) -> Mapping[str, Any]:
    found: Any = data
    for key in path:
        found = found.get(key) if isinstance(found, Mapping) else None
    return found if isinstance(found, Mapping) else {}


def _respelt(data: Mapping[str, Any], path: Sequence[str], old: str, new: str) -> Mapping[str, Any]:
    table = _at(data, path)
    if old not in table or new in table:
        return data
    if path:
        return {**data, path[0]: _respelt(data[path[0]], path[1:], old, new)}
    return {new if key == old else key: value for key, value in data.items()}
