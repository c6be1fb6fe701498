"""What can be wrong with a logbook, each in one sentence."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import MappingProxyType
from typing import Final

from steelyard.fault import Fault, FaultError

KEPT: Final = "nothing was written, all that was there is kept"
AS_IT_IS: Final = "it was left as it is"
_SAID: Final = MappingProxyType(
    {
        sqlite3.SQLITE_FULL: ("room on the disk", "it full", KEPT),
        sqlite3.SQLITE_NOTADB: ("a logbook", "a file of another kind", AS_IT_IS),
        sqlite3.SQLITE_CORRUPT: (
            "a whole logbook",
            "a damaged one",
            "nothing was written; take a copy before anything else",
        ),
        sqlite3.SQLITE_BUSY: (
            "its turn to write",
            "another program that has kept it busy too long",
            "nothing was written; try again",
        ),
        sqlite3.SQLITE_READONLY: ("a logbook that can be written to", "one that cannot", ""),
        sqlite3.SQLITE_CANTOPEN: ("a file in a folder that can be written to", "none", ""),
        sqlite3.SQLITE_IOERR: (
            "a disk that reads and writes",
            "one that refuses, perhaps since it is full",
            KEPT,
        ),
    }
)
"""What is due, was found and became of it, by the database's primary result code."""


class LogbookError(FaultError):
    """A logbook, or a weighing for it, that cannot be used."""


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn what the database says into a LogbookError that names the file."""
    try:
        yield
    except (sqlite3.Error, UnicodeDecodeError) as error:  # a damaged name makes a damaged message
        damaged = isinstance(error, UnicodeDecodeError)
        code = sqlite3.SQLITE_CORRUPT if damaged else getattr(error, "sqlite_errorcode", 0)
        due, found, hint = _SAID.get(code & 0xFF, ("a sound logbook", f"a fault: {error}", ""))
        fault = Fault(file=str(path), due=due, found=found, hint=hint)
        raise LogbookError(fault) from error
