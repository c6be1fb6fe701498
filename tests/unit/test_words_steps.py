"""What to do next: of what kind, about which part, with which number; and not what mends nothing.

Expected numbers are hand arithmetic: 0.45359237 kg to the pound, 1609.344 m to the mile.
"""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from tests.said import IN, LB, MPH, NONE, answer_of, bare, limit, rig_of, stage_of

from steelyard.fault import Fault
from steelyard.ratings import LimitStatus
from steelyard.rig import Rig
from steelyard.statics.ledger import Entry
from steelyard.words.mended import carried, mend_step, mended
from steelyard.words.next_steps import Step, bars_mend, look_up, next_steps, stuck_step, unrated

MEMORY: Any = object()
WEIGHED = replace(bare().estimate, memory=MEMORY)


def pounds(value: float, rating: float, half: float = 0.0, **more: Any) -> LimitStatus:
    """A limit in pounds."""
    return limit(LB * value, LB * rating, LB * half, **more)


OVER = pounds(1100, 1000, verdict="exceeded", chance=1.0)
OPEN = pounds(1010, 1000, 100, verdict="cannot tell", chance=0.45)
TIGHT = pounds(960, 1000, 40, verdict="tight", chance=0.03)
HELD = pounds(500, 1000, 20)
UNRATED = pounds(500, NONE, verdict="unknown", chance=NONE, margin=NONE, name="hitch.ball.tongue")
PLACED = {
    "places": {"tail": {"station": "6 m"}, "galley": {"station": "4 m", "title": "Galley"}},
    "items": {"cot": {"weight": "20 kg", "place": "tail"}},
}
TANK = {"content": "fresh", "capacity": "40 gal", "station": "4 m"}
QUESTION = Fault(due="a weight", path=("items", "cot", "weight"), asks=True)


def kinds(*limits: LimitStatus, **more: Any) -> list[str]:
    """Kinds of what is to be done, in order."""
    return [one.kind for one in next_steps(answer_of(*limits, **more), "us")]


def test_a_label_is_read_for_the_stage_that_asks_most() -> None:
    """The ball bears 500 lb at the stage that decides and 620 lb at another: its label is looked at
    for 620 lb."""
    more = replace(UNRATED, value=LB * 620)
    found = answer_of(OVER, UNRATED)
    found = replace(found, stages=(*found.stages, stage_of(HELD, more)))
    (step,) = (one for one in next_steps(found, "us") if one.kind == "look")
    assert step.lead.endswith(", 620 lb")


@pytest.mark.parametrize(
    ("limits", "more", "told"),
    [
        ((OVER, OPEN, TIGHT, TIGHT, HELD), {"rig": rig_of(**PLACED)}, ["move", "weigh", "weigh"]),
        ((OVER, OVER), {"rig": rig_of(**PLACED)}, ["move"]),
        ((OVER, replace(OVER, kind="chains")), {"rig": rig_of(**PLACED)}, ["move", "set"]),
        ((OPEN, OPEN), {}, ["weigh", "weigh"]),
        ((OPEN,), {"estimate": WEIGHED}, ["weigh"]),
        ((replace(OPEN, sd=LB),), {"estimate": WEIGHED}, ["move"]),
        ((replace(TIGHT, sd=LB),), {"estimate": WEIGHED}, ["move"]),
        ((replace(TIGHT, measure="pressure"),), {}, ["set"]),
        ((replace(TIGHT, kind="chains"),), {}, ["set"]),
        ((HELD,), {}, ["card"]),
        ((HELD, UNRATED), {}, ["look"]),
        ((HELD,), {"missing": ("cargo in the trailer",)}, ["list"]),
        ((), {}, []),
        ((HELD,), {"missing": ("people",), "questions": (QUESTION,)}, ["list", "state"]),
        ((UNRATED, UNRATED), {"missing": ("cargo in the trailer",)}, ["look", "list", "look"]),
        ((UNRATED, UNRATED), {"missing": ("people", "cargo")}, ["list", "look", "look"]),
        ((OPEN,), {"stage": {"unlisted": frozenset({OPEN.name})}}, ["list", "weigh"]),
        ((OVER,), {"stage": {"unlisted": frozenset({OVER.name})}}, ["list"]),
        ((OVER,), {"stage": {"unlisted": frozenset({"gcwr"})}}, ["move"]),
    ],
)
def test_what_is_to_be_done_and_in_what_order(limits: Any, more: Any, told: list[str]) -> None:
    """The gravest first: what a load exceeds once, each that nobody can tell, the tightest; people,
    a question, the first rating, other cargo, further ratings; a card where all is within."""
    assert kinds(*limits, **more) == told


