"""The book of rigs, in the logbook's file: each rig's work, kept before it counts, never removed.

What a state holds is text to this module. A row is held to its seal and a state to its digest
whenever it is read: what is damaged is named, and the sound ones stay.
"""

import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from threading import RLock
from typing import Final, NamedTuple

from steelyard.logbook.entries import steps
from steelyard.logbook.logbook_faults import LogbookError, told
from steelyard.logbook.migrations import transaction
from steelyard.logbook.records import Logged
from steelyard.logbook.sound import seal
from steelyard.logbook.store import MOST, Logbook, stamp

WAIT: Final = 5.0
"""s to wait for another program that writes."""
_ROW: Final = [
    "id",
    "name",
    "owner",
    "note",
    "made",
    "changed",
    "away",
    "revision",
    "at",
    "steps",
    "acts",
    "glance",
]


class MovedOnError(LogbookError):
    """Another program has changed the rig since it was read here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RigRow:
    """A rig as its row in the book says: who it belongs to, when it changed, where its work is.

    owner, note: what finds it again; away: put out of sight; at: which of `steps` is now, each a
    state's digest and who made it; acts: keys of the last acts; glance: what a list shows, made
    from the state that is now, empty where it was not worked out yet.
    """

    id: int
    name: str
    owner: str
    note: str
    made: str
    changed: str
    away: bool
    revision: int
    at: int
    steps: tuple[tuple[str, str], ...]
    acts: tuple[str, ...]
    glance: str

    def written(self) -> tuple[str | int, ...]:
        """Its columns as they lie in the database, without the seal."""
        lists = (json.dumps(self.steps), json.dumps(self.acts))
        told = (self.id, self.name, self.owner, self.note, self.made, self.changed)
        return (*told, int(self.away), self.revision, self.at, *lists, self.glance)


class RigWork(NamedTuple):
    """A rig's row and the texts of its steps in order; None for one that is damaged."""

    row: RigRow
    states: tuple[str | None, ...]


