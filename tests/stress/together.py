"""Two browsers on one rig, each doing random acts as fast as they are answered: they end alike.

    python -m tests.stress.together [ACTS] [SEED]

Loopback only; a hundred acts of each take about half a minute.
"""

import random
import re
import shutil
import sys
import tempfile
from pathlib import Path
from typing import Any, Final

from playwright.sync_api import Browser, Page, sync_playwright
from tests.stress.lives import serving

from steelyard.files.demo import demo_rigs
from steelyard.web.book import Shelf
from steelyard.web.work import Works

FLAGS: Final = ("--no-sandbox", "--disable-gpu")
MENDED: Final = 8000
"""ms after which a headline has the moves that mend the rig, or none."""
ITEMS: Final = ("bedding", "pantry", "telescopes", "chairs", "bikes")
PLACES: Final = ("bedroom", "galley", "lounge", "rear-room", "nowhere")
RUN: Final = """
(acts) => {
  window.over = false;
  (async () => {
    const { live } = await import("/static/page.js");
    for (const [name, ask] of acts) await live.send(name, ask);
    window.over = true;
  })();
}
"""
SHOWN: Final = """
() => ({
  over: window.over !== false && !document.querySelector("[data-working]"),
  revision: Number(document.body.dataset.revision),
  parts: [...document.querySelectorAll("[data-part]")].map((one) => [one.id, one.innerHTML]),
})
"""


def acts(rng: random.Random, count: int) -> list[tuple[str, dict[str, Any]]]:
    """Random acts: things moved and weighed, values stated, readings, steps taken back and again;
    some that cannot be done."""

    def one() -> tuple[str, dict[str, Any]]:
        match rng.randrange(8):
            case 0 | 1 | 2:
                return "move", {"item": rng.choice(ITEMS), "to": rng.choice(PLACES)}
            case 3:
                weight = f"{rng.randrange(20, 160)} lb"
                return "weight", {"item": rng.choice(ITEMS), "weight": weight}
            case 4:
                value = f"{rng.randrange(6900, 7400)} lb"
                return "state", {"at": "vehicle.gvwr", "value": value}
            case 5:
                return "undo", {}
            case 6:
                return "redo", {}
            case _:
                value = f"{rng.randrange(3000, 3300)}"
                where = {"arrangement": "bars-on", "what": "platform:front", "unit": "lb"}
                return "read", {**where, "value": value}

    return [one() for _ in range(count)]


def end_alike(browser: Browser, folder: Path, count: int, seed: int) -> tuple[int, int]:
    """Both browsers' acts done: the revision they end at, and how many parts differ between them or
    from what a third sees that comes only then."""
    book = folder / "book.sqlite"
    shelf = Shelf(book, Works())
    number = shelf.add(demo_rigs()["perihelion-camper.toml"])
    shelf.end()
    with serving(book) as (_, port):
        address = f"http://127.0.0.1:{port}/rig/{number}/"
        pages = [_opened(browser, address) for _ in range(2)]
        for one, page in enumerate(pages):
            page.evaluate(RUN, acts(random.Random(2 * seed + one), count))
        _settled(pages, 0)
        third = _opened(browser, address)
        left, right, late = _settled([*pages, third], MENDED)
        for page in (*pages, third):
            page.context.close()
    apart = sum(
        len({_plain(a), _plain(b), _plain(c)}) > 1
        for a, b, c in zip(left["parts"], right["parts"], late["parts"], strict=True)
    )
    return int(left["revision"]), apart


def _opened(browser: Browser, address: str) -> Page:
    page = browser.new_context().new_page()
    page.goto(address)
    page.wait_for_selector("html[data-live=yes]")
    return page


def _settled(pages: list[Page], still: int) -> list[Any]:
    """What each shows, once all have done their acts, show the same revision and, for so many ms,
    nothing new."""
    shown: list[Any] = []
    for _ in range(3600):
        pages[0].wait_for_timeout(500)
        shown = [page.evaluate(SHOWN) for page in pages]
        if all(one["over"] for one in shown):
            pages[0].wait_for_timeout(still)
            again = [page.evaluate(SHOWN) for page in pages]
            if again == shown and len({one["revision"] for one in shown}) == 1:
                return shown
    raise AssertionError(f"expected them to settle, found {[one['revision'] for one in shown]}")


def _plain(part: list[str]) -> tuple[str, str]:
    """A part without what a browser adds to it by itself."""
    name, html = part
    return name, re.sub(r' (?:open|class)=""', "", html)


if __name__ == "__main__":
    count, seed = (int(word) for word in (*sys.argv[1:], *("500", "0")[len(sys.argv) - 1 :]))
    where = shutil.which("chromium")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=where, args=list(FLAGS))
        revision, apart = end_alike(browser, Path(folder), count, seed)
        browser.close()
    sys.stdout.write(f"2 browsers, {count} acts each: revision {revision}, {apart} parts differ\n")
    sys.exit(apart > 0)