@pytest.mark.parametrize(
    ("widened", "told"),
    [
        (("items.star-party.station", "trailer.empty.weight"), ["weigh", "state", "weigh"]),
        (("trailer.empty.weight", "items.star-party.station"), ["weigh", "weigh"]),
        (("items.star-party.weight",), ["weigh", "weigh"]),
        (("people.ada.station",), ["weigh", "weigh"]),
        ((), ["weigh", "weigh"]),
    ],
)
def test_a_thing_is_taped_where_its_place_widens_the_most(
    widened: tuple[str, ...], told: list[str]
) -> None:
    """After the weighing that decides, and of the deciding limit alone."""
    more = {"stage": {"widened": {OPEN.name: widened}}}
    assert kinds(OPEN, replace(OPEN, name="vehicle.gvwr", margin=LB * 5), **more) == told
    for step in next_steps(answer_of(OPEN, **more), "us"):
        if step.kind == "state":
            assert step.about == "items.star-party.station"
            assert "how far back star-party rides" in step.words


def test_the_tightest_is_weighed_to_be_surer() -> None:
    """Of two that are tight, the one with less room for its spread, by name."""
    near = replace(TIGHT, title="front axle", name="vehicle.front.gawr", margin=TIGHT.margin / 2)
    (step,) = next_steps(answer_of(TIGHT, near), "us")
    assert (step.about, step.lead) == ("front", "front axle")
    assert step.words == "Weigh the front axle on a platform scale, hitched, to be surer."
    (step,) = next_steps(answer_of(replace(TIGHT, sd=LB), estimate=WEIGHED), "us")
    assert (step.about, step.lead) == (TIGHT.name, "rear axle")
    (step,) = next_steps(answer_of(replace(OPEN, sd=LB), estimate=WEIGHED), "us")
    assert (step.about, step.lead) == (OPEN.name, "rear axle")
    assert step.whole == "Rear axle: it is weighed, and at its rating: take 12 lb off it."
    (step,) = next_steps(answer_of(OPEN), "us")
    assert (step.about, step.lead) == ("rear", "rear axle")


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (pounds(5500, 5000, kind="distribution"), "Fit spring bars: the vehicle's manual requires"),
        (pounds(5500, 5000, kind="distribution"), "them above 5,000 lb."),
        (
            pounds(3600, 3500, kind="tyre rating", title="GAWR within rear tyres"),
            "Fit rear tyres that carry the axle's 3,600 lb together.",
        ),
        (
            limit(2, 1, kind="rule", name="rules.chains", measure="ratio", title="chains due"),
            "Fit 2 safety chains.",
        ),
        (
            limit(25e3, 20e3, kind="chains", measure="force"),
            "Fit safety chains of 25.00 kN breaking force each.",
        ),
        (
            limit(17500, 15000, kind="part's force", measure="force", title="D-value"),
            "Fit another: D-value of 17.50 kN or more.",
        ),
        (
            limit(500e3, 450e3, measure="pressure", title="rear tyres' pressure"),
            "Let rear tyres' pressure down to 65 psi or less, cold.",
        ),
        (
            limit(70 * MPH, 65 * MPH, measure="speed", title="speed of the tyres"),
            "Stay at 65 mph or less: speed of the tyres allows no more.",
        ),
        (
            limit(2 * IN, 1.875 * IN, measure="length", name="hitch.ball.size"),
            "takes a ball of 2.00 in or more.",
        ),
        (
            limit(1, 0, measure="fitted", title="spring bars"),
            "Do not tow with this: spring bars must be put right.",
        ),
    ],
)
def test_what_no_weight_mends_is_set_right(one: LimitStatus, told: str) -> None:
    """With the number that the new part must have, or the limit that it must keep."""
    (step,) = next_steps(answer_of(replace(one, verdict="exceeded", chance=1.0)), "us")
    assert (step.kind, step.about) == ("set", one.name)
    assert told in step.words