class Rigs:
    """The rigs of one book, for all threads of a program; other programs may use it too."""

    def __init__(self, path: Path, wait: float = WAIT) -> None:
        self.path = path
        self._wait, self._lock = wait, RLock()
        self._book: Logbook | None = None
        self._file: tuple[int, int] | None = None

    def close(self) -> None:
        """Let go of the file; the next call opens it again."""
        with self._lock:
            if self._book is not None:
                self._book.close()
            self._book = self._file = None

    def rows(self) -> tuple[tuple[RigRow, ...], tuple[int, ...]]:
        """All sound rigs in the order of their numbers, and the numbers of those damaged."""
        sound, damaged = [], []
        with self._open() as link:
            for found in link.execute(f"SELECT {', '.join(_ROW)}, seal FROM rig NOT INDEXED"):
                row = _sound(found)
                if row is not None:
                    sound.append(row)
                else:
                    damaged.append(int(found[0]))
        return tuple(sound), tuple(damaged)

    def row(self, number: int) -> RigRow:
        """One rig's row; LogbookError where there is none or it is damaged."""
        with self._open() as link:
            return self._row(link, number)

    def work(self, number: int) -> RigWork:
        """One rig with its steps."""
        with self._open() as link:
            row = self._row(link, number)
            texts = dict(
                link.execute("SELECT digest, state FROM rig_state WHERE rig = ?", (number,))
            )
        return RigWork(row, tuple(_whole(texts.get(name), name) for name, _ in row.steps))

    def now(self, number: int) -> str:
        """A rig's state as it is now; LogbookError where it is damaged."""
        work = self.work(number)
        text = work.states[work.row.at]
        if text is None:
            raise self.damaged(number)
        return text

    def last_sound(self, number: int) -> str | None:
        """The newest state of a rig that is as it was written, whatever became of its row."""
        with self._open() as link:
            command = "SELECT digest, state FROM rig_state WHERE rig = ? ORDER BY rowid DESC"
            rows = link.execute(command, (number,)).fetchall()
        return next((text for name, text in rows if _whole(text, name)), None)

    def add(self, name: str, state: str, owner: str = "", note: str = "", by: str = "") -> int:
        """A new rig with its first state; its number, once it is on the disk."""
        now = stamp()
        with self._writing() as link:
            number = link.execute("SELECT coalesce(max(id), 0) + 1 FROM rig").fetchone()[0]
            row = RigRow(
                id=number,
                name=name,
                owner=owner,
                note=note,
                made=now,
                changed=now,
                away=False,
                revision=0,
                at=0,
                steps=((_digest(state), by),),
                acts=(),
                glance="",
            )
            marks = ", ".join("?" * (len(_ROW) + 1))
            link.execute(f"INSERT INTO rig VALUES ({marks})", (*row.written(), _seal(row)))
            link.execute("INSERT INTO rig_state VALUES (?, ?, ?)", (number, row.steps[0][0], state))
        return int(number)

    def keep(
        self,
        number: int,
        before: int,
        name: str,
        steps: Sequence[tuple[str, str]],
        texts: Mapping[str, str],
        at: int,
        revision: int,
        acts: Sequence[str],
    ) -> None:
        """Where a rig's work is now: its steps, by digests, of which `texts` holds those not
        written yet. MovedOnError, and nothing is written, where its revision is not `before`.
        Safe when the program is killed; from a cut of power once the file's log is on the disk.
        """
        with self._writing(synced=False) as link:
            row = self._row(link, number)
            if row.revision != before:
                raise MovedOnError(
                    file=self.path.name,
                    path=("rig", number),
                    due=f"revision {before}",
                    found=f"revision {row.revision}: another program has changed it",
                )
            link.executemany(
                "INSERT OR REPLACE INTO rig_state VALUES (?, ?, ?)",
                [(number, digest, text) for digest, text in texts.items()],
            )
            now = replace(
                row,
                name=name,
                changed=stamp(),
                revision=revision,
                at=at,
                steps=tuple(steps),
                acts=tuple(acts),
                glance="",
            )
            _put(link, now)
            if {digest for digest, _ in row.steps} - {digest for digest, _ in steps}:
                _forget(link, number, [digest for digest, _ in steps])

    def describe(self, number: int, was: tuple[str, str], owner: str, note: str) -> RigRow:
        """Whose it is and what finds it; MovedOnError where `was` is not what the book says."""
        with self._writing() as link:
            row = self._row(link, number)
            if (row.owner, row.note) != was:
                found = f"owner {row.owner!r}, note {row.note!r}: it was changed meanwhile"
                due = "what was shown when it was asked"
                raise MovedOnError(path=("rig", number), due=due, found=found)
            row = replace(row, owner=owner, note=note)
            _put(link, row)
        return row

    def put_away(self, number: int, *, away: bool) -> RigRow:
        """Out of sight, or back."""
        with self._writing() as link:
            row = replace(self._row(link, number), away=away)
            _put(link, row)
        return row

    def glanced(self, number: int, revision: int, glance: str) -> None:
        """What a list shows of a rig, unless it has changed since."""
        with self._writing() as link:
            row = self._row(link, number)
            if row.revision == revision and row.glance != glance:
                _put(link, replace(row, glance=glance))

    def begun(self, number: int, run: str) -> None:
        """A running weighing is of this rig."""
        with self._writing() as link:
            link.execute(
                "INSERT OR IGNORE INTO rig_run VALUES (?, ?, ?)", (run, number, seal(run, number))
            )

    def last_weighed(self) -> Mapping[int | str, str]:
        """When each rig was weighed last, by its number; by its name in small letters for weighings
        that were not taken on a rig of the book."""
        with self._open() as link:
            known, owned = steps(link), _owned(link)
            found: dict[int | str, str] = {}
            for entry, name, mark, written, clock, own in link.execute(
                "SELECT id, rig_name, fingerprint, written, clock, seal FROM weighing NOT INDEXED"
            ):
                run = known.runs.get(entry)
                stands = run is None or entry in known.standing
                if stands and own == seal(mark, written, clock):
                    key = owned.get(run or "", name.casefold())
                    found[key] = max(found.get(key, ""), clock)
        return found

    def weighings(self, number: int, name: str) -> tuple[Logged, ...]:
        """A rig's weighings that stand, in order of `taken`: those taken on it, and of those taken
        on no rig of the book the ones of its name."""
        with self._open() as link:
            owned = _owned(link)
            assert self._book is not None
            entries = [one for one in self._book.all() if one.stands]
        return tuple(
            one
            for one in entries
            if owned.get(one.run or "") == number
            or (one.run not in owned and one.weighing.rig_name.casefold() == name.casefold())
        )

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        """The file as it lies there now: opened again when it was taken away or replaced."""
        with self._lock:
            there = _identity(self.path)
            if self._book is None or there is None or there != self._file:
                self.close()
                self._book = Logbook.open(self.path, wait=self._wait)
                self._file = _identity(self.path)
            with told(self.path):
                yield self._book.connection

    @contextmanager
    def _writing(self, *, synced: bool = True) -> Iterator[sqlite3.Connection]:
        with self._open() as link, _waiting(link, synced=synced), transaction(link):
            yield link

    def damaged(self, number: int) -> LogbookError:
        """What is said of a rig that is not as it was written."""
        due, hint = "it as it was written", "a copy brings back its last sound state"
        path = ("rig", number)
        return LogbookError(file=self.path.name, path=path, due=due, found="it damaged", hint=hint)

    def _row(self, link: sqlite3.Connection, number: int) -> RigRow:
        command = f"SELECT {', '.join(_ROW)}, seal FROM rig NOT INDEXED WHERE id = ?"
        found = link.execute(command, (min(max(number, 0), MOST),)).fetchone()
        if found is None:
            due, said = "the number of a rig of the book", str(number)
            raise LogbookError(file=self.path.name, due=due, found=said)
        row = _sound(found)
        if row is None:
            raise self.damaged(number)
        return row


