"""What a fitting found, in sentences without layout; every door says them alike."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from steelyard.assessment import Spread
from steelyard.hitching.result import Clearance, Fit, Jacking, Lift, Match, Pitch, Step
from steelyard.quantity import INCH, Z95, System, shown, with_spread
from steelyard.ratings import doubted, questions
from steelyard.rig import is_pin
from steelyard.words.assessed import MARKS, chance, coupling, doubt, room, weight, weight_spread
from steelyard.words.next_steps import put_right
from steelyard.words.unstated import plainly

CAUTIONS: Final = (
    (
        "Ratings on the labels, the hitch maker's own instructions and local law come first; the"
        " part with the lowest rating governs. Have a licensed professional fit and check a hitch."
    ),
    "An estimate is not a weighing: tape fenders and coupler once it is hitched, and weigh it.",
)
KIND: Final = {"equaliser": "axles on an equaliser", "independent": "torsion or independent axles"}
METRIC: Final = 0.025
"""m, which a metric reader has for an inch; what an inch does is scaled to it (linear)."""
TASKS: Final = {"couple": "to couple", "bars": "to hook the spring bars"}


def length(si: float, system: System, digits: int = 1) -> str:
    """`21.8 in`, `554 mm`."""
    return shown(si, "length", system, digits if system == "us" else 0)


def length_spread(one: Spread, system: System) -> str:
    """`21.8 ± 0.4 in`."""
    return with_spread(one.value, one.sd, "length", system, 1 if system == "us" else 0)


def small(si: float, system: System) -> str:
    """A size as it is stamped: `2.3125 in` to the sixteenth, `50 mm`."""
    if system != "us":
        return f"{1000 * si:z.1f} mm".replace(".0 mm", " mm")
    inches = si / INCH
    neat = abs(16 * inches - round(16 * inches)) < 1e-3
    return f"{inches:.{4 if neat else 2}f}".rstrip("0").rstrip(".") + " in"


def an_inch(system: System) -> str:
    """The step that heights are told by: `an inch`, `25 mm`."""
    return "an inch" if system == "us" else shown(METRIC, "length", system)


def nose(value: float, system: System) -> str:
    """`0.4 in nose-up`."""
    return f"{length(abs(value), system)} nose-{'up' if value > 0 else 'down'}"


def called(step: Step, system: System, seat: str = "ball") -> str:
    """`a 4 in drop`, `a 2 in rise`; what the trailer sits on where no receiver is known."""
    if step.drop is None:
        return f"a {seat}"
    if abs(step.drop) < 1e-9:
        return "a mount without drop"
    size = small(abs(step.drop), system) if system == "us" else length(abs(step.drop), system)
    article = "an" if re.match(r"8|11(\D|$)|18(\D|$)", size) else "a"
    return f"{article} {size} {'drop' if step.drop > 0 else 'rise'}"


def seat_of(found: Fit) -> str:
    """What the trailer sits on: a ball, or a fifth wheel's hitch in the bed."""
    return "bed hitch" if coupling(found.rig) == "pin" else "ball"


def answer(found: Fit, system: System) -> str:
    """The answer in one sentence, then what else does not fit or is not known."""
    return f"{MARKS[found.verdict]}: {_height(found, system)} {_rest(found)}".strip()


def _height(found: Fit, system: System) -> str:
    height = found.height
    best, worst = height.chosen, height.worst_stage
    within = small(height.tolerance, system) if system == "us" else length(height.tolerance, system)
    what = called(best, system, seat_of(found))
    verb = "set at" if best.drop is None else "sets the ball at"
    laden = length_spread(best.driven[worst], system)
    ball = (
        length_spread(best.ball, system) if best.ball.sd > 1e-6 else length(best.ball.value, system)
    )
    where = f"{what} {verb} {ball} ({laden} under the load)"
    several = len(found.stages) > 1
    if not best.level:
        at = f" at “{found.stages[worst][1]}”" if several else ""
        if best.present:
            return (
                f"the {seat_of(found)} is {where.removeprefix(f'{what} ')} and does not stand the"
                f" trailer level within {within}: it stands"
                f" {nose(best.nose[worst].value, system)}{at}, level with a chance of"
                f" {chance(best.chance)}."
            )
        named = "height" if best.drop is None else "step"
        at_all = " at every stage" if several else ""
        return (
            f"no {named} stands level within {within}{at_all}; {where} comes nearest, the trailer"
            f" {nose(best.nose[worst].value, system)}{at}, level with a chance of"
            f" {chance(best.chance)}."
        )
    return f"{where}: the trailer stands level within {within} (chance {chance(best.chance)})."


