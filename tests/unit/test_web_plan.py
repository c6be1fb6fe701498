"""Finding places on the page: what stays home is told, added up and applied with the moves."""

import re
import tomllib
from dataclasses import replace
from html import unescape
from types import SimpleNamespace
from typing import cast

import pytest
from tests.unit.test_stow import NOSE
from tests.unit.test_stow_unmended import CARAVAN

from steelyard import assess
from steelyard.cards import card
from steelyard.cli.check_first import first_lines
from steelyard.files import parse_rig
from steelyard.files.changes import AskError, moved
from steelyard.files.demo import demo_rigs
from steelyard.quantity import POUND, Z95
from steelyard.rig import Rig
from steelyard.stowing.mend import mend
from steelyard.stowing.move_order import Move
from steelyard.web.acts import ACTS, sway
from steelyard.web.acts.base import Watch
from steelyard.web.acts.plan import KEPT
from steelyard.web.look import Look
from steelyard.web.page import part
from steelyard.web.sections import headline, limits, load, plan, tools
from steelyard.web.session import Session
from steelyard.web.state import State, rig_of
from steelyard.words.assessed import to_spare
from steelyard.words.mended import carried

GVWR = "vehicle.gvwr"

CAMPER = demo_rigs()["perihelion-camper.toml"]
FULL = """
[trailer.tanks.fresh]
content = "fresh"
capacity = "100 L"
station = "4 m"
[stages.here.tanks]
fresh = "full"
"""
LISTED = "format = 1\neverything_listed = true"


def do(session: Session, act: str, **ask: object) -> str:
    """One act, as the page asks for it."""
    found = ACTS[act]
    return found.on(session, found.ask.model_validate(ask))


def checked(rig: Rig) -> str:
    """What `check` answers first, unbroken."""
    return " ".join(" ".join(first_lines(assess(rig), "us", lambda: mend(rig))).split())


def heavy_tailed() -> Session:
    """The demo's camper with a heavy rear room, on bars that carry its nose."""
    text = CAMPER.replace('rating = "1000 lb"', 'rating = "1100 lb"')
    data = tomllib.loads(text)
    for item in ("telescopes", "pantry"):
        data = moved(data, item, "rear-room")
    data["items"]["bikes"]["weight"] = "150 lb"
    return Session(State(data=data), text, None, "tail.toml", None)


def test_the_headline_names_moves_that_mend() -> None:
    """First the headline asks to move weight; then it names what to move where, and the room after:
    done so and assessed anew, the rig is within at each stage, and the room is that."""
    session = heavy_tailed()
    seen = session.seen()
    assert "Move or leave weight" in part(headline.SECTION, seen, Look())
    said = unescape(part(headline.MENDED, seen, Look()))
    mended = seen.work.mended
    assert mended is not None
    data = dict(session.state.data)
    for move in mended.moves:
        assert f"{move.item} to the" in said
        data = moved(data, move.item, move.to)
    found = assess(rig_of(data, "mended"))
    assert {stage.verdict for stage in found.stages} == {"within"}
    key = seen.work.found.worst_stage.key
    after = next(stage for stage in found.stages if stage.key == key)
    assert after.deciding is not None
    assert f"then within, {to_spare(after.deciding, 'us')}." in said
    assert f"<span>{card(seen.work.rig).do}</span>" in said
    assert card(seen.work.rig).do in checked(seen.work.rig)
    at_hand = part(tools.MENDED, seen, Look())
    assert 'class="first narrow" data-open="plan" data-then="find"' in at_hand


def test_find_places_beside_the_load_searches_at_one_press() -> None:
    """The button under Load opens the plan and starts the search, as the one at hand does."""
    text = part(load.SECTION, heavy_tailed().seen(), Look())
    assert 'data-open="plan" data-then="find">Find places' in text


@pytest.mark.parametrize(
    ("key", "old", "new", "takes"),
    [
        ("rear axle", 'gawr = "4150 lb"', 'gawr = "2900 lb"', "a lighter trailer, or a vehicle"),
        ("trailer axle 1", 'gawr = "3600 lb"', 'gawr = "2200 lb"', "a trailer rated for more"),
    ],
)
def test_what_no_load_mends_asks_for_no_moving(key: str, old: str, new: str, takes: str) -> None:
    """A rear axle rated for less than the empty pickup's and trailer's own weight on it, a trailer
    axle for less than half of the empty trailer: page and card ask for other ratings, nothing to be
    moved, and assessed with hardly anything aboard the axle is over as well."""
    data = tomllib.loads(CAMPER.replace(old, new))
    if key != "rear axle":
        data["trailer"]["axles"]["tyres"]["max_load"] = "3000 lb"
    session = Session(State(data=data), CAMPER, None, "weak.toml", None)
    seen = session.seen()
    said = unescape(part(headline.MENDED, seen, Look()))
    assert f"No moving or leaving of the load mends {key}: it takes {takes}" in said
    assert card(seen.work.rig).do in said
    assert card(seen.work.rig).do in checked(seen.work.rig)
    assert 'data-open="limits"' in part(tools.MENDED, seen, Look())
    light = {n: {**one, "weight": "1 lb"} for n, one in data["items"].items()}
    bare = assess(rig_of({**data, "items": light}, "bare")).worst_stage
    assert {one.title: one.verdict for one in bare.limits}[key] == "exceeded"