def test_a_pressure_is_told_in_bar_to_a_tenth() -> None:
    """On the continent 4.5 bar: told whole it would be 5, and beyond the limit."""
    one = limit(500e3, 450e3, measure="pressure", verdict="exceeded", chance=1.0)
    assert "4.5 bar" in next(next_steps(answer_of(one), "continent")).words


RECEIVER = "hitch.receiver.tongue"


def barred(**more: Any) -> Rig:
    """A rig whose receiver takes 1,000 lb with spring bars."""
    receiver = {"rating_tongue": "500 lb", "distributing_tongue": "1000 lb"}
    known = {"hitch": {"receiver": receiver, **more.pop("hitch", {})}}
    return rig_of(**known, **more)


@pytest.mark.parametrize(
    ("one", "rig", "told"),
    [
        (pounds(900, 500, name=RECEIVER, at=RECEIVER), barred(), True),
        (pounds(1100, 500, name=RECEIVER, at=RECEIVER), barred(), False),
        (pounds(1000, 500, name=RECEIVER, at=RECEIVER), barred(), False),
        (pounds(9900, 500, name="hitch.receiver.trailer", at="hitch"), barred(), True),
        (pounds(9900, 500, name="hitch.ball_mount.tongue", at="hitch"), barred(), True),
        (pounds(9900, 500, name="hitch.ball.tongue", at="hitch.ball.tongue"), barred(), False),
        (OVER, barred(), True),
        (replace(OVER, at="vehicle.front.gawr"), barred(), False),
        (OVER, barred(vehicle={"distribution": "forbidden"}), False),
        (OVER, barred(region="europe"), False),
        (OVER, barred(hitch={"bars": {"rating": "1000 lb"}}), False),
    ],
)
def test_where_spring_bars_help(one: LimitStatus, rig: Rig, *, told: bool) -> None:
    """They take weight off the rear axle, and lift the rating of a part that is rated for more with
    them than it carries; not where they are fitted, forbidden or not sold."""
    assert bars_mend(one, rig) is told


@pytest.mark.parametrize(
    ("rig", "told"),
    [
        (rig_of(**PLACED), "Fit spring bars, or move or leave weight to bring rear axle"),
        (rig_of(**PLACED, region="europe"), "Move or leave weight to bring rear axle within its"),
        (
            rig_of(
                trailer={
                    "tanks": {"fresh": {"content": "fresh", "capacity": "40 gal", "station": "4 m"}}
                }
            ),
            "Fit spring bars, or fill or empty the tanks to bring rear axle",
        ),
        (rig_of(), "No moving or leaving of the load mends rear axle: it takes spring bars, a"),
    ],
)
def test_weight_is_moved_where_there_is_any(rig: Rig, told: str) -> None:
    """Things, or tanks where nothing is listed for `stow` to move; else it takes another vehicle or
    trailer."""
    assert next(next_steps(answer_of(OVER, rig=rig), "us")).words.startswith(told)


UNBRAKED: Any = {"name": "vehicle.tow_rating_unbraked", "at": "vehicle.tow_rating_unbraked"}


@pytest.mark.parametrize(
    ("rating", "brakes", "told"),
    [
        ("3000 lb", False, "Fit trailer brakes, or move or leave weight to bring"),
        ("2000 lb", False, "Fit trailer brakes, or"),
        ("1900 lb", False, "Move or leave weight"),
        ("3000 lb", True, "Move or leave weight"),
        (None, False, "Move or leave weight"),
    ],
)
@pytest.mark.parametrize("placed", [PLACED, {}])
def test_brakes_are_named_where_they_would_do(
    rating: str | None, told: str, placed: Any, *, brakes: bool
) -> None:
    """2,000 lb without brakes, over the 1,000 of the manual, and as much with them as it allows."""
    more = {"vehicle": {"tow_rating": rating}, "trailer": {"brakes": brakes}}
    one = replace(pounds(2000, 1000, **UNBRAKED), verdict="exceeded", chance=1.0)
    (step, *_) = next_steps(answer_of(one, rig=rig_of(**{**placed, **more})), "us")
    if placed:
        assert step.words.startswith(told)
    assert ("railer brakes" in step.words) is told.startswith("Fit")