def _rest(found: Fit) -> str:
    bad, open_, tight, unknown = (
        list(_named(found, verdict)) for verdict in ("exceeded", "cannot tell", "tight", "unknown")
    )
    parts = [f"Does not fit: {_listed(bad)}."] if bad else []
    parts += [f"Cannot tell, weigh: {_listed(open_)}."] if open_ else []
    parts += [f"Tight: {_listed(tight)}."] if tight else []
    parts += [f"Not known: {_listed(unknown)}."] if unknown else []
    return " ".join(parts) or "Every size fits and every rating holds."


def _listed(names: list[str]) -> str:
    return "; ".join(dict.fromkeys(names))


def loose(one: Spread) -> bool:
    """Whether a figure's spread is larger than itself: it says nothing that a tape does not."""
    return not Z95 * one.sd <= abs(one.value)


def fit_steps(found: Fit, system: System) -> Iterator[str]:
    """What to do about a fit: what is missing, what to set, what to prove."""
    best, missing, bars = found.height.chosen, found.height.missing, found.bars
    yield from put_right(found, system)
    tapes = [f"Tape the {plainly(path.partition('.')[2])}. {_UNMEASURED[path]}" for path in missing]
    yield from (first := tapes if "trailer.coupler_height" in missing else [])
    if asked := doubted("road.level", questions(found.rig)):
        yield f"Look at {plainly(asked)} again: is it right? No height is right unless it is."
    elif found.lifts is not None:
        what = "Move load ahead of the trailer's axles, or leave what rides behind them"
        yield f"{what}: it lifts the vehicle, and no {seat_of(found)} height mends that."
    elif not best.level:
        yield _beyond_steps(found, system)
    elif is_pin(found.rig) and seat_of(found) == "ball":
        yield "Set the coupler's post until the trailer stands level, and tape it."
    elif best.drop is None and not best.present:
        at = length(best.ball.value, system)
        yield f"Set the {seat_of(found)} at {at}, nothing hitched, and tape the trailer level."
    elif not best.present:
        yield f"Fit {called(best, system, seat_of(found))} and tape the trailer level."
    yield from () if first else tapes
    if bars is not None and bars.fenders is not None and bars.fenders_prove:
        front = fine(bars.fenders.front_on, system)
        yield f"Set the bars until the front fender stands {front} above its height unhitched."
    unknown = [one.title for one in found.matches if one.verdict == "unknown"]
    for names in (unknown, [plainly(one) for one in found.jack.missing]):
        if names:
            yield f"Measure {', '.join(names)}."


DEEPEST: Final = 0.46
"""m: drop of the deepest ball mounts, 18 in (from memory)."""


def _beyond_steps(found: Fit, system: System) -> str:
    """What it takes where no height that can be had stands level."""
    height = found.height
    noses = [one.value for one in height.chosen.nose]
    if max(noses) - min(noses) > 2 * height.tolerance:
        return (
            "No one height is level at every stage: fit springs or air bags that hold the vehicle's"
            " rear up as the load changes."
        )
    off, high = noses[height.worst_stage], noses[height.worst_stage] > 0
    wants, lower, higher = ("lower", "lower", "higher") if high else ("higher", "higher", "lower")
    by = length(abs(off), system)
    if height.chosen.present:
        return (
            f"Have a receiver fitted whose ball stands about {by} {wants}, or coupler or axles of"
            f" the trailer set {higher} by as much."
        )
    drop = height.wanted_drop.value if height.wanted_drop and high else 0.0
    tried = max(step.drop or 0.0 for step in height.steps)
    deep = f"a drop of {length(drop, system, 0)}, " if tried < drop <= DEEPEST else ""
    return (
        f"No height tried reaches, by about {by}: it takes {deep}a {lower} vehicle, or a trailer"
        f" that stands {higher} (axles set over or under their springs)."
    )