def test_bars_that_are_forbidden_are_said_to_be_fitted_once() -> None:
    """Once among the limits, and the page's one thing to do is to take them off."""
    data = tomllib.loads(CAMPER)
    data["vehicle"]["distribution"] = "forbidden"
    seen = Session(State(data=data), CAMPER, None, "bars.toml", None).seen()
    said = " ".join(re.sub(r"<[^>]*>", " ", part(limits.SECTION, seen, Look())).split())
    assert said.count("fitted") == 1
    assert "Take the spring bars off" in unescape(part(headline.MENDED, seen, Look()))


def test_a_load_of_half_its_rating_is_told_beside_its_room() -> None:
    """Both are the same number; the load is no less told for that."""
    data = tomllib.loads(CAMPER)
    data["vehicle"].pop("payload", None)
    (load,) = (x.value for x in assess(rig_of(data, "rig")).worst_stage.limits if x.name == GVWR)
    data["vehicle"]["gvwr"] = {"value": f"{2 * round(load / POUND)} lb", "sure": True}
    data["vehicle"]["gcwr"] = "60000 lb"
    seen = Session(State(data=data), CAMPER, None, "half.toml", None).seen()
    told = limits.SECTION.facts(seen, Look())
    (row,) = (x for key in ("first", "rest") for x in told[key] if x["name"] == GVWR)
    assert row["room"].startswith(row["value"])
    html = part(limits.SECTION, seen, Look()).replace("\N{NO-BREAK SPACE}", " ")
    said = " ".join(re.sub(r"<[^>]*>", " ", html).split())
    assert f"{row['value']}, {row['room']}" in said


def test_water_and_what_nobody_listed_come_before_another_trailer() -> None:
    """A caravan over its MTPLM with all of its load at home, by its full tank and what nobody
    listed: both are told with what they weigh; with all three gone it is exceeded no more."""
    text = CARAVAN.replace("1640 kg", "1470 kg") + FULL
    rig = parse_rig(text, "caravan")
    said = card(rig).do
    assert said.startswith("Empty the tanks (100 kg), list what rides (")
    assert said.endswith("reckoned with), leave load, or it takes a trailer rated for more.")
    assert mtplm(text) == "exceeded"
    lighter = text.replace('"full"', '"empty"').replace("format = 1", LISTED)
    assert mtplm(re.sub(r'"(34|78|26) kg"', '"1 kg"', lighter)) != "exceeded"


def mtplm(text: str) -> str:
    """How a caravan's MTPLM stands."""
    limits = assess(parse_rig(text, "caravan")).worst_stage.limits
    return next(one.verdict for one in limits if one.name == "trailer.gvwr")


def test_what_is_carried_is_told_by_where_it_goes() -> None:
    """Things for one place together, in the order in which they are carried."""
    moves = [
        SimpleNamespace(item=item, to=place)
        for item, place in (
            ("telescopes", "rear-room"),
            ("bikes", "galley"),
            ("pantry", "rear-room"),
            ("chairs", "rear-room"),
        )
    ]
    rig = rig_of(tomllib.loads(CAMPER), "camper")
    rear, galley = (rig.places[place].title or place for place in ("rear-room", "galley"))
    assert carried(rig, cast("list[Move]", moves)) == [
        f"telescopes, pantry and chairs to the {rear}",
        f"bikes to the {galley}",
    ]


def test_a_headline_that_few_moves_do_not_mend_stays_as_it_was() -> None:
    """Where four moves are due, or the rig is within, the headline is the same again."""
    for text in (CAMPER, CAMPER.replace('rating = "1000 lb"', 'rating = "1100 lb"')):
        seen = Session(State(data=tomllib.loads(text)), text, None, "rig.toml", None).seen()
        assert part(headline.MENDED, seen, Look()) == part(headline.SECTION, seen, Look())


@pytest.mark.parametrize("rating", ["1100 lb", "1000 lb", "900 lb", "700 lb"])
def test_what_to_do_is_at_hand_too(rating: str) -> None:
    """Under each verdict the foot of the page has a button that opens what the headline's does."""
    text = CAMPER.replace('rating = "1000 lb"', f'rating = "{rating}"')
    seen = Session(State(data=tomllib.loads(text)), text, None, "rig.toml", None).seen()
    head, foot = (part(one.SECTION, seen, Look()) for one in (headline, tools))
    opened = re.search(r'class="do"( data-[^>]*)>', head)
    assert opened is not None
    assert f'class="first narrow"{opened[1]}>' in foot


def test_only_what_mends_is_moved() -> None:
    """Of a plan that was found, only the moves that mend what is wrong: one step to undo."""
    session = heavy_tailed()
    before = session.state.data["items"]
    do(session, "find", seconds=2)
    assert "Do only that" in part(plan.SECTION, session.seen(), Look())
    do(session, "apply", cure=True)
    items = session.state.data["items"]
    carried = [name for name in items if items[name] != before[name]]
    assert carried == ["telescopes"]
    assert session.work.found.verdict == "within"
    do(session, "undo")
    assert session.state.data["items"] == before


