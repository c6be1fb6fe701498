"""A year of weighings listed and filtered, against a bare SELECT of the same rows."""

import sqlite3
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from machine import seconds
from table import Row

from steelyard.logbook.records import Logged, LoggedReading, Weighing
from steelyard.logbook.store import Logbook

COUNT = 5000
READINGS = 12
PARAMETERS = 77
"""As many as the example camper has."""
TARGET = 0.1
"""s, listed and filtered."""
COLUMNS = "SELECT * FROM weighing"
ORDER = " ORDER BY clock, id"


def rows() -> Iterator[Row]:
    """All of the year, then one rig of its second half; what one `add` takes, on its own."""
    with TemporaryDirectory() as folder, Logbook.open(Path(folder) / "logbook.sqlite") as book:
        book.bring_in(_year())
        bare = sqlite3.connect(book.path)
        yield _row("listed", book, bare, {}, "")
        some = {"rig": "rig 3", "since": "2025-07-01", "until": "2025-12-31"}
        where = " WHERE rig_name = 'rig 3' AND clock BETWEEN '2025-07-01' AND '2025-12-31T24'"
        yield _row("one rig, half a year", book, bare, some, where)
        where = " WHERE place = 'place 2' AND clock >= '2025-07-01'"
        yield _row("one place", book, bare, {"place": "place 2", "since": "2025-07-01"}, where)
        yield _added(book, bare)
        bare.close()


def _row(
    name: str, book: Logbook, bare: sqlite3.Connection, asked: dict[str, str], where: str
) -> Row:
    command = COLUMNS + where + ORDER
    found = seconds(lambda: book.list(**asked))  # type: ignore[arg-type]
    base = seconds(lambda: bare.execute(command).fetchall())
    count = len(book.list(**asked))  # type: ignore[arg-type]
    if count != len(bare.execute(command).fetchall()):
        raise SystemExit(f"logbook, {name}: the two do not list the same weighings")
    return Row(
        name=f"logbook of {COUNT:,}, {name}",
        measured=f"{found * 1e3:.1f} ms, {count:,} weighings",
        ratio=f"{found / base:.1f} x the time",
        baseline=f"a bare SELECT of the same rows, {base * 1e3:.1f} ms",
        target=f"{TARGET * 1e3:.0f} ms",
        met=found < TARGET,
    )


def _added(book: Logbook, bare: sqlite3.Connection) -> Row:
    """One more weighing, on the disk; against one bare row, on the disk too."""
    turns = iter(range(10**6))
    bare.execute("PRAGMA synchronous = FULL")
    bare.execute("CREATE TABLE bare (a)")

    def put() -> None:
        bare.execute("INSERT INTO bare VALUES (1)")
        bare.commit()

    found, base = seconds(lambda: book.add(weighing(10**6 + next(turns)))), seconds(put)
    return Row(
        name=f"logbook of {COUNT:,}, one added",
        measured=f"{found * 1e3:.1f} ms",
        ratio=f"{found / base:.1f} x the time",
        baseline=f"one bare row committed, {base * 1e3:.1f} ms",
    )


def _year() -> Iterator[Logged]:
    for n in range(COUNT):
        yield Logged(id=n + 1, written="2026-01-01T00:00:00+00:00", weighing=weighing(n))


def weighing(n: int) -> Weighing:
    """The n-th of the year."""
    reading = LoggedReading(
        pass_name="coupled",
        kind="platform",
        name="steer",
        value_si=1400.0 + n,
        sd_si=9.0,
        unit="lb",
        text="3086 lb",
        predicted_si=1401.0,
        standardised=-0.1,
    )
    moment = datetime(2025, 1, 1) + timedelta(days=365) * ((n % COUNT) / COUNT)  # noqa: DTZ001
    return Weighing(
        rig_name=f"rig {n % 7}",
        rig_hash="a" * 64,
        taken=moment.isoformat(timespec="seconds"),
        place=f"place {n % 11}",
        note=f"number {n}",
        readings=(reading,) * READINGS,
        names=tuple(f"trailer.part.{p}.weight" for p in range(PARAMETERS)),
        scales=("log",) * PARAMETERS,
        mean=(1.0,) * PARAMETERS,
        cov=((0.5,) * PARAMETERS,) * PARAMETERS,
        trailer_kg=3000.0 + n % 100,
        trailer_sd_kg=10.0,
        tongue_kg=360.0,
        tongue_sd_kg=8.0,
        share=0.12,
        share_sd=0.003,
        chance=0.41,
        ticket_text="t" * 1000,
        rig_text="r" * 4000,
        version="0.1.0",
    )
