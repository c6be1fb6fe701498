"""Unsaved work, kept in one small SQLite file beside the rig file and never over it."""

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Protocol

ENDING: Final = ".autosave"
DAYS: Final = 60
"""Work that nobody has come back to for so long is dropped."""
_HEAD: Final = b"SQLite format 3\0"
_ORPHANS: Final = """
DELETE FROM states WHERE hash NOT IN (SELECT one.value FROM work, json_each(work.steps) AS one)
"""
_TABLES: Final = """
CREATE TABLE IF NOT EXISTS work (
    who TEXT PRIMARY KEY, at INTEGER NOT NULL, revision INTEGER NOT NULL, base TEXT NOT NULL,
    steps TEXT NOT NULL, written TEXT NOT NULL
) STRICT;
CREATE TABLE IF NOT EXISTS states (hash TEXT PRIMARY KEY, state TEXT NOT NULL) STRICT;
CREATE TABLE IF NOT EXISTS acts (who TEXT PRIMARY KEY, keys TEXT NOT NULL) STRICT;
"""


class Written(Protocol):
    """What is kept: the digest of its text, and that text."""

    @property
    def name(self) -> str:
        """The digest."""

    def written(self) -> str:
        """The text, JSON."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Work found again: plain states in order, which one is now, and what it was based on.

    lost: how many of its states were damaged; they are left out. by: who made each, where that is
    known; acts: keys of the last acts.
    """

    states: Sequence[Mapping[str, Any]]
    at: int
    revision: int
    same_base: bool
    written: str
    lost: int = 0
    by: Sequence[str] = ()
    acts: Sequence[str] = ()


class Autosave:
    """The steps of one browser's work, each written once, whole or not at all.

    path: the rig file (it need not exist); who: a secret of the browser, of which only a digest
    is written; base: the rig file's text as it was read. A file that is damaged is set aside under
    the name `damaged`. OSError where nothing can be written, or what was written is damaged.
    """

    def __init__(self, path: Path, who: str, base: str) -> None:
        self.path = path.with_name(path.name + ENDING)
        self.damaged: Path | None = None
        self._who, self._base = digest(who), digest(base)
        self._link: sqlite3.Connection | None = None
        self._file: tuple[int, int] | None = None
        self._there: set[str] = set()
        try:
            self._tidy()
        except sqlite3.OperationalError as error:
            raise OSError(str(error)) from None
        except sqlite3.DatabaseError:
            self._set_aside()

    def keep(
        self, steps: Sequence[Written], at: int, revision: int, acts: Sequence[str] = ()
    ) -> None:
        """Write the steps not written before, which one is now, and the keys of the last acts. What
        was written is safe when the program is killed, and from a cut of power once its log is on
        the disk."""
        with self._turn() as link:
            new = [one for one in steps if one.name not in self._there]
            link.executemany(
                "INSERT OR REPLACE INTO states VALUES (?, ?)",
                [(one.name, one.written()) for one in new],
            )
            names = [one.name for one in steps]
            link.execute(
                "INSERT OR REPLACE INTO work VALUES (?, ?, ?, ?, ?, datetime('now'))",
                (self._who, at, revision, self._base, json.dumps(names)),
            )
            if acts:
                row = (self._who, json.dumps(list(acts)))
                link.execute("INSERT OR REPLACE INTO acts VALUES (?, ?)", row)
        self._there = set(names)

    def found(self) -> Kept | None:
        """What this browser left, if anything; states whose text is not as written are left out."""
        with self._turn() as link:
            row = link.execute(
                "SELECT at, revision, base, steps, written FROM work WHERE who = ?", (self._who,)
            ).fetchone()
            if row is None:
                return None
            states = [_sound(link, str(one)) for one in json.loads(row[3])]
            acts = link.execute("SELECT keys FROM acts WHERE who = ?", (self._who,)).fetchone()
        return Kept(
            states=[one for one in states if one is not None],
            at=sum(one is not None for one in states[: row[0] + 1]) - 1,
            revision=row[1],
            same_base=row[2] == self._base,
            written=row[4],
            lost=sum(one is None for one in states),
            acts=json.loads(acts[0]) if acts else (),
        )

    def rebase(self, base: str) -> None:
        """The rig file has a new text from here on."""
        self._base = digest(base)

    def close(self) -> None:
        """Let go of the file; the next call opens it again."""
        if self._link is not None:
            self._link.close()
        self._link, self._file, self._there = None, None, set()

    def _tidy(self) -> None:
        """Make the tables; drop what nobody has come back to."""
        with self._transaction() as link:
            link.execute("DELETE FROM work WHERE written < datetime('now', ?)", (f"-{DAYS} days",))
            link.execute(_ORPHANS)
            link.execute("DELETE FROM acts WHERE who NOT IN (SELECT who FROM work)")

    def _set_aside(self) -> None:
        """Begin a new file; the damaged one stays, under another name."""
        taken = self.path.parent.glob(f"{self.path.name}.damaged-*")
        self.damaged = self.path.with_name(f"{self.path.name}.damaged-{len(list(taken)) + 1}")
        self.path.rename(self.damaged)
        try:
            self._tidy()
        except sqlite3.Error as error:
            raise OSError(str(error)) from None

    @contextmanager
    def _turn(self) -> Iterator[sqlite3.Connection]:
        """One transaction; OSError says in words why there was none, and all is as before."""
        name = self.path.name
        try:
            with self._transaction() as link:
                yield link
        except sqlite3.OperationalError as error:
            raise OSError(f"{name} cannot be written ({error})") from None
        except (sqlite3.DatabaseError, ValueError, TypeError) as error:
            raise OSError(f"{name} is damaged ({error}): move it away and go on") from None

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        """The file as it lies there now: opened again when it was taken away or failed."""
        link = self._opened()
        try:
            with link:
                yield link
        except BaseException:
            self.close()
            raise

    def _opened(self) -> sqlite3.Connection:
        there = _identity(self.path)
        if self._link is not None and there == self._file and there is not None:
            with self.path.open("rb") as file:
                if file.read(len(_HEAD)) != _HEAD:  # its log would hide that from this program
                    raise sqlite3.DatabaseError("file is not a database")
            return self._link
        self.close()
        link = sqlite3.connect(self.path, timeout=5.0, check_same_thread=False)
        try:
            with suppress(sqlite3.OperationalError):  # else the older journal, which is as safe
                link.execute("PRAGMA journal_mode = WAL")
            link.execute("PRAGMA synchronous = NORMAL")
            link.executescript(_TABLES)
        except sqlite3.Error:
            link.close()
            raise
        self._link, self._file = link, _identity(self.path)
        return link


def _sound(link: sqlite3.Connection, name: str) -> Mapping[str, Any] | None:
    """A state by its digest; None where its text is another than was written."""
    row = link.execute("SELECT state FROM states WHERE hash = ?", (name,)).fetchone()
    if row is None or digest(row[0]) != name:
        return None
    with suppress(ValueError):
        found: Mapping[str, Any] = json.loads(row[0])
        return found
    return None


def _identity(path: Path) -> tuple[int, int] | None:
    """Which file lies there; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def digest(text: str) -> str:
    """A short name for a text."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:32]
