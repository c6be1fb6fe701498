"""Which numbers of a rig are varied, and between what: paths as in the rig file."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pydantic import BaseModel, ValidationError

from steelyard.columns.alike import Path
from steelyard.fault import Fault, FaultError, missing, quoted
from steelyard.quantity import Dimension, Level, Value
from steelyard.rig import Rig, spelt_path
from steelyard.rig.validation import quantity_of, validation_faults

BETWEEN = ".."


@dataclass(frozen=True, slots=True, kw_only=True)
class Varied:
    """Numbers of a rig that move together, `low` to `high` in SI; `name`: their paths as asked;
    `unit`: what it is in, for a column's name."""

    name: str
    paths: tuple[Path, ...]
    low: float
    high: float
    unit: str

    @property
    def column(self) -> str:
        """Name of its column in a table."""
        return f"{self.name}_{self.unit}" if self.unit else self.name


SUFFIXES: Final[Mapping[Dimension, str]] = {
    "mass": "kg",
    "length": "m",
    "pressure": "pa",
    "force": "n",
    "rate": "n_per_m",
    "angle": "rad",
    "share": "",
    "volume": "m3",
    "speed": "mps",
    "economy": "m_per_m3",
    "power": "w",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """What is asked: paths of a rig file, and both ends as a rig file would say them."""

    paths: tuple[str, ...]
    low: str
    high: str


def read_range(text: str) -> Range:
    """`items.bikes.weight=40 lb..140 lb`; several paths with commas are tied. FaultError."""
    paths, equals, ends = text.partition("=")
    low, dots, high = (part.strip() for part in ends.partition(BETWEEN))
    if not equals or not dots or not low or not high:
        due = "PATH=LOW..HIGH, as in items.bikes.weight=40 lb..140 lb"
        raise FaultError(argument="vary", due=due, found=quoted(text))
    return Range(paths=tuple(path.strip() for path in paths.split(",")), low=low, high=high)


def varied(rig: Rig, ranges: Sequence[Range]) -> tuple[Rig, tuple[Varied, ...]]:
    """The rig with every varied number stated, and what varies.

    FaultError for a path that is no number of a rig, an end that no
    rig has there, a range the wrong way, a path named twice.
    """
    whole, found, seen = rig, list[Varied](), set[str]()
    for one in ranges:
        for path in one.paths:
            if path in seen:
                raise FaultError(argument="vary", due="each path once", found=f"{path} again")
            seen.add(path)
        ends = [_ended(rig, one, text) for text in (one.low, one.high)]
        keys = tuple(_keys(ends[0], path) for path in one.paths)
        low, high = (at(end, keys[0]).value for end in ends)
        if not low < high:
            due, said = "a range from low to high", f"{one.low}{BETWEEN}{one.high}"
            raise FaultError(argument="vary", due=due, found=f"{one.paths[0]}={said}")
        whole = _stated(whole, rig, ends[0], keys)
        unit = _unit(ends[0], keys[0])
        name = ",".join(one.paths)
        found.append(Varied(name=name, paths=keys, low=low, high=high, unit=unit))
    return whole, tuple(found)


def at(fact: Any, path: Path) -> Any:
    """What stands at a path of keys."""
    for key in path:
        fact = fact[key] if isinstance(fact, Mapping) else getattr(fact, key)
    return fact


def _ended(rig: Rig, one: Range, text: str) -> Rig:
    """The rig with one end of a range at every path that it ties."""
    data = rig.model_dump(by_alias=True, exclude_none=True)
    for path in one.paths:
        keys = spelt_path(path.split("."))
        table: Any = data
        for key in keys[:-1]:
            table = table.setdefault(key, {})
            if not isinstance(table, dict):
                raise FaultError(_no_number(path, table))
        old = table.get(keys[-1])
        table[keys[-1]] = (
            {**old, "value": text} if isinstance(old, dict) and "value" in old else text
        )
    try:
        return Rig.model_validate(data).owning(rig.owned)
    except ValidationError as error:
        _missed(rig, one)
        raise FaultError(*validation_faults(error, Rig)) from None


def _missed(rig: Rig, one: Range) -> None:
    """FaultError where a path names a thing that the rig does not have."""
    for path in one.paths:
        fact: Any = rig
        for key in path.split(".")[:-1]:
            if isinstance(fact, Mapping) and key not in fact:
                raise FaultError(missing("things there", key, fact, argument="vary"))
            fact = fact.get(key) if isinstance(fact, Mapping) else getattr(fact, key, None)


def _keys(rig: Rig, path: str) -> Path:
    """Names of the fields that a path of file keys goes through, down to one number."""
    fact: Any = rig
    found: list[str] = []
    for key in spelt_path(path.split(".")):
        name = _field(fact, key)
        fact = fact[name] if isinstance(fact, Mapping) else getattr(fact, name, None)
        found.append(name)
    if isinstance(fact, Level):
        part = "share" if fact.share is not None else "volume"
        return (*found, part)
    if not isinstance(fact, Value):
        raise FaultError(_no_number(path, fact))
    return tuple(found)


def _field(fact: Any, key: str) -> str:
    if not isinstance(fact, BaseModel):
        return key
    fields = type(fact).model_fields
    return next((name for name, one in fields.items() if one.alias == key), key)


def _unit(rig: Rig, path: Path) -> str:
    """The unit that a number is in, inside, as a column's name has it."""
    fact = at(rig, path[:-1])
    if isinstance(fact, Level):
        return "m3" if path[-1] == "volume" else ""
    field = type(fact).model_fields[path[-1]] if isinstance(fact, BaseModel) else None
    of = None if field is None else quantity_of(field)
    return "" if of is None else SUFFIXES[of.dimension]


def _no_number(path: str, found: Any) -> Fault:
    said = f"{quoted(found)} at {path}" if isinstance(found, str | int | float) else path
    return Fault(argument="vary", due="the path of a number with a unit", found=said)


def _stated(whole: Any, rig: Rig, end: Rig, keys: Sequence[Path]) -> Any:
    """The rig as it is where it states these numbers, else with those of one end put in."""
    for path in keys:
        try:
            there = isinstance(at(rig, path), Value)
        except (KeyError, AttributeError):
            there = False
        whole = whole if there else _put(whole, end, path)
    return whole


def _put(whole: Any, end: Any, path: Path) -> Any:
    """One fact of another rig put into this one."""
    if not path or whole is None:
        return end
    inner = _put(_inner(whole, path[0]), _inner(end, path[0]), path[1:])
    if isinstance(whole, Mapping):
        return {**whole, path[0]: inner}
    if isinstance(whole, Level):
        return end
    return whole.model_copy(update={path[0]: inner})


def _inner(fact: Any, key: str) -> Any:
    return fact.get(key) if isinstance(fact, Mapping) else getattr(fact, key, None)
