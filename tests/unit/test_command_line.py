"""The command line: exit codes, JSON, new files, the demo."""

import io
import json
import re
import sys
import tomllib
from pathlib import Path
from types import ModuleType
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner, Result

from steelyard.__main__ import run
from steelyard.assessment import assess
from steelyard.assessment.places import on_axles
from steelyard.cli import main, progress
from steelyard.cli.terminal import Emphasis
from steelyard.files import read_rig
from steelyard.files.demo import demo_rigs, demo_tables, demo_tickets

SURE = """format = 1
everything_listed = true
[vehicle]
class = "half-ton-crew-cab"
payload = "{payload}"
[trailer]
style = "rear-living"
[trailer.empty]
weight = "4200 lb"
"""


def _run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words))


@pytest.fixture
def camper(tmp_path: Path) -> Path:
    """The example camper in a file."""
    path = tmp_path / "camper.toml"
    path.write_text(demo_rigs()["perihelion-camper.toml"], encoding="utf-8")
    return path


@pytest.mark.parametrize("command", ["check", "trip", "card", "fit"])
def test_a_ball_of_the_wrong_size_is_seen_by_every_door(tmp_path: Path, command: str) -> None:
    """A 2 in ball stated for a 2 5/16 in coupler can let it lift off: exit 1 from every command,
    and the pair is named."""
    text = demo_rigs()["perihelion-camper.toml"]
    before, ball, after = text.partition("[hitch.ball]\n")
    assert 'size = "2 5/16 in"' in after
    path = tmp_path / "rig.toml"
    path.write_text(before + ball + after.replace("2 5/16 in", "2 in", 1), encoding="utf-8")
    options = ["--to", str(tmp_path / "card.html")] if command == "card" else []
    result = _run(command, str(path), *options)
    assert result.exit_code == 1
    said = result.output if command != "card" else (tmp_path / "card.html").read_text("utf-8")
    assert "ball in the coupler" in " ".join(said.split())


def test_exit_codes(tmp_path: Path, camper: Path) -> None:
    """3 where something is tight or unknown, 1 where something is exceeded, 2 for bad input."""
    assert _run("check", str(camper)).exit_code == 3
    over = tmp_path / "over.toml"
    little = SURE.format(payload="10 lb").replace('"10 lb"', '{ value = "10 lb", sure = true }')
    over.write_text(little, encoding="utf-8")
    assert _run("check", str(over)).exit_code == 1
    unknown = tmp_path / "unknown.toml"
    unknown.write_text(SURE.format(payload="1500 lb"), encoding="utf-8")
    assert _run("check", str(unknown)).exit_code == 3
    missing = _run("check", str(tmp_path / "none.toml"))
    assert missing.exit_code == 2
    assert "Traceback" not in missing.output


def test_every_limit_known_and_roomy_exits_0(camper: Path) -> None:
    """Exit 0 needs every limit within: the camper's first stage, all of whose ratings are known."""
    result = _run("check", str(camper), "--stage", "leaving-home")
    assert result.exit_code == 0, result.output


def test_unknown_is_never_called_within(camper: Path) -> None:
    """Take one rating away and the same stage is no longer called within."""
    text = camper.read_text(encoding="utf-8").replace('gcwr = "15800 lb"', "# gcwr not found")
    camper.write_text(text, encoding="utf-8")
    result = _run("check", str(camper), "--stage", "leaving-home")
    assert result.exit_code == 3
    assert "? unknown" in result.output
    assert "GCWR" in result.output


def test_json_has_the_promised_keys(camper: Path) -> None:
    """The report holds the keys that programs were promised, loads in kilograms."""
    report: dict[str, Any] = json.loads(_run("check", str(camper), "--json").stdout)
    stage = report["stages"][0]
    assert {"weight_kg", "sd_kg", "share", "share_low", "share_high"} <= set(stage["tongue"])
    tongue = assess(read_rig(camper)).stages[0].tongue
    for key, due in (("net", tongue.net_kg), ("ball_contact", tongue.contact_kg)):
        assert stage["tongue"][f"{key}_kg"] == pytest.approx(due.value)
    assert {"name", "weight_kg", "sd_kg"} <= set(stage["axles"][0])
    weights = [limit for limit in stage["limits"] if "value_kg" in limit]
    assert {
        "name",
        "rating_kg",
        "value_kg",
        "margin_kg",
        "chance_exceeded",
        "standing",
        "source",
    } <= set(weights[0])
    assert {"name", "weight_kg", "station_m", "tongue_kg"} <= set(stage["ledger"][0])
    assert report["assumed"]
    rows = sum(row["tongue_kg"] for row in stage["ledger"])
    assert rows == pytest.approx(stage["tongue"]["weight_kg"], abs=1e-6)


