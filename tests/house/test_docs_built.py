"""The generated pages are up to date, and the hand-written ones name all there is."""

import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import jsonschema
import pytest
from click.testing import CliRunner
from docs import build

from steelyard.cli import main
from steelyard.files import parse_rig
from steelyard.files.schema import key_words, rig_schema
from steelyard.quantity import parse
from steelyard.typical.sheet import kinds

SCHEMA = rig_schema()
KEYS = [key for table in build.places(SCHEMA) for key in build.keys(SCHEMA, table)]
UNIT = re.compile(r"^(rating|value|sd|margin)_(kg|n|share|ratio|m|mps|fitted)$")


def commands() -> Iterator[tuple[str, click.Command]]:
    """Every command by its name; the group loads them only when asked."""
    context = click.Context(main)
    for name in main.list_commands(context):
        found = main.get_command(context, name)
        assert found is not None
        yield name, found


def page(root: Path, name: str) -> str:
    """The text of a page of docs."""
    return (root / "docs" / name).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "path", ["docs/rig-file.md", "docs/rig.schema.json", "docs/nomenclature.md"]
)
def test_generated_pages_are_up_to_date(root: Path, path: str) -> None:
    """Building a page again gives the page; if not, run `make docs`."""
    assert (root / path).read_text(encoding="utf-8") == build.pages()[path]


def test_where_things_are_names_every_package(root: Path) -> None:
    """docs/where.md lists the packages in the order of the import contract, doors first."""
    settings = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))
    rows = settings["tool"]["importlinter"]["contracts"][0]["layers"]
    due = [name.strip() for row in rows for name in row.split("|")]
    listed = page(root, "where.md").partition("autosummary::")[2].partition("```")[0]
    assert listed.split() == due


def test_parameters_use_the_symbols_of_the_page(root: Path) -> None:
    """A parameter's symbol is one of the page's own; what it is stated at is a key of the file."""
    symbols = page(root, "nomenclature.md").partition(build.MARK)[0]
    named = {cell.strip() for cell in re.findall(r"^\| ([^|]+) \|", symbols, re.MULTILINE)}
    known = {one.strip() for cell in named for one in re.split("[,;=]", cell)}
    assert {kind.symbol for kind in kinds().values()} - known - {""} == set()
    names = {key.name for key in KEYS}
    assert {kind.at.rpartition(".")[2] for kind in kinds().values()} - names == {""}


def test_every_key_has_a_meaning() -> None:
    """A key of the rig file that neither its model nor keys.toml explains is a KeyError."""
    assert all(build.meaning(key) for key in KEYS)


def test_every_quantity_says_where_it_is_found() -> None:
    """A key that takes a number with a unit says where on the real rig to read it (keys.toml)."""
    due = [key for key in KEYS if '"x-dimension"' in json.dumps(key.schema)]
    assert [key.path for key in due if "x-where" not in key.schema] == []


def test_no_word_is_left_over() -> None:
    """What keys.toml says of a key is of a key that exists."""
    paths = {key.path for key in KEYS} | {"title"}
    assert {name for words in key_words().values() for name in words} - paths == set()


@pytest.mark.parametrize(
    "key", [key for key in KEYS if build.inner(key.schema) is None], ids=lambda key: key.path
)
def test_every_key_has_an_example_that_its_schema_takes(key: build.Key) -> None:
    """An example is valid, and one of a quantity is a quantity of its dimension."""
    value = tomllib.loads(f"x = {build.example(key)}")["x"]
    jsonschema.Draft202012Validator({"$defs": SCHEMA["$defs"], **key.schema}).validate(value)
    choices = [key.schema, *key.schema.get("anyOf", ())]
    for dimension in (one["x-dimension"] for one in choices if "x-dimension" in one):
        assert parse(value, dimension).value is not None


def test_the_first_example_is_a_rig(root: Path) -> None:
    """The rig at the top of docs/rig-file.md can be read."""
    text = re.search(r"```toml\n(.*?)```", page(root, "rig-file.md"), re.DOTALL)
    assert text is not None
    assert parse_rig(text[1]).name == "my rig"


def test_every_command_has_its_words_and_its_options(root: Path) -> None:
    """docs/command-line.md has a heading, words and generated options for each command."""
    sections = re.split(r"^## ", page(root, "command-line.md"), flags=re.MULTILINE)
    for name, _ in commands():
        (section,) = [one for one in sections if one.startswith(f"`steelyard {name}")]
        words, _, after = section.partition("```{eval-rst}")
        assert len(words.split()) > 20, name
        assert after.split()[:3] == ["..", "options::", name]


def test_every_option_says_what_it_does() -> None:
    """The reference is made of the help of options; none has none."""
    every = [*commands()]
    every += [
        (n, one) for n, c in every if isinstance(c, click.Group) for one in c.commands.values()
    ]
    silent = [
        (name, option.name)
        for name, command in every
        for option in command.params
        if isinstance(option, click.Option) and not option.help
    ]
    assert silent == []


def test_every_command_is_in_the_readme(root: Path) -> None:
    """README.md has a line for each command."""
    text = (root / "README.md").read_text(encoding="utf-8")
    assert [name for name, _ in commands() if f"| `steelyard {name}" not in text] == []


def test_every_key_of_the_report_is_documented(root: Path) -> None:
    """Each key that `ledger --json` prints stands in docs/report.md."""
    rig = root / "src/steelyard/files/demo/perihelion-camper.toml"
    run = CliRunner().invoke(main, ["ledger", str(rig), "--json", "--stage", "leaving-home"])
    named = set(re.findall(r"`(\w+)`", page(root, "report.md")))
    assert {key for key in report_keys(json.loads(run.output)) if key not in named} == set()


def report_keys(found: Any) -> Iterator[str]:
    """Every key at any depth; a limit's number by the name it has for a weight."""
    if isinstance(found, dict):
        for key, value in found.items():
            yield UNIT.sub(r"\1_kg", key)
            yield from report_keys(value)
    elif isinstance(found, list):
        for value in found:
            yield from report_keys(value)


def test_links_between_pages_hold(root: Path) -> None:
    """A link to a file of the project leads to one."""
    every = [root / "README.md", root / "CONTRIBUTING.md", *(root / "docs").rglob("*.md")]
    dead = [
        f"{at.name}: {link}"
        for at in every
        for link in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", at.read_text(encoding="utf-8"))
        if not (at.parent / link).exists()
    ]
    assert dead == []
