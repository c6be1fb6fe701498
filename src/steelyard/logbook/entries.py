"""What stands in a logbook, read back entry by entry and held against its fingerprint.

Only the tables themselves are read, by their own numbers: an index may be damaged and leave rows
out without a word. An entry that has lost a part, or is not what was written, is named and not
given.
"""

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, Final

import numpy as np

from steelyard.learning import Evidence
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.records import Lesson, Logged, LoggedReading, Summary, Weighing
from steelyard.logbook.sound import digest, seal, wall_clock

IN_POSTERIOR: Final = ("names", "scales", "mean", "cov", "ticket_text", "rig_text")
IN_WEIGHING: Final = tuple(
    field.name
    for field in fields(Weighing)
    if field.name not in (*IN_POSTERIOR, "readings", "evidence")
)
IN_READING: Final = tuple(field.name for field in fields(LoggedReading))
_MARKS: Final = ("written", "clock", "fingerprint", "seal")
_WHOLE_BOOK: Final = (
    sqlite3.SQLITE_BUSY,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_LOCKED,
    sqlite3.SQLITE_NOTADB,
)
"""What the database says when it is not one entry that is the matter."""
_NUMBERS: Final = (
    "SELECT id FROM weighing NOT INDEXED ORDER BY id",
    "SELECT weighing FROM posterior NOT INDEXED ORDER BY weighing",
    "SELECT DISTINCT weighing FROM reading NOT INDEXED ORDER BY weighing",
)


class DamagedError(Exception):
    """An entry that is not what was written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """Of running weighings: each entry's run, which entries stand, and the damaged steps."""

    runs: Mapping[int, str]
    standing: frozenset[int]
    damaged: tuple[int, ...]


def numbers(connection: sqlite3.Connection) -> list[int]:
    """Numbers of all entries of which anything is left, and those that are missing between."""
    found: set[int] = set()
    for command in _NUMBERS:
        for order in ("", " DESC"):
            rows = _rows(connection, command + order)
            found.update(row[0] for row in rows if isinstance(row[0], int))
            if rows.whole:
                break
    last = max(found, default=0)
    between = range(1, last) if last <= 2 * len(found) + 100 else ()
    return sorted(found.union(between))


class _Rows(list[tuple[Any, ...]]):
    whole = True


def _rows(connection: sqlite3.Connection, command: str) -> _Rows:
    """The rows, as many as can be read."""
    rows = _Rows()
    try:
        for row in connection.execute(command):
            rows.append(row)
    except sqlite3.Error as error:
        _of_one_entry(error)
        rows.whole = False
    return rows


def _of_one_entry(error: sqlite3.Error) -> None:
    """Raise what says that the whole book cannot be read now."""
    code = getattr(error, "sqlite_errorcode", None)
    if code is not None and code & 0xFF in _WHOLE_BOOK:
        raise error


