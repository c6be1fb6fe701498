"""Readings on the page: typed one by one, judged, kept in the logbook, in and out as files."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient

from steelyard.cli import main
from steelyard.files import demo, parse_rig
from steelyard.files.changes import AskError
from steelyard.logbook.store import Logbook
from steelyard.quantity import POUND
from steelyard.web import Gate, Start, create_app
from steelyard.web.acts import ACTS
from steelyard.web.look import Look
from steelyard.web.page import part
from steelyard.web.readings import forms
from steelyard.web.sections import SECTIONS, TOP
from steelyard.web.session import Session
from steelyard.web.sessions import Sessions

pytestmark = pytest.mark.usefixtures("few_draws")

DEMO = Path(demo.__file__).parent
RIG, TICKET = DEMO / "perihelion-camper.toml", DEMO / "camper-at-the-fuel-stop.toml"
TYPED = (
    ("bars-on", "platform:front", "3200", "lb"),
    ("bars-on", "platform:rear", "3540", "lb"),
    ("bars-on", "platform:trailer", "5,360", "lb"),
    ("bars-off", "platform:front", "3060", "lb"),
    ("bars-off", "platform:rear", "3780 lb", None),
    ("bars-off", "platform:trailer", "5260", "lb"),
    ("bars-off", "hitch-scale:shank", "680", "lb"),
    ("vehicle-alone", "platform:front", "3340", "lb"),
    ("vehicle-alone", "platform:rear", "2820", "lb"),
    ("vehicle-alone", "fender-height:rear", "37,6", "in"),
)
"""What the demo's ticket holds, as a person types it; a decimal comma among it."""


def act(session: Session, name: str, /, **ask: Any) -> str:
    """Do an act as the page does."""
    return ACTS[name].on(session, ACTS[name].ask.model_validate(ask))


def type_in(session: Session, count: int = len(TYPED)) -> None:
    """Type the first so many of the demo's readings."""
    for arrangement, what, value, unit in TYPED[:count]:
        step = "20 lb" if what.startswith("platform") else None
        asked = {"arrangement": arrangement, "what": what, "value": value, "unit": unit}
        act(session, "read", **asked, stage="leaving-home", step=step)


def shown(session: Session, name: str = "weigh", **choice: str) -> str:
    """A section as it is shown."""
    section = next(one for one in SECTIONS if one.name == name)
    return part(section, session.seen(), Look(choice=choice))


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A session on the demo's camper, with a logbook of its own."""
    rig = tmp_path / "rig.toml"
    rig.write_text(RIG.read_text("utf-8"), "utf-8")
    text = rig.read_text("utf-8")
    start = Start(text=text, name="rig.toml", path=rig, logbook=tmp_path / "log" / "book.sqlite")
    return Sessions(start).of("somebody")


def entries(session: Session, **asked: Any) -> list[int]:
    """How many readings each weighing in the logbook's list has."""
    assert session.running.path is not None
    with Logbook.open(session.running.path) as book:
        return [line.readings for line in book.list(**asked)]


def test_typed_equals_the_command(session: Session) -> None:
    """Typed one by one, the ten readings tell what `steelyard weigh` tells of the same ticket."""
    type_in(session)
    run = CliRunner().invoke(main, ["weigh", str(RIG), str(TICKET), "--json"])
    theirs = json.loads(run.stdout)
    ours = session.work.reconciled
    assert ours.whole.chi_square == pytest.approx(theirs["chi_square"], rel=1e-9)
    for mine, other in zip(ours.readings, theirs["readings"], strict=True):
        assert mine.predicted == pytest.approx(other["expected_si"], rel=1e-9)
        assert mine.standardised == pytest.approx(other["standardised"], rel=1e-6)
    for stage, other in zip(session.work.found.stages, theirs["after"]["stages"], strict=True):
        assert stage.tongue.share.best == pytest.approx(other["tongue"]["best_share"], rel=1e-9)
        assert stage.tongue.share.sd == pytest.approx(other["tongue"]["sd_share"], rel=1e-2)
    page = " ".join(shown(session).split())
    assert "The readings agree" in page
    for other in theirs["readings"]:
        if other["dimension"] == "mass":
            others = (other["read_si"] - other["error_si"]) / POUND
            assert re.search(rf"{others:,.0f} ± [\d,]+ lb by all else", page), others


