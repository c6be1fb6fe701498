"""The page: an item dropped until everything shows it, in Chromium; the server's part; many people;
and what a drop costs against the page as it was at a named commit.

Run apart from `run.py`'s other parts when other work is on the machine: a browser wants a core.
"""

import asyncio
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from since import BASELINE, as_it_reads, as_it_was
from table import Row

ROOT = Path(__file__).parents[1]
sys.path.append(str(ROOT))

from tests.stress.crowd import SOURCE, Found, crowd, page  # noqa: E402
from tests.stress.lives import serving  # noqa: E402

from steelyard.files.demo import demo_rigs  # noqa: E402
from steelyard.web.book import Shelf  # noqa: E402
from steelyard.web.work import Works  # noqa: E402

DROPS = 40
READINGS, PAUSE = 30, 1000
BROWSERS, EVERY, WARM = 50, 2.0, 4.0
ONE, CROWD = (1, 0.3, 0.3 * DROPS), (BROWSERS, EVERY, 20.0)
"""Browsers, s between the drops of each, and s in all."""
PLACES = ("bedroom", "galley", "lounge", "rear-room")


def rows() -> Iterator[Row]:
    """One browser, one in Chromium, then many; each on a server of its own, the baseline's too."""
    alone, many = (_measured(SOURCE, *how) for how in (ONE, CROWD))
    with as_it_was() as source:
        rig = as_it_reads(demo_rigs()["perihelion-camper.toml"])
        was = [_measured(source, *how, rig) for how in (ONE, CROWD)] if source else []
    yield Row(
        name="page, drop: server, message in to parts out, p95",
        measured=f"{alone.p95 * 1e3:.0f} ms, median {median(alone.times) * 1e3:.0f} ms",
        ratio=f"{alone.p95 / was[0].p95:.2f} x the time" if was else "",
        baseline=f"commit {BASELINE}, which told less" if was else f"no {BASELINE}",
        target="40 ms",
        met=alone.p95 < 0.040,
    )
    with page() as there:
        yield from _in_browser(there.address)
    yield from _across()
    yield Row(
        name=f"page, {BROWSERS} browsers, a drop every {EVERY:g} s each, p95",
        measured=f"{many.p95 * 1e3:.0f} ms, median {median(many.times) * 1e3:.0f} ms",
        ratio=f"{many.p95 / alone.p95:.1f} x the time",
        baseline="one browser",
        target="500 ms",
        met=many.p95 < 0.500,
    )
    yield Row(
        name=f"page, memory with {BROWSERS} browsers",
        measured=f"{many.memory:.0f} MB",
        ratio="",
        baseline="server and the process beside it",
    )
    for who, now, before in zip(
        ("one browser", f"{BROWSERS} browsers"), (alone, many), was, strict=False
    ):
        yield _cost(who, now, before)


def _cost(who: str, now: Found, was: Found) -> Row:
    """Processor time of a drop, the server's and its children's, against the baseline's."""
    new, old = ((one.cpu + one.children) / max(len(one.times), 1) for one in (now, was))
    return Row(
        name=f"page, processor time of a drop, {who}",
        measured=f"{new * 1e3:.1f} ms",
        ratio=f"{new / old:.2f} x the time",
        baseline=f"commit {BASELINE}, {old * 1e3:.1f} ms",
        target="0.4 x",
        met=new < 0.4 * old,
    )


def _measured(source: Path, browsers: int, every: float, seconds: float, rig: str = "") -> Found:
    """A page under way: what its start costs, the process beside it too, is no drop's."""
    with page(source, rig=rig) as there:
        asyncio.run(crowd(there, browsers, every=every, seconds=WARM))
        return asyncio.run(crowd(there, browsers, every=every, seconds=seconds))


@contextmanager
def _chromium() -> Iterator[Any]:
    """The system's Chromium; None where there is none."""
    where = shutil.which("chromium") or shutil.which("chromium-browser")
    if where is None:
        yield None
        return
    from playwright.sync_api import sync_playwright

    flags = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"]
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=where, args=flags)
        yield browser
        browser.close()


def _in_browser(address: str) -> Iterator[Row]:
    with _chromium() as browser:
        if browser is None:
            yield Row(name="page in Chromium", measured="skipped", ratio="", baseline="no chromium")
            return
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        start = perf_counter()
        page.goto(address)
        page.locator("html[data-live=yes]").wait_for()
        first = perf_counter() - start
        page.wait_for_timeout(1500)
        times = [_drop(page, PLACES[n % len(PLACES)]) for n in range(DROPS)]
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


def _across() -> Iterator[Row]:
    """A reading typed on a phone until the picture on a laptop is painted: one rig of the book."""
    with tempfile.TemporaryDirectory() as folder, _chromium() as browser:
        if browser is None:
            return
        book = Path(folder) / "book.sqlite"
        shelf = Shelf(book, Works())
        number = shelf.add(demo_rigs()["perihelion-camper.toml"])
        shelf.end()
        with serving(book) as (_, port):
            sizes = ({"width": 1280, "height": 900}, {"width": 390, "height": 844})
            laptop, phone = [browser.new_context(viewport=one).new_page() for one in sizes]
            for one in (laptop, phone):
                one.goto(f"http://127.0.0.1:{port}/rig/{number}/")
                one.locator("html[data-live=yes]").wait_for()
            phone.locator(".headline .do").click()
            phone.locator("input[name=value]:focus").wait_for()
            times = [_seen_across(phone, laptop, 640 + n) for n in range(READINGS)]
    found = _p95(times)
    yield Row(
        name="page, reading typed on a phone until a laptop's picture is painted, p95",
        measured=f"{found * 1e3:.0f} ms, median {median(times) * 1e3:.0f} ms",
        ratio="",
        baseline="Chromium, two contexts on one machine",
        target="200 ms",
        met=found < 0.200,
    )


def _seen_across(phone: Any, laptop: Any, pounds: int) -> float:
    """Seconds by both's one clock, from Enter to the frame after the other's picture changed."""
    field = phone.locator("form.asked input[name=value]")
    field.fill(str(pounds))
    laptop.evaluate(
        """() => { window.seen = new Promise((done) => {
            const seen = new MutationObserver(() => {
                seen.disconnect();
                requestAnimationFrame(() => setTimeout(() => done(Date.now()), 0));
            });
            seen.observe(document.getElementById("part-picture"), { childList: true });
        }); }"""
    )
    phone.evaluate(
        """() => addEventListener(
            "keydown", () => { window.typedAt = Date.now(); }, { capture: true, once: true }
        )"""
    )
    field.press("Enter")
    seen = laptop.evaluate("() => window.seen")
    phone.wait_for_timeout(PAUSE)
    return float(seen - phone.evaluate("window.typedAt")) / 1e3


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
