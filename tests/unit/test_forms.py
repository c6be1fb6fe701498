"""What --json prints is what its published schema says, on every demo rig."""

import json
import math
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from steelyard.cli import main
from steelyard.files.demo import demo_rigs, demo_tables, demo_tickets
from steelyard.files.forms import FORMS, form_schema
from steelyard.selftest import CHECKS

pytestmark = pytest.mark.usefixtures("few_draws")

CAMPER, TICKET = "perihelion-camper.toml", "camper-at-the-fuel-stop.toml"
BOOK = ("--logbook", "book.sqlite")
CALLS = (
    *((form, command, rig) for rig in demo_rigs() for form, command in (
        ("report", "check"), ("report", "ledger"), ("report", "trip"), ("sway", "sway"),
        ("road", "road"), ("fit", "fit"), ("stow", "stow"),
    )),
    ("report", "check", CAMPER, "--with", TICKET),
    ("weighing", "weigh", CAMPER, TICKET),
    ("weighing", "weigh", CAMPER, "--tongue", "1400 lb"),
    ("move", "move", CAMPER, "bikes", "--to", "galley"),
    ("compare", "compare", CAMPER, "perihelion-observatory.toml"),
    ("match", "match", "perihelion-vehicles.csv", "perihelion-candidates.csv"),
    ("selftest", "selftest"),
    ("sway", "sway", CAMPER, "--recording", "drive.csv"),
    ("recording", "sway", "--recording", "drive.csv"),
    ("slide", "stow", "perihelion-tractor.toml", "--slide", "tractor"),
    ("learned", "learn", *BOOK),
    ("log-list", "log", "list", *BOOK),
    ("log-show", "log", "show", "1", *BOOK),
    ("log-compare", "log", "compare", "1", "2", *BOOK),
    ("log-drift", "log", "drift", "Perihelion camper", *BOOK),
    ("log-export", "log", "export", *BOOK),
)  # fmt: skip


@pytest.fixture
def demo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in a folder with the demo's files."""
    monkeypatch.chdir(tmp_path)
    for name, text in {**demo_rigs(), **demo_tickets(), **demo_tables()}.items():
        Path(name).write_text(text, encoding="utf-8")
    Path("drive.csv").write_text(swing_log(), encoding="utf-8")
    monkeypatch.setattr("steelyard.cli.selftest.CHECKS", CHECKS[:3])  # a form of three is the form


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two weighings of the camper in a logbook, made once."""
    folder = tmp_path_factory.mktemp("book")
    for name, text in {**demo_rigs(), **demo_tickets()}.items():
        (folder / name).write_text(text, encoding="utf-8")
    where = folder / "book.sqlite"
    rig, ticket = folder / CAMPER, folder / TICKET
    for day in ("2026-05-03", "2026-06-07"):
        text = re.sub("^# date = .*", f'date = "{day}"', demo_tickets()[TICKET], flags=re.MULTILINE)
        assert day in text
        ticket.write_text(text, "utf-8")
        words = ["weigh", str(rig), str(ticket), "--log", "--logbook", str(where)]
        assert CliRunner().invoke(main, words).exit_code == 0
    return where


def swing_log() -> str:
    """A free swing at 25 m/s, damped 0.1, at 0.5 Hz: what a phone would write."""
    times = [0.02 * n for n in range(1000)]
    decay = 2 * math.pi * 0.5 * 0.1
    rows = (f"{t:.2f},25.0,{0.1 * math.exp(-decay * t) * math.sin(math.pi * t):.6f}" for t in times)
    return "\n".join(["time (s),speed (m/s),yaw rate (rad/s)", *rows]) + "\n"


def validate(told: Any, form: str) -> None:
    """Hold what was told to its form, strictly: then it is of the form as published too."""
    jsonschema.Draft202012Validator(strict(form_schema(form))).validate(told)


def strict(schema: dict[str, Any]) -> dict[str, Any]:
    """The same schema, with no key beyond those it names."""
    if "properties" in schema:
        schema["additionalProperties"] = False
        for one in schema["properties"].values():
            strict(one)
    for key in ("items", "additionalProperties"):
        if isinstance(schema.get(key), dict):
            strict(schema[key])
    return schema


@pytest.mark.parametrize("call", CALLS, ids=" ".join)
@pytest.mark.usefixtures("demo")
def test_every_form_is_as_published(call: tuple[str, ...], book: Path) -> None:
    """Every key printed is in the schema, of the type it says; those always there are there."""
    form, *words = call
    words = [str(book) if word == BOOK[1] else word for word in words]
    told = json.loads(CliRunner().invoke(main, [*words, "--json"]).stdout)
    validate(told, form)


BARE = """
format = 1
[vehicle]
class = "one-ton-dual-rear-wheel"
[trailer]
style = "fifth-wheel"
gvwr = "15500 lb"
empty.weight = "12200 lb"
"""
WHOLE = """
format = 1
name = "observing caravan"
country = "GB"
speed = "60 mph"
[vehicle]
class = "mid-size-suv"
gvwr = "2450 kg"
driven = "all"
drive_force = "9 kN"
engine_power = "140 kW"
[hitch]
ball_height = "40 cm"
ball_mount = { drop = "2 in" }
receiver.s_value = "100 kg"
[hitch.jack]
rating = "300 kg"
station = "30 cm"
flange = "50 cm"
retracted = "25 cm"
travel = "30 cm"
[trailer]
style = "centre-axle-caravan"
gvwr = "1500 kg"
empty.weight = "1285 kg"
brakes = true
coupler_height = "41 cm"
[people.driver]
seat = "driver"
[places.front]
on = "trailer"
station = "2 m"
[items.box]
weight = "40 kg"
place = "front"
"""


@pytest.mark.parametrize("text", [BARE, WHOLE], ids=["bare", "whole"])
@pytest.mark.parametrize(
    ("form", "command"),
    [("report", "check"), ("sway", "sway"), ("road", "road"), ("fit", "fit"), ("stow", "stow")],
)
@pytest.mark.usefixtures("demo")
def test_forms_hold_of_rigs_unlike_the_demos(text: str, form: str, command: str) -> None:
    """A rig that states next to nothing, and one that states what no demo rig does, fit as well."""
    Path("rig.toml").write_text(text, encoding="utf-8")
    printed = CliRunner().invoke(main, [command, "rig.toml", "--json"])
    if printed.exit_code != 2:
        told = json.loads(printed.stdout)
        validate(told, form)


def test_every_form_is_tried() -> None:
    """No schema is published that no test holds to what a command prints."""
    assert {call[0] for call in CALLS} == set(FORMS)


def test_the_schemas_are_printed_and_are_schemas() -> None:
    """`steelyard schema FORM` prints each, and a wrong name lists them."""
    for form in FORMS:
        printed = CliRunner().invoke(main, ["schema", form])
        found = json.loads(printed.stdout)
        jsonschema.Draft202012Validator.check_schema(found)
        assert found == form_schema(form)
    wrong = CliRunner().invoke(main, ["schema", "raport"])
    assert wrong.exit_code == 2
    assert 'did you mean "report"?' in wrong.stderr
