"""The logbook itself: weighings added whole, durable before the call returns, and never removed."""

import json
import sqlite3
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self

from steelyard.fault import Fault
from steelyard.learning import Evidence
from steelyard.logbook import change
from steelyard.logbook.entries import (
    IN_READING,
    IN_WEIGHING,
    DamagedError,
    Entry,
    numbers,
    read,
    steps,
)
from steelyard.logbook.logbook_faults import LogbookError, told
from steelyard.logbook.migrations import (
    MIGRATIONS,
    migrate,
    require_database,
    require_ours,
    transaction,
)
from steelyard.logbook.records import Lesson, Logged, Summary, Weighing
from steelyard.logbook.sound import fingerprint, matrix, require_sound, seal, vector, wall_clock

WAIT: Final = 30.0
"""s that a writer waits for another before it gives up."""
MOST: Final = 2**62


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """How many weighings an import added, and how many were there already."""

    added: int
    known: int


@dataclass(frozen=True, slots=True)
class Logbook:
    """Weighings in one SQLite file; several programs may read and write it at the same time."""

    path: Path
    connection: sqlite3.Connection
    damaged: dict[Fault, None] = field(default_factory=dict)
    """What was met that is not as it was written, in the order in which it was met."""

    @classmethod
    def open(
        cls, path: Path, migrations: tuple[str, ...] = MIGRATIONS, wait: float = WAIT
    ) -> "Logbook":
        """The logbook at `path`, made if there is none, brought up to date if it is older.

        Raises LogbookError, and leaves the file as it is, for one that is no logbook or is newer
        than this program.
        """
        with told(path):
            require_database(path)
            connection = _connect(path, wait)
            try:
                require_ours(connection, path, len(migrations))
                _set_up(connection, wait)
                migrate(connection, migrations)
            except BaseException:
                connection.close()
                raise
        return cls(path, connection)

    def close(self) -> None:
        """Let go of the file."""
        self.connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def add(self, weighing: Weighing) -> int:
        """Write a weighing, all of it or nothing, and give its number once it is on the disk.

        One that is there already, the same to the last bit, keeps its number: adding again after
        an answer that never came is safe.
        """
        require_sound(weighing)
        with self._writing():
            return self._insert(weighing, stamp())[0]

    def go_on(self, run: str, weighing: Weighing | None) -> int | None:
        """Write a running weighing as it now is; gives the number, as `add` does.

        What was written of `run` before is kept, and gives way to this in lists. None takes every
        reading back.
        """
        if weighing is not None:
            require_sound(weighing)
        with self._writing():
            number = self._insert(weighing, stamp())[0] if weighing is not None else None
            self._step(run, number)
        return number

    def bring_in(self, entries: Iterable[Logged]) -> Brought:
        """Add weighings out of another logbook, all or none, but those that are here already.

        Each keeps the time it was first written, and gets a number of this logbook. What stands
        for a running weighing is left as it is here where none of its entries is new.
        """
        kept = tuple(entries)
        for entry in kept:
            require_sound(entry.weighing)
            wall_clock(entry.written, path=("written",))
        with self._writing():
            done = [self._insert(entry.weighing, entry.written) for entry in kept]
            self._bring_steps(kept, done)
        added = sum(new for _, new in done)
        return Brought(added=added, known=len(kept) - added)

    def list(
        self,
        rig: str | None = None,
        since: str | None = None,
        until: str | None = None,
        place: str | None = None,
        limit: int | None = None,
        *,
        on_the_way: bool = False,
    ) -> tuple[Summary, ...]:
        """Weighings in order of `taken`; with a limit, the last so many.

        Of a running weighing only the entry that stands for it, unless `on_the_way`.

        `since` and `until` are dates, both included, or dates and times, by the clock at the
        place. `rig` and `place` are whole names, capitals or not.
        """
        if limit is not None and limit < 1:
            raise LogbookError(argument="limit", due="at least 1", found=str(limit))
        low = wall_clock(since, argument="since") if since is not None else ""
        high = wall_clock(until, argument="until", end_of_day=True) if until is not None else "~"
        found = [
            entry.line()
            for entry in self._sound()
            if (on_the_way or entry.stands)
            and low <= entry.clock <= high
            and (rig is None or entry.head["rig_name"].casefold() == rig.casefold())
            and (place is None or (entry.head["place"] or "").casefold() == place.casefold())
        ]
        return tuple(found[-limit:] if limit is not None else found)

    def get(self, number: int) -> Logged:
        """One weighing with everything in it; LogbookError where it is damaged."""
        with told(self.path):
            try:
                entry = read(self.connection, min(max(number, 0), MOST), steps(self.connection))
            except DamagedError:
                raise LogbookError(self._damage("weighing", number)) from None
        if entry is None:
            found = str(number) if number <= MOST else "one that none can have"
            due = "the number of a weighing"
            raise LogbookError(file=str(self.path), due=due, found=found)
        return entry.whole()

    def all(self) -> tuple[Logged, ...]:
        """Every sound weighing with everything in it, in order of `taken`; those on the way too."""
        return tuple(entry.whole() for entry in self._sound())

    def lessons(self) -> Iterator[Lesson]:
        """What each sound weighing that stands says of styles, in the order of their numbers."""
        return (entry.lesson() for entry in self._entries() if entry.stands)

    def teach(self, evidence: Mapping[int, tuple[Evidence, ...]]) -> None:
        """Add what weighings say of styles, by their numbers, where that was not written yet."""
        with self._writing():
            for number, found in evidence.items():
                command = (
                    "SELECT fingerprint FROM weighing WHERE id = ?"
                    " AND id NOT IN (SELECT weighing FROM evidence)"
                )
                for (mark,) in self.connection.execute(command, (number,)).fetchall():
                    self._put_evidence(number, mark, found)

    def rigs(self) -> tuple[str, ...]:
        """Names of the rigs that were weighed."""
        return tuple(sorted({line.rig_name for line in self.list(on_the_way=True)}))

    def _sound(self) -> Sequence[Entry]:
        """Every entry that is as it was written, in order of `taken`; `damaged` names others."""
        return sorted(self._entries(), key=lambda entry: (entry.clock, entry.id))

    def _entries(self) -> Iterator[Entry]:
        with told(self.path):
            known = steps(self.connection)
            self.damaged.update((self._damage("step", n), None) for n in known.damaged)
            for number in numbers(self.connection):
                try:
                    entry = read(self.connection, number, known)
                except DamagedError:
                    entry = None
                if entry is not None:
                    yield entry
                else:
                    self.damaged[self._damage("weighing", number)] = None

    def _damage(self, what: str, number: int) -> Fault:
        due, hint = "it as it was written", "its disk or a copy of it failed; look for an export"
        path = (what, number)
        return Fault(file=str(self.path), path=path, due=due, found="it damaged", hint=hint)

    def drift(
        self, rig_name: str, since: str | None = None, until: str | None = None
    ) -> change.Drift:
        """What changed between a rig's first weighing and its last, and per 100 days."""
        return change.drift(rig_name, self.list(rig=rig_name, since=since, until=until))

    def compare(self, first: int, second: int) -> change.Comparison:
        """Two weighings side by side."""
        return change.compare(self.get(first), self.get(second))

    @contextmanager
    def _writing(self) -> Iterator[None]:
        """One transaction; a book whose pages are damaged is not written to, lest it lose more."""
        with told(self.path), transaction(self.connection):
            if self.connection.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
                due, hint = "a whole logbook", "nothing was written: export what is sound"
                fault = Fault(file=str(self.path), due=due, found="a damaged one", hint=hint)
                raise LogbookError(fault)
            yield

    def _insert(self, weighing: Weighing, written: str) -> tuple[int, bool]:
        mark = fingerprint(weighing)
        known = self.connection.execute("SELECT id FROM weighing WHERE fingerprint = ?", (mark,))
        if row := known.fetchone():
            return int(row[0]), False
        head = {name: getattr(weighing, name) for name in IN_WEIGHING}
        clock = wall_clock(weighing.taken, path=("taken",))
        marks = {"fingerprint": mark, "written": written, "clock": clock}
        number = self._put("weighing", head | marks | {"seal": seal(mark, written, clock)})
        self._put("posterior", {"weighing": number} | _packed(weighing))
        if weighing.evidence is not None:
            self._put_evidence(number, mark, weighing.evidence)
        for line, reading in enumerate(weighing.readings):
            row = {name: getattr(reading, name) for name in IN_READING}
            self._put("reading", {"weighing": number, "line": line} | row)
        return number, True

    def _step(self, run: str, number: int | None) -> None:
        """What now stands for a run; said once."""
        last = self.connection.execute(
            "SELECT weighing FROM running WHERE run = ? ORDER BY step DESC LIMIT 1", (run,)
        ).fetchone()
        if last is None or last[0] != number:
            last_step = self.connection.execute("SELECT max(step) FROM running").fetchone()[0] or 0
            row = {"step": last_step + 1, "run": run, "weighing": number}
            self._put("running", row | {"seal": seal(*row.values())})

    def _bring_steps(self, kept: tuple[Logged, ...], done: Sequence[tuple[int, bool]]) -> None:
        """The runs that something new was brought of: their entries in order, what stands last."""
        rows = list(zip(kept, done, strict=True))
        fresh = {entry.run for entry, (_, new) in rows if new and entry.run is not None}
        rows.sort(key=lambda row: (row[0].stands, row[0].id))
        for run in sorted(fresh):
            mine = [row for row in rows if row[0].run == run]
            for _, (number, _) in mine:
                self._step(run, number)
            if not mine[-1][0].stands:
                self._step(run, None)

    def _put_evidence(self, number: int, mark: str, evidence: tuple[Evidence, ...]) -> None:
        found = json.dumps([asdict(one) for one in evidence])
        row = {"weighing": number, "found": found, "seal": seal(mark, found)}
        self._put("evidence", row)

    def _put(self, table: str, row: dict[str, Any]) -> int:
        marks = ", ".join("?" * len(row))
        command = f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks})"
        return int(self.connection.execute(command, tuple(row.values())).lastrowid or 0)


