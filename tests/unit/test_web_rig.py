"""The rig as a form: everything can be stated, named, taken out, opened and begun."""

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from steelyard.files.changes import AskError
from steelyard.files.demo import demo_rigs
from steelyard.files.schema import rig_schema
from steelyard.quantity import POUND
from steelyard.web import form
from steelyard.web.acts import ACTS
from steelyard.web.acts.rig import placed
from steelyard.web.look import Look
from steelyard.web.page import part
from steelyard.web.sections import assumed, rig, sentence, tools
from steelyard.web.session import Session
from steelyard.web.state import State

RIGS = demo_rigs()


def session_of(text: str, path: Path | None = None) -> Session:
    """A session on a rig file's text, nothing kept."""
    return Session(State(data=tomllib.loads(text)), text, path, "mine.toml", None)


@pytest.fixture
def session() -> Session:
    """A session on the camper."""
    return session_of(RIGS["perihelion-camper.toml"])


def do(session: Session, act: str, /, **ask: Any) -> str:
    """One act, as the page asks for it."""
    found = ACTS[act]
    return found.on(session, found.ask.model_validate(ask))


def html(session: Session, group: str, **choice: str) -> str:
    """The rig section with a group open."""
    return part(rig.SECTION, session.seen(), Look(choice={"rig": group, **choice}))


def test_every_key_of_the_schema_is_a_field() -> None:
    """Whatever key a model gains, the form has it: one table of each model, all its plain keys."""
    data = {
        "stages": {"a": {}},
        **{key: {"a": {}} for key in ("places", "items", "people", "felt")},
        "vehicle": {"tanks": {"fuel": {}}, "seats": {"a": {}}},
        "trailer": {"tanks": {"a": {}}, "equipment": {"a": {}}},
        "hitch": {"reducers": {"a": {}}},
    }
    shown = {
        (one.model, field.path[len(one.path)]) for one in form.tables(data) for field in one.fields
    }
    schema = rig_schema()
    bodies = {"Rig": schema, **schema["$defs"]}
    due = {
        (model, key)
        for model, body in bodies.items()
        for key, one in body["properties"].items()
        if (form.below(one) or ("", "rows"))[1] == "rows" and model != "TyreRow"
    }
    assert due - shown == {("Rig", "format")}


@pytest.mark.parametrize("name", sorted(RIGS))
def test_what_is_stated_is_assumed_no_more(name: str) -> None:
    """Each assumed value with a field of its own, stated there, leaves the list (a row of seats
    once every seat taken is stated)."""
    session, tried = session_of(RIGS[name]), 0
    for _ in range(3):
        data = session.state.data
        for row in fields_of(session):
            value = row["value"].split(" ± ")[0] + " " + row["value"].rsplit(" ", 1)[1]
            field = form.field_at(data, row["field"]["at"])
            assert field is not None
            data = placed(data, field, {"value": value, "basis": "measured"})
            tried += 1
        session.change(lambda state, data=data: state.with_data(data))  # type: ignore[misc]
    assert tried > 15
    assert [row["name"] for row in fields_of(session)] == []


@pytest.mark.parametrize("group", list(rig.GROUPS)[1:-1])
def test_what_is_stated_is_open_and_the_rest_is_a_click_away(session: Session, group: str) -> None:
    """Every field of a table stands once: among the stated if the file states it or must, else
    among the others."""
    given = {table.at: table.fields for table in form.tables(session.state.data)}
    for table in rig.facts(session.seen(), Look(choice={"rig": group}))["tables"]:
        shown = [[row["field"].at for row in table[key]] for key in ("said", "unsaid")]
        stated = [f.said is not None or f.required for f in given[table["at"]]]
        for there, ats in zip((True, False), shown, strict=True):
            due = [
                f.at
                for f, is_said in zip(given[table["at"]], stated, strict=True)
                if is_said is there
            ]
            assert ats == due


def test_only_a_part_that_may_be_missing_is_left_out(session: Session) -> None:
    """The bars go with all that was said of them, in one step; a thing of the user's own does not
    go this way, since others may need it."""
    before = session.state.data["hitch"]["bars"]
    do(session, "bare", at="hitch.bars")
    assert session.work.rig.hitch.bars is None
    with pytest.raises(AskError, match="expected a part that can be left out"):
        do(session, "bare", at="places.galley")
    do(session, "undo")
    assert session.state.data["hitch"]["bars"] == before


def fields_of(session: Session) -> list[dict[str, Any]]:
    """The assumed values that have a field of their own."""
    facts = assumed.facts(session.seen(), Look(units="metric"))
    return [row for row in [*facts["moving"], *facts["resting"]] if row["field"]]