def test_a_trailer_that_lifts_is_not_towed() -> None:
    """A share below nothing: the ball is pulled up, and what rides behind the axles does it."""
    down, up = (limit(share, 0.1, side="under", **SHARE) for share in (0.02, -0.02))
    told = [
        next(next_steps(answer_of(replace(one, verdict="exceeded"), rig=rig_of(**PLACED)), "us"))
        for one in (down, up)
    ]
    assert [step.kind for step in told] == ["move", "move"]
    assert ["Do not tow: the trailer lifts the ball." in step.words for step in told] == [
        False,
        True,
    ]


SHARE: Any = {"measure": "share", "at": "tongue.share", "title": "tongue share"}
EUROPE = rig_of(region="europe")


@pytest.mark.parametrize(
    ("one", "rig", "told"),
    [
        (
            limit(0.09, 0.1, side="under", **SHARE),
            EUROPE,
            "back, or what is built on set further f",
        ),
        (limit(0.12, 0.1, side="under", **SHARE), EUROPE, "forward, or what is built on set f"),
        (limit(0.16, 0.15, **SHARE), EUROPE, "forward, or what is built on set further back"),
        (limit(0.14, 0.15, **SHARE), EUROPE, "back, or what is built on set further forward"),
        (limit(0.1, 0.1, side="under", **SHARE), EUROPE, "set further forward, or what"),
        (
            limit(0.16, 0.15, **SHARE),
            rig_of(trailer={"style": "boat"}),
            "axles set further forward, or the boat set further back",
        ),
        (limit(0.16, 0.15, 0.01, **SHARE), EUROPE, "it takes axles set further forward, or what"),
        (
            limit(0.16, 0.15, 0.06, **SHARE),
            rig_of(trailer={"empty": {"weight": "1000 kg", "tongue_weight": "160 kg"}}),
            "it takes axles set further forward, or what",
        ),
        (pounds(2, 1, at="trailer.gvwr"), EUROPE, "it takes a trailer rated for more."),
        (pounds(2, 1, at="hitch.ball.tongue"), EUROPE, "it takes a hitch rated for more."),
        (
            pounds(2, 1, at="vehicle.gvwr"),
            EUROPE,
            "a lighter trailer, or a vehicle rated for more.",
        ),
        (
            pounds(2, 1),
            rig_of(),
            "it takes spring bars, a lighter trailer, or a vehicle rated for more.",
        ),
        (
            pounds(900, 500, name=RECEIVER, at=RECEIVER),
            barred(),
            "it takes spring bars, or a hitch rated for more.",
        ),
    ],
)
def test_what_it_takes_where_no_load_mends_it(one: LimitStatus, rig: Rig, told: str) -> None:
    """Axles further back, or the box further forward, put more on the ball; by whose rating it is;
    spring bars where they help."""
    step = stuck_step(one, rig)
    assert told in step.words
    assert (step.kind, step.about) == ("move", "limits")
    lighter = stuck_step(one, rig, ("empty the tanks (333 lb)", "list what rides"))
    side = "behind" if "axles set further back" in step.words else "ahead of"
    leave = f"leave load {side} the axles" if one.measure == "share" else "leave load"
    assert lighter.words.startswith(f"Empty the tanks (333 lb), list what rides, {leave}, or it")


@pytest.mark.parametrize(("places", "told"), [(["nose"], True), (["nose", "tail"], False)])
def test_the_one_place_of_a_trailer_is_not_all_there_is(places: list[str], *, told: bool) -> None:
    """A load in the nose, the only place that was stated, may ride further back (moments about the
    axle): that is named, and no axles set elsewhere. Of two places the other was tried."""
    rig = rig_of(
        trailer={"empty": {"weight": "460 kg", "tongue_weight": "40 kg"}},
        places={name: {"station": f"{2 + 2 * k} m"} for k, name in enumerate(places)},
        items={"dome": {"weight": "380 kg", "place": "nose"}},
    )
    heavy = limit(0.15, 0.07, **SHARE)
    assert ("a place stated further back for the load" in stuck_step(heavy, rig).words) is told


TONGUE: Any = {"name": "hitch.receiver.rating_tongue", "at": "hitch.receiver.rating_tongue"}


