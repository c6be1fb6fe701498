"""Things under names of the user's own: made, renamed with every reference, taken out, put in
another order. Each returns new data and leaves the old as it was."""

from collections.abc import Mapping
from typing import Any, Final, Literal

from steelyard.files import changes
from steelyard.files.changes import AskError, Data
from steelyard.rig import SEAT_ROWS

How = Literal["one", "may", "list", "key"]

REFERENCES: Final[dict[str, tuple[tuple[str, How], ...]]] = {
    "places": (("items.*.place", "one"),),
    "items": (
        ("items.*.together", "list"),
        ("items.*.apart", "list"),
        ("items.*.opposite", "may"),
        ("stages.*.items", "list"),
        ("stages.*.without", "list"),
        ("stages.*.bought", "list"),
        ("stages.*.used_up", "list"),
    ),
    "people": (("stages.*.people", "list"),),
    "stages": (
        ("places.*.blocked_at", "list"),
        ("items.*.reachable_at", "list"),
        ("hitch.bars.set_at", "one"),
        ("felt.*.stage", "one"),
    ),
    "trailer.tanks": (("stages.*.tanks", "key"),),
    "vehicle.tanks": (("stages.*.vehicle_tanks", "key"),),
    "vehicle.seats": (("people.*.seat", "one"),),
}
"""Where a name of a table is used: paths with * for any name, and how it stands there; what `may`
go goes with the thing."""
ALWAYS: Final = {("vehicle.tanks", "fuel")}
"""Names that mean something to the library itself."""
MEANT: Final = ("items", "people")
"""Lists in which nothing left is not the same as no list."""


def made(data: Data, table: str, name: str, holds: Data) -> dict[str, Any]:
    """A new thing; refused where the name is taken."""
    if name in held(data, table):
        raise AskError(f'There is "{name}" among the {said(table)} already; take another name.')
    return changes.put(data, (*table.split("."), name), dict(holds))


def renamed(data: Data, table: str, old: str, new: str) -> dict[str, Any]:
    """A thing under another name, in its old place, every reference with it."""
    mine = _with(data, table, old)
    if old == new:
        return dict(data)
    if new in mine:
        raise AskError(f'There is "{new}" among the {said(table)} already; take another name.')
    if (table, old) in ALWAYS:
        raise AskError(f'"{old}" keeps its name: Steelyard knows it by that.')
    whole = {new if key == old else key: value for key, value in mine.items()}
    found = changes.put(data, table.split("."), whole)
    for path, how in REFERENCES.get(table, ()):
        for where in used(found, path):
            found = _refer(found, where, how, old, new)
    return found


def dropped(data: Data, table: str, name: str) -> dict[str, Any]:
    """The data without a thing; lists forget it, but what needs it is told and nothing is done."""
    _with(data, table, name)
    found = changes.put(data, (*table.split("."), name), None)
    for path, how in REFERENCES.get(table, ()):
        places = used(found, path)
        users = [where for where in places if how == "one" and changes.at(found, where) == name]
        if users and not _known(table, name):
            _refuse(table, name, users)
        for where in places if how != "one" and not _known(table, name) else ():
            found = _refer(found, where, how, name, None)
    return found


def ordered(data: Data, table: str, name: str, by: int) -> dict[str, Any]:
    """The thing one step further up (-1) or down (+1)."""
    mine = _with(data, table, name)
    names = list(mine)
    index = names.index(name)
    if not 0 <= index + by < len(names):
        raise AskError(f'"{name}" is {"first" if by < 0 else "last"} already.')
    names.insert(index + by, names.pop(index))
    return changes.put(data, table.split("."), {key: mine[key] for key in names})


def held(data: Data, table: str) -> Data:
    """The things of a table by name."""
    found = changes.at(data, table.split("."))
    return found if isinstance(found, Mapping) else {}


def used(data: Data, path: str) -> list[tuple[str, ...]]:
    """The paths that a pattern with * stands for, of those that the data has."""
    found: list[tuple[str, ...]] = [()]
    for part in path.split("."):
        found = [
            (*one, key)
            for one in found
            for key in (_keys(data, one) if part == "*" else [part])
            if changes.at(data, (*one, key)) is not None
        ]
    return found


def said(table: str) -> str:
    """`trailer's tanks`, `places`: a table as a person says it."""
    return table.replace("trailer.", "trailer's ").replace("vehicle.", "vehicle's ").split(".")[-1]


def _keys(data: Data, path: tuple[str, ...]) -> list[str]:
    inner = changes.at(data, path) if path else data
    return list(inner) if isinstance(inner, Mapping) else []


def _with(data: Data, table: str, name: str) -> Data:
    mine = held(data, table)
    if name not in mine:
        raise AskError(f'There is no "{name}" among the {said(table)}.')
    return mine


def _refer(
    data: Data, where: tuple[str, ...], how: How, old: str, new: str | None
) -> dict[str, Any]:
    """One reference under the new name, or (new None) gone."""
    value = changes.at(data, where)
    if how in ("one", "may"):
        return changes.put(data, where, new) if value == old else dict(data)
    if old not in value:
        return dict(data)
    if how == "key":
        kept = {(new if key == old else key): one for key, one in value.items()}
        kept.pop(None, None)
        return changes.put(data, where, kept or None)
    listed = [new if one == old else one for one in value if one != old or new is not None]
    return changes.put(data, where, listed if listed or where[-1] in MEANT else None)


def _known(table: str, name: str) -> bool:
    """Whether the name goes on meaning something when its table is gone."""
    return (table == "vehicle.seats" and name in SEAT_ROWS) or (table, name) in ALWAYS


def _refuse(table: str, name: str, users: list[tuple[str, ...]]) -> None:
    names = [one[1] if one[0] != "hitch" else "the spring bars" for one in users]
    more = f" and {len(names) - 5} more" if len(names) > 5 else ""
    raise AskError(
        f'"{name}" is still used by {", ".join(names[:5])}{more}: give'
        f" {'it' if len(users) == 1 else 'them'} another of the {said(table)} first."
    )
