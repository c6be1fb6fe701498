"""Matching: against `assess` one by one (consistency), and against numbers worked out by hand."""

import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from pydantic import BaseModel

import steelyard.files.demo
from steelyard import Rig, assess
from steelyard.estimate import condition, unread
from steelyard.estimate.many_beliefs import Beliefs, condition_many
from steelyard.files import read_rig
from steelyard.files.candidate_tables import parts
from steelyard.files.demo import demo_rigs
from steelyard.files.reader import parse_rig
from steelyard.matching.beliefs import CARGO_STATION, CARGO_WEIGHT, of_pair, towed_sides
from steelyard.matching.block_answers import Block
from steelyard.matching.candidates import Tow, Towed, tow_of, towed_of, unstated
from steelyard.matching.match import match
from steelyard.matching.pair_limits import Room, by_definition, rooms
from steelyard.matching.pair_remedies import _hitches, _tyres, remedies
from steelyard.matching.pairing import EMPTY, FULL, TYPICAL, coupling, seen_from, stages
from steelyard.matching.rank import REFUSED, Summary, keys, lists, pairs, ranked, summary
from steelyard.quantity import POUND
from steelyard.ratings import Check
from steelyard.ratings.judge import TIGHT, UNKNOWN
from steelyard.rig import Trailer
from steelyard.statics.prior import readings
from steelyard.typical import fill
from steelyard.typical.ride import usual_cargo, usual_gear, usual_people
from steelyard.words.matched import reasons

BALL = {
    "vehicle": {"class": "half-ton-crew-cab"},
    "trailer": {"style": "rear-living", "gvwr": "7000 lb"},
}
PIN = {
    "vehicle": BALL["vehicle"],
    "hitch": {"kind": "fifth-wheel"},
    "trailer": {"style": "fifth-wheel", "gvwr": "12000 lb"},
}
EITHER = ("europe", "north-america", None)
DEMO = Path(steelyard.files.demo.__file__).parent


@pytest.fixture(scope="module")
def demo() -> tuple[list[Tow], list[Towed]]:
    """The demo's vehicles and candidate trailers."""
    folder = DEMO
    vehicles = next(parts(folder / "perihelion-vehicles.csv", "vehicle")).rigs
    trailers = next(parts(folder / "perihelion-candidates.csv", "trailer")).rigs
    tows = [tow_of(rig, name) for name, rig in vehicles.items()]
    tows.append(tow_of(read_rig(folder / "perihelion-camper.toml"), "with bars"))
    return tows, [towed_of(rig, name) for name, rig in trailers.items()]


def test_pairs_agree_with_assess_one_by_one(demo: tuple[list[Tow], list[Towed]]) -> None:
    """Consistency: every limit's best estimate is that of `assess` to rounding, its sd within a
    quarter of that of 4,096 draws, its chance within 0.08 (stated in decision 13)."""
    tows, toweds = demo
    found = match(tows, toweds)
    seen = 0
    for block in found.blocks:
        number = 0
        tow, towed = tows[block.tow[number]], toweds[block.towed[number]]
        full = assess(*of_pair(tow, towed))
        for stage, one in enumerate(full.stages):
            limits = {limit.name: limit for limit in (*one.limits, *one.notes)}
            for k, check in enumerate(block.limits):
                at, other = (k, stage, number), limits[check.name]
                near = pytest.approx(other.best, rel=1e-9, abs=1e-9, nan_ok=True)
                assert block.best[at] == near
                if other.verdict == "unknown":
                    assert block.verdict[at] == UNKNOWN
                    continue
                if block.stages[stage] == FULL and check.name == "trailer.gvwr":
                    continue  # by definition at its rating
                assert abs(block.margin[at] - other.margin) <= 0.5 * other.sd + 1e-3
                if other.sd > 1e-6 * abs(other.value):
                    assert block.sd[at] == pytest.approx(other.sd, rel=0.25)
                    assert block.chance[at] == pytest.approx(other.chance, abs=0.08)
                seen += 1
    assert seen > 400


def _truck(name: str, tow_rating: int) -> Tow:
    return tow_of(
        Rig.model_validate(
            {
                "vehicle": {"class": "half-ton-crew-cab", "tow_rating": f"{tow_rating} lb"},
                "trailer": {"style": "enclosed-cargo", "gvwr": "3000 lb"},
            }
        ),
        name,
    )


