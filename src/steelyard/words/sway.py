"""How a rig sways, in sentences."""

from collections.abc import Iterator
from typing import Final

import numpy as np

from steelyard.assessment.sway_advice import Hurt
from steelyard.quantity import FOOT, System, shown, to_border
from steelyard.quantity.constants import POUND_FORCE
from steelyard.ratings import Fastest, Verdict, verdict
from steelyard.swaying.remedies import Move
from steelyard.swaying.result import Band, CriticalSpeed, StageSway
from steelyard.words.assessed import MARKS, chance
from steelyard.words.unstated import plainly

FAST: Final = 200 / 3.6
"""m/s: no critical speed above this is told."""
FOOT_POUND: Final = FOOT * POUND_FORCE


def beyond(system: System) -> str:
    """`above 124 mph`: faster than is told."""
    return f"above {shown(FAST, 'speed', system)}"


def told(si: float, system: System) -> bool:
    """Whether a speed reads lower than the fastest that is told."""
    return si < FAST and speed(si, system) not in beyond(system)


def torque(newton_metres: float, system: System) -> str:
    """`148 lb·ft`, `200 N·m`."""
    if system == "us":
        return f"{newton_metres / FOOT_POUND:z,.0f} lb·ft"
    return f"{newton_metres:z,.0f} N·m"


def speed(si: float, system: System) -> str:
    """`65 mph`."""
    return shown(si, "speed", system)


def sway_sentences(found: StageSway, system: System, doubt: str | None = None) -> Iterator[str]:
    """The sentence: how fast it calms, where sway grows and jackknife starts, which comes first."""
    yield settling(found, system, doubt)
    yield (
        f"Sway grows by itself {critical_words(found.wagging, system)}. Jackknife without a"
        f" swing starts {critical_words(found.jackknife, system)}. Damping falls to"
        f" {found.chosen_ratio:g} {critical_words(found.falls, system)}."
    )
    if found.first != "neither":
        first = "sway" if found.first == "wagging" else found.first
        other = f"chance that sway does: {chance(found.wagging_first)}"
        yield f"What comes first as speed rises: {first} ({other})."
    yield (
        f"Understeer with the trailer on: {_understeer(found.understeer)}. The damping ratio asked"
        " for is common practice; it is a setting."
    )


def settling(found: StageSway, system: System, doubt: str | None = None) -> str:
    """How fast a swing settles at the speed asked about, and the chance that it is too slow.

    doubt: a value asked about that all of it rests on.
    """
    mark = MARKS[swing_verdict(found, doubt)][0]
    rests = f" {resting(doubt)}" if doubt else ""
    tips = f", counting {chance(found.tips)} in which it would tip over" if found.tips else ""
    return (
        f"{mark} At “{found.title}” and {speed(found.chosen_speed, system)} a swing"
        f" {calms(found.at_calm)}, damping ratio {band_words(found.at_damping)}; the chance that it"
        f" is below {found.chosen_ratio:g} is {chance(found.chance_below)}{tips}.{rests}"
    )


def resting(doubt: str) -> str:
    """That all of it rests on a value asked about."""
    return f"All of this rests on {plainly(doubt)}, which is asked about."


def swing_verdict(found: StageSway, doubt: str | None) -> Verdict:
    """Whether a swing settles as asked; what is good is not known while a value is doubted."""
    said = verdict(found.chance_below)
    return "unknown" if doubt and said in ("within", "tight") else said


def headline(found: StageSway, system: System, doubt: str | None = None) -> Iterator[str]:
    """The first answer: a speed only where it is known well enough to be an order, else the
    careful end in words."""
    yield settling(found, system, doubt)
    speeds = (
        ("Sway grows by itself", found.wagging),
        ("Jackknife without a swing starts", found.jackknife),
        (f"Damping falls to {found.chosen_ratio:g}", found.falls),
    )
    told = [f"{what} {critical_words(one, system)}." for what, one in speeds if tellable(one)]
    if told:
        yield " ".join(told)
    if not (tellable(found.wagging) and tellable(found.falls)):
        yield f"{OPEN} {careful_end(found, system)}"


OPEN: Final = "No sway speed is told: what is known of this rig spreads too wide for one."


def tellable(found: CriticalSpeed) -> bool:
    """Whether a speed may stand in a headline: known well, or beyond any that is told."""
    return found.known or found.low > FAST


