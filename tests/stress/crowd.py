"""Many browsers on one page: drops without pause, until a bound; what each cost, and the memory.

    python -m tests.stress.crowd --browsers 50 --every 2 --seconds 30 [--source OTHER/src]

Loopback only. Every drop is of an item and to a place drawn by seed, so that states seldom repeat
and no answer can be had from an earlier one; `--alike` lets every browser do the same drops.
"""

import argparse
import asyncio
import json
import os
import random
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from time import monotonic, perf_counter, sleep
from typing import Any, Final
from urllib.request import ProxyHandler, build_opener

import websockets

from steelyard.files.demo import demo_rigs

ITEMS: Final = ("bedding", "pantry", "telescopes", "chairs", "bikes")
PLACES: Final = ("bedroom", "galley", "lounge", "rear-room")
LOOK: Final = {"open": ["load", "trip", "limits"], "wide": True, "choice": {}, "plot": "share"}
TICK: Final = os.sysconf("SC_CLK_TCK")
SOURCE: Final = Path(__file__).parents[2] / "src"


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A served page: its process and address."""

    process: "subprocess.Popen[str]"
    address: str
    rig: Path
    faults: Path

    @property
    def tracebacks(self) -> int:
        """How many it printed."""
        return self.faults.read_text("utf-8", "replace").count("Traceback")

    def cpu(self) -> tuple[float, float]:
        """s of processor time so far: the server's own, and that of its children."""
        first, *rest = [_seconds(one) for one in _family(self.process.pid)]
        return first, sum(rest)

    def threads(self) -> int:
        """Threads of the server."""
        return len(list(Path(f"/proc/{self.process.pid}/task").iterdir()))

    def memory(self) -> float:
        """Resident MB of the server and its children."""
        return sum(_resident(one) for one in _family(self.process.pid)) / 1e6


@contextmanager
def page(source: Path = SOURCE, *words: str, rig: str = "") -> Iterator[Page]:
    """`steelyard open` from a source tree, on a copy of the demo; ended whatever happens."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "rig.toml"
        path.write_text(rig or demo_rigs()["perihelion-camper.toml"], "utf-8")
        command = [sys.executable, "-m", "steelyard", "open", str(path), "--no-browser", *words]
        env = {**os.environ, "PYTHONPATH": str(source), "XDG_DATA_HOME": folder}
        faults = Path(folder) / "faults.txt"
        with faults.open("w") as err:
            process = subprocess.Popen(
                command, stdout=subprocess.PIPE, stderr=err, text=True, env=env, cwd=folder
            )
        try:
            assert process.stdout is not None
            found = re.search(r"http\S+", process.stdout.readline())
            assert found is not None
            _answering(found[0])
            yield Page(process=process, address=found[0], rig=path, faults=faults)
        finally:
            process.terminate()
            with suppress(subprocess.TimeoutExpired):
                process.wait(10)
            process.kill()
            process.communicate()


def _answering(address: str) -> None:
    opener = build_opener(ProxyHandler({}))
    until = monotonic() + 30
    while True:
        try:
            opener.open(address, timeout=30).read()
        except OSError:
            if monotonic() > until:
                raise
            sleep(0.1)
        else:
            return


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Seconds from each drop to its parts, the drops refused, s of processor time, MB resident."""

    times: list[float]
    refused: int
    cpu: float
    children: float
    memory: float
    waited: float

    @property
    def p95(self) -> float:
        """s."""
        return sorted(self.times)[int(0.95 * (len(self.times) - 1))]

    def told(self) -> str:
        """In a line."""
        n = max(len(self.times), 1)
        return (
            f"{len(self.times)} drops in {self.waited:.0f} s, {self.refused} refused:"
            f" p95 {self.p95 * 1e3:.0f} ms, median {median(self.times) * 1e3:.0f} ms;"
            f" processor {self.cpu / n * 1e3:.1f} + {self.children / n * 1e3:.1f} ms a drop"
            f" (server + children); {self.memory:.0f} MB"
        )


