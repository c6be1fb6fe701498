"""The walk on the page: answers through the one place that edits a rig, each stop drawn."""

import re
import tomllib

import pytest
from tests.unit.test_web_rig import RIGS, do, session_of

from steelyard.files.changes import AskError
from steelyard.files.reader import parse_rig
from steelyard.quantity import parse
from steelyard.web.acts.document import as_text
from steelyard.web.look import Look
from steelyard.web.page import part, whole
from steelyard.web.sections import TOP, WALK
from steelyard.web.session import Session


@pytest.fixture
def session() -> Session:
    """A session on a rig just begun."""
    found = session_of(RIGS["perihelion-camper.toml"])
    do(found, "begin", name="new", vehicle="half-ton-crew-cab", style="front-living")
    return found


def html(session: Session, stop: str) -> str:
    """One stop as the page shows it."""
    section = next(one for one in WALK if one.name == stop)
    return part(section, session.seen(), Look(walk=True))


def test_a_draft_is_a_rig_file_from_the_first_field_on(session: Session) -> None:
    """After body and style, and after each answer, the download is a file that reads."""
    parse_rig(as_text(session), "draft")
    do(session, "answer", at="vehicle.gvwr", value="7600", unit="lb")
    do(session, "answer", at="trailer.axles.station", value="182")
    text = as_text(session)
    data = tomllib.loads(text)
    assert data["vehicle"]["gvwr"] == "7600 lb"
    assert data["trailer"]["axles"]["station"] == {"value": "182 in", "basis": "measured"}
    assert "# certification label" in text
    assert set(data["trailer"]["tanks"]) == {"fresh", "grey", "black"}  # usual, and a pickup's bed
    assert "bed" in data["places"]
    do(session, "undo")
    assert "station" not in session.state.data["trailer"].get("axles", {})


def test_nothing_typed_takes_an_answer_out(session: Session) -> None:
    """The assumed weight comes back when the label's number goes."""
    do(session, "answer", at="trailer.gvwr", value="7000")
    assert "empty" not in session.state.data["trailer"]
    do(session, "answer", at="trailer.gvwr", value="")
    assert session.state.data["trailer"]["empty"]["weight"]["basis"] == "assumed"


@pytest.mark.parametrize(
    ("at", "value", "words", "mend"),
    [
        ("vehicle.gvwr", "72OO", "That is no weight.", "7200"),
        ("vehicle.gvwr", "heavy", "That is no weight.", ""),
        ("vehicle.gvwr", "-5", "Due: a weight above zero.", ""),
        (
            "trailer.empty.tongue_weight",
            "12000",
            "Due: less than the empty weight '4899 lb +- 4389 lb'.",
            "",
        ),
        ("vehicle.gvwr", "9" * 60, "That is no weight.", ""),
        ("trailer.axles.count", "two", "A whole number is due.", ""),
        ("trailer.brakes", "perhaps", "Yes or no is due.", ""),
    ],
)
def test_a_slip_changes_nothing_and_says_it_in_six_words(
    session: Session, at: str, value: str, words: str, mend: str
) -> None:
    """What cannot be taken is refused at its field; the rig is as it was."""
    before = session.state
    with pytest.raises(AskError) as refused:
        do(session, "answer", at=at, value=value)
    assert (str(refused.value), refused.value.mend) == (words, mend)
    assert session.state is before


def test_a_number_in_another_unit_is_named_where_it_makes_no_rig() -> None:
    """3.30 in a wheelbase of millimetres stands on no wheels: metres were meant; 6,5 kN is a
    decimal comma as the Continent types it, never 65 (hand arithmetic)."""
    session = session_of(RIGS["perihelion-camper.toml"])
    style = {"vehicle": "small-car", "style": "centre-axle-caravan", "region": "europe"}
    do(session, "begin", name="n", country="DE", **style)
    with pytest.raises(AskError, match="Usually") as refused:
        do(session, "answer", at="vehicle.wheelbase", value="1.95")
    assert refused.value.mend == "1.95 m"
    do(session, "answer", at="hitch.ball.d_value", value="6,5")
    text = session.state.data["hitch"]["ball"]["d_value"]
    assert parse(text, "force").value == pytest.approx(6500)


