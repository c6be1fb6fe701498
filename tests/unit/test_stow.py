"""Stowing: rules, sizes, what stays home, the order of moves, decks, and the words for it."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from pydantic import ValidationError
from tests.rigs import plain

from steelyard.assessment import StageResult, assess
from steelyard.files import read_rig
from steelyard.files.demo import demo_rigs
from steelyard.files.edits import Edits, edit_rig
from steelyard.files.reader import parse_rig
from steelyard.quantity import GRAVITY
from steelyard.ratings import LIKELY, TIGHT
from steelyard.rig import HitchPart, Place, Rig
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior
from steelyard.stowing.allowed_places import across, forbidden, hindered
from steelyard.stowing.arrange import arranged, believed, now
from steelyard.stowing.fewer import _most_important, _roomiest, in_words
from steelyard.stowing.linear import STEADY, tail_of
from steelyard.stowing.mend import mend
from steelyard.stowing.move_order import _best, _greedy, calm, changes, ordered
from steelyard.stowing.pairs import mirrors
from steelyard.stowing.plan import assessed, refused
from steelyard.stowing.problem import Steps
from steelyard.stowing.program import Effort, Watch
from steelyard.stowing.question import Wish, lay, problem_at, rows_at
from steelyard.stowing.space import rooms
from steelyard.stowing.station import StationError, footings
from steelyard.stowing.stow import StowError, stow
from steelyard.stowing.water import level_of, poured, runs
from steelyard.stowing.what_if import _pairs, filled, what_if
from steelyard.swaying.linear.modes import oscillation
from steelyard.swaying.linear.rig import combination
from steelyard.travel import plan_stages
from steelyard.words.stowed import plan_verdict

QUICK = Wish(draws=512)
DEMO = next(text for name, text in demo_rigs().items() if "camper" in name)
CAMPER = DEMO.replace("outside_only = true", "outside_only = false")
"""The demo camper, its generator and firewood free to ride anywhere."""
TRACTOR = next(text for name, text in demo_rigs().items() if "tractor" in name)


def camper(**changes: Any) -> Rig:
    """The demo camper with keys of items, places or stages changed: `items={"bikes": {...}}`."""
    rig = parse_rig(CAMPER)
    data = rig.model_dump(by_alias=True, exclude_none=True)
    for table, entries in changes.items():
        for name, keys in entries.items():
            data[table].setdefault(name, {}).update(keys)
    return Rig.model_validate(data)


def _receiver(trailer: str) -> HitchPart:
    return HitchPart.model_validate({"rating_trailer": trailer, "distributing_trailer": "12000 lb"})


class TestDemoCamper:
    """The demo camper, whose spring bars are tight as it is packed."""

    def test_a_plan_is_found_and_passes(self) -> None:
        """Every limit is within after it, and the ball is nearer its target than before."""
        found = stow(parse_rig(CAMPER), wish=QUICK)
        assert found.found is not None
        assert found.before.verdict == "tight"
        assert found.found.assessment.verdict == "within"
        assert set(found.found.plan) == set(found.rig.items)
        assert found.left == ()

        def worst(stages: Any) -> float:
            return float(
                max(abs(s.tongue.weight_kg.value - 0.125 * s.trailer_kg.value) for s in stages)
            )

        assert worst(found.found.assessment.stages) < worst(found.before.stages)

    def test_goals_are_proven(self) -> None:
        """The ball is proven within 2 lb and the second goal within 3 %."""
        found = stow(parse_rig(CAMPER), wish=QUICK).found
        assert found is not None
        share, spread, moves = found.goals
        assert share.gap <= 2.0 * 0.45359237 + 1e-6
        assert spread.relative <= 0.03 + 1e-9
        assert moves.gap < 1.0
        for pounds in (1.9, 2.1):  # that none brings the ball nearer, within 2 lb of what might be
            near = replace(found, unbound=share.value - pounds * 0.45359237)
            assert near.proven is (pounds < 2)

    def test_keep_keeps(self) -> None:
        """What is kept is not moved."""
        found = stow(parse_rig(CAMPER), wish=Wish(keep=("generator", "bikes"), draws=512)).found
        assert found is not None
        assert found.plan["generator"] == "bed"
        assert found.plan["bikes"] == "rear-room"

    def test_what_must_stay_outside_does(self) -> None:
        """As it is, with fuel and firewood outside only, the camper still finds a plan."""
        found = stow(parse_rig(DEMO), wish=QUICK).found
        assert found is not None
        assert found.assessment.verdict == "within"
        assert {found.plan[name] for name in ("generator", "firewood")} == {"bed"}

    def test_another_target(self) -> None:
        """A target asked for is aimed at: a smaller one gives a smaller share."""
        found = [
            stow(parse_rig(CAMPER), wish=Wish(target=t, draws=512)).found for t in (0.115, 0.13)
        ]
        shares = [one.assessment.stages[0].tongue.share.value for one in found if one is not None]
        assert shares[0] < shares[1]

    def test_near_enough_moves_less(self) -> None:
        """With 60 lb of leeway on the ball no more things are carried than with 2 lb."""
        loose = Wish(effort=Effort(near=27.0), draws=512)
        counts = [len(one.moves) for one in (_order(QUICK), _order(loose))]
        assert counts[1] <= counts[0]

    def test_stopped_at_once(self) -> None:
        """Somebody who stops the search gets the best so far or nothing, never a plan unchecked."""
        found = stow(parse_rig(CAMPER), wish=QUICK, watch=Watch(stopped=lambda: True))
        assert found.found is None or found.found.assessment.verdict == "within"


def _order(wish: Wish) -> Any:
    found = stow(parse_rig(CAMPER), wish=wish).order
    assert found is not None
    return found


class TestRules:
    """What an item's own words forbid."""

    @pytest.mark.parametrize(
        ("item", "place", "spot", "word"),
        [
            ({"fixed": True}, "galley", {}, "fixed"),
            ({"slides": True}, "galley", {}, "fixed"),
            ({"outside_only": True}, "galley", {}, "outside"),
            ({"not_with_people": True}, "galley", {"room": "cabin"}, "people"),
            ({"reachable_at": ["back-home"]}, "galley", {"blocked_at": ["back-home"]}, "get at"),
            ({"weight": "480 lb"}, "galley", {}, "at most"),
            ({"size": ["9 ft", "1 ft", "1 ft"]}, "galley", {"width": "2 ft"}, "fit"),
        ],
    )
    def test_each_rule(self, item: Any, place: str, spot: Any, word: str) -> None:
        """A rule says no in words, and only that rule."""
        rig = camper(items={"generator": item}, places={place: {**spot, "clearance": "3 ft"}})
        (why,) = forbidden(rig, "generator", place)
        assert word in why

    def test_what_just_goes_in_goes_in(self) -> None:
        """A thing as heavy and as high as its place may take, one as large on every side, and one
        that only may not ride with people where nobody sits."""
        rig = camper(
            items={
                "generator": {"weight": "400 lb", "not_with_people": True},
                "bikes": {"size": ["1 ft", "1 ft", "3 ft"], "upright": True},
                "chairs": {"size": ["4 ft", "3 ft", "2 ft"]},
            },
            places={
                "galley": {
                    "capacity": "400 lb",
                    "length": "4 ft",
                    "clearance": "3 ft",
                    "width": "2 ft",
                }
            },
        )
        for item in ("generator", "bikes", "chairs"):
            assert list(forbidden(rig, item, "galley")) == []

    @pytest.mark.parametrize(
        ("place", "sizes"),
        [
            ({}, {"floor length": (4.0, {"bikes": 3.0, "chairs": 1.0})}),
            ({"width": "2 m"}, {"floor area": (8.0, {"bikes": 1.5, "chairs": 1.0})}),
            (
                {"width": "2 m", "clearance": "1.5 m"},
                {
                    "standing room": (8.0, {"chairs": 1.0}),
                    "volume": (12.0, {"bikes": 1.5, "chairs": 0.5}),
                },
            ),
        ],
    )
    def test_what_a_place_takes_by_size(self, place: Any, sizes: Any) -> None:
        """3 x 0.5 x 1 m and 1 x 1 x 0.5 m, which must stand, on a floor 4 m long, then 2 m wide,
        then under a ceiling at 1.5 m, where only what must stand asks for floor."""
        things: dict[str, Any] = {"bikes": {"size": ["3 m", "0.5 m", "1 m"]}}
        things["chairs"] = {"size": ["1 m", "1 m", "0.5 m"], "upright": True}
        rig = camper(items=things, places={"galley": {"length": "4 m", **place}})
        found = {one.what: one for one in rooms(rig) if one.place == "galley"}
        assert found.keys() == sizes.keys()
        for what, (size, takes) in sizes.items():
            assert found[what].size == pytest.approx(size)
            assert found[what].takes == pytest.approx(takes)

    def test_upright_needs_height(self) -> None:
        """A tall thing lies in a low place unless it must stand."""
        size = {"size": ["1 ft", "1 ft", "5 ft"]}
        low = {"width": "6 ft", "clearance": "2 ft"}
        lying = camper(items={"bikes": size}, places={"lounge": low})
        standing = camper(items={"bikes": {**size, "upright": True}}, places={"lounge": low})
        assert list(forbidden(lying, "bikes", "lounge")) == []
        assert list(forbidden(standing, "bikes", "lounge")) != []

    def test_plans_follow_the_rules(self) -> None:
        """Outside things stay outside, bound ones ride together, parted ones apart."""
        rig = camper(
            items={
                "generator": {"outside_only": True, "apart": ["firewood"]},
                "bikes": {"together": ["chairs"]},
            },
            places={"rack": {"on": "trailer", "station": "4 ft", "room": "outside"}},
        )
        found = stow(rig, wish=QUICK).found
        assert found is not None
        plan = found.plan
        assert plan["generator"] in ("bed", "rack")
        assert plan["bikes"] == plan["chairs"]
        assert plan["firewood"] != plan["generator"]

    def test_floor_length_is_kept(self) -> None:
        """No place is filled beyond its floor length at any stage."""
        long = {"size": ["30 in", "20 in", "20 in"]}
        rig = camper(items=dict.fromkeys(("bikes", "chairs", "bedding", "firewood"), long))
        found = stow(rig, wish=QUICK).found
        assert found is not None
        for name, place in rig.places.items():
            held = [n for n in ("bikes", "chairs", "bedding", "firewood") if found.plan[n] == name]
            assert place.length is None or len(held) * 0.762 <= place.length.value + 1e-6

    @pytest.mark.parametrize(
        ("items", "word"),
        [
            ({"bikes": {"together": ["chairs"], "apart": ["chairs"]}}, "bound by together"),
            ({"bikes": {"together": ["bedding"]}, "bedding": {"together": ["chairs"]},
              "chairs": {"apart": ["bikes"]}}, "bound by together"),
            ({"bikes": {"together": ["canoe"]}}, "canoe"),
            ({"bikes": {"apart": ["bikes"]}}, "itself"),
            ({"bikes": {"reachable_at": ["lunch"]}}, "lunch"),
        ],
    )  # fmt: skip
    def test_rules_that_contradict(self, items: Any, word: str) -> None:
        """Circular and unknown rules are refused in a sentence when the file is read."""
        with pytest.raises(ValidationError, match=word):
            camper(items=items)


