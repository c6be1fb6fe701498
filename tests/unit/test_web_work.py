"""One rig's work: kept before it counts, held once however many look at it, shared by guests."""

import asyncio
import json
import os
import sqlite3
import threading
import tomllib
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.loops import apart

from steelyard.files.autosave import digest
from steelyard.files.changes import AskError
from steelyard.files.demo import demo_rigs
from steelyard.files.reader import parse_rig
from steelyard.rig import Own
from steelyard.swaying.stage_sway import sway
from steelyard.web import Gate, Start, create_app, live
from steelyard.web.acts import ACTS
from steelyard.web.look import Look
from steelyard.web.page import parts
from steelyard.web.sections import SECTIONS, TOP, edge, limits
from steelyard.web.sections.base import nothing
from steelyard.web.session import Session
from steelyard.web.sessions import LIMIT, MOST, Sessions
from steelyard.web.state import State
from steelyard.web.work import Works
from steelyard.web.worker_process import Apart
from steelyard.words.assessed import chance
from steelyard.words.sway import calms

pytestmark = pytest.mark.usefixtures("few_draws")

HERE = "http://127.0.0.1:8765"
LIVE = "ws://127.0.0.1:8765/live"
CODE = "ABCD2345"


@pytest.fixture
def start(tmp_path: Path) -> Start:
    """A copy of the demo, its logbook beside it."""
    rig = tmp_path / "rig.toml"
    rig.write_text(demo_rigs()["perihelion-camper.toml"], "utf-8")
    return Start(
        text=rig.read_text("utf-8"), name=rig.name, path=rig, logbook=tmp_path / "book.sqlite"
    )


def move(session: Session, to: str, item: str = "bikes") -> str:
    """One act."""
    act = ACTS["move"]
    return act.on(session, act.ask(item=item, to=to))  # type: ignore[call-arg]


def place(session: Session) -> str:
    """Where the bikes are."""
    return str(session.state.data["items"]["bikes"]["place"])


