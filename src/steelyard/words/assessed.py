"""Numbers and verdicts as a person reads them; every door and the card say them alike."""

from collections.abc import Iterable
from dataclasses import replace
from math import isfinite, isnan
from typing import Final

from steelyard.assessment import Assessment, Spread, StageResult
from steelyard.fault import Fault, dotted, listed, sentence
from steelyard.quantity import (
    Z95,
    Dimension,
    System,
    percent,
    shown,
    to_border,
    with_spread,
)
from steelyard.ratings import LIKELY, SURE, TIGHT, UNSURE, LimitStatus, Verdict, worst
from steelyard.rig import Rig
from steelyard.typical.unlisted import UNLISTED
from steelyard.words.trade import units_of
from steelyard.words.unstated import without_keys

MARKS: Final[dict[Verdict, str]] = {
    "within": "● within",
    "tight": "◐ tight",
    "cannot tell": "‡ cannot tell",
    "exceeded": "▲ exceeded",
    "unknown": "? unknown",
}
LIFTED: Final = "▲ lifted"


def system_of(found: Assessment, asked: str | None) -> System:
    """The reader's units: those of the rig's country or region, or the like of what was asked."""
    return units_of(found.rig, asked)


def coupling(rig: Rig) -> str:
    """What the trailer rests on: `ball`, or the `pin` of a fifth wheel."""
    kind = rig.hitch.kind or rig.trailer.style
    return "pin" if kind.startswith("fifth-wheel") else "ball"


def weight(kg: float, system: System) -> str:
    """`812 lb`."""
    return shown(kg, "mass", system)


def weight_spread(spread: Spread, system: System) -> str:
    """`812 ± 34 lb`."""
    return with_spread(spread.value, spread.sd, "mass", system)


def share_spread(spread: Spread) -> str:
    """`11.0 ± 0.9 %`."""
    return f"{100 * spread.value:z.1f} ± {196 * spread.sd:z.1f} %"


def number(kg: float, system: System) -> str:
    """A weight without its unit, for a column that names it."""
    return f"{to_border(kg, 'mass', system):z,.0f}"


def chance(p: float, tight: float = TIGHT) -> str:
    """`7.6 %`; never 0 nor 100 %, since no chance here is known to be; rounded, but never across an
    edge from which another verdict holds: 79.7 % is `79 %`, since nobody can tell yet."""
    if p < 0.001:
        return "under 0.1 %"
    if p >= 0.995:
        return "over 99 %"
    digits = 1 if p < 0.1 else 0
    step = 10.0 ** -(2 + digits)
    told = round(p / step) * step
    for edge in (tight, UNSURE, LIKELY, SURE):
        reached = told > edge - 1e-9
        if reached != (p >= edge):
            told += -step if reached else step
    return percent(told, digits)


def odds(one: LimitStatus, tight: float = TIGHT) -> str:
    """`96 %`; where as much may be beyond both edges, so that no side is sure: `52 % below, 28 %
    above`."""
    if one.verdict != "cannot tell" or one.aside < UNSURE / 2:
        return chance(one.chance, tight)
    ways = ("below", "above") if one.side == "under" else ("above", "below")
    return f"{chance(one.chance - one.aside)} {ways[0]}, {chance(one.aside)} {ways[1]}"


def stood(one: LimitStatus) -> str:
    """`◐ tight`; what is lifted is not within what it is rated to bear."""
    return LIFTED if one.lifts and one.verdict == "within" else MARKS[one.verdict]


def doubt(one: LimitStatus, tight: float = TIGHT) -> str:
    """`96 % chance of not holding`."""
    words = odds(one, tight)
    sides = words.count("%") > 1
    return f"chance of not holding {words}" if sides else f"{words} chance of not holding"


def measured(x: float, standing: LimitStatus, system: System) -> str:
    """A limit's number in the unit of what it measures; `?` where it is not known."""
    if isnan(x):
        return "?"
    if standing.measure == "weight":
        return weight(x, system)
    if standing.measure == "share":
        return percent(x)
    if standing.measure == "force":
        return f"{x / 1000:z.2f} kN"
    if standing.measure == "fitted":
        return "fitted" if x else "none"
    if standing.measure in ("length", "speed", "pressure"):
        digits = 2 if standing.measure == "length" else None
        return shown(x, standing.measure, system, digits)
    counted = standing.kind == "rule" and float(x).is_integer()
    return f"{x:.0f}" if counted else f"{x:z.2f}"


