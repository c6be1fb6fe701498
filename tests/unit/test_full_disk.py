"""A disk without room: every command that writes says so in one sentence and loses nothing."""

import os
import resource
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from steelyard.files.demo import demo_rigs, demo_tickets

FULL = Path("/dev/full")
RIG, TICKET = "perihelion-camper.toml", "camper-at-the-fuel-stop.toml"
PRINTS = [
    ["--help"],
    ["check", "--help"],
    ["check", RIG],
    ["check", RIG, "--json"],
    ["ledger", RIG],
    ["weigh", RIG, TICKET, "--json"],
    ["compare", RIG, "--stage-a", "leaving-home", "--stage-b", "back-home"],
    ["trip", RIG],
    ["schema"],
    ["card", RIG, "--to", "card.html"],
]
WRITES = [
    ["new", "new.toml", "--vehicle", "van", "--trailer", "boat", "--region", "europe"],
    ["demo", "--into", "there"],
    ["move", RIG, "bikes", "--to", "bed", "--write"],
    ["weigh", RIG, TICKET, "--log", "--logbook", "book.sqlite"],
    ["card", RIG, "--to", "card.html"],
]


def _run(words: list[str], folder: Path, *, to_full: bool) -> "subprocess.CompletedProcess[str]":
    """A command whose standard output, or else every file it writes, has no room."""

    def no_room() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))

    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}
    with FULL.open("w") as full:
        return subprocess.run(
            [sys.executable, "-m", "steelyard", *words],
            cwd=folder,
            env=environment,
            stdout=full if to_full else subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            timeout=120,
            check=False,
            preexec_fn=None if to_full else no_room,
        )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a rig and its ticket."""
    (tmp_path / RIG).write_text(demo_rigs()[RIG], "utf-8")
    (tmp_path / TICKET).write_text(demo_tickets()[TICKET], "utf-8")
    return tmp_path


@pytest.mark.skipif(not FULL.exists(), reason="this system has no full device")
@pytest.mark.parametrize("words", PRINTS, ids=" ".join)
def test_an_answer_that_cannot_be_printed(folder: Path, words: list[str]) -> None:
    """The system's own reason, exit 2, and no traceback, not even at the end."""
    done = _run(words, folder, to_full=True)
    told = "expected room to write the answer, found none (no space left on device)\n"
    assert (done.returncode, done.stderr) == (2, told)


@pytest.mark.parametrize("words", WRITES, ids=" ".join)
def test_a_file_that_cannot_be_written(folder: Path, words: list[str]) -> None:
    """One sentence naming the file; what was there is as it was, and nothing half written is."""
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    done = _run(words, folder, to_full=False)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "expected" in done.stderr
    after = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    assert {name: after[name] for name in before} == before
    assert [
        name for name in after if name.endswith((".part", ".toml")) and name not in before
    ] == []
