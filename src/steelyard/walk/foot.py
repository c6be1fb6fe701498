"""The running line at the foot: the headline so far, and the answer that would tell most next."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from steelyard.assessment import Assessment
from steelyard.quantity import Z95, System
from steelyard.ratings import LimitStatus, Verdict
from steelyard.walk.doubts import doubts
from steelyard.walk.next import Useful, held, short, useful
from steelyard.walk.stops import Stop
from steelyard.words.assessed import measured
from steelyard.words.headline import Headline, headline

SO_FAR: Final[dict[Verdict, str]] = {
    "within": "Within so far",
    "tight": "Tight so far",
    "cannot tell": "Cannot tell yet",
    "exceeded": "Exceeded so far",
    "unknown": "Not known yet",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """The line's words; `next` is the answer it asks for, and `tells` what that would tell; where
    the walk asks for nothing more, the headline's thing to do."""

    mark: str
    verdict: str
    why: str
    next: Useful | None
    called: str
    tells: str


def foot(
    found: Assessment, walk: Sequence[Stop], system: System, here: str = "", doubt: str = ""
) -> Foot:
    """The line of a rig as it is known now; doubt: why its readings are no ground, as for its
    headline."""
    first, next_ = headline(found, system, doubt=doubt), _next(found, walk, system, here)
    return Foot(
        mark=first.mark,
        verdict=SO_FAR[first.verdict],
        why=_why(first, 0 if doubt else short(found, walk)),
        next=next_,
        called=_called(next_),
        tells=_tells(next_, found.worst_stage.deciding, system) or first.step.words,
    )


def _next(found: Assessment, walk: Sequence[Stop], system: System, here: str) -> Useful | None:
    """What is stated and doubted first, since its limits are unknown meanwhile, at the field that
    bears the doubt; None where what is doubted has no field on the walk."""
    if not found.questions:
        return useful(found, walk, here)
    doubted = doubts(found.rig, tuple(walk), system)
    for stop in walk:
        for field in stop.fields:
            if field.at in doubted:
                return Useful(stop=stop, field=field, asked=f"'{held(found.rig, field.at).text}'")
    return None


def _why(first: Headline, count: int) -> str:
    """What decides, or of what is missing how much the walk asks for."""
    if first.verdict == "unknown" and count:
        return f"{count} rating{'s' * (count > 1)} short"
    return first.brief


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
