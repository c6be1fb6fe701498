"""Advice held against the ratings, and the chart of the cargo held to the answer: by the rig edited
in its file and assessed anew."""

from typing import Any

import numpy as np
import pytest
from tests.rigs import plain

from steelyard.assessment import Assessment, assess
from steelyard.assessment.sway_advice import Advice, sway_advice
from steelyard.quantity import POUND
from steelyard.rig import Rig
from steelyard.scene import opened
from steelyard.statics.loads import loads
from steelyard.stowing.move_order import calm
from steelyard.swaying.chart import cargo_chart
from steelyard.swaying.remedies import Move, tried
from steelyard.swaying.stage_sway import sway


def rig(
    *,
    place: str = "rear",
    vehicle: Any = None,
    places: Any = None,
    item: Any = None,
    hitch: Any = None,
) -> Rig:
    """A truck and a camper with one box of 100 lb, heights and sides of it stated."""
    return Rig.model_validate(
        {
            "vehicle": {"class": "half-ton-crew-cab", **(vehicle or {})},
            "hitch": hitch or {},
            "trailer": {"style": "rear-bunk", "empty": {"weight": "5200 lb"}},
            "places": {
                "front": {"station": "5 ft", "offset": "0 m", "height": "0.65 m"},
                "rear": {"station": "24 ft", "offset": "0 m", "height": "0.65 m"},
                "bed": {"on": "vehicle", "station": "150 in", "offset": "0 m", "height": "0.65 m"},
                **(places or {}),
            },
            "items": {"box": {"weight": "100 lb", "place": place, "height": "1 m", **(item or {})}},
        }
    )


def move(found: tuple[Advice, ...], source: str, target: str) -> Advice:
    """The advice to move weight from place to place."""
    return next(one for one in found if (one.move.source, one.move.target) == (source, target))


def load(found: Assessment, name: str) -> float:
    """One axle's load at the only stage, kg."""
    return next(one.weight_kg.best for one in found.stages[0].axles if one.name == name)


@pytest.mark.parametrize("target", ["front", "bed"])
def test_a_move_is_the_edited_rig(target: str) -> None:
    """Moving the only 100 lb in a place, the advice's change of tongue weight and rear axle is that
    between two rig files, and its damping that of the second."""
    one = move(sway_advice(rig()), "rear", target)
    before, after = assess(rig(), draws=16), assess(rig(place=target), draws=16)
    assert one.move.amount == pytest.approx(100 * POUND)
    tongue = after.stages[0].tongue.weight_kg.best - before.stages[0].tongue.weight_kg.best
    assert one.ball_change_kg == pytest.approx(tongue, abs=0.02)
    rear = load(after, "rear") - load(before, "rear")
    assert one.rear_change_kg == pytest.approx(rear, abs=0.02)
    moved = sway(rig(place=target), samples=10)[0]
    assert one.move.after.damping == pytest.approx(float(moved.at_damping.best), abs=2e-4)


def test_bars_set_harder_are_the_edited_rig() -> None:
    """Bars that give back three quarters instead of half: the advice's change of both axles is that
    between two rig files."""

    def given_back(part: int) -> Rig:
        return rig(hitch={"bars": {"restoration": f"{part} % +- 0 %"}})

    one = next(one for one in sway_advice(given_back(50)) if one.move.kind == "bars")
    before, after = (assess(given_back(part), draws=16) for part in (50, 75))
    for end, told in (("front", one.front_change_kg), ("rear", one.rear_change_kg)):
        assert told == pytest.approx(load(after, end) - load(before, end), abs=0.02)


def test_a_move_that_overloads_an_axle_breaks_it() -> None:
    """With a rear axle rated a little above what it carries, cargo into the bed breaks it, says so,
    comes after all that break nothing, and the rig so loaded is exceeded."""
    now = load(assess(rig(), draws=16), "rear")
    then = load(assess(rig(place="bed"), draws=16), "rear")
    rating = f"{(now + 0.9 * (then - now)):.1f} kg"
    tight = {"rear": {"gawr": rating}}
    found = sway_advice(rig(vehicle=tight))
    one = move(found, "rear", "bed")
    named = [hurt.name for hurt in one.breaks]
    assert any("rear" in name for name in named)
    broken = {s.name: s for s in assess(rig(place="bed", vehicle=tight)).stages[0].limits}
    assert all(broken[name].refuses for name in named)
    breaking = [bool(one.breaks) for one in found]
    assert breaking == sorted(breaking)


