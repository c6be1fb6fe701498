"""The logbook: what is stored, filtered, compared, exported, refused."""

import csv
import io
import json
import math
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from hashlib import sha256
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from steelyard.cli import main
from steelyard.cli.log_words import drifted
from steelyard.files import write_new
from steelyard.logbook.change import compare, disagrees
from steelyard.logbook.exchange import from_json, readings_csv, to_json
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.migrations import APPLICATION, MIGRATIONS
from steelyard.logbook.records import Logged, LoggedReading, Weighing
from steelyard.logbook.rigs import MovedOnError, Rigs
from steelyard.logbook.store import Logbook
from steelyard.logbook.where import default_path

READING = LoggedReading(
    pass_name="coupled, bars off",
    kind="platform",
    name="steer",
    value_si=1400.0,
    sd_si=9.0,
    unit="lb",
    text="3086 lb",
    predicted_si=1402.5,
    standardised=-0.4,
)
WEIGHING = Weighing(
    rig_name="camper",
    rig_hash="a1",
    taken="2025-04-02 09:30",
    place="Fuel stop",
    note=None,
    readings=(READING, replace(READING, name="drive", value_si=1610.0)),
    names=("trailer.empty.weight", "trailer.empty.station"),
    scales=("log", "linear"),
    mean=(7.9, 3.9),
    cov=((1e-4, 2e-6), (2e-6, 1e-3)),
    trailer_kg=3000.0,
    trailer_sd_kg=10.0,
    tongue_kg=360.0,
    tongue_sd_kg=8.0,
    share=0.12,
    share_sd=0.003,
    chance=0.41,
    ticket_text="format = 1\n",
    rig_text="[vehicle]\n",
    version="0.1.0",
)
MARK = "d65e455d988dbdd3e27c569a1222430baa165ecbf4f02d0c0d53e9f152f33ab8"
# Written by hand, as version 1 was released: not taken from the program.
VERSION_1 = f"""
CREATE TABLE weighing (id INTEGER PRIMARY KEY, fingerprint TEXT NOT NULL UNIQUE,
    written TEXT NOT NULL, clock TEXT NOT NULL, rig_name TEXT NOT NULL, rig_hash TEXT NOT NULL,
    taken TEXT NOT NULL, place TEXT, note TEXT, trailer_kg REAL NOT NULL,
    trailer_sd_kg REAL NOT NULL, tongue_kg REAL NOT NULL, tongue_sd_kg REAL NOT NULL,
    share REAL NOT NULL, share_sd REAL NOT NULL, chance REAL, version TEXT NOT NULL) STRICT;
CREATE TABLE posterior (weighing INTEGER PRIMARY KEY REFERENCES weighing (id),
    names TEXT NOT NULL, scales TEXT NOT NULL, mean BLOB NOT NULL, cov BLOB NOT NULL,
    ticket_text TEXT NOT NULL, rig_text TEXT NOT NULL) STRICT;
CREATE TABLE reading (weighing INTEGER NOT NULL REFERENCES weighing (id), line INTEGER NOT NULL,
    pass_name TEXT NOT NULL, kind TEXT NOT NULL, name TEXT NOT NULL, value_si REAL NOT NULL,
    sd_si REAL NOT NULL, unit TEXT NOT NULL, text TEXT NOT NULL, predicted_si REAL,
    standardised REAL, PRIMARY KEY (weighing, line)) STRICT, WITHOUT ROWID;
INSERT INTO weighing VALUES (1, '{MARK}', '2025-04-02T14:00:00+00:00',
    '2025-04-02T09:30:00.000000',
    'camper', 'a1', '2025-04-02 09:30', NULL, 'first', 3000, 10, 360, 8, 0.12, 0.003, NULL, '0.1');
INSERT INTO posterior VALUES (1, '["trailer.empty.weight"]', '["log"]', x'000000000000F03F',
    x'000000000000E03F', 'format = 1', '[vehicle]');
INSERT INTO reading VALUES (1, 0, 'alone', 'platform', 'all axles', 2500.5, 9, 'kg', '2500.5 kg',
    NULL, NULL);
PRAGMA application_id = {APPLICATION};
PRAGMA user_version = 1;
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a logbook is to be; no file yet."""
    return tmp_path / "kept" / "logbook.sqlite"


@pytest.fixture
def book(path: Path) -> Iterator[Logbook]:
    """A new logbook, open."""
    with Logbook.open(path) as opened:
        yield opened


def _run(path: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["log", *words, "--logbook", str(path)])