def test_how_the_trailer_stood(session: Session) -> None:
    """A jack behind the ball and a low coupler, said on the page, give what a ticket that says so
    gives; emptied again, the pass is as before."""
    with pytest.raises(AskError, match="type a reading first"):
        act(session, "stand", stage="leaving-home", support_station="20")
    asked = {"arrangement": "trailer-alone", "stage": "leaving-home", "unit": "lb"}
    act(session, "read", what="platform:trailer", value="5240", **asked)
    assert "Jack behind the ball" in shown(session, weigh="trailer-alone")
    before = session.work.found.stages[0].tongue.share.value
    act(session, "stand", stage="leaving-home", support_station="36", coupler_height="20 in")
    with pytest.raises(AskError, match="jack behind the ball"):
        act(session, "stand", stage="leaving-home", support_station="near")
    told = (
        'ticket = 1\n[passes.alone]\narrangement = "trailer-alone"\nstage = "leaving-home"\n'
        'support_station = "36 in"\ncoupler_height = "20 in"\n'
        'readings = [{ kind = "platform", axles = ["trailer"], weight = "5240 lb" }]\n'
    )
    said = session.work.found.stages[0].tongue.share
    assert said.value != pytest.approx(before, rel=1e-4)
    act(session, "ticket", text=told)
    assert session.work.found.stages[0].tongue.share.value == pytest.approx(said.value, rel=1e-9)
    act(session, "undo")
    act(session, "stand", stage="leaving-home")
    assert session.work.found.stages[0].tongue.share.value == pytest.approx(before, rel=1e-9)


def test_written_down_at_once(session: Session) -> None:
    """Each reading is in the logbook when its act returns; the list shows the weighing once, and
    nothing written before is lost."""
    for count in (1, 2, 3):
        arrangement, what, value, unit = TYPED[count - 1]
        act(session, "read", arrangement=arrangement, what=what, value=value, unit=unit)
        assert entries(session) == [count]
    assert sorted(entries(session, on_the_way=True)) == [1, 2, 3]
    act(session, "undo")
    assert entries(session) == [2]
    act(session, "redo")
    assert entries(session) == [3]
    act(session, "forget")
    act(session, "read", arrangement="bars-off", what="platform:all", value="12100", unit="lb")
    assert entries(session) == [3, 1]
    act(session, "undo")
    assert entries(session) == [3]


def test_kept_runs_come_back_from_a_file(session: Session, tmp_path: Path) -> None:
    """A logbook brought over as JSON lists running weighings as the first did."""
    from steelyard.logbook.exchange import from_json, to_json

    type_in(session, 4)
    act(session, "undo")
    assert session.running.path is not None
    with Logbook.open(session.running.path) as book:
        text = to_json(book.all())
    with Logbook.open(tmp_path / "other.sqlite") as other:
        other.bring_in(from_json(text))
        assert [line.readings for line in other.list()] == [3]
        assert sorted(line.readings for line in other.list(on_the_way=True)) == [1, 2, 3, 4]


def test_a_logbook_that_cannot_be_written(tmp_path: Path) -> None:
    """The reading counts all the same, and the section says that it was not written down."""
    (tmp_path / "a file").write_text("", "utf-8")
    start = Start(
        text=RIG.read_text("utf-8"), name="rig.toml", logbook=tmp_path / "a file" / "book.sqlite"
    )
    session = Session(Sessions(start).of("x").state, start.text, None, "rig", None, start.logbook)
    type_in(session, 1)
    assert session.work.reconciled.whole.degrees == 1
    assert "Not written to the logbook" in shown(session)


def test_corrected_and_suspected(session: Session) -> None:
    """A pad misread by 900 lb is named; typed right in the same field, all agree again."""
    type_in(session)
    wrong = {"arrangement": "bars-off", "what": "platform:rear", "stage": "leaving-home"}
    said = act(session, "read", **wrong, value="4680", unit="lb", step="20 lb")
    assert "does not belong" in said
    assert said.startswith("bars off: rear axle 4680 lb instead of 3780 lb")
    assert "Suspect: “bars off: rear axle”" in shown(session)
    act(session, "read", **wrong, value="3780", unit="lb", step="20 lb")
    assert session.work.reconciled.suspect is None
    assert session.work.reconciled.whole.degrees == len(TYPED)


