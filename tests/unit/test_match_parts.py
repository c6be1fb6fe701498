"""A match in parts: the numbers of the match, the same whoever works, and what its rows say."""

import csv
from pathlib import Path

import polars as pl
import pytest
from click.testing import CliRunner

import steelyard.files.demo
import steelyard.fleet.match
from steelyard import read_rig
from steelyard.cli import main
from steelyard.fleet.engines import engine
from steelyard.fleet.match import Match, merged
from steelyard.fleet.parts import finish
from steelyard.fleet.sweep import planned
from steelyard.matching.rank import LISTS
from steelyard.ratings import TIGHT
from steelyard.sweeps.ranges import read_range

DEMO = Path(steelyard.files.demo.__file__).parent
VEHICLES, TRAILERS = DEMO / "perihelion-vehicles.csv", DEMO / "perihelion-candidates.csv"


def test_parts_hold_what_the_match_tells(tmp_path: Path) -> None:
    """Pair by pair the list, the standing, the loads and the room of the table of `match`, with all
    three lists; the best of each vehicle is the first of its own in the match's order."""
    runner = CliRunner()
    runner.invoke(main, ["match", str(VEHICLES), str(TRAILERS), "--out", str(tmp_path / "all.csv")])
    found = runner.invoke(
        main, ["match", str(VEHICLES), str(TRAILERS), "--parts", str(tmp_path / "parts")]
    )
    assert found.exit_code == 0, found.output
    with (tmp_path / "all.csv").open(encoding="utf-8", newline="") as file:
        due = list(csv.DictReader(file))
    rows = pl.read_parquet(tmp_path / "parts" / "part-*.parquet").to_dicts()
    told = {(row["vehicle"], row["trailer"]): row for row in rows}
    assert {row["list"] for row in rows} == set(LISTS)
    assert len(due) == len(told) == len(rows)
    for one in due:
        row = told[one["vehicle"], one["trailer"]]
        for name in ("list", "standing", "governs", "why_not"):
            assert (row[name] or "") == one[name]
        for name in ("tongue_kg", "sd_tongue_kg", "cargo_room_kg", "damping_ratio"):
            assert row[name] == (pytest.approx(float(one[name]), rel=1e-9) if one[name] else None)
    best = pl.read_parquet(tmp_path / "parts" / "best.parquet")
    for vehicle in best["vehicle"].unique():
        first = next(one for one in due if one["vehicle"] == vehicle)
        assert best.filter(pl.col("vehicle") == vehicle)["trailer"][0] == first["trailer"]


def _table(path: Path, rows: int) -> Path:
    head = "name,trailer.style,trailer.gvwr (lb),trailer.empty.weight (lb)"
    lines = [f"t{k},rear-living,{6000 + k % 40},{4400 + k % 40}" for k in range(rows)]
    path.write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
    return path


def test_alike_rows_and_workers_make_no_difference(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rows alike but for the name get the same numbers; one process and two give one digest."""
    monkeypatch.setattr(steelyard.fleet.match, "TRAILERS", 700)
    job = Match(vehicles=VEHICLES, trailers=_table(tmp_path / "t.csv", 1100), tight=TIGHT)
    done = []
    for workers in (1, 2):
        with engine(workers) as (executor, at_once):
            done.append(finish(job, tmp_path / str(workers), executor, at_once))
    assert done[0].digest == done[1].digest
    assert len(done[0].parts) == job.count == 2
    frame = pl.concat([pl.read_parquet(part) for part in done[0].parts])
    assert len(frame) == 3 * 1100
    per = frame.filter(
        pl.col("trailer").is_in(["t3", "t43", "t1083"]) & (pl.col("vehicle_row") == 2)
    )
    assert per.drop("trailer", "trailer_row").n_unique() == 1
    assert merged(tmp_path / "1", done[0].parts).counts["does-not-fit"] > 0


def test_a_row_that_cannot_be_read_is_named_and_the_rest_matched(tmp_path: Path) -> None:
    """A faulty row is told with its file and number, exit code 2, and costs no other row."""
    table = _table(tmp_path / "t.csv", 5)
    table.write_text(table.read_text(encoding="utf-8").replace("4402", "oak"), encoding="utf-8")
    words = ["match", str(VEHICLES), str(table), "--parts", str(tmp_path / "parts")]
    found = CliRunner().invoke(main, words)
    assert found.exit_code == 2
    assert "t.csv, row 4" in found.stderr
    assert len(pl.read_parquet(tmp_path / "parts" / "part-000000.parquet")) == 3 * 4


@pytest.mark.filterwarnings("default")
def test_a_cluster_gives_the_same_parts(tmp_path: Path) -> None:
    """A Dask cluster by its address: the digest of one process."""
    distributed = pytest.importorskip("distributed")
    rig = read_rig(DEMO / "perihelion-camper.toml")
    ranges = [read_range("items.telescopes.station=10 ft..20 ft")]
    job = planned(rig, ranges, "lhs", 20_000, ("tongue",))
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=1, dashboard_address=None, processes=True
        ) as cluster,
        engine(on=cluster.scheduler_address) as (executor, at_once),
    ):
        away = finish(job, tmp_path / "away", executor, at_once)
    with engine() as (executor, at_once):
        here = finish(job, tmp_path / "here", executor, at_once)
    assert away.digest == here.digest