def _season(book: Logbook) -> list[int]:
    """Four weighings of a camper and one of a boat, written out of order."""
    rows = [
        ("2025-07-15T08:00:00-06:00", "camper", "Fuel stop", 3060.0, 12.0),
        ("2025-04-02 09:30", "camper", "Fuel stop", 3000.0, 10.0),
        ("2025-09-30 18:00", "camper", "home", 3108.9, 20.0),
        ("2025-05-20 23:59:59", "boat", "home", 1500.0, 10.0),
        ("2025-05-21", "camper", None, 3040.0, 30.0),
    ]
    return [
        book.add(
            replace(
                WEIGHING, taken=taken, rig_name=rig, place=place, trailer_kg=kg, trailer_sd_kg=sd
            )
        )
        for taken, rig, place, kg, sd in rows
    ]


def _unwell(**changes: Any) -> Weighing:
    return replace(WEIGHING, **changes)


def test_what_is_added_is_had_back(book: Logbook) -> None:
    """A weighing comes back with every field as it was, under the number `add` gave."""
    number = book.add(WEIGHING)
    found = book.get(number)
    assert found.weighing == WEIGHING
    assert found.id == number


def test_another_connection_sees_it_at_once(book: Logbook, path: Path) -> None:
    """What `add` has returned for is in the file, for any program that opens it."""
    number = book.add(WEIGHING)
    with Logbook.open(path) as other:
        assert other.get(number).weighing == WEIGHING


def test_the_journal_is_safe(book: Logbook) -> None:
    """WAL, fully synchronous, foreign keys held."""
    asked = ("journal_mode", "synchronous", "foreign_keys")
    found = [book.connection.execute(f"PRAGMA {name}").fetchone()[0] for name in asked]
    assert found == ["wal", 2, 1]


def test_adding_the_same_again_adds_nothing(book: Logbook) -> None:
    """The same to the last bit keeps its number; one bit more is another weighing."""
    number = book.add(WEIGHING)
    assert book.add(WEIGHING) == number
    assert book.add(replace(WEIGHING, share=math.nextafter(0.12, 1))) != number
    assert len(book.list()) == 2


def test_nothing_is_ever_removed(book: Logbook) -> None:
    """Not even a bare SQL DELETE takes a weighing or a reading out."""
    book.add(WEIGHING)
    for table in ("weighing", "posterior", "reading"):
        with pytest.raises(sqlite3.IntegrityError, match="keeps every"):
            book.connection.execute(f"DELETE FROM {table}")
    assert book.all()[0].weighing == WEIGHING


NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
SPREADS = st.floats(min_value=0, allow_nan=False, allow_infinity=False)
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)


@st.composite
def weighings(draw: st.DrawFn) -> Weighing:
    """Any weighing there can be, far beyond what a scale reads."""
    p = draw(st.integers(0, 3))
    row = st.tuples(*[NUMBERS] * p)
    reading = st.builds(
        LoggedReading,
        pass_name=TEXTS,
        kind=TEXTS,
        name=TEXTS,
        value_si=NUMBERS,
        sd_si=SPREADS,
        unit=TEXTS,
        text=TEXTS,
        predicted_si=st.none() | NUMBERS,
        standardised=st.none() | NUMBERS,
    )
    return Weighing(
        rig_name=draw(TEXTS),
        rig_hash=draw(TEXTS),
        taken=draw(st.datetimes()).isoformat(),
        place=draw(st.none() | TEXTS),
        note=draw(st.none() | TEXTS),
        readings=tuple(draw(st.lists(reading, max_size=3))),
        names=draw(st.tuples(*[TEXTS] * p)),
        scales=draw(st.tuples(*[st.sampled_from(["linear", "log", "logit"])] * p)),
        mean=draw(row),
        cov=draw(st.tuples(*[row] * p)),
        trailer_kg=draw(NUMBERS),
        trailer_sd_kg=draw(SPREADS),
        tongue_kg=draw(NUMBERS),
        tongue_sd_kg=draw(SPREADS),
        share=draw(NUMBERS),
        share_sd=draw(SPREADS),
        chance=draw(st.none() | st.floats(0, 1)),
        ticket_text=draw(TEXTS),
        rig_text=draw(TEXTS),
        version=draw(TEXTS),
    )


@settings(max_examples=25)
@given(st.lists(weighings(), max_size=2))
def test_stored_exported_read_and_imported(found: list[Weighing]) -> None:
    """Whatever is stored comes back the same, from the file, its JSON, and a second logbook."""
    with TemporaryDirectory() as folder, Logbook.open(Path(folder) / "one") as one:
        numbers = [one.add(weighing) for weighing in found]
        assert [one.get(number).weighing for number in numbers] == found
        entries = one.all()
        assert from_json(to_json(entries)) == entries
        with Logbook.open(Path(folder) / "two") as two:
            assert two.bring_in(entries).added == len(entries)
            assert two.bring_in(from_json(to_json(two.all()))).added == 0
            assert {repr(e.weighing) for e in two.all()} == {repr(e.weighing) for e in entries}


