"""Plain data laid over the text of a rig file: what did not change keeps its comments and order."""

import tomllib
from collections.abc import Mapping
from typing import Any, Final

import tomlkit
from tomlkit.exceptions import TOMLKitError

from steelyard.files.reader import not_toml
from steelyard.rig import one_spelling, spelt_like

ORDERED: Final = "stages"
"""The table whose order means something: the stages of the trip."""


def merged(text: str, data: Mapping[str, Any], name: str = "rig file") -> str:
    """The text with every value of `data`, and nothing that `data` lacks; comments are kept.

    What is found under a new name keeps its comments too. Where the text is written in a way that
    cannot be changed piece by piece, the tables that differ are written anew, their comments lost.
    Raises FileFaultError where the text is not TOML.
    """
    try:
        data = spelt_like(one_spelling(data), tomllib.loads(text))
        if _same(tomllib.loads(text), data):
            return text
        document = tomlkit.parse(text)
    except (TOMLKitError, tomllib.TOMLDecodeError, RecursionError) as error:
        raise not_toml(name, str(error), text) from None
    try:
        _merge(document, data)
        found = tomlkit.dumps(document)
        if _same(tomllib.loads(found), data):
            return found
    except (TOMLKitError, tomllib.TOMLDecodeError, KeyError, TypeError, ValueError):
        pass
    return _anew(text, data)


def _same(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether two rigs are the same, the stages' order included."""
    return one == other and list(one.get(ORDERED, ())) == list(other.get(ORDERED, ()))


def _anew(text: str, data: Mapping[str, Any]) -> str:
    """The top tables that differ written anew, after those that do not; all anew if need be."""
    before = tomllib.loads(text)
    document = tomlkit.parse(text)
    differing = [key for key, value in data.items() if not _same_table(key, before, value)]
    try:
        for key in [key for key in before if key in differing or key not in data]:
            document.remove(key)
        for key in differing:
            document[key] = _new(data[key])
        found = tomlkit.dumps(document)
        if _same(tomllib.loads(found), data):
            return found
    except (TOMLKitError, tomllib.TOMLDecodeError, KeyError, TypeError, ValueError):
        pass
    return tomlkit.dumps(_new(data))


def _same_table(key: str, before: Mapping[str, Any], value: Any) -> bool:
    return key in before and _same({key: before[key]}, {key: value})


def _merge(table: Any, data: Mapping[str, Any]) -> None:
    _rename(table, data)
    for key in [key for key in table if key not in data]:
        del table[key]
    for key, value in data.items():
        old = table.get(key)
        if isinstance(old, dict) and isinstance(value, Mapping):
            _merge(old, value)
        elif old is None:
            _add(table, key, value)
        elif _plain(old) != value:
            table[key] = _beside(old, value)
    if ORDERED in data and list(table[ORDERED]) != list(data[ORDERED]):
        _reorder(table[ORDERED], list(data[ORDERED]))


def _add(table: Any, key: str, value: Any) -> None:
    """A new key, ahead of the comments that end its table: they may be tables to be taken up."""
    body = getattr(getattr(table, "value", None), "body", [])
    plain = not isinstance(value, Mapping) or isinstance(value.get("value"), str)
    tail = []
    while plain and body and body[-1][0] is None:
        tail.append(body.pop())
    table[key] = _new(value)
    body.extend(reversed(tail))


def _rename(table: Any, data: Mapping[str, Any]) -> None:
    """Tables that stand under a new name with all they hold keep their comments."""
    new = [key for key, value in data.items() if key not in table and isinstance(value, Mapping)]
    for old in [key for key in table if key not in data and isinstance(table[key], dict)]:
        plain = _plain(table[old])
        found = next((key for key in new if data[key] == plain), None)
        if found is not None:
            new.remove(found)
            table[found] = _nameless(table.pop(old))


def _reorder(table: Any, order: list[str]) -> None:
    held = {key: _nameless(table.pop(key)) for key in order}
    for key in order:
        table[key] = held[key]


def _nameless(table: Any) -> Any:
    """A table that takes its head from where it is put, not from where it stood."""
    if isinstance(table, tomlkit.items.Table):
        table.display_name = None
    for inner in table.values() if isinstance(table, dict) else ():
        _nameless(inner)
    return table


def _beside(old: Any, value: Any) -> Any:
    """A new value with the comment that stood beside the old one."""
    new = _new(value) if isinstance(value, Mapping) else tomlkit.item(value)
    if isinstance(old, tomlkit.items.Item) and isinstance(new, tomlkit.items.Item):
        new.trivia.comment, new.trivia.comment_ws = old.trivia.comment, old.trivia.comment_ws
    return new


def _plain(old: Any) -> Any:
    return old.unwrap() if hasattr(old, "unwrap") else old


def _new(value: Any) -> Any:
    """A table for a new table; one that holds only tables needs no head of its own, and a number
    with what is said of it stands on one line."""
    if not isinstance(value, Mapping):
        return value
    if isinstance(value.get("value"), str):
        line = tomlkit.inline_table()
        line.update(value)
        return line
    super_table = bool(value) and all(isinstance(one, Mapping) for one in value.values())
    table = tomlkit.table(is_super_table=super_table)
    for key, one in value.items():
        table[key] = _new(one)
    return table
