"""Sweeps: the same numbers as one rig at a time, in parts that do not hang on who works."""

import html
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import polars as pl
import pytest
from click.testing import CliRunner

import steelyard.files.demo
from steelyard import Rig, assess, read_rig
from steelyard.cli import main
from steelyard.columns.alike import with_numbers
from steelyard.fleet.engines import engine
from steelyard.fleet.parts import finish
from steelyard.fleet.sweep import planned, sweep
from steelyard.swaying.stage_sway import sway
from steelyard.sweeps.designs import points, sensitivity
from steelyard.sweeps.ranges import read_range, varied
from steelyard.sweeps.variants import Question, answered

CAMPER = Path(steelyard.files.demo.__file__).parent / "perihelion-camper.toml"
RANGES = (
    "items.telescopes.station=14 ft..18 ft",
    "trailer.empty.tongue_weight=560 lb..720 lb",
    "vehicle.rear.tyres.pressure=50 psi..75 psi",
    "stages.leaving-home.tanks.fresh,stages.first-night.tanks.fresh=5 %..95 %",
    "items.bikes.station=22 ft..25 ft",
)
GIVE = ("tongue", "share", "front", "room", "damping", "vehicle.payload", "vehicle.rear.tyres")


def test_a_variant_is_the_rig_with_its_numbers() -> None:
    """Every figure is the best estimate that `assess` and `sway` give for that rig, to 1e-9:
    beliefs settle to a millionth of a spread, each on its own way."""
    rig, ranges = varied(read_rig(CAMPER), [read_range(text) for text in RANGES])
    question = Question(rig=rig, ranges=ranges, give=GIVE)
    values = question.values(points("sobol", 4, len(ranges), 0, 4, 0))
    given = answered(question, values)
    for number, row in enumerate(values):
        one = rig
        for moved, value in zip(ranges, row, strict=True):
            one = with_numbers(one, dict.fromkeys(moved.paths, float(value)))
        swings = sway(one, samples=16)
        for place, stage in enumerate(assess(one).stages):
            limits = {limit.name: limit for limit in stage.limits}
            weights = [x for x in limits.values() if x.measure == "weight" and x.rating > 0]
            rooms = {n: (limits[n].rating - limits[n].best) for n in GIVE[5:]}
            due = {
                "best_tongue_kg": stage.tongue.weight_kg.best,
                "best_share": stage.tongue.share.best,
                "best_front_kg": stage.axles[0].weight_kg.best,
                "best_room_kg": min(x.rating - x.best for x in weights),
                "best_damping_ratio": float(swings[place].at_damping.best),
                **{f"best_room_{name}": room for name, room in rooms.items()},
            }
            for name, wanted in due.items():
                assert given[name][place, number] == pytest.approx(wanted, rel=1e-9, abs=1e-9), name


@pytest.mark.parametrize(
    ("path", "low", "high"),
    [
        ("items.telescopes.station", "14 ft", "16 ft"),
        ("stages.first-night.grade", "0 deg", "3 deg"),  # read for one rig at a time, as the next
        ("trailer.axles.first.share", "45 %", "60 %"),
        ("vehicle.rear.tyres.max_load", "900 kg", "1300 kg"),
    ],
)
def test_spreads_are_those_of_the_draws(path: str, low: str, high: str) -> None:
    """With draws asked for, best estimate and sd are those of `assess` with as many draws of the
    same points."""
    found = sweep(
        read_rig(CAMPER), {path: (low, high)}, by="grid", n=3, give=("tongue", "front"), draws=256
    )
    middle = found.filter(pl.col("variant") == 1)
    rig, moved = varied(read_rig(CAMPER), [read_range(f"{path}={low}..{high}")])
    one = with_numbers(rig, {moved[0].paths[0]: 0.5 * (moved[0].low + moved[0].high)})
    for row, stage in zip(middle.iter_rows(named=True), assess(one, draws=256).stages, strict=True):
        assert row["best_tongue_kg"] == pytest.approx(stage.tongue.weight_kg.best, rel=1e-9)
        assert row["sd_tongue_kg"] == pytest.approx(stage.tongue.weight_kg.sd, rel=1e-8)
        assert row["sd_front_kg"] == pytest.approx(stage.axles[0].weight_kg.sd, rel=1e-8)


