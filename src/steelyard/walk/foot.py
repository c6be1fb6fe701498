"""The running line at the foot: the verdict so far, and the answer that would tell most next."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from steelyard.assessment import Assessment
from steelyard.quantity import Z95, System
from steelyard.ratings import LimitStatus, Verdict
from steelyard.walk.next import Useful, short, useful
from steelyard.walk.stops import Stop
from steelyard.words.assessed import MARKS, measured

SO_FAR: Final[dict[Verdict, str]] = {
    "within": "Within so far",
    "tight": "Tight so far",
    "cannot tell": "Cannot tell yet",
    "exceeded": "Exceeded so far",
    "unknown": "Not known yet",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """The line's words; `next` is the answer it asks for, and `tells` what that would tell."""

    mark: str
    verdict: str
    why: str
    next: Useful | None
    called: str
    tells: str


def foot(found: Assessment, walk: Sequence[Stop], system: System, here: str = "") -> Foot:
    """The line of a rig as it is known now."""
    one, next_ = found.worst_stage.deciding, useful(found, walk, here)
    return Foot(
        mark=MARKS[found.verdict].partition(" ")[0],
        verdict=SO_FAR[found.verdict],
        why=_why(found, one, short(found, walk), system),
        next=next_,
        called=_called(next_),
        tells=_tells(next_, one, system) or _due(found),
    )


def _why(found: Assessment, one: LimitStatus | None, count: int, system: System) -> str:
    if found.verdict == "unknown" or one is None:
        if count:
            return f"{count} rating{'s' * (count > 1)} short"
        return "nobody is listed aboard" if "people" in found.missing else "a rating is missing"
    if found.verdict == "within":
        return f"closest is {one.title}"
    gap = measured(abs(one.margin), one, system)
    if found.verdict == "exceeded" and one.measure == "weight":
        return f"{one.title} by {gap}"
    return one.title


def _due(found: Assessment) -> str:
    """What else is missing, where the walk asks for nothing more."""
    short_ = [limit for limit in found.worst_stage.limits if limit.verdict == "unknown"]
    return f"{short_[0].title}: {short_[0].due}" if short_ else ""


def _called(next_: Useful | None) -> str:
    """What is asked next; a distance by its letter in the sketch and by its ends."""
    words = next_.field.words if next_ else ""
    if next_ and len(words) == 1:
        return f"{words}, {next_.field.reads}"
    return words[:1].upper() + words[1:]


def _tells(next_: Useful | None, one: LimitStatus | None, system: System) -> str:
    """`± 152 lb becomes ± 84 lb`, or the question that the answer settles."""
    if next_ is None:
        return ""
    if next_.asked:
        return f"is {next_.asked} right?"
    if next_.sd is None or next_.sd_after is None or one is None:
        return next_.field.asks
    before, after = (measured(Z95 * sd, one, system) for sd in (next_.sd, next_.sd_after))
    return f"± {before} becomes ± {after}"
