"""Writing changes back into a rig file: comments kept, a backup first, whole or not at all."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from steelyard.fault import Fault
from steelyard.files.faults import FileFaultError
from steelyard.files.reader import RIG_FILE, not_toml, parse_rig, read_text
from steelyard.files.writer import write_over

OF_THE_OLD_PLACE = ("station", "offset", "height")
"""What an item's table says of its spot within a place; it goes when the item moves."""


class FileChangedError(FileFaultError):
    """The file no longer holds what was read from it: somebody else has changed it meanwhile."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edits:
    """What to change: items to new places, items taken out, new items, levels, stations.

    levels are (stage, tank) to text; stations item to text; new items are tables of plain text.
    """

    places: Mapping[str, str]
    gone: Sequence[str] = ()
    new: Mapping[str, Mapping[str, Any]] | None = None
    levels: Mapping[tuple[str, str], str] | None = None
    stations: Mapping[str, str] | None = None


def edit_rig(path: Path, edits: Edits) -> Path:
    """Change a rig file in place and return the path of the backup beside it.

    The changed text is read as a rig before anything is written; FileFaultError where it is none.
    A file that was changed meanwhile by somebody else is theirs: nothing is written over it.
    """
    before = read_text(path, RIG_FILE.noun)
    return replace_text(path, before, edited(before, edits, path.name))


def replace_text(path: Path, before: str | None, after: str) -> Path:
    """Swap a rig file's text for another and return the path of the backup beside it.

    before: the text as it was read, None to write over whatever is there. FileFaultError where the
    new text is no rig, or the file no longer holds `before`.
    """
    parse_rig(after, path.name)
    before = read_text(path, RIG_FILE.noun) if before is None else before

    def look() -> None:
        if read_text(path, RIG_FILE.noun) != before:
            due, hint = "the file as it was read", "nothing is written"
            fault = Fault(file=path.name, due=due, found="it changed meanwhile", hint=hint)
            raise FileChangedError(fault)

    return write_over(path, after, look)


def edited(text: str, edits: Edits, name: str = "rig file") -> str:
    """The text of a rig file with changes, everything else as it was, comments included."""
    try:
        document = tomlkit.parse(text)
    except TOMLKitError as error:
        raise not_toml(name, str(error)) from None
    items: Any = document.get("items", {})
    for item, place in edits.places.items():
        table = items[item]
        if table["place"] != place:
            table["place"] = place
            for key in OF_THE_OLD_PLACE:
                table.pop(key, None)
    for item, station in (edits.stations or {}).items():
        items[item]["station"] = station
    for item in edits.gone:
        items.pop(item, None)
        _forget(document, item)
    for item, table in (edits.new or {}).items():
        if "items" not in document:
            document["items"] = tomlkit.table(is_super_table=True)
        whole: Any = document["items"]
        whole[item] = _table(table)
    for (stage, tank), level in (edits.levels or {}).items():
        _level(document, stage, tank, level)
    return tomlkit.dumps(document)


def _table(entries: Mapping[str, Any]) -> Any:
    table = tomlkit.table()
    for key, value in entries.items():
        table[key] = value
    return table


def _forget(document: Any, item: str) -> None:
    """Take an item's name out of every list that holds it."""
    tables = [*document.get("stages", {}).values(), *document.get("items", {}).values()]
    for table in tables:
        for key in ("items", "without", "bought", "used_up", "together", "apart"):
            if item in table.get(key, ()):
                table[key].remove(item)
        if table.get("opposite") == item:
            table.pop("opposite")


def _level(document: Any, stage: str, tank: str, level: str) -> None:
    table = document["stages"][stage]
    trailer = document.get("trailer", {}).get("tanks", {})
    key = "tanks" if tank in trailer else "vehicle_tanks"
    if key not in table:
        table[key] = tomlkit.inline_table()
    table[key][tank] = level
