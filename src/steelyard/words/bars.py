"""What a fitting says of spring bars, in sentences."""

from collections.abc import Iterator
from typing import Final

import numpy as np

from steelyard.assessment import Spread
from steelyard.hitching.result import Bars
from steelyard.quantity import System, percent
from steelyard.words.assessed import weight, weight_spread
from steelyard.words.hitching import fine, length_spread, loose, turned

_DUE: Final = {
    "due": "Spring bars are due",
    "not due": "Spring bars are not due",
    "forbidden": "Spring bars are forbidden",
    "unknown": "Whether spring bars are due is not known",
}


def bar_lines(bars: Bars, system: System) -> Iterator[str]:
    """Whether bars are due, of what rating, how they are set and what proves it."""
    sure = bars.fitted or bars.due != "due" or bars.verdict == "exceeded"
    yield f"{_DUE[bars.due] if sure else 'Spring bars may be due'}: {'; '.join(bars.reasons)}."
    if bars.carries_kg is not None:
        size = (
            "none sold covers it"
            if bars.size is None
            else f"rated {weight(bars.size, system)} or more"
        )
        yield (
            f"They carry tongue plus cargo behind the rear axle,"
            f" {weight_spread(bars.carries_kg, system)}: {size}."
        )
    if bars.preset is None or bars.moment is None or bars.take_up is None:
        return
    supposed = "Supposing bars of a usual kind, to" if bars.supposed else "To"
    given = bars.restored[bars.set_stage].value if bars.share is None else bars.share
    share = percent(given, 0) if np.isfinite(given) else "nothing"
    if not bars.moment.value > 0:
        yield f"At “{bars.set_at}” the bars hang slack: nothing of the front load is given back."
        return
    what = "keep the preset stated, giving back" if bars.share is None else "give back"
    yield (
        f"{supposed} {what} {share} of the front load lost at “{bars.set_at}”{_set(bars, system)}."
        " The bars' stiffness is seldom known: go by the fenders."
    )
    if bars.fenders_prove:
        yield from _fender_lines(bars, system)
    else:
        yield "The vehicle levels itself: its fenders prove nothing; weigh the front axle."


def _set(bars: Bars, system: System) -> str:
    """Preset and chain, unless their spread is larger than they are."""
    if bars.preset is None or bars.take_up is None or loose(bars.preset) or loose(bars.take_up):
        return ""
    return (
        f": {_degrees(bars.preset)} of preset, or {length_spread(bars.take_up, system)} of chain"
        " with no head tilt"
    )


def _degrees(one: Spread) -> str:
    return (
        f"{np.degrees(one.value):z.1f}° ({np.degrees(one.low):z.1f} to {np.degrees(one.high):z.1f})"
    )


def _fender_lines(bars: Bars, system: System) -> Iterator[str]:
    if bars.fenders is None:
        return
    seen = bars.fenders
    if loose(seen.front_off) or loose(seen.front_on):
        return
    yield (
        "Proof by tape, against the vehicle alone with the same load in it: the front fender rises"
        f" {fine(seen.front_off, system)} without bars; set them until it stands"
        f" {fine(seen.front_on, system)} up. The rear fender goes from"
        f" {fine(turned(seen.rear_off), system)} down to {fine(turned(seen.rear_on), system)}."
    )