def _named(found: Fit, verdict: str) -> Iterator[str]:
    """Everything but the ball's height that has one verdict."""
    yield from (match.title for match in found.matches if match.verdict == verdict)
    for _, standing in found.limits:
        if standing.verdict == verdict and not standing.note:
            length = standing.measure == "length"
            yield standing.title if length else f"rating, {standing.title}"
    for lift in found.jack.lifts:
        if lift.verdict == verdict:
            yield f"jack {TASKS[lift.task]}"
    if found.jack.load is not None and found.jack.load.verdict == verdict:
        yield "rating, tongue jack lifting"
    if found.lifts is not None and verdict == "exceeded":
        yield f"the load, which lifts the vehicle at “{found.lifts}”"
    bars = found.bars
    if (
        bars is not None
        and bars.verdict == verdict
        and not (bars.fitted and bars.due != "forbidden")
    ):
        broken = {"due": "spring bars due, none fitted", "forbidden": "spring bars, forbidden"}
        unsure = "whether spring bars are due"
        yield broken.get(bars.due, unsure) if verdict == "exceeded" else unsure
    yield from (one.title for one in found.clearances if verdict == "exceeded" and one.touches)


def ball_lines(found: Fit, system: System) -> Iterator[str]:
    """What exactly would be level, how it stands now, and what was not measured."""
    height = found.height
    yield from level_lines(found, system)
    if height.widened:
        yield f"What widens this most: {', '.join(height.widened)}."
    if height.chosen.present:
        yield f"No other {seat_of(found)} height was tried: a tow ball stands where it stands."
    else:
        yield f"Steps looked at: {height.source}."
    for path in height.missing:
        yield f"Not measured: {path}. {_UNMEASURED[path]}"


def level_lines(found: Fit, system: System) -> Iterator[str]:
    """What exactly would be level, how far it sinks, and how it stands now."""
    height = found.height
    drop = height.wanted_drop
    wanted = length_spread(height.wanted, system)
    exact = f"Exactly level: a {seat_of(found)} {wanted} high, vehicle alone"
    if drop is not None:
        way = "drop" if drop.value >= 0 else "rise"
        size = replace(drop, value=abs(drop.value), best=abs(drop.value))
        exact += f", that is {length_spread(size, system)} of {way}"
    yield f"{exact}. The load {_sinks(height.squat, system)}."
    if height.present is not None:
        stands = nose(height.present.nose[height.worst_stage].value, system)
        yield (
            f"As it is ({length(height.present.ball.value, system)}), it stands {stands},"
            " level with"
            f" a chance of {chance(height.present.chance)}."
        )
    if height.mismatch is not None:
        way = "above" if height.mismatch > 0 else "below"
        yield (
            f"The ball was taped {length(abs(height.mismatch), system)} {way} where receiver, drop"
            " and ball would put it: one of the four is wrong."
        )


def _sinks(squat: Spread, system: System) -> str:
    if squat.value >= 0:
        return f"sinks it by {length_spread(squat, system)}"
    return f"lifts it by {length_spread(turned(squat), system)}"


_UNMEASURED: Final = {
    "hitch.ball.rise": "Its platform to its top is taken to be 2.75 in (70 mm): tape it.",
    "trailer.coupler_height": "Ground to coupler, the trailer level: it decides this most.",
    "hitch.receiver.height": "Ground to the receiver's top inside edge: it makes this a drop.",
    "hitch.ball_height": "Ground to the top of the ball.",
}


def pitch_line(one: Pitch, system: System) -> str:
    """What an inch up and down does with one kind of suspension."""
    part = 1.0 if system == "us" else METRIC / INCH
    up, down = (
        _signed(part * x.value, system) for x in (one.inch_up_tongue_kg, one.inch_down_tongue_kg)
    )
    kind = KIND[one.suspension]
    whose = (
        f"With {kind}" + (" (assumed)" if one.assumed else "") if one.own else f"On {kind} instead"
    )
    if len(one.inch_up_axles_kg) == 1:
        return (
            f"Coupled {an_inch(system)} higher, one axle: tongue {up};"
            f" {an_inch(system)} lower, {down}."
        )
    ups, downs = (
        ", ".join(_signed(part * x.value, system) for x in axles)
        for axles in (one.inch_up_axles_kg, one.inch_down_axles_kg)
    )
    return (
        f"{whose}, coupled {an_inch(system)} higher: tongue {up}, axles from the front"
        f" {ups}; as much"
        " lower:"
        f" tongue {down}, axles {downs}."
    )


