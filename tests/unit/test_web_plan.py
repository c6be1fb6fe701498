"""Finding places on the page: what stays home is told, added up and applied with the moves."""

import tomllib

from tests.unit.test_stow import NOSE

from steelyard.web.acts import ACTS
from steelyard.web.look import Look
from steelyard.web.page import part
from steelyard.web.sections import plan
from steelyard.web.session import Session
from steelyard.web.state import State


def do(session: Session, act: str) -> str:
    """One act, as the page asks for it."""
    found = ACTS[act]
    return found.on(session, found.ask.model_validate({}))


def test_what_stays_home_on_the_page() -> None:
    """Found, shown as the row before the moves, and taken out with them in one step to undo."""
    session = Session(State(data=tomllib.loads(NOSE)), NOSE, None, "nose.toml", None)
    assert "Leave chairs home" in do(session, "find")
    shown = part(plan.SECTION, session.seen(), Look())
    assert "<td>leave chairs home</td>" in shown
    assert "chairs left home" in do(session, "apply")
    assert "chairs" not in session.work.rig.items
    do(session, "undo")
    assert "chairs" in session.work.rig.items


def test_one_of_a_pair_is_taken_out() -> None:
    """What another thing names as its opposite can be left home: nothing names it any longer."""
    session = Session(State(data=tomllib.loads(NOSE)), NOSE, None, "nose.toml", None)
    found = ACTS["remove"]
    found.on(session, found.ask.model_validate({"item": "crate-b"}))
    assert session.work.rig.items["crate-a"].opposite is None
