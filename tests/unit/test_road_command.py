"""The road command: words within 80 columns, exit codes, JSON that is the library's answer."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from steelyard.braking.stage_road import road, settings_for
from steelyard.cli import main
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs

CAMPER = demo_rigs()["perihelion-camper.toml"]
CART = """format = 1
everything_listed = true
region = "europe"

[vehicle]
class = "car"
driven = "all"
drive_force = "8 kN"
engine_power = "120 kW"

[trailer]
style = "flatbed-equipment"
brakes = {brakes}
empty = {{ weight = "600 kg" }}
"""


def _file(folder: Path, text: str) -> str:
    path = folder / "rig.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def _run(*words: str) -> Result:
    return CliRunner().invoke(main, ["road", *words])


def test_unknown_is_three_and_fits_the_page(tmp_path: Path) -> None:
    """The camper's vehicle does not say what it drives: exit 3, named, 80 columns."""
    result = _run(_file(tmp_path, CAMPER), "--stage", "leaving-home", "--grade", "60 %")
    steep = _run(_file(tmp_path, CAMPER), "--stage", "leaving-home", "--sources")
    assert steep.exit_code == 3
    assert "vehicle.drive_force" in steep.output
    assert max(len(line) for line in (result.output + steep.output).splitlines()) <= 80


def test_brakes_and_none(tmp_path: Path) -> None:
    """A heavy cart with brakes and everything stated is 0; unbraked above half the car it is 1."""
    fine = _run(_file(tmp_path, CART.format(brakes="true")))
    text = CART.format(brakes="false").replace("600 kg", "1500 kg")
    bad = _run(_file(tmp_path, text))
    assert (fine.exit_code, bad.exit_code) == (0, 1)
    assert "km/h" in fine.output
    assert "exceeded" in bad.output.splitlines()[1]


def test_json_is_the_librarys_answer(tmp_path: Path) -> None:
    """Push and stop of the JSON are the library's own numbers."""
    words = ("--stage", "back-home", "--grade", "8 %", "--json")
    found = json.loads(_run(_file(tmp_path, CAMPER), *words).stdout)
    rig = parse_rig(CAMPER)
    own = road(rig, stages=("back-home",), settings=settings_for(rig, grade=0.08))[0]
    stage = found["stages"][0]
    assert found["settings"]["grade"] == pytest.approx(0.08)
    assert stage["stances"][0]["push_n"]["value"] == own.stances[0].push.value
    assert stage["stops"][0]["shortest_m"]["high"] == own.stops[0].shortest.high


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--grade", "6"], "with its unit"),
        (["--grade", "300 %"], "between 0 and 100 %"),
        (["--friction", "ice"], "a number such as"),
        (["--friction", "2"], "between 0 and 1.5"),
        (["--slowing", "3"], "0.35 g"),
        (["--slowing", "-1 g"], "above 0"),
        (["--speed", "fast"], "with its unit"),
        (["--length", "0 km"], "above zero"),
        (["--stage", "later"], "expected one of"),
    ],
)
def test_wrong_options_are_one_sentence(tmp_path: Path, words: list[str], told: str) -> None:
    """What cannot be answered is said in a sentence, with exit code 2."""
    result = _run(_file(tmp_path, CAMPER), *words)
    assert result.exit_code == 2
    assert told in result.output
    assert "Traceback" not in result.output


def test_unsaid_brakes_are_said_to_be_judged_as_none(tmp_path: Path) -> None:
    """A verdict that rests on brakes nobody stated says so; a trailer with none pushes unbraked."""
    unsaid = CART.replace("brakes = {brakes}\n", "").replace("{{", "{").replace("}}", "}")
    said = " ".join(_run(_file(tmp_path, unsaid), "--slowing", "0.9 g", "--sources").output.split())
    assert "▲ exceeded" in said
    assert "Trailer brakes are not stated (trailer.brakes): judged as none." in said
    assert "if it has brakes" in said
    none = " ".join(_run(_file(tmp_path, CART.format(brakes="false"))).output.split())
    assert "The trailer, which has no brakes, pushes the vehicle" in none
    assert "with trailer brakes," not in none
