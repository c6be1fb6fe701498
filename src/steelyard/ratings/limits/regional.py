"""Limits that a region's rulebook sets by itself, each with the text it rests on."""

from collections.abc import Iterator

import numpy as np

from steelyard.estimate import Array
from steelyard.quantity import GRAVITY, Floats
from steelyard.ratings.check import Check, at_most
from steelyard.ratings.rulebook import Rule, load_rulebook
from steelyard.scene import Scene


def _rule(scene: Scene[Floats], name: str) -> Rule | None:
    return next((rule for rule in load_rulebook(scene.region).rules if rule.id == name), None)


def _unladen(scene: Scene[Floats]) -> Array:
    """The vehicle's own weight, full fuel and nobody aboard, N."""
    return np.asarray(scene.values["vehicle.weight"] * GRAVITY)


def unrated_towing(scene: Scene[Floats]) -> Iterator[Check]:
    """Australia: with no stated towing mass, so many times the vehicle's unladen mass."""
    rule = _rule(scene, "tow-ratio-unrated")
    if rule is None or scene.rig.vehicle.tow_rating is not None or scene.rig.country == "NZ":
        return
    braked = scene.rig.trailer.brakes
    factor = rule.value["factor"] if braked else 1.0
    yield at_most(
        "rule",
        "rules.tow-ratio-unrated",
        "trailer to unladen vehicle",
        scene.loads.trailer / _unladen(scene),
        None if braked is None else factor,
        due="whether the trailer has brakes (trailer.brakes)",
        measure="ratio",
        rule=rule,
    )


def caravan_ratio(scene: Scene[Floats]) -> Iterator[Check]:
    """Europe: laden caravan against the car's kerb weight (a club's advice, not law)."""
    rule = _rule(scene, "uk-mass-ratio")
    if rule is None or scene.rig.trailer.style != "centre-axle-caravan":
        return
    yield at_most(
        "rule",
        "rules.uk-mass-ratio",
        "caravan to kerb weight, advice",
        scene.loads.trailer / _unladen(scene),
        rule.value["share"],
        due="",
        measure="ratio",
        rule=rule,
        advice=True,
    )


def chain_count(scene: Scene[Floats]) -> Iterator[Check]:
    """Australia: as many safety chains as the trailer's permitted mass asks for; New Zealand: of a
    trailer to 2,500 kg without a breakaway brake."""
    permitted, fitted = scene.rig.trailer.gvwr, scene.rig.hitch.chains
    abroad = scene.rig.country == "NZ"
    names = ("nz-chain", "nz-chains-crossed") if abroad else ("chains-one", "chains-two")
    one, two = (_rule(scene, name) for name in names)
    if one is None or two is None or permitted is None:
        return
    if abroad and (scene.rig.trailer.breakaway or np.all(permitted.value > two.value["mass"])):
        return
    due = np.where(permitted.value > one.value["mass"], 2.0, 1.0)
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
