"""`steelyard match` on long tables: memory that does not grow, files written whole or not."""

import csv
import gc
import json
import subprocess
import sys
import tracemalloc
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.match_door import CAMPER, HEAD, run

from steelyard.cli import match as door
from steelyard.files import match_files, table_rows
from steelyard.files.candidate_tables import parts
from steelyard.files.scratch import NUMBERS, Names, Order, scratch


def trailers(folder: Path, n: int, name: str = "trailers.csv") -> str:
    """A table of n trailers with long names and weights that come again, every tenth a twin of the
    one before and every tenth with a fault."""
    path = folder / name
    with path.open("w", encoding="utf-8") as file:
        file.write(HEAD)
        for k in range(n):
            title = f"{'a long name ' * 5}{k - (k % 10 == 5)}"
            style = "boot" if k % 10 == 7 else "enclosed-cargo"
            file.write(f"{title},{style},{3000 + k % 90},{1500 + k % 70}\n")
    return str(path)


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Parts of 50 rows, 20 faults told and 5 pairs a list kept, so that a short table fills all."""
    monkeypatch.setattr(door, "parts", lambda where, which, _=0: parts(where, which, 50))
    monkeypatch.setattr(door, "FAULTS", 20)
    monkeypatch.setattr(door, "LISTED", 5)


def peak(work: Callable[[], Any]) -> int:
    """Bytes that Python held at most meanwhile."""
    gc.collect()
    tracemalloc.start()
    work()
    found = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return found


def test_names_seen_take_no_memory(tmp_path: Path) -> None:
    """2,400 rows more, of a table long enough to be read as columns: under 40 bytes a row, where a
    name alone has 60 letters."""
    pytest.importorskip("polars")  # which is loaded once, and large

    def read(n: int) -> int:
        path = trailers(tmp_path, n)
        return peak(lambda: [len(part.rigs) for part in parts(path, "trailer", 50)])

    read(1600)
    assert read(4000) - read(1600) < 40 * 2400


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("ending", [".csv", ".json"])
def test_pairs_take_no_memory(tmp_path: Path, ending: str) -> None:
    """100 pairs more: under 800 bytes a pair, most of it what waits to be collected, where a pair's
    numbers take 8 kB and its text 1 kB or 30 kB; faults and twins among them."""

    def written(n: int) -> int:
        path, out = trailers(tmp_path, n), str(tmp_path / f"found{ending}")
        return peak(
            lambda: run("match", CAMPER, path, "--best", "0", "--draws", "16", "--out", out)
        )

    written(100)
    assert written(200) - written(100) < 800 * 100


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="no /proc to read it from")
def test_what_is_put_aside_is_on_disk() -> None:
    """60 MB put aside and sorted: the process grows by less than a quarter of that."""
    code = """
import os, re
from pathlib import Path
from steelyard.files.scratch import NUMBERS, Order, scratch
def size():
    return int(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1]) / 1e3
with scratch() as link:
    order, zeros = Order(link, "rows"), (0.0,) * (NUMBERS - 1)
    before = size()
    order.add(((-k % 7, *zeros, str(k), ""), os.urandom(3000)) for k in range(20000))
    n = sum(1 for _ in order)
    print(n, size() - before)
"""
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    n, grown = found.stdout.split()
    assert int(n) == 20000
    assert float(grown) < 15


def test_rows_come_back_in_order() -> None:
    """By list, then number, then name letter by letter; places start again with each list."""
    zeros = (0.0,) * (NUMBERS - 2)
    some = [(1, 2.0, "b"), (0, 0.5, "é"), (0, 0.5, "z"), (1, -1.0, "a"), (0, -3.0, "Z")]
    with scratch() as link:
        order = Order(link, "rows")
        order.add(((part, x, *zeros, name, ""), name.encode()) for part, x, name in some)
        found = [(part, place, row.decode()) for part, place, row in order]
    assert found == [(0, 1, "Z"), (0, 2, "z"), (0, 3, "é"), (1, 1, "a"), (1, 2, "b")]


def test_only_the_same_letters_are_a_twin() -> None:
    """Case, accents and a row's name given by hand tell two apart; nobody is lost."""
    with scratch() as link:
        names = Names(link)
        called = ["twin (row 4)", "twin", "twin", "Twin", "caf\u00e9", "cafe\u0301", "twin"]
        found = [names.own(name, f"row {k}") for k, name in enumerate(called, start=2)]
    assert len(set(found)) == len(found)
    assert found[:2] == called[:2]
    assert found[3:6] == called[3:6]
    assert found[6] == "twin (row 8)"
    assert len(names.remarks) == 2
    assert names.remarks[0].startswith('row 4: "twin" is also at row 3')