def test_unbraked_ratings_bind_what_never_weighs_more() -> None:
    """Of trailers that do not say whether they have brakes, the unbraked rating is one of those
    whose own rating is no more than it, and unknown for all others (compared by hand)."""
    free, rated = [2000, 3000, 4000], [1800, 2600, 3400, 4200]
    box = BALL | {"trailer": {"style": "enclosed-cargo", "gvwr": "3000 lb"}}
    whole = Rig.model_validate(box)
    tows = [tow_of(whole.replace("vehicle.tow_rating_unbraked", f"{most} lb")) for most in free]
    toweds = [towed_of(whole.replace("trailer.gvwr", f"{most} lb")) for most in rated]
    found = match(tows, toweds)
    for block in found.blocks:
        k = [check.name for check in block.limits].index("vehicle.tow_rating_unbraked")
        for number, (a, b) in enumerate(zip(block.tow, block.towed, strict=True)):
            unknown = (block.verdict[k, :, number] == UNKNOWN).tolist()
            assert unknown == [rated[b] > free[a]] * len(block.stages)
            if rated[b] <= free[a]:
                assert block.rating[k, 0, number] == pytest.approx(free[a] * POUND)
    assert len(found) == 12


def _box(name: str, empty: int, gvwr: int) -> Towed:
    weight = {"value": f"{empty} lb +- 0 lb", "kind": "scale"}
    return towed_of(
        Rig.model_validate(
            {
                "vehicle": {"class": "three-quarter-ton"},
                "trailer": {
                    "style": "enclosed-cargo",
                    "gvwr": f"{gvwr} lb",
                    "empty": {"weight": weight},
                    "axles": {"count": 2},
                },
            }
        ),
        name,
    )


def test_three_by_three_by_hand() -> None:
    """Pencil and paper: a scale weight holds everything, so as usually loaded a box trailer weighs
    its empty weight and 70 % of what its rating leaves: 2,000 + 0.7 x 1,000 = 2,700 lb, 3,000 +
    0.7 x 2,000 = 4,400 lb, 4,000 + 0.7 x 3,000 = 6,100 lb. Against 4,000, 6,000 and 8,000 lb of tow
    rating the margins follow, six pairs hold it and three do not: those three come last."""
    tows = [_truck("four", 4000), _truck("six", 6000), _truck("eight", 8000)]
    toweds = [_box("a", 2000, 3000), _box("b", 3000, 5000), _box("c", 4000, 7000)]
    by_hand = {
        ("four", "a"): 1300,
        ("four", "b"): -400,
        ("four", "c"): -2100,
        ("six", "a"): 3300,
        ("six", "b"): 1600,
        ("six", "c"): -100,
        ("eight", "a"): 5300,
        ("eight", "b"): 3600,
        ("eight", "c"): 1900,
    }
    found = match(tows, toweds)
    order = [(pair.tow.name, pair.towed.name) for _, pair in ranked(pairs(found))]
    assert set(order[6:]) == {pair for pair, margin in by_hand.items() if margin < 0}
    for block in found.blocks:
        k = [check.name for check in block.limits].index("vehicle.tow_rating")
        for number in range(len(block.tow)):
            pair = tows[block.tow[number]].name, toweds[block.towed[number]].name
            usual, most = (block.stages.index(key) for key in (TYPICAL, FULL))
            room = block.rating[k, usual, number] - block.best[k, usual, number]
            assert room / POUND == pytest.approx(by_hand[pair], abs=1e-3)
            full = block.best[k, most, number] / POUND
            assert full == pytest.approx({"a": 3000, "b": 5000, "c": 7000}[pair[1]], abs=1e-3)


def test_order_by_hand() -> None:
    """Ten pairs written down with the place each must get, by the words of decision 13: list,
    standing, what the loads rest on, exceeded and not known, sway, full rating, chances, room."""
    rows = [  # rank, bases, failed, unknown, sways, full, chance, chance_full, room; place
        ((0, 0, 0, 0, 0, 0, 0.001, 0.01, 3.0), 2),
        ((0, 0, 0, 0, 0, 0, 0.001, 0.01, 3.5), 1),
        ((0, 0, 0, 0, 0, 4, 0.001, 0.90, 9.0), 3),
        ((0, 0, 0, 0, 2, 0, 0.000, 0.00, 9.0), 4),
        ((1, 0, 0, 0, 0, 0, 0.190, 0.30, 0.8), 5),
        ((2, 0, 0, 3, 0, 0, 0.000, 0.00, 9.0), 6),
        ((2, 1, 0, 1, 0, 0, 0.000, 0.00, 9.0), 7),
        ((3, 0, 0, 0, 0, 0, 0.300, 0.30, 0.5), 8),
        ((5, 0, 2, 0, 0, 4, 0.900, 0.99, -2.0), 9),
        ((5, 0, 1, 1, 0, 4, 0.600, 0.99, -0.2), 10),
        ((5, 0, 2, 1, 0, 4, 0.600, 0.99, -0.1), 11),
    ]
    table = np.array([row for row, _ in rows])
    whole = ("bases", "failed", "unknown")
    none = np.zeros(len(rows), dtype=np.intp)
    counts = {name: table[:, at].astype(np.intp) for at, name in enumerate(whole, start=1)}
    found = Summary(
        standing=table[:, 0].astype(np.int8),
        rank=table[:, 0].astype(np.int8),
        refused_full=table[:, 5] == 4,
        bases=counts["bases"],
        failed=counts["failed"],
        unknown=counts["unknown"],
        sways=table[:, 4].astype(np.int8),
        full=table[:, 5].astype(np.int8),
        governs=none,
        governs_full=none,
        chance=table[:, 6],
        chance_full=table[:, 7],
        room=table[:, 8],
    )
    order = sorted(range(len(rows)), key=lambda i: tuple(keys(found)[i]))
    assert [rows[i][1] for i in order] == list(range(1, len(rows) + 1))