def careful_end(found: StageSway, system: System) -> str:
    """What the careful end of the spread means at the speed asked about."""
    least = float(found.at_damping.low)
    how = "dies out as it should"
    if least < found.chosen_ratio:
        how = "dies out too slowly" if least > 0 else "grows by itself"
    return f"At the careful end a swing at {speed(found.chosen_speed, system)} {how}."


def starts(found: StageSway, system: System) -> str:
    """From what speed sway grows, to follow `sway grows`, where that may be told."""
    if tellable(found.wagging):
        return critical_words(found.wagging, system)
    return "at a speed that what is known leaves open"


def fastest_line(one: Fastest, system: System) -> str:
    """A speed of the tyres or of the law, with its reason."""
    return f"No faster than {speed(one.speed, system)}: {one.reason}."


def calms(band: Band) -> str:
    """`settles to a tenth in 3.1 s (2.6 to 3.9)`."""
    if not np.isfinite(band.value):
        return "does not settle: it grows"
    low, high = float(band.low), float(band.high)
    worst = "never" if not np.isfinite(high) else f"{high:z.1f}"
    return f"settles to a tenth in {float(band.value):z.1f} s ({low:z.1f} to {worst})"


def band_words(band: Band, places: int = 2) -> str:
    """`0.12 (0.10 to 0.14)`."""
    value, low, high = (f"{float(x):z.{places}f}" for x in (band.value, band.low, band.high))
    return f"{value} ({low} to {high})"


def critical_words(found: CriticalSpeed, system: System) -> str:
    """`at 78 mph (72 to 84 mph)`."""
    if not np.isfinite(found.value) or found.value > FAST:
        least = ""
        if told(found.low, system):
            least = f" (but perhaps {_from(found.low, system)})"
        return f"{beyond(system)}, if at all{least}"
    high = speed(found.high, system) if found.high < FAST else beyond(system)
    low = speed(found.low, system) if found.low > 0 else "any speed"
    return f"at {speed(found.value, system)} ({low} to {high})"


def _from(low: float, system: System) -> str:
    return f"from {speed(low, system)}" if low > 0 else "at any speed"


def _understeer(band: Band) -> str:
    """rad/(m/s2) as degrees per g."""
    per_g = np.degrees(1.0) * 9.80665
    value, low, high = (per_g * float(x) for x in (band.value, band.low, band.high))
    return f"{value:z.1f} degrees per g ({low:z.1f} to {high:z.1f})"


def move_words(move: Move, system: System) -> str:
    """What one move does, in words."""
    if move.kind == "weight":
        much = shown(move.amount, "mass", system)
        return f"{much} from {move.source} to {move.target}"
    words = {
        "tank": f"{move.what} the {move.target or move.source} tank",
        "tyres": f"{shown(move.amount, 'pressure', system)} more in the tyres of the {move.target}",
        "bars": f"{move.what}: {100 * move.amount:z.0f} % of the front load given back",
        "speed": f"{speed(move.amount, system)} slower",
    }
    return words[move.kind]


def onset_words(move: Move, system: System) -> str:
    """What one move does to the speed at which sway grows."""
    if move.kind == "speed":
        return "as before"
    before, after = move.before.wagging, move.after.wagging
    if not np.isfinite(after) or after > FAST:
        return beyond(system)
    if not np.isfinite(before) or before > FAST:
        return speed(after, system)
    return f"{to_border(after - before, 'speed', system):+z.0f} to {speed(after, system)}"


def ball_words(kg: float, system: System) -> str:
    """What a move does to the tongue weight: `+50 lb`, `-` for next to nothing."""
    return "-" if abs(kg) < 0.5 else f"{'+' if kg > 0 else '-'}{shown(abs(kg), 'mass', system)}"


def hurt_words(hurt: Hurt, system: System) -> str:
    """`rear axle over by 45 lb`, `spring bars tight, 23 lb left`, `GCWR cannot tell, 9 lb over`."""
    gap = _gap(abs(hurt.margin), hurt.measure, system)
    if hurt.after == "exceeded":
        further = "further " if hurt.before == "exceeded" else ""
        return f"{hurt.title} {further}over by {gap}" if hurt.margin < 0 else f"{hurt.title} over"
    way = "over" if hurt.margin < 0 else "left"
    return f"{hurt.title} {MARKS[hurt.after].partition(' ')[2]}, {gap} {way}"


def _gap(x: float, measure: str, system: System) -> str:
    if measure == "weight":
        return shown(x, "mass", system)
    if measure == "share":
        return f"{100 * x:z.1f} points"
    if measure == "force":
        return f"{x / 1000:z.2f} kN"
    return f"{x:z.2f}"
