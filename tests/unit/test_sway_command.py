"""The sway command: words, exit codes, JSON, runs, the chart of the cargo's place."""

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from steelyard.cli import main
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.swaying.chart import cargo_chart
from steelyard.swaying.stage_sway import sway

CAMPER = demo_rigs()["perihelion-camper.toml"]


@pytest.fixture
def camper(tmp_path: Path) -> Path:
    """The example camper in a file."""
    path = tmp_path / "camper.toml"
    path.write_text(CAMPER, encoding="utf-8")
    return path


def _run(*words: str) -> Result:
    return CliRunner().invoke(main, ["sway", *words])


def test_slow_is_calm_and_fast_is_not(camper: Path) -> None:
    """At 30 mph the camper calms surely (exit 0); at 140 mph it does not (exit 1)."""
    slow = _run(str(camper), "--stage", "back-home", "--speed", "30 mph")
    fast = _run(str(camper), "--stage", "back-home", "--speed", "140 mph")
    assert (slow.exit_code, fast.exit_code) == (0, 1)
    assert "public road" in slow.output
    assert max(len(line) for line in slow.output.splitlines()) <= 80


def test_json_is_the_librarys_answer(camper: Path) -> None:
    """The JSON's damping at the speed asked about is the library's own number."""
    result = _run(str(camper), "--stage", "back-home", "--speed", "60 mph", "--json")
    report = json.loads(result.stdout)
    asked = report["stages"][0]["asked"]
    own = sway(parse_rig(CAMPER), stages=("back-home",), speed=60 * 0.44704)[0]
    assert asked["damping"]["value"] == pytest.approx(float(own.at_damping.value), rel=1e-12)
    assert asked["chance_below"] == own.chance_below


def test_runs_and_friction_are_told(camper: Path) -> None:
    """A manoeuvre is run and told, so are many draws of it, so is dry friction's limit."""
    words = ["--stage", "back-home", "--speed", "120 mph", "--manoeuvre", "impulse"]
    result = _run(str(camper), *words, "--runs", "20", "--friction", "250")
    assert "In the run the trailer swings" in result.output
    assert "Over 20 draws" in result.output
    assert "grows all the same" in " ".join(result.output.split())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--speed", "0 mph"], "above zero"),
        (["--speed", "-5 mph"], "above zero"),
        (["--speeds", "55"], "with its unit"),
        (["--ratio", "2"], "between 0 and 1"),
        (["--runs", "5"], "something to run"),
        (["--gust", "9 m/s", "--manoeuvre", "truck"], "one disturbance"),
        (["--figure", "x.gif", "--stage", "back-home"], ".svg, .png or .pdf"),
    ],
)
def test_wrong_options_are_one_sentence(camper: Path, words: list[str], told: str) -> None:
    """What cannot be answered is said in a sentence, with exit code 2."""
    result = _run(str(camper), *words)
    assert result.exit_code == 2
    assert told in result.output
    assert "Traceback" not in result.output


def test_chart_falls_as_the_cargo_goes_back() -> None:
    """The share along the chart falls by the lever as the cargo goes back, and damping with it."""
    chart = cargo_chart(parse_rig(CAMPER), stage="back-home", speeds=(25.0,))
    assert chart.damping.shape == (1, len(chart.stations))
    slope = np.diff(chart.share) / np.diff(chart.stations)
    assert np.all(slope < 0)
    assert slope == pytest.approx(np.full(len(slope), slope.mean()), rel=0.05)
    assert chart.damping[0, 0] > chart.damping[0, -1]


def test_a_weighing_is_told_before_and_after(tmp_path: Path) -> None:
    """With a ticket, damping and the speed at which sway grows stand without it and with it."""
    assert CliRunner().invoke(main, ["demo", "--into", str(tmp_path)]).exit_code in (0, 1, 3)
    ticket = str(tmp_path / "camper-at-the-fuel-stop.toml")
    result = _run(str(tmp_path / "perihelion-camper.toml"), "--with", ticket)
    line = next(x for x in result.stdout.splitlines() if x.lstrip().startswith("sway grows"))
    assert line.count(" to ") == 2
    assert "rig file" in result.stdout


@pytest.mark.parametrize("name", sorted(demo_rigs()))
def test_every_line_fits(tmp_path: Path, name: str) -> None:
    """80 columns for every example, and an absurd speed is remarked on."""
    path = tmp_path / name
    path.write_text(demo_rigs()[name], encoding="utf-8")
    for speed in ("62 mph", "100 mph"):
        result = _run(str(path), "--speed", speed)
        assert max(len(line) for line in result.stdout.splitlines()) <= 80
        assert ("beyond any road speed" in result.stdout) == (speed == "100 mph")


def test_figure_is_drawn(camper: Path, tmp_path: Path) -> None:
    """The figure with its three panels is written as SVG."""
    path = tmp_path / "sway.svg"
    result = _run(str(camper), "--stage", "back-home", "--gust", "9 m/s", "--figure", str(path))
    assert result.exit_code in (0, 1, 3)
    assert path.read_text(encoding="utf-8").startswith("<svg ")


@pytest.mark.parametrize(("at", "grows"), [("16 ft", True), ("10 ft", False)])
def test_a_swing_that_grows_is_not_towed(tmp_path: Path, at: str, grows: bool) -> None:
    """1,800 lb 4 ft behind the axles, of 3,100 in all, put less than nothing on the ball (150 lb −
    600): no number says more than not to tow it so. 2 ft ahead of them it is 450 lb."""
    path = tmp_path / "utility.toml"
    path.write_text(UTILITY.replace("16 ft", at), "utf-8")
    told = CliRunner().invoke(main, ["sway", str(path)])
    assert ("1. Do not tow it loaded so at 62 mph" in told.stdout) is grows


UTILITY = """format = 1
region = "north-america"
everything_listed = true
[vehicle]
class = "mid-size-pickup"
[trailer]
style = "open-utility"
gvwr = "5000 lb"
empty = { weight = "1300 lb", tongue_weight = "150 lb" }
axles = { count = 2, station = "12 ft", gawr = "2500 lb" }
[places.deck]
station = "12 ft"
[items.gravel]
weight = "1800 lb"
place = "deck"
station = "16 ft"
"""