def room(standing: LimitStatus, system: System) -> str:
    """`118 lb under its 4,150 lb rating`."""
    if standing.verdict == "unknown":
        return f"no rating known: {standing.due}"
    if standing.measure == "fitted":
        return "fitted, and they must not be"
    over = standing.margin < 0
    edge = measured(standing.rating, standing, system)
    gap = measured(abs(standing.margin), standing, system)
    if standing.lifts:
        return f"it pulls up by {measured(-standing.value, standing, system)}, rated to bear {edge}"
    if standing.measure == "share":
        gap = f"{100 * abs(standing.margin):z.1f} points"
        side = "the floor of" if standing.side == "under" else "the ceiling of"
        way = "below" if (standing.side == "under") == over else "above"
        if gap == "0.0 points":
            return f"at {side} {edge}"
        return f"{gap} {way} {side} {edge}"
    if standing.name == "rules.chains":
        return f"with {edge} fitted"
    if standing.name.startswith("hitch.fit."):
        return f"not fitting, by {gap}" if over else "fitting"
    if gap == measured(0.0, standing, system):
        return f"at its {edge} rating"
    return f"{gap} {'over' if over else 'under'} its {edge} rating"


def to_spare(one: LimitStatus, system: System) -> str:
    """`103 lb to spare`; nothing where the limit is no load."""
    if one.measure in ("fitted", "length") or not isfinite(one.margin):
        return ""
    gap = measured(one.margin, one, system)
    return (
        f"{100 * one.margin:z.1f} points to spare" if one.measure == "share" else f"{gap} to spare"
    )


def stage_verdict(found: Assessment, stage: StageResult) -> Verdict:
    """The verdict of a stage; with nobody listed aboard it is never within."""
    unsaid: tuple[Verdict, ...] = ("unknown",) if "people" in found.missing else ()
    return worst((stage.verdict, *unsaid))


def verdict_line(found: Assessment, system: System) -> str:
    """The answer in one sentence, and what decides it."""
    stage = found.worst_stage
    decider = stage.deciding
    unknown = sum(limit.verdict == "unknown" for limit in stage.limits)
    said = "1 rating is not known" if unknown == 1 else f"{unknown} ratings are not known"
    if decider is None:
        return f"{MARKS['unknown']}: {said}{_asked(found)}, so nothing can be called within."
    said += _asked(found)
    words = doubt(decider, found.tight)
    if not decider.refuses and stage.chance > decider.chance + MORE:
        words += f", {chance(stage.chance)} that some limit does not"
    least = f"{decider.title} {room(decider, system)} ({words})"
    if found.verdict == "unknown":
        why = said if unknown else "nobody is listed aboard"
        return (
            f"{MARKS['unknown']}: {why}. Of what is known, least room at “{stage.title}”: {least}."
        )
    words = f"{MARKS[found.verdict]}: at “{stage.title}” what decides is {least}."
    if decider.verdict == "cannot tell":
        words += f" {unsure(decider, found, system)}"
    return words + (f" {said[0].upper()}{said[1:]}." if unknown else "")


SETTLING: Final[dict[str, tuple[str, str]]] = {
    "vehicle.front": ("front", "the front axle on a platform scale, hitched"),
    "vehicle.rear": ("rear", "the rear axle on a platform scale, hitched"),
    "vehicle": ("vehicle", "the vehicle on a platform scale, hitched"),
    "trailer.axles": ("axles", "the trailer's axles on a platform scale, hitched"),
    "trailer": ("trailer", "the whole trailer on a platform scale"),
    "whole": ("vehicle", "vehicle and trailer on a platform scale, hitched"),
    "places": ("place", "what rides in that place"),
    "hitch": ("tongue", "the tongue, with a hitch or tongue scale"),
    "tongue": ("tongue", "the tongue and the whole trailer"),
}
"""Beginning of a limit's name: what goes on the scale to settle it, as a key and in words."""
BODIES: Final = {
    **dict.fromkeys(("towing", "distribution", "part's trailer", "part's force"), "trailer"),
    **dict.fromkeys(("combined weight", "ratio", "rule"), "whole"),
}
"""Kinds of limits on a body that their name does not begin with, and its key in `SETTLING`."""


