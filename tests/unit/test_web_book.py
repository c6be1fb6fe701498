"""The book of rigs: each rig's work kept before it counts, listed, copied, put away, never lost."""

import json
import re
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.forked import forked

from steelyard.files.changes import AskError
from steelyard.files.demo import demo_rigs
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.rigs import Rigs
from steelyard.logbook.store import Logbook
from steelyard.web import Gate, Start, create_app, server
from steelyard.web.acts import ACTS
from steelyard.web.book import Shelf
from steelyard.web.book.beside import facts as beside
from steelyard.web.book.listing import lines
from steelyard.web.look import Look
from steelyard.web.page import part
from steelyard.web.sections import SECTIONS
from steelyard.web.server import api_routes
from steelyard.web.session import Session
from steelyard.web.work import Works

HERE = "http://127.0.0.1:8765"
CODE = "ABCD2345"
CAMPER = demo_rigs()["perihelion-camper.toml"]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where the book is to lie."""
    return tmp_path / "book.sqlite"


@pytest.fixture
def site(path: Path) -> Iterator[TestClient]:
    """The page of an empty book, asked from this machine."""
    app = create_app(Start(logbook=path), None, 8765)
    with forked(), TestClient(app, base_url=HERE) as client:
        yield client


def asked(site: TestClient, what: str, **ask: object) -> dict[str, object]:
    """An act of the book, which is done."""
    answer = site.post(f"/api/book/{what}", json=ask)
    assert answer.status_code == 200, answer.text
    found: dict[str, object] = answer.json()
    return found


def worked_out(site: TestClient) -> list[dict[str, Any]]:
    """The rigs of the book, asked for until each has a verdict: a busy machine takes turns."""
    found: list[dict[str, Any]] = []
    for _ in range(50):
        found = site.get("/api/book").json()
        if all(one["verdict"] for one in found):
            return found
    raise AssertionError(found)


def place(session: Session) -> str:
    """Where the bikes are."""
    return str(session.state.data["items"]["bikes"]["place"])


def move(session: Session, to: str, key: str = "") -> str:
    """One act."""
    act = ACTS["move"]
    return act.on(session, act.ask(item="bikes", to=to), key=key)  # type: ignore[call-arg]


def test_a_rig_of_the_book_is_kept_at_every_step(path: Path) -> None:
    """Another server finds the rig as it was left, with what can be undone and who did it."""
    shelf = Shelf(path, Works())
    number = shelf.add(CAMPER, owner="Milo Reyes")
    session = shelf.session(number)
    assert shelf.session(number) is session
    move(session, "bedroom")
    move(session, "galley")
    again = Shelf(path, Works()).session(number)
    assert place(again) == "galley"
    again.step(-1)
    assert place(again) == "bedroom"


def test_an_act_sent_twice_is_done_once(path: Path) -> None:
    """The answer was lost with the line: sent again, to a server started anew, it is not done
    again."""
    shelf = Shelf(path, Works())
    number = shelf.add(CAMPER)
    move(shelf.session(number), "bedroom", key="one")
    again = Shelf(path, Works()).session(number)
    again.step(-1)
    was = place(again)
    assert "already" in move(again, "bedroom", key="one")
    assert place(again) == was


def test_two_programs_on_one_rig_do_not_overwrite_each_other(path: Path) -> None:
    """The second is refused, shown what the first did, and goes on from there."""
    one, other = Shelf(path, Works()), Shelf(path, Works())
    number = one.add(CAMPER)
    first, second = one.session(number), other.session(number)
    move(first, "bedroom")
    with pytest.raises(AskError, match="another program has changed this rig"):
        move(second, "galley")
    assert place(second) == "bedroom"
    move(second, "galley")
    assert place(Shelf(path, Works()).session(number)) == "galley"


def test_a_file_goes_in_and_comes_out_as_it_was(site: TestClient) -> None:
    """A rig file taken in and saved again is the same text, comments and all."""
    at = asked(site, "open", text=CAMPER)["at"]
    assert site.get(f"{at}api/rig.toml").text == CAMPER


def test_a_name_is_never_markup(site: TestClient) -> None:
    """Rig, owner and note are shown as they were typed."""
    bad = "<img src=x onerror=alert(1)>"
    whose = {"owner": bad, "note": bad}
    at = asked(site, "new", name=bad, vehicle="car", style="boat", **whose)["at"]
    for page in (site.get("/book").text, site.get(str(at)).text):
        assert "<img" not in page
        assert "&lt;img src=x onerror=alert(1)&gt;" in page


def test_the_second_of_two_who_rename_a_rig_is_told(site: TestClient) -> None:
    """Nobody's name is overwritten unseen; whoever insists may."""
    number = asked(site, "open", text=CAMPER)["rig"]
    asked(site, "rename", rig=number, name="One", was="Perihelion camper")
    ask = {"rig": number, "name": "Two", "was": "Perihelion camper"}
    answer = site.post("/api/book/rename", json=ask)
    assert answer.status_code == 409
    assert 'renamed "One" meanwhile' in answer.json()["fault"]
    assert site.get("/api/book").json()[0]["name"] == "One"
    asked(site, "rename", rig=number, name="Two", was="One")
    assert site.get("/api/book").json()[0]["name"] == "Two"


def test_whose_a_rig_is_is_told_to_this_machine_alone(path: Path) -> None:
    """A guest sees the rigs, but neither owner nor note, unless the owner said so."""
    Shelf(path, Works()).add(CAMPER, owner="Milo Reyes", note="plate 123")
    for see in (False, True):
        gate = Gate(code=CODE, guests_see_owners=see)
        app = create_app(Start(logbook=path), gate, 8765)
        there = TestClient(app, base_url=HERE, client=("192.0.2.7", 1))
        with there as guest:
            guest.post("/enter", data={"code": CODE})
            texts = [guest.get(at).text for at in ("/book", "/book?find=milo", "/api/book")]
            assert "Perihelion camper" in texts[0]
            assert [("Milo" in text) for text in texts] == [see, see, see]
            assert ("Perihelion camper" in texts[1]) is see


def test_a_guest_of_one_rig_file_does_not_see_the_book(tmp_path: Path, path: Path) -> None:
    """What the owner shares is the rig that was opened."""
    number = Shelf(path, Works()).add(CAMPER)
    rig = tmp_path / "rig.toml"
    rig.write_text(CAMPER, "utf-8")
    start = Start(text=CAMPER, name=rig.name, path=rig, logbook=path)
    app = create_app(start, Gate(code=CODE), 8765)
    there = TestClient(app, base_url=HERE, client=("192.0.2.7", 1))
    with there as guest:
        guest.post("/enter", data={"code": CODE})
        assert guest.get("/").status_code == 200
        for at in ("/book", "/api/book", f"/rig/{number}/", f"/rig/{number}/api/rig"):
            assert guest.get(at).status_code == 403, at


def test_the_list_finds_sorts_and_counts(site: TestClient) -> None:
    """Words find a rig by name, owner, note or make-up; a verdict shows its own; the archived are
    out of sight and come back."""
    for text, owner in zip(demo_rigs().values(), ("Ada", "Milo", "Noor"), strict=True):
        asked(site, "open", text=text, owner=owner, note="plate 7" if owner == "Noor" else "")
    listed = {one["owner"]: one for one in worked_out(site)}
    assert len(listed) == 3

    def shown(query: str) -> list[str]:
        page = site.get(f"/book/list?{query}").text
        places = [(page.find(f">{who}<"), who) for who in listed]
        return [who for at, who in sorted(places) if at >= 0]

    assert "more: say which in the search" not in site.get("/book/list").text
    assert shown("sort=owner") == ["Ada", "Milo", "Noor"]
    assert shown("find=PLATE+7") == ["Noor"]
    assert shown("find=nothing+like+it") == []
    verdict = listed["Ada"]["verdict"]
    alike = sorted(who for who, one in listed.items() if one["verdict"] == verdict)
    assert shown(f"sort=owner&show={verdict}") == alike
    asked(site, "away", rig=listed["Milo"]["rig"])
    assert shown("sort=owner") == ["Ada", "Noor"]
    assert shown("show=archived") == ["Milo"]
    asked(site, "away", rig=listed["Milo"]["rig"], away=False)
    assert len(shown("")) == 3


def test_a_damaged_rig_is_named_and_the_others_stay(site: TestClient, path: Path) -> None:
    """A row or a state that is not as it was written is never shown; its last sound state comes
    back as a copy."""
    numbers = [asked(site, "open", text=text)["rig"] for text in demo_rigs().values()]
    assert worked_out(site)[0]["verdict"] == "tight"
    link = sqlite3.connect(path)
    link.execute("UPDATE rig SET glance = replace(glance, 'tight', 'within') WHERE id = 1")
    link.execute("UPDATE rig SET owner = 'another' WHERE id = 2")
    link.execute("UPDATE rig_state SET state = replace(state, 'lb', 'kg') WHERE rig = 3")
    link.commit()
    link.close()
    assert [one["rig"] for one in worked_out(site)] == numbers[2:]
    page = site.get("/book/list").text
    for number in (1, 2):
        assert f"Rig {number} of the book is damaged" in page
    assert [site.get(f"/rig/{n}/api/rig").status_code for n in (2, 3)] == [409, 409]
    copy = asked(site, "copy", rig=2)
    assert site.get(f"{copy['at']}api/rig").json()["name"] == "Perihelion observatory, copy"


@pytest.mark.parametrize("what", ["copy", "away", "describe", "rename"])
def test_a_rig_that_is_not_there_is_told_in_a_sentence(site: TestClient, what: str) -> None:
    """409 and which number was found, whatever is asked of it."""
    ask = {"owner": "", "note": "", "was": {}} if what == "describe" else {}
    ask = {"name": "One", "was": ""} if what == "rename" else ask
    answer = site.post(f"/api/book/{what}", json={"rig": 99, **ask})
    assert answer.status_code == 409
    assert "found 99" in answer.json()["fault"]


def test_an_address_that_no_page_gives_is_told_in_a_sentence(path: Path) -> None:
    """A number beyond what a database counts is of no rig; an order that there is not, none."""
    app = create_app(Start(logbook=path), None, 8765)
    with TestClient(app, base_url=HERE, raise_server_exceptions=False) as site:
        for number in (10**30, -(10**30)):
            for at in ("rig/{}/", "rig/{}/walk", "rig/{}/api/rig", "book/match/{}"):
                assert site.get(f"/{at.format(number)}").status_code == 409, at
        for at in ("/book", "/book/list"):
            answer = site.get(f"{at}?sort=zzz")
            assert answer.status_code == 422
            assert "sort" in answer.json()["fault"]


def test_a_verdict_is_never_that_of_another_state(path: Path) -> None:
    """What the list shows is dropped with the step that changes the rig."""
    rigs = Rigs(path)
    shelf = Shelf(path, Works())
    number = shelf.add(CAMPER)
    rigs.glanced(number, 0, json.dumps({"by": "x"}))
    move(shelf.session(number), "bedroom")
    assert rigs.row(number).glance == ""
    rigs.glanced(number, 0, json.dumps({"by": "late"}))
    assert rigs.row(number).glance == ""


def test_a_book_of_a_newer_version_is_left_as_it_is(site: TestClient, path: Path) -> None:
    """The page says so in a sentence, and nothing is written."""
    asked(site, "open", text=CAMPER)
    link = sqlite3.connect(path)
    link.execute("PRAGMA user_version = 99")
    link.close()
    before = path.read_bytes()
    with TestClient(create_app(Start(logbook=path), None, 8765), base_url=HERE) as other:
        answer = other.get("/api/book")
        assert answer.status_code == 409
        assert "a newer steelyard wrote it" in answer.json()["fault"]
        assert "a newer steelyard wrote it" in other.get("/book").text
    assert path.read_bytes() == before


def test_a_full_disk_refuses_and_loses_nothing(path: Path) -> None:
    """The act is refused in words; memory and book hold the same, and when there is room again the
    same act is done."""
    shelf = Shelf(path, Works())
    number = shelf.add(CAMPER)
    session = shelf.session(number)
    move(session, "bedroom")
    with shelf.rigs._open() as link:
        link.execute("PRAGMA max_page_count = 1")
    refused, before = "", session.seen()
    for n in range(400):
        before = session.seen()
        try:
            move(session, ("galley", "bedroom")[n % 2])
        except AskError as error:
            refused = str(error)
            break
    assert "nothing is changed" in refused
    assert "full" in refused
    assert session.seen() == before
    assert place(Shelf(path, Works()).session(number)) == place(session)
    with shelf.rigs._open() as link:
        link.execute("PRAGMA max_page_count = 100000")
    move(session, "galley" if place(session) == "bedroom" else "bedroom")


