"""What is wrong, mended by few moves; and things that roll, slide, or have fuel in them."""

from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from benchmarks import cargo
from click.testing import CliRunner

from steelyard.assessment import assess
from steelyard.assessment.damped import Damped, damped
from steelyard.assessment.sway_advice import sway_advice
from steelyard.cli import main
from steelyard.files.demo import demo_rigs
from steelyard.files.reader import parse_rig
from steelyard.quantity import POUND
from steelyard.ratings import TIGHT
from steelyard.rig import Rig
from steelyard.rig.fumes import fumes, outside
from steelyard.rig.load import Item
from steelyard.scene import opened
from steelyard.stowing.allowed_places import forbidden, may_ride
from steelyard.stowing.arrange import arranged, now
from steelyard.stowing.boarding import boardings, rolls
from steelyard.stowing.mend import mend
from steelyard.stowing.question import Wish
from steelyard.stowing.slides import calmer, no_worse, slid, stood
from steelyard.stowing.stow import Stowed, stow
from steelyard.stowing.what_if import what_if
from steelyard.swaying.stage_sway import sway
from steelyard.words.stowed import calm_words, less_calm

QUICK = Wish(draws=512)
CAMPER = demo_rigs()["perihelion-camper.toml"]
TRACTOR = demo_rigs()["perihelion-tractor.toml"]


def changed(text: str, **tables: Any) -> Rig:
    """A demo rig with keys of its tables changed: `items={"bikes": {...}}`."""
    data = parse_rig(text).model_dump(by_alias=True, exclude_none=True)
    for table, entries in tables.items():
        for name, keys in entries.items():
            data[table].setdefault(name, {}).update(keys)
    return Rig.model_validate(data)


HEAVY = {"weight": {"value": "170 lb", "basis": "weighed"}, "place": "rear-room"}


@pytest.fixture(scope="module")
def tail() -> Stowed:
    """The answer for the camper with a spare engine carried behind its axles."""
    strong = CAMPER.replace('rating = "1000 lb"', 'rating = "1400 lb"')
    return stow(changed(strong, items={"engine": HEAVY}), wish=QUICK)


def test_one_move_mends_what_one_move_can(tail: Stowed) -> None:
    """A heavy thing behind the axles takes the ball's share below its band; trying each single move
    in the statics shows that one mends it, and none lighter does."""
    assert tail.wrong
    assert tail.cure is not None
    assert len(tail.cure.moves) == 1
    rig = tail.rig
    mending = [
        rig.items[item].weight.value
        for item in rig.items
        for place in rig.places
        if next(forbidden(rig, item, place), None) is None and place != rig.items[item].place
        if _good(rig, {**now(rig), item: place}, tail)
    ]
    assert rig.items[tail.cure.moves[0]].weight.value == min(mending)


def _good(rig: Rig, plan: dict[str, str], before: Stowed) -> bool:
    """Whether the statics and the sway model pass a plan, by a file that is packed so."""
    packed = arranged(rig, plan)
    found = assess(packed, draws=512)
    held = all(s.verdict in ("within", "unknown") for s in found.stages)
    calm = damped(opened(packed, draws=512))
    return held and all(
        new.chance <= max(TIGHT, old.chance) for old, new in zip(before.calm, calm, strict=True)
    )


def test_no_plan_makes_sway_likelier(tail: Stowed) -> None:
    """Cure and plan leave the chance of too little damping, as `sway` itself tells it, at or below
    today's at each stage, or what is tight."""
    assert tail.found is not None
    assert tail.cure is not None
    was = sway(tail.rig, speeds=(), samples=512)
    for plan in (tail.found.plan, tail.cure.found.plan):
        now_ = sway(arranged(tail.rig, plan), speeds=(), samples=512)
        for old, new in zip(was, now_, strict=True):
            assert new.chance_below <= max(old.chance_below, TIGHT)


def test_moves_asked_for_are_not_exceeded() -> None:
    """With --moves 1 and 2 no plan moves more; 0 is refused in a sentence."""
    rig = parse_rig(CAMPER)
    for most in (1, 2):
        found = stow(rig, wish=Wish(draws=512, moves=most))
        assert found.order is None or len(found.order.moves) <= most


def test_nothing_wrong_needs_no_cure() -> None:
    """Packed by its own plan, the camper has nothing to mend and nothing to move."""
    rig = parse_rig(CAMPER)
    first = stow(rig, wish=QUICK)
    assert first.found is not None
    again = stow(arranged(rig, first.found.plan), wish=QUICK)
    assert again.cure is None
    assert again.wrong == ()