@pytest.mark.parametrize(
    ("one", "part"),
    [
        (pounds(250, 110, 130, **TONGUE), "a hitch rated for more"),
        (limit(0.16, 0.15, 0.06, **SHARE, name="tongue.share"), "axles set further forward"),
    ],
)
def test_no_part_is_asked_for_before_a_guess_is_weighed(one: LimitStatus, part: str) -> None:
    """A tongue of 250 ± 130 lb that nobody stated or weighed, on a towbar of 110 lb: it is weighed
    first, and what the file leaves out listed; another part comes after, in the same words. One
    that is stated empty, or weighed to 5 lb, needs no weighing."""
    for lighter in ((), ("list what rides",)):
        step = stuck_step(one, EUROPE, lighter)
        assert (step.kind, step.about) == ("weigh", "tongue")
        lower = step.words.lower()
        places = [lower.index(words) for words in ("weigh the tongue", "if it is so", part)]
        assert places == sorted(places)
    empty = {"weight": "1000 kg", "tongue_weight": "110 kg"}
    for known in (
        stuck_step(one, rig_of(region="europe", trailer={"empty": empty})),
        stuck_step(replace(one, sd=one.sd / 25), EUROPE),
    ):
        assert (known.kind, "weigh" in known.words) == ("move", False)


def test_nothing_is_moved_where_that_breaks_another_limit() -> None:
    """130 kg on a towbar of 100 kg are 4 % of 3,250 kg, where 5 % are due: load moved forward mends
    the share and adds to the towbar, so it is left or the towbar changed."""
    low = limit(0.04, 0.05, side="under", verdict="exceeded", chance=1.0, **SHARE)
    cap = limit(130.0, 100.0, verdict="exceeded", chance=1.0, kind="part's tongue", **TONGUE)
    for found in ((low, cap), (cap, low)):
        (step, *rest) = next_steps(answer_of(*found, rig=rig_of(**PLACED)), "metric")
        assert step.words.startswith("Leave load")
        assert "a hitch rated for more" in step.words
        assert not [one for one in rest if one.kind == "move"]
    (alone, *_) = next_steps(answer_of(low, rig=rig_of(**PLACED)), "metric")
    assert alone.words.startswith("Move or leave weight")


def test_a_missing_rating_of_the_coupling_comes_first() -> None:
    """What the chain rests on is looked up before an axle's rating, with what it bears."""
    held, chain = replace(UNRATED, title="a"), replace(UNRATED, title="b", chain=True, at="hitch")
    assert unrated([held, HELD, chain]) == [chain, held]
    step = look_up(chain, "us")
    assert (step.lead, step.words, step.about) == (
        "b, 500 lb",
        "Look at the label in the door.",
        "hitch",
    )
    assert look_up(replace(chain, value=NONE), "us").lead == "b"
    assert Step(kind="look", words="Look.", lead="b, 500 lb").whole == "B, 500 lb: look."
    assert Step(kind="look", words="Look.").whole == "Look."


def test_what_moves_the_answer_most_is_stated_next() -> None:
    """The first assumption, by name, with how to get at it; nothing where none is left."""
    (card, state) = next_steps(replace(answer_of(HELD), assumed=bare().assumed), "us")
    assert card.kind == "card"
    assert state.about == bare().assumed[0].name
    assert "weighing the rig" not in state.words
    assert kinds(HELD) == ["card"]


def mend(*limits: LimitStatus, **more: Any) -> Any:
    """What mends a rig: the cot moved to the galley, and how it is then."""
    after = answer_of(*limits, rig=rig_of(**PLACED), **more.pop("after", {}))
    moves = (SimpleNamespace(item="cot", to="galley"),)
    parts = {"moves": moves, "after": after, "stuck": (), "lightened": frozenset(), **more}
    return SimpleNamespace(**parts)