def test_a_logbook_of_version_4_becomes_the_book(path: Path) -> None:
    """Weighings that were there stay, and rigs can be put beside them."""
    from tests.logbooks import made

    from steelyard.logbook.migrations import MIGRATIONS

    with Logbook.open(path, MIGRATIONS[:4]) as book:
        book.add(made("one"))
    rigs = Rigs(path)
    assert rigs.rows() == ((), ())
    number = rigs.add("a rig", "{}")
    assert rigs.row(number).name == "a rig"
    with Logbook.open(path) as book:
        assert len(book.all()) == 1


def test_a_book_that_is_taken_away_is_not_written_into(path: Path) -> None:
    """An act on a rig whose book was removed is refused, not said to be done."""
    shelf = Shelf(path, Works())
    session = shelf.session(shelf.add(CAMPER))
    for one in path.parent.glob("book.sqlite*"):
        one.unlink()
    with pytest.raises(AskError, match="nothing is changed"):
        move(session, "bedroom")
    with pytest.raises(LogbookError):
        shelf.rigs.row(1)


def test_the_second_of_two_who_write_one_value_is_told(path: Path) -> None:
    """A value and a reading: what somebody else has written since it was shown stays, unless it is
    said again knowing that; the same value from both is no quarrel."""
    shelf = Shelf(path, Works())
    session = shelf.session(shelf.add(CAMPER))

    def do(name: str, **ask: str) -> str:
        act = ACTS[name]
        return act.on(session, act.ask(**ask))

    field = {"at": "vehicle.gvwr"}
    shown = str(session.state.data["vehicle"]["gvwr"])
    do("state", **field, value="7300 lb", was=shown)
    with pytest.raises(AskError, match="“7300 lb” here meanwhile"):
        do("state", **field, value="7100 lb", was=shown)
    do("state", **field, value="7100 lb", was="7300 lb")
    do("state", **field, value="7100 lb", was=shown)
    assert session.state.data["vehicle"]["gvwr"] == "7100 lb"
    reading = {"arrangement": "bars-on", "what": "platform:front", "unit": "lb"}
    do("read", **reading, value="3080", was="")
    with pytest.raises(AskError, match="“3080 lb” here meanwhile"):
        do("read", **reading, value="3100", was="")
    do("read", **reading, value="3100", was="3080")
    assert session.state.ticket is not None
    (row,) = session.state.ticket["passes"]["bars on"]["readings"]
    assert row["weight"] == "3100 lb"


def test_readings_that_do_not_agree_are_no_ground_for_a_verdict(path: Path) -> None:
    """Front and rear swapped on the ticket: the list says so, and nothing is within."""
    shelf = Shelf(path, Works())
    session = shelf.session(shelf.add(CAMPER))
    act = ACTS["read"]
    for axle, value in (("front", "3540"), ("rear", "3200")):
        ask = {"arrangement": "bars-on", "what": f"platform:{axle}", "value": value, "unit": "lb"}
        act.on(session, act.ask.model_validate({**ask, "stage": "leaving-home"}))
    ((line,), _) = lines(shelf)
    assert line.glance is not None
    assert line.glance.verdict == "unknown"
    assert line.glance.decides.endswith("is asked")
    assert not line.glance.weighed
    assert beside(shelf, 1, shelf.add(CAMPER))["heads"][0]["mark"] == "? unknown"
    act = ACTS["state"]
    act.on(session, act.ask.model_validate({"at": "trailer.gvwr", "value": "6000 lb"}))
    ((over, *_), _) = lines(shelf)
    assert over.glance is not None
    assert over.glance.verdict == "exceeded"  # graver than not known, and the page says so


def test_a_share_that_the_readings_do_not_tell_is_not_called_weighed(path: Path) -> None:
    """The vehicle alone on the scale says nothing of the tongue: its dot stays open."""
    shelf = Shelf(path, Works())
    session = shelf.session(shelf.add(CAMPER))
    act = ACTS["read"]
    ask = {"arrangement": "vehicle-alone", "what": "platform:front", "value": "3260", "unit": "lb"}
    act.on(session, act.ask.model_validate({**ask, "stage": "leaving-home"}))
    ((line,), _) = lines(shelf)
    assert line.glance is not None
    assert line.glance.verdict != "unknown"
    assert not line.glance.weighed