def test_how_far_out_a_thing_rides_is_the_square_of_its_lever() -> None:
    """Of two of one height, about an axle at 5.1 m: 2.1 m ahead and 1.9 behind differ by 2.1^2 -
    1.9^2; about the middle of a wheelbase of 3.7 m, 1.15 m and 1.35 m likewise."""
    at = {
        "a": ("trailer", 3.0),
        "b": ("trailer", 7.0),
        "c": ("vehicle", 3.0),
        "d": ("vehicle", 0.5),
    }
    rig = plain(items={name: (on, 50.0, station) for name, (on, station) in at.items()})
    inertia = lay(rig, None, Wish()).cargo.inertia
    a, b, c, d = (next(x for one, x in inertia.items() if one.place == name) for name in "abcd")
    assert (a - b, c - d) == pytest.approx((2.1**2 - 1.9**2, 1.15**2 - 1.35**2))


class TestNothingFits:
    """Too much for the rig."""

    def test_least_important_stays_home(self) -> None:
        """With a lower trailer rating what matters least stays home, and it is said why; what
        matters most rides, unless too little damping would then be likelier than now."""
        rated = {"bikes": 0, "firewood": 1, "telescopes": 9}
        rig = camper(items={name: {"importance": one} for name, one in rated.items()})
        rating = rig.trailer.model_copy(update={"gvwr": _mass("5950 lb")})
        rig = rig.model_copy(update={"trailer": rating})
        for sway in (True, False):
            found = stow(rig, wish=replace(QUICK, sway=sway))
            assert "bikes" in found.left
            assert found.least
            assert found.found is not None
            assert [goal.name for goal in found.found.goals] == ["share", "spread", "moves"]
            assert "GVWR" in found.conflict
            assert "telescopes" not in found.left or not sway

    def test_nothing_stays_home_for_the_spread_alone(self) -> None:
        """110 lb more of rating, and everything fits at the best estimate: nothing stays home."""
        rig = camper(items={"bikes": {"importance": 0}, "firewood": {"importance": 1}})
        rating = rig.trailer.model_copy(update={"gvwr": _mass("6060 lb")})
        found = stow(rig.model_copy(update={"trailer": rating}), wish=QUICK)
        assert found.left == ()
        assert found.weigh

    def test_a_hopeless_rig(self) -> None:
        """Where even the empty rig is over a limit, the plan is beside it, and says so."""
        rig = parse_rig(CAMPER)
        rating = rig.trailer.model_copy(update={"gvwr": replace(_mass("4000 lb"), sure=True)})
        found = stow(rig.model_copy(update={"trailer": rating}), wish=QUICK)
        (known,) = (one for one in found.unmended if one.title == "trailer GVWR")
        assert known.bare > 0.99
        assert found.found is not None
        assert found.found.assessment.verdict == "exceeded"
        assert "trailer GVWR, exceeded with nothing aboard too" in plan_verdict(found)

    def test_spring_bars_are_named_where_a_rule_asks_for_them(self) -> None:
        """A manual that requires them, or a receiver that carries more with them, is told beside
        the load to be left; with bars forbidden neither is."""
        rig = parse_rig(CAMPER)
        hitch = rig.hitch.model_copy(update={"bars": None})
        manual = {"distribution": "required", "distribution_from": _mass("5000 lb")}
        for rule, said in (
            (manual, "Fit spring bars: the vehicle's manual requires them at this weight."),
            ({}, "Spring bars may mend receiver: trailer"),
            ({"distribution": "forbidden"}, ""),
        ):
            vehicle = rig.vehicle.model_copy(update=rule)
            light = hitch.model_copy(update={"receiver": _receiver("5000 lb")})
            told = plan_verdict(
                stow(rig.model_copy(update={"vehicle": vehicle, "hitch": light}), wish=QUICK)
            )
            assert said in told
            assert said or "pring bars" not in told

    def test_far_too_much(self) -> None:
        """3,000 lb for ten places of 250 lb: what rides passes, what is left and why is told
        in a few words though every place is at odds with it."""
        data = parse_rig(CAMPER).model_dump(by_alias=True, exclude_none=True)
        ends = {f"front {i}": ("trailer", 40 + 50 * i) for i in range(5)}
        ends |= {f"bed {i}": ("vehicle", 120 + 25 * i) for i in range(3)}
        ends |= {"back 0": ("trailer", 280), "back 1": ("trailer", 300)}
        data["places"] = {
            name: {"on": on, "station": f"{at} in", "length": "40 in", "capacity": "250 lb"}
            for name, (on, at) in ends.items()
        }
        data["items"] = {
            f"crate {k}": {"weight": "150 lb", "place": list(ends)[k % 10]} for k in range(20)
        }
        for stage in data["stages"].values():
            stage.pop("without", None)
        wish = Wish(draws=128, effort=Effort(seconds=1.0))
        found = stow(Rig.model_validate(data), wish=wish)
        assert found.found is not None
        assert found.found.assessment.verdict == "within"
        riding = list(found.found.plan.values())
        assert all(riding.count(name) <= 1 for name in ends)
        assert 1 <= len(riding) == 20 - len(found.left)
        assert found.least
        assert "cannot both hold" in found.conflict

    def test_spread_alone_sends_nothing_home(self) -> None:
        """What fits at the best estimate and not for sure all rides, with a word to weigh first."""
        rig = parse_rig(NOSE)
        found = stow(rig, wish=Wish(draws=1024))
        assert found.found is not None
        assert found.left == ()
        assert found.weigh
        chances = [one.chance for s in found.found.assessment.stages for one in s.limits]
        assert TIGHT <= max(c for c in chances if c == c) < LIKELY
        assert "weigh" in plan_verdict(found).lower()

    @pytest.mark.parametrize(
        ("rule", "other", "told"),
        [
            ({"together": ["chairs"]}, {"outside_only": True}, "bikes, chairs together"),
            ({"opposite": "chairs"}, {"outside_only": True}, "bikes.opposite"),
            ({"apart": ["chairs"]}, {"fixed": True}, "bikes.apart"),
        ],
    )
    def test_rules_that_nothing_can_keep(self, rule: Any, other: Any, told: str) -> None:
        """Rules between two things that no places can satisfy are told before anything is solved:
        bikes and chairs are packed in the rear room, where the bikes are fixed."""
        rig = camper(items={"bikes": {"fixed": True, **rule}, "chairs": other})
        with pytest.raises(StowError, match=told):
            stow(rig)

    def test_nothing_to_stow(self) -> None:
        """A rig without items is told so."""
        rig = parse_rig(CAMPER).model_copy(update={"items": {}})
        with pytest.raises(StowError, match="found nothing"):
            stow(rig)

    def test_unknown_keep(self) -> None:
        """Keeping what is not there names what is."""
        with pytest.raises(StowError, match="bedding"):
            stow(parse_rig(CAMPER), wish=Wish(keep=("canoe",)))

    def test_no_place_for_one_thing(self) -> None:
        """A thing that no place suits is named with the reasons, before anything is solved."""
        rig = camper(
            items={"bikes": {"outside_only": True}},
            places={"bed": {"room": "inside"}},
        )
        with pytest.raises(StowError, match=r"bikes.*outside only"):
            stow(rig)

    def test_the_most_important_half(self) -> None:
        """What is fixed, then by importance as long as half of the weight is not passed; of a part
        of nothing only what is fixed or kept."""
        rated = {"bikes": 0, "firewood": 1, "pantry": 5, "bedding": 6, "telescopes": 9}
        things: dict[str, Any] = {name: {"importance": one} for name, one in rated.items()}
        table = lay(
            camper(items={**things, "chairs": {"fixed": True}}), None, Wish(keep=("bikes",))
        )
        start, kg = now(table.rig), table.cargo.weights
        assert set(_most_important(table, start, 0.0)) == {"chairs", "bikes"}
        kept = set(_most_important(table, start, 0.5)) - {"bikes"}
        left = set(start) - kept - {"bikes"}
        free = [table.rig.items[name].importance for name in kept - {"chairs"}]
        assert min(free) >= max(table.rig.items[name].importance for name in left)
        assert sum(kg[name] for name in kept) <= 0.5 * sum(kg.values())

    def test_what_has_no_place_is_told_once(self) -> None:
        """Of two that ride together, of which one has no place at all, that one is named, and not
        both for want of a place in common."""
        rig = camper(
            items={"bikes": {"outside_only": True, "together": ["chairs"]}},
            places={"bed": {"room": "inside"}},
        )
        assert [fault.path for fault in hindered(rig)] == [("items", "bikes")]

    def test_conflict_in_words(self) -> None:
        """Two limits and what is aboard make a sentence."""
        told = in_words(("rear axle", "tongue share's floor"), ("generator",))
        want = "The rear axle and the tongue share's floor cannot both hold with generator aboard."
        assert told == want