@pytest.mark.parametrize(
    ("limits", "more", "told"),
    [
        ((HELD,), {}, "Move cot to the Galley: then within, 500 lb to spare."),
        ((TIGHT,), {}, "Move cot to the Galley: then tight, 40 lb to spare."),
        ((OPEN,), {}, "Move cot to the Galley: then weigh it."),
        ((HELD, UNRATED), {}, "Move cot to the Galley: then nothing known is exceeded."),
        ((HELD,), {"after": {"missing": ("people",)}}, "cot to the Galley: then nothing known is"),
        ((), {}, "Move cot to the Galley: then within."),
        ((OVER,), {}, None),
        ((HELD,), {"moves": ()}, None),
    ],
)
def test_moves_that_mend(limits: Any, more: Any, told: str | None) -> None:
    """What is carried where, and how it is then; nothing where something is exceeded still."""
    found = mend(*limits, **more)
    said = mend_step(found, found.after.stages[0].key, "us")
    assert (said.words if said else None) == told or (said and told and told in said.words)
    plain = Step(kind="move", words="Move.", about=OVER.name)
    step = mended(plain, stage_of(OVER), found, "us")
    assert step == (said or plain)
    assert mended(plain, stage_of(OVER), None, "us") is plain


def test_each_place_is_named_once() -> None:
    """Things that go to one place are told together, in the order of the moves."""
    moves: Any = [
        SimpleNamespace(item=item, to=to)
        for item, to in (("cot", "galley"), ("lamp", "tail"), ("mat", "galley"))
    ]
    assert carried(rig_of(**PLACED), moves) == ["cot and mat to the Galley", "lamp to the tail"]


def entry(name: str, pounds: float, body: str) -> Entry:
    """A row of the ledger."""
    kg = pounds * LB
    return Entry(name=name, body=body, place=None, kg=kg, station=4.0, tongue_kg=0.0, lever=0.0)


@pytest.mark.parametrize(
    ("at", "says"),
    [
        ("trailer.gvwr", "Empty the tanks (310 lb), list what rides (200 lb reckoned with), leave"),
        ("vehicle.rear.gawr", "tanks (310 lb), list what rides (290 lb reckoned with), leave load"),
    ],
)
def test_what_lightens_a_rig_that_no_move_mends(at: str, says: str) -> None:
    """Tanks of the trailer, and what nobody listed: in the trailer alone where it is the trailer's
    own limit, else in both; nothing of less than 5 kg."""
    rows = (
        entry("fresh tank", 300, "trailer"),
        entry("grey tank", 10, "trailer"),
        entry("fuel tank", 150, "vehicle"),
        entry("not listed, in the trailer", 200, "trailer"),
        entry("not listed, in the cabin", 90, "vehicle"),
        entry("cot", 40, "trailer"),
    )
    over = replace(OVER, at=at)
    ledger = SimpleNamespace(weights=rows)
    stage = stage_of(over, ledger=ledger)
    step = Step(kind="move", words="Move.", about=over.name)
    stuck = mend(over, stuck=(over.title,), lightened=frozenset({over.title}))
    assert says in mended(step, stage, stuck, "us").words
    heavy = mend(over, stuck=(over.title,))
    assert mended(step, stage, heavy, "us").words.startswith("No moving or leaving of the load")
    less = stage_of(over, ledger=SimpleNamespace(weights=(entry("fresh tank", 10.9, "trailer"),)))
    assert "tanks" not in mended(step, less, stuck, "us").words
    five = replace(entry("fresh tank", 11.0, "trailer"), kg=5.0)
    more = stage_of(over, ledger=SimpleNamespace(weights=(five,)))
    assert "Empty the tanks (11 lb), leave load" in mended(step, more, stuck, "us").words


@pytest.mark.parametrize(("side", "tells"), [("under", "(333 lb)"), ("over", "(111 lb)")])
def test_a_share_is_mended_by_what_rides_on_its_own_side(side: Any, tells: str) -> None:
    """A tank of 333 lb behind the axles takes off the ball, one of 111 lb ahead of them adds to it:
    of a share of 8 % or 17 % only the one that pushes it out is emptied."""
    value, rating = (0.08, 0.10) if side == "under" else (0.17, 0.15)
    over = limit(value, rating, verdict="exceeded", measure="share", side=side, margin=-0.02)
    tanks = (entry("grey tank", 333, "trailer"), entry("fresh tank", 111, "trailer"))
    rows = tuple(replace(one, lever=x) for one, x in zip(tanks, (-0.5, 0.4), strict=True))
    stage = stage_of(over, ledger=SimpleNamespace(weights=rows))
    step = Step(kind="move", words="Move.", about=over.name)
    stuck = mend(over, stuck=(over.title,), lightened=frozenset({over.title}))
    words = mended(step, stage, stuck, "us").words
    assert words.startswith(f"Empty the tanks {tells}, leave load")