def test_a_hitch_rating_is_looked_at() -> None:
    """A receiver rated below the tongue weight that a move forward brings makes that move break."""
    now = assess(rig(), draws=16).stages[0].tongue.weight_kg.best
    then = assess(rig(place="front"), draws=16).stages[0].tongue.weight_kg.best
    rating = f"{(now + then) / 2:.1f} kg"
    rated = rig(hitch={"receiver": {"rating_tongue": rating}})
    one = move(sway_advice(rated), "rear", "front")
    assert any("receiver" in hurt.name for hurt in one.breaks)


def _moves(stated: Rig) -> list[Move]:
    return [move for each in tried(stated) for move in each.moves]


def test_a_place_takes_no_more_than_it_may_hold() -> None:
    """A move fills a place up to its capacity and not beyond; a full place is no target; what is
    fixed does not move."""
    small = {"front": {"station": "5 ft", "capacity": "60 lb"}}
    found = [one for one in _moves(rig(places=small)) if one.target == "front"]
    assert [one.amount for one in found] == [pytest.approx(60 * POUND)]
    full = {"front": {"station": "5 ft", "capacity": "15 lb"}}
    assert not [one for one in _moves(rig(places=full)) if one.target == "front"]
    assert not [one for one in _moves(rig(item={"fixed": True})) if one.kind == "weight"]


def test_no_chart_without_cargo() -> None:
    """Nothing to move, or nothing but what rides in the vehicle: one sentence."""
    for items in (None, {"bed": ("vehicle", 100.0, 4.0)}):
        with pytest.raises(ValueError, match="expected cargo in the trailer to move, found none"):
            cargo_chart(plain(items=items))


def test_the_chart_at_now_is_the_answer() -> None:
    """Where the cargo rides now the chart's damping is the rig's own, with its inertia and all."""
    whole = Rig.model_validate(
        {
            "vehicle": {"class": "half-ton-crew-cab"},
            "trailer": {"style": "rear-bunk", "empty": {"weight": "5200 lb"}},
            "places": {"front": {"station": "5 ft"}, "rear": {"station": "24 ft"}},
            "items": {
                "bikes": {"weight": "250 lb", "place": "rear"},
                "tools": {"weight": "300 lb", "place": "front"},
            },
        }
    )
    speeds = (20.0, 25.0, 30.0)
    chart = cargo_chart(whole, speeds=speeds)
    place = int(np.flatnonzero(chart.stations == chart.now)[0])
    answer = sway(whole, speeds=speeds, samples=10)[0]
    assert chart.damping[:, place] == pytest.approx(answer.damping.best, abs=1e-9)


@pytest.mark.parametrize("target", ["front", "bed"])
def test_sway_stow_and_the_edited_file_give_a_move_one_damping(target: str) -> None:
    """Moving the only 100 lb: sway's advice, what stow tells after each move, and sway of the file
    edited so say one damping ratio, before and after, and so one direction."""
    one = move(sway_advice(rig()), "rear", target).move
    before, after = (_calm(rig(place=place)) for place in ("rear", target))
    edited = sway(rig(place=target), speeds=(), samples=2)[0]
    assert one.before.damping == pytest.approx(before, abs=1e-9)
    assert one.after.damping == pytest.approx(after, abs=2e-4)
    assert float(edited.at_damping.best) == pytest.approx(after, abs=1e-9)
    assert (one.gain > 0) is (after > before)


def _calm(facts: Rig) -> float:
    """Damping ratio that stow tells of a rig as it is packed."""
    scene = opened(facts, draws=1)
    v = {name: np.atleast_1d(x) for name, x in scene.estimate.at_mean().items()}
    return calm(scene.rig, v, loads(scene.rig, v, scene.stages)).damping