@pytest.mark.parametrize(
    ("ask", "due"),
    [
        ({"value": "3200 in"}, "front axle: expected a weight"),
        ({"value": "1e12"}, "front axle: expected a weight"),
        ({"value": ""}, "front axle: expected a weight"),
        ({"value": "-5"}, "front axle: expected"),
        ({"value": "<script>alert(1)</script>"}, "front axle: expected a weight"),
        ({"unit": "stone"}, "expected a unit among lb or kg or t, found 'stone'"),
        ({"arrangement": "sideways"}, "expected one of the choices (bars-on"),
        ({"what": "platform:sun"}, "expected one of the choices (platform:front"),
        ({"stage": "leaving-hom"}, 'found "leaving-hom"'),
        ({"step": "20"}, "step of the scale: expected a weight"),
        ({"step": "-20 lb"}, "step of the scale: expected"),
        ({"step": "501 kg"}, "step of the scale: expected at most 500 kg, found '501 kg'"),
        ({"value": "3200"}, "front axle, bars on: 3200 lb is there already."),
    ],
)
def test_one_sentence_and_nothing_lost(session: Session, ask: dict[str, Any], due: str) -> None:
    """Whatever is typed that cannot be, one sentence says so, and the readings so far stay."""
    first = {"arrangement": "bars-on", "what": "platform:front", "value": "3200", "unit": "lb"}
    act(session, "read", **first)
    before = session.state
    with pytest.raises(AskError) as fault:
        act(session, "read", **{**first, "value": "3190", **ask})
    assert due in str(fault.value)
    assert "\n" not in str(fault.value)
    assert session.state is before


def test_each_load_has_a_pass_and_of_several_numbers_the_last_is_corrected(
    session: Session,
) -> None:
    """At another stage it is another pass, named by that; one taken out leaves the other. A scale
    may show every ounce, or no less than half a tonne; beside kilograms a length is in mm."""
    asked = {"arrangement": "bars-on", "what": "platform:front", "unit": "lb"}
    act(session, "read", **asked, value="3200", step="0 lb")
    act(session, "read", **asked, value="3180", again=True)
    act(session, "read", **asked, value="3190", again=True)
    act(session, "read", **asked, value="3210", was="3190", step="500 kg")
    act(session, "read", **asked, value="3300", stage="leaving-home")
    alone = {"arrangement": "trailer-alone", "what": "platform:trailer", "unit": "lb"}
    act(session, "read", **alone, value="5240")
    act(session, "stand", support_station="900", unit="kg")

    def passes() -> dict[str, Any]:
        return dict((session.state.ticket or {})["passes"])

    read = {name: [row["weight"] for row in one["readings"]] for name, one in passes().items()}
    assert read == {
        "bars on": ["3200 lb", "3180 lb", "3210 lb"],
        "bars on leaving-home": ["3300 lb"],
        "trailer alone": ["5240 lb"],
    }
    assert passes()["trailer alone"]["support_station"] == "900 mm"
    scales = (session.state.ticket or {})["scales"].values()
    assert [one["graduation"] for one in scales] == ["0 lb", "500 kg"]
    act(session, "unread", name="bars on", number=1)
    assert [row["weight"] for row in passes()["bars on"]["readings"]] == ["3200 lb", "3210 lb"]


def test_moved_after_weighing(session: Session) -> None:
    """What was weighed is carried to a rig whose load has changed, and stays narrower."""
    type_in(session)
    item = next(iter(session.work.rig.items))
    to = next(key for key in session.work.rig.places if key != session.work.rig.items[item].place)
    act(session, "move", item=item, to=to)
    weighed, not_weighed = session.work.found.worst_stage, session.work.unweighed.worst_stage
    assert weighed.tongue.share.sd < not_weighed.tongue.share.sd
    assert "The rig has changed since the first reading" in shown(session)
    act(session, "set", path=["trailer", "empty", "weight"], value="9000 lb +- 5 lb")
    assert "far from what was weighed: trailer.empty.weight" in shown(session)


