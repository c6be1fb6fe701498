"""Connections on which nothing is asked in time are given up; the page ends soon, and its code
stands nowhere."""

import json
import os
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic

import pytest
import uvicorn
from tests.stress import crowd, siege

from steelyard.files.demo import demo_rigs
from steelyard.web import Start, create_app, guard, serve
from steelyard.web.serve import address_of, bound

SOURCE = Path(__file__).parents[2] / "src"


@contextmanager
def served(folder: Path) -> Iterator[tuple[str, int]]:
    """A page in this process, behind the protocol that gives up."""
    start = Start(
        text=demo_rigs()["perihelion-camper.toml"], name="rig.toml", logbook=folder / "book.sqlite"
    )
    listening = bound(lan=False)
    port = listening.getsockname()[1]
    config = uvicorn.Config(
        create_app(start, None, port),
        log_level="critical",
        http=serve.Deadline,
        ws="websockets-sansio",
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    thread.start()
    while not server.started:
        threading.Event().wait(0.02)
    try:
        yield "127.0.0.1", port
    finally:
        server.should_exit = True
        thread.join(20)


@pytest.mark.parametrize(
    ("begun", "answer"),
    [
        (b"", b"408"),
        (b"GET / HT", b"408"),
        (b"GET /enter HTTP/1.1\r\nHost: {host}\r\n", b"408"),
        (b"POST /enter HTTP/1.1\r\nHost: {host}\r\nContent-Length: 9\r\n\r\ncode", b"408"),
        (b"POST /api/undo HTTP/1.1\r\nHost: {host}\r\nContent-Length: 9\r\n\r\n{", b"408"),
    ],
)
def test_what_is_not_asked_whole_is_given_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, begun: bytes, answer: bytes
) -> None:
    """However a request stops half-way, it is answered that it did, and the connection ends."""
    monkeypatch.setattr(serve, "ASKING", 0.5)
    monkeypatch.setattr(guard, "BODY", 0.5)
    with served(tmp_path) as address, socket.create_connection(address, timeout=20) as line:
        line.sendall(begun.replace(b"{host}", f"127.0.0.1:{address[1]}".encode()))
        found = b"".join(iter(lambda: line.recv(4096), b""))
        assert found.split(b" ")[1] == answer
        assert json.loads(found.partition(b"\r\n\r\n")[2])["fault"]


def test_bytes_that_trickle_do_not_hold_a_connection(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A head that comes a byte at a time is held to the time of its first one."""
    monkeypatch.setattr(serve, "ASKING", 1.0)
    with served(tmp_path) as address, socket.create_connection(address, timeout=0.1) as line:
        begun, found = monotonic(), b""
        while not found and monotonic() - begun < 20:
            try:
                line.sendall(b"G")
                found = line.recv(4096)
            except TimeoutError:
                continue
        assert found.split(b" ")[1] == b"408"


def test_those_who_only_wait_make_room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With all places taken by connections that ask nothing, one that asks is answered."""
    monkeypatch.setattr(serve, "MOST", 5)
    with served(tmp_path) as address:
        waiting = [socket.create_connection(address, timeout=20) for _ in range(9)]
        with socket.create_connection(address, timeout=20) as line:
            line.sendall(f"GET /enter HTTP/1.1\r\nHost: 127.0.0.1:{address[1]}\r\n\r\n".encode())
            assert line.recv(4096).split(b" ")[1] == b"200"
        for one in waiting:
            one.close()


def test_odd_requests_get_answers() -> None:
    """A small sample of what `make stress` does: no traceback, nothing answered with 500."""
    with crowd.page(SOURCE) as there:
        fell, words = siege.odd(there, mutations=20)
    assert not fell, words


def test_ended_at_work_it_is_gone_soon() -> None:
    """With tabs open and slow work under way, within 3 s, with exit code 0."""
    with crowd.page(SOURCE) as there:
        fell, words = siege.end(there, lines=3)
    assert not fell, words


def test_the_code_stands_in_no_process_list_and_no_address(tmp_path: Path) -> None:
    """Neither the browser that is started nor the QR code's request is told it: what stands behind
    a # is never sent (RFC 9110, 4.1)."""
    listening = bound(lan=True)
    try:
        address, gate = address_of(listening, lan=True)
    finally:
        listening.close()
    if address.direct is not None:
        assert gate.code
        assert address.direct.partition("#")[2] == gate.code
        assert gate.code not in address.here
    marker = tmp_path / "browser.txt"
    browser = tmp_path / "browser.py"
    browser.write_text(f"import sys; open({str(marker)!r}, 'a').write(str(sys.argv))", "utf-8")
    opened = _opened(tmp_path, f"{sys.executable} {browser} %s", marker)
    assert "127.0.0.1" in opened
    assert "enter" not in opened


def _opened(folder: Path, browser: str, marker: Path) -> str:
    """With what words the browser was started by `open --lan`."""
    rig = folder / "rig.toml"
    rig.write_text(demo_rigs()["perihelion-camper.toml"], "utf-8")
    env = {**os.environ, "BROWSER": browser, "XDG_DATA_HOME": str(folder)}
    command = [sys.executable, "-m", "steelyard", "open", str(rig), "--lan"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=env)
    try:
        until = monotonic() + 30
        while not marker.exists() and monotonic() < until:
            threading.Event().wait(0.1)
        threading.Event().wait(0.3)
        return marker.read_text("utf-8")
    finally:
        process.terminate()
        process.communicate(timeout=20)
