"""What was felt on the road, and what it does to the answer, in sentences."""

from collections.abc import Iterator, Sequence
from typing import Final

from steelyard.quantity import System, shown
from steelyard.rig import Felt, Rig
from steelyard.swaying.result import Heeded, StageSway
from steelyard.words.sway import band_words, speed

ASKED: Final = (
    "Has it swayed, swung and settled, or run steady with this load? Tell it with --felt. Only what"
    " came by itself: never try it out."
)


def felt_lines(rig: Rig, found: Sequence[StageSway], system: System) -> Iterator[str]:
    """Every reading at the stages in view: what was told, and what it does."""
    for stage in found:
        for one in stage.felt:
            where = f" at “{stage.title}”" if len(found) > 1 else ""
            yield _line(rig, rig.felt[one.telling.name], one, where, system)


def warnings(rig: Rig, system: System) -> Iterator[str]:
    """A line for each speed at which the rig was felt to sway, for the card."""
    for one in rig.felt.values():
        if one.what == "swayed" and counts(rig, one):
            at = speed(one.speed.value, system)
            yield f"It swayed at {at}, as was felt: stay well under that."


def counts(rig: Rig, one: Felt) -> bool:
    """Whether it was felt since the rig is as its file says."""
    return not (rig.since and one.date and one.date < rig.since)


def _line(rig: Rig, told: Felt, one: Heeded, where: str, system: System) -> str:
    felt = f"Felt{where} at {speed(told.speed.value, system)}: {_what(told, system)}."
    if not counts(rig, told):
        since = f"{rig.since}, since when the rig is as its file says"
        return f"{felt} That was before {since}: it counts for nothing."
    does = (
        f"{felt} Damping ratio there: {band_words(one.after)}; without it {band_words(one.before)}."
    )
    if told.what == "swayed":
        return f"{does} Stay well under that speed until it is loaded otherwise."
    return f"{does} It makes no speed beyond that one calmer."


def _what(told: Felt, system: System) -> str:
    if told.what == "settled":
        count = f" in {told.swings} swing{'s' * (told.swings != '1')}" if told.swings else ""
        return f"it swung and settled{count}"
    if told.what == "steady":
        return f"steady for {shown(told.seconds, 'time', system)}"
    return "it swayed"