def test_biggest_effect_first(session: Session) -> None:
    """The list falls in effect, and each says assumed, value, spread and source."""
    effects = [one.effect for one in session.work.found.assumed]
    assert effects == sorted(effects, reverse=True)
    text = part(assumed.SECTION, session.seen(), Look())
    assert text.count('<span class="assumed">assumed</span>') >= len(effects)
    assert "anywhere in galley" in text


def test_that_everything_is_listed_is_said_beside_what_nobody_listed(session: Session) -> None:
    """Cargo that nobody listed goes when the field under it says yes; no file key is told."""
    do(session, "state", at="everything_listed", value="no")
    facts = assumed.facts(session.seen(), Look())
    unlisted = [x for x in [*facts["moving"], *facts["resting"]] if "unlisted" in x["name"]]
    assert unlisted
    for row in unlisted:
        assert "_" not in row["instead"]
        do(session, "state", at=row["helps"]["at"], value="yes")
    facts = assumed.facts(session.seen(), Look())
    assert not [x for x in [*facts["moving"], *facts["resting"]] if "unlisted" in x["name"]]


def test_what_is_asked_about_is_answered_on_the_page(session: Session) -> None:
    """A rating nobody believes is asked about above all else; a tick says that it is right."""
    do(session, "state", at="hitch.bars.rating", value="1000 kg")
    asked = "Is that right? hitch bars rating: expected"
    assert asked in part(sentence.SECTION, session.seen(), Look())
    do(session, "state", at="hitch.bars.rating", value="1000 kg", sure="yes")
    assert session.state.data["hitch"]["bars"]["rating"] == {"value": "1000 kg", "sure": True}
    assert asked not in part(sentence.SECTION, session.seen(), Look())
    assert 'name="sure" value="yes" checked' in html(session, "hitch")


def test_what_is_said_of_a_number_is_kept(session: Session) -> None:
    """Basis, kind and what it includes go into the file; stated alone stays a plain string."""
    do(
        session,
        "state",
        at="vehicle.weight",
        value="5400 lb +- 30 lb",
        basis="weighed",
        kind="scale",
        includes="fuel, ball mount",
    )
    said = {
        "value": "5400 lb +- 30 lb",
        "basis": "weighed",
        "kind": "scale",
        "includes": ["fuel", "ball mount"],
    }
    assert session.state.data["vehicle"]["weight"] == said
    do(session, "state", at="vehicle.weight", value="5400 lb", basis="stated", includes="-")
    assert session.state.data["vehicle"]["weight"] == {"value": "5400 lb", "includes": []}
    do(session, "state", at="trailer.gvwr", value="7100 lb", basis="stated")
    assert session.state.data["trailer"]["gvwr"] == "7100 lb"


@pytest.mark.parametrize(
    ("at", "value", "fault"),
    [
        ("trailer.gvwr", "7300", r"trailer\.gvwr: expected a weight with its unit"),
        ("trailer.gvwr", "7300 ft", r"ft is a length"),
        ("trailer.gvwr", '<b>"&\u202e🚚', r"trailer\.gvwr: expected a weight"),
        ("vehicle.front.tyres.load_index", "1e3", r"load_index: expected"),
        ("vehicle.front.tyres.table", "50 psi", r"expected a row such as"),
        ("items.bikes.size", "6 ft x 2 ft x 3", r"items\.bikes\.size\[2\]: expected a length"),
        ("items.bikes.fixed", "perhaps", r"items\.bikes\.fixed: expected true or false"),
        ("stages.leaving-home.tanks.fresh", "half", r"expected a tank level"),
        ("trailer.gvrw", "1 t", r'did you mean "trailer\.gvwr"'),
        ("__proto__.x", "1", r"expected a key of the rig file, found '__proto__\.x'"),
        ("vehicle", "1", r"expected a key of the rig file, found 'vehicle'"),
        ("", "1", r"expected a key of the rig file, found ''"),
    ],
)
def test_a_wrong_value_is_one_sentence_and_changes_nothing(
    session: Session, at: str, value: str, fault: str
) -> None:
    """The library's own words for it; the rig and its steps stay."""
    before = session.state
    with pytest.raises(AskError, match=fault) as caught:
        do(session, "state", at=at, value=value)
    assert "\n" not in str(caught.value)
    assert session.state is before
    assert not session.seen().can_undo