def test_indices_of_a_sum_are_its_parts_of_variance() -> None:
    """Trailer weight is a sum of independent uniform weights: each index is width² over the sum of
    widths² (Saltelli et al., Global Sensitivity Analysis, 2008, for a linear model)."""
    texts = ("items.bedding.weight=50 lb..80 lb", "items.pantry.weight=100 lb..140 lb")
    rig, ranges = varied(read_rig(CAMPER), [read_range(text) for text in texts])
    asked = Question(rig=rig, ranges=ranges, give=("trailer",))
    found = sensitivity(asked, 1024)
    due = np.array([900.0, 1600.0]) / 2500.0
    assert found.first[0, 0] == pytest.approx(due, abs=0.01)
    assert found.total[0, 0] == pytest.approx(due, abs=0.01)


def test_parts_are_the_same_whoever_works_and_however_often_stopped(tmp_path: Path) -> None:
    """One process, two of a pool, and a folder that lost parts and went on: one digest."""
    job = planned(read_rig(CAMPER), [read_range(RANGES[0])], "sobol", 40_000, ("tongue",))
    done = {}
    for workers in (1, 2):
        with engine(workers) as (executor, at_once):
            done[workers] = finish(job, tmp_path / str(workers), executor, at_once)
    done[2].parts[1].unlink()
    with engine() as (executor, at_once):
        again = finish(job, done[2].folder, executor, at_once)
    assert again.found == 2
    assert done[1].digest == done[2].digest == again.digest


def test_a_killed_sweep_goes_on(tmp_path: Path) -> None:
    """After SIGKILL between two parts the same command finds what is finished and ends the same."""
    words = ["sweep", str(CAMPER), "--vary", RANGES[0], "--n", "60000", "--give", "tongue"]
    command = [sys.executable, "-m", "steelyard", *words, "--out", str(tmp_path / "killed")]
    running = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    for _ in range(600):
        if list(tmp_path.glob("killed/part-*.parquet")):
            break
        time.sleep(0.05)
    running.send_signal(signal.SIGKILL)
    running.wait()
    left = len(list(tmp_path.glob("killed/part-*.parquet")))
    assert 0 < left < 4
    told = CliRunner().invoke(main, [*words, "--out", str(tmp_path / "killed")]).stdout
    whole = CliRunner().invoke(main, [*words, "--out", str(tmp_path / "whole")]).stdout
    assert f"{left} parts were there already" in told
    assert told.split("SHA-256")[1] == whole.split("SHA-256")[1]