def test_what_cannot_be_kept_is_not_done(start: Start, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk: the act is refused in words, and memory and disk hold the same; when there is
    room again the same act is done."""
    session = Sessions(start).of("x")
    move(session, "bedroom")
    before = session.seen()

    def full(self: object) -> None:
        del self
        raise sqlite3.OperationalError("database or disk is full")

    assert session.keeper is not None
    with monkeypatch.context() as patch:
        patch.setattr(type(session.keeper), "_opened", full)
        with pytest.raises(AskError, match=r"nothing is changed.*disk is full"):
            move(session, "galley")
        with pytest.raises(AskError, match="nothing is changed"):
            session.step(-1)
    assert session.seen() == before
    assert place(Sessions(start).of("x")) == "bedroom"
    move(session, "galley")
    assert place(Sessions(start).of("x")) == "galley"


def test_a_line_outlives_what_cannot_be_kept(start: Start) -> None:
    """A damaged file of unsaved work: each act is refused with a sentence, the tab's line stays,
    and when the file is gone the work goes on from where it was."""
    with TestClient(create_app(start, None, 8765), base_url=HERE) as client:
        client.get("/")
        with client.websocket_connect(LIVE) as line:
            assert "said" in act(line, 1, "bedroom")
            kept = start.path.with_name("rig.toml.autosave")  # type: ignore[union-attr]
            kept.write_bytes(b"no database" * 2000)
            for number in (2, 3):
                found = act(line, number, "galley")
                assert "is damaged" in found["fault"]
                assert found["revision"] == 1
            kept.unlink()
            assert "said" in act(line, 4, "galley")
    assert "galley" in json.dumps(kept_states(kept)[-1]["data"]["items"]["bikes"])


def kept_states(path: Path) -> list[dict[str, Any]]:
    """Every state in a file of unsaved work."""
    link = sqlite3.connect(path)
    rows = link.execute("SELECT state FROM states ORDER BY rowid").fetchall()
    link.close()
    return [json.loads(row[0]) for row in rows]


def act(line: Any, number: int, to: str) -> dict[str, Any]:
    """Move the bikes on a live line, and its answer."""
    ask = {"item": "bikes", "to": to}
    line.send_json({"id": number, "do": "move", "ask": ask, "look": {"open": []}})
    while True:
        found: dict[str, Any] = line.receive_json()
        if found.get("id") == number:
            return found


def test_work_that_is_no_rig_any_more_is_left_for_the_file(start: Start) -> None:
    """What an older version kept may not be read by this one: said, and the file's rig shown."""
    move(Sessions(start).of("x"), "bedroom")
    path = start.path.with_name("rig.toml.autosave")  # type: ignore[union-attr]
    states = kept_states(path)
    for state in states:
        state["data"]["vehicle"] = {"wheels": "round"}
    link = sqlite3.connect(path)
    with link:
        link.execute("DELETE FROM states")
        names = [digest(json.dumps(state)) for state in states]
        rows = [(name, json.dumps(state)) for name, state in zip(names, states, strict=True)]
        link.executemany("INSERT INTO states VALUES (?, ?)", rows)
        link.execute("UPDATE work SET steps = ?", (json.dumps(names),))
    link.close()
    session = Sessions(start).of("x")
    assert "no rig any more" in session.remark
    assert place(session) == "rear-room"


def test_a_bench_that_somebody_holds_is_the_only_one_of_its_secret(start: Start) -> None:
    """A tab whose browser was unseen for long: asked for again, it is the same session, so that
    neither overwrites what the other kept."""
    sessions = Sessions(start)
    mine = sessions.of("mine")
    move(mine, "bedroom")
    for number in range(MOST + 5):
        sessions.of(f"other {number}")
    assert sessions.of("mine") is mine
    move(mine, "galley")
    del mine
    for number in range(MOST + 5):
        sessions.of(f"other {number}")
    again = sessions.of("mine")
    assert place(again) == "galley"
    again.step(-1)
    assert place(again) == "bedroom"


def test_work_that_lies_nowhere_else_is_never_dropped(start: Start) -> None:
    """Where the folder takes no file, work in memory is all there is; newcomers are refused before
    it would be lost."""
    assert start.path is not None
    start.path.with_name("rig.toml.autosave").mkdir()
    sessions = Sessions(start)
    mine = sessions.of("mine")
    assert "cannot be kept" in mine.remark
    move(mine, "bedroom")
    del mine
    with suppress(AskError):
        for number in range(LIMIT + 5):
            sessions.of(f"other {number}")
    assert place(sessions.of("mine")) == "bedroom"


def test_guests_work_on_what_the_owner_shares(start: Start) -> None:
    """On a network all look at one rig; undo says whose step it takes back; only the owner saves
    into the file, unless the owner said that guests may."""
    for guests_save in (False, True):
        own = Start(text=start.text, name="rig.toml", path=start.path, guests_save=guests_save)
        app = create_app(own, Gate(code=CODE), 8765)
        owner = TestClient(app, base_url=HERE, client=("127.0.0.1", 1))
        guest = TestClient(app, base_url=HERE, client=("192.0.2.7", 1))
        guest.post("/enter", data={"code": CODE})
        guest.post("/api/move", json={"item": "bikes", "to": "galley"})
        rig = owner.get("/api/rig").json()
        assert rig["items"]["bikes"]["place"] == "galley"
        assert guest.post("/api/save", json={}).status_code == (200 if guests_save else 409)
        undone = owner.post("/api/undo", json={}).json()["said"]
        assert undone.startswith("Undone, a step of the guest at 192.0.2.7: ")
        assert owner.post("/api/save", json={}).status_code == 200


def test_another_devices_step_is_shown_on_an_open_line(start: Start) -> None:
    """Whoever does it, by whatever door: every tab on the rig is sent the parts that changed."""
    app = create_app(start, Gate(code=CODE), 8765)
    with TestClient(app, base_url=HERE, client=("127.0.0.1", 1)) as owner:
        owner.get("/")
        with owner.websocket_connect(LIVE) as line:
            line.send_json({"id": 1, "look": {"open": ["load"]}})
            line.receive_json()
            owner.post("/api/move", json={"item": "bikes", "to": "galley"})
            while True:
                found = line.receive_json()
                if "load" in found.get("parts", {}):
                    break
            assert found["revision"] == 1
            assert "id" not in found


def test_two_who_see_the_same_are_drawn_once(start: Start) -> None:
    """Two browsers whose rigs hold the same share what follows and the parts made of it; what is
    each one's own, such as undo, is not shared."""
    sessions, look = Sessions(start), Look()
    one, two = sessions.of("one"), sessions.of("two")
    move(one, "galley")
    assert one.work is not two.work
    move(two, "bedroom")
    move(two, "galley")
    assert one.work is two.work
    drawn = [dict(parts(session.seen(), look, slow=False)) for session in (one, two)]
    assert drawn[0]["picture"] is drawn[1]["picture"]
    one.step(-1)
    assert "disabled" in dict(parts(one.seen(), look, slow=False))["tools"]
    assert dict(parts(two.seen(), look, slow=False)) == drawn[1]


class Bare:
    """Nothing of a session but its rig and its name."""

    def __init__(self, session: Session) -> None:
        self.work, self.state, self.name = session.work, session.state, session.name


SHARED = [one for one in (*TOP, *SECTIONS) if one.own is nothing]


@pytest.mark.parametrize("section", SHARED, ids=lambda one: one.name)
def test_a_shared_part_shows_nothing_of_one_bench(start: Start, section: Any) -> None:
    """A section that names nothing of its session's own reads nothing of it."""
    session = Sessions(start).of("x")
    section.facts(Bare(session), Look())


def test_what_is_kept_of_states_is_bounded() -> None:
    """However many states are looked at."""
    works = Works()
    text = demo_rigs()["perihelion-camper.toml"]
    data = tomllib.loads(text)
    for number in range(3 * Works.MOST):
        works.of(State(data={**data, "name": f"rig {number}"}), "rig.toml")
    assert len(works._works) == Works.MOST


def test_slow_work_is_done_in_place_without_a_process_and_not_after_the_end() -> None:
    """Before the application lives there is no process beside it; when it has gone, a sentence."""
    aside = Apart()
    assert aside(max, 1, 2) == 2
    aside.begin()
    assert aside(os.getpid) != os.getpid()
    aside.end()
    with pytest.raises(AskError, match="ending"):
        aside(max, 1, 2)


def test_slow_parts_are_made_once_and_two_at_a_time(
    start: Start, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However many ask: those who ask for the same get one; what nobody waits for any more is not
    begun; what was begun and left keeps its turn, so that threads never pile up."""
    session, look = Sessions(start).of("x"), Look()
    begun: list[str] = []
    running: list[int] = []
    now, go_on = (threading.Lock(), [0]), threading.Event()

    def slow(section: Any, seen: object, look: Look) -> str:
        del section, seen
        with now[0]:
            now[1][0] += 1
            running.append(now[1][0])
            begun.append(look.plot)
        go_on.wait(20)
        with now[0]:
            now[1][0] -= 1
        return look.plot

    monkeypatch.setattr(live, "_slow", slow)

    async def work() -> None:
        desk, seen = live.Desk(), session.seen()
        looks = [look.model_copy(update={"plot": f"plot {n}"}) for n in range(8)]
        tasks = [asyncio.ensure_future(desk.slow(SECTIONS[0], seen, one)) for one in looks]
        same = asyncio.ensure_future(desk.slow(SECTIONS[0], seen, looks[0]))
        while len(begun) < 2:
            await asyncio.sleep(0.01)
        for task in tasks[1:7]:
            task.cancel()
        await asyncio.sleep(0.01)
        go_on.set()
        assert await same == await tasks[0] == "plot 0"
        assert await tasks[7] == "plot 7"

    apart(work())
    assert sorted(begun) == ["plot 0", "plot 1", "plot 7"]
    assert max(running) == 2


def test_own_typical_values_are_asked() -> None:
    """The page answers with the owner's own values where it was given them, as `check` does."""
    trailer = {"style": "rear-living", "gvwr": "7600 lb", "empty": {"weight": "5600 lb"}}
    vehicle = {"class": "half-ton-crew-cab", "gvwr": "7100 lb"}
    state = State(data={"format": 1, "vehicle": vehicle, "trailer": trailer})
    own = {"rear-living": {"options_share": Own(value=0.11, sd=0.02, rigs=14)}}
    shipped, mine = (Works(owned=owned).of(state, "rig.toml") for owned in ({}, own))
    sources = {row.name: row.source for row in mine.found.assumed}
    assert sources["trailer.options"].startswith("from 14 of your own rigs")
    assert mine.found.stages[0].trailer_kg.value > shipped.found.stages[0].trailer_kg.value


def test_work_on_a_file_that_has_changed_since_is_said(start: Start) -> None:
    """The file as it was: taken up without a word. Another version of it on disk: said, and the
    unsaved work is still there."""
    move(Sessions(start).of("x"), "bedroom")
    assert Sessions(start).of("x").remark == ""
    text = start.text.replace('"club pickup"', '"old pickup"')
    start.path.write_text(text, "utf-8")  # type: ignore[union-attr]
    session = Sessions(replace(start, text=text)).of("x")
    assert "has changed on disk since" in session.remark
    assert place(session) == "bedroom"


LOOSE = """format = 1
country = "AU"
[vehicle]
class = "mid-size-suv"
[trailer]
style = "small-single-axle"
gvwr = "1500 kg"
[places.tail]
station = "5 m"
[items.stone]
weight = "150 kg +- 60 kg"
place = "tail"
"""


def test_the_page_tells_of_sway_what_the_command_tells() -> None:
    """The line under the sentence, the section and the trip's curve come of the same draws."""
    seen = Session(State(data=tomllib.loads(LOOSE)), LOOSE, None, "rig.toml", None).seen()
    (found,) = sway(parse_rig(LOOSE))
    line = edge.SECTION.facts(seen, Look())
    assert line["chance"] == chance(found.chance_below)
    assert line["calms"] == calms(found.at_calm)
    assert seen.work.dampings[0].value == float(found.at_damping.value)


def test_a_limit_says_which_way_it_may_fail_and_what_is_counted_is_whole() -> None:
    """A share that may be too small is not over; chains due are two, not 2.00."""
    seen = Session(State(data=tomllib.loads(LOOSE)), LOOSE, None, "rig.toml", None).seen()
    told = limits.SECTION.facts(seen, Look())
    rows = {one["name"]: one for one in (*told["first"], *told["rest"], *told["unknown"])}
    assert rows["tongue-band"]["weigh"] in ("May be below: weigh", "May be outside: weigh")
    assert rows["rules.chains"]["value"] == "1"
    assert rows["rules.chains"]["room"] == "look at how many safety chains are fitted"