RATINGS = (
    *("gvwr", "payload", "gcwr", "tow_rating", "gawr", "load_index", "pressure", "max_pressure"),
    *("rating", "rating_trailer", "rating_tongue", "rating_each"),
    *("distributing_trailer", "distributing_tongue"),
)


def _poorer(fact: Any) -> Iterator[Any]:
    """The same with one rating less, for each that it has, however deep."""
    for name, part in fact.__dict__.items():
        if isinstance(part, BaseModel):
            yield from (fact.model_copy(update={name: one}) for one in _poorer(part))
        elif part is not None and name in RATINGS:
            yield fact.model_copy(update={name: None})


def test_a_rating_taken_away_never_pays(demo: tuple[list[Tow], list[Towed]]) -> None:
    """A row that loses any one rating rises in no list, so passes none of the rows that kept
    theirs, and never comes into the list of what fits; with a rating that is not asked for, such as
    the carrying line of a receiver under bars, it stays where it is."""
    tows = [tow for tow in demo[0] if tow.name in ("club wagon", "with bars")]
    names = ("Finch 16", "Larch 24", "Fen flatbed 18", "Heron 23")
    fell = 0
    for tow in tows:
        for towed in (one for one in demo[1] if one.name in names):
            before = next(pairs(match([tow], [towed], draws=32)))
            poor_tows = [
                *(replace(tow, vehicle=one) for one in _poorer(tow.vehicle)),
                *(replace(tow, hitch=one) for one in _poorer(tow.hitch)),
            ]
            poor_toweds = [
                *(replace(towed, trailer=one) for one in _poorer(towed.trailer)),
                *(replace(towed, hitch=one) for one in _poorer(towed.hitch)),
            ]
            for found in (match(poor_tows, [towed], 32), match([tow], poor_toweds, 32)):
                for after in pairs(found):
                    assert before.list == "fits" or after.list != "fits"
                    assert after.list != before.list or after.key >= before.key
                    fell += after.key > before.key
    assert fell > 150


def test_what_is_not_stated_is_no_fit(demo: tuple[list[Tow], list[Towed]]) -> None:
    """A trailer that fits, without the tongue weight on its label, or without a word on brakes, may
    fit at most and says what is missing; where it stays in its list, it falls in it."""
    tow = next(one for one in demo[0] if one.name == "with bars")
    for towed in (one for one in demo[1] if one.name in ("Finch 16", "Larch 28")):
        before = next(pairs(match([tow], [towed], draws=32)))
        empty = towed.trailer.empty.model_copy(update={"tongue_weight": None})
        for told, update in (("tongue weight", {"empty": empty}), ("brakes", {"brakes": None})):
            poor = replace(towed, trailer=towed.trailer.model_copy(update=update))
            after = next(pairs(match([tow], [poor], draws=32)))
            assert after.list != "fits"
            assert after.list != before.list or after.key > before.key
            assert told in " ".join(reasons(after.block, after.found, 0, "us"))


def test_a_rating_taken_away_does_not_lighten_the_load() -> None:
    """A flatbed without a rating is drawn to carry what flatbeds carry: 70 % of the room that a
    rating of 1/0.28 times its empty weight leaves, 1.8 times the empty weight (by hand, from the
    assumed values of the style); behind the pickup it stays in the last list."""
    trailer = {"style": "flatbed-equipment", "empty": {"weight": "2650 lb"}}
    usual = usual_cargo(Trailer.model_validate(trailer))
    assert not usual.rated
    assert usual.share.value == pytest.approx(0.70 * 0.72 / 0.28)
    rig = {"vehicle": {"class": "mid-size-suv", "tow_rating": "5000 lb"}, "trailer": trailer}
    whole = Rig.model_validate(rig)
    (pair,) = pairs(match([tow_of(whole)], [towed_of(whole)], draws=32))
    assert pair.list == "does-not-fit"


def test_a_share_under_its_floor_leaves_no_room() -> None:
    """A tongue far too light: cargo ahead of the axles would mend it, but that is no room."""
    rig = {
        "vehicle": {"class": "half-ton-crew-cab"},
        "trailer": {
            "style": "rear-living",
            "gvwr": "6200 lb",
            "empty": {
                "weight": "4480 lb",
                "tongue_weight": {"value": "1 lb +- 1 lb", "sure": True},
            },
        },
    }
    whole = Rig.model_validate(rig)
    (pair,) = pairs(match([tow_of(whole)], [towed_of(whole)], draws=32))
    assert pair.block.share[0, 1, 0] < 0.10
    assert pair.block.cargo_band.kg[:, 0].tolist() == [0.0, 0.0]


