"""The headline: one verdict, its one reason, one thing to do, which never contradict each other."""

import re
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal, cast

import pytest
from tests.trades import COUNTRIES, COUPLINGS, rig_of, text_of

from steelyard.assessment import Assessment, assess
from steelyard.drawing.marks import mark, notch
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.quantity import POUND
from steelyard.ratings.judge import VERDICTS
from steelyard.rig import is_pin
from steelyard.web import Start, form
from steelyard.web.acts import ACTS
from steelyard.web.readings import arrangements, forms
from steelyard.web.sections.headline import opens
from steelyard.web.sections.limits import found_by
from steelyard.web.sections.rig import matching
from steelyard.web.sessions import Sessions
from steelyard.words.assessed import MARKS, room, unsure, verdict_line
from steelyard.words.headline import _of, _open, headline, pressing
from steelyard.words.next_steps import Step, _beyond, next_steps, stuck_step

CAMPER = demo_rigs()["perihelion-camper.toml"]
DUE = {
    "within": {"card", "state", "list"},
    "tight": {"weigh", "move", "set"},
    "cannot tell": {"weigh", "move"},
    "exceeded": {"move", "set"},
    "unknown": {"look", "list", "state"},
}
"""What kinds of things a verdict may ask for first."""


def bars(rating: str) -> Assessment:
    """The demo's camper with bars of another rating."""
    head, hitch, rest = CAMPER.partition("[hitch.bars]")
    rest = re.sub(r'rating = "[^"]*"', f'rating = "{rating}"', rest, count=1)
    return assess(parse_rig(head + hitch + rest))


def test_a_missing_rating_is_asked_for_beside_what_it_bears() -> None:
    """The load is known though its rating is not: whoever reads the plate can compare at once with
    the most that any stage asks."""
    known = bars("1200 lb")
    head, hitch, rest = CAMPER.partition("[hitch.bars]")
    found = assess(parse_rig(head + hitch + re.sub(r"rating = .*\n", "", rest, count=1)))
    step = next(one for one in next_steps(found, "us") if one.about == "hitch.bars.rating")
    each = (one for stage in known.stages for one in stage.limits)
    load = max(one.value for one in each if one.name == "hitch.bars.rating")
    assert step.kind == "look"
    assert step.lead == f"spring bars, {load / POUND:,.0f} lb"


@pytest.mark.parametrize(
    ("rating", "verdict"),
    [
        ("1200 lb", "within"),
        ("1000 lb", "tight"),
        ("900 lb", "cannot tell"),
        ("700 lb", "exceeded"),
    ],
)
def test_the_verdict_decides_what_is_said_and_asked(rating: str, verdict: str) -> None:
    """Rated higher and lower the same load is told under every verdict: its reason names the bars'
    load and rating, and the first thing to do is of the kind that the verdict asks for."""
    found = bars(rating)
    said = headline(found, "us")
    assert said.verdict == found.verdict == verdict
    assert f"{said.mark} {said.word}" == MARKS[said.verdict]
    assert said.step.kind in DUE[verdict]
    assert said.step.words == next(next_steps(found, "us")).words
    if verdict != "within":
        assert said.decides == "hitch.bars.rating"
        assert "pring bars" in said.spoken
        assert rating.replace("1000", "1,000").split()[0] in said.spoken
    words = {"within": "to spare", "tight": "to spare", "cannot tell": "ver", "exceeded": "over"}
    assert words[verdict] in said.spoken


@pytest.mark.parametrize(
    ("rating", "verdict"),
    [
        ("1200 lb", "unknown"),
        ("1000 lb", "unknown"),
        ("900 lb", "cannot tell"),
        ("700 lb", "exceeded"),
    ],
)
def test_readings_in_doubt_are_no_ground_for_what_holds(rating: str, verdict: str) -> None:
    """Within and tight are called neither; what cannot be told, or is exceeded, still is."""
    assert headline(bars(rating), "us", doubt="The readings differ").verdict == verdict


@pytest.mark.parametrize(
    ("measure", "kind", "asked"),
    [
        ("pressure", "tyre pressure", "set"),
        ("weight", "tyre rating", "set"),
        ("weight", "axle", "move"),
        ("weight", "distribution", "set"),
        ("weight", "chains", "set"),
        ("force", "part's force", "set"),
    ],
)
def test_no_weight_is_moved_for_what_moving_does_not_mend(
    measure: str, kind: str, asked: str
) -> None:
    """A pressure, and a tyre that is rated too low, are set right; the rest is moved or left."""
    found = bars("700 lb")
    one = found.worst_stage.deciding
    assert one is not None
    other: dict[str, Any] = {"measure": measure, "kind": kind}
    (step,) = _beyond([replace(one, **other)], found.rig, "us")
    assert (step.kind, step.about) == (asked, one.name)


