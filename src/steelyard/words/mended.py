"""Moves that mend what is wrong, as one thing to do; limits by how likely they do not hold."""

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

from steelyard.assessment import Assessment, StageResult
from steelyard.fault import joined
from steelyard.quantity import System
from steelyard.ratings import LimitStatus
from steelyard.rig import Rig
from steelyard.stowing.plan import UNTOLD, likely, risen
from steelyard.words.assessed import chance, stage_verdict, to_spare, weight
from steelyard.words.next_steps import Step, stuck_step, too_light

if TYPE_CHECKING:
    from steelyard.stowing.mend import Mend
    from steelyard.stowing.move_order import Move

LEAST: Final = 5.0
"""kg worth a word."""


def mended(step: Step, stage: StageResult, found: "Mend | None", system: System) -> Step:
    """A step that would move weight, or in its place the moves that mend what is wrong or what it
    takes where none do."""
    if found is None:
        return step
    limit = next((one for one in stage.limits if one.name == step.about), None)
    if limit is not None and limit.title in found.stuck:
        light = _lighter(stage, limit, system) if limit.title in found.lightened else ()
        return stuck_step(limit, found.after.rig, light)
    return mend_step(found, stage.key, system) or step


def mend_step(found: "Mend", key: str, system: System) -> Step | None:
    """`Move the pantry to the galley: then within, 102 lb to spare.` at one stage, for a headline;
    None without moves, or where something that no load mends is exceeded still."""
    if not found.moves:
        return None
    stage = next(one for one in found.after.stages if one.key == key)
    verdict = stage_verdict(found.after, stage)
    if verdict == "exceeded":
        return None
    then = {"cannot tell": "then weigh it", "unknown": "then nothing known is exceeded"}
    gap = to_spare(stage.deciding, system) if stage.deciding else ""
    after = then.get(verdict, ", ".join(filter(None, (f"then {verdict}", gap))))
    told = joined(carried(found.after.rig, found.moves))
    return Step(kind="move", words=f"Move {told}: {after}.")


def _lighter(stage: StageResult, limit: LimitStatus, system: System) -> Iterator[str]:
    """`empty the tanks (333 lb)` and the like: what lightens a rig besides leaving its load."""
    share = limit.measure == "share"  # moved the right way by what sits on one side alone
    rows = [
        one
        for one in stage.ledger.weights
        if not share or (one.lever < limit.value) is too_light(limit)
    ]
    tanks = [one for one in rows if one.body == "trailer" and one.name.endswith(" tank")]
    bodies = {"trailer"} if limit.at.startswith("trailer") else {"trailer", "vehicle"}
    rest = [one for one in rows if one.name.startswith("not listed") and one.body in bodies]
    for do, found in (("empty the tanks", tanks), ("list what rides", rest)):
        kg = sum(one.kg for one in found)
        reckoned = " reckoned with" if found is rest else ""
        if kg >= LEAST:
            yield f"{do} ({weight(kg, system)}{reckoned})"


def carried(rig: Rig, moves: "Iterable[Move]") -> list[str]:
    """`chairs and bedding to the lounge`, one for each place, in the order of the moves."""
    to: dict[str, list[str]] = {}
    for move in moves:
        to.setdefault(move.to, []).append(move.item)
    return [
        f"{joined(items)} to the {rig.places[place].title or place}" for place, items in to.items()
    ]


NAMED: Final = 3
"""Limits that a sentence names."""


def few(named: Sequence[str]) -> str:
    """As many as a sentence holds, and how many more."""
    more = len(named) - NAMED
    return joined([*named[:NAMED], *([f"{more} more"] if more > 0 else [])])


def likeliest(whole: Assessment, level: int) -> dict[str, float]:
    """The greatest chance at any stage that decides of each limit at a level."""
    most: dict[str, float] = {}
    for stage in whole.stages:
        for one in (*stage.limits, *stage.notes):
            if one.verdict != "unknown":
                most[one.title] = max(likely(one, level), most.get(one.title, 0.0))
    return most


def likelier(before: Assessment, after: Assessment) -> str:
    """`tongue share (10 % now, 39 % then)`: what is likelier not to hold than now, and not
    within."""
    now_, then = (likeliest(whole, UNTOLD) for whole in (before, after))
    up = [title for title in then if risen(now_.get(title, 1.0), then[title])]
    up.sort(key=lambda title: -then[title])
    return few([f"{t} ({chance(now_[t])} now, {chance(then[t])} then)" for t in up])
