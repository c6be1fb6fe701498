"""Brakes and grades in sentences, without layout: every door says them alike."""

import math
from collections.abc import Callable, Collection, Iterator
from typing import Final

from steelyard.braking import result
from steelyard.braking.settings import Settings
from steelyard.quantity import FOOT, GRAVITY, System, percent, shown
from steelyard.quantity.constants import MILE
from steelyard.ratings import Verdict
from steelyard.rig import Rig
from steelyard.typical.trailer import axle_count
from steelyard.words.assessed import MARKS, chance

LABELS_FIRST: Final = (
    "Ratings on the labels and local law come first: they differ by state and country. An estimate"
    " is not a test; ask a licensed professional. Test brakes slowly, away from traffic."
)
FRICTION_ONLY: Final = (
    "Stops are what tyre friction and good brakes allow; worn, wet, hot or badly set brakes need"
    " longer. No temperature is claimed: shift down before the grade and stop if anything smells."
)
LONG: Final = 1500.0
"""m from which a distance is told in miles or kilometres."""
SWINGS: Final = 0.025
"""Chance of locking first from which it is said what a locked axle does."""
CAUTIONS: Final = (FRICTION_ONLY, LABELS_FIRST)


def far(metres: float, system: System) -> str:
    """`184 ft`, `56 m`, or words where it never stops."""
    if not math.isfinite(metres):
        return "never"
    if metres >= LONG:
        return f"{metres / MILE:z.1f} mi" if system == "us" else f"{metres / 1000:z.1f} km"
    return f"{metres / FOOT:z,.0f} ft" if system == "us" else f"{metres:z,.0f} m"


def gees(deceleration: float) -> str:
    """`0.35 g`."""
    return f"{deceleration / GRAVITY:z.2f} g"


def pull(newtons: float, system: System) -> str:
    """A force along the road."""
    return shown(newtons, "force", system)


def joules(energy: float) -> str:
    """`18.4 MJ`."""
    return f"{energy / 1e6:z.1f} MJ"


def tangent(slope: float) -> str:
    """`6.2 %`, or words for none at all and for any."""
    if math.isnan(slope):
        return "unknown"
    if not math.isfinite(slope):
        return "any"
    return percent(slope) if slope > 0 else "no grade at all"


def span(found: result.Range, say: Callable[[float], str]) -> str:
    """`12 ft (10 to 15 ft)`; `12 ft` where its spread doesn't show."""
    if math.isnan(found.value):
        return "no balance"
    value, low, high = (say(x) for x in (found.value, found.low, found.high))
    if value == low == high:
        return value
    number, _, unit = low.rpartition(" ")
    return f"{value} ({number if number and high.endswith(f' {unit}') else low} to {high})"


def road_verdict(found: result.StageRoad) -> str:
    """The answer in one sentence, and what decides it."""
    verdict = found.verdict
    ruled = [(rule.verdict, rule.title, rule.due) for rule in found.rules if not rule.note]
    judged = [(one.verdict, finding_title(one, found), one.due) for one in found.findings]

    def those(verdict: Verdict) -> str:
        why = [
            f"{title} ({due})" if verdict == "unknown" and due else title
            for what, title, due in [*ruled, *judged]
            if what == verdict
        ]
        return "; ".join(dict.fromkeys(why))

    said = "nothing asked about fails" if verdict == "within" else those(verdict)
    unknown = "" if verdict == "unknown" else those("unknown")
    unsaid = f" Not known: {unknown}." if unknown else ""
    if verdict == "exceeded" and (open_ := those("cannot tell")):
        unsaid = f" Nobody can tell: {open_}.{unsaid}"
    if found.brakes is None and verdict in ("tight", "cannot tell", "exceeded"):
        unsaid += " Trailer brakes are not stated (trailer.brakes): judged as none."
    return f"{MARKS[verdict]} at “{found.title}”: {said}.{unsaid}"


def finding_title(one: result.Finding, found: result.StageRoad) -> str:
    """What must hold with the numbers asked: `slowing as asked, downhill (0.35 g on 6.0 %)`."""
    if not one.name.startswith("stop-"):
        return one.title
    where = f" on {percent(found.settings.grade)}" if one.name == "stop-downhill" else ""
    return f"{one.title} ({gees(found.settings.deceleration)}{where})"


