"""The same rig as another file might have it: reordered, a thing in halves, left for right."""

from collections.abc import Iterator, Mapping
from copy import deepcopy
from random import Random
from typing import Any, Final

Table = dict[str, Any]

SEATS: Final[Mapping[str, str]] = {
    "driver": "passenger",
    "passenger": "driver",
    "second-left": "second-right",
    "second-right": "second-left",
    "third-left": "third-right",
    "third-right": "third-left",
}
RULES: Final = ("together", "apart", "opposite", "size", "fixed", "slides", "max_stack")
LISTS: Final = ("items", "without", "bought", "used_up")
"""Of a stage: names of things."""


def reordered(table: Table, seed: int) -> Table:
    """Things and places in another order."""
    dice, found = Random(seed), dict(table)
    for key in ("items", "places"):
        names = list(table[key])
        dice.shuffle(names)
        found[key] = {name: table[key][name] for name in names}
    return found


def halved(table: Table) -> tuple[Table, Table] | None:
    """The rig with its heaviest thing of no rules weighed exactly, whole and in two halves, each
    where it rode; None where every thing has a rule or a spread that halves would not share."""
    found = deepcopy(table)
    named = {n for one in found["items"].values() for key in RULES[:3] for n in _names(one, key)}
    free = [n for n, one in found["items"].items() if n not in named and not set(RULES) & set(one)]
    if not free:
        return None
    name = max(free, key=lambda n: _number(found["items"][n]["weight"])[0])
    number, unit = _number(found["items"][name]["weight"])
    whole = {**found["items"][name], "weight": f"{number!r} {unit} +- 0 {unit}"}
    half = {**whole, "weight": f"{number / 2!r} {unit} +- 0 {unit}"}
    two = deepcopy(found)
    found["items"][name] = whole
    del two["items"][name]
    two["items"] |= {f"{name} a": half, f"{name} b": half}
    for stage in two.get("stages", {}).values():
        for key in set(LISTS) & set(stage):
            stage[key] = [
                each
                for one in stage[key]
                for each in ((f"{name} a", f"{name} b") if one == name else (one,))
            ]
    return found, two


def mirrored(table: Table) -> Table:
    """Left for right: all that has an offset, and who sits where."""
    found = deepcopy(table)
    for part in _parts(found):
        for key in {"offset", "cg_offset"} & set(part):
            part[key] = part[key].removeprefix("-") if part[key][0] == "-" else f"-{part[key]}"
    for person in found.get("people", {}).values():
        person["seat"] = SEATS.get(person["seat"], person["seat"])
    seats = found["vehicle"].get("seats")
    if seats:
        found["vehicle"]["seats"] = {SEATS.get(key, key): seat for key, seat in seats.items()}
    return found


def _parts(table: Any) -> Iterator[Table]:
    """Every table within a table, itself included."""
    if isinstance(table, dict):
        yield table
        for part in table.values():
            yield from _parts(part)


def _names(item: Table, key: str) -> list[str]:
    named = item.get(key, [])
    return [named] if isinstance(named, str) else list(named)


def _number(weight: Any) -> tuple[float, str]:
    """Number and unit of a stated weight."""
    text = weight["value"] if isinstance(weight, dict) else weight
    number, unit = text.split()[:2]
    return float(number), unit