def test_a_part_of_faults_is_no_longer_than_one_of_rows(tmp_path: Path) -> None:
    """A table of nothing but faults is told of part by part."""
    path = tmp_path / "bad.csv"
    path.write_text(HEAD + "x,boot,3000,1500\n" * 130, encoding="utf-8")
    assert [len(part.faults) for part in parts(path, "trailer", 50)] == [50, 50, 30]


@pytest.mark.usefixtures("small")
def test_faults_beyond_the_first_are_counted_by_kind(tmp_path: Path) -> None:
    """20 of 100 rows told one by one; the rest by kind, on standard error and in the JSON alike."""
    out = tmp_path / "found.json"
    code, text, errors = run(
        "match", CAMPER, trailers(tmp_path, 200), "--best", "0", "--draws", "16", "--out", str(out)
    )
    assert code == 2
    assert text.startswith("180 pairs")
    lines = errors.splitlines()
    assert lines[-2:] == ["and more names told apart: 10", "and more faults: 10"] or lines[-2:] == [
        "and more faults: 10",
        "and more names told apart: 10",
    ]
    assert json.loads(out.read_text(encoding="utf-8"))["left_out"] == lines


def test_parts_of_any_size_give_the_same_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However many rows are read at a time, every pair is written in its place, in each form."""
    polars = pytest.importorskip("polars")
    text = HEAD + '"odd, ""one""\nof two lines",enclosed-cargo,3000,1500\n'
    text += "".join(f"{n},enclosed-cargo,{3000 + n},{1500 + n}\n" for n in range(90))
    path = tmp_path / "trailers.csv"
    path.write_text(text, encoding="utf-8")
    monkeypatch.setattr(match_files, "BATCH", 7)
    found: dict[int, list[Any]] = {}
    for size in (13, 1000):
        monkeypatch.setattr(
            door, "parts", lambda where, which, size=size: parts(where, which, size)
        )
        for ending in match_files.ENDINGS:
            words = ("--draws", "16", "--best", "0", "--out", str(tmp_path / f"{size}{ending}"))
            assert run("match", CAMPER, str(path), *words)[0] != 2
        with (tmp_path / f"{size}.csv").open(encoding="utf-8", newline="") as file:
            table = list(csv.DictReader(file))
        frame = polars.read_parquet(tmp_path / f"{size}.parquet")
        pairs = json.loads((tmp_path / f"{size}.json").read_text(encoding="utf-8"))["pairs"]
        names = [row["trailer"] for row in table]
        assert len(set(names)) == 91
        assert names == frame["trailer"].to_list() == [pair["trailer"] for pair in pairs]
        assert frame["trailer_kg"].to_list() == [float(row["trailer_kg"]) for row in table]
        assert [pair["place"] for pair in pairs] == [int(row["place"]) for row in table]
        found[size] = [(row["list"], row["place"], row["trailer"]) for row in table]
    assert found[13] == found[1000]


@pytest.mark.parametrize("ending", match_files.ENDINGS)
@pytest.mark.parametrize("where", ["pairs", "writing"])
def test_stopped_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ending: str, where: str
) -> None:
    """Ctrl-C among the pairs or in the middle of the file: the older file as it was, and nothing
    beside it or in the temporary folder."""
    if ending == ".parquet":
        pytest.importorskip("polars")
    path, out = trailers(tmp_path, 100), tmp_path / f"found{ending}"
    out.write_text("older", encoding="utf-8")
    aside = tmp_path / "aside"
    aside.mkdir()
    for name in ("TMPDIR", "SQLITE_TMPDIR"):
        monkeypatch.setenv(name, str(aside))

    def stopped(real: Callable[..., Iterator[Any]]) -> Callable[..., Iterator[Any]]:
        def some(*words: Any, **more: Any) -> Iterator[Any]:
            for number, one in enumerate(real(*words, **more)):
                if number == 1:
                    raise KeyboardInterrupt
                yield one

        return some

    name = "matches" if where == "pairs" else "_tallied"
    monkeypatch.setattr(door, name, stopped(getattr(door, name)))
    words = ("--draws", "16", "--best", "0", "--out", str(out))
    code, text, _ = run("match", CAMPER, path, *words)
    assert code == 130
    assert "pairs of vehicle" not in text
    assert out.read_text(encoding="utf-8") == "older"
    assert {one.name for one in tmp_path.iterdir()} == {"trailers.csv", out.name, "aside"}
    assert list(aside.iterdir()) == []


def test_a_line_without_end_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A line longer than any table's is refused before it fills the memory."""
    monkeypatch.setattr(table_rows, "LONGEST", 200)
    path = tmp_path / "long.csv"
    path.write_text(HEAD + f"{'x' * 300},boat,3000,1500\n", encoding="utf-8")
    code, _, errors = run("match", CAMPER, str(path))
    assert code == 2
    assert errors.strip().endswith("line 2: expected a line under 200 letters, found a longer one")