@contextmanager
def _waiting(link: sqlite3.Connection, *, synced: bool) -> Iterator[None]:
    """Whether a commit waits for the disk."""
    if synced:
        yield
        return
    link.execute("PRAGMA synchronous = NORMAL")
    try:
        yield
    finally:
        link.execute("PRAGMA synchronous = FULL")


def _sound(found: Sequence[str | int]) -> RigRow | None:
    """A row as it was written; None where it is another."""
    *columns, own = found
    if own != seal(*columns):
        return None
    row = dict(zip(_ROW, columns, strict=True))
    made = tuple((str(name), str(by)) for name, by in json.loads(str(row["steps"])))
    acts = tuple(map(str, json.loads(str(row["acts"]))))
    return RigRow(**{**row, "away": bool(row["away"]), "steps": made, "acts": acts})  # type: ignore[arg-type]


def _put(link: sqlite3.Connection, row: RigRow) -> None:
    said = ", ".join(f"{name} = ?" for name in (*_ROW, "seal"))
    link.execute(f"UPDATE rig SET {said} WHERE id = ?", (*row.written(), _seal(row), row.id))


def _forget(link: sqlite3.Connection, number: int, kept: Sequence[str]) -> None:
    """Drop the states that no step names any more."""
    link.execute(
        "DELETE FROM rig_state WHERE rig = ? AND digest NOT IN (SELECT value FROM json_each(?))",
        (number, json.dumps(kept)),
    )


def _owned(link: sqlite3.Connection) -> dict[str, int]:
    """Whose each running weighing is; what is not as it was written is left out."""
    rows = link.execute("SELECT run, rig, seal FROM rig_run NOT INDEXED")
    return {run: rig for run, rig, own in rows if own == seal(run, rig)}


def _seal(row: RigRow) -> str:
    return seal(*row.written())


def _digest(text: str) -> str:
    """The name of a state: the same that whoever writes states gives them."""
    return sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:32]


def _whole(text: str | None, digest: str) -> str | None:
    return text if text is not None and _digest(text) == digest else None


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino
