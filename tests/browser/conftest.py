"""A page served from a copy of the demo, and a browser that may not leave the machine."""

import shutil
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
import uvicorn
from playwright.sync_api import (
    Browser,
    BrowserContext,
    Page,
    ViewportSize,
    expect,
    sync_playwright,
)
from tests.forked import forked

from steelyard.files.demo import demo_rigs
from steelyard.web import Gate, Start, create_app
from steelyard.web.serve import bound

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WIDE = ViewportSize(width=1280, height=900)
PHONE = ViewportSize(width=390, height=844)
COLOURS = ["color-contrast", "link-in-text-block"]
"""What axe-core asks of colours, below its level AAA."""


expect.set_options(timeout=20_000)  # a busy machine is no fault of the page


@dataclass
class Served:
    """A running page; `stop` and `start` again as a person would, on the same port."""

    path: Path
    port: int = 0
    gate: Gate | None = None
    book: bool = False
    _server: Any = None
    _thread: threading.Thread | None = None

    def start(self) -> "Served":
        """Serve the rig file, or the book."""
        listening = bound(lan=self.gate is not None, port=self.port)
        self.port = listening.getsockname()[1]
        start = Start() if self.book else Start.at(self.path)
        own = replace(start, logbook=self.path.parent / "logbook.sqlite")
        app = create_app(own, self.gate, port=self.port)
        config = uvicorn.Config(app, log_level="error", ws="websockets-sansio", lifespan="on")
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, kwargs={"sockets": [listening]})
        self._thread.start()
        return self

    def stop(self) -> None:
        """End the server; nothing is told to the browsers."""
        self._server.force_exit = True
        self._server.should_exit = True
        if self._thread is not None:
            self._thread.join(10)

    @property
    def address(self) -> str:
        """Where it is."""
        return f"http://127.0.0.1:{self.port}/"


@dataclass
class Watched:
    """A browser context that notes what must not happen."""

    context: BrowserContext
    requests: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def open(self, address: str) -> Page:
        """A tab on the page, its line live."""
        page = self.context.new_page()
        page.on("request", lambda request: self.requests.append(request.url))
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on(
            "console",
            lambda one: self.errors.append(one.text) if one.type in ("error", "warning") else None,
        )
        page.goto(address)
        expect(page.locator("html[data-live=yes]")).to_have_count(1)
        return page

    def clean(self, address: str) -> None:
        """Nothing was asked of another machine, nothing was complained about."""
        strangers = {
            one for one in self.requests if urlsplit(one).netloc != urlsplit(address).netloc
        }
        assert not strangers
        assert not self.errors


def grave(page: Page, *widths: int) -> list[Any]:
    """What axe-core finds serious or critical at each width, and whether something is wider than
    the screen; in the dark, at the last, of colours, which are all that changes there."""
    found: list[Any] = []
    for width in widths:
        page.set_viewport_size({"width": width, "height": 844})
        page.wait_for_timeout(300)  # another width asks for its drawings; what is asked is paler
        expect(page.locator("[data-working]")).to_have_count(0)
        wider = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        found += [(width, "wider", wider)] if wider > 0 else []
        there = _violated(page)
        if there:  # the answer to the new width may have been late: what stays is a fault
            page.wait_for_timeout(2000)
            expect(page.locator("[data-working]")).to_have_count(0)
            there = _violated(page)
        found += [(width, *one) for one in there]
    page.emulate_media(color_scheme="dark")
    found += [("dark", *one) for one in _violated(page, runOnly=COLOURS)]
    page.emulate_media(color_scheme="light")
    return found


def _violated(page: Page, **options: Any) -> list[tuple[str, list[Any]]]:
    from axe_playwright_python.sync_playwright import Axe

    if page.evaluate("!window.axe"):
        page.evaluate(Axe().axe_script)
    asked = {"resultTypes": ["violations"], **options}
    found = page.evaluate("async asked => (await axe.run(asked)).violations", asked)
    return [
        (one["id"], [node["target"] for node in one["nodes"]][:4])
        for one in found
        if one["impact"] in ("serious", "critical")
    ]


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """The demo camper on the page."""
    path = tmp_path / "perihelion-camper.toml"
    path.write_text(demo_rigs()["perihelion-camper.toml"], "utf-8")
    found = Served(path).start()
    yield found
    found.stop()


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Served]:
    """An empty book on the page."""
    found = Served(tmp_path / "none.toml", book=True).start()
    yield found
    found.stop()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium, which `make test` installs."""
    where = shutil.which("chromium") or shutil.which("chromium-browser")
    assert where, "expected chromium to be installed: make chromium"
    with forked(), sync_playwright() as play:
        found = play.chromium.launch(executable_path=where, args=FLAGS)
        yield found
        found.close()


@pytest.fixture
def desk(browser: Browser) -> Iterator[Watched]:
    """1280 px, a mouse and a keyboard."""
    context = browser.new_context(viewport=WIDE)
    yield Watched(context)
    context.close()


@pytest.fixture
def phone(browser: Browser) -> Iterator[Watched]:
    """390 px and fingers."""
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    yield Watched(context)
    context.close()
