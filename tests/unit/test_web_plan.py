"""Finding places on the page: what stays home is told, added up and applied with the moves."""

import tomllib

from tests.unit.test_stow import NOSE

from steelyard.web.acts import ACTS
from steelyard.web.bench import Bench
from steelyard.web.look import Look
from steelyard.web.page import part
from steelyard.web.sections import plan
from steelyard.web.state import State


def do(bench: Bench, act: str) -> str:
    """One act, as the page asks for it."""
    found = ACTS[act]
    return found.on(bench, found.ask.model_validate({}))


def test_what_stays_home_on_the_page() -> None:
    """Found, shown as the row before the moves, and taken out with them in one step to undo."""
    bench = Bench(State(data=tomllib.loads(NOSE)), NOSE, None, "nose.toml", None)
    assert "Leave chairs home" in do(bench, "find")
    shown = part(plan.SECTION, bench.seen(), Look())
    assert "<td>leave chairs home</td>" in shown
    assert "chairs left home" in do(bench, "apply")
    assert "chairs" not in bench.work.rig.items
    do(bench, "undo")
    assert "chairs" in bench.work.rig.items


def test_one_of_a_pair_is_taken_out() -> None:
    """What another thing names as its opposite can be left home: nothing names it any longer."""
    bench = Bench(State(data=tomllib.loads(NOSE)), NOSE, None, "nose.toml", None)
    found = ACTS["remove"]
    found.on(bench, found.ask.model_validate({"item": "crate-b"}))
    assert bench.work.rig.items["crate-a"].opposite is None
