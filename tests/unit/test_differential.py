"""The net that compares two commits notices what it is for."""

import json
from typing import Any

import pytest
from tests.differential.absurd import text
from tests.differential.calls import calls
from tests.differential.comparer import Allowed, differences, grouped, told
from tests.differential.rigs import rig

from steelyard.files import FileFaultError, parse_rig

TOLERANCE = 1e-12


def record(answer: Any, **changes: Any) -> dict[str, Any]:
    """Give what one side writes of one call."""
    out = answer if isinstance(answer, str) else json.dumps(answer)
    whole = {"rig": 7, "argv": ["check", "rig.toml"], "exit": 0, "stdout": out, "stderr": ""}
    return {**whole, "crash": "", **changes}


def limits(*entries: tuple[str, float]) -> dict[str, Any]:
    """Give a report of named limits."""
    return {"limits": [{"name": name, "room": room} for name, room in entries]}


@pytest.mark.parametrize(
    ("old", "new", "patterns"),
    [
        ({"a": {"b1": 1.0}}, {"a": {"b1": 1.0 + 1e-11}}, ["stdout.a.b*"]),
        ({"a": 1.0}, {"a": None}, ["stdout.a"]),
        ({"a": True}, {"a": 1}, ["stdout.a"]),
        ({"a": "x"}, {"b": "x"}, ["stdout.a", "stdout.b"]),
        ([1, 2], [1], ["stdout.#", "stdout.*"]),
        ("a line\nanother", "a line\nother", ["stdout.line.*"]),
        (limits(("a", 1), ("b", 2)), limits(("b", 2), ("a", 1)), ["stdout.limits.#"]),
    ],
)
def test_a_changed_leaf_is_noticed(old: Any, new: Any, patterns: list[str]) -> None:
    """A number, a kind, a name, a length, a line and an order that change are each told."""
    found = differences(record(old), record(new), TOLERANCE)
    assert [one.pattern for one in found] == patterns


@pytest.mark.parametrize("key", ["exit", "stderr", "crash"])
def test_codes_and_faults_are_noticed(key: str) -> None:
    """Exit code, fault text and a crash are leaves like any other."""
    found = differences(record({}), record({}, **{key: 3 if key == "exit" else "odd"}), TOLERANCE)
    assert [one.pattern for one in found] == [key]


def test_small_changes_pass() -> None:
    """What is left of two large numbers is held to the largest of its kind; NaN is NaN; a clock's
    seconds are nobody's answer."""
    old = {**limits(("a", 3e4), ("b", 1e-3)), "odd": float("nan"), "goal": {"seconds": 1.0}}
    new = {**limits(("a", 3e4), ("b", 1e-3 + 1e-9)), "odd": float("nan"), "goal": {"seconds": 2.0}}
    assert differences(record(old), record(new), TOLERANCE) == []
    assert differences(record(old), record(new), 1e-14) != []


def test_one_more_entry_shifts_no_other() -> None:
    """Entries with names are compared with their namesakes."""
    old, new = limits(("a", 1), ("b", 2)), limits(("new", 5), ("a", 1), ("b", 2))
    found = differences(record(old), record(new), TOLERANCE)
    assert {one.path.split(": ")[1] for one in found} == {
        "stdout.limits.#",
        "stdout.limits.new.name",
        "stdout.limits.new.room",
    }


def test_the_summary_counts_by_path() -> None:
    """A group says how many leaves, how far at most, and one rig; a rule may allow it."""
    found = differences(record({"x": [1.0, 2.0]}), record({"x": [1.1, 2.2]}), TOLERANCE)
    lines = "\n".join(told(grouped(found), 5))
    assert "stdout.x.*: 2 leaves, 1 rigs, by 9.1e-02 at most" in lines
    assert "2.0  ->  2.2" in lines
    assert Allowed(command="check", path="stdout.x*", reason="meant").holds(found[0])
    assert not Allowed(command="sway", path="*", reason="meant").holds(found[0])


def test_rigs_are_the_same_each_time_and_mostly_read() -> None:
    """The same number is the same rig and the same calls; most rigs are read, some refused."""
    assert [text(n, rig(n)) for n in range(30)] == [text(n, rig(n)) for n in range(30)]
    assert [*calls(6, rig(6))] == [*calls(6, rig(6))]
    refused = 0
    for n in range(60):
        try:
            parse_rig(text(n, rig(n)), "rig.toml")
        except FileFaultError:
            refused += 1
    assert 3 <= refused <= 20