def test_lists_are_what_is_known() -> None:
    """A row with every rating due stands in a list by what holds; without one it may fit at most;
    a rating kept and exceeded puts it into the last list whatever else is missing, and so does one
    that is likely exceeded; what nobody can tell fits at most."""
    rank = np.array([0, 1, 2, 3, REFUSED])
    none = np.zeros(len(rank), dtype=np.intp)
    said: dict[str, Any] = dict.fromkeys(Summary.__dataclass_fields__, none)
    assert lists(Summary(**{**said, "rank": rank})).tolist() == [0, 0, 1, 1, 2]


def _mixed(number: int) -> Towed:
    """A trailer drawn at random from many kinds of file."""
    draw = random.Random(number)
    weight = draw.randint(1200, 9000)
    trailer: dict[str, Any] = {
        "style": draw.choice(("rear-living", "small-single-axle", "enclosed-cargo")),
        "empty": {"weight": f"{weight} lb" + draw.choice(("", " +- 200 lb"))},
        "axles": {},
    }
    if draw.random() < 0.7:
        trailer["gvwr"] = f"{weight + draw.randint(300, 4000)} lb"
    if draw.random() < 0.5:
        trailer["length"] = f"{draw.uniform(8, 40):.1f} ft"
    if draw.random() < 0.5:
        trailer["empty"]["tongue_weight"] = f"{draw.uniform(0.05, 0.2) * weight:.0f} lb"
    if draw.random() < 0.3:
        trailer["axles"]["rate"] = f"{draw.randint(100, 300)} kN/m"
    rig = {"vehicle": {"class": "half-ton-crew-cab"}, "trailer": trailer}
    return towed_of(Rig.model_validate(rig), f"trailer {number}")


def test_a_trailer_is_usual_of_its_vehicles_region() -> None:
    """A box trailer that states no noseweight is believed nearer to Europe's 4 to 7 % (common
    practice, from memory) behind a European vehicle, in whatever company, and whether or not its
    own file names the region; the rig of the pair says the same of it (`of_pair`)."""
    box = {"style": "enclosed-cargo", "gvwr": "1500 kg", "empty": {"weight": "500 kg"}}
    rigs = [{"vehicle": {"class": "van"}, "trailer": box, "region": one} for one in EITHER]
    here, there, nowhere = (Rig.model_validate(rig) for rig in rigs)
    toweds = [towed_of(nowhere, "unsaid"), towed_of(here, "said")]
    shares: dict[tuple[int, int], float] = {}
    for block in match([tow_of(here, "a"), tow_of(there, "b")], toweds).blocks:
        at = block.stages.index(EMPTY)
        each = zip(block.tow, block.towed, block.share[0, at], strict=True)
        shares |= {(a, b): float(share) for a, b, share in each}
    assert shares[0, 0] == pytest.approx(shares[0, 1], rel=1e-9)
    assert shares[0, 0] < 0.09 < shares[1, 0]
    whole = assess(*of_pair(tow_of(here, "a"), toweds[0])).stages[0]
    assert whole.tongue.share.best == pytest.approx(shares[0, 0], rel=1e-9)
    bare = [assess(rig).stages[0].tongue.share for rig in (here, there)]
    assert bare[0].low < 0.05 < bare[0].value < 0.09 < bare[1].value


def test_read_together_is_read_alone() -> None:
    """120 trailers of many kinds, read in one pass: each belief is the one it has when read by
    itself, where no number is a column and no pass is shared, and so are its draws, whatever the
    others are sure of."""
    toweds = [_mixed(number) for number in range(120)]
    sides = towed_sides(toweds)
    assert 10 < len(sides) < 100
    assert sorted(member for side in sides for member in side.members) == list(range(120))
    for side in sides:
        for number, member in enumerate(side.members):
            alone = towed_sides([toweds[member]])[0]
            assert alone.kind.names == side.kind.names
            sd = np.sqrt(np.sum(alone.root[0] ** 2, axis=1)) + 1e-12
            off = (side.mean[number] - alone.mean[0]) / sd
            np.testing.assert_allclose(off, 0.0, atol=1e-6)
            covs = (side.root[number] @ side.root[number].T, alone.root[0] @ alone.root[0].T)
            scaled = [cov / np.outer(sd, sd) for cov in covs]
            np.testing.assert_allclose(scaled[0], scaled[1], atol=1e-6)
            for name, value in alone.constants.items():
                assert side.constants[name][number] == pytest.approx(value[0], abs=1e-12)
            own = alone.drawn(16, 0)
            for name, drawn in side.drawn(16, 0).items():
                np.testing.assert_allclose(drawn[number], own[name][0], rtol=1e-6, atol=1e-9)