def _mass(text: str) -> Any:
    from steelyard.quantity import parse

    return parse(text, "mass")


class TestLinear:
    """Rows against the statics."""

    def test_rows_foretell_the_statics(self) -> None:
        """Moving the bikes changes every limit as the rows say, to a tenth of a pound, damping to
        0.002."""
        table = lay(parse_rig(CAMPER), None, Wish())
        start = now(table.rig)
        rows = rows_at(table, start, 64)
        problem = problem_at(table, start, rows, np.full(len(rows.base), 1e6))
        after = rows_at(table, {**start, "bikes": "galley"}, 64)
        used = np.tensordot(problem.limits.take, problem.counts({**start, "bikes": "galley"}), 2)
        told = used - problem.limits.room - 1e6 - rows.allowance[rows.movable]
        off = np.abs(told - after.base[rows.movable])
        assert np.max(off[~rows.sways[rows.movable]]) < 0.05
        assert np.max(off[rows.sways[rows.movable]]) < 0.002 * STEADY

    @pytest.mark.parametrize("part", [0.01, -0.01])
    def test_what_the_statics_do_not_pass_is_refused(self, part: float) -> None:
        """The demo's bars are tight as it is packed: whether their row is a hundredth of its spread
        over or under, it is asked for more room, and no other row is."""
        table = lay(parse_rig(CAMPER), None, Wish(sway=True, draws=512))
        start = now(table.rig)
        rows, found = rows_at(table, start), assessed(table, start)
        tight = {
            (limit.name, number)
            for number, stage in enumerate(found.assessment.stages)
            for limit in stage.limits
            if limit.chance >= TIGHT
        }
        hit = np.array([(side.name, side.stage) in tight for side in rows.sides])
        near = np.where(hit, (part - 1.0) * rows.allowance, rows.base)
        more = refused(table, found, replace(rows, base=near))
        assert more is not None
        assert np.array_equal(more > 0.0, hit)

    def test_what_was_felt_makes_a_tail_longer_and_never_shorter(self) -> None:
        """Of ten draws no more than two in ten are above the eighth; where half of the weight is on
        the tenth it is the tenth, and where nearly all is on the first the eighth as before."""
        ten, flat = np.arange(1.0, 11.0), np.full(10, 0.1)
        top, low = (np.where(ten == at, 0.91, 0.01) for at in (10.0, 1.0))
        found = [tail_of(ten, 0.2, weights) for weights in (None, flat, top, low)]
        assert found == [8.0, 8.0, 10.0, 8.0]

    def test_like_things_are_counted(self) -> None:
        """Crates that differ in nothing are one kind with several members."""
        crates = {f"crate {n}": {"weight": "20 lb", "place": "lounge"} for n in range(6)}
        table = lay(camper(items=crates), None, Wish())
        rows = rows_at(table, now(table.rig), 64)
        problem = problem_at(table, now(table.rig), rows, np.zeros(len(rows.base)))
        assert max(len(names) for names in problem.members) == 6
        back = problem.plan(problem.counts(now(table.rig)))
        assert back == now(table.rig)

    def test_belief_of_what_did_not_move(self) -> None:
        """Moving one thing leaves all other parameters' means and spreads alone."""
        rig = parse_rig(CAMPER)
        estimate = prior(rig).estimate
        after = believed(estimate, rig, arranged(rig, {**now(rig), "bedding": "lounge"}))
        same = [n for n in estimate.names if n != "items.bedding.station"]
        for name in same:
            old, new = estimate.index[name], after.index[name]
            assert estimate.mean[old] == after.mean[new]
            assert estimate.cov[old, old] == after.cov[new, new]
        assert after.at_mean()["items.bedding.station"] == pytest.approx(16 * 0.3048)

    @pytest.mark.parametrize("rating", ["1400 lb", "900 lb"])
    def test_one_thing_more_goes_where_it_leaves_most_room(self, rating: str) -> None:
        """Of all places, the one in which the statics find the limits least near; nowhere where one
        is broken by it wherever it goes."""
        table = lay(camper(hitch={"bars": {"rating": rating}}), None, Wish(sway=True))
        less = {name: place for name, place in now(table.rig).items() if name != "bikes"}
        rows = rows_at(table, less, 64)
        nearest = {}
        for place in table.rig.places:
            over = rows_at(table, {**less, "bikes": place}, 64).base + rows.allowance
            nearest[place] = float(over[rows.movable].max())
        best = min(nearest, key=nearest.__getitem__)
        assert len({round(kg) for kg in nearest.values()}) > 2
        assert _roomiest(table, rows, less, "bikes") == (best if nearest[best] < 0.0 else None)
        assert (nearest[best] < 0.0) == (rating == "1400 lb")