def test_import_knows_what_is_there(book: Logbook, tmp_path: Path) -> None:
    """Importing twice adds once; what was there keeps its number, what comes its first date."""
    _season(book)
    text = to_json(book.all())
    with Logbook.open(tmp_path / "other.sqlite") as other:
        other.add(book.all()[1].weighing)
        assert (other.bring_in(from_json(text)).added, other.bring_in(from_json(text)).added) == (
            4,
            0,
        )
        assert [one.weighing for one in other.all()] == [one.weighing for one in book.all()]
        assert other.all()[0].written == book.all()[0].written


def test_an_import_with_a_fault_brings_nothing(book: Logbook) -> None:
    """All of a file or none of it."""
    bad = Logged(id=2, written="2025-01-01", weighing=_unwell(trailer_sd_kg=-1.0))
    with pytest.raises(LogbookError, match="at least zero"):
        book.bring_in([Logged(id=1, written="2025-01-01", weighing=WEIGHING), bad])
    assert book.list() == ()


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ({}, [1, 3, 4, 0, 2]),
        ({"rig": "CAMPER"}, [1, 4, 0, 2]),
        ({"rig": "camp"}, []),
        ({"place": "home"}, [3, 2]),
        ({"rig": "camper", "place": "home"}, [2]),
        ({"since": "2025-05-21"}, [4, 0, 2]),
        ({"until": "2025-05-20"}, [1, 3]),
        ({"since": "2025-07-15", "until": "2025-07-15"}, [0]),
        ({"since": "2025-07-15 08:00:01"}, [2]),
        ({"since": "2025-09-30 18:00"}, [2]),
        ({"until": "2025-04-02 09:30"}, [1]),
        ({"limit": 2}, [0, 2]),
        ({"limit": 99}, [1, 3, 4, 0, 2]),
    ],
)
def test_filters(book: Logbook, asked: dict[str, Any], expected: list[int]) -> None:
    """Whole names, days included at both ends, by the place's clock; a limit keeps the last."""
    numbers = _season(book)
    assert [line.id for line in book.list(**asked)] == [numbers[place] for place in expected]


def test_a_line_counts_its_readings(book: Logbook) -> None:
    """Each line of the list says how many readings stand behind it."""
    book.add(WEIGHING)
    book.add(replace(WEIGHING, readings=()))
    assert [line.readings for line in book.list()] == [2, 0]


LATE = "2025-04-22 23:30"


def test_drift_between_the_ends(book: Logbook) -> None:
    """By hand: 3000 ± 10 to 3108.9 ± 20 kg is 108.9 kg, sd √500, over 181 days and 8.5 hours. From
    the morning of the 2nd to the night of the 22nd are 20 days by the dates that are told."""
    _season(book)
    found = book.drift("camper")
    assert found.trailer_kg.ends.change == pytest.approx(108.9)
    assert found.trailer_kg.ends.sd == pytest.approx(math.sqrt(500))
    assert found.days == pytest.approx(181 + 8.5 / 24)
    assert found.weighings == 4
    told = " ".join(
        "\n".join(drifted(replace(found, last=replace(found.last, taken=LATE)), "us")).split()
    )
    assert "from 2025-04-02 to 2025-04-22 (20 days, 4 weighings)" in told
    book.add(_unwell(taken="2026-01-01", rig_name="CAMPER"))
    assert book.drift("camper").rig_name == "CAMPER"


@pytest.mark.parametrize("key", ["trailer_kg", "tongue_kg", "share"])
def test_a_change_is_of_its_own_quantity(book: Logbook, key: str) -> None:
    """Both ends with their own spreads, in a comparison and a drift alike; the files count, not
    their name; the last name is told."""
    sd = {"trailer_kg": "trailer_sd_kg", "tongue_kg": "tongue_sd_kg", "share": "share_sd"}[key]
    later = {"taken": "2025-08-01", "rig_hash": "b2", "rig_name": "Camper"}
    changed: Any = {"trailer_kg": 3100.0, "tongue_kg": 390.0, "share": 0.126}
    wider: Any = {"trailer_sd_kg": 12.0, "tongue_sd_kg": 9.0, "share_sd": 0.004}
    first, second = book.add(WEIGHING), book.add(_unwell(**later, **changed, **wider))
    drift = book.drift("camper")
    ends = getattr(drift, key).ends
    assert getattr(book.compare(first, second), key) == ends
    assert (ends.first, ends.first_sd) == (getattr(WEIGHING, key), getattr(WEIGHING, sd))
    assert (ends.second, ends.second_sd) == (changed[key], wider[sd])
    assert (drift.rig_files, drift.rig_name) == (2, "Camper")
    assert [one.id for one in (drift.first, drift.last)] == [first, second]