def steps(connection: sqlite3.Connection) -> Steps:
    """Which entries belong to running weighings; steps that are not what was written left out."""
    rows = _rows(connection, "SELECT step, run, weighing, seal FROM running NOT INDEXED")
    sound = sorted(row[:3] for row in rows if row[3] == seal(*row[:3]))
    damaged = [int(row[0]) for row in rows if row[3] != seal(*row[:3])]
    damaged += [] if rows.whole else [len(rows) + 1]
    last = {run: weighing for _, run, weighing in sound}
    return Steps(
        runs={weighing: run for _, run, weighing in sound if weighing is not None},
        standing=frozenset(number for number in last.values() if number is not None),
        damaged=tuple(damaged),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry as it lies in the database, held against its fingerprint: columns by name."""

    id: int
    run: str | None
    stands: bool
    head: Mapping[str, Any]
    tail: Mapping[str, Any]
    readings: Sequence[Sequence[Any]]
    evidence: tuple[Evidence, ...] | None

    @property
    def clock(self) -> str:
        """When it was taken, in a form that sorts."""
        return str(self.head["clock"])

    def line(self) -> Summary:
        """Its line in the list."""
        known = {"id": self.id, "readings": len(self.readings), **self.head}
        return Summary(*(known[field.name] for field in fields(Summary)))

    def lesson(self) -> Lesson:
        """What it says of styles."""
        known = {name: self.head[name] for name in ("rig_name", "rig_hash")}
        return Lesson(id=self.id, evidence=self.evidence, **known)

    def whole(self) -> Logged:
        """Everything in it."""
        weighing = Weighing(
            **{name: self.head[name] for name in IN_WEIGHING},
            **_posterior(self.tail),
            readings=tuple(
                LoggedReading(**dict(zip(IN_READING, row, strict=True))) for row in self.readings
            ),
            evidence=self.evidence,
        )
        written = self.head["written"]
        return Logged(
            id=self.id, written=written, weighing=weighing, run=self.run, stands=self.stands
        )


def read(connection: sqlite3.Connection, number: int, known: Steps) -> Entry | None:
    """One entry, or None where there is nothing of it; DamagedError where it is not as written."""
    try:
        head = _row(connection, "weighing", "id", (*IN_WEIGHING, *_MARKS), number)
        tail = _row(connection, "posterior", "weighing", IN_POSTERIOR, number)
        rows = _readings(connection, number)
        if head is None and tail is None and not rows:
            return None
        if head is None or tail is None or not _as_written(head, tail, rows):
            raise DamagedError
        taught = _evidence(connection, number, head["fingerprint"])
    except sqlite3.Error as error:
        _of_one_entry(error)
        raise DamagedError from None
    except (ValueError, TypeError, KeyError, OverflowError, LogbookError):
        raise DamagedError from None
    run = known.runs.get(number)
    stands = run is None or number in known.standing
    return Entry(
        id=number, run=run, stands=stands, head=head, tail=tail, readings=rows, evidence=taught
    )


def _evidence(
    connection: sqlite3.Connection, number: int, fingerprint: str
) -> tuple[Evidence, ...] | None:
    row = _row(connection, "evidence", "weighing", ("found", "seal"), number)
    if row is None:
        return None
    if row["seal"] != seal(fingerprint, row["found"]):
        raise DamagedError
    return tuple(Evidence.of(one) for one in json.loads(row["found"]))


def _as_written(
    head: Mapping[str, Any], tail: Mapping[str, Any], rows: Sequence[Sequence[Any]]
) -> bool:
    names, scales = json.loads(tail["names"]), json.loads(tail["scales"])
    held = digest({**head, **tail}, rows, names, scales, tail["mean"], tail["cov"])
    written, clock, mark, own = (head[name] for name in _MARKS)
    return (
        mark == held
        and own == seal(mark, written, clock)
        and clock == wall_clock(head["taken"], path=("taken",))
        and len(tail["mean"]) == 8 * len(names)
        and len(tail["cov"]) == 8 * len(names) ** 2
    )


def _row(
    connection: sqlite3.Connection, table: str, key: str, columns: Iterable[str], number: int
) -> dict[str, Any] | None:
    names = tuple(columns)
    command = f"SELECT {', '.join(names)} FROM {table} NOT INDEXED WHERE {key} = ?"
    row = connection.execute(command, (number,)).fetchone()
    return None if row is None else dict(zip(names, row, strict=True))


def _readings(connection: sqlite3.Connection, number: int) -> list[tuple[Any, ...]]:
    command = f"SELECT line, {', '.join(IN_READING)} FROM reading WHERE weighing = ? ORDER BY line"
    rows = connection.execute(command, (number,)).fetchall()
    if [row[0] for row in rows] != list(range(len(rows))):
        raise DamagedError
    return [row[1:] for row in rows]


def _posterior(row: Mapping[str, Any]) -> dict[str, Any]:
    names = tuple(json.loads(row["names"]))
    mean = np.frombuffer(row["mean"], dtype="<f8")
    cov = np.frombuffer(row["cov"], dtype="<f8").reshape(len(names), len(names))
    return {
        **row,
        "names": names,
        "scales": tuple(json.loads(row["scales"])),
        "mean": tuple(mean.tolist()),
        "cov": tuple(map(tuple, cov.tolist())),
    }