class TestMoves:
    """The order of moves."""

    def test_best_order_by_trying_all(self) -> None:
        """The order found has the least worst moment of all orders of five moves."""
        from itertools import permutations

        dice = np.random.default_rng(4)
        base, change = dice.normal(-1, 1, 6), dice.normal(0, 1, (5, 6))

        def worst(order: tuple[int, ...]) -> float:
            states = base + np.cumsum(change[list(order)], axis=0)
            return float(states.max())

        found = worst(_best(base, change))
        assert found == pytest.approx(min(worst(p) for p in permutations(range(5))))

    def test_moves_end_at_the_plan(self) -> None:
        """The loads after the last move are those of the plan by the statics."""
        found = stow(parse_rig(CAMPER), wish=QUICK)
        assert found.found is not None
        assert found.order is not None
        last = found.order.moves[-1].after
        for key in ("ball", "front", "rear", "trailer"):
            added = sum(getattr(each, key) for _, each in changes(found.order))
            assert getattr(found.order.before, key) + added == pytest.approx(getattr(last, key))
        stage = found.found.assessment.stages[0]
        assert last.ball == pytest.approx(stage.tongue.weight_kg.best, abs=1e-6)
        assert last.rear == pytest.approx(stage.axles[1].weight_kg.best, abs=1e-6)

    def test_a_moment_worse_than_now_is_told(self) -> None:
        """Bikes forward before the telescopes come aft: in between, and only then, a limit is
        farther exceeded than now; the statics of that moment say by how much. One move that only
        mends has no such moment."""
        heavy = {"weight": "180 lb"}
        rig = camper(
            items={"bikes": heavy, "telescopes": heavy}, hitch={"bars": {"rating": "1400 lb"}}
        )
        table = lay(rig, None, Wish(sway=True, draws=64))
        start = now(table.rig)
        rows = rows_at(table, start)
        found = ordered(table, {**start, "bikes": "bedroom", "telescopes": "rear-room"})
        between = rows_at(table, {**start, found.moves[0].item: found.moves[0].to}).base
        worst = float(np.max((between + rows.allowance)[rows.movable]))
        assert found.moves[0].worst == pytest.approx(worst, abs=3.0)
        assert found.moves[0].worst > found.worst_before > 0.0 > found.moves[1].worst
        assert found.peak == 1
        assert ordered(table, {**start, "telescopes": "galley"}).peak is None
        for states, move in enumerate(found.moves, start=1):
            done = {one.item: one.to for one in found.moves[:states]}
            rig = arranged(table.rig, {**start, **done})
            v = believed(table.estimate, table.rig, rig).at_mean()
            (here, *_) = plan_stages(rig)
            solved = loads(rig, v, (here,))
            axles = sum(float(one[0, 0]) for one in solved.trailer_axles)
            assert move.after.ball == pytest.approx(solved.tongue[0, 0] / GRAVITY)
            assert move.after.trailer == pytest.approx(axles / GRAVITY)
            damped = oscillation(combination(rig, v, solved), move.calm.speed)
            assert move.calm.damping == pytest.approx(float(np.ravel(damped.ratio)[0]))

    def test_a_swing_grows_beyond_where_wagging_starts(self) -> None:
        """Tail-heavy: just below the speed told it dies away, just above it grows."""
        rig = plain(cg=5.05)
        v = prior(rig).estimate.at_mean()
        solved = loads(rig, v)
        start = calm(rig, v, solved).wagging
        below, above = (
            oscillation(combination(rig, v, solved), part * start).ratio for part in (0.98, 1.02)
        )
        assert below.item() > 0 > above.item()

    def test_the_best_next_move_of_many(self) -> None:
        """Of moves that change two rows, from none exceeded, the one that leaves the greater of the
        two least comes first: -5, +1 before +2, +2 before +5, -5 is decided by hand."""
        steps = Steps(base=np.zeros(2), change=np.array([[5.0, -5.0], [-5.0, 1.0], [2.0, 2.0]]))
        assert _greedy(steps) == (1, 0, 2)

    def test_no_moves(self) -> None:
        """A plan that is how it is packed now has nothing to tell."""
        table = lay(parse_rig(CAMPER), None, Wish())
        found = ordered(table, now(table.rig))
        assert found.moves == ()
        assert found.peak is None


