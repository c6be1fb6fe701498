"""Limits that a region's rulebook sets by itself, each with the text it rests on."""

from collections.abc import Iterator

import numpy as np

from steelyard.estimate import Array
from steelyard.quantity import GRAVITY
from steelyard.ratings.check import Check, at_most
from steelyard.ratings.rulebook import Rule, load_rulebook
from steelyard.scene import Scene


def _rule(case: Scene, name: str) -> Rule | None:
    return next((rule for rule in load_rulebook(case.region).rules if rule.id == name), None)


def _unladen(case: Scene) -> Array:
    """The vehicle's own weight, full fuel and nobody aboard, N."""
    return np.asarray(case.values["vehicle.weight"] * GRAVITY)


def unrated_towing(case: Scene) -> Iterator[Check]:
    """Australia: with no stated towing mass, so many times the vehicle's unladen mass."""
    rule = _rule(case, "tow-ratio-unrated")
    if rule is None or case.rig.vehicle.tow_rating is not None:
        return
    braked = case.rig.trailer.brakes
    factor = rule.value["factor"] if braked else 1.0
    yield at_most(
        "rule",
        "rules.tow-ratio-unrated",
        "trailer to unladen vehicle",
        case.loads.trailer / _unladen(case),
        None if braked is None else factor,
        due="whether the trailer has brakes (trailer.brakes)",
        measure="ratio",
        rule=rule,
    )


def caravan_ratio(case: Scene) -> Iterator[Check]:
    """Europe: laden caravan against the car's kerb weight (a club's advice, not law)."""
    rule = _rule(case, "uk-mass-ratio")
    if rule is None or case.rig.trailer.style != "centre-axle-caravan":
        return
    yield at_most(
        "rule",
        "rules.uk-mass-ratio",
        "caravan to kerb weight, advice",
        case.loads.trailer / _unladen(case),
        rule.value["share"],
        due="",
        measure="ratio",
        rule=rule,
        advice=True,
    )


def chain_count(case: Scene) -> Iterator[Check]:
    """Australia: as many safety chains as the trailer's permitted mass asks for."""
    permitted, fitted = case.rig.trailer.gvwr, case.rig.hitch.chains
    two = _rule(case, "chains-two")
    if two is None or permitted is None:
        return
    due = np.where(permitted.value > two.value["least_mass"], 2.0, 1.0)
    yield at_most(
        "rule",
        "rules.chains",
        "safety chains due",
        np.atleast_1d(due),
        None if fitted is None else float(fitted.count),
        due="how many safety chains are fitted (hitch.chains.count)",
        measure="ratio",
        rule=two,
    )