def test_what_is_held_against_a_rating_is_told_with_its_spread() -> None:
    """The bars' load in pounds, and 1.96 of its sd, of the 1,000 that are rated."""
    found = bars("1000 lb")
    one = found.worst_stage.deciding
    assert one is not None
    assert one.sd is not None
    told = re.search(r"(\d+) ± (\d+) of 1,000 lb", headline(found, "us").spoken)
    assert told is not None
    pound = 1000.0 / one.rating
    assert float(told[1]) == pytest.approx(one.value * pound, abs=5.0)
    assert float(told[2]) == pytest.approx(1.96 * one.sd * pound, abs=5.0)


@pytest.mark.parametrize(
    ("side", "aside", "told"),
    [
        ("under", 0.1, "under"),
        ("under", 0.5, "over"),
        ("over", 0.1, "over"),
        ("over", 0.5, "under"),
    ],
)
def test_a_share_likely_too_small_is_not_called_over(
    side: Literal["over", "under"], aside: float, told: str
) -> None:
    """Seven chances in ten that a band is left: the likelier side is said."""
    found = bars("1000 lb")
    share = next(one for one in found.worst_stage.limits if one.title == "tongue share")
    one = replace(share, verdict="cannot tell", side=side, chance=0.7, aside=aside)
    assert unsure(one, found, "us").startswith(f"Likely {told}: do not tow until weighed.")


@pytest.mark.parametrize("coupling", COUPLINGS)
@pytest.mark.parametrize("words", COUNTRIES)
def test_reason_and_thing_to_do_agree_for_every_trade(words: str, coupling: str) -> None:
    """Mark, deciding limit and thing to do are those of the stage, in each region and coupling."""
    found = assess(rig_of(words, coupling))
    for stage in found.stages:
        said = headline(found, "us", stage)
        assert said.step.kind in DUE[said.verdict]
        if said.verdict not in ("unknown", "within"):
            assert stage.deciding is not None
            assert said.decides == stage.deciding.name == pressing(stage)[0].name
        assert "nan" not in said.spoken
        assert "inf" not in said.spoken.replace("infl", "")
        assert not re.search(r"\b(vehicle|trailer|hitch)\.[a-z]", said.spoken + said.step.words)
    assert MARKS[found.verdict] in verdict_line(found, "us")


def test_what_is_weighed_has_a_field_on_the_page() -> None:
    """Whatever a thing to do says to weigh opens a reading that the page takes."""
    for rig in (rig_of("us", coupling) for coupling in COUPLINGS):
        for about in ("front", "rear", "vehicle", "axles", "trailer", "tongue"):
            go = opens(Step(kind="weigh", words="", about=about), rig)
            arrangement, _, what = go["value"].partition("/")
            assert arrangement in arrangements(rig)
            known = [form.what for form in forms(rig, arrangement)]
            assert what in known, (is_pin(rig), about)


@pytest.mark.parametrize("coupling", COUPLINGS)
@pytest.mark.parametrize("words", COUNTRIES)
def test_each_limit_opens_where_it_is_entered(words: str, coupling: str) -> None:
    """A limit's name opens the rig's form at its own field or table, a few fields at most; the
    band of the tongue share alone is in no file."""
    fields = list(form.fields(tomllib.loads(text_of(words, coupling))))
    for limit in assess(rig_of(words, coupling)).worst_stage.limits:
        found = len(matching(fields, found_by(limit.at)))
        assert (0 < found <= 30) or limit.name == "tongue-band", limit.at


def test_nobody_aboard_is_never_within() -> None:
    """Without people no stage is within; not known asks to list them, whatever the limits say."""
    text = re.sub(r"\[people\.[^\[]*", "", CAMPER)
    found = assess(parse_rig(re.sub(r"everything_listed[^\n]*\n", "", text)))
    assert "people" in found.missing
    for stage in found.stages:
        said = headline(found, "us", stage)
        assert said.verdict != "within"
        if said.verdict == "unknown":
            assert "aboard" in said.spoken
            assert said.step.kind == "list"


def test_to_list_what_rides_is_asked_for_the_limit_that_decides() -> None:
    """Whether or not it is of the coupling chain, and where only what nobody listed tips it."""
    found = bars("1000 lb")
    axle, ball = (
        next(one for one in found.worst_stage.limits if one.name == name)
        for name in ("vehicle.rear.gawr", "hitch.ball.trailer")
    )
    for tips, kinds in ((axle, ["list"]), (ball, [])):
        stage = replace(
            found.worst_stage, deciding=axle, governing=ball, unlisted=frozenset({tips.name})
        )
        said = [one for one in next_steps(found, "us", stage) if "List what rides" in one.words]
        assert [one.kind for one in said] == kinds