HEAVY = """
format = 1
name = "Perihelion observatory, one heavy mount"
[vehicle]
class = "three-quarter-ton"
[hitch.ball_mount]
rating_tongue = "{mount}"
[trailer]
style = "enclosed-cargo"
gvwr = "9000 lb"
box_start = "4 ft"
box_length = "16 ft"
empty.weight = "2650 lb"
empty.tongue_weight = "330 lb"
axles.station = "13 ft"
[places.floor]
station = "12 ft"
length = "16 ft"
[items.mount]
weight = "3850 lb"
place = "floor"
station = "{at}"
slides = true
"""


TWO_PLACES = """
format = 1
name = "Perihelion observatory, two domes"
[vehicle]
class = "three-quarter-ton"
payload = "2600 lb"
[hitch]
receiver.rating_tongue = "1000 lb"
ball_mount.rating_tongue = "750 lb"
[trailer]
style = "enclosed-cargo"
gvwr = "7000 lb"
length = "17 ft"
empty.weight = "3300 lb"
empty.tongue_weight = "420 lb"
axles.station = "12 ft"
[places]
floor = { station = "11 ft", length = "8 ft" }
nose = { station = "5 ft", length = "3 ft" }
[items]
big-dome = { weight = "1150 lb", place = "floor" }
dome = { weight = "980 lb", place = "floor" }
cables = { weight = "130 lb", place = "nose" }
tents = { weight = "150 lb", place = "nose" }
[people.Ada]
seat = "driver"
weight = "140 lb"
"""


