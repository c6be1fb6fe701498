"""Changes to a rig's plain data; each returns new data and leaves the old as it was."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any, Final

from steelyard.rig import spelt_path

Data = Mapping[str, Any]


class AskError(ValueError):
    """Something that cannot be done as asked; one clear sentence, and for an answer typed into a
    field the text that would mend it (empty: to clear it)."""

    def __init__(self, words: str, mend: str | None = None) -> None:
        super().__init__(words)
        self.mend = mend


@contextmanager
def asking(*faults: type[ValueError], of: str = "") -> Iterator[None]:
    """A fault of these kinds is told as an AskError, in its own sentence. of: what it is about."""
    try:
        yield
    except faults as error:
        raise AskError(f"{of}: {error}" if of else str(error)) from None


SPOT: Final = ("station", "offset", "height")
"""What an item says of its spot within a place; it goes when the item moves."""


def put(data: Data, path: Sequence[str], value: Any) -> dict[str, Any]:
    """The data with a value at a path; tables on the way are made. None takes the key out."""
    path = spelt_path(path)
    new, key = dict(data), path[0]
    if len(path) > 1:
        inner = new.get(key, {})
        if not isinstance(inner, Mapping):
            raise AskError(f"{'.'.join(path)}: expected a table at {key}, found {inner!r}")
        new[key] = put(inner, path[1:], value)
        if not new[key] and value is None:
            del new[key]
    elif value is None:
        new.pop(key, None)
    else:
        new[key] = value
    return new


def at(data: Data, path: Sequence[str]) -> Any:
    """What stands at a path; None where there is nothing."""
    found: Any = data
    for key in path:
        found = found.get(key) if isinstance(found, Mapping) else None
    return found


def moved(data: Data, item: str, place: str) -> dict[str, Any]:
    """An item in another place; the spot it had in its old one goes."""
    table = dict(_item(data, item))
    if table.get("place") != place:
        table = {key: value for key, value in table.items() if key not in SPOT}
    return put(data, ("items", item), {**table, "place": place})


def _item(data: Data, item: str) -> Data:
    found = data.get("items", {}).get(item)
    if found is None:
        raise AskError(f'There is no item "{item}".')
    return dict(found)