def test_a_refusal_stands_right_under_its_field(session: Session) -> None:
    """Before what the field means and how it is known, which fill a phone's screen below it."""
    text = html(session, "", find="hitch.coupler.size")
    field = text.index('name="value"')
    assert text.index("data-fault", field) < text.index('class="quiet"', field)


def test_what_is_only_called_otherwise_tells_of_no_load(session: Session) -> None:
    """A rig renamed by its form is told its name, not what the ball carries; the file has it."""
    said = do(session, "state", at="name", value="Two Moons", was=session.work.rig.name)
    assert "Two Moons" in said
    assert "ball" not in said
    assert session.work.rig.name == "Two Moons"


def test_a_rename_takes_every_reference_along(session: Session) -> None:
    """Nothing in the rig speaks of the old name, and no load changes."""
    before = session.work.found.worst_stage.tongue.weight_kg.best
    do(session, "rename", table="places", name="bed", to="cargo bed")
    do(session, "rename", table="items", name="firewood", to="logs")
    do(session, "rename", table="people", name="Ada", to="Bea")
    do(session, "rename", table="trailer.tanks", name="grey", to="waste")
    do(session, "rename", table="stages", name="leaving-home", to="off we go")
    text = str(dict(session.state.data))
    for old in ("'bed'", "firewood", "Ada", "'grey':", "leaving-home"):
        assert old not in text
    assert next(iter(session.state.data["stages"])) == "off we go"
    assert session.state.data["hitch"]["bars"]["set_at"] == "off we go"
    assert session.work.found.worst_stage.tongue.weight_kg.best == pytest.approx(before, rel=1e-9)


def test_what_is_needed_is_not_taken_out(session: Session) -> None:
    """A place with items and the bars' stage stay; an item, a tank, a person go from every list."""
    with pytest.raises(AskError, match="still used by generator, firewood"):
        do(session, "drop", table="places", name="bed")
    with pytest.raises(AskError, match="still used by the spring bars"):
        do(session, "drop", table="stages", name="leaving-home")
    do(session, "drop", table="items", name="firewood")
    do(session, "drop", table="trailer.tanks", name="black")
    do(session, "drop", table="vehicle.tanks", name="fuel")
    stages = session.state.data["stages"]
    assert stages["back-home"]["without"] == ["pantry"]
    assert "without" not in stages["dark-sky-site"]
    assert all("black" not in stage["tanks"] for stage in stages.values())
    assert all("fuel" in stage["vehicle_tanks"] for stage in stages.values())


def test_stages_can_change_their_order(session: Session) -> None:
    """Their order is the trip: it is a step of its own, unsaved, undone and downloaded."""
    said = do(session, "order", table="stages", name="first-night", by=-1)
    assert said.startswith("first-night comes earlier: ")
    names = ["first-night", "leaving-home", "dark-sky-site", "back-home"]
    assert list(session.state.data["stages"]) == names
    assert session.seen().unsaved
    assert session.seen().can_undo
    with pytest.raises(AskError, match='"first-night" is first already'):
        do(session, "order", table="stages", name="first-night", by=-1)
    said = do(session, "order", table="stages", name="first-night", by=1)
    assert said.startswith("first-night comes later: ")


def test_a_thing_of_ones_own_stays_when_its_last_value_goes(session: Session) -> None:
    """Clearing a stage's only key does not take the stage out, nor move it."""
    do(session, "make", table="stages", name="lunch")
    do(session, "order", table="stages", name="lunch", by=-1)
    order = list(session.state.data["stages"])
    do(session, "state", at="stages.lunch.grade", value="1 deg")
    do(session, "state", at="stages.lunch.grade", value="")
    assert session.state.data["stages"]["lunch"] == {}
    assert list(session.state.data["stages"]) == order


def test_each_kind_of_thing_can_be_made_with_what_it_must_have(session: Session) -> None:
    """The form for a new thing asks every required key, and the act takes them all."""
    known = set(ACTS["make"].ask.model_fields)
    for model in form.named_models().values():
        assert set(form.body(model).get("required", ())) <= known
    do(session, "make", table="places", name="rack", station="4 ft", on="vehicle")
    do(session, "make", table="items", name="drone", weight="9 lb", place="rack")
    do(session, "make", table="people", name="Ida", seat="second-left")
    do(
        session,
        "make",
        table="trailer.tanks",
        name="gas",
        content="propane",
        capacity="7 gal",
        station="2 ft",
    )
    do(session, "make", table="trailer.equipment", name="battery", weight="55 lb", station="20 in")
    do(session, "make", table="felt", name="truck", what="settled", speed="62 mph")
    do(session, "state", at="felt.truck.swings", value="2 to 3")
    for name in ('"><b>', "🚚", "\u202eabc", "__proto__", "a.b", ""):
        with pytest.raises(AskError, match="expected a name of letters"):
            do(session, "make", table="stages", name=name)
    for group in rig.GROUPS:
        html(session, group)