def test_a_load_left_for_the_damping_alone_says_so() -> None:
    """420 + 2,130/12 + 280 x 7/12 = 761 lb on a mount rated 750 lb; with 130 lb at 11 ft it is 696
    (hand arithmetic). That makes too little damping a little likelier, so all of it was left home
    without a word why; allowed, nothing is."""
    rig = parse_rig(TWO_PLACES)
    kept = stow(rig)
    assert kept.left
    assert "--allow-sway" in kept.conflict
    assert stow(rig, wish=Wish(sway=True)).left == ()


class TestDeck:
    """A tractor on a flatbed."""

    def rig(self, **keys: str) -> Rig:
        """The demo tractor on its deck, with wheels where told."""
        data = parse_rig(TRACTOR).model_dump(by_alias=True, exclude_none=True)
        data["items"]["tractor"] |= {"slides": True, **keys}
        return Rig.model_validate(data)

    def test_best_station_meets_the_target(self) -> None:
        """At the best station the share is the target, and the run around it keeps it near."""
        rig = self.rig(front_wheels="38 in", rear_wheels="38 in")
        (one,) = footings(rig, "tractor", target=0.12)
        assert one.low is not None
        assert one.high is not None
        assert one.low <= one.best <= one.high
        assert one.share[0] == pytest.approx(0.12, abs=2e-4)

    def test_ends_of_the_run_by_the_statics(self) -> None:
        """At the ends of the run the statics give a share at the edge of the wanted band."""
        rig = self.rig(front_wheels="38 in", rear_wheels="38 in")
        (one,) = footings(rig, "tractor", target=0.12, confidence=0.49)
        estimate = prior(rig).estimate
        for station, edge in ((one.low, 0.13), (one.high, 0.11)):
            values = {**estimate.at_mean(), "items.tractor.station": np.asarray(station)}
            share = float(loads(rig, values).share[0, 0])
            assert share == pytest.approx(edge, abs=5e-4)

    def test_both_facings(self) -> None:
        """With unequal reach ahead and behind, backwards is an answer of its own."""
        rig = self.rig(front_wheels="38 in", rear_wheels="30 in")
        found = footings(rig, "tractor", target=0.12)
        assert [one.backwards for one in found] == [False, True]
        assert found[0].ahead == found[1].behind

    @pytest.mark.parametrize(
        ("rating", "stands", "exceeded"),
        [("1200 lb", True, False), ("960 lb", True, False), ("900 lb", False, False),
         ("860 lb", False, False)],
    )  # fmt: skip
    def test_what_stops_short_of_the_target(
        self,
        rating: str,
        stands: bool,
        exceeded: bool,
    ) -> None:
        """About 910 lb on the ball is what 13 % come to: a mount rated far above stops nothing, one
        just above stops it short, for the spread; below no station is near and sure, and the best
        one stops short of the rating, not on the target; the mount's tongue rating is named."""
        rig = self.rig(front_wheels="38 in", rear_wheels="38 in")
        mount = rig.hitch.ball_mount
        assert mount is not None
        mount = mount.model_copy(update={"rating_tongue": _mass(rating)})
        hitch = rig.hitch.model_copy(update={"ball_mount": mount})
        (one,) = footings(rig.model_copy(update={"hitch": hitch}), "tractor", target=0.13)
        assert (one.low is not None, one.exceeded) == (stands, exceeded)
        free = rating == "1200 lb"
        assert (one.stop and one.stop.title) == (None if free else "ball mount: tongue")
        assert (one.share[0] > 0.1295) == (free or exceeded)

    def test_a_load_too_far_back_slides_and_stays_aboard(self) -> None:
        """3,850 lb on an enclosed trailer of 2,650 lb with 330 lb on the ball and its axles 13 ft
        back: at 14 ft it takes 3,850 (14 - 13)/13 = 296 lb off, at 11.3 ft it adds 503 lb, near an
        eighth of 6,630 lb (hand arithmetic). The plan slides it and leaves nothing home, though the
        mount's 1,000 lb is then not as surely held; `check` does not say that no load mends it."""
        rig = parse_rig(HEAVY.format(mount="1000 lb", at="14 ft"))
        found = stow(rig)
        assert found.left == ()
        (one,) = found.slides
        assert one.to * 3.28084 == pytest.approx(11.3, abs=0.3)
        undone = mend(rig)
        assert undone is None or "tongue share" not in undone.stuck

    def test_no_station_breaks_what_another_one_holds(self) -> None:
        """By the same levers 750 lb on the ball is 11.3 % of 6,630 lb: a mount rated so stands
        between the floor of 10 % and the target of 12.5 %, so the best station is between them."""
        rig = parse_rig(HEAVY.format(mount="750 lb", at="14 ft"))
        (one,) = footings(rig, "mount")
        assert not one.exceeded
        assert 0.10 < one.share[0] < 0.113

    def test_too_long_for_the_deck(self) -> None:
        """Wheels further apart than the deck is long are told so."""
        with pytest.raises(StationError, match="deck"):
            footings(self.rig(front_wheels="10 ft", rear_wheels="10 ft"), "tractor")


