"""A label's pasted text on the page: proposed, taken in one step, typed again, refused."""

import pytest
from tests.unit.test_labels import LABELS, POEM
from tests.unit.test_web_rig import RIGS, do, session_of
from tests.unit.test_web_walk import html

from steelyard.files.changes import AskError
from steelyard.web.session import Session


@pytest.fixture
def session() -> Session:
    """A session on a rig just begun."""
    found = session_of(RIGS["perihelion-camper.toml"])
    do(found, "begin", name="new", vehicle="half-ton-crew-cab", style="front-living")
    return found


def test_what_is_said_twice_is_taken_in_one_step(session: Session) -> None:
    """Nothing is written before one press; one undo takes it all back."""
    before = session.state
    said = do(session, "paste", text=LABELS["vehicle-us"].text, stop="door")
    assert said.endswith("3 checked by what it says twice.")
    assert session.state is before
    text = html(session, "stop-door")
    assert "Take the 3 checked" in text
    assert "GVWR: 7200 LB (3266 KG)" in text
    do(session, "accept")
    vehicle = session.state.data["vehicle"]
    assert (vehicle["gvwr"], vehicle["rear"]["gawr"]) == ("7200 lb", "4150 lb")
    do(session, "undo")
    assert session.state.same(before)


def test_what_was_typed_is_not_written_over(session: Session) -> None:
    """A number that the text says otherwise is doubted at its field, not changed."""
    do(session, "answer", at="vehicle.gvwr", value="7100")
    do(session, "paste", text=LABELS["vehicle-us"].text, stop="door")
    assert "The text says 7200 lb." in html(session, "stop-door")
    do(session, "accept")
    assert session.state.data["vehicle"]["gvwr"] == "7100 lb"


def test_what_nothing_checks_is_typed_again(session: Session) -> None:
    """What nothing checks stays out of the file until it is typed, and is held to what was read."""
    do(session, "paste", text=LABELS["placard-unround"].text, stop="door")
    assert "type it above" in html(session, "stop-door")
    with pytest.raises(AskError, match="Nothing here is said twice"):
        do(session, "accept")
    do(session, "answer", at="vehicle.payload", value="1435")
    assert "The text says 659 kg." in html(session, "stop-door")
    do(session, "answer", at="vehicle.payload", value="1453")
    assert "The text says" not in html(session, "stop-door")


@pytest.mark.parametrize("stop", ["door", "hitch", "coupler"])
def test_another_label_is_refused_at_its_stop(session: Session, stop: str) -> None:
    """The trailer's label at the driver's door: one sentence, nothing to take."""
    said = do(session, "paste", text=LABELS["trailer"].text, stop=stop)
    assert said.startswith("This is a trailer's certification label")
    assert said.count(".") == 1
    assert "Take the" not in html(session, f"stop-{stop}")


def test_a_poem_is_one_sentence_and_markup_is_text(session: Session) -> None:
    """Whatever is pasted is never run, and never kept."""
    said = do(session, "paste", text=POEM + "<script>alert(1)</script>", stop="door")
    assert said == "No label's own words are in this text, so nothing is taken from it."
    label = LABELS["vehicle-us"].text.replace("GVWR:", "<b>x</b> GVWR:")
    do(session, "paste", text=label, stop="door")
    text = html(session, "stop-door")
    assert "<b>x" not in text.lower()
    assert "1G4AH59H45G118341" not in text + session.state.written()


def test_a_cargo_figure_is_the_empty_weight(session: Session) -> None:
    """GVWR 7,000 lb less 1,760 lb of cargo is an empty weight of 5,240 lb, propane in it
    (49 CFR 571.120 S10)."""
    do(session, "answer", at="trailer.gvwr", value="7000")
    do(session, "paste", text=LABELS["trailer-cargo"].text, stop="trailer")
    do(session, "accept")
    weight = session.state.data["trailer"]["empty"]["weight"]
    assert weight == {"value": "5240 lb", "kind": "label"}


def test_a_cargo_figure_of_all_the_rating_is_no_empty_weight(session: Session) -> None:
    """A trailer that weighs nothing is a figure read wrongly: none is proposed."""
    do(session, "answer", at="trailer.gvwr", value="1760")
    do(session, "paste", text=LABELS["trailer-cargo"].text, stop="trailer")
    assert "Take the" not in html(session, "stop-trailer")


def test_a_ticket_is_three_readings(session: Session) -> None:
    """Axles that come to the gross weight are read; others are one sentence and change nothing."""
    do(session, "slip", text=LABELS["ticket"].text, arrangement="coupled")
    (one,) = (session.state.ticket or {})["passes"].values()
    assert [row["weight"] for row in one["readings"]] == ["3080 lb", "3540 lb", "5360 lb"]
    before = session.state
    with pytest.raises(AskError, match=r"The axles do not come to 11980 lb: type it\."):
        do(
            session,
            "slip",
            text=LABELS["ticket"].text.replace("3080", "3088"),
            arrangement="coupled",
        )
    with pytest.raises(AskError, match="No label's own words"):
        do(session, "slip", text=POEM, arrangement="coupled")
    assert session.state is before
