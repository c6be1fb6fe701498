"""Whatever happens while a weighing is written, it is there whole or not at all."""

import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from tests.logbooks import made

from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.store import Logbook

# Run in processes of their own, which can be killed. Each says a number once `add` has returned.
PREPARE = """
import sys
from pathlib import Path
from tests.logbooks import made
from steelyard.logbook.store import Logbook
path, who, count = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
"""
ADDER = (
    PREPARE
    + """
with Logbook.open(path) as book:
    for turn in range(count):
        print(book.add(made(f"{who} {turn}")), flush=True)
"""
)
FULL_DISK = (
    PREPARE
    + """
import resource, signal
from steelyard.logbook.logbook_faults import LogbookError
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
with Logbook.open(path) as book:
    resource.setrlimit(resource.RLIMIT_FSIZE, (count, count))
    try:
        for turn in range(1000):
            print(book.add(made(f"{who} {turn}")), flush=True)
    except LogbookError as error:
        print(error, file=sys.stderr)
"""
)


def start(script: str, path: Path, who: str, count: int) -> subprocess.Popen[str]:
    """A process of its own that runs one of the scripts above."""
    return subprocess.Popen(
        [sys.executable, "-c", script, str(path), who, str(count)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[2],
    )


def require_whole(path: Path) -> set[int]:
    """Numbers of the weighings; each must be complete and the file sound."""
    with Logbook.open(path) as book:
        assert book.connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert book.connection.execute("PRAGMA foreign_key_check").fetchall() == []
        entries = book.all()
    for entry in entries:
        assert entry.weighing == made(entry.weighing.note or "")
    return {entry.id for entry in entries}


def test_a_killed_process_leaves_all_or_nothing(tmp_path: Path) -> None:
    """Killed (SIGKILL) at eight moments of a write: none half there, none lost that was said."""
    path, said = tmp_path / "logbook.sqlite", set[int]()
    for turn in range(8):
        child = start(ADDER, path, f"life {turn}", 100_000)
        assert child.stdout is not None
        for _ in range(3 + turn):
            said.add(int(child.stdout.readline()))
        child.send_signal(signal.SIGKILL)
        rest, _ = child.communicate(timeout=20)
        said.update(int(line) for line in rest.splitlines(keepends=True) if line.endswith("\n"))
        assert said <= require_whole(path)
    assert len(said) >= sum(range(3, 11))


def test_killed_between_any_two_statements(tmp_path: Path) -> None:
    """A file copied after every statement of an `add` holds the weighing whole or not at all."""
    path, copies = tmp_path / "logbook.sqlite", list[dict[str, bytes]]()
    with Logbook.open(path) as book:
        book.add(made("before"))
        book.connection.execute("PRAGMA cache_size = 1")  # so that halves reach the disk
        book.connection.set_trace_callback(lambda _: copies.append(_bytes(path)))
        book.add(made("after"))
        book.connection.set_trace_callback(None)
        copies.append(_bytes(path))
    assert len({len(one[f"{path.name}-wal"]) for one in copies}) > 3  # halves were on the disk
    held = [len(require_whole(_restored(tmp_path / str(n), one))) for n, one in enumerate(copies)]
    assert held == [1] * (len(copies) - 1) + [2]


def _bytes(path: Path) -> dict[str, bytes]:
    """The database and its log as they are on the disk."""
    return {name.name: name.read_bytes() for name in path.parent.glob(f"{path.name}*")}


def _restored(folder: Path, files: dict[str, bytes]) -> Path:
    folder.mkdir()
    for name, held in files.items():
        if not name.endswith("-shm"):  # memory of the process that died
            (folder / name).write_bytes(held)
    return folder / "logbook.sqlite"


def test_two_processes_add_100_each(tmp_path: Path) -> None:
    """Both start at once on a logbook that is not there yet; 200 weighings are in it at the end."""
    path = tmp_path / "new" / "logbook.sqlite"
    children = [start(ADDER, path, who, 100) for who in ("one", "other")]
    numbers: list[int] = []
    for child in children:
        out, fault = child.communicate(timeout=60)
        assert child.returncode == 0, fault
        numbers += [int(line) for line in out.split()]
    assert sorted(numbers) == list(range(1, 201))
    assert require_whole(path) == set(numbers)


def test_a_full_database_keeps_what_it_has(tmp_path: Path) -> None:
    """With no page left the sentence says the disk is full; what was there stays; room helps."""
    path = tmp_path / "logbook.sqlite"
    with Logbook.open(path) as book:
        for turn in range(5):
            book.add(made(f"{turn}"))
        pages = book.connection.execute("PRAGMA page_count").fetchone()[0]
        book.connection.execute(f"PRAGMA max_page_count = {pages + 3}")
        with pytest.raises(LogbookError, match=r"room on the disk.*nothing was written") as caught:
            book.add(made("too much"))
        assert str(path) in str(caught.value)
        assert "\n" not in str(caught.value)
        assert require_whole(path) == {1, 2, 3, 4, 5}
        book.connection.execute("PRAGMA max_page_count = 100000")
        assert book.add(made("too much")) == 6
    assert len(require_whole(path)) == 6


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on a file's size there")
def test_a_disk_that_refuses_keeps_what_it_has(tmp_path: Path) -> None:
    """The system itself refuses to let the file grow: one sentence; all that was said is kept."""
    path = tmp_path / "logbook.sqlite"
    child = start(FULL_DISK, path, "one", 700_000)
    out, fault = child.communicate(timeout=60)
    said = {int(line) for line in out.split()}
    assert child.returncode == 0, fault
    assert fault.count("\n") == 1, fault
    assert "all that was there is kept" in fault
    assert said
    assert said <= require_whole(path)


def test_a_writer_that_waits_in_vain_says_so(tmp_path: Path) -> None:
    """Another program in the middle of a write is waited for, then named; nothing is written."""
    path = tmp_path / "logbook.sqlite"
    with Logbook.open(path) as book:
        book.add(made("there"))
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with Logbook.open(path, wait=0.1) as book:
        with pytest.raises(LogbookError, match=r"busy too long \(nothing was written"):
            book.add(made("late"))
        assert len(book.list()) == 1
        other.execute("ROLLBACK")
        assert book.add(made("late")) == 2
    other.close()