class TestWhatIf:
    """Things moved by hand."""

    def test_same_as_another_file(self) -> None:
        """Moving the bikes answers as the file with the bikes there does."""
        rig = parse_rig(CAMPER)
        moved = what_if(rig, {"bikes": "bed"}, {})
        text = CAMPER.replace('place = "rear-room"\nstation = "24 ft"', 'place = "bed"')
        from steelyard.assessment import assess

        want = assess(parse_rig(text))
        for one, other in zip(moved.after.stages, want.stages, strict=True):
            assert one.tongue.weight_kg.value == pytest.approx(
                other.tongue.weight_kg.value, abs=1e-6
            )
        assert {change.after.name for change in moved.changed} == {"hitch.bars.rating"}

    def test_a_note_that_becomes_a_limit_is_compared(self) -> None:
        """What was only noted before and binds after is paired by its name, and the other way."""
        bound, noted = (
            SimpleNamespace(limits=one, notes=other)
            for one, other in ((("a", "b"), ()), (("a",), ("b",)))
        )
        for stage in (bound, noted):
            stage.limits, stage.notes = (
                [SimpleNamespace(name=name) for name in names]
                for names in (stage.limits, stage.notes)
            )
        for old, new in ((bound, noted), (noted, bound)):
            pairs = _pairs(cast("StageResult", old), cast("StageResult", new))
            assert [(a.name, b.name) for a, b in pairs] == [("a", "a"), ("b", "b")]

    def test_what_is_out_of_the_file_is_out_of_every_rule(self, tmp_path: Path) -> None:
        """Leaving one of a pair home leaves a file that can be read."""
        path = tmp_path / "sides.toml"
        path.write_text(SIDES, encoding="utf-8")
        edit_rig(path, Edits(places={}, gone=["blocks"]))
        assert read_rig(path).items["jacks"].opposite is None

    def test_rules_broken_are_told(self) -> None:
        """A move that a rule forbids is answered, and the rule is named."""
        rig = parse_rig(DEMO)
        assert what_if(rig, {"generator": "galley"}, {}).against != ()


class TestWater:
    """Tanks whose level may be chosen."""

    def test_what_is_used_stays_used(self) -> None:
        """Levels from a filling to the next move together, never below nothing nor above full; the
        other tanks stay as they are."""
        rig = parse_rig(CAMPER)
        found = stow(rig, wish=Wish(water={"fresh": 0.0}))
        assert found.found is not None
        stated = [0.25, 1.0, 0.2, 0.0]
        chosen = [share for run in found.water for share in run.levels]
        assert [run.stages[0] for run in found.water] == ["leaving-home", "first-night"]
        moved = np.subtract(chosen, stated)
        assert np.ptp(moved[1:]) == pytest.approx(0.0, abs=1e-9)
        assert min(chosen) >= -1e-9
        assert max(chosen) <= 1 + 1e-9
        for key, stage in found.rig.stages.items():
            assert stage.tanks["grey"] == rig.stages[key].tanks["grey"]
            assert stage.tanks["black"] == rig.stages[key].tanks["black"]

    def test_a_kilogram_more_is_a_kilogram_more(self) -> None:
        """What is poured in is on the trailer's axles and ball at the stages of its run, and what
        is let out is not; a run that nothing is drawn from may be let out to its last drop, one of
        which all is drawn not at all."""
        table = lay(parse_rig(CAMPER), None, Wish(water={"fresh": 0.0}, draws=16))
        first, second = table.cargo.runs
        was = loads(table.rig, table.estimate.at_mean()).trailer[:, 0]
        for kg in (20.0, -10.0):
            rig, belief = poured(table.rig, table.estimate, (first,), (kg,))
            more = (loads(rig, belief.at_mean()).trailer[:, 0] - was) / 9.80665
            assert more == pytest.approx([kg, 0.0, 0.0, 0.0], abs=1e-6)
        assert (first.low, first.high) == pytest.approx((-0.25, 0.75))
        assert (second.low, second.high) == pytest.approx((0.0, 0.0))

    def test_a_tank_no_fuller_was_not_filled(self) -> None:
        """Two stages at one level are of one run: no water comes between them."""
        stated = {"leaving-home": 0.4, "first-night": 0.4, "dark-sky-site": 0.2, "back-home": 0.0}
        rig = parse_rig(CAMPER)
        assert list(rig.stages) == list(stated)
        rig = filled(rig, {(key, "fresh"): level_of(share) for key, share in stated.items()})
        (one,) = runs(rig, plan_stages(rig), prior(rig).estimate.at_mean(), {"fresh": 0.0})
        assert one.stages == tuple(stated)
        assert (one.low, one.high) == pytest.approx((0.0, 0.6))

    def test_never_worse_than_as_stated(self) -> None:
        """The level as stated is one of those that may be chosen: the ball gets no farther away."""
        rig = parse_rig(CAMPER)
        free, bound = (stow(rig, wish=Wish(water=one)) for one in ({"fresh": 0.0}, {}))
        assert free.found is not None
        assert bound.found is not None
        assert free.found.goals[0].bound <= bound.found.goals[0].value + 0.2

    def test_at_least(self) -> None:
        """A tank is filled to the least asked for."""
        found = stow(parse_rig(CAMPER), wish=Wish(water={"fresh": 0.6}))
        assert min(run.levels[0] for run in found.water) >= 0.6 - 1e-9

    def test_the_best_level_of_a_grid(self) -> None:
        """With nothing to move, no level of a fine grid brings the ball nearer at the worst stage
        than the one chosen does, by the statics; 2 lb is how exactly it was asked for."""
        rig = parse_rig(CAMPER)
        found = stow(rig, wish=Wish(keep=tuple(rig.items), water={"fresh": 0.0}, confidence=0.3))
        assert found.found is not None
        chosen = found.water[0].levels[0]

        def off(share: float) -> float:
            levels = {("leaving-home", "fresh"): level_of(share)}
            after = assess(filled(rig, levels), draws=2)
            return max(
                abs(s.tongue.weight_kg.value - found.target * s.trailer_kg.value)
                for s in after.stages
            )

        best = min(off(share) for share in np.linspace(0.03, 0.97, 48))
        assert off(min(max(chosen, 0.03), 0.97)) <= best + 2 * 2 * 0.4536