class TestFumes:
    """Fuel and fumes stay outside by what things are called."""

    @pytest.mark.parametrize(
        ("name", "word"),
        [
            ("generator", "generator"),
            ("fuel-can", "fuel"),
            ("propane_bottle", "propane"),
            ("gas", "gas"),
            ("gas strut", ""),
            ("Barbecue", "barbecue"),
            ("grills", "grills"),
            ("refuelling log", ""),
            ("telescope", ""),
        ],
    )
    def test_told_by_name(self, name: str, word: str) -> None:
        """Whole words, however they are joined; a word within another is none."""
        item = parse_rig(CAMPER).items["bikes"]
        assert fumes(name, item) == word

    def test_the_file_decides(self) -> None:
        """What the file says of a thing goes before its name."""
        item = parse_rig(CAMPER).items["generator"]
        for said, want in ((None, True), (False, False), (True, True)):
            assert outside("generator", item.model_copy(update={"outside_only": said})) is want

    def test_carried_out_of_the_galley(self) -> None:
        """A fuel can in the galley is wrong as it is: cure and plan carry it outside."""
        can = {"weight": "30 lb", "place": "galley"}
        found = stow(changed(CAMPER, items={"fuel-can": can}), wish=QUICK)
        assert found.found is not None
        assert found.found.plan["fuel-can"] == "bed"
        assert found.cure is None or found.cure.found.plan["fuel-can"] == "bed"

    def test_a_headline_carries_it_out(self) -> None:
        """Where every limit holds, two moves mend a fuel can in the galley, one of which is to
        carry it outside; in the bed it asks for none."""
        strong = CAMPER.replace('rating = "1000 lb"', 'rating = "1400 lb"')
        galley, bed = (
            mend(changed(strong, items={"fuel-can": {"weight": "30 lb", "place": place}}))
            for place in ("galley", "bed")
        )
        assert galley is not None
        assert ("fuel-can", "bed") in [(move.item, move.to) for move in galley.moves]
        assert bed is None

    def test_stays_where_there_is_no_outside(self) -> None:
        """In a rig without any place outside it stays where it is, and is told of."""
        can = {"fuel-can": {"weight": "30 lb", "place": "bed"}}
        rig = changed(CAMPER, items=can, places={"bed": {"room": "inside"}})
        assert [p for p in rig.places if next(forbidden(rig, "fuel-can", p), None) is None] == [
            "bed"
        ]


class TestBoarding:
    """A load rolling on over the tail."""

    def test_by_hand(self) -> None:
        """1,500 kg at 2.4 m behind axles 3.6 m behind the ball lift it by 1,500 x 2.4/3.6 = 1,000
        kg (lever, by hand); the rear axle then bears 1,000 (1 + h/L) less."""
        rig = changed(
            TRACTOR,
            items={"tractor": {"weight": "1500 kg", "slides": True}},
            places={"deck": {"station": "4 m", "length": "4 m"}},
        )
        axles = rig.trailer.axles.model_copy(update={"station": _metres(3.6)})
        rig = rig.model_copy(update={"trailer": rig.trailer.model_copy(update={"axles": axles})})
        scene = opened(rig, draws=1)
        (one,) = boardings(scene.rig, scene.estimate, scene.stages)
        assert one.lift == pytest.approx(1000.0, rel=0.01)
        h, L = (float(scene.estimate.at_mean()[f"vehicle.{k}"]) for k in ("overhang", "wheelbase"))
        assert one.rear == pytest.approx(one.lift * (1 + h / L), rel=0.02)
        assert one.stand * (6.0 - 3.6) / 3.6 == pytest.approx(max(-one.ball, 0.0), rel=0.01)

    def test_told_where_something_slides(self, tmp_path: Path) -> None:
        """`stow` and `move` warn of the tail where a thing slides or rolls, and not elsewhere."""
        path = tmp_path / "tractor.toml"
        path.write_text(TRACTOR, encoding="utf-8")
        bare = CliRunner().invoke(main, ["stow", str(path)]).output
        assert "over the tail" not in bare
        path.write_text(
            TRACTOR.replace("[items.tractor]", "[items.tractor]\nslides = true"), "utf-8"
        )
        for words in (["stow"], ["move", "tractor", "--to", "deck"]):
            said = CliRunner().invoke(main, [words[0], str(path), *words[1:]]).output
            assert "on over the tail" in " ".join(said.split())

    def test_slides_without_being_asked(self) -> None:
        """A tractor too far forward slides aft, nearer the share aimed at, and no limit suffers."""
        rig = changed(TRACTOR, items={"tractor": {"slides": True, "station": "12 ft +- 4 in"}})
        found = stow(rig, wish=QUICK)
        assert found.found is not None
        (slide,) = found.slides
        assert slide.to > slide.start

        def off(stage: Any) -> float:
            return abs(float(stage.tongue.share.value) - found.target)

        assert off(found.found.assessment.stages[0]) < 0.01 < off(found.before.stages[0])
        assert stow(stood(rig, "tractor", slide.to), wish=QUICK).slides == ()

    @pytest.mark.parametrize("suffers", [("no_worse", "mends"), ("calmer",)])
    def test_nothing_slides_at_anothers_cost(
        self, monkeypatch: pytest.MonkeyPatch, suffers: tuple[str, ...]
    ) -> None:
        """Where a limit suffers for nothing it stays, and where only the swaying does too."""
        for one in suffers:
            monkeypatch.setattr(f"steelyard.stowing.slides.{one}", lambda *_: False)
        rig = changed(TRACTOR, items={"tractor": {"slides": True, "station": "12 ft +- 4 in"}})
        scene = opened(rig, draws=64)
        assert slid(scene, assess(scene), damped(scene), 0.12, 0.025)[1] == ()


