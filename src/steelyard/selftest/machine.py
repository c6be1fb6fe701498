"""What the answers stand on here: the solver, fonts, the page's line, the logbook, the card."""

import os
import re
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path
from typing import Final
from urllib.parse import urlsplit
from urllib.request import urlopen

import numpy as np

from steelyard.cards import card
from steelyard.cards.codes import packed, unpacked
from steelyard.cards.pdf import as_pdf
from steelyard.files import parse_rig
from steelyard.logbook.records import Weighing
from steelyard.logbook.store import Logbook
from steelyard.quantity import parse, shown
from steelyard.rig import Rig
from steelyard.selftest.check import Check
from steelyard.stowing.program import INTEGER, quiet

RIG: Final = "pickup.toml"
PATIENCE: Final = 20.0
"""s for the page to answer."""
_WEIGHTS: Final = (23, 31, 29, 44, 53, 38, 63, 85, 89, 82)
_WORTH: Final = (92, 57, 49, 68, 60, 43, 67, 84, 87, 72)
_FITS: Final = 165


def _text() -> str:
    return (files(__package__) / RIG).read_text("utf-8")


def _rig() -> Rig:
    return parse_rig(_text(), RIG)


def _knapsack() -> float:
    """The most that can be carried, by the solver that places the load."""
    count = len(_WEIGHTS)
    columns = np.arange(count, dtype=np.int32)
    highs = quiet()
    highs.addVars(count, np.zeros(count), np.ones(count))
    highs.changeColsIntegrality(count, columns, np.full(count, INTEGER))
    highs.changeColsCost(count, columns, -np.array(_WORTH, dtype=float))
    highs.addRow(-np.inf, _FITS, count, columns, np.array(_WEIGHTS, dtype=float))
    highs.run()
    return -float(highs.getInfo().objective_function_value)


def _misread() -> float:
    """How many whole pounds, written for people and read again, come out as another number."""
    pounds = [*range(1, 2000), *range(2000, 40_000, 37)]
    read = [parse(shown(parse(f"{n} lb", "mass").value, "mass", "us"), "mass") for n in pounds]
    return float(
        sum(round(found.value / 0.45359237) != n for n, found in zip(pounds, read, strict=True))
    )


def _fonts() -> float:
    """How many of the two families of letters that a card asks for are in its file."""
    made = as_pdf(card(_rig()))
    return float(sum(family in made for family in (b"LibertinusSerif", b"DejaVuSansMono")))


def _card_read_back() -> float:
    rig = _rig()
    read = parse_rig(unpacked(packed(rig).codes), "card")
    return float(packed(read).fingerprint == packed(rig).fingerprint)


def _weighing(number: int) -> Weighing:
    return Weighing(
        rig_name="selftest",
        rig_hash="0" * 16,
        taken="2025-04-02 09:30",
        place="",
        note=f"number {number}",
        readings=(),
        names=("trailer.empty.weight",),
        scales=("log",),
        mean=(7.0 + number,),
        cov=((0.01,),),
        trailer_kg=1000.0 + number,
        trailer_sd_kg=10.0,
        tongue_kg=120.0,
        tongue_sd_kg=8.0,
        share=0.12,
        share_sd=0.003,
        chance=0.41,
        ticket_text="",
        rig_text=_text(),
        version=version("steelyard"),
    )


def _logged() -> float:
    """How many of three weighings come back as they were written, the book closed between."""
    written = [_weighing(number) for number in range(3)]
    with tempfile.TemporaryDirectory() as folder:
        where = Path(folder) / "selftest.sqlite"
        with Logbook.open(where) as book:
            for one in written:
                book.add(one)
        with Logbook.open(where) as book:
            kept = {one.weighing.note: one.weighing for one in book.all()}
    return float(sum(kept.get(one.note) == one for one in written))


@contextmanager
def _page() -> Iterator[str]:
    """The address of a page that answers while this is open; this machine only."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / RIG
        path.write_text(_text(), "utf-8")
        command = [sys.executable, "-m", "steelyard", "open", str(path), "--no-browser"]
        own = os.environ | {"XDG_DATA_HOME": folder, "PYTHONUNBUFFERED": "1"}
        pipe, none = subprocess.PIPE, subprocess.DEVNULL
        with subprocess.Popen(command, stdout=pipe, stderr=none, text=True, env=own) as process:
            try:
                said = process.stdout.readline() if process.stdout else ""
                found = re.search(r"\w+://[^ ]+/", said)
                if found is None:
                    raise OSError(f"the page gave no address, but {said.strip()!r}")
                _wait_for(found[0])
                yield found[0]
            finally:
                process.terminate()


def _wait_for(address: str) -> None:
    """Until somebody listens there; OSError after a while."""
    where = urlsplit(address)
    end = time.monotonic() + PATIENCE
    while True:
        try:
            socket.create_connection((where.hostname, where.port), PATIENCE).close()
        except OSError:
            if time.monotonic() > end:
                raise
            time.sleep(0.05)
        else:
            return


def _line() -> float:
    """Answers out of two: the page itself, and a message on its line."""
    from websockets.sync.client import connect
    from websockets.typing import Origin

    with _page() as address:
        with urlopen(address, timeout=PATIENCE) as answer:
            page = int(answer.status == 200 and b"<svg" in answer.read())
        there = address.replace("http://", "ws://") + "live"
        known = {"Cookie": answer.headers["Set-Cookie"].split(";")[0]}
        origin = Origin(address.rstrip("/"))
        with connect(there, origin=origin, additional_headers=known) as line:
            line.send('{"id": 1, "look": {}}')
            heard = int(len(line.recv(PATIENCE)) > 0)
    return float(page + heard)


MACHINE: Final = (
    Check(
        name="the solver's best load of ten things",
        source="knapsack P01 of a public collection of test problems: 309",
        expected=309.0, tolerance=1e-6, unit="",
        find=_knapsack,
    ),
    Check(
        name="one pound and one foot, as read",
        source="NIST SP 811: 0.45359237 kg and 0.3048 m exactly; their sum",
        expected=0.75839237, tolerance=1e-12, unit="",
        find=lambda: parse("1 lb", "mass").value + parse("1 ft", "length").value,
    ),
    Check(
        name="pounds that rounding turns into others",
        source="what is written for people says the same number: none of 3,026",
        expected=0.0, tolerance=0.0, unit="",
        find=_misread,
    ),
    Check(
        name="weighings written and read back",
        source="three were written",
        expected=3.0, tolerance=0.0, unit="",
        find=_logged,
    ),
    Check(
        name="a rig read back from its card's codes",
        source="the same fingerprint: 1",
        expected=1.0, tolerance=0.0, unit="",
        find=_card_read_back,
    ),
    Check(
        name="families of letters in a printed card",
        source="its sheet asks for two",
        expected=2.0, tolerance=0.0, unit="",
        find=_fonts,
    ),
    Check(
        name="the page and its line answer in this machine",
        source="two answers were asked for",
        expected=2.0, tolerance=0.0, unit="",
        find=_line,
    ),
)  # fmt: skip