class TestOpposite:
    """Two things that balance each other across the centreline."""

    def test_ride_in_places_opposite_each_other(self) -> None:
        """Wherever a pair goes, one is left by as much as the other is right, equally far back."""
        found = stow(parse_rig(SIDES), wish=Wish(confidence=0.2))
        assert found.found is not None
        left, right = (SIDED[found.found.plan[name]] for name in ("jacks", "blocks"))
        assert left[0] == right[0]
        assert left[1] == -right[1]

    def test_moving_one_alone_is_told(self) -> None:
        """`what_if` names the rule that moving one of a pair away breaks, and moving both keeps."""
        rig = parse_rig(SIDES)
        pair = {"jacks": "front left", "blocks": "front right"}
        assert what_if(rig, pair, {}).against == ()
        packed = arranged(rig, pair)
        assert what_if(packed, {"blocks": "rear right"}, {}).against == (
            "jacks: it rides opposite blocks",
        )

    def test_which_place_is_opposite_which(self) -> None:
        """As far back and as far over on the other side; on the centreline itself; else none."""
        rig = parse_rig(SIDES + '[places.middle]\nstation = "9 ft"\n')
        names = list(rig.places)
        found = {
            name: names[at] if at >= 0 else None
            for name, at in zip(names, mirrors(rig), strict=True)
        }
        assert found == {
            "front left": "front right",
            "front right": "front left",
            "rear left": "rear right",
            "rear right": "rear left",
            "alone": None,
            "middle": "middle",
        }

    @pytest.mark.parametrize(("off", "opposite"), [("0.1 m", True), ("0.11 m", False)])
    def test_places_a_hand_out_of_line_are_opposite(self, off: str, *, opposite: bool) -> None:
        """0.1 m along or across and no more (assumed), on one body."""
        here = {"station": "0 m", "offset": "0 m"}
        for other in ({"station": off}, {"offset": off}, {"offset": f"-{off}"}):
            places = (Place.model_validate({**here, "on": "trailer", **x}) for x in ({}, other))
            assert across(*places) is opposite
        one, two = (Place.model_validate({**here, "on": on}) for on in ("trailer", "vehicle"))
        assert not across(one, two)

    def test_a_place_without_its_opposite_is_no_place(self) -> None:
        """A place with nothing opposite it takes neither of the pair."""
        found = stow(parse_rig(SIDES), wish=Wish(confidence=0.2))
        assert found.found is not None
        assert "alone" not in (found.found.plan["jacks"], found.found.plan["blocks"])


NOSE = """
format = 1
everything_listed = true
region = "north-america"
[vehicle]
class = "half-ton-crew-cab"
gvwr = "7100 lb"
payload = "1650 lb"
rear = { gawr = "4100 lb" }
[trailer]
style = "enclosed-cargo"
gvwr = "3500 lb"
box_start = "4 ft"
box_length = "14 ft"
empty = { weight = { value = "1500 lb", kind = "scale" }, tongue_weight = "210 lb +- 8 lb" }
axles = { station = "11 ft 6 in", count = 1 }
[places]
left = { station = "8 ft", offset = "2 ft", length = "1 ft" }
right = { station = "8 ft", offset = "-2 ft", length = "1 ft" }
mid = { station = "12 ft", length = "1 ft" }
back = { station = "16 ft", length = "1 ft" }
cab = { on = "vehicle", station = "90 in", room = "cabin" }
[items.crate-a]
weight = { value = "700 lb", basis = "weighed" }
place = "left"
opposite = "crate-b"
importance = 9
[items.crate-b]
weight = { value = "700 lb", basis = "weighed" }
place = "right"
[items.mirrors]
weight = { value = "600 lb", basis = "weighed" }
place = "mid"
importance = 3
[items.batteries]
weight = { value = "500 lb", basis = "weighed" }
place = "back"
importance = 2
apart = ["mirrors"]
[items.chairs]
weight = { value = "100 lb", basis = "weighed" }
place = "back"
importance = 1
together = ["batteries"]
[people.Vera]
seat = "driver"
weight = "170 lb"
"""
SIDED = {"front left": (9, 30), "front right": (9, -30), "rear left": (13, 30)}
SIDED |= {"rear right": (13, -30), "alone": (11, 30)}
SIDES = """
format = 1
everything_listed = true
region = "north-america"
[vehicle]
class = "half-ton-crew-cab"
[trailer]
style = "enclosed-cargo"
[trailer.empty]
weight = { value = "2900 lb", basis = "weighed" }
tongue_weight = { value = "370 lb", basis = "weighed" }
[trailer.axles]
station = "12 ft"
[people.Ada]
seat = "driver"
[items.jacks]
weight = "120 lb"
place = "alone"
opposite = "blocks"
[items.blocks]
weight = "120 lb"
place = "rear right"
""" + "".join(
    f'[places."{name}"]\nstation = "{station} ft"\noffset = "{offset} in"\n'
    for name, (station, offset) in SIDED.items()
)
