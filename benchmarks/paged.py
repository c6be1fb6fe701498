"""The page: an item dropped until everything shows it, in Chromium; the server's part; many people.

Run apart from `run.py`'s other parts when other work is on the machine: a browser wants a core.
"""

import asyncio
import json
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

import rigs
from table import Row

DROPS = 40
SESSIONS, EVERY, LASTING = 20, 2.0, 20.0
PLACES = ("bedroom", "galley", "lounge", "rear-room")
LOOK = {"open": ["load", "trip", "limits"], "wide": True, "choice": {}, "plot": "share"}


def rows() -> Iterator[Row]:
    """All of it on one server, first alone, then with many browsers."""
    with tempfile.TemporaryDirectory() as folder:
        rig = Path(folder) / "rig.toml"
        camper = next(path for path in rigs.demo_files() if path.stem == "perihelion-camper")
        rig.write_text(camper.read_text("utf-8"), "utf-8")
        server, address = _serve(rig)
        try:
            alone = asyncio.run(_drops(address, DROPS))
            base = _p95(alone)
            yield Row(
                name="page, drop: server, message in to parts out, p95",
                measured=f"{base * 1e3:.0f} ms, median {median(alone) * 1e3:.0f} ms",
                ratio="",
                baseline="4 stages, 4,096 draws, one batch, SVG and HTML made",
                target="40 ms",
                met=base < 0.040,
            )
            yield from _in_browser(address)
            before = _memory(server.pid)
            busy = asyncio.run(_crowd(address))
            crowd = _p95(busy)
            yield Row(
                name=f"page, {SESSIONS} browsers, a drop every {EVERY:g} s each, p95",
                measured=f"{crowd * 1e3:.0f} ms, median {median(busy) * 1e3:.0f} ms",
                ratio=f"{crowd / base:.1f} x the time",
                baseline="one browser",
                target="2 x",
                met=crowd < 2 * base,
            )
            grown = (_memory(server.pid) - before) / SESSIONS
            yield Row(
                name="page, memory a browser",
                measured=f"{grown / 1e6:.1f} MB",
                ratio="",
                baseline="growth of the server over 20 browsers and their drops",
            )
        finally:
            server.terminate()


def _serve(rig: Path) -> tuple["subprocess.Popen[str]", str]:
    """`steelyard open` as a person starts it."""
    words = [sys.executable, "-m", "steelyard", "open", str(rig), "--no-browser"]
    server = subprocess.Popen(words, stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    address = re.search(r"http\S+", server.stdout.readline())
    assert address is not None
    time.sleep(2.0)
    return server, address[0]


async def _cookie(address: str) -> str:
    import httpx2

    async with httpx2.AsyncClient() as client:
        answer = await client.get(address)
        return answer.headers["set-cookie"].split(";")[0]


async def _drops(
    address: str, count: int, every: float = 0.15, lasting: float = 1e9
) -> list[float]:
    """Seconds from each drop to its parts."""
    import websockets

    live = address.replace("http:", "ws:") + "live"
    head = {"cookie": await _cookie(address)}
    found: list[float] = []
    async with websockets.connect(live, additional_headers=head, max_size=None) as line:
        await line.send(json.dumps({"id": 1, "look": LOOK}))
        await _answer(line, 1)
        until = perf_counter() + lasting
        for number in range(2, count + 2):
            await asyncio.sleep(every)
            if perf_counter() > until:
                break
            ask = {"item": "bikes", "to": PLACES[number % len(PLACES)]}
            start = perf_counter()
            await line.send(json.dumps({"id": number, "do": "move", "ask": ask, "look": LOOK}))
            await _answer(line, number)
            found.append(perf_counter() - start)
    return found


async def _answer(line: Any, number: int) -> None:
    while json.loads(await line.recv()).get("id") != number:
        pass


async def _crowd(address: str) -> list[float]:
    async def one(late: float) -> list[float]:
        await asyncio.sleep(late)
        return await _drops(address, 1000, EVERY, LASTING)

    found = await asyncio.gather(*(one(EVERY * n / SESSIONS) for n in range(SESSIONS)))
    return [x for part in found for x in part]


def _in_browser(address: str) -> Iterator[Row]:
    where = shutil.which("chromium") or shutil.which("chromium-browser")
    if where is None:
        yield Row(name="page in Chromium", measured="skipped", ratio="", baseline="no chromium")
        return
    from playwright.sync_api import sync_playwright

    flags = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"]
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=where, args=flags)
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        start = perf_counter()
        page.goto(address)
        page.locator("html[data-live=yes]").wait_for()
        first = perf_counter() - start
        page.wait_for_timeout(1500)
        times = [_drop(page, PLACES[n % len(PLACES)]) for n in range(DROPS)]
        browser.close()
    yield Row(
        name="page, usable after the first request",
        measured=f"{first:.2f} s",
        ratio="",
        baseline="Chromium, 1280 px",
        target="1.5 s",
        met=first < 1.5,
    )
    found = _p95(times)
    yield Row(
        name="page, drop until numbers and drawing are painted, p95",
        measured=f"{found * 1e3:.0f} ms, median {median(times) * 1e3:.0f} ms",
        ratio="",
        baseline="Chromium, 1280 px",
        target="100 ms",
        met=found < 0.100,
    )


def _drop(page: Any, place: str) -> float:
    """Seconds from the click on the place until the next frame after the parts changed."""
    page.wait_for_timeout(400)
    milliseconds = page.evaluate(
        """place => new Promise((done) => {
            document.querySelector('.chip[data-item="bikes"]').click();
            const begin = performance.now();
            const seen = new MutationObserver(() => {
                seen.disconnect();
                requestAnimationFrame(() => setTimeout(() => done(performance.now() - begin), 0));
            });
            seen.observe(document.getElementById("part-picture"), { childList: true });
            document.querySelector(`.place-name[data-place="${place}"]`).click();
        })""",
        place,
    )
    return float(milliseconds) / 1e3


def _p95(times: list[float]) -> float:
    return sorted(times)[int(0.95 * (len(times) - 1))]


def _memory(process: int) -> int:
    """Resident bytes of a process now."""
    found = re.search(r"VmRSS:\s+(\d+) kB", Path(f"/proc/{process}/status").read_text("utf-8"))
    return int(found[1]) * 1024 if found else 0