def test_no_line_through_what_has_no_spread(book: Logbook) -> None:
    """A value without a spread would weigh without end: a change, but no slope."""
    book.add(_unwell(tongue_sd_kg=0.0))
    book.add(_unwell(taken="2025-08-01", tongue_kg=390.0))
    found = book.drift("camper").tongue_kg
    assert (found.ends.change, found.per_100_days, found.scatter) == (30.0, None, None)


def test_slope_by_hand(book: Logbook) -> None:
    """Two weighings 50 days apart, 30 kg, sds 3 and 4: 60 kg per 100 days, sd 10, no scatter."""
    share = {"share": 0.10, "share_sd": 0.003}
    book.add(_unwell(taken="2025-01-01", trailer_kg=1000.0, trailer_sd_kg=3.0, **share))
    share = {"share": 0.13, "share_sd": 0.004}
    book.add(_unwell(taken="2025-02-20", trailer_kg=1030.0, trailer_sd_kg=4.0, **share))
    ends = book.drift("camper").share.ends
    assert (ends.change, ends.sd) == pytest.approx((0.03, 0.005))
    found = book.drift("camper").trailer_kg
    assert found.per_100_days == pytest.approx(60)
    assert found.per_100_days_sd == pytest.approx(10)
    assert found.scatter is None


@pytest.mark.parametrize("noise", [0.2, 5.0])
def test_slope_as_polyfit_has_it(book: Logbook, noise: float) -> None:
    """NumPy's polyfit, weighted by 1/sd: the same slope, the larger of its two covariances."""
    rng = np.random.default_rng(7)
    days = np.sort(rng.integers(0, 200, 9))
    sd = rng.uniform(5, 30, 9)
    kg = 3000 + 0.6 * days + noise * sd * rng.normal(size=9)
    for day, one, spread in zip(days, kg, sd, strict=True):
        taken = (np.datetime64("2025-03-01") + day).astype(str)
        book.add(_unwell(taken=taken, trailer_kg=float(one), trailer_sd_kg=float(spread)))
    found = book.drift("camper").trailer_kg
    (slope, _), stated = np.polyfit(days - days[0], kg, 1, w=1 / sd, cov="unscaled")
    _, scattered = np.polyfit(days - days[0], kg, 1, w=1 / sd, cov=True)
    expected = 100 * math.sqrt(max(stated[0, 0], scattered[0, 0]))
    assert found.per_100_days == pytest.approx(100 * slope, rel=1e-10)
    assert found.per_100_days_sd == pytest.approx(expected, rel=1e-10)
    assert found.scatter == pytest.approx(math.sqrt(scattered[0, 0] / stated[0, 0]), rel=1e-10)


def test_no_line_through_one_moment(book: Logbook) -> None:
    """Two weighings at the same moment have a change, but no slope; one alone has neither."""
    book.add(WEIGHING)
    with pytest.raises(LogbookError, match="two weighings or more"):
        book.drift("camper")
    book.add(_unwell(trailer_kg=3010.0))
    found = book.drift("camper").trailer_kg
    assert (found.ends.change, found.per_100_days) == (10.0, None)


def test_compare_pairs_readings(book: Logbook) -> None:
    """By pass and name, a reading taken twice in turn; one that only one has stands alone."""
    twice = replace(READING, value_si=1401.0)
    hitch = replace(READING, name="hitch", value_si=350.0)
    first, second = book.add(_unwell(readings=(READING, twice))), book.add(WEIGHING)
    third = book.add(_unwell(readings=(hitch, READING), tongue_kg=390.0, tongue_sd_kg=6.0))
    found = book.compare(first, third)
    assert [(pair.first, pair.second) for pair in found.readings] == [
        (READING, READING),
        (twice, None),
        (None, hitch),
    ]
    assert [pair.name for pair in found.readings] == [READING.name, READING.name, "hitch"]
    assert (found.tongue_kg.change, found.tongue_kg.sd) == (30.0, 10.0)
    assert compare(book.get(second), book.get(second)).trailer_kg.change == 0


