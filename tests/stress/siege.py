"""What a page must stand: half-open requests, odd bytes, being ended at work, acts without number.

    python -m tests.stress.siege [SRC] [half-open] [odd] [end] [memory] [soak]

Loopback only; each is bounded in count and time. Prints a line each; exit code 1 if one fell.
"""

import asyncio
import json
import random
import signal
import socket
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from time import monotonic, perf_counter, sleep
from typing import Final
from urllib.parse import urlsplit

from tests.loops import apart
from tests.stress.crowd import LOOK, SOURCE, Browser, Found, Page, crowd, page

ODD: Final = (
    b"GET / HTTP/1.1\r\nHost: [\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: 127.0.0.1:http\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: {host}\r\nHost: other\r\n\r\n",
    b"GET / HTTP/1.1\r\n\r\n",
    b"GET /%00%ff%fe HTTP/1.1\r\nHost: {host}\r\n\r\n",
    b"GET /static/../../../../etc/passwd HTTP/1.1\r\nHost: {host}\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: {host}\r\nCookie: \xe9=\xff; a b=[;\r\n\r\n",
    b"POST /api/undo HTTP/1.1\r\nHost: {host}\r\nOrigin: http:[\r\nContent-Length: 2\r\n\r\n{{}}",
    b"POST /api/undo HTTP/1.1\r\nHost: {host}\r\nContent-Length: -1\r\n\r\n{{}}",
    b"POST /api/undo HTTP/1.1\r\nHost: {host}\r\nContent-Length: 99999999999999999999\r\n\r\n",
    b"POST /api/undo HTTP/1.1\r\nHost: {host}\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n",
    b'POST /api/set HTTP/1.1\r\nHost: {host}\r\nContent-Length: 12\r\n\r\n{{"path": [\xff\xff',
    b"GET /live HTTP/1.1\r\nHost: {host}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\r\n",
    b"GET /live HTTP/1.1\r\nHost: {host}\r\nUpgrade: h2c\r\nConnection: Upgrade\r\n\r\n",
    b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
    b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
    b"GET / HTTP/1.1\r\nHost: {host}\r\nX: " + b"a" * 70_000 + b"\r\n\r\n",
    b"\x00" * 1000 + b"\r\n\r\n",
)
"""Requests that no browser makes."""


def half_open(there: Page, count: int = 900, wait: float = 20.0) -> tuple[int, str]:
    """So many requests begun and never ended: how many are held after so many s, and that the page
    answers meanwhile."""
    address = _address(there)
    begun = [_begun(address, n) for n in range(count)]
    sleep(wait / 2)
    answers = _answers(there)
    sleep(wait / 2)
    held = sum(_held(one) for one in begun if one is not None)
    for one in begun:
        if one is not None:
            one.close()
    return held + (not answers), f"{held} of {count} half-open requests held after {wait:g} s"


def odd(there: Page, mutations: int = 300, seed: int = 1) -> tuple[int, str]:
    """Odd requests and mutated ones: no traceback, no answer of 500, and the page goes on."""
    host = f"127.0.0.1:{_address(there)[1]}".encode()
    plain = [one.replace(b"{host}", host).replace(b"{{", b"{").replace(b"}}", b"}") for one in ODD]
    source = random.Random(seed)
    asked = [*plain, *(_mutated(source.choice(plain), source) for _ in range(mutations))]
    fell = [one for one in asked if b" 500 " in _said(_address(there), one, 0.3)[:20]]
    gone, told = not _answers(there), there.tracebacks
    words = f"{len(asked)} odd requests: {len(fell)} answered with 500, {told} tracebacks"
    return len(fell) + gone + told, words


def end(there: Page, number: int = signal.SIGTERM, lines: int = 12) -> tuple[int, str]:
    """Ended with tabs open and slow work under way: s until it is gone, and its exit code."""

    async def work() -> float:
        tabs = [Browser(there, n) for n in range(lines)]
        await asyncio.gather(*(one.open() for one in tabs))
        look = {**LOOK, "open": ["load", "sway", "explain", "weigh_next"]}
        for one in tabs:
            await one.line.send(json.dumps({"id": 2, "look": look}))
        await asyncio.sleep(1.0)
        there.process.send_signal(number)
        begun = perf_counter()
        with suppress(Exception):
            await asyncio.to_thread(there.process.wait, 30)
        return perf_counter() - begun

    took = apart(work())
    code = there.process.returncode
    return int(took > 3.0 or code != 0), f"ended at work in {took:.2f} s, exit code {code}"