def test_what_slides_is_slid_by_the_plan_and_by_its_cure() -> None:
    """Applied whole or only as far as it mends, a plan slides what its moves were reckoned with, to
    the station it names, known as well as before; the rig is then within."""
    data = heavy_tailed().state.data
    data["items"]["bikes"] |= {"slides": True, "station": "23 ft +- 4 in"}
    session = Session(State(data=data), "", None, "tail.toml", None)
    do(session, "find", seconds=2)
    kept = session.laid(KEPT)
    assert kept is not None
    (slide,) = kept[1].slides
    assert kept[1].cure is not None
    for cure in (False, True):
        session.lay(KEPT, kept)
        assert do(session, "apply", cure=cure).startswith("1 slid, ")
        station = session.work.rig.items["bikes"].station
        assert station is not None
        assert station.value == pytest.approx(slide.to, abs=0.001)
        assert station.sd == pytest.approx(0.3333 * 0.3048 / Z95, rel=0.01)
        assert session.work.found.verdict == "within"
        do(session, "undo")


def test_the_stage_that_is_asked_about_sways() -> None:
    """A run on the page is of the stage named, and of the worst where none is."""
    session = Session(State(data=tomllib.loads(CAMPER), text=""), CAMPER, None, "rig.toml", None)
    worst = session.work.found.worst_stage.key
    for asked, ran in (({}, worst), ({"stage": "back-home"}, "back-home")):
        do(session, "run", **asked)
        kept = session.laid(sway.KEPT)
        assert kept is not None
        assert kept[1] == ran
    assert worst != "back-home"


@pytest.mark.parametrize("target", ["0 %", "50 %", "50", "half"])
def test_a_share_that_no_trailer_has_is_not_aimed_at(target: str) -> None:
    """Nothing on the ball, or half of the trailer, in per cent whether or not that is typed."""
    session = Session(State(data=tomllib.loads(NOSE)), NOSE, None, "nose.toml", None)
    with pytest.raises(AskError, match=r"^target: expected a share"):
        do(session, "find", target=target)


def test_what_stays_home_on_the_page() -> None:
    """Found, shown as the row before the moves, and taken out with all of them in one step to undo;
    who asks for some of the moves loses nothing."""
    session = Session(State(data=tomllib.loads(NOSE)), NOSE, None, "nose.toml", None)
    assert "Leave chairs home" in do(session, "find")
    shown = part(plan.SECTION, session.seen(), Look())
    assert "<td>leave chairs home</td>" in shown
    kept = session.laid(KEPT)
    assert do(session, "apply", moves=1).startswith("1 moved: ")
    assert "chairs" in session.work.rig.items
    do(session, "undo")
    session.lay(KEPT, kept)
    assert "chairs left home" in do(session, "apply")
    assert "chairs" not in session.work.rig.items
    do(session, "undo")
    assert "chairs" in session.work.rig.items


def test_a_long_act_learns_that_it_is_no_longer_wanted() -> None:
    """It is given the watch of whoever asked, and one that never stops where nobody looks on."""
    act = replace(ACTS["find"], do=lambda session, ask, watch: str(watch.stopped()))
    mine = Watch(stopped=lambda: True)
    told = [act.on(heavy_tailed(), act.ask(), watch) for watch in (mine, None)]
    assert told == ["True", "False"]


def test_one_of_a_pair_is_taken_out() -> None:
    """What another thing names as its opposite can be left home: nothing names it any longer."""
    session = Session(State(data=tomllib.loads(NOSE)), NOSE, None, "nose.toml", None)
    found = ACTS["remove"]
    said = found.on(session, found.ask.model_validate({"item": "crate-b"}))
    assert (len(session.work.found.stages), " at “" in said) == (1, False)
    assert session.work.rig.items["crate-a"].opposite is None


@pytest.mark.parametrize(
    ("region", "held", "bars"),
    [
        ("north-america", "10000 lb", True),
        ("north-america", "6000 lb", False),
        ("europe", "10000 lb", False),
    ],
)
def test_bars_are_named_where_they_lift_a_rating(region: str, held: str, *, bars: bool) -> None:
    """A trailer of 7,000 lb empty on a receiver rated for 5,000 lb: spring bars where its label
    says more with them, as receivers' labels do in North America (common practice), not where it
    says too little; nor in Europe, where they are hardly used (common practice)."""
    rig = parse_rig(f"""
format = 1
name = "two lines on a label"
region = "{region}"
vehicle = {{ class = "half-ton-crew-cab" }}
hitch.receiver = {{ rating_trailer = "5000 lb", distributing_trailer = "{held}" }}
trailer = {{ style = "rear-bunk", gvwr = "7600 lb", empty.weight = "7000 lb" }}
places.rear = {{ on = "trailer", station = "22 ft" }}
items.bikes = {{ weight = "90 lb", place = "rear" }}
""")
    told = checked(rig)
    assert ("it takes spring bars, or a hitch rated for more" in told) is bars
    assert "hitch rated for more" in told