def test_rigs_of_one_name_are_told_apart_beside_another(path: Path) -> None:
    """Two rigs of one name are two choices that read differently."""
    shelf = Shelf(path, Works())
    first, second, third = (shelf.add(CAMPER) for _ in range(3))
    names = [name for _, name in beside(shelf, first, None)["choices"]]
    assert len(set(names)) == len((second, third))


def test_a_vehicle_is_matched_with_every_trailer_of_the_book(site: TestClient) -> None:
    """Each rig's trailer stands in one of the lists, or why it is left out; the archived do not."""
    for text in demo_rigs().values():
        asked(site, "open", text=text)
    page = site.get("/book/match/1").text
    names = ("Perihelion camper", "Perihelion observatory", "Perihelion tractor")
    assert [page.count(f"<li><b>{name}</b>") for name in names] == [1, 1, 1]
    asked(site, "away", rig=2)
    page = site.get("/book/match/1?with=vehicles").text
    assert [page.count(f"<li><b>{name}</b>") for name in names] == [1, 0, 1]
    assert site.get("/book/match/99").status_code == 409


def test_the_lot_speaks_the_words_of_whose_book_line_it_is(site: TestClient) -> None:
    """An Australian's vehicle with a trailer that came with an American rig: no GVWR, no tires; a
    ball that is not the coupler's size does not fit by so much, it is not over a rating."""
    sizes = '[hitch]\n{0} = {{ size = "{1}" }}\n'
    for country, end, size in (("AU", "ball", "50 mm"), ("US", "coupler", "2 5/16 in")):
        text = f'format = 1\nname = "{country}"\ncountry = "{country}"\n'
        text += '[vehicle]\nclass = "mid-size-suv"\ngvwr = "2900 kg"\n' + sizes.format(end, size)
        text += '[trailer]\nstyle = "small-single-axle"\ngvwr = "1500 kg"\n'
        asked(site, "open", text=text)
    told = re.sub("<[^>]*>", " ", site.get("/book/match/1").text)
    assert "not fitting, by" in told
    assert not re.search(r"tires?\b|GVWR|mm over its", told)


def test_the_lot_speaks_as_the_other_file_where_its_own_says_nothing(site: TestClient) -> None:
    """A vehicle of no stated country with a trailer rated in Australia: ATM, and kilograms."""
    for name, country in (("tow", ""), ("towed", 'country = "AU"\n')):
        text = f'format = 1\nname = "{name}"\n{country}'
        text += '[vehicle]\nclass = "mid-size-suv"\ngvwr = "2900 kg"\n'
        text += '[trailer]\nstyle = "small-single-axle"\ngvwr = "1500 kg"\n'
        asked(site, "open", text=text)
    told = site.get("/book/match/1").text
    pair = re.sub("<[^>]*>", " ", told[told.rindex("towed") :])
    assert "ATM" in pair
    assert re.findall(r"\d (kg|lb)", pair)[0] == "kg"


def test_two_rigs_of_the_book_stand_side_by_side(site: TestClient, path: Path) -> None:
    """In the book, and among what a rig's page is held against; what differs adds up on both."""
    for text in list(demo_rigs().values())[:2]:
        asked(site, "open", text=text)
    page = site.get("/book/beside/1?with=2").text
    assert page.count("<figure") == 4
    assert "puts" in page
    section = next(one for one in SECTIONS if one.name == "explain")
    assert site.get("/book/beside/1").text.count("<option") == 1
    shelf = Shelf(path, Works())
    html = part(section, shelf.session(1).seen(), Look(choice={"against": "rig:2"}))
    assert '<option value="rig:2" selected>the rig Perihelion observatory' in html
    assert "puts" in html


def test_the_calls_are_built_once_for_both_addresses(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Those on the file that was opened and those on a rig of the book are the same; building them
    is most of the work of beginning to serve."""
    built = []

    def routes(*asked: Any) -> Any:
        built.append(asked)
        return api_routes(*asked)

    monkeypatch.setattr(server, "api_routes", routes)
    app = create_app(Start(logbook=tmp_path / "book.sqlite"))
    assert len(built) == 1
    with TestClient(app, base_url="http://127.0.0.1") as client:
        told = client.post("/rig/abc/api/undo", json={})
    assert told.status_code == 422
    assert "'abc'" in told.json()["fault"]
