"""Ctrl-C while `steelyard stow` looks at a large rig."""

import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import tomlkit
from benchmarks.cargo import facts

from steelyard.files import read_rig
from steelyard.stowing.arrange import now

SOUND = """
import sys
import steelyard.stowing.stow
import steelyard.stowing.program as stowing
real = stowing.Watch
def heard(stopped, tell):
    def told(*words):
        print("better", file=sys.stderr, flush=True)
        tell(*words)
    return real(stopped=stopped, tell=told)
stowing.Watch = heard
from steelyard.cli import main
main()
"""
"""The command, saying so each time it has found a better plan."""


@pytest.fixture
def rig(tmp_path: Path) -> Path:
    """Give a file of 60 things, 14 places and 6 stages: its proof takes a while."""
    path = tmp_path / "large.toml"
    path.write_text(
        tomlkit.dumps({"format": 1, **facts(60, 14, 6, 3)}),
        encoding="utf-8",
    )
    return path


@contextmanager
def stowing(rig: Path, *words: str) -> "Iterator[subprocess.Popen[str]]":
    """The command under way, up to its first plan."""
    command = [sys.executable, "-c", SOUND, "stow", str(rig), "--seconds", "200", *words]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdout=pipe, stderr=pipe, text=True) as process:
        assert process.stderr is not None
        assert process.stderr.readline() == "better\n"
        yield process
        process.kill()


def test_once_gives_the_best_so_far(rig: Path) -> None:
    """Ctrl-C once: a plan that the statics pass, called the best so far, and a whole file; 1 where
    something stays home in it."""
    before = read_rig(rig)
    with stowing(rig, "--write", "--all") as process:
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=120)
    said = " ".join(out.split())
    assert process.returncode in (0, 1, 3), err
    assert "The search was stopped: this is the best so far." in said
    assert "the plan holds in the full balance" in said
    assert "Traceback" not in err
    after = read_rig(rig)
    assert now(after) != now(before)
    assert set(now(after)) == set(now(before))
    assert [path.suffix for path in rig.parent.iterdir() if path != rig] != []


def test_twice_gives_up(rig: Path) -> None:
    """Ctrl-C twice: no plan, no traceback, the file as it was and nothing beside it."""
    text = rig.read_bytes()
    with stowing(rig, "--write") as process:
        process.send_signal(signal.SIGINT)
        assert process.stderr is not None
        while "once more" not in process.stderr.readline():
            pass
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=120)
    assert process.returncode in (1, 130)
    assert "Traceback" not in out + err
    assert rig.read_bytes() == text
    assert list(rig.parent.iterdir()) == [rig]
