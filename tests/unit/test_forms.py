"""What --json prints is what its published schema says, on every demo rig."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from steelyard.cli import main
from steelyard.files.demo import demo_rigs, demo_tables, demo_tickets
from steelyard.files.forms import FORMS, form_schema

CAMPER, TICKET = "perihelion-camper.toml", "camper-at-the-fuel-stop.toml"
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
)  # fmt: skip


@pytest.fixture
def demo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in a folder with the demo's files."""
    monkeypatch.chdir(tmp_path)
    for name, text in {**demo_rigs(), **demo_tickets(), **demo_tables()}.items():
        Path(name).write_text(text, encoding="utf-8")


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
def test_every_form_is_as_published(call: tuple[str, ...]) -> None:
    """Every key printed is in the schema, of the type it says; those always there are there."""
    form, *words = call
    told = json.loads(CliRunner().invoke(main, [*words, "--json"]).stdout)
    jsonschema.validate(told, form_schema(form))
    jsonschema.validate(told, strict(form_schema(form)))


@pytest.mark.usefixtures("demo")
def test_what_learn_prints_is_as_published() -> None:
    """What `learn` prints of a weighing kept is in its schema, and nothing beyond it."""
    book = ("--logbook", "book.sqlite")
    CliRunner().invoke(main, ["weigh", CAMPER, TICKET, "--log", *book])
    told = json.loads(CliRunner().invoke(main, ["learn", *book, "--json"]).stdout)
    assert told["values"]
    jsonschema.validate(told, form_schema("learned"))
    jsonschema.validate(told, strict(form_schema("learned")))


def test_every_form_is_called() -> None:
    """A published form without a call above would be held to nothing."""
    assert {form for form, *_ in CALLS} | {"learned"} == set(FORMS)


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