def test_text_fits_80_columns_and_carries_the_cautions(camper: Path) -> None:
    """The text for people fits 80 columns in both unit systems and ends with the cautions."""
    for command in ("check", "ledger"):
        for units in ("us", "metric"):
            result = _run(command, str(camper), "--units", units)
            assert max(len(line) for line in result.output.splitlines()) <= 80
            said = " ".join(result.output.split())
            assert "An estimate is not a weighing" in said
            assert "labels, and local law" in said


def test_the_printed_ledger_adds_up_to_the_tongue_weight(camper: Path) -> None:
    """Whatever moves the ball stands in it, the rig's attitude too, and nothing that does not."""
    table = _run("ledger", str(camper)).output.split("As driven")[0]
    *rows, total = (float(one) for one in re.findall(r" ([+-]?[\d,.]+)$", table, re.MULTILINE))
    assert sum(rows) == pytest.approx(total, abs=1.0)
    assert "attitude" in table
    assert "generator" not in table


def test_what_a_thing_puts_on_the_axles_is_its_weight(camper: Path) -> None:
    """Of every row: front, rear and trailer together, no more and no less, bars on."""
    found = assess(read_rig(camper))
    rows = on_axles(found, found.worst_stage.key)
    assert {one.body for one in rows} == {"vehicle", "trailer"}
    for one in rows:
        put = one.front_kg + one.rear_kg + one.trailer_axles_kg
        assert put == pytest.approx(one.kg, abs=1e-6), one.name


def test_new_writes_a_rig_that_reads_and_never_overwrites(tmp_path: Path) -> None:
    """`new` writes a file that `check` reads, states what was answered, and keeps an old file."""
    path = tmp_path / "mine.toml"
    words = [
        "new",
        str(path),
        "--vehicle",
        "mid-size-suv",
        "--trailer",
        "small-single-axle",
        "--empty-weight",
        "2600 lb",
        "--trailer-gvwr",
        "3500 lb",
        "--name",
        'Q"uoted',
    ]
    assert _run(*words).exit_code == 0
    written = path.read_text(encoding="utf-8")
    assert tomllib.loads(written)["trailer"]["empty"]["weight"] == "2600 lb"
    assert _run("check", str(path)).exit_code in (1, 3)
    again = _run(*words)
    assert again.exit_code == 2
    assert path.read_text(encoding="utf-8") == written
    assert [p.name for p in tmp_path.iterdir()] == ["mine.toml"]


def test_new_speaks_the_units_of_its_region(tmp_path: Path) -> None:
    """Outside North America the examples to fill in are metric; the answers stay as given."""
    path = tmp_path / "mine.toml"
    words = ("--vehicle", "car", "--trailer", "rear-living", "--region", "europe")
    assert _run("new", str(path), *words, "--trailer-gvwr", "3300 lb").exit_code == 0
    lines = path.read_text(encoding="utf-8").splitlines()
    shown = [line.split('"')[1] for line in lines if line.startswith("# ") and ' = "' in line]
    assert shown
    assert not [one for one in shown if one.endswith((" lb", " in", " ft", " psi", " mph"))]
    assert any(line.startswith('gvwr = "3300 lb"') for line in lines)


def test_new_refuses_a_wrong_answer_and_writes_nothing(tmp_path: Path) -> None:
    """An answer without its unit is one sentence, and no file appears."""
    path = tmp_path / "mine.toml"
    result = _run(
        "new", str(path), "--vehicle", "car", "--trailer", "boat", "--trailer-gvwr", "3500"
    )
    assert result.exit_code == 2
    assert "with its unit" in result.output
    assert list(tmp_path.iterdir()) == []


def test_demo_writes_every_rig_and_checks_one(tmp_path: Path) -> None:
    """The demo writes all rigs, checks the camper, and leaves a changed file as it is."""
    folder = tmp_path / "demo"
    assert _run("demo", "--into", str(folder)).exit_code == 3
    assert {p.name for p in folder.iterdir()} == {
        *demo_rigs(),
        *demo_tickets(),
        *demo_tables(),
    }
    changed = folder / "perihelion-tractor.toml"
    changed.write_text("mine", encoding="utf-8")
    _run("demo", "--into", str(folder))
    assert changed.read_text(encoding="utf-8") == "mine"