def memory(there: Page, acts: int = 10_000, tabs: int = 4) -> tuple[int, str]:
    """Acts without pause: MB at each tenth; level is at most a tenth more at the end than at a
    third of the way."""
    seen: list[float] = []

    async def work() -> None:
        lines = [Browser(there, n + 1) for n in range(tabs)]
        await asyncio.gather(*(one.open() for one in lines))
        for _ in range(10):
            await asyncio.gather(*(_drops(one, acts // 10 // tabs) for one in lines))
            seen.append(there.memory())
            print(f"       {seen[-1]:.0f} MB", file=sys.stderr, flush=True)

    apart(work())
    told, threads = " ".join(f"{one:.0f}" for one in seen), there.threads()
    fell = seen[-1] > 1.1 * seen[3] or threads > 60
    return int(fell), f"{acts:,} acts: {told} MB, {threads} threads"


def soak(there: Page, seconds: float = 600.0, browsers: int = 12) -> tuple[int, str]:
    """Browsers at a steady beat: MB at a third of the way, when what is kept of each browser has
    come together, and at the end; level is at most a tenth more."""
    third: list[float] = []

    async def look() -> None:
        await asyncio.sleep(seconds / 3)
        third.append(there.memory())

    async def work() -> Found:
        found, _ = await asyncio.gather(crowd(there, browsers, every=2.0, seconds=seconds), look())
        return found

    found = apart(work())
    grown = found.memory - third[0]
    return int(grown > 0.1 * third[0]), f"soak: {found.told()}; {grown:+.0f} MB since a third of it"


PARTS: Final[dict[str, Callable[[Page], tuple[int, str]]]] = {
    "half-open": half_open,
    "odd": odd,
    "memory": memory,
    "soak": soak,
    "end": end,
}


async def _drops(one: Browser, count: int) -> None:
    for _ in range(count):
        await one.drop()


def _address(there: Page) -> tuple[str, int]:
    return "127.0.0.1", urlsplit(there.address).port or 80


def _begun(address: tuple[str, int], number: int) -> socket.socket | None:
    """A request that stops half-way: in its head, after it, or after its first byte."""
    host = f"127.0.0.1:{address[1]}"
    stops = (
        f"GET / HTTP/1.1\r\nHost: {host}\r\n",
        f"POST /api/undo HTTP/1.1\r\nHost: {host}\r\nContent-Length: 20\r\n\r\n{{",
        "G",
        "",
    )
    try:
        found = socket.create_connection(address, timeout=5)
        found.sendall(stops[number % len(stops)].encode())
    except OSError:
        return None
    return found


def _held(one: socket.socket) -> bool:
    """Whether the other side still keeps the connection."""
    one.settimeout(0.001)
    try:
        while one.recv(4096):
            pass
    except TimeoutError:
        return True
    except OSError:
        return False
    return False


def _said(address: tuple[str, int], asked: bytes, patience: float = 5.0) -> bytes:
    """The first of an answer; nothing where none came in time."""
    with suppress(OSError), socket.create_connection(address, timeout=patience) as line:
        line.sendall(asked)
        return line.recv(4096)
    return b""


def _mutated(text: bytes, source: random.Random) -> bytes:
    """A few bytes changed, taken out or doubled."""
    found = bytearray(text[:4000])
    for _ in range(source.randint(1, 6)):
        at = source.randrange(len(found) or 1)
        found[at : at + source.randint(0, 3)] = source.randbytes(source.randint(0, 4))
    return bytes(found)


def _answers(there: Page) -> bool:
    """Whether the page answers a plain request within 10 s."""
    until = monotonic() + 10.0
    asked = f"GET /enter HTTP/1.1\r\nHost: 127.0.0.1:{_address(there)[1]}\r\n\r\n".encode()
    while monotonic() < until:
        if b" 200 " in _said(_address(there), asked)[:20]:
            return True
        sleep(0.2)
    return False


def told(wanted: list[str], source: Path = SOURCE) -> Iterator[tuple[int, str]]:
    """Each on a page of its own."""
    for name in wanted or PARTS:
        with page(source) as there:
            yield PARTS[name](there)


def main(words: list[str]) -> int:
    """Print a line each; 1 where one fell."""
    source = Path(words.pop(0)) if words and Path(words[0]).is_dir() else SOURCE
    fallen = 0
    for fell, line in told(words, source):
        print(f"{'FELL  ' if fell else 'stood '} {line}", flush=True)
        fallen += bool(fell)
    return int(fallen > 0)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