def test_a_trailer_without_a_rating_is_not_answered_full(
    demo: tuple[list[Tow], list[Towed]],
) -> None:
    """It has no load at which it is full: neither a verdict nor a limit is told there."""
    unrated = next(one for one in map(_mixed, range(9)) if one.trailer.gvwr is None)
    found = summary(match([demo[0][0]], [unrated]).blocks[0], TIGHT)
    assert (found.full.tolist(), found.governs_full.tolist()) == ([-1], [-1])


def _block(**said: Any) -> Block:
    """Seven pairs, empty, as usually loaded and full, against two ratings and a rule from memory:
    nothing wrong, tight, a rating not known, likely over, a toss-up, over when full, and one that
    is met to the gram. The empty stage, with all of it wrong, decides nothing."""
    within, unknown, close, perhaps, over = range(5)
    usual = [
        [within, within, unknown, within, within, within, within],
        [within, close, within, perhaps, perhaps, within, within],
        [within] * 7,
    ]
    full = [[within] * 5 + [over, within], [within] * 7, [within] * 7]
    known = {
        "margin": [[300, 50, 0, 80, 80, 5, 200], [100, 20, 40, -10, 10, 70, 0], [1] * 7],
        "sd": [[100, 100, 100, 40, 40, 0, 100], [50, 20, 10, 40, 40, 10, 0], [100] * 7],
        "chance": [[0.01, 0.3, 0.9, 0, 0, 0, 0], [0.02, 0.1, 0, 0.6, 0.3, 0, 0.01], [0.99] * 7],
    }
    stages = {name: np.array([x, x, x], float).swapaxes(0, 1) for name, x in known.items()}
    none = dict.fromkeys(Block.__dataclass_fields__)
    more = {
        "tow": np.arange(7),
        "stages": ("empty", TYPICAL, FULL),
        "limits": tuple(
            SimpleNamespace(name=name) for name in ("vehicle.payload", "vehicle.rear.gawr", "rule")
        ),
        "verdict": np.array([[[over] * 7] * 3, usual, full]).swapaxes(0, 1),
        "note": np.arange(3)[:, None, None] == np.full((3, 3, 7), 2),
        "rating": np.full((3, 3, 7), 1000.0),
        "unsaid": (),
        "speed": 25.0,
        "wags": np.array([[20.0] * 7, [30.0] * 7, [30.0, 30.0, 25.0, 30.0, 30.0, np.inf, 26.0]]),
        "wags_chance": np.array([[1.0] * 7, [0.0] * 7, [0.0, 0.05, 0.9, 0.04, 0.0, 0.0, 0.0]]),
    }
    return Block(**{**none, **stages, **more, **said})


def test_what_decides_a_pair_by_hand() -> None:
    """Of the gravest limits the one with the fewest sd of room governs; a pair is refused where it
    is likelier over than not; a swing that grows in either laden stage is told, and one that may
    from the chance asked for on."""
    found = summary(_block(), 0.05)
    assert found.standing.tolist() == [0, 2, 1, 3, 3, 0, 0]
    assert found.full.tolist() == [0, 0, 0, 0, 0, 4, 0]
    assert found.rank.tolist() == [0, 1, 3, 5, 2, 0, 0]
    assert found.refused_full.tolist() == [False] * 5 + [True, False]
    assert found.failed.tolist() == [0, 0, 0, 1, 0, 0, 0]
    assert found.unknown.tolist() == found.bases.tolist() == [0, 0, 1, 0, 0, 0, 0]
    assert found.governs.tolist() == [1, 1, 1, 1, 1, 1, 0]
    assert found.governs_full.tolist() == [1, 0, 0, 1, 1, 0, 0]
    dark = summary(_block(verdict=np.full((3, 3, 7), UNKNOWN)), 0.05)
    assert set(dark.governs.tolist()) == {-1}
    assert found.room.tolist() == [2.0, 1.0, 4.0, -0.25, 0.25, 7.0, 2.0]
    assert found.chance.tolist() == [0.02, 0.3, 0.0, 0.6, 0.3, 0.0, 0.01]
    assert found.sways.tolist() == [0, 1, 2, 0, 0, 0, 0]
    unsaid = ("trailer.empty.weight", "trailer.brakes")
    poorer = summary(_block(unsaid=unsaid), 0.05)
    assert poorer.standing.tolist() == [1, 2, 1, 3, 3, 1, 1]
    assert poorer.rank.tolist() == [3, 3, 3, 5, 3, 3, 3]
    assert poorer.unknown.tolist() == [2, 2, 3, 2, 2, 2, 2]
    assert poorer.bases.tolist() == [1, 1, 2, 1, 1, 1, 1]


