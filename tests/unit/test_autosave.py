"""Unsaved work outlives the process, whole and in order."""

import http.cookiejar
import json
import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from steelyard.files.autosave import Autosave, Kept, digest
from steelyard.files.demo import demo_rigs

TEXT = demo_rigs()["perihelion-camper.toml"]


@dataclass(frozen=True)
class Plain:
    """A state as it is kept."""

    holds: dict[str, Any]

    @property
    def name(self) -> str:
        """Its digest."""
        return digest(self.written())

    def written(self) -> str:
        """Its text."""
        return json.dumps(self.holds)


STATES = [Plain({"data": {"stages": {"b": {}, "a": {}}}}), Plain({"data": {"format": 1}})]


def kept(folder: Path, who: str = "secret", base: str = "text") -> Kept | None:
    """What another start would find."""
    return Autosave(folder / "rig.toml", who, base).found()


def test_what_is_kept_is_found_in_its_order(tmp_path: Path) -> None:
    """States, which one is now, and the order of keys, which is the order of the stages."""
    keeper = Autosave(tmp_path / "rig.toml", "secret", "text")
    keeper.keep(STATES[:1], 0, 6)
    keeper.keep(STATES, 1, 7)
    found = kept(tmp_path, base="other")
    assert found is not None
    assert (found.at, found.revision, found.same_base, found.lost) == (1, 7, False, 0)
    assert list(found.states) == [one.holds for one in STATES]
    assert list(found.states[0]["data"]["stages"]) == ["b", "a"]


def test_one_browsers_work_is_not_anothers(tmp_path: Path) -> None:
    """By secret, of which only a digest is on disk."""
    Autosave(tmp_path / "rig.toml", "my own secret", "text").keep(STATES, 0, 1)
    assert kept(tmp_path, "another") is None
    held = b"".join(path.read_bytes() for path in tmp_path.iterdir())
    assert b"my own secret" not in held


def test_a_damaged_step_is_left_out_and_counted(tmp_path: Path) -> None:
    """A state whose text is not as it was written is none; the sound ones stay, in order."""
    Autosave(tmp_path / "rig.toml", "secret", "text").keep(STATES, 1, 2)
    with closing(sqlite3.connect(tmp_path / "rig.toml.autosave")) as link, link:
        link.execute("UPDATE states SET state = replace(state, 'format', 'farmat')")
    found = kept(tmp_path)
    assert found is not None
    assert (found.at, found.lost) == (0, 1)
    assert list(found.states) == [STATES[0].holds]


def test_a_damaged_file_is_set_aside_and_a_new_one_begun(tmp_path: Path) -> None:
    """What is no database any more stays under another name; the work goes on."""
    path = tmp_path / "rig.toml.autosave"
    path.write_bytes(b"not a database, not at all" * 400)
    keeper = Autosave(tmp_path / "rig.toml", "secret", "text")
    assert keeper.damaged is not None
    assert keeper.damaged.read_bytes().startswith(b"not a database")
    keeper.keep(STATES, 1, 2)
    assert kept(tmp_path) is not None


@pytest.mark.parametrize("how", ["taken away", "written over"])
def test_a_file_lost_under_the_work_loses_no_step(tmp_path: Path, how: str) -> None:
    """Taken away, it is written again whole; written over, the step is refused until it is gone."""
    path = tmp_path / "rig.toml.autosave"
    keeper = Autosave(tmp_path / "rig.toml", "secret", "text")
    keeper.keep(STATES[:1], 0, 1)
    if how == "written over":
        path.write_bytes(b"x" * 20_000)
        with pytest.raises(OSError, match="damaged"):
            keeper.keep(STATES, 1, 2)
    path.unlink()
    keeper.keep(STATES, 1, 2)
    found = kept(tmp_path)
    assert found is not None
    assert list(found.states) == [one.holds for one in STATES]


def test_a_folder_that_takes_no_file_is_an_os_error(tmp_path: Path) -> None:
    """The page goes on without, and says so."""
    with pytest.raises(OSError, match="unable to open"):
        Autosave(tmp_path / "none" / "rig.toml", "secret", "text")


class Browser:
    """Asks with one cookie jar, as one browser would."""

    def __init__(self, port: int) -> None:
        self.root = f"http://127.0.0.1:{port}"
        jar = urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
        self._opener = urllib.request.build_opener(urllib.request.ProxyHandler({}), jar)

    def ask(self, path: str, body: dict[str, Any] | None = None) -> Any:
        """GET, or POST with a body; the answer's JSON."""
        data = None if body is None else json.dumps(body).encode()
        head = {"content-type": "application/json"}
        request = urllib.request.Request(self.root + path, data, head)
        with self._opener.open(request, timeout=60) as answer:
            return json.load(answer)


@contextmanager
def server(rig: Path) -> Iterator[int]:
    """`steelyard open`, and the port it names; ended by SIGKILL whatever happens."""
    command = [sys.executable, "-m", "steelyard", "open", str(rig), "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    try:
        assert process.stdout is not None
        port = int(process.stdout.readline().split(b"127.0.0.1:")[1].split(b"/")[0])
        for _ in range(600):
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.1)
        yield port
    finally:
        os.kill(process.pid, signal.SIGKILL)
        process.communicate()


def test_work_outlives_a_kill(tmp_path: Path) -> None:
    """Changed, killed with SIGKILL, started again: the same browser finds its work, and undo, at
    the same address; a second server of the file takes another."""
    rig = tmp_path / "rig.toml"
    rig.write_text(TEXT, "utf-8")
    with server(rig) as port:
        browser = Browser(port)
        before = browser.ask("/api/rig")
        browser.ask("/api/state", {"at": "trailer.gvwr", "value": "7111 lb"})
        browser.ask("/api/order", {"table": "stages", "name": "first-night", "by": -1})
    assert rig.read_text("utf-8") == TEXT
    with server(rig) as again, server(rig) as other:
        assert again == port != other
        found = browser.ask("/api/rig")
        assert found["trailer"]["gvwr"] == "7111 lb"
        assert next(iter(found["stages"])) == "first-night"
        browser.ask("/api/undo", {})
        browser.ask("/api/undo", {})
        assert browser.ask("/api/rig") == before
        assert Browser(port).ask("/api/rig") == before