def test_what_was_picked_is_shown(session: Session) -> None:
    """One axle, and no spring bars once a line of the sticker was read, stand pressed like any
    other choice; until then one is asked."""
    do(session, "answer", at="trailer.axles.count", value="1")
    assert 'data-pick="1" data-unit="" aria-pressed="true"' in html(session, "stop-tyres")
    pressed = 'data-pick="no" data-unit="" aria-pressed="true"'
    assert pressed not in html(session, "stop-hitch")
    do(session, "answer", at="hitch.receiver.rating_tongue", value="500")
    assert pressed in html(session, "stop-hitch")


def test_a_gooseneck_on_four_tyres_an_axle_is_told_so_on_the_walk(session: Session) -> None:
    """Load index 129 is 1,850 kg, 121 in pairs 1,450 kg (ISO 4000-1): two bear 3,700 kg, four 5,800
    of an axle rated 10,000 lb, 4,536 kg."""
    do(session, "begin", name="n", vehicle="one-ton-dual-rear-wheel", style="gooseneck")
    for key, value in (("gawr", "10000 lb"), ("tyres.load_index", "129")):
        do(session, "answer", at=f"trailer.axles.{key}", value=value)
    fits = "trailer.axles.first.tyres.fit"

    def judged() -> str:
        stage = session.work.found.worst_stage
        return next(one.verdict for one in stage.limits if one.name == fits)

    assert judged() == "exceeded"
    do(session, "answer", at="trailer.axles.tyres.count", value="4")
    do(session, "answer", at="trailer.axles.tyres.dual_load_index", value="121")
    assert judged() == "within"


def test_a_horse_trailer_has_stalls_and_horses_at_hand(session: Session) -> None:
    """A horse of 1,100 lb (from memory) 100 in behind a ball that is 150 in from the one axle
    presses on it with 1100 (1 - 100/150) = 367 lb (hand arithmetic)."""
    do(session, "begin", name="n", vehicle="three-quarter-ton", style="horse")
    assert 'data-thing="second-horse"' in html(session, "stop-rides")
    do(session, "answer", at="trailer.axles.count", value="1")
    do(session, "answer", at="trailer.axles.station", value="150")
    do(session, "state", at="places.front-stall.station", value="100 in")
    do(session, "add", name="horse", to="front-stall")
    rows = session.work.found.worst_stage.ledger.entries
    (row,) = (one for one in rows if one.name == "horse")
    assert row.tongue_kg / 0.45359237 == pytest.approx(1100 / 3, rel=0.01)


