"""Whether the trailer must have brakes and a breakaway: labels first, then the region's rulebook.

A rule decides only where its text was read and every text read in its region agrees with it, or it
is the rule of the rig's own country. Advice, memory, and rules of single states, of commercial
trailers and of New Zealand, unless that is the country, are notes.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from steelyard.braking.result import BrakeRule
from steelyard.braking.stage_ranges import Mask
from steelyard.braking.stopping import distance
from steelyard.estimate import Array
from steelyard.quantity import GRAVITY, Value
from steelyard.ratings import Question, Rule, Rulebook, doubted, verdict
from steelyard.rig import Rig
from steelyard.typical.trailer import axle_count

Fitted = Literal["fitted", "none", "unsaid"]
LABEL: Final = "the rating stated in the rig file"
FITTED: Final = "whether the trailer has brakes of its own (trailer.brakes)"
ALL: Final = "how many of its axles have brakes (trailer.braked_axles)"
AWAY: Final = "whether it has a breakaway (trailer.breakaway)"
RAISED: Final = 75.0
"""kg by which the German text raises the car's unladen weight."""
STATES: Final = ("brakes-1500", "brakes-3000", "brakes-1400-kg", "brakes-4500")
"""North America's brake rules, the lightest trailer first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """What rules compare, N, rows (1 + n,): best estimate first. reachable: m/s2 on the level;
    asked: what is asked about the rig's values."""

    trailer: Array
    axles: Array
    unladen: Array
    reachable: Array
    tight: float
    asked: Sequence[Question]


def brake_rules(rig: Rig, rulebook: Rulebook, w: Weights) -> Iterator[BrakeRule]:
    """Every rule on brakes that has something to say of this trailer."""
    book = {rule.id: rule for rule in rulebook.rules}
    yield from _label(rig, w)
    if "uk-unbraked" in book:
        yield from _europe(rig, book, w)
    if "brakes-all-wheels" in book and rig.country != "NZ":
        yield from _australia(rig, book, w)
    if "nz-breakaway" in book and rig.country != "AU":
        yield from _new_zealand(rig, book, w)
    if "brakes-3000" in book:
        yield from _north_america(rig, book, w)


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


def _europe(rig: Rig, book: dict[str, Rule], w: Weights) -> Iterator[BrakeRule]:
    """The 750 and 1,500 kg are of what the trailer may weigh, half the car of what it weighs. Other
    countries' texts, not read, are taken to agree, and what is said names none."""
    heavy, german = _permitted(w.trailer, rig.trailer.gvwr), rig.country == "DE"
    rule, more = (book["german-unbraked"], RAISED) if german else (book["uk-unbraked"], 0.0)
    passed = (w.trailer if german else heavy) > rule.value["mass"] * GRAVITY
    passed |= w.trailer > rule.value["share"] * (w.unladen + more * GRAVITY)
    rule = (
        rule if rig.country in ("DE", "GB") else replace(rule, title="Unbraked trailers in Europe")
    )
    yield _ruled(rule, _said(rig.trailer.brakes), passed, w)
    away = book["breakaway-1500-kg"]
    away = away if rig.country in ("GB", "IE") else replace(away, title="Breakaway in Europe")
    yield _loose(rig, away, heavy, w)


def _australia(rig: Rig, book: dict[str, Rule], w: Weights) -> Iterator[BrakeRule]:
    """Brakes above 750 kg on the axles, on all wheels and with a breakaway above 2,000 kg."""
    none, every = book["brakes-none"], book["brakes-all-wheels"]
    count, braked = axle_count(rig), rig.trailer.braked_axles
    axles = _permitted(w.axles, rig.trailer.gtm)
    held = _ruled(none, _said(rig.trailer.brakes), axles > none.value["mass"] * GRAVITY, w)
    if count > 1 and not rig.trailer.brakes and held.verdict == "within":
        held = replace(held, verdict="unknown", due="what the rule asks of two axles")
    yield held
    fitted = None if braked is None else braked >= count
    fitted = False if rig.trailer.brakes is False else fitted
    yield _ruled(every, _said(fitted), axles > every.value["mass"] * GRAVITY, w, due=ALL)
    yield _loose(rig, book["breakaway-2000-kg"], axles, w)


def _new_zealand(rig: Rig, book: dict[str, Rule], w: Weights) -> Iterator[BrakeRule]:
    """New Zealand's own rules: notes, unless the file says that it is the country; how short a stop
    is rests on grip that is assumed, and stays one."""
    note = rig.country != "NZ"
    brakes, rule = book["nz-brakes"], book["nz-breakaway"]
    heavy = w.trailer > brakes.value["mass"] * GRAVITY
    yield _ruled(brakes, _said(rig.trailer.brakes), heavy, w, note=note)
    low, high = (rule.value[key] * GRAVITY for key in ("least_mass", "mass"))
    inside = (w.trailer >= low) & (w.trailer <= high)
    yield _ruled(rule, _away(rig), inside, w, due=AWAY, note=note)
    stop = book["nz-stopping"]
    longer = distance(stop.value["speed"], w.reachable) > stop.value["length"]
    yield _ruled(stop, "none", longer, w, note=True)


def _north_america(rig: Rig, book: dict[str, Rule], w: Weights) -> Iterator[BrakeRule]:
    """Rules of states, of a province and of commercial trailers, as notes: those that the trailer
    may be above, else the one it comes nearest to."""
    fitted = _said(rig.trailer.brakes)
    held = [
        _ruled(rule, fitted, w.trailer > rule.value["mass"] * GRAVITY, w, note=True)
        for rule in (book[name] for name in STATES)
    ]
    yield from [one for one in held if one.chance > 0.0] or held[:1]
    yield _loose(rig, book["breakaway-3000"], w.trailer, w, note=True)


def _loose(
    rig: Rig,
    rule: Rule,
    load: Array,
    w: Weights,
    *,
    note: bool = False,
) -> BrakeRule:
    """A breakaway due above a weight."""
    return _ruled(rule, _away(rig), load > rule.value["mass"] * GRAVITY, w, due=AWAY, note=note)


def _permitted(load: Array, rating: Value | None) -> Array:
    """What may be carried, N, where it is stated and more than what is."""
    return load if rating is None else np.maximum(load, rating.value * GRAVITY)


def _away(rig: Rig) -> Fitted:
    """Whether it has a breakaway; without brakes there is nothing to set."""
    return "none" if rig.trailer.brakes is False else _said(rig.trailer.breakaway)


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
    """Equipment due where `passed` holds: within if fitted, unknown if unsaid or while a value that
    it rests on is asked about, else by chance."""
    drawn = passed[1:] if passed.size > 1 else passed
    chance = float(np.mean(drawn))
    found, doubt = verdict(chance, w.tight), doubted(name, w.asked)
    if fitted == "fitted":
        found = "within"
    elif fitted == "unsaid" and found != "within":
        found = "unknown"
    elif doubt:
        found, due = "unknown", f"whether {doubt} is right"
    return BrakeRule(
        name=name,
        title=title,
        text=text,
        source=source,
        verdict=found,
        chance=chance,
        note=False,
        due=due,
    )
