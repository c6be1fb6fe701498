"""What is put aside on disk while a command runs, so that memory does not grow with it."""

import sqlite3
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Final

from steelyard.fault import Fault
from steelyard.files.faults import FileFaultError

PAGES: Final = 2000
"""kB of a scratch table that stay in memory."""
NUMBERS: Final = 10
"""Numbers that a row is put in order by: as many as `matching.keys` has."""


@contextmanager
def scratch() -> Iterator[sqlite3.Connection]:
    """A private database whose temporary tables lie in the temporary folder, in files that have no
    name there and are gone with it, however the command ends.

    Raises FileFaultError where there is no room for them.
    """
    link = sqlite3.connect(":memory:", isolation_level=None)
    try:
        link.execute("PRAGMA temp_store = FILE")
        link.execute(f"PRAGMA temp.cache_size = -{PAGES}")
        link.execute("PRAGMA temp.journal_mode = OFF")
        link.execute("BEGIN")
        yield link
    except sqlite3.Error as error:
        fault = Fault(due="room for temporary files", found=f"a fault: {error}")
        raise FileFaultError(fault) from None
    finally:
        link.close()


class Names:
    """Every name once: a second one gets its row or file added, and that is said.

    Names are compared letter by letter.
    """

    def __init__(self, link: sqlite3.Connection) -> None:
        link.execute(
            "CREATE TEMP TABLE taken (name BLOB PRIMARY KEY, place TEXT NOT NULL) WITHOUT ROWID"
        )
        self._link = link
        self.remarks: list[str] = []

    def own(self, name: str, where: str) -> str:
        """The name, or one that nobody has, for what is at `where`."""
        if self._take(name, where):
            return name
        new = f"{name} ({where})"
        while not self._take(new, where):
            new = f"{new} ({where})"
        taken = self._link.execute("SELECT place FROM taken WHERE name = ?", (_bytes(name),))
        first = taken.fetchone()[0]
        self.remarks.append(f'{where}: "{name}" is also at {first}; called "{new}" here')
        return new

    def _take(self, name: str, where: str) -> bool:
        done = self._link.execute(
            "INSERT OR IGNORE INTO taken VALUES (?, ?)", (_bytes(name), where)
        )
        return done.rowcount == 1


def _bytes(text: str) -> bytes:
    """A name in bytes that sort as it does; a file's name may hold what is no UTF-8."""
    return text.encode("utf-8", "surrogatepass")


class Order:
    """Rows put aside as they come and given back in order, each with its place in its list.

    The first of a row's `NUMBERS` numbers is its list.
    """

    def __init__(self, link: sqlite3.Connection, name: str) -> None:
        self._keys = [f"k{number}" for number in range(NUMBERS)]
        self._link, self._name = link, name
        numbers = ", ".join(f"{key} REAL" for key in self._keys)
        link.execute(f"CREATE TEMP TABLE {name} ({numbers}, a BLOB, b BLOB, row BLOB)")

    def add(self, rows: Iterable[tuple[Sequence[float | str], bytes]]) -> None:
        """Rows, each with what it is ordered by: its numbers, and two names for ties."""
        marks = ", ".join("?" * (NUMBERS + 3))
        self._link.executemany(
            f"INSERT INTO {self._name} VALUES ({marks})",
            ((*key[:-2], *(_bytes(str(name)) for name in key[-2:]), row) for key, row in rows),
        )

    def __iter__(self) -> Iterator[tuple[int, int, bytes]]:
        """Each row with its list and its place there, from 1; alike ones as they came."""
        seen: Counter[float] = Counter()
        keys = ", ".join(self._keys)
        order = f"SELECT rowid, k0 FROM {self._name} ORDER BY {keys}, a, b, rowid"
        one = f"SELECT row FROM {self._name} WHERE rowid = ?"
        for rowid, part in self._link.execute(order):
            seen[part] += 1
            yield int(part), seen[part], self._link.execute(one, (rowid,)).fetchone()[0]