def settling(one: LimitStatus) -> tuple[str, str]:
    """What goes on the scale to settle a limit: a key of `SETTLING`, and words."""
    name = BODIES.get(one.kind, one.name)
    found = (how for start, how in SETTLING.items() if name.startswith(start))
    return next(found, ("tongue", "it"))


MORE: Final = 0.01
"""Chance that some limit does not hold beyond the deciding one's, from which it is told where
that one does not forbid towing by itself."""
WEIGHED: Final = 0.015
"""Part of its rating under which the spread of a weighed load is a scale's: no reading settles more
(common practice: platform scales are read to about a percent)."""
TONGUE_WEIGHED: Final = 0.03
"""The same of what the tongue decides: 3 % of slope and steps of 10 lb, as a ticket takes its
scales to be unless told."""


def unsure(one: LimitStatus, found: Assessment, system: System) -> str:
    """What to do where nobody can tell whether a limit holds: the reading that settles it or, where
    it was weighed already, how much to take off."""
    what, how = settling(one)
    scale = TONGUE_WEIGHED if what == "tongue" else WEIGHED
    if found.estimate.memory is not None and one.sd < scale * abs(one.rating):
        gap = Z95 * one.sd - one.margin
        if one.measure == "weight":
            return f"It is weighed, and at its rating: take {measured(gap, one, system)} off it."
        if one.measure == "share":
            at, way, more = ("floor", "ahead", "more")
            if one.side == "over":
                at, way, more = ("ceiling", "back", "less")
            return (
                f"It is weighed, and at its {at}: move load {way} until the {coupling(found.rig)}"
                f" carries {100 * gap:.1f} points {more}."
            )
    if one.likely_over:
        over = (one.side == "over") is (2 * one.aside <= one.chance)
        beyond = "over" if over else "under"
        if one.one_side < LIKELY:
            beyond = "outside its band"
        return f"Likely {beyond}: do not tow until weighed. Weigh {how}."
    return f"Weigh {how}."


def _asked(found: Assessment) -> str:
    """Which values are asked about, in brackets."""
    return (
        f" (asked about: {listed([dotted(one.path) for one in found.questions], 3)})"
        if found.questions
        else ""
    )


def question_lines(asked: Iterable[Fault]) -> tuple[str, ...]:
    """What is asked about stated values, a line each; every door says it."""
    return tuple(f"? {sentence(one)}" for one in asked)


def asked_line(one: Fault) -> str:
    """The same of one as a page asks it, which has a tick where a file has a key, and passes by
    their names."""
    path = one.path[one.path[:1] == ("passes",) :]
    return f"Is that right? {without_keys(sentence(replace(one, asks=False, path=path)))}."


def missing_line(found: Assessment, system: System) -> str | None:
    """What the file does not list, if anything, and what is reckoned with instead, wherever that
    presses a limit; where only that tips the deciding one it says so."""
    said = f"Not listed: {', '.join(found.missing)}" if found.missing else ""
    said += ", so a driver alone is assumed" if "people" in found.missing else ""
    decider = found.worst_stage.deciding
    tips = decider is not None and decider.name in found.worst_stage.unlisted
    reckoned = _reckoned(found, system)
    presses = tips or (reckoned and decider and decider.verdict != "within")
    if found.estimate.memory is not None or not (said or presses):
        return f"{said}." if said else None
    head = f"{said}. Reckoned with: {reckoned}" if said else f"Not listed, perhaps: {reckoned}"
    alone = ". Only this tips the verdict" if tips else ""
    return f"{head}{alone}. List what rides along, or say that everything is listed."


def _reckoned(found: Assessment, system: System) -> str:
    """What is reckoned with that nobody listed."""
    values = found.estimate.at_mean()
    parts = [
        f"{shown(float(values[name]), 'mass', system)} in the {name.partition('.')[0]}"
        for name in UNLISTED
        if name in values
    ]
    return ", ".join(parts)


def natural(value: float, sd: float, dimension: Dimension, system: System) -> str:
    """A parameter's value and spread in the reader's unit."""
    if dimension == "share":
        return f"{100 * value:z.0f} ± {196 * sd:z.0f} %"
    half = to_border(Z95 * sd, dimension, system)
    digits = int(dimension in ("length", "angle") and system == "us" and half < 10.0)
    return with_spread(value, sd, dimension, system, digits)