def test_ticket_out_and_in(session: Session) -> None:
    """The readings leave as a ticket file and come back as the same readings; so does a CSV."""
    rig = session.path
    assert rig is not None
    client = TestClient(
        create_app(Start.at(rig), Gate(hosts=frozenset({"testserver"}))),
        raise_server_exceptions=True,
    )
    text = TICKET.read_text("utf-8")
    assert client.get("/api/ticket.toml").status_code == 409
    assert client.post("/api/ticket", json={"text": text}).status_code == 200
    first = client.get("/api/weighing").json()
    again = client.get("/api/ticket.toml").text
    assert client.post("/api/ticket", json={"text": again, "name": "r.toml"}).status_code == 200
    assert client.get("/api/weighing").json() == first
    csv = "pass,arrangement,front,rear\na,vehicle alone,3340 lb,2820 lb\n"
    assert client.post("/api/ticket", json={"text": csv}).status_code == 200
    assert client.get("/api/weighing").json()["degrees"] == 2
    bad = client.post("/api/ticket", json={"text": "rubbish, all of it\n"})
    assert bad.status_code == 409
    assert client.get("/api/weighing").json()["degrees"] == 2


def test_the_stage_does_not_move_by_itself(session: Session) -> None:
    """Without a choice the forms are of the last reading's stage, whichever stage is worst now."""
    asked = {"arrangement": "bars-on", "what": "platform:front", "value": "3200", "unit": "lb"}
    act(session, "read", **asked, stage="leaving-home")
    assert session.work.found.worst_stage.key != "leaving-home"
    assert 'data-key="bars-on@leaving-home/platform:rear"' in shown(session)


def test_offers_what_fits(session: Session) -> None:
    """Bars are offered to a rig that has them; without them, one coupled pass is; what to weigh
    next leads to a form that is on the page."""
    assert 'data-value="bars-on"' in shown(session)
    found = shown(session, "weigh_next")
    go = found.split('data-value="')[1].split('"')[0]
    assert 'class="asked"' in shown(session, weigh=go)
    act(session, "set", path=["hitch", "bars"], value=None)
    assert 'data-value="bars-on"' not in shown(session)
    assert 'data-value="coupled"' in shown(session)


def test_a_move_leaves_the_readings_reconciled(session: Session) -> None:
    """What is moved after a weighing changes neither readings nor the rig as weighed: they are not
    reconciled again, and what was drawn of them stays."""
    type_in(session)
    before = session.work.reconciled
    act(session, "move", item="chairs", to=next(p for p in session.work.rig.places if p != "bed"))
    assert session.work.rig != before.weighed.rig
    assert session.work.reconciled is before


def test_the_page_asks_what_weigh_asks(session: Session) -> None:
    """A ticket of another rig and of a day to come is asked about in front and beside the
    readings, until one says that it is right; front and rear in each other's place are named."""
    text = """ticket = 1
rig = "Another rig"
date = "2999-01-01"
[passes."bars on"]
bars = "on"
stage = "leaving-home"
readings = [
  { kind = "platform", axles = ["front"], weight = "3540 lb" },
  { kind = "platform", axles = ["rear"], weight = "3200 lb" },
]
"""
    act(session, "ticket", text=text)
    front = next(one for one in TOP if one.name == "sentence")
    for page in (shown(session), part(front, session.seen(), Look())):
        assert "Another rig" in page
        assert "2999-01-01" in page
    head = next(one for one in TOP if one.name == "headline")
    page = part(head, session.seen(), Look())
    assert 'class="headline within"' not in page
    assert "written down as they were read is asked" in page
    assert "swapped" in shown(session)
    act(session, "sure")
    assert "Another rig" not in part(front, session.seen(), Look())
    assert "swapped" not in shown(session)


def test_every_wheel_on_the_ground_can_be_read() -> None:
    """Of two axles a trailer has four wheels, and four more stand under the vehicle; what was
    unhitched is not asked of."""
    rig = parse_rig(demo.demo_rigs()["perihelion-camper.toml"])
    wheels = {
        arrangement: {one.what for one in forms(rig, arrangement) if one.what.startswith("wheel:")}
        for arrangement in ("bars-on", "vehicle-alone", "trailer-alone")
    }
    assert (wheels["trailer-alone"] | wheels["vehicle-alone"]) == wheels["bars-on"]
    assert len(wheels["trailer-alone"]) == len(wheels["vehicle-alone"]) == 4
    assert "wheel:trailer-2:right" in wheels["trailer-alone"]


def test_a_metric_page_offers_metric_lengths(session: Session) -> None:
    """Under a plank and behind the ball no inch or foot is left where kilograms are read."""
    page = shown(session, weigh="trailer-alone", **{"weigh-unit": "metric"})
    assert 'name="support_to_tongue" value="0.3 m"' in page
    assert 'name="station" value="0"' in page