def _room(check: dict[str, Any], sd: float, which: str, **seen: float) -> list[float]:
    """Room by the ratings and by the shares, one number each, of one limit."""
    one = SimpleNamespace(**{"name": "vehicle.payload", "high": 1.0, **check})
    rows = {name: np.array([[x]]) for name, x in seen.items()}
    found = rooms([cast("Check", one)], rows, np.array([[sd]]), which, 0.05)
    return [float(x) for one in found for x in one.kg[:, 0]]


def test_how_much_more_a_pair_takes_by_hand() -> None:
    """A force of 5,000 N under 6,000 rises by g for each kilogram: it takes 1,000/g at best, and to
    be sure 95 times in 100 so much less as 1.645 sd are. A share that sinks takes what is above its
    floor; one that is under it takes nothing, though more would mend it; what hardly moves a limit
    is not stopped by it; and with no weight rating known nobody can say."""
    g, z = 9.80665, 1.6448536
    force = {"best": 5000.0, "heavier": 5000.0 + 50 * g, "low": -np.inf, "high": 6000.0}
    weight = {"measure": "weight"}
    due = [1000 / g, (1000 - z * 100) / g, np.inf, np.inf]
    assert _room(weight, 100.0, "heavier", **force) == pytest.approx(due)
    share = {"best": 0.12, "heavier": 0.11, "low": 0.10, "high": 0.15}
    floor = _room({"measure": "share"}, 0.005, "heavier", **share)
    assert floor == pytest.approx([np.inf, np.inf, 0.02 / 2e-4, (0.02 - z * 0.005) / 2e-4])
    rising = {**share, "best": 0.09, "heavier": 0.10}
    assert _room({"measure": "share"}, 0.005, "heavier", **rising)[2:] == [0.0, 0.0]
    sinking = {**share, "best": 0.16, "heavier": 0.15}
    assert _room({"measure": "share"}, 0.005, "heavier", **sinking)[2:] == [0.0, 0.0]
    still = {**force, "heavier": 5000.0 + 50 * 0.019 * g}
    assert _room(weight, 100.0, "heavier", **still)[:2] == [np.inf, np.inf]
    still["heavier"] = 5000.0 + 50 * 0.021 * g
    assert _room(weight, 0.0, "heavier", **still)[0] == pytest.approx(1000 / g / 0.021)
    assert np.isnan(_room({**weight, "name": "vehicle.gawr"}, 100.0, "heavier", **force)[:2]).all()
    assert np.isnan(_room({**weight, "high": None}, 100.0, "heavier", **force)[:2]).all()


def test_the_least_of_two_rooms() -> None:
    """By what is sure, then by the best estimate; where either best or sure is not known, nobody
    can say."""
    one = Room(kg=np.array([[9.0, 8.0, np.nan, 5.0], [3.0, 2.0, 1.0, 4.0]]), by=np.arange(4))
    other = Room(kg=np.array([[7.0, 9.0, 6.0, 6.0], [2.0, 2.0, 6.0, np.nan]]), by=np.arange(4) + 10)
    both = one.least(other)
    np.testing.assert_equal(both.kg, [[7.0, 8.0, np.nan, 5.0], [2.0, 2.0, np.nan, 4.0]])
    assert both.by[:3].tolist() == [10, 1, -1]


def test_loaded_to_its_rating_a_trailer_is_over_by_half_a_percent() -> None:
    """Less says nothing, being so by definition (the half is assumed); other limits stay."""
    checks = [SimpleNamespace(name="trailer.gvwr"), SimpleNamespace(name="vehicle.gvwr")]
    keys_ = ("margin", "rating", "verdict", "chance", "note")
    stack = {key: np.zeros((2, 2, 2)) for key in keys_}
    stack["rating"] += 1000.0
    stack["margin"][:] = [-5.0, -5.1]
    by_definition(stack, cast("list[Check]", checks), (TYPICAL, FULL))
    told = [stack[key][0, 1].tolist() for key in ("verdict", "chance", "note")]
    assert told == [[0, 4], [0.0, 1.0], [1.0, 0.0]]
    assert not any(stack[key][0, 0].any() or stack[key][1].any() for key in keys_[2:])


def test_a_pair_has_the_hitch_of_the_vehicle_and_what_the_trailer_brings() -> None:
    """The kind that either states, bars set as usually loaded and none on a pin; of a hitch of the
    other kind nothing is left but what the trailer needs, nor its place on the vehicle."""
    coupler = {"coupler": {"rating_trailer": "7000 lb"}}
    bars = {"bars": {"rating": "1000 lb"}}
    vehicle = {**BALL["vehicle"], "overhang": "1.2 m"}
    ball, pin = (
        tow_of(Rig.model_validate({**one, "vehicle": vehicle, "hitch": hitch}))
        for one, hitch in ((BALL, bars), (PIN, PIN["hitch"]))
    )
    behind, fifth = (
        towed_of(Rig.model_validate({**BALL, "hitch": coupler})),
        towed_of(Rig.model_validate(PIN)),
    )
    hooked = tow_of(Rig.model_validate({**BALL, "hitch": {"kind": "pintle"}}))
    assert coupling(hooked, behind).kind == "pintle"
    whole = coupling(ball, behind)
    assert whole.bars is not None
    assert (whole.bars.set_at, whole.coupler) == (TYPICAL, behind.hitch.coupler)
    assert seen_from(ball, behind) is ball.vehicle
    assert coupling(pin, fifth).kind == "fifth-wheel"
    assert coupling(ball, fifth).bars is None
    assert coupling(ball, fifth).kind == "fifth-wheel"
    assert seen_from(ball, fifth).overhang is None


