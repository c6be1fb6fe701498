"""Plain data laid over the text of a rig file: what did not change keeps its comments and order."""

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from steelyard.files.faults import FileFaultError


def merged(text: str, data: Mapping[str, Any], name: str = "rig file") -> str:
    """The text with every value of `data`, and nothing that `data` lacks; comments are kept.

    Raises FileFaultError where the text is not TOML.
    """
    try:
        document = tomlkit.parse(text)
    except TOMLKitError as error:
        raise FileFaultError([f"{name}: expected TOML, found a fault: {error}"]) from None
    _merge(document, data)
    return tomlkit.dumps(document)


def _merge(table: Any, data: Mapping[str, Any]) -> None:
    for key in [key for key in table if key not in data]:
        del table[key]
    for key, value in data.items():
        old = table.get(key)
        if isinstance(old, dict) and isinstance(value, Mapping):
            _merge(old, value)
        elif old is None:
            table[key] = _new(value)
        elif _plain(old) != value:
            table[key] = value


def _plain(old: Any) -> Any:
    return old.unwrap() if hasattr(old, "unwrap") else old


def _new(value: Any) -> Any:
    """A table for a new table; one that holds only tables needs no head of its own."""
    if not isinstance(value, Mapping):
        return value
    super_table = bool(value) and all(isinstance(one, Mapping) for one in value.values())
    table = tomlkit.table(is_super_table=super_table)
    for key, one in value.items():
        table[key] = _new(one)
    return table
