"""Writing changes back into a rig file: comments kept, a backup first, whole or not at all."""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from steelyard.fault import Fault
from steelyard.files.changes import at, moved, put
from steelyard.files.faults import FileFaultError
from steelyard.files.merge import merged
from steelyard.files.names import dropped
from steelyard.files.reader import RIG_FILE, not_toml, parse_rig, read_text
from steelyard.files.writer import write_over
from steelyard.quantity import Z95, written_like
from steelyard.rig import Rig

MILLIMETRE: Final = 0.001
"""m: how exactly a station is written into a rig file."""


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
        data: Any = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise not_toml(name, str(error), text) from None
    for item, place in edits.places.items():
        data = moved(data, item, place)
    for item, station in (edits.stations or {}).items():
        data = put(data, ("items", item, "station"), station)
    for item in edits.gone:
        data = dropped(data, "items", item)
    for item, table in (edits.new or {}).items():
        data = put(data, ("items", item), dict(table))
    trailer = at(data, ("trailer", "tanks")) or {}
    for (stage, tank), level in (edits.levels or {}).items():
        key = "tanks" if tank in trailer else "vehicle_tanks"
        data = put(data, ("stages", stage, key, tank), level)
    return merged(text, data, name)


def station_text(rig: Rig, name: str, station: float) -> str:
    """A station as the file writes it, as surely as it had it."""
    old = rig.items[name].station
    sd = old.sd if old and old.sd else 0.0
    like = (old or rig.places[rig.items[name].place].station).text
    text = written_like(station, like, "length", MILLIMETRE)
    return text + (f" +- {written_like(Z95 * sd, like, 'length', MILLIMETRE)}" if sd else "")