@pytest.mark.parametrize(
    ("weighing", "said"),
    [
        (_unwell(taken="yesterday"), "taken: expected a date and time"),
        (_unwell(share=math.nan), "share: expected a finite number, found nan"),
        (_unwell(tongue_sd_kg=-1.0), "tongue_sd_kg: expected a spread of at least zero"),
        (_unwell(readings=(replace(READING, value_si=math.inf),)), r"readings\[0\].value_si"),
        (_unwell(note="\ud800"), "note: expected text"),
        (_unwell(mean=(1.0,)), "posterior: expected 2 of each"),
        (_unwell(mean=(1.0, math.inf)), "posterior: expected finite"),
    ],
)
def test_what_could_not_be_read_back_is_refused(
    book: Logbook, weighing: Weighing, said: str
) -> None:
    """One sentence names the field, and nothing is written."""
    with pytest.raises(LogbookError, match=said):
        book.add(weighing)
    assert book.list() == ()


def test_version_1_is_read(path: Path) -> None:
    """A file of version 1, made by hand, opens with its weighing, and takes another."""
    _make(path, VERSION_1)
    with Logbook.open(path) as book:
        found = book.get(1).weighing
        assert (found.mean, found.cov, found.place) == ((1.0,), ((0.5,),), None)
        assert found.readings[0].value_si == 2500.5
        assert book.add(WEIGHING) == 2


def test_version_1_becomes_version_2(path: Path) -> None:
    """A second step runs once, keeps what was there, and its number is in the file."""
    _make(path, VERSION_1)
    steps = (*MIGRATIONS, "ALTER TABLE weighing ADD COLUMN weather TEXT; SELECT 1;")
    for _ in range(2):
        with Logbook.open(path, migrations=steps) as book:
            assert book.connection.execute("PRAGMA user_version").fetchone()[0] == len(steps)
            assert book.connection.execute("SELECT weather FROM weighing").fetchall() == [(None,)]
            assert book.get(1).weighing.note == "first"


def test_a_step_that_fails_leaves_the_file_as_it_was(path: Path) -> None:
    """A step is one transaction: what its first half did is undone."""
    _make(path, VERSION_1)
    steps = (*MIGRATIONS, "ALTER TABLE weighing ADD COLUMN weather TEXT; CREATE TABLE weighing(a);")
    with pytest.raises(LogbookError, match="already exists"):
        Logbook.open(path, migrations=steps)
    with Logbook.open(path) as book:
        assert "weather" not in str(book.connection.execute("SELECT * FROM weighing").description)
        assert book.get(1).weighing.note == "first"