BRAKING: Final = ("trailer-brakes", "brakes-due", "lift", "stop-level", "stop-downhill")
"""Findings on brakes and stops, climbing left out."""


def braking_lines(found: result.StageRoad) -> Iterator[str]:
    """What does not hold, or is not known, of brakes and stops."""
    for one in found.findings:
        if one.name in BRAKING and one.verdict in ("unknown", "cannot tell", "exceeded"):
            due = f" To know: {one.due}." if one.due else ""
            yield f"{MARKS[one.verdict]}: {finding_title(one, found)}.{due}"


FIRST_CAUTION: Final = (
    "Worn, wet, hot or badly set brakes need longer: shift down before a grade. Ratings on the"
    " labels and local law come first. An estimate is not a test: ask a licensed professional."
)


def to_know(found: result.StageRoad) -> Iterator[str]:
    """What to look at, or do, for what does not hold or is not known."""
    rules = [(rule.verdict, rule.due) for rule in found.rules if not rule.note]
    others = [(one.verdict, one.due) for one in found.findings]
    if any(verdict in ("exceeded", "cannot tell") for verdict, _ in rules):
        yield "Have the trailer fitted with the brakes that are due, or load less."
    if any(verdict in ("exceeded", "cannot tell") for verdict, _ in others):
        none = found.brakes is False
        less = "Slow down or load less" if none else "Slow down, load less or mend the brakes"
        yield f"{less}, then ask again."
    asked = [due for verdict, due in (*rules, *others) if verdict == "unknown" and due]
    yield from (f"Find out {'' if due.split()[0] in ASKING else 'the '}{due}." for due in asked)


ASKING: Final = ("how", "the", "what", "whether", "which", "who")


def grade_lines(
    up: result.Climb,
    down: result.Descent,
    asked: Settings,
    system: System,
    brakes: bool | None,  # noqa: FBT001  (a key of the rig file)
) -> Iterator[str]:
    """The grade in three sentences: the pull, the power, who takes the descent."""
    climb = list(climb_lines(up, asked.grade, asked.speed, system))
    yield climb[0].partition(", starting")[0] + "."
    yield climb[-1].removesuffix(" Heat and height take power away.")
    descent = next(descent_lines(down, asked.grade, asked.length, system, brakes))
    yield descent.partition(" Trailer brakes kept on")[0].partition(" One stop is")[0]


def rule_line(rule: result.BrakeRule, *, sources: bool) -> str:
    """One rule on brakes, whether it decides, and its source if that is due."""
    mark: Verdict = rule.verdict
    due = f" To know: {rule.due}." if rule.verdict == "unknown" and rule.due else ""
    passed = ""
    if not math.isnan(rule.chance):
        passed = f" Chance of being above it: {chance(rule.chance)}."
    word = "note, decides nothing: " if rule.note else ""
    source = f" Source: {rule.source}." if sources else ""
    shown_mark = "" if rule.note else f"{MARKS[mark]}, "
    return f"{shown_mark}{word}{rule.title}. {rule.text}{passed}{due}{source}"


def push_line(
    stances: tuple[result.Stance, ...],
    system: System,
    brakes: bool | None,  # noqa: FBT001  (a key of the rig file)
) -> str:
    """Whether the trailer pushes, braking and downhill, with its brakes, if any, and without."""
    cases = {(one.name, one.trailer_brakes): one.push for one in stances}

    def both(name: str) -> str:
        first, second = (span(cases[name, on], lambda x: pull(x, system)) for on in (True, False))
        if brakes is False:
            return second
        return (
            f"{first} {'with trailer brakes' if brakes else 'if it has brakes'}, {second} without"
        )

    trailer = "The trailer, which has no brakes," if brakes is False else "The trailer"
    return (
        f"{trailer} pushes the vehicle when braking by {both('braking')}; rolling steadily"
        f" downhill by {both('downhill')}. Uphill it pulls by"
        f" {pull(-cases['uphill', False].value, system)} and what its rolling and the air take."
    )


def lock_line(found: result.Locking) -> str:
    """Which axle locks first without anti-lock, and when."""
    with_ = "With trailer brakes" if found.trailer_brakes else "Without trailer brakes"
    if not found.first:
        return f"{with_} no axle locks."
    others = [f"{name} {chance(p)}" for name, p in found.chances.items() if p >= 0.005]
    swings = any(p >= SWINGS for name, p in found.chances.items() if name != "front")
    return (
        f"{with_} {_locks(found.first)} first, at"
        f" {span(found.deceleration, gees)}; chances of being among the first: {', '.join(others)}."
        f"{' Locked, a rear or trailer axle can swing out.' if swings else ''}"
    )