def _signed(kg: float, system: System) -> str:
    text = weight(abs(kg), system)
    return f"{'+' if kg >= 0 else '-'}{text}"


def match_row(one: Match, system: System) -> tuple[str, str, str, str]:
    """Title, first size, second size, and whether they fit."""
    sizes = ["?" if size is None else small(size, system) for size in (one.first, one.second)]
    return one.title, sizes[0], sizes[1], MARKS[one.verdict]


def match_lines(found: Fit) -> Iterator[str]:
    """Why parts do not fit, and what to look up where a size is not known."""
    for one in found.matches:
        if one.why:
            yield f"{one.title}: {one.why}."


def rating_lines(found: Fit, system: System) -> Iterator[str]:
    """The rating that governs the chain, and each one that is not within."""
    if found.governing is None:
        bars = " as it works with spring bars" if found.bars else ""
        yield f"No rating of the coupling chain{bars} is known."
    else:
        stage, standing = found.governing
        yield f"What governs the chain: {standing.title}, {room(standing, system)} at “{stage}”."
    for stage, standing in found.limits:
        if standing.verdict in ("tight", "cannot tell", "exceeded") and not standing.note:
            yield (
                f"{MARKS[standing.verdict]}: {standing.title}, {room(standing, system)}"
                f" at “{stage}”"
                f" ({doubt(standing)})."
            )
    unknown = [s for _, s in found.limits if s.verdict == "unknown" and not s.note]
    if unknown:
        yield "Not known: " + "; ".join(f"{s.title} ({s.due})" for s in unknown) + "."


def jack_lines(jack: Jacking, system: System) -> Iterator[str]:
    """Each task of the jack, what it lifts, and its foot on the road."""
    if jack.missing:
        yield f"The jack's reach is not known: state {', '.join(jack.missing)}."
    yield from (_lift_line(lift, system) for lift in jack.lifts)
    if jack.load is not None and jack.load.verdict != "unknown":
        yield f"Lifting for the bars, the jack is {room(jack.load, system)}."
    if jack.foot is not None:
        yield f"As driven its foot clears the road by {length_spread(jack.foot, system)}."


def _lift_line(lift: Lift, system: System) -> str:
    force = (
        "carrying a load"
        if loose(lift.carries_kg)
        else f"carrying {weight_spread(lift.carries_kg, system)}"
    )
    task = TASKS[lift.task][0].upper() + TASKS[lift.task][1:]
    if lift.reach is None:
        return f"{task} it works {force}; whether it reaches is not known."
    gap = lift.reach.value - lift.needed.value
    text = f"{task} its flange must stand {length_spread(lift.needed, system)} high, {force}"
    if gap < 0:
        return f"{text}: it is {length(-gap, system)} short; put blocks of that height under it."
    return (
        f"{text}: it reaches {length(gap, system)} higher ({chance(lift.short)} chance"
        " of falling short)."
    )


def turned(one: Spread) -> Spread:
    """The same spread of the negative."""
    return Spread(value=-one.value, best=-one.best, sd=one.sd, low=-one.high, high=-one.low)


def fine(one: Spread, system: System) -> str:
    """A length as a tape on a fender reads it: `0.42 ± 0.12 in`."""
    return with_spread(one.value, one.sd, "length", system, 2 if system == "us" else 0)


def _angle(one: Spread) -> str:
    return f"{np.degrees(one.value):z.1f} ± {1.96 * np.degrees(one.sd):z.1f}°"


def clearance_lines(found: Sequence[Clearance], system: System) -> Iterator[str]:
    """Each angle or gap that is known, then those that are not and what tape they want."""
    for one in found:
        if one.value is not None:
            yield f"{one.title}: {_clearance(one, one.value, system)}"
    unknown = [one for one in found if one.value is None]
    if unknown:
        keys = dict.fromkeys(key for one in unknown for key in one.missing)
        titles = "; ".join(one.title for one in unknown)
        yield f"? not known: {titles}. To know: {', '.join(keys)}."


def _clearance(one: Clearance, value: Spread, system: System) -> str:
    if one.touches:
        return "▲ touches standing straight"
    if one.always:
        return "clear to 90° and beyond"
    return _angle(value) if one.is_angle else length_spread(value, system)