def test_a_newer_logbook_is_refused(path: Path) -> None:
    """The sentence names both versions, and the file is not touched."""
    _make(path, VERSION_1.replace("user_version = 1", "user_version = 9"))
    before = path.read_bytes()
    with pytest.raises(LogbookError, match="version 5 or older, found version 9"):
        Logbook.open(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("held", ["x", "a shopping list\n" * 500])
def test_another_file_is_refused(path: Path, held: str) -> None:
    """A file that is no database is refused, whatever its length, and stays as it is."""
    path.parent.mkdir()
    path.write_text(held, encoding="utf-8")
    with pytest.raises(LogbookError, match="found a file of another kind"):
        Logbook.open(path)
    assert path.read_text(encoding="utf-8") == held


def test_another_programs_database_is_refused(path: Path) -> None:
    """Tables that are not a logbook's are left alone."""
    _make(path, "CREATE TABLE recipe (name TEXT);")
    before = path.read_bytes()
    with pytest.raises(LogbookError, match="another program's database"):
        Logbook.open(path)
    assert path.read_bytes() == before


def _make(path: Path, script: str) -> None:
    path.parent.mkdir()
    made = sqlite3.connect(path)
    made.executescript(script)
    made.close()


def test_where_a_logbook_lies(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The variable first, then the folder for data, then the one under the home folder (XDG base
    directory specification)."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("STEELYARD_LOGBOOK", "my.sqlite")
    assert default_path() == Path("my.sqlite")
    monkeypatch.delenv("STEELYARD_LOGBOOK")
    assert default_path() == tmp_path / "steelyard" / "logbook.sqlite"
    monkeypatch.delenv("XDG_DATA_HOME")
    expected = Path.home() / ".local" / "share" / "steelyard" / "logbook.sqlite"
    assert default_path() == expected


def test_tables_fit_80_columns(book: Logbook, path: Path) -> None:
    """The longest names are cut, numbers never."""
    _season(book)
    long = book.add(
        _unwell(rig_name="a rig of a long name " * 4, place="a place " * 20, taken="2026-01-01")
    )
    for words in (["list"], ["show", str(long)], ["compare", "1", str(long)], ["drift", "camper"]):
        result = _run(path, *words)
        assert result.exit_code == 0, result.output
        assert max(map(len, result.output.splitlines())) <= 80, result.output
    assert "6,614 ± 43" in _run(path, "list").output


def test_drift_in_words(book: Logbook, path: Path) -> None:
    """108.9 kg, sd 22.36 kg, are 240 ± 97 lb; the share's change is none."""
    _season(book)
    said = " ".join(_run(path, "drift", "camper").output.split())
    assert "the trailer gained 240 lb (± 97) from 2025-04-02 to 2025-09-30" in said
    assert "109 ± 44 kg" in _run(path, "drift", "camper", "--units", "metric").output
    short = _run(path, "drift", "camper", "--since", "2025-05-01", "--until", "2025-08-01").output
    assert "no change beyond the spread" in short
    assert "44 lb more" in " ".join(short.split())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["list"], "6,614 ± 43 794 ± 35 12.0 ± 0.6"),
        (["show", "1"], "3086 lb 3,086 lb 3,092 lb -0.4"),
        (["compare", "1", "2"], "trailer weight 6,614 ± 43 lb 6,724 ± 86 lb +110 ± 97 lb"),
        (["compare", "1", "2"], "steer 3,086 lb 3,131 lb 44 lb"),
        (["compare", "1", "2"], "tongue share, % 12.0 ± 0.6 13.0 ± 1.2 +1.0 ± 1.3"),
    ],
)
def test_numbers_each_with_its_own_spread(
    book: Logbook, path: Path, words: list[str], told: str
) -> None:
    """3,000 and 3,050 kg of sd 10 and 20, 360 kg of sd 8; 1,400 kg read where 1,402.5 was foretold,
    and 1,420 later: in pounds, 1.96 sd wide, the later less the earlier."""
    book.add(WEIGHING)
    later = {"trailer_kg": 3050.0, "trailer_sd_kg": 20.0, "share": 0.13, "share_sd": 0.006}
    steer = replace(READING, value_si=1420.0)
    book.add(_unwell(taken="2025-08-01", readings=(steer,), **later))
    assert told in " ".join(_run(path, *words).output.split())


def test_weighings_that_disagree_are_marked(book: Logbook, path: Path) -> None:
    """List, comparison and drift say whose readings do not agree; of others nothing is said."""
    book.add(WEIGHING)
    later = book.add(_unwell(taken="2025-08-01", chance=0.0004))
    for words in (["list"], ["show", "2"], ["compare", "1", str(later)], ["drift", "camper"]):
        said = " ".join(_run(path, *words).output.split())
        assert f"▲ The readings of weighing {later} do not agree" in said
    assert "do not agree" not in _run(path, "list", "--until", "2025-07-31").output
    assert json.loads(_run(path, "drift", "camper", "--json").output)["doubtful"] == [later]


@pytest.mark.parametrize(("chance", "doubted"), [(None, False), (0.01, False), (0.0099, True)])
def test_readings_agree_from_one_in_a_hundred(chance: float | None, *, doubted: bool) -> None:
    """docs/method.md: they agree where the chance of worse is 1 % or more; without a test nothing
    is said."""
    assert disagrees(_unwell(chance=chance)) is doubted


def test_a_list_may_be_cut_to_its_last(book: Logbook) -> None:
    """To one weighing or more, not to none."""
    numbers = _season(book)
    assert [line.id for line in book.list(limit=1)] == [book.list()[-1].id]
    assert len(book.list(limit=99)) == len(set(numbers))
    with pytest.raises(LogbookError, match="limit: expected at least 1, found 0"):
        book.list(limit=0)


def test_a_running_weighing(book: Logbook) -> None:
    """Each step is kept and found by its number; the list shows the one that stands, if any."""
    steps = [_unwell(note=note) for note in ("one", "two")]
    numbers = [book.go_on("r", step) for step in steps]
    assert [line.id for line in book.list()] == numbers[1:]
    assert book.go_on("r", steps[0]) == numbers[0]
    assert [line.id for line in book.list()] == numbers[:1]
    assert book.go_on("r", None) is None
    assert book.list() == ()
    assert [book.get(n or 0).weighing.note for n in numbers] == ["one", "two"]
    assert [(one.run, one.stands) for one in book.all()] == [("r", False)] * 2


