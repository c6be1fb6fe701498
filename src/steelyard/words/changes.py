"""What became of a rig between two of its files, in a few words each."""

from collections.abc import Iterator, Mapping
from typing import Any, Final

Data = Mapping[str, Any]
APART: Final = ("items", "name", "since", "format")
"""Tables told in words of their own, and keys that say nothing of the rig."""


def changes(before: Data, after: Data) -> tuple[str, ...]:
    """What was moved, put in, taken out or said anew, from the plain values of two rig files."""
    return (*_items(before, after), *_rest(before, after))


def _items(before: Data, after: Data) -> Iterator[str]:
    old, new = before.get("items", {}), after.get("items", {})
    for key, one in new.items():
        was, name = old.get(key), _name(key, one)
        if was is None:
            yield f"{name} put in {_place(after, one)}".strip()
            continue
        if was.get("place") != one.get("place"):
            yield f"{name} moved to {_place(after, one)}"
        if was.get("weight") != one.get("weight"):
            yield f"{name}: {_said(was.get('weight'))} → {_said(one.get('weight'))}"
    yield from (f"{_name(key, old[key])} taken out" for key in old if key not in new)


def _rest(before: Data, after: Data) -> Iterator[str]:
    old, new = (dict(_leaves(one)) for one in (before, after))
    for path in dict.fromkeys((*old, *new)):
        was, now = old.get(path), new.get(path)
        if was != now and path[0] not in APART:
            name = " ".join(path).replace("_", " ").replace("-", " ")
            yield f"{name}: {_said(was)} → {_said(now)}"


def _leaves(data: Data, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Values by path; a quantity with what is said of it is one value."""
    for key, one in data.items():
        if isinstance(one, Mapping) and "value" not in one:
            yield from _leaves(one, (*path, key))
        else:
            yield (*path, key), one


def _name(key: str, one: Any) -> str:
    title = one.get("title") if isinstance(one, Mapping) else None
    return str(title or key.replace("-", " ").replace("_", " "))


def _place(data: Data, item: Data) -> str:
    key = item.get("place")
    return _name(str(key), data.get("places", {}).get(key)) if key else ""


def _said(value: Any) -> str:
    if value is None:
        return "unsaid"
    if isinstance(value, Mapping):
        return str(value.get("value", "said"))
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)