def test_a_hitch_of_another_class_keeps_what_is_rated_as_high() -> None:
    """A receiver of 8,000 lb and 500 lb beside one of 5,000 / 500 keeps both as they are written,
    beside one of 8,000 / 800 the first alone; tyres that are tried bear 12, 26 and 41 %
    more: 45 kg 10^(index/80) (the tyre makers' table in closed form, from memory)."""
    said = {"receiver": {"rating_trailer": "8000 lb", "rating_tongue": "500 lb"}}
    tow = tow_of(Rig.model_validate({**BALL, "hitch": said}))
    tyres = {"axles": {"tyres": {"load_index": 100}}}
    towed = towed_of(Rig.model_validate({**BALL, "trailer": {**BALL["trailer"], **tyres}}))
    old = tow.hitch.receiver
    assert old is not None
    kept = []
    for _, one, _ in list(_hitches(tow, towed))[:2]:
        new = one.hitch.receiver
        assert new is not None
        kept.append(
            (new.rating_trailer is old.rating_trailer, new.rating_tongue is old.rating_tongue)
        )
    assert kept == [(True, True), (True, False)]
    index = [one.trailer.axles.tyres.load_index or 0 for _, _, one in _tyres(tow, towed)]
    more = [10 ** ((one - 100) / 80) - 1 for one in index]
    assert more == pytest.approx([0.12, 0.26, 0.41], abs=0.005)


def test_another_hitch_is_offered_where_the_trailer_hangs_on_a_ball() -> None:
    """And the hitch is of its kind; none to a fifth wheel, nor to a ball behind a pin's hitch."""
    ball, pin = (tow_of(Rig.model_validate(one)) for one in (BALL, PIN))
    behind_ball, behind_pin = (towed_of(Rig.model_validate(one)) for one in (BALL, PIN))
    assert list(_hitches(ball, behind_ball))
    assert not list(_hitches(pin, behind_pin))
    assert not list(_hitches(pin, behind_ball))


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ({}, ["tongue_weight"]),
        ({"tongue_weight": "600 lb"}, []),
        ({"cg": "4 m"}, []),
    ],
)
def test_a_tongue_is_known_by_weight_or_centre(said: dict[str, str], left: list[str]) -> None:
    """Either of the two says what the empty trailer puts on the ball."""
    trailer = {"brakes": True, "empty": {"weight": "5000 lb", **said}, "style": "rear-living"}
    found = unstated(Rig.model_validate({**BALL, "trailer": trailer}).trailer)
    assert [path.rpartition(".")[2] for path in found] == left


def test_usual_cargo_moves_with_the_box_and_by_itself() -> None:
    """At start + part * length it covaries with all else as the box does, and has the spread of its
    part besides: moments of a sum, with the length's spread relative as its scale is."""
    side = towed_sides([_mixed(1)])[0]
    cov, at = side.root[0] @ side.root[0].T, side.kind.names.index
    part = usual_cargo(_mixed(1).trailer).place
    length = np.exp(side.mean[0, at("trailer.box_length")])
    box = [at("trailer.box_start"), at("trailer.box_length")]
    lever, others = np.array([1.0, part.value * length]), slice(0, at(CARGO_WEIGHT))
    along = cov[at(CARGO_STATION)]
    assert along[others] == pytest.approx(lever @ cov[box, others], rel=2e-3, abs=1e-9)
    whole = lever @ cov[np.ix_(box, box)] @ lever + (part.sd * length) ** 2
    assert along[at(CARGO_STATION)] == pytest.approx(whole, rel=2e-3)