async def crowd(
    there: Page, browsers: int, *, every: float, seconds: float, alike: bool = False
) -> Found:
    """So many browsers, each with a drop every so many seconds."""
    lines = [Browser(there, 0 if alike else n + 1) for n in range(browsers)]
    await asyncio.gather(*(one.open() for one in lines))
    await asyncio.sleep(1.0)
    before, began = there.cpu(), perf_counter()
    spread = (one.drops(every * n / browsers, every, seconds) for n, one in enumerate(lines))
    await asyncio.gather(*spread)
    after, waited = there.cpu(), perf_counter() - began
    for one in lines:
        await one.line.close()
    return Found(
        times=[x for one in lines for x in one.times],
        refused=sum(one.refused for one in lines),
        cpu=after[0] - before[0],
        children=after[1] - before[1],
        memory=there.memory(),
        waited=waited,
    )


class Browser:
    """One browser with one tab."""

    line: Any

    def __init__(self, there: Page, seed: int) -> None:
        self.there, self.random = there, random.Random(seed)
        self.times: list[float] = []
        self.refused, self.number = 0, 1

    async def open(self) -> None:
        """The page, its cookie, its live line, and the first view of it."""
        cookie = await asyncio.to_thread(_cookie, self.there.address)
        live = self.there.address.replace("http:", "ws:") + "live"
        head = {"cookie": cookie}
        self.line = await websockets.connect(
            live, additional_headers=head, max_size=None, proxy=None, open_timeout=60
        )
        await self.line.send(json.dumps({"id": 1, "look": LOOK}))
        await self._answer(1)

    async def drops(self, late: float, every: float, seconds: float) -> None:
        """Drops until the time is over, at a steady beat."""
        await asyncio.sleep(late)
        began = perf_counter()
        beat = 0
        while perf_counter() - began < seconds:
            await self.drop()
            beat += 1
            await asyncio.sleep(max(0.0, began + beat * every - perf_counter()))

    async def drop(self) -> None:
        """One drop, timed until its parts are here."""
        self.number += 1
        ask = {"item": self.random.choice(ITEMS), "to": self.random.choice(PLACES)}
        message = {"id": self.number, "do": "move", "ask": ask, "look": LOOK}
        start = perf_counter()
        await self.line.send(json.dumps(message))
        answer = await self._answer(self.number)
        if "said" in answer:
            self.times.append(perf_counter() - start)
        else:
            self.refused += 1

    async def _answer(self, number: int) -> dict[str, Any]:
        while True:
            found: dict[str, Any] = json.loads(await self.line.recv())
            if found.get("id") == number:
                return found


def _cookie(address: str) -> str:
    with build_opener(ProxyHandler({})).open(address, timeout=60) as answer:
        return str(answer.headers["set-cookie"]).partition(";")[0]


def _family(process: int) -> list[int]:
    """A process and all below it."""
    found, at = [process], 0
    while at < len(found):
        for task in Path(f"/proc/{found[at]}/task").glob("*/children"):
            with suppress(OSError):
                found += [int(one) for one in task.read_text("utf-8").split()]
        at += 1
    return found


def _seconds(process: int) -> float:
    fields = Path(f"/proc/{process}/stat").read_text("utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICK


def _resident(process: int) -> int:
    found = re.search(r"VmRSS:\s+(\d+) kB", Path(f"/proc/{process}/status").read_text("utf-8"))
    return int(found[1]) * 1024 if found else 0


def main() -> None:
    """Print a line."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--browsers", type=int, default=50)
    words.add_argument("--every", type=float, default=2.0)
    words.add_argument("--seconds", type=float, default=30.0)
    words.add_argument("--source", type=Path, default=SOURCE)
    words.add_argument("--alike", action="store_true")
    said = words.parse_args()
    with page(said.source) as there:
        found = asyncio.run(
            crowd(there, said.browsers, every=said.every, seconds=said.seconds, alike=said.alike)
        )
        print(found.told())


if __name__ == "__main__":
    main()