@pytest.mark.parametrize(
    ("steps", "stands"), [("ab", ["b"]), ("aba", ["a"]), ("abcb", ["b"]), ("ab-", [])]
)
def test_a_running_weighing_is_brought_as_it_stood(
    book: Logbook, tmp_path: Path, steps: str, stands: list[str]
) -> None:
    """Another book has the same entries and the same one of them, if any, stands, in the list and
    for what is learnt."""
    for note in steps:
        book.go_on("r", None if note == "-" else _unwell(note=note))
    with Logbook.open(tmp_path / "other.sqlite") as other:
        brought = other.bring_in(book.all()[::-1])
        assert (brought.added, brought.known) == (len(set(steps) - {"-"}), 0)
        for one in (book, other):
            assert [line.note for line in one.list()] == stands
            assert [one.get(x.id).weighing.note for x in one.lessons()] == stands
        again = other.bring_in(book.all())
        assert (again.added, again.known) == (0, brought.added)
        assert [line.note for line in other.list()] == stands


def test_whose_a_weighing_is_and_when_it_was_last(book: Logbook, path: Path) -> None:
    """One taken on a rig of the book is of that rig, whatever its name; others go by their name,
    capitals or not. Of several the latest counts that stands."""
    rigs = Rigs(path)
    numbers = [rigs.add(name, "{}") for name in ("camper", "boat")]
    rigs.begun(numbers[1], "r")
    for taken in ("2025-09-30", "2025-08-01"):
        book.go_on("r", _unwell(taken=taken))
    for taken in ("2025-07-15", "2025-05-20", "2025-06-11"):
        book.add(_unwell(taken=taken, rig_name="Camper"))
    book.go_on("free", _unwell(taken="2025-10-10", rig_name="other"))
    days = {key: clock[:10] for key, clock in rigs.last_weighed().items()}
    assert days == {numbers[1]: "2025-08-01", "camper": "2025-07-15", "other": "2025-10-10"}
    of = [[one.weighing.taken for one in rigs.weighings(n, "camper")] for n in numbers]
    assert of[0] == ["2025-05-20", "2025-06-11", "2025-07-15"]
    assert of[1] == [*of[0], "2025-08-01"]
    assert [one.weighing.taken for one in rigs.weighings(numbers[1], "boat")] == ["2025-08-01"]


def test_a_rig_is_kept_step_by_step(path: Path) -> None:
    """Every state that a step names is had back, one that none names is gone, the newest comes
    back of a damaged rig; what was shown is kept for its own revision, and whose a rig is changes
    only for one who saw whose it was."""
    rigs = Rigs(path)
    number = rigs.add("a rig", "zero", owner="Ada", note="plate 7", by="Ada")
    first = rigs.row(number).steps[0]
    made = sha256(b"one").hexdigest()[:32]
    both: Any = {"name": "a rig", "acts": (), "at": 1, "steps": [first, (made, "Bo")]}
    rigs.keep(number, 0, **both, texts={made: "one"}, revision=1)
    assert rigs.work(number).states == ("zero", "one")
    assert (rigs.now(number), rigs.last_sound(number)) == ("one", "one")
    rigs.glanced(number, 0, "early")
    assert rigs.row(number).glance == ""
    rigs.glanced(number, 1, "shown")
    assert rigs.row(number).glance == "shown"
    with pytest.raises(MovedOnError, match="revision 1"):
        rigs.keep(number, 0, **both, texts={}, revision=2)
    rigs.keep(number, 1, **{**both, "at": 0, "steps": [first]}, texts={}, revision=2)
    assert (rigs.now(number), rigs.last_sound(number)) == ("zero", "zero")
    for was in (("Ada", "Ada"), ("plate 7", "plate 7")):
        with pytest.raises(MovedOnError, match="changed meanwhile"):
            rigs.describe(number, was, "Bo", "")
    found = rigs.describe(number, ("Ada", "plate 7"), "Bo", "plate 8")
    assert rigs.row(number) == found
    assert (found.owner, found.note, found.revision, found.away) == ("Bo", "plate 8", 2, False)
    assert [rigs.put_away(number, away=away).away for away in (True, False)] == [True, False]


def test_units_are_those_of_the_readings(book: Logbook, path: Path) -> None:
    """Unasked, weights are in pounds or kilograms as most readings were."""
    book.add(_unwell(readings=(replace(READING, unit="kg"),)))
    assert "trailer, kg" in _run(path, "list").output
    assert "trailer, lb" in _run(path, "list", "--units", "us").output


