"""A plan is of the rig, not of how its file is written: order, halves, sides and units."""

from typing import Any

import numpy as np
import pytest
from benchmarks.cargo import facts

from steelyard.quantity import POUND
from steelyard.rig import Rig
from steelyard.stowing.program import NEAR
from steelyard.stowing.question import Wish
from steelyard.stowing.stow import Stowed, stow

WISH = Wish(draws=512)
NUMBERS = range(4)
SIDES = ("0 in", "18 in", "-18 in")


def table(number: int) -> dict[str, Any]:
    """A random rig of nine things in six places, some left and some right, at two stages."""
    data = facts(9, 6, 2, number, 0.5)
    for n, place in enumerate(data["places"].values()):
        place["offset"] = SIDES[n % 3]
    return data


def found(data: dict[str, Any]) -> Stowed:
    """The plan of a rig by its facts."""
    return stow(Rig.model_validate(data), wish=WISH)


def ball(answer: Stowed) -> tuple[float, float, tuple[str, ...]]:
    """kg the ball is from its target and the printed bound, and what stays home."""
    if answer.found is None or not answer.found.goals:
        return np.inf, np.inf, answer.left
    share = answer.found.goals[0]
    return share.value, share.bound, tuple(sorted(answer.left))


@pytest.mark.parametrize("number", NUMBERS)
def test_order_of_the_file(number: int) -> None:
    """With things and places in another order the plan, the bound and the moves are the same."""
    data = table(number)
    dice = np.random.default_rng(number)
    other = dict(data)
    for key in ("items", "places"):
        names = list(data[key])
        other[key] = {names[i]: data[key][names[i]] for i in dice.permutation(len(names))}
    one, two = found(data), found(other)
    assert (one.found is None, one.left and set(one.left)) == (
        two.found is None,
        two.left and set(two.left),
    )
    assert ball(one)[:2] == pytest.approx(ball(two)[:2], abs=1e-6)
    if one.found is not None and two.found is not None:
        assert one.found.plan == two.found.plan
    assert (one.cure and one.cure.found.plan) == (two.cure and two.cure.found.plan)


@pytest.mark.parametrize("number", NUMBERS)
def test_one_thing_in_two_halves(number: int) -> None:
    """Two halves of a thing, each where it rode, can ride wherever it could: the ball comes as near
    within the 2 lb that are near enough."""
    data = table(number)
    name = max(data["items"], key=lambda n: float(data["items"][n]["weight"]["value"].split()[0]))
    whole = data["items"][name]
    pounds = float(whole["weight"]["value"].split()[0]) / 2
    half = {**whole, "weight": {**whole["weight"], "value": f"{pounds:g} lb"}}
    items = {n: one for n, one in data["items"].items() if n != name}
    stages = {
        key: {
            **stage,
            "without": [
                each
                for gone in stage["without"]
                for each in ((f"{gone} a", f"{gone} b") if gone == name else (gone,))
            ],
        }
        for key, stage in data["stages"].items()
    }
    halves = {**items, f"{name} a": half, f"{name} b": half}
    one, two = found(data), found({**data, "items": halves, "stages": stages})
    if one.found is not None and not one.left and not one.weigh:
        assert two.found is not None
        assert two.left == ()
        assert ball(two)[0] <= ball(one)[0] + 2 * NEAR


@pytest.mark.parametrize("number", NUMBERS)
def test_left_for_right(number: int) -> None:
    """With left and right exchanged everything rides in the same places."""
    data = table(number)
    turned = {
        name: {**place, "offset": f"{-float(place['offset'].split()[0]):g} in"}
        for name, place in data["places"].items()
    }
    one, two = found(data), found({**data, "places": turned})
    assert ball(one)[:2] == pytest.approx(ball(two)[:2], abs=2 * NEAR)
    assert one.left == two.left


@pytest.mark.parametrize("number", NUMBERS)
def test_other_units(number: int) -> None:
    """With weights in kg and stations in metres the plan is the same."""
    data = table(number)
    items = {
        name: {**one, "weight": {**one["weight"], "value": _kilograms(one["weight"]["value"])}}
        for name, one in data["items"].items()
    }
    places = {
        name: {**one, "station": _metres(one["station"]), "capacity": _kilograms(one["capacity"])}
        for name, one in data["places"].items()
    }
    one, two = found(data), found({**data, "items": items, "places": places})
    assert ball(one)[:2] == pytest.approx(ball(two)[:2], abs=1e-4)
    if one.found is not None and two.found is not None:
        assert one.found.plan == two.found.plan


def _kilograms(text: str) -> str:
    return f"{float(text.split()[0]) * POUND!r} kg"


def _metres(text: str) -> str:
    return f"{float(text.split()[0]) * 0.3048!r} m"
