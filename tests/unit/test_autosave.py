"""Unsaved work outlives the process, whole and in order."""

import http.cookiejar
import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from steelyard.files.autosave import Autosave
from steelyard.files.demo import demo_rigs

TEXT = demo_rigs()["perihelion-camper.toml"]


def test_what_is_kept_is_found_in_its_order(tmp_path: Path) -> None:
    """States, which one is now, and the order of keys, which is the order of the stages."""
    states: list[dict[str, Any]] = [
        {"data": {"stages": {"b": {}, "a": {}}}},
        {"data": {"format": 1}},
    ]
    keeper = Autosave(tmp_path / "rig.toml", "secret", "text")
    names = keeper.keep(states[:1], [], 0, 6)
    keeper.keep(states[1:], names, 1, 7)
    kept = Autosave(tmp_path / "rig.toml", "secret", "other").found()
    assert kept is not None
    assert (list(kept.states), kept.at, kept.revision, kept.same_base) == (states, 1, 7, False)
    assert list(kept.states[0]["data"]["stages"]) == ["b", "a"]


def test_one_browsers_work_is_not_anothers(tmp_path: Path) -> None:
    """By secret, of which only a digest is on disk."""
    keeper = Autosave(tmp_path / "rig.toml", "my own secret", "text")
    keeper.keep([{"data": {}}], [], 0, 1)
    assert Autosave(tmp_path / "rig.toml", "another", "text").found() is None
    held = b"".join(path.read_bytes() for path in tmp_path.iterdir())
    assert b"my own secret" not in held


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
def server(rig: Path, port: int) -> Iterator[subprocess.Popen[bytes]]:
    """`steelyard open`, ended by SIGKILL whatever happens."""
    command = [
        sys.executable,
        "-m",
        "steelyard",
        "open",
        str(rig),
        "--no-browser",
        "--port",
        str(port),
    ]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        for _ in range(600):
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.1)
        yield process
    finally:
        os.kill(process.pid, signal.SIGKILL)
        process.wait()


def free_port() -> int:
    """A port nobody listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def test_work_outlives_a_kill(tmp_path: Path) -> None:
    """Changed, killed with SIGKILL, started again: the same browser finds its work, and undo."""
    rig, port = tmp_path / "rig.toml", free_port()
    rig.write_text(TEXT, "utf-8")
    browser = Browser(port)
    with server(rig, port):
        before = browser.ask("/api/rig")
        browser.ask("/api/state", {"at": "trailer.gvwr", "value": "7111 lb"})
        browser.ask("/api/order", {"table": "stages", "name": "first-night", "by": -1})
    assert rig.read_text("utf-8") == TEXT
    with server(rig, port):
        found = browser.ask("/api/rig")
        assert found["trailer"]["gvwr"] == "7111 lb"
        assert next(iter(found["stages"])) == "first-night"
        browser.ask("/api/undo", {})
        browser.ask("/api/undo", {})
        assert browser.ask("/api/rig") == before
        assert Browser(port).ask("/api/rig") == before