def test_remedies_are_worked_out_again(demo: tuple[list[Tow], list[Towed]]) -> None:
    """The bars that mend a pair are the pair with those bars: the same arrays as matching it."""
    tows, toweds = demo
    pickup = next(tow for tow in tows if tow.name == "club pickup")
    meadow = next(towed for towed in toweds if towed.name == "Meadow 19")
    found = [one for one in remedies(pickup, meadow) if one.what.startswith("spring bars")]
    assert found
    rating = float(found[0].what.split("rated ")[1].split(" lb")[0].replace(",", ""))
    rig = Rig.model_validate(
        {
            "vehicle": {"class": "half-ton-crew-cab"},
            "hitch": {"bars": {"rating": f"{rating} lb"}},
            "trailer": {"style": "rear-living", "gvwr": "3000 lb"},
        }
    )
    hitch = pickup.hitch.model_copy(update={"bars": rig.hitch.bars})
    again = match([replace(pickup, hitch=hitch)], [meadow]).blocks[0]
    assert np.array_equal(again.margin, found[0].block.margin, equal_nan=True)
    assert "hitch.receiver.tongue" in found[0].mended
    assert all(len(one.new) < len(one.mended) for one in remedies(pickup, meadow))


def test_many_beliefs_are_those_of_condition() -> None:
    """Conditioned side by side, each belief is what `condition` makes of it alone."""
    rigs = [
        Rig.model_validate(
            {
                "vehicle": {"class": "half-ton-crew-cab"},
                "trailer": {
                    "style": "rear-living",
                    "gvwr": "7000 lb",
                    "empty": {"weight": f"{weight} lb", "tongue_weight": f"{tongue} lb"},
                    "length": f"{length} ft",
                },
            }
        )
        for weight, tongue, length in ((5000, 600, 26), (4400, 350, 22), (6100, 900, 31))
    ]
    sheets = [fill(rig) for rig in rigs]
    own = [readings(rig, sheet) for rig, sheet in zip(rigs, sheets, strict=True)]
    loose = [unread(sheet) for sheet in sheets]
    prior = Beliefs(
        kind=loose[0],
        mean=np.array([one.mean for one in loose]),
        cov=np.array([one.cov for one in loose]),
        constants={
            name: np.array([one.constants[name] for one in loose]) for name in loose[0].constants
        },
    )
    seen = np.array([[reading.value for reading in read] for read in own])
    many = condition_many(prior, own[0], seen, np.array([[r.sd for r in read] for read in own]))
    for number, sheet in enumerate(sheets):
        alone = condition(unread(sheet), own[number])
        np.testing.assert_allclose(many.mean[number], alone.mean, rtol=1e-6, atol=1e-7)
        np.testing.assert_allclose(many.cov[number], alone.cov, rtol=1e-5, atol=1e-9)


def test_somebody_drives_the_empty_rig() -> None:
    """Whoever sits at the wheel; the first of the people where nobody is said to."""
    trailer = towed_of(Rig.model_validate(BALL)).trailer
    for seats, alone in (
        (("passenger", "driver"), ("bo",)),
        (("passenger", "second-left"), ("al",)),
    ):
        people = {name: {"seat": seat} for name, seat in zip(("al", "bo"), seats, strict=True)}
        tow = tow_of(Rig.model_validate({**BALL, "people": people}))
        found = stages(tow, trailer)
        assert found[EMPTY].people == alone
        assert found[FULL].people is found[TYPICAL].people is None


def test_the_people_a_vehicle_lists_ride_in_it() -> None:
    """They and no others; the usual two are told of where nobody is listed."""
    rig = parse_rig(demo_rigs()["perihelion-camper.toml"])
    tow = tow_of(rig)
    assert tow.people == rig.people
    assert tow.usual == ()
    alone = tow_of(rig.model_copy(update={"people": {}}))
    assert alone.people == usual_people()
    assert alone.usual == ("people",)


def test_usual_people_hitch_and_gear_come_to_900_lb() -> None:
    """About 900 lb of people, hitch and gear (common practice, no source), with head and bars of
    about 75 lb and a ball mount of 25 lb."""
    people = sum(person.weight.value for person in usual_people().values() if person.weight)
    gear = sum(item.weight.value for item in usual_gear("half-ton-crew-cab")[1].values())
    assert (people + gear) / POUND + 100 == pytest.approx(900, abs=25)


def test_a_pin_trailer_never_goes_behind_a_wagon(demo: tuple[list[Tow], list[Towed]]) -> None:
    """A trailer with a king pin and a vehicle without a bed is no pair, and is said to be none; a
    hitch of the other kind leaves the coupling unknown rather than rated."""
    tows, toweds = demo
    otter = [towed for towed in toweds if towed.name == "Otter 26"]
    found = match(tows, otter)
    assert [tows[a].name for a, _, _ in found.impossible] == ["club wagon"]
    for block in found.blocks:
        at = [
            k for k, check in enumerate(block.limits) if check.name.startswith("hitch.ball_mount")
        ]
        assert at
        assert np.all(block.verdict[at] == UNKNOWN)


def test_demo_rigs_can_be_matched(tmp_path: Path) -> None:
    """Whole rig files serve as vehicles and as trailers."""
    for name, text in demo_rigs().items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    rigs = next(parts(tmp_path, "vehicle")).rigs
    found = match([tow_of(rig) for rig in rigs], [towed_of(rig) for rig in rigs])
    assert len(found) == 9
