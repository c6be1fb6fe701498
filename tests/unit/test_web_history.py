"""A rig's history: each weighing as it stood then, and what changed between."""

import re
from typing import Any

import pytest

from steelyard.drawing.history import history_picture
from steelyard.files.demo import demo_rigs
from steelyard.web.acts import ACTS
from steelyard.web.book import Shelf
from steelyard.web.history import told
from steelyard.web.look import Look
from steelyard.web.page import part
from steelyard.web.sections import SECTIONS
from steelyard.web.session import Session
from steelyard.web.work import Works
from steelyard.words.changes import changes

READ = (("front", "3200"), ("rear", "3540"), ("trailer", "5360"))


def do(session: Session, what: str, /, **ask: Any) -> str:
    """One act."""
    return ACTS[what].on(session, ACTS[what].ask.model_validate(ask))


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> Session:
    """The camper in a book: weighed, its bikes moved, weighed again under another name, moved."""
    shelf = Shelf(tmp_path_factory.mktemp("book") / "book.sqlite", Works())
    session = shelf.session(shelf.add(demo_rigs()["perihelion-camper.toml"]))
    weigh(session)
    do(session, "move", item="bikes", to="bedroom")
    do(session, "set", path=["name"], value="Renamed")
    do(session, "forget")
    weigh(session)
    do(session, "move", item="bikes", to="galley")
    return session


def weigh(session: Session) -> None:
    """Three readings."""
    for axle, value in READ:
        what = {"what": f"platform:{axle}", "value": value, "unit": "lb"}
        do(session, "read", arrangement="bars-on", stage="leaving-home", **what)


def test_every_weighing_of_the_rig_is_there_whatever_it_was_called(session: Session) -> None:
    """First as it came into the book, two weighings, and as it is now; what changed between."""
    found, trouble = told(session.seen())
    assert trouble == ""
    moments = [one.moment for one in found]
    assert [one.weighed for one in moments if one] == [False, True, True, False]
    assert [bool(one.changed) for one in moments if one] == [False, False, True, True]
    assert moments[2] is not None
    assert "moved to" in moments[2].changed[0]


def test_a_weighing_shows_what_the_scale_said(session: Session) -> None:
    """Axle loads in the light of readings lie by the readings (3,200 and 3,540 lb within the
    scale's own 1 %), and nearer than the estimate; their spread is narrower."""
    found, _ = told(session.seen())
    before, after = found[0].moment, found[1].moment
    assert before is not None
    assert after is not None
    pound = 0.45359237
    for name, read in (("front axle", 3200), ("rear axle", 3540)):
        spread, rating = after.loads[name]
        assert spread.value / pound == pytest.approx(read, rel=0.01)
        assert spread.sd < before.loads[name][0].sd
        assert rating is not None


def test_the_picture_fills_what_was_weighed(session: Session) -> None:
    """Four moments in each of four panels: filled dots weighed, open ones estimated."""
    section = next(one for one in SECTIONS if one.name == "history")
    for wide in (True, False):
        page = part(section, session.seen(), Look(wide=wide))
        fills = re.findall(r'<circle[^>]* r="5.5"[^>]* fill="var\(--(\w+)', page)
        assert fills == ["paper", "ink", "ink", "paper"] * 4


def test_a_rig_is_taken_up_as_it_was_weighed(session: Session) -> None:
    """The bikes are where they were; undo brings the rig back as it is now."""
    place = session.state.data["items"]["bikes"]["place"]
    numbers = [one.number for one in told(session.seen())[0] if one.number]
    do(session, "resume", number=numbers[0])
    original = demo_rigs()["perihelion-camper.toml"]
    assert f'place = "{session.state.data["items"]["bikes"]["place"]}"' in original
    do(session, "undo")
    assert session.state.data["items"]["bikes"]["place"] == place


def test_what_changed_is_told_by_name() -> None:
    """Things moved, put in, taken out, reweighed; values said, changed, no longer said."""
    before = {
        "items": {
            "bikes": {"weight": "96 lb", "place": "rear-room"},
            "tools": {"weight": "60 lb", "place": "bed"},
        },
        "places": {"rear-room": {}, "bed": {"title": "Pickup bed"}},
        "vehicle": {"gvwr": "7200 lb"},
        "name": "One",
    }
    after = {
        "items": {
            "bikes": {"weight": "99 lb", "place": "bed"},
            "awning": {"weight": "30 lb", "place": "rear-room"},
        },
        "places": before["places"],
        "vehicle": {"gvwr": {"value": "7300 lb", "sure": True}, "payload": "1790 lb"},
        "name": "Two",
    }
    assert set(changes(before, after)) == {
        "bikes moved to Pickup bed",
        "bikes: 96 lb → 99 lb",
        "awning put in rear room",
        "tools taken out",
        "vehicle gvwr: 7200 lb → 7300 lb",
        "vehicle payload: unsaid → 1790 lb",
    }
    assert changes(after, after) == ()


def test_each_moment_has_its_small_rig(session: Session) -> None:
    """The picture draws the rig once a moment; what was moved since the one before is filled there,
    and no pile goes through a roof."""
    found = [one.moment for one in told(session.seen())[0] if one.moment is not None]
    assert [sorted(one.moved) for one in found] == [[], [], ["bikes"], ["bikes"]]
    drawn = history_picture("the camper", found, "us", wide=True)
    assert drawn.count('transform="translate(') == len(found)
    for one in found:
        bikes = next(thing for thing in one.things if thing.name == "bikes")
        assert (bikes.drawn(one.moved) == bikes.drawn(())) is ("bikes" not in one.moved)
        assert all(thing.tall - thing.foot < one.outline.above for thing in one.things)
