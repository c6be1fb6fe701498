"""Whether the trailer must have brakes and a breakaway: labels first, then the region's rulebook.

A rule decides only where its text was read and where it is a rule of the region as a whole; advice,
memory and rules of one country among several are notes.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from steelyard.estimate import Array
from steelyard.quantity import GRAVITY
from steelyard.ratings import Rule, Rulebook, Verdict
from steelyard.rig import Rig
from steelyard.road.ranges import Mask
from steelyard.road.result import BrakeRule
from steelyard.road.stopping import distance
from steelyard.typical import axle_count

Fitted = Literal["fitted", "none", "unsaid"]
HALF: Final = 0.5
LABEL: Final = "the rating stated in the rig file"
FITTED: Final = "whether the trailer has brakes of its own (trailer.brakes)"
ALL: Final = "how many of its axles have brakes (trailer.braked_axles)"
AWAY: Final = "whether it has a breakaway (trailer.breakaway)"
MEMORY: Final = "from memory: no text of this region's rule was read"


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """What rules compare, N, rows (1 + n,): best estimate first. reachable: m/s2 on the level."""

    trailer: Array
    axles: Array
    unladen: Array
    reachable: Array
    tight: float


def brake_rules(rig: Rig, book: Rulebook, weights: Weights) -> tuple[BrakeRule, ...]:
    """Every rule on brakes that has something to say of this trailer."""
    return tuple(_rules(rig, {rule.id: rule for rule in book.rules}, weights))


def _rules(rig: Rig, book: dict[str, Rule], w: Weights) -> Iterator[BrakeRule]:
    yield from _label(rig, w)
    if "uk-unbraked" in book:
        yield from _europe(rig, book["uk-unbraked"], w)
    if "brakes-all-wheels" in book:
        yield from _australia(rig, book, w)
    if "nz-breakaway" in book:
        yield from _new_zealand(rig, book, w)
    if "trailer-brakes-threshold" in book:
        yield from _north_america(rig, book["trailer-brakes-threshold"], w)
    if "nz-breakaway" not in book:
        yield _breakaway(rig)


def _label(rig: Rig, w: Weights) -> Iterator[BrakeRule]:
    """The vehicle's own rating for a trailer without brakes, where it is stated."""
    rating = rig.vehicle.tow_rating_unbraked
    if rating is None:
        return
    passed = w.trailer > rating.value * GRAVITY
    title, text = "tow rating, unbraked", "Above this weight the vehicle's maker asks for brakes."
    yield _held(
        "vehicle.tow_rating_unbraked", title, text, LABEL, _said(rig.trailer.brakes), passed, w
    )


def _europe(rig: Rig, rule: Rule, w: Weights) -> Iterator[BrakeRule]:
    most = np.minimum(rule.value["mass"] * GRAVITY, rule.value["share"] * w.unladen)
    yield _ruled(rule, _said(rig.trailer.brakes), w.trailer > most, w)


def _australia(rig: Rig, book: dict[str, Rule], w: Weights) -> Iterator[BrakeRule]:
    """Brakes above 750 kg on the axles, on all wheels above 2,000 kg."""
    none, every = book["brakes-none"], book["brakes-all-wheels"]
    count, braked = axle_count(rig), rig.trailer.braked_axles
    held = _ruled(none, _said(rig.trailer.brakes), w.axles > none.value["mass"] * GRAVITY, w)
    if count > 1 and not rig.trailer.brakes and held.verdict == "within":
        held = replace(held, verdict="unknown", due="what the rule asks of two axles")
    yield held
    fitted = None if braked is None else braked >= count
    fitted = False if rig.trailer.brakes is False else fitted
    yield _ruled(every, _said(fitted), w.axles > every.value["mass"] * GRAVITY, w, due=ALL)


def _new_zealand(rig: Rig, book: dict[str, Rule], w: Weights) -> Iterator[BrakeRule]:
    """New Zealand's own rules: notes, since the region does not say which country it is."""
    rule = book["nz-breakaway"]
    low, high = (rule.value[key] * GRAVITY for key in ("least_mass", "mass"))
    inside = (w.trailer >= low) & (w.trailer <= high)
    yield _ruled(rule, _said(rig.trailer.breakaway), inside, w, due=AWAY, note=True)
    stop = book["nz-stopping"]
    longer = distance(stop.value["speed"], w.reachable) > stop.value["length"]
    yield _ruled(stop, "none", longer, w, note=True)


def _north_america(rig: Rig, rule: Rule, w: Weights) -> Iterator[BrakeRule]:
    yield _ruled(rule, _said(rig.trailer.brakes), w.trailer > rule.value["mass"] * GRAVITY, w)


def _breakaway(rig: Rig) -> BrakeRule:
    """Where no rule was read: brakes without a breakaway are asked about, and nothing decided."""
    braked = rig.trailer.brakes is not False
    known = rig.trailer.breakaway is True or not braked
    return BrakeRule(
        name="breakaway",
        title="breakaway",
        text="A trailer that must have brakes usually must set them itself if it comes loose.",
        source=MEMORY,
        verdict="within" if known else "unknown",
        chance=float("nan"),
        note=True,
        due=AWAY,
    )


def _said(there: bool | None) -> Fitted:  # noqa: FBT001  (a key of the rig file)
    """What a key of the rig file says of equipment."""
    if there is None:
        return "unsaid"
    return "fitted" if there else "none"


def _ruled(
    rule: Rule,
    fitted: Fitted,
    passed: Mask,
    w: Weights,
    due: str = FITTED,
    *,
    note: bool = False,
) -> BrakeRule:
    name, source = f"rules.{rule.id}", rule.source
    held = _held(name, rule.title, rule.text, source, fitted, passed, w, due)
    return replace(held, note=note or not rule.is_read)


def _held(
    name: str,
    title: str,
    text: str,
    source: str,
    fitted: Fitted,
    passed: Mask,
    w: Weights,
    due: str = FITTED,
) -> BrakeRule:
    """Equipment due where `passed` holds: within if fitted, unknown if unsaid, else by chance."""
    drawn = passed[1:] if passed.size > 1 else passed
    chance = float(np.mean(drawn))
    verdict = judged(chance, w.tight, best=bool(passed[0]))
    if fitted == "fitted":
        verdict = "within"
    elif fitted == "unsaid" and verdict != "within":
        verdict = "unknown"
    return BrakeRule(
        name=name,
        title=title,
        text=text,
        source=source,
        verdict=verdict,
        chance=chance,
        note=False,
        due=due,
    )


def judged(chance: float, tight: float, *, best: bool) -> Verdict:
    """Exceeded from even chances or at the best estimate itself; tight from `tight`."""
    if best or chance >= HALF:
        return "exceeded"
    return "tight" if chance >= tight else "within"
