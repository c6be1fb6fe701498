"""What can be wrong with a logbook, each in one sentence."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import MappingProxyType
from typing import Final

_SENTENCES: Final = MappingProxyType(
    {
        sqlite3.SQLITE_FULL: "the disk is full: nothing was written, all that was there is kept",
        sqlite3.SQLITE_NOTADB: "expected a logbook, found a file of another kind; it was left as"
        " it is",
        sqlite3.SQLITE_CORRUPT: "this logbook is damaged: nothing was written; take a copy before"
        " anything else",
        sqlite3.SQLITE_BUSY: "another program has kept this logbook busy too long: nothing was"
        " written; try again",
        sqlite3.SQLITE_READONLY: "expected a logbook that can be written to, found one that cannot",
        sqlite3.SQLITE_CANTOPEN: "expected a file in a folder that can be written to, found none",
        sqlite3.SQLITE_IOERR: "the disk refuses to read or write (it may be full): nothing was"
        " written, all that was there is kept",
    }
)


class LogbookError(Exception):
    """A logbook, or a weighing for it, that cannot be used; the message is one sentence."""


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn what the database says into a LogbookError that names the file."""
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", None)
        sentence = _SENTENCES.get(code & 0xFF) if code is not None else None
        raise LogbookError(f"{path}: {sentence or error}") from error