def test_titles_are_escaped_and_shown(session: Session) -> None:
    """Quotes, brackets, right-to-left marks and pictures in titles are text, not markup."""
    title = "\"'><script>alert(1)</script>\u202e🚚 </textarea>"
    do(session, "state", at="places.bed.title", value=title)
    text = html(session, "places")
    assert session.state.data["places"]["bed"]["title"] == title
    assert "<script>" not in text
    assert "&lt;script&gt;" in text
    for shown in (
        html(session, "first", find='"><i>'),
        part(assumed.SECTION, session.seen(), Look()),
    ):
        assert "<i>" not in shown


def test_a_word_finds_fields_by_where_they_stand_on_the_rig(session: Session) -> None:
    """`door pillar` finds what the labels there say."""
    text = html(session, "first", find="door pillar")
    for at in ("vehicle.payload", "vehicle.front.gawr", "vehicle.gvwr"):
        assert f'data-at="{at}"' in text
    assert 'data-at="trailer.gvwr"' not in text


def test_a_word_of_any_trade_finds_a_field(session: Session) -> None:
    """The rig file's key is `tyres`; who looks for tires, or for MTPLM, finds it all the same."""
    assert 'data-at="vehicle.rear.tyres.pressure"' in html(session, "first", find="rear tire")
    assert 'data-at="trailer.gvwr"' in html(session, "first", find="mtplm")


def test_another_rig_brings_its_own_comments(session: Session) -> None:
    """A file taken in is downloaded as it came; undo brings the first one with its own."""
    from steelyard.web.acts.document import as_text

    do(session, "example", which="perihelion-tractor.toml")
    assert as_text(session) == RIGS["perihelion-tractor.toml"]
    do(session, "undo")
    assert as_text(session) == RIGS["perihelion-camper.toml"]
    do(session, "begin", vehicle="car", style="boat", name='the "fast" one')
    assert session.work.rig.name == 'the "fast" one'
    assert "# certification label" in as_text(session)
    with pytest.raises(AskError, match="expected a vehicle with a bed for this hitch"):
        do(session, "begin", vehicle="car", style="fifth-wheel")


def test_saving_asks_before_writing_over_another_version(tmp_path: Path) -> None:
    """A file changed meanwhile, or another rig's, is written over only when told to."""
    path = tmp_path / "mine.toml"
    text = RIGS["perihelion-camper.toml"]
    path.write_text(text, "utf-8")
    session = session_of(text, path)
    do(session, "state", at="trailer.gvwr", value="7100 lb")
    path.write_text(text.replace("club pickup", "their pickup"), "utf-8")
    assert "Save over it" not in part(sentence.SECTION, session.seen(), Look())
    with pytest.raises(AskError, match="changed meanwhile"):
        do(session, "save")
    assert "Save over it" in part(sentence.SECTION, session.seen(), Look())
    do(session, "save", over=True)
    assert "Save over it" not in part(sentence.SECTION, session.seen(), Look())
    assert "their pickup" in (tmp_path / "mine.toml.bak").read_text("utf-8")
    assert "7100 lb" in path.read_text("utf-8")
    do(session, "example", which="perihelion-tractor.toml")
    with pytest.raises(AskError, match="holds another rig"):
        do(session, "save")


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("format = 1\n[a" + ".a" * 2000 + "]\n", "at most 200 dots in a line"),
        ("format = 1\na = " + "[" * 5000, "at most 16 tables or lists in each other"),
        ('format = 1\n__proto__ = { polluted = "yes" }\n', "__proto__: expected one of format"),
        ("format = 2\n", "a newer Steelyard is due"),
        ("", "expected `format = 1` as first key"),
    ],
)
def test_a_file_that_is_no_rig_is_refused_in_sentences(
    session: Session, text: str, fault: str
) -> None:
    """However deep or odd it is; the rig stays as it was."""
    before = session.state
    with pytest.raises(AskError, match=re.escape(fault)):
        do(session, "take", text=text)
    assert session.state is before


def test_a_rig_file_of_a_megabyte_is_taken_in(session: Session) -> None:
    """The largest file read is opened, and downloaded as it came."""
    from steelyard.web.acts.document import as_text

    text = RIGS["perihelion-tractor.toml"]
    text += "# " + "x" * (999_990 - len(text.encode())) + "\n"
    do(session, "take", text=text)
    assert as_text(session) == text


