"""Unsaved work, kept in one small SQLite file beside the rig file and never over it."""

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

ENDING: Final = ".autosave"
_TABLES: Final = """
CREATE TABLE IF NOT EXISTS work (
    who TEXT PRIMARY KEY, at INTEGER NOT NULL, revision INTEGER NOT NULL, base TEXT NOT NULL,
    steps TEXT NOT NULL, written TEXT NOT NULL
) STRICT;
CREATE TABLE IF NOT EXISTS states (hash TEXT PRIMARY KEY, state TEXT NOT NULL) STRICT;
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Work found again: plain states in order, which one is now, and what it was based on."""

    states: Sequence[Mapping[str, Any]]
    at: int
    revision: int
    same_base: bool
    written: str


class Autosave:
    """The steps of one browser's work, each written once, whole or not at all.

    path: the rig file (it need not exist); who: a secret of the browser, of which only a digest
    is written; base: the rig file's text as it was read. Raises OSError where the folder takes
    no file.
    """

    def __init__(self, path: Path, who: str, base: str) -> None:
        self._path = path.with_name(path.name + ENDING)
        self._who, self._base = digest(who), digest(base)
        try:
            with self._open() as link:
                link.executescript(_TABLES)
        except sqlite3.Error as error:
            raise OSError(str(error)) from None

    def put(self, state: Mapping[str, Any]) -> str:
        """Write one state, unless it is there, and return its name."""
        text = json.dumps(state, sort_keys=True)
        name = digest(text)
        with self._open() as link:
            link.execute("INSERT OR IGNORE INTO states VALUES (?, ?)", (name, text))
        return name

    def keep(self, names: Sequence[str], at: int, revision: int) -> None:
        """Write which states there are, in order, and which one is now."""
        with self._open() as link:
            link.execute(
                "INSERT OR REPLACE INTO work VALUES (?, ?, ?, ?, ?, datetime('now'))",
                (self._who, at, revision, self._base, json.dumps(names)),
            )

    def found(self) -> Kept | None:
        """What this browser left, if anything."""
        with self._open() as link:
            row = link.execute(
                "SELECT at, revision, base, steps, written FROM work WHERE who = ?", (self._who,)
            ).fetchone()
            if row is None:
                return None
            texts = [
                link.execute("SELECT state FROM states WHERE hash = ?", (one,)).fetchone()
                for one in json.loads(row[3])
            ]
        return Kept(
            states=[json.loads(text[0]) for text in texts],
            at=row[0],
            revision=row[1],
            same_base=row[2] == self._base,
            written=row[4],
        )

    def rebase(self, base: str) -> None:
        """The rig file has a new text from here on."""
        self._base = digest(base)

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        """A connection for one transaction."""
        link = sqlite3.connect(self._path, timeout=5.0)
        try:
            link.execute("PRAGMA synchronous = NORMAL")
            with link:
                yield link
        finally:
            link.close()


def digest(text: str) -> str:
    """A short name for a text."""
    return hashlib.sha256(text.encode()).hexdigest()[:32]
