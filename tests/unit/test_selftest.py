"""The self-test says what is off on this machine, and nothing else."""

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from steelyard.cli import main
from steelyard.selftest import CHECKS, Check, machine, run
from steelyard.selftest.identity import fingerprint
from steelyard.statics import lever


def asked(*words: str) -> tuple[int, str]:
    """Exit code and form."""
    found = CliRunner().invoke(main, ["selftest", *words])
    return found.exit_code, found.stdout


def test_all_hold_here() -> None:
    """Every check holds on this machine, and the form says what was due, found and from where."""
    code, form = asked("--json")
    told = json.loads(form)
    assert code == 0
    assert told["holds"]
    assert len(told["checks"]) == len(CHECKS) >= 12
    assert all(one["source"] and one["found"] is not None for one in told["checks"])


def test_one_that_is_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """A lever that errs by 1 % is named with what it gave, and the command ends with 1."""
    monkeypatch.setattr("steelyard.cli.selftest.CHECKS", CHECKS[:2])
    right = lever.tongue_weight
    monkeypatch.setattr(lever, "tongue_weight", lambda w, m, s: 1.01 * right(w, m, s))
    code, form = asked()
    assert code == 1
    assert "2 of 2 are OFF" in form
    assert "found 7732.8125 N" in form


@pytest.mark.parametrize(
    "breaking",
    [
        lambda patch: patch.setattr(machine, "_WEIGHTS", tuple(w + 1 for w in machine._WEIGHTS)),
        lambda patch: patch.setattr("steelyard.logbook.store.Logbook.add", lambda *_: 1),
        lambda patch: patch.setattr(machine, "packed", lambda _: replace),
        lambda patch: patch.setattr(machine, "as_pdf", lambda _: b"%PDF no letters"),
        lambda patch: patch.setattr(machine, "shown", lambda *_: "7 lb"),
    ],
    ids=["solver", "logbook", "codes", "fonts", "rounding"],
)
def test_each_part_of_the_machine_can_fail(
    breaking: Callable[[pytest.MonkeyPatch], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever the answers stand on, its breaking is noticed by exactly one check (the last, of the
    page, is of another process, which no breaking here reaches)."""
    breaking(monkeypatch)
    off = [one for one in run(machine.MACHINE[:-1]) if not one.holds]
    assert len(off) == 1


def test_a_page_that_does_not_start_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """An interpreter that ends at once gives no address: by the one check of the page alone."""
    monkeypatch.setattr("sys.executable", "/bin/false")
    assert [one.holds for one in run(machine.MACHINE[-2:])] == [True, False]


def test_a_number_that_is_none() -> None:
    """NaN never holds, and what breaks is a finding with its reason, not an end of the test."""
    odd = Check(
        name="odd", source="none", expected=0.0, tolerance=1.0, unit="", find=lambda: float("nan")
    )
    broken = replace(odd, find=lambda: float("nothing"))
    found = list(run([odd, broken]))
    assert [one.holds for one in found] == [False, False]
    assert found[1].fault == "ValueError: could not convert string to float: 'nothing'"


def test_the_form_says_which_program_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A byte of a table or a file's name makes it another program; what the interpreter leaves
    beside the sources does not. The form shows it."""
    table = tmp_path / "tables" / "typical.toml"
    table.parent.mkdir()
    table.write_bytes(b"a = 1\n")
    seen = [fingerprint(tmp_path)]
    (table.parent / "typical.cpython-311.pyc").write_bytes(b"\0")
    assert fingerprint(tmp_path) == seen[0]
    table.write_bytes(b"a = 2\n")
    seen.append(fingerprint(tmp_path))
    seen.append(fingerprint(table.rename(tmp_path / "typical.toml").parent))
    assert len({*seen}) == 3
    monkeypatch.setattr("steelyard.cli.selftest.CHECKS", CHECKS[:1])
    assert re.search(rf"^files +{fingerprint()}$", asked()[1], re.MULTILINE)