def test_a_remark_is_shown(session: Session) -> None:
    """What the session has to say of kept work stands in the sentence."""
    session.remark = "mine.toml has changed <on disk>"
    assert "mine.toml has changed &lt;on disk&gt;" in part(sentence.SECTION, session.seen(), Look())


def test_the_form_and_the_list_assume_alike() -> None:
    """A field says the same assumed value and spread as the list; a rating is never assumed."""
    session = session_of(RIGS["perihelion-observatory.toml"])
    facts = assumed.facts(session.seen(), Look())
    listed = {row["field"]["at"]: row["value"] for row in facts["moving"] if row["field"]}
    counting = rig.facts(session.seen(), Look())["counting"]
    assert all(row["typical"] == listed[row["at"]] for row in counting["moving"])
    assert [row["at"] for row in counting["unknown"] if row["typical"]] == []


def test_what_a_rating_waits_for_is_asked_not_what_was_said() -> None:
    """Load index and most pressure on the sidewall being stated, a tyre waits for its pressure."""
    session = session_of(RIGS["perihelion-camper.toml"])
    do(session, "begin", name="n", vehicle="car", style="centre-axle-caravan", region="europe")
    for key, value in (("load_index", "96"), ("max_pressure", "3.25 bar")):
        do(session, "state", at=f"trailer.axles.tyres.{key}", value=value)
    rows = rig.facts(session.seen(), Look())["counting"]["unknown"]
    asked = {row["at"] for row in rows}
    assert "trailer.axles.tyres.pressure" in asked
    assert "trailer.axles.tyres.max_load" not in asked


@pytest.mark.parametrize(("to", "sign"), [("bedroom", "+"), ("galley", "+"), ("rear-room", "")])
def test_what_a_move_does_to_the_ball_is_told_with_its_sign(
    session: Session, to: str, sign: str
) -> None:
    """Forward is more on it, aft is less, by as much as the assessments say; the place by its
    title, the stage the worst afterwards; trying a move says what doing it says."""
    before = session.work.found
    tried = do(session, "try", item="chairs", to=to)
    said = do(session, "move", item="chairs", to=to)
    after = session.work.found
    title = {"rear-room": "rear room"}.get(to, to)
    assert said == f"chairs to {title}: {tried}"
    key = after.worst_stage.key
    old, new = (
        next(one for one in found.stages if one.key == key).tongue.weight_kg.value / POUND
        for found in (before, after)
    )
    assert tried.startswith(
        f"{sign}{new - old:.0f} lb on the ball, now" if sign else "the ball carries what it did"
    )
    assert f"at “{after.worst_stage.title}”" in said
    if sign:
        back = do(session, "move", item="chairs", to="rear-room")
        assert back.startswith("chairs to rear room: −")


def test_an_empty_answer_takes_a_value_out(session: Session) -> None:
    """And one of spaces; what is stated stays as it is typed."""
    at = ("hitch", "coupler", "rating_tongue")
    do(session, "set", path=at, value="900 lb")
    assert session.state.data["hitch"]["coupler"]["rating_tongue"] == "900 lb"
    do(session, "set", path=at, value="  ")
    assert "rating_tongue" not in session.state.data["hitch"]["coupler"]


def test_a_reading_that_is_not_there_is_not_taken_out(session: Session) -> None:
    """The one after the last neither; the last is."""
    one = {"arrangement": "bars-on", "what": "platform:front", "unit": "lb", "value": "3200"}
    do(session, "read", **one)
    assert session.state.ticket is not None
    (name,) = session.state.ticket["passes"]
    for number in (1, 2):
        with pytest.raises(AskError, match=f"There is no reading {number + 1}"):
            do(session, "unread", name=name, number=number)
    do(session, "unread", name=name, number=0)
    assert session.state.ticket is None


def test_what_can_be_taken_back_and_done_again(session: Session) -> None:
    """Nothing at first; a step can be taken back, and then done again."""

    def can() -> tuple[bool, bool]:
        seen = tools.facts(session.seen(), Look())
        return seen["can_undo"], seen["can_redo"]

    assert can() == (False, False)
    do(session, "move", item="chairs", to="galley")
    assert can() == (True, False)
    do(session, "undo")
    assert can() == (False, True)


def test_yes_is_kept_as_what_it_is(session: Session) -> None:
    """A choice of yes and no is no text in the file."""
    do(session, "state", at="trailer.brakes", value="yes")
    assert session.state.data["trailer"]["brakes"] is True