@pytest.mark.parametrize(
    ("words", "due"),
    [
        (("--vary", "trailer.empty.weight=5600 lb..5000 lb"), "a range from low to high"),
        (("--vary", "name=1 kg..2 kg"), "the path of a number with a unit"),
        (("--vary", "trailer.style=a..b"), "trailer.style: expected one of"),
        (("--vary", "items.ghost.weight=1 kg..2 kg"), 'found "ghost"'),
        (("--vary", RANGES[0], "--give", "tonge"), 'did you mean "tongue"?'),
        (("--vary", RANGES[0], "--on", "tcp://127.0.0.1:9"), "a Dask scheduler with a worker"),
    ],
)
def test_what_cannot_be_swept_is_said_in_a_sentence(
    words: tuple[str, ...], due: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Exit code 2 and one sentence that names what is due."""
    monkeypatch.setattr("steelyard.fleet.engines.PATIENCE", 1)
    out = str(tmp_path / "out")
    found = CliRunner().invoke(main, ["sweep", str(CAMPER), *words, "--out", out])
    assert found.exit_code == 2
    assert due in found.stderr
    assert found.stderr.count("\n") == 1


def test_a_grid_says_how_many_before_it_starts(tmp_path: Path) -> None:
    """Ten ranges of ten values are ten thousand million variants: too many, and said so."""
    words: list[str] = []
    for item in ("bedding", "pantry", "telescopes", "chairs", "bikes", "generator", "firewood"):
        words += ["--vary", f"items.{item}.weight=50 lb..90 lb"]
    for path in ("trailer.empty.weight", "vehicle.payload", "vehicle.gvwr"):
        words += ["--vary", f"{path}=1500 lb..7000 lb"]
    out = ["--by", "grid", "--n", "10", "--out", str(tmp_path / "out")]
    found = CliRunner().invoke(main, ["sweep", str(CAMPER), *words, *out])
    assert found.exit_code == 2
    assert "10 in each of 10 ranges is 10,000,000,000" in found.stderr


@pytest.mark.parametrize("by", ["grid", "sobol"])
def test_without_scipy_it_is_said_before_it_starts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, by: str
) -> None:
    """No SciPy: a grid is swept and what is wanting said; a picture or another design is refused
    with what to install before any part is there."""
    monkeypatch.setitem(sys.modules, "scipy", None)
    out = tmp_path / "out"
    words = ["sweep", str(CAMPER), "--vary", RANGES[0], "--n", "3", "--give", "tongue", "--by", by]
    refused = CliRunner().invoke(
        main, [*words, "--out", str(out), "--figure", str(tmp_path / "moved.svg")]
    )
    assert refused.exit_code == 2
    assert "install steelyard[sweep]" in refused.stderr
    assert not out.exists()
    found = CliRunner().invoke(main, [*words, "--out", str(out)])
    assert (found.exit_code, out.exists()) == ((0, True) if by == "grid" else (2, False))
    assert "install steelyard[sweep]" in found.output


def test_the_picture_has_names_not_keys(tmp_path: Path) -> None:
    """Ranges by what the table of parameters calls them, tied ones together; stages by title."""
    picture = tmp_path / "moved.svg"
    vary = ["--vary", "trailer.empty.weight=5000 lb..5600 lb", "--vary"]
    tied = "items.bikes.weight,items.chairs.weight=40 lb..90 lb"
    words = ["sweep", str(CAMPER), *vary, tied, "--n", "8", "--give", "tongue"]
    CliRunner().invoke(main, [*words, "--out", str(tmp_path / "o"), "--figure", str(picture)])
    text = picture.read_text(encoding="utf-8")
    assert "the empty trailer's weight" in html.unescape(text)
    assert "bikes weight and chairs weight" in text
    assert "trailer.empty" not in text


def test_another_question_wants_another_folder(tmp_path: Path) -> None:
    """Parts of one question are never taken for another's."""
    words = ["--vary", RANGES[0], "--n", "16", "--out", str(tmp_path / "out"), "--give"]
    one, two = (
        CliRunner().invoke(main, ["sweep", str(CAMPER), *words, give])
        for give in ("tongue", "share")
    )
    assert (one.exit_code, two.exit_code) == (0, 2)
    assert "a folder of its own for each job" in two.stderr


def test_a_number_that_the_file_leaves_out_can_be_varied() -> None:
    """A path need not be stated in the file: a variant is the file with it put in."""
    rig = Rig.model_validate(
        {
            "vehicle": {"class": "half-ton-crew-cab"},
            "trailer": {"style": "rear-living", "gvwr": "7000 lb"},
        }
    )
    found = sweep(rig, {"trailer.empty.weight": ("5000 lb", "6000 lb")}, by="grid", n=2)
    data = rig.model_dump(by_alias=True, exclude_none=True)
    data["trailer"]["empty"]["weight"] = "6000 lb"
    due = assess(Rig.model_validate(data)).stages[0].tongue.weight_kg.best
    assert found["best_tongue_kg"][1] == pytest.approx(due, rel=1e-12)
