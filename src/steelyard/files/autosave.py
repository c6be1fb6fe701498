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
DAYS: Final = 60
"""Work that nobody has come back to for so long is dropped."""
_ORPHANS: Final = """
DELETE FROM states WHERE hash NOT IN (SELECT one.value FROM work, json_each(work.steps) AS one)
"""
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
                link.execute(
                    "DELETE FROM work WHERE written < datetime('now', ?)", (f"-{DAYS} days",)
                )
                link.execute(_ORPHANS)
        except sqlite3.Error as error:
            raise OSError(str(error)) from None

    def keep(
        self, new: Sequence[Mapping[str, Any]], old: Sequence[str], at: int, revision: int
    ) -> list[str]:
        """Write states not written before, and which one is now; the names of the new ones.

        old: names of the states before them, in order.
        """
        texts = [json.dumps(state, ensure_ascii=False) for state in new]
        names = [digest(text) for text in texts]
        with self._open() as link:
            link.executemany(
                "INSERT OR IGNORE INTO states VALUES (?, ?)", zip(names, texts, strict=True)
            )
            link.execute(
                "INSERT OR REPLACE INTO work VALUES (?, ?, ?, ?, ?, datetime('now'))",
                (self._who, at, revision, self._base, json.dumps([*old, *names])),
            )
        return names

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
