"""A damaged logbook: what is not as it was written is named, and the sound entries stay."""

import json
import sqlite3
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.logbooks import made
from tests.stress.flips import sound, tried

from steelyard.cli import main
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.store import Logbook


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A logbook of five weighings."""
    return sound(tmp_path)


def _change(path: Path, command: str) -> None:
    """Change the file behind the program's back."""
    connection = sqlite3.connect(path)
    for trigger in ("weighing_kept", "posterior_kept", "reading_kept", "running_unchanged"):
        connection.execute(f"DROP TRIGGER {trigger}")
    connection.execute("PRAGMA foreign_keys = OFF")
    connection.executescript(command)
    connection.commit()
    connection.close()


@pytest.mark.parametrize(
    "command",
    [
        "UPDATE weighing SET trailer_kg = trailer_kg + 64 WHERE id = 3",
        "UPDATE weighing SET written = '2035-01-01T00:00:00+00:00' WHERE id = 3",
        "UPDATE weighing SET clock = '1999-01-01T00:00:00.000000' WHERE id = 3",
        "UPDATE posterior SET mean = zeroblob(8) WHERE weighing = 3",
        "UPDATE posterior SET names = 'not JSON' WHERE weighing = 3",
        "UPDATE posterior SET rig_text = 'another' WHERE weighing = 3",
        "UPDATE reading SET value_si = 99 WHERE weighing = 3 AND line = 4",
        "UPDATE reading SET text = CAST(x'ff' AS TEXT) WHERE weighing = 3 AND line = 4",
        "DELETE FROM reading WHERE weighing = 3 AND line = 4",
        "DELETE FROM posterior WHERE weighing = 3",
        "DELETE FROM weighing WHERE id = 3",
        (
            "DELETE FROM reading WHERE weighing = 3; DELETE FROM posterior WHERE weighing = 3;"
            "DELETE FROM weighing WHERE id = 3"
        ),
    ],
)
def test_a_damaged_entry_is_named_and_the_others_stay(path: Path, command: str) -> None:
    """Each part of an entry, whichever way it is changed or lost."""
    with Logbook.open(path) as book:
        before = {entry.id: entry for entry in book.all()}
    _change(path, command)
    with Logbook.open(path) as book:
        assert [line.id for line in book.list()] == [1, 2, 4, 5]
        assert {entry.id: entry for entry in book.all()} == {n: before[n] for n in (1, 2, 4, 5)}
        (fault,) = book.damaged
        assert fault.path == ("weighing", 3)
        with pytest.raises(LogbookError, match="damaged"):
            book.get(3)


def test_a_damaged_step_is_named(path: Path) -> None:
    """What stood for a running weighing is not changed without a word."""
    _change(path, "UPDATE running SET weighing = 2")
    with Logbook.open(path) as book:
        assert len(book.list()) == 5
        assert [fault.path for fault in book.damaged] == [("step", 1)]


def test_the_command_answers_from_the_sound_ones_and_exits_2(path: Path) -> None:
    """An export holds what is sound, and says on standard error what is not in it; a list in which
    the damaged one might have been does not say that there is none of its kind."""
    _change(path, "UPDATE reading SET value_si = 99 WHERE weighing = 3 AND line = 4")
    done = CliRunner().invoke(main, ["log", "export", "--logbook", str(path)])
    assert done.exit_code == 2
    assert [one["id"] for one in json.loads(done.stdout)["weighings"]] == [1, 2, 4, 5]
    assert done.stderr.count("\n") == 1
    assert "weighing[3]: expected it as it was written, found it damaged" in done.stderr
    words = ["log", "list", "--place", "the moon", "--logbook", str(path)]
    none = CliRunner().invoke(main, words)
    assert (none.exit_code, none.stdout) == (2, "")


def test_an_index_that_lost_a_row_hides_nothing(path: Path) -> None:
    """The list is read from the table, whatever its indices say."""
    connection = sqlite3.connect(path)
    connection.execute("DROP INDEX weighing_by_clock")
    connection.execute("CREATE INDEX weighing_by_clock ON weighing (clock, id) WHERE id > 2")
    connection.commit()
    connection.close()
    with Logbook.open(path) as book:
        assert len(book.list()) == 5


def test_a_book_with_damaged_pages_is_not_written_to(path: Path) -> None:
    """More might be lost by it: the sentence says what to do."""
    with Logbook.open(path) as book:
        root = book.connection.execute(
            "SELECT rootpage FROM sqlite_schema WHERE name = 'reading'"
        ).fetchone()[0]
        size = book.connection.execute("PRAGMA page_size").fetchone()[0]
    data = bytearray(path.read_bytes())
    data[(root - 1) * size + 5] ^= 0x40
    path.write_bytes(data)
    with (
        Logbook.open(path) as book,
        pytest.raises(LogbookError, match="nothing was written: export what is sound"),
    ):
        book.add(made("one more"))


@pytest.mark.parametrize(
    ("table", "kept", "named"),
    [("posterior", 0, [("weighing", n) for n in range(1, 6)]), ("running", 5, [("step", 1)])],
)
def test_a_page_that_cannot_be_read_damages_what_lies_on_it(
    path: Path, table: str, kept: int, named: list[tuple[str, int]]
) -> None:
    """A root page that is no page of a table any more: its rows are named, one by one where their
    numbers stand elsewhere, and the book is read."""
    query = "SELECT rootpage, page_size FROM sqlite_schema, pragma_page_size WHERE name = ?"
    with Logbook.open(path) as book:
        root, size = book.connection.execute(query, (table,)).fetchone()
    data = bytearray(path.read_bytes())
    data[(root - 1) * size] ^= 0x40
    path.write_bytes(data)
    with Logbook.open(path) as book:
        assert len(book.list()) == kept
        assert [fault.path for fault in book.damaged] == named


def test_a_damaged_name_is_a_damaged_book(tmp_path: Path) -> None:
    """A letter of a table's name that is no letter any more: the database's own message cannot be
    read, and the book is damaged all the same."""
    path = sound(tmp_path)
    data = path.read_bytes()
    path.write_bytes(data.replace(b"CREATE TABLE reading", b"CREATE TAB\xceE reading", 1))
    with pytest.raises(LogbookError, match="a whole logbook, found a damaged one"):
        Logbook.open(path)


def test_flipped_bits_are_noticed(tmp_path: Path) -> None:
    """One bit anywhere in the file: nothing altered or missing without a word, no traceback."""
    found = tried(tmp_path, 60, seed=1)
    assert found["ALTERED"] == found["MISSING"] == found["TRACEBACK"] == 0
    assert found["named"] > 30