def test_schema_accepts_the_examples_and_refuses_unknown_keys() -> None:
    """The published schema is a valid one, takes every example and refuses a misspelt key."""
    schema = json.loads(_run("schema").stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    for text in demo_rigs().values():
        data = tomllib.loads(text)
        assert list(validator.iter_errors(data)) == []
        data["vehicle"]["wheelbse"] = "3 m"
        assert list(validator.iter_errors(data))


def test_unknown_stage_and_wrong_tight_are_told(camper: Path) -> None:
    """A stage that isn't there names those that are; a chance of 70 % is no threshold."""
    stage = _run("check", str(camper), "--stage", "first-nigt")
    assert stage.exit_code == 2
    assert 'did you mean "first-night"' in stage.output
    assert _run("check", str(camper), "--tight", "70 %").exit_code == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("chek",), "steelyard: no such command 'chek' (see `steelyard --help`)"),
        (("check",), "steelyard check: missing argument 'RIG' (see `steelyard check --help`)"),
        (("check", "--shrt", "x"), "steelyard check: no such option '--shrt' (Did you mean"),
    ],
)
def test_a_slip_in_the_words_is_one_line(words: tuple[str, ...], said: str) -> None:
    """A wrong command, option or nothing where a rig is due: one line, exit 2."""
    found = CliRunner().invoke(main, words, prog_name="steelyard")
    assert found.exit_code == 2
    assert found.stderr.startswith(said)
    assert found.stderr.count("\n") == 1


def test_stopped_by_hand_is_no_verdict(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C ends with a code of its own, and says that what was written is whole."""

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("steelyard.cli.schema.published_schema", stop)
    found = CliRunner().invoke(main, ["schema"])
    assert found.exit_code == 130
    assert "is whole" in found.stderr


def test_stopped_while_it_loads(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ctrl-C before there is a command line ends in the same code and a word, no traceback."""

    class Loading(ModuleType):
        def __getattr__(self, name: str) -> object:
            raise KeyboardInterrupt

    monkeypatch.setitem(sys.modules, "steelyard.cli", Loading("steelyard.cli"))
    with pytest.raises(SystemExit) as stopped:
        run()
    assert stopped.value.code == 130
    assert capsys.readouterr().err == "Stopped.\n"


def test_what_takes_longer_says_how_long_still(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """On a terminal: after two seconds of two steps in four, two are left; the line goes at the
    end. What takes less than a second, or is watched by nobody, says nothing."""
    passed = 0.2
    monkeypatch.setattr(progress, "monotonic", lambda: progress.BEGUN + passed)
    for watched in (False, True):
        monkeypatch.setattr(sys.stderr, "isatty", lambda watched=watched: watched)
        with progress.working(4):
            pass
        assert capsys.readouterr().err == ""
    passed = 2.0
    with progress.working(4) as step:
        step()
        assert "2 of 4 steps, 2 s left" in capsys.readouterr().err
    assert capsys.readouterr().err.strip(" \r") == ""


def test_the_verdict_is_bold_on_a_terminal_alone() -> None:
    """The mark and word that begin a line are bold there, and nothing else is changed."""
    stream = io.StringIO()
    Emphasis(stream).write("rig: ◐ tight: at home\n  limit  ● within\n")
    assert stream.getvalue() == "rig: \x1b[1m◐ tight\x1b[0m: at home\n  limit  ● within\n"


def test_a_shell_learns_the_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`--install-completion bash` writes what bash looks for, and ends."""
    monkeypatch.setenv("HOME", str(tmp_path))
    found = CliRunner().invoke(main, ["--install-completion", "bash"])
    assert found.exit_code == 0
    (script,) = tmp_path.rglob("completions/steelyard")
    assert "_STEELYARD_COMPLETE=bash_complete" in script.read_text("utf-8")


def test_new_asks_again_where_an_answer_cannot_be(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A bare number is refused at its question, in the file's sentence; what was answered stays."""
    monkeypatch.setattr("steelyard.cli.new._at_a_terminal", lambda: True)
    path = tmp_path / "rig.toml"
    answers = ["", "van", "boat", "7000", "7000 lb", "“3500 lb”", *[""] * 9]
    found = CliRunner().invoke(main, ["new", str(path)], input="\n".join(answers) + "\n")
    assert found.exit_code == 0
    assert found.stderr.count("expected a weight with its unit") == 1
    rig = read_rig(path)
    assert rig.vehicle.gvwr is not None
    assert rig.vehicle.gvwr.text == "7000 lb"
    assert rig.vehicle.front.gawr is not None
    assert rig.vehicle.front.gawr.text == "3500 lb"