def _connect(path: Path, wait: float) -> sqlite3.Connection:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        hint = (error.strerror or "").lower()
        fault = Fault(file=str(path), due="a folder to write in", found="none", hint=hint)
        raise LogbookError(fault) from None
    return sqlite3.connect(
        path.absolute(), timeout=wait, isolation_level=None, check_same_thread=False
    )


def _set_up(connection: sqlite3.Connection, wait: float) -> None:
    """What each connection must ask for; the last of it stays in the file."""
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = FULL")  # on the disk before a commit returns
    connection.execute("PRAGMA fullfsync = ON")  # the same, where the system has a call of its own
    deadline = time.monotonic() + wait
    while connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        try:
            # A file system without shared memory keeps the older journal, which is as safe.
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:  # this one change does not wait its turn
            busy = error.sqlite_errorcode & 0xFF == sqlite3.SQLITE_BUSY
            if not busy or time.monotonic() > deadline:
                raise
            time.sleep(0.01)


def stamp() -> str:
    """The time as it is written, in UTC."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def _packed(weighing: Weighing) -> dict[str, Any]:
    return {
        "names": json.dumps(weighing.names, ensure_ascii=False),
        "scales": json.dumps(weighing.scales),
        "mean": vector(weighing).tobytes(),
        "cov": matrix(weighing).tobytes(),
        "ticket_text": weighing.ticket_text,
        "rig_text": weighing.rig_text,
    }