def test_json_of_each_command(book: Logbook, path: Path) -> None:
    """`--json` holds SI numbers under names that say their unit."""
    _season(book)
    assert json.loads(_run(path, "list", "--json").output)[0]["trailer_kg"] == 3000
    shown = json.loads(_run(path, "show", "2", "--json").output)
    assert shown["weighing"]["cov"] == [[1e-4, 2e-6], [2e-6, 1e-3]]
    assert (
        json.loads(_run(path, "compare", "2", "1", "--json").output)["trailer_kg"]["change"] == 60
    )
    drift = json.loads(_run(path, "drift", "camper", "--json").output)
    assert drift["trailer_kg"]["ends"]["change"] == pytest.approx(108.9)


def test_export_and_import(book: Logbook, path: Path, tmp_path: Path) -> None:
    """The JSON file makes the same logbook elsewhere; it is never written over another file."""
    _season(book)
    out, other = tmp_path / "out.json", tmp_path / "other.sqlite"
    assert _run(path, "export", "--to", str(out)).exit_code == 0
    before = out.read_bytes()
    again = _run(path, "export", "--to", str(out))
    assert (again.exit_code, out.read_bytes()) == (2, before)
    assert "Added 5 weighings; 0" in _run(other, "import", str(out)).output
    assert "Added 0 weighings; 5" in _run(other, "import", str(out)).output
    assert _run(other, "list").output.count("camper") == 4


def test_csv(book: Logbook, path: Path) -> None:
    """A line a weighing or a reading; a comma, a quote or a line's end in a note harms nothing."""
    book.add(_unwell(note='wet, "very"\nwet'))
    (line,) = csv.DictReader(io.StringIO(_run(path, "export", "--csv").output, newline=""))
    assert (line["note"], float(line["share"]), line["readings"]) == (
        'wet, "very"\nwet',
        0.12,
        "2",
    )
    rows = list(csv.DictReader(io.StringIO(readings_csv(book.all()))))
    assert [(row["taken"], row["name"], row["value_si"]) for row in rows] == [
        (WEIGHING.taken, "steer", "1400.0"),
        (WEIGHING.taken, "drive", "1610.0"),
    ]


@pytest.mark.parametrize(
    "words",
    [
        ("show", "99"),
        ("show", "9" * 30),
        ("compare", "1", "99"),
        ("drift", "camel"),
        ("drift", "camper", "--since", "2026-01-01"),
        ("list", "--since", "spring"),
        ("list", "--limit", "0"),
        ("export", "--readings"),
        ("export", "--to", "/nowhere/at/all.json"),
        ("import", "/nowhere/at/all.json"),
    ],
)
def test_bad_input_is_one_sentence(book: Logbook, path: Path, words: tuple[str, ...]) -> None:
    """Exit 2 and one line, which says what was expected and what was found."""
    _season(book)
    result = _run(path, *words)
    assert result.exit_code == 2, result.output
    assert result.output.count("\n") == 1
    assert "expected" in result.output
    assert "found" in result.output


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "expected a logbook's JSON: invalid JSON"),
        ("{}", "format"),
        ('{"format": 2, "weighings": []}', "format"),
        ('{"format": 1, "weighings": [], "more": 1}', "more"),
        ('{"format": 1, "weighings": [{"id": 1}]}', "weighings[0].written"),
    ],
)
def test_bad_json_is_refused(path: Path, tmp_path: Path, text: str, said: str) -> None:
    """The sentence names the file and the place in it, and no logbook is begun."""
    bad = tmp_path / "bad.json"
    write_new(bad, text)
    result = _run(path, "import", str(bad))
    assert (result.exit_code, result.output.count("\n"), path.exists()) == (2, 1, False)
    assert said in result.output
    assert str(bad) in result.output


def test_a_changed_export_is_held_to_the_same_rules(book: Logbook) -> None:
    """A reading's unknown key, a text for a number, or a NaN is named, deep as it lies."""
    book.add(WEIGHING)
    good = to_json(book.all())
    for old, new in (
        ('"unit": "lb"', '"unit": "lb", "more": 1'),
        ('"value_si": 1400.0', '"value_si": "1400"'),
        ('"value_si": 1400.0', '"value_si": NaN'),
    ):
        assert old in good
        with pytest.raises(LogbookError, match=r"weighings\[0\].weighing.readings\[0\]"):
            from_json(good.replace(old, new, 1))


def test_reading_commands_begin_no_logbook(path: Path) -> None:
    """To list what is not there is bad input, not a new empty file."""
    result = _run(path, "list")
    assert (result.exit_code, path.parent.exists()) == (2, False)


def test_dates_are_in_order(book: Logbook) -> None:
    """The list is in order of the clock at the place, whatever the zones written."""
    _season(book)
    days = [line.taken[:10] for line in book.list()]
    assert all(a <= b for a, b in pairwise(days))
