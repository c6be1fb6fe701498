"""The page's server killed (SIGKILL) at any moment: no act that was accepted is lost, and none that
is sent again is done twice.

    python -m tests.stress.lives [KILLS] [SEED]
"""

import json
import os
import random
import re
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final

from websockets.exceptions import ConnectionClosed
from websockets.sync.client import ClientConnection, connect

from steelyard.files.demo import demo_rigs
from steelyard.logbook.rigs import Rigs
from steelyard.web.acts.base import AGAIN
from steelyard.web.book import Shelf
from steelyard.web.work import Works

LOOK: Final = {"open": [], "wide": True, "choice": {}, "plot": "share"}
SOURCE: Final = Path(__file__).parents[2] / "src"


@contextmanager
def serving(book: Path) -> Iterator[tuple["subprocess.Popen[str]", int]]:
    """`steelyard open` on a book; its process and port; killed whatever happens."""
    env = {**os.environ, "PYTHONPATH": str(SOURCE), "STEELYARD_LOGBOOK": str(book)}
    command = [sys.executable, "-m", "steelyard", "open", "--no-browser"]
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, env=env
    )
    try:
        assert process.stdout is not None
        found = re.search(r":(\d+)/", process.stdout.readline())
        assert found is not None
        _listening(int(found[1]))
        yield process, int(found[1])
    finally:
        process.kill()
        process.communicate()


def named(book: Path, kills: int, rng: random.Random) -> tuple[list[str], list[str]]:
    """A rig is renamed again and again while its server is killed so many times, what was not
    answered being sent again: the names accepted in their order, and those that the book holds."""
    shelf = Shelf(book, Works())
    number = shelf.add(demo_rigs()["perihelion-camper.toml"])
    shelf.end()
    accepted: list[str] = []
    open_: str | None = None
    count = 0
    for _ in range(kills):
        with (
            serving(book) as (process, port),
            suppress(ConnectionClosed, OSError),
            _line(port, number) as line,
        ):
            for turn in range(rng.randrange(1, 9), -1, -1):
                if open_ is None:
                    count += 1
                    open_ = f"name {count}"
                if turn == 0:
                    _kill_soon(process, rng)
                _rename(line, open_)
                accepted.append(open_)
                open_ = None
            while True:  # answered before it was killed
                line.recv()
    rigs = Rigs(book)
    states = [json.loads(text or "{}") for text in rigs.work(number).states[1:]]
    return accepted, [state["data"]["name"] for state in states]


def _listening(port: int) -> None:
    """Wait until the server answers."""
    for _ in range(300):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise AssertionError("expected an answer within 30 s, found none")


def _line(port: int, number: int) -> ClientConnection:
    """A tab's line."""
    return connect(f"ws://127.0.0.1:{port}/rig/{number}/live", proxy=None)


def _kill_soon(process: "subprocess.Popen[str]", rng: random.Random) -> None:
    """End it at some moment of what comes next."""
    threading.Timer(rng.uniform(0.0, 0.06), process.kill).start()


def _rename(line: ClientConnection, name: str) -> None:
    """One act, until it is answered; its key is its name."""
    ask: dict[str, Any] = {"path": ["name"], "value": name}
    line.send(json.dumps({"id": 1, "do": "set", "ask": ask, "key": name, "look": LOOK}))
    while True:
        answer = json.loads(line.recv())
        if answer.get("id") == 1:
            assert answer["said"] == AGAIN or "fault" not in answer, answer
            return


if __name__ == "__main__":
    kills, seed = (int(word) for word in (*sys.argv[1:], *("100", "0")[len(sys.argv) - 1 :]))
    with tempfile.TemporaryDirectory() as folder:
        accepted, kept = named(Path(folder) / "book.sqlite", kills, random.Random(seed))
    tail = kept[-1:] if kept[-1:] != accepted[-1:] else []
    last = accepted[-(len(kept) - len(tail)) :]
    lost = sum(a != b for a, b in zip(last, kept, strict=False))
    sys.stdout.write(
        f"{kills} kills: {len(accepted)} accepted, {lost} of the last {len(last)} lost\n"
    )
    sys.exit(lost > 0)
