"""The tables, as numbered steps from an empty file to this version's logbook."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from steelyard.fault import Fault
from steelyard.logbook.logbook_faults import AS_IT_IS, LogbookError
from steelyard.logbook.sound import seal

APPLICATION: Final = 0x53544C59
"""PRAGMA application_id of a logbook: "STLY"."""
_MAGIC: Final = b"SQLite format 3\0"

_FIRST: Final = """
CREATE TABLE weighing (
    id INTEGER PRIMARY KEY,
    fingerprint TEXT NOT NULL UNIQUE,
    written TEXT NOT NULL,
    clock TEXT NOT NULL,  -- `taken` in a form that sorts
    rig_name TEXT NOT NULL,
    rig_hash TEXT NOT NULL,
    taken TEXT NOT NULL,
    place TEXT,
    note TEXT,
    trailer_kg REAL NOT NULL,
    trailer_sd_kg REAL NOT NULL CHECK (trailer_sd_kg >= 0),
    tongue_kg REAL NOT NULL,
    tongue_sd_kg REAL NOT NULL CHECK (tongue_sd_kg >= 0),
    share REAL NOT NULL,
    share_sd REAL NOT NULL CHECK (share_sd >= 0),
    chance REAL,
    version TEXT NOT NULL
) STRICT;
CREATE INDEX weighing_by_clock ON weighing (clock, id);
CREATE INDEX weighing_by_rig ON weighing (rig_name COLLATE NOCASE, clock, id);
CREATE TABLE posterior (
    weighing INTEGER PRIMARY KEY REFERENCES weighing (id),
    names TEXT NOT NULL,   -- a JSON array
    scales TEXT NOT NULL,  -- a JSON array
    mean BLOB NOT NULL,    -- little-endian float64, p
    cov BLOB NOT NULL,     -- little-endian float64, p x p
    ticket_text TEXT NOT NULL,
    rig_text TEXT NOT NULL
) STRICT;
CREATE TABLE reading (
    weighing INTEGER NOT NULL REFERENCES weighing (id),
    line INTEGER NOT NULL,
    pass_name TEXT NOT NULL,
    kind TEXT NOT NULL,
    name TEXT NOT NULL,
    value_si REAL NOT NULL,
    sd_si REAL NOT NULL CHECK (sd_si >= 0),
    unit TEXT NOT NULL,
    text TEXT NOT NULL,
    predicted_si REAL,
    standardised REAL,
    PRIMARY KEY (weighing, line)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER weighing_kept BEFORE DELETE ON weighing
    BEGIN SELECT RAISE(ABORT, 'a logbook keeps every weighing'); END;
CREATE TRIGGER posterior_kept BEFORE DELETE ON posterior
    BEGIN SELECT RAISE(ABORT, 'a logbook keeps every weighing'); END;
CREATE TRIGGER reading_kept BEFORE DELETE ON reading
    BEGIN SELECT RAISE(ABORT, 'a logbook keeps every reading'); END;
"""

_SECOND: Final = """
CREATE TABLE running (  -- a weighing written down as it goes on; what came last stands for it
    step INTEGER PRIMARY KEY,
    run TEXT NOT NULL,
    weighing INTEGER REFERENCES weighing (id)  -- NULL: every reading of it was taken back
) STRICT;
CREATE INDEX running_by_run ON running (run, step);
CREATE INDEX running_by_weighing ON running (weighing);
CREATE TRIGGER running_kept BEFORE DELETE ON running
    BEGIN SELECT RAISE(ABORT, 'a logbook keeps every step'); END;
CREATE TRIGGER running_unchanged BEFORE UPDATE ON running
    BEGIN SELECT RAISE(ABORT, 'a logbook keeps every step'); END;
"""

_THIRD: Final = """
DROP TRIGGER running_unchanged;
ALTER TABLE weighing ADD COLUMN seal TEXT NOT NULL DEFAULT '';  -- of its three marks
ALTER TABLE running ADD COLUMN seal TEXT NOT NULL DEFAULT '';  -- of the row
UPDATE weighing SET seal = seal(fingerprint, written, clock);
UPDATE running SET seal = seal(step, run, weighing);
CREATE TRIGGER running_unchanged BEFORE UPDATE ON running
    BEGIN SELECT RAISE(ABORT, 'a logbook keeps every step'); END;
"""

_FOURTH: Final = """
CREATE TABLE evidence (  -- what a weighing says of styles, their priors divided out
    weighing INTEGER PRIMARY KEY REFERENCES weighing (id),
    found TEXT NOT NULL,  -- a JSON array
    seal TEXT NOT NULL    -- of the weighing's fingerprint and this
) STRICT;
CREATE TRIGGER evidence_kept BEFORE DELETE ON evidence
    BEGIN SELECT RAISE(ABORT, 'a logbook keeps every weighing'); END;
"""

_FIFTH: Final = """
CREATE TABLE rig (  -- a rig of the book as it is now; it is put away, never removed
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    owner TEXT NOT NULL,
    note TEXT NOT NULL,
    made TEXT NOT NULL,
    changed TEXT NOT NULL,
    away INTEGER NOT NULL CHECK (away IN (0, 1)),
    revision INTEGER NOT NULL,
    at INTEGER NOT NULL,   -- which of its steps is now
    steps TEXT NOT NULL,   -- a JSON array: digest of each state, who made it
    acts TEXT NOT NULL,    -- a JSON array: keys of the last acts, so that none is done twice
    glance TEXT NOT NULL,  -- JSON of what a list shows of it; empty until that is worked out
    seal TEXT NOT NULL     -- of the row
) STRICT;
CREATE TABLE rig_state (
    rig INTEGER NOT NULL REFERENCES rig (id),
    digest TEXT NOT NULL,
    state TEXT NOT NULL,
    UNIQUE (rig, digest)
) STRICT;
CREATE TABLE rig_run (  -- whose a running weighing is
    run TEXT PRIMARY KEY,
    rig INTEGER NOT NULL REFERENCES rig (id),
    seal TEXT NOT NULL  -- of the row
) STRICT;
CREATE TRIGGER rig_kept BEFORE DELETE ON rig
    BEGIN SELECT RAISE(ABORT, 'a book keeps every rig'); END;
"""

MIGRATIONS: Final = (_FIRST, _SECOND, _THIRD, _FOURTH, _FIFTH)
"""Step n, counted from 1, turns a logbook of version n - 1 into one of version n. A step that has
been released is never edited; a change of the tables is a new step."""


def require_database(path: Path) -> None:
    """Refuse a file that holds something else: SQLite would write over one of a few bytes."""
    if path.exists() and not path.is_file():
        raise _foreign(path, "a folder, a pipe or a device")
    try:
        with path.open("rb") as file:
            head = file.read(len(_MAGIC))
    except OSError:  # not there yet, or SQLite will say what is wrong with it
        return
    if head not in (b"", _MAGIC):
        raise _foreign(path, "a file of another kind")


def require_ours(connection: sqlite3.Connection, path: Path, newest: int) -> None:
    """Refuse another program's database, and a logbook of a version not known yet."""
    connection.execute("BEGIN")  # one moment for all three: another program may be making it
    found = version(connection)
    application = _pragma(connection, "application_id")
    tables = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
    connection.execute("COMMIT")
    if application != APPLICATION and (application or found or tables):
        raise _foreign(path, "another program's database")
    if found > newest:
        due, hint = (
            f"a logbook of version {newest} or older",
            f"a newer steelyard wrote it; {AS_IT_IS}",
        )
        fault = Fault(file=str(path), due=due, found=f"version {found}", hint=hint)
        raise LogbookError(fault)


def _foreign(path: Path, found: str) -> LogbookError:
    return LogbookError(file=str(path), due="a logbook", found=found, hint=AS_IT_IS)


def migrate(connection: sqlite3.Connection, migrations: tuple[str, ...]) -> None:
    """Take every step that is missing, each in one transaction with its number."""
    connection.create_function("seal", -1, seal, deterministic=True)
    for number, step in enumerate(migrations, start=1):
        if version(connection) >= number:
            continue
        with transaction(connection):
            if version(connection) < number:  # another program may just have taken it
                _take(connection, number, step)


def _take(connection: sqlite3.Connection, number: int, step: str) -> None:
    for statement in _statements(step):
        connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {APPLICATION}")
    connection.execute(f"PRAGMA user_version = {number}")


def _statements(script: str) -> Iterator[str]:
    """One at a time: `executescript` would commit the transaction it is called in."""
    statement = ""
    for piece in script.split(";"):
        statement += piece + ";"
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""


def version(connection: sqlite3.Connection) -> int:
    """How many steps a logbook has taken; 0 for an empty file."""
    return _pragma(connection, "user_version")


def _pragma(connection: sqlite3.Connection, name: str) -> int:
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """All of what is inside or nothing; waits for its turn to write before it starts."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