@pytest.mark.parametrize(
    ("was", "then", "good"),
    [(0.01, 0.024, True), (0.01, 0.03, False), (0.3, 0.3, True), (0.3, 0.31, False)],
)
def test_worse_is_likelier_than_now_and_than_tight(was: float, then: float, *, good: bool) -> None:
    """A limit or a swing gets worse by a slide where it is likelier to fail than before and than
    one in forty."""

    def stages(chance: float) -> Any:
        limits = [SimpleNamespace(name=x, chance=y) for x, y in (("ball", 0.0), ("axle", chance))]
        return SimpleNamespace(stages=[SimpleNamespace(limits=[]), SimpleNamespace(limits=limits)])

    assert no_worse(stages(was), stages(then), TIGHT) is good
    before, after = (
        cast(
            "tuple[Damped, ...]",
            [SimpleNamespace(undriven=x, title="go", asked=0.05) for x in (0.0, chance)],
        )
        for chance in (was, then)
    )
    assert calmer(before, after) is good
    found = SimpleNamespace(calm=before, found=SimpleNamespace(calm=after))
    assert ("It makes sway likelier" in less_calm(cast("Stowed", found))) is not good


def test_the_chance_of_too_little_damping_is_told_now_and_then() -> None:
    """At the worst stage of each; nothing where the sway model has no answer for either."""
    now_, then = (
        cast(
            "tuple[Damped, ...]",
            [SimpleNamespace(undriven=x, chance=x, speed=100 / 3.6, asked=0.05) for x in chances],
        )
        for chances in ((0.021, 0.15), (0.074, 0.03))
    )
    told = calm_words(now_, then, "metric")
    assert "damping at 100 km/h is below 0.05" in told
    assert told.endswith("15.0 % now, 7.4 % then.")
    assert "the weight had better go the other way" in calm_words(then, now_, "metric")
    assert calm_words(now_, (), "metric") == calm_words((), then, "metric") == ""


def _metres(length: float) -> Any:
    from steelyard.quantity import parse

    return parse(f"{length} m", "length")


def test_sway_and_move_agree() -> None:
    """`sway`'s advice to carry 100 lb from the middle of one place to another, and `move` of a
    thing of 100 lb that stands there, change damping the same way, and the ball by as much."""
    ballast = {"weight": {"value": "100 lb", "basis": "weighed"}, "place": "rear-room"}
    rig = changed(CAMPER, items={"ballast": ballast})
    advised = {
        one.move.target: one
        for one in sway_advice(rig)
        if one.move.kind == "weight" and one.move.source == "rear-room"
        if one.move.amount == pytest.approx(100 * POUND)
    }
    assert advised
    for place, advice in advised.items():
        found = what_if(rig, {"ballast": place}, {})
        gain = found.calm_after[0].best - found.calm_before[0].best
        ball = [one.stages[0].tongue.weight_kg.best for one in (found.before, found.after)]
        if advice.move.gain == pytest.approx(gain, abs=1e-6):
            assert ball[1] - ball[0] == pytest.approx(advice.ball_change_kg, abs=0.05)
        assert gain * advice.move.gain >= 0