def axle(name: str) -> str:
    """`front axle`, `trailer axle 1`."""
    return name.replace("trailer ", "trailer axle ") if " " in name else f"{name} axle"


def _locks(names: tuple[str, ...]) -> str:
    listed = " and ".join(axle(name) for name in names)
    return f"the {listed} locks" if len(names) == 1 else f"{listed} lock together"


def lift_lines(stances: tuple[result.Stance, ...]) -> Iterator[str]:
    """Axles that would leave the road: said, never a negative load."""
    for one in stances:
        if one.lifted or one.lifts >= 0.0005:
            case = one.name if one.name == "uphill" else f"{one.name}, {_brakes(one)}"
            best = (
                f" At the best estimate: {', '.join(map(axle, one.lifted))}." if one.lifted else ""
            )
            yield f"{case}: chance of an axle leaving the road {chance(one.lifts)}.{best}"


def _brakes(one: result.Stance) -> str:
    return "trailer braking" if one.trailer_brakes else "trailer not braking"


def climb_lines(up: result.Climb, grade: float, speed: float, system: System) -> Iterator[str]:
    """Up the grade: pull needed, grip, drive force, power."""
    yield (
        f"Up {percent(grade)} takes {span(up.needed, lambda x: pull(x, system))} at the driven"
        " tyres, starting or steady; what is over gains speed."
    )
    if up.used is None or up.traction is None or up.slips is None:
        yield "Grip: unknown, since vehicle.driven is not stated."
    else:
        yield (
            f"Driven {'axles' if up.driven == 'all' else 'axle'} ({up.driven}): asks for friction"
            f" {span(up.used, lambda x: f'{x:z.2f}')}; {chance(up.slips)} chance of"
            " spinning; grips to"
            f" {span(up.traction, tangent)}."
        )
    if up.forced is None or up.short is None:
        yield "Starting on the grade: unknown, since vehicle.drive_force is not stated."
    else:
        yield (
            f"The stated drive force starts it to {span(up.forced, tangent)};"
            f" {chance(up.short)} chance of being too little here."
        )
    needed = span(up.power, lambda x: shown(x, "power", system))
    power = f"Holding {shown(speed, 'speed', system)} takes {needed} of the engine"
    if up.held is None or up.slower is None:
        yield f"{power}; unknown whether it has it, since vehicle.engine_power is not stated."
    else:
        held = span(up.held, lambda x: shown(x, "speed", system))
        yield f"{power}; the stated power holds {held}. Heat and height take power away."


def descent_lines(
    down: result.Descent,
    grade: float,
    length: float,
    system: System,
    brakes: bool | None,  # noqa: FBT001  (a key of the rig file)
) -> Iterator[str]:
    """What a descent gives up and who must take it; a trailer without brakes takes none of it."""
    kept = f" Trailer brakes kept on would take {span(down.own, joules)} of it."
    kept = "" if brakes is False else kept
    yield (
        f"Down {percent(grade)} for {far(length, system)} ({far(down.drop, system)} of drop) gives"
        f" up {span(down.energy, joules)}; after rolling, brakes and engine braking take"
        f" {span(down.brakes, joules)}, a mean of"
        f" {span(down.power, lambda x: shown(x, 'power', system))}.{kept}"
        f" One stop is {span(down.stop, joules)}."
    )


HEIGHTS: Final = {
    "vehicle.cg_height": "height of the vehicle's centre of gravity",
    "trailer.empty.cg_height": "height of the empty trailer's",
    "hitch.ball_height": "ball height",
}
"""What load moves by, in braking and on a grade, beside weights and stations."""


def unstated_lines(rig: Rig, assumed: Collection[str]) -> Iterator[str]:
    """What the rig file leaves unsaid and load transfer rests on; assumed: names of such values."""
    names = [title for name, title in HEIGHTS.items() if name in assumed]
    if names:
        yield f"{', '.join(names)}: typical, not stated; what moves rests on it"
    if rig.trailer.braked_axles is None and axle_count(rig) > 1 and rig.trailer.brakes is not False:
        yield "all trailer axles braked alike (trailer.braked_axles is not stated)"