def test_a_flag_at_the_end_of_the_rig_stays_on_the_picture(session: Session) -> None:
    """Bunks at the rear wall: its name's plate does not run over the picture's edge."""
    do(session, "state", at="places.storage.station", value="28 ft")
    picture = html(session, "stop-rides").partition('id="where"')[2]
    (wide,) = set(re.findall(r'viewBox="0 0 (\d+)', picture))
    plates = re.findall(r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', picture)
    assert plates
    assert max(float(x) + float(width) for x, width in plates) <= float(wide)


def test_assumed_places_shrink_with_the_box(session: Session) -> None:
    """Four usual places of a box of 4 m are 1 m long each (hand arithmetic)."""
    do(session, "answer", at="trailer.box_length", value="4 m")
    assert session.state.data["places"]["storage"]["length"]["value"] == "1.00 m"


def test_only_what_the_walk_asks_is_answered(session: Session) -> None:
    """Any other key is one sentence."""
    with pytest.raises(AskError, match="expected a key that the walk asks of this rig"):
        do(session, "answer", at="name", value="x")


def test_bars_turn_the_sticker_to_its_other_line(session: Session) -> None:
    """With spring bars the receiver's distributing line is asked for."""
    assert "hitch.receiver.rating_tongue" in html(session, "stop-hitch")
    do(session, "answer", at="hitch.bars", value="yes")
    assert "hitch.receiver.distributing_tongue" in html(session, "stop-hitch")
    do(session, "answer", at="hitch.bars", value="no")
    assert "hitch.receiver.rating_tongue" in html(session, "stop-hitch")


def test_sure_is_said_beside_the_value(session: Session) -> None:
    """`It says so` keeps a figure that is asked about; the picture does not call one unknown that
    is stated and asked about."""
    do(session, "answer", at="vehicle.rear.gawr", value="40000")
    picture = next(one for one in TOP if one.name == "picture")
    assert "is asked about" in part(picture, session.seen(), Look())
    do(session, "answer", at="vehicle.rear.gawr", value="")
    do(session, "answer", at="hitch.receiver.rating_tongue", value="10000")
    assert "is asked about" in part(picture, session.seen(), Look())
    do(session, "answer", at="hitch.receiver.rating_tongue", value="")
    do(session, "answer", at="vehicle.payload", value="8000")
    assert "It says so" in html(session, "stop-door")
    do(session, "answer", at="vehicle.payload", value="8000", sure=True)
    assert "It says so" not in html(session, "stop-door")


def test_axles_are_held_against_the_trailers_length(session: Session) -> None:
    """Of a box that ends 350 in behind the ball the axles stand 0.35 of that back, 122 in (hand
    arithmetic): 90 in are usual of some trailer, and not of this one."""
    for at, value in (("box_start", "50"), ("box_length", "300"), ("axles.station", "90")):
        do(session, "answer", at=f"trailer.{at}", value=value)
    stop = html(session, "stop-tape")
    assert "Due: 122 to 350 in" in stop
    assert "Usually" not in stop


def test_somebody_sits_down_and_gets_up(session: Session) -> None:
    """One press each."""
    do(session, "sit", seat="second-left")
    assert [one.seat for one in session.work.rig.people.values()] == ["second-left"]
    do(session, "sit", seat="second-left")
    assert not session.work.rig.people


def test_every_stop_is_drawn_for_the_words_of_its_region() -> None:
    """Tyres in Britain, tires in the States; each stop of each region is a part of the page."""
    for region, word in (("north-america", "tire"), ("europe", "tyre")):
        session = session_of(RIGS["perihelion-camper.toml"])
        do(session, "begin", name="n", vehicle="car", style="centre-axle-caravan", region=region)
        for section in WALK:
            assert part(section, session.seen(), Look(walk=True))
        assert f'data-words="trailer {word} index' in html(session, "stop-tyres")
        other = Look(open=("rig",), choice={"rig": "other"})
        assert 'href="walk#new"' in whole(session.seen(), other)


def test_a_browser_of_a_country_has_its_words() -> None:
    """Britain says noseweight and reads psi; a country of another region than the one picked says
    nothing."""
    session = session_of(RIGS["perihelion-camper.toml"])
    style = {"vehicle": "car", "style": "centre-axle-caravan", "region": "europe"}
    do(session, "begin", name="n", country="GB", **style)
    assert session.state.data["country"] == "GB"
    assert 'data-unit="psi"' in html(session, "stop-tyres")
    do(session, "begin", name="n", country="US", **style)
    assert "country" not in session.state.data
    assert 'data-unit="bar"' in html(session, "stop-tyres")


@pytest.mark.parametrize(
    ("word", "at"),
    [
        ("tire", "vehicle.rear.tyres.load_index"),
        ("tyre", "vehicle.rear.tyres.load_index"),
        ("tongue", "hitch.receiver.rating_tongue"),
        ("noseweight", "hitch.receiver.rating_tongue"),
        ("hitch", "hitch.coupler.rating_trailer"),
        ("mtplm", "trailer.gvwr"),
    ],
)
def test_a_field_is_found_by_whatever_it_is_called(session: Session, word: str, at: str) -> None:
    """The trades' other words find the field, on the walk and in the rig's form."""
    rows = html(session, "list").split("<li ")
    found = [one for one in rows if f'data-field="{at}"' in one]
    assert any(word in one.split('data-found="')[1].split('"')[0] for one in found)