def test_water_alone_mends_what_moves_cannot() -> None:
    """A trailer well packed and too heavy for a full tank: with its water free the cure lets water
    out and moves nothing, no more than is due: a file that leaves so is within by the statics, with
    4 % of the tank more it is tight; and no move alone mends it."""
    facts = cargo.facts(6, 4, 1, 2)
    facts["stages"]["stage 0"]["tanks"]["fresh"] = "90 % +- 3 %"
    packed = stow(Rig.model_validate(facts), wish=QUICK).found
    assert packed is not None
    for item, place in packed.plan.items():
        facts["items"][item]["place"] = place
    kg = packed.assessment.stages[0].trailer_kg.value
    facts["trailer"]["gvwr"] = f"{kg - 25.0:.0f} kg"
    heavy = Rig.model_validate(facts)
    assert stow(heavy, wish=QUICK).cure is None
    cure = stow(heavy, wish=Wish(draws=512, water={"fresh": 0.1})).cure
    assert cure is not None
    assert cure.moves == ()
    (run,) = cure.water
    for more, verdicts in ((0.0, ("within", "unknown")), (0.04, ("tight",))):
        facts["stages"]["stage 0"]["tanks"]["fresh"] = f"{100 * (run.levels[0] + more):.2f} %"
        assert assess(Rig.model_validate(facts), draws=512).verdict in verdicts


def test_a_cure_moves_no_more_than_the_plan() -> None:
    """Where the whole plan mends it with fewer moves than were found for mending alone, that is
    what is told first."""
    for number in range(4):
        found = stow(cargo.packed(8, 5, 2, number), wish=Wish(draws=512, water={"fresh": 0.05}))
        if found.cure and found.order and not found.left and not found.weigh:
            assert len(found.cure.moves) <= len(found.order.moves)


FELT = '\n[felt.truck]\nwhat = "{}"\nspeed = "62 mph"\nstage = "back-home"\n{}\n'


@pytest.mark.parametrize(
    ("what", "more"), [("swayed", ""), ("settled", 'swings = "1 to 2"'), ("steady", "")]
)
def test_what_was_felt_counts_in_a_plan(what: str, more: str) -> None:
    """Now is what `sway` tells with it, at each stage; what was felt may make the plan's load
    likelier to sway and never less likely, for nobody drove it: as `sway` tells that load bare."""
    rig = parse_rig(CAMPER + FELT.format(what, more))
    found = stow(rig, wish=QUICK)
    told = sway(rig, speeds=(), samples=512)
    assert [one.chance for one in found.calm] == pytest.approx([t.chance_below for t in told])
    assert found.found is not None
    bare = sway(arranged(parse_rig(CAMPER), found.found.plan), speeds=(), samples=512)
    for now_, then, without in zip(found.calm, found.found.calm, bare, strict=True):
        assert then.chance >= without.chance_below - 1e-12
        assert then.chance <= max(TIGHT, now_.undriven)
        assert now_.undriven >= now_.chance
    assert (found.calm[-1].chance < found.calm[-1].undriven) == (what != "swayed")


@pytest.mark.parametrize(
    ("said", "rolling"),
    [({}, False), ({"front_wheels": "1 m"}, True), ({"rear_wheels": "1 m"}, True)],
)
def test_what_has_wheels_anywhere_is_rolled_on(said: dict[str, str], *, rolling: bool) -> None:
    """One end on wheels is enough: a barrow is rolled as a tractor is."""
    assert rolls(Item.model_validate({"weight": "100 kg", "place": "deck", **said})) is rolling


@pytest.mark.parametrize(
    ("carrier", "by", "free"),
    [
        ("vehicle", {"class": "mid-size-suv"}, False),
        ("vehicle", {"class": "half-ton-crew-cab"}, True),
        ("trailer", {"style": "open-utility"}, True),
        ("trailer", {"style": "enclosed-cargo"}, False),
    ],
)
def test_outside_is_where_no_roof_is(carrier: str, by: dict[str, str], free: bool) -> None:
    """A place that says no more than what carries it: a pickup's bed and an open trailer's deck
    have open air, a wagon's cargo area has the people's and a box its own (plain sense)."""
    tables: dict[str, Any] = {
        "vehicle": {"class": "van"},
        "trailer": {"style": "boat", "gvwr": "3000 lb"},
        "places": {
            "there": {"on": carrier, "station": "10 ft"},
            "rack": {"on": "trailer", "station": "2 ft", "room": "outside"},
        },
        "items": {"fuel-can": {"weight": "30 lb", "place": "rack"}},
    }
    tables[carrier] |= by
    assert may_ride(Rig(**tables), "fuel-can", "there") is free