def test_of_what_is_tight_the_least_room_is_weighed_first() -> None:
    """Axle and coupler both tight, the axle with a tenth of an sd left: that is weighed."""
    found = bars("1200 lb")
    rear, coupler = (
        replace(one, verdict="tight", margin=room, sd=1.0)
        for one in found.worst_stage.limits
        for name, room in (("vehicle.rear.gawr", 0.1), ("hitch.coupler.trailer", 0.9))
        if one.name == name
    )
    stage = replace(found.worst_stage, limits=(coupler, rear))
    assert next(next_steps(found, "us", stage)).lead == rear.title


def test_shapes_differ_without_colour() -> None:
    """Each verdict's mark is another shape; the notch has ends, notch and number, or a question."""
    assert len({mark(one) for one in VERDICTS}) == len(VERDICTS)
    stage = bars("1000 lb").worst_stage
    one = next(one for one in stage.limits if one.name == "hitch.bars.rating")
    drawn = notch(one, "us")
    assert "1,000" in drawn
    assert drawn.count("<line") == 3


def test_acts_speak_the_trades_words(tmp_path: Path) -> None:
    """What an act says is in the words of the rig's region: noseweight in Britain, never tongue."""
    path = tmp_path / "rig.toml"
    path.write_text(text_of("uk", "bars"), "utf-8")
    text = path.read_text("utf-8")
    start = Start(text=text, name="rig.toml", path=path, logbook=tmp_path / "book.sqlite")
    session = Sessions(start).of("somebody")
    read = ACTS["read"]
    ask = {"arrangement": "trailer-alone", "what": "tongue-scale:", "value": "300", "unit": "kg"}
    said = read.on(session, read.ask.model_validate(ask | {"stage": "leaving-home"}))
    assert "oseweight share" in said
    assert "ongue" not in said


def test_the_card_is_printed_when_nothing_is_left_to_do() -> None:
    """Where everything is within it is asked for, and where something is tight it is not yet."""
    text = demo_rigs()["perihelion-camper.toml"]
    tight, within = (
        [one.kind for one in next_steps(assess(parse_rig(rig)), "us")]
        for rig in (text, text.replace('rating = "1000 lb"', 'rating = "1200 lb"'))
    )
    assert "card" not in tight
    assert within[0] == "card"


@pytest.mark.parametrize(
    ("side", "margin", "told", "edge", "axles"),
    [
        ("under", -0.02, "2.0 points below the floor of 11.0 %", "at least 11.0 %", "back"),
        ("under", 0.02, "2.0 points above the floor of 11.0 %", "at least 11.0 %", ""),
        ("over", 0.02, "2.0 points below the ceiling of 11.0 %", "at most 11.0 %", ""),
        ("over", -0.02, "2.0 points above the ceiling of 11.0 %", "at most 11.0 %", "forward"),
    ],
)
def test_a_share_is_told_from_the_edge_that_is_nearer(
    side: Literal["over", "under"], margin: float, told: str, edge: str, axles: str
) -> None:
    """Above or below it, what is asked of it, and which way the axles would have to go: a tongue
    too light is mended by axles further back."""
    found = bars("1000 lb")
    share = next(one for one in found.worst_stage.limits if one.title == "tongue share")
    one = replace(share, side=side, margin=margin, rating=0.11, chance=0.7, aside=0.0)
    assert room(one, "us") == told
    assert _of(one, "us").endswith(edge)
    asked = "Below or not: 70 % chance below." if side == "under" else "Over or under: 70 % chance"
    assert asked in _open(one, "us")[1][0]
    assert f"axles set further {axles}" in stuck_step(one, found.rig).words


def test_a_weighed_load_at_its_rating_is_told_what_to_take_off() -> None:
    """With 5 lb of room and an sd of 10 lb, 1.96 sd are 15 lb more than there is."""
    found = bars("1000 lb")
    one = next(one for one in found.worst_stage.limits if one.name == "hitch.bars.rating")
    kg: dict[str, Any] = {"rating": 1000 * POUND, "margin": 5 * POUND, "sd": 10 * POUND}
    weighed = replace(found, estimate=replace(found.estimate, memory=cast("Any", ())))
    said = unsure(replace(one, **kg), weighed, "us")
    assert said == "It is weighed, and at its rating: take 15 lb off it."


def test_tyres_are_asked_to_carry_the_load_not_their_rating() -> None:
    """Those to fit carry what stands on the axle, more than those that are on may."""
    found = bars("700 lb")
    (one,) = (one for one in found.worst_stage.limits if one.name == "hitch.bars.rating")
    low = replace(one, kind="tyre rating", value=2000 * POUND, rating=1900 * POUND)
    (step,) = _beyond([low], found.rig, "us")
    assert "carry the axle's 2,000 lb together" in step.words
