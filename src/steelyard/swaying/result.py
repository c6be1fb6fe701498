"""What an answer about sway holds."""

from dataclasses import dataclass
from typing import Annotated, Final, Literal

import numpy as np

from steelyard.estimate import Array
from steelyard.quantity import reported
from steelyard.quantity.constants import HOUR, MILE
from steelyard.swaying.felt_damping import Telling
from steelyard.swaying.linear.combination import Combination

KNOWN: Final = 8 * MILE / HOUR
"""m/s: half-width of a 95 % interval from which on a speed is no order to anybody."""
Danger = Literal["wagging", "jackknife", "neither"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A number, or one for each speed: the draws' median, which is what a person reads, the best
    estimate, and the 2.5 and 97.5 percentiles of the draws that stand."""

    value: Array
    best: Array
    low: Array
    high: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class CriticalSpeed:
    """A speed, m/s, at which something starts: best estimate, median and the 2.5 and 97.5
    percentiles of the draws, each inf for never; the chance of never; and whether a recording of
    the rig shows it, by itself."""

    value: float
    median: float
    low: float
    high: float
    never: float
    shown: Annotated[bool, reported.Key("shown_by_recording")]

    @property
    def known(self) -> Annotated[bool, reported.Key("told")]:
        """Whether it may be told as an order: its 95 % half-width is under 8 mph, or a recording
        shows it."""
        return self.shown or self.high - self.low < 2 * KNOWN


@dataclass(frozen=True, slots=True, kw_only=True)
class Heeded:
    """What one reading of what was felt comes to at its own speed: the damping ratio there by all
    readings together, and without any."""

    telling: Telling
    after: Annotated[Band, reported.Key("damping")]
    before: Annotated[Band, reported.Key("damping_without")]


@dataclass(frozen=True, slots=True, kw_only=True)
class StageSway:
    """The rig at one stage. Speeds in m/s, frequencies in rad/s, times in s.

    damping, frequency, calm: of the least damped oscillation at each of `speeds`; calm is the time
    to a tenth of the swing, inf where it grows, 0 where nothing swings. `at_*`: the same at
    `chosen_speed`, with `chance_below` that its damping ratio is below `chosen_ratio`, and `tips`,
    the part of that chance in which it would tip over. wagging: an
    oscillation starts to grow; jackknife: a fold without oscillation starts; falls: damping has
    fallen to `chosen_ratio`. calms_again: speed above which a wagging rig calms once more at the
    best estimate, inf if none. understeer: rad/(m/s2), trailer on. first: the danger that comes
    first at the best estimate; wagging_first, jackknife_first: chances over the draws.
    felt: what was felt with this load.
    """

    key: str
    title: str
    speeds: Annotated[Array, reported.SPEED]
    damping: Band
    frequency: Annotated[Band, reported.FREQUENCY]
    calm: Annotated[Band, reported.SECOND, reported.Key("calms_to_a_tenth")]
    chosen_speed: Annotated[float, reported.SPEED, reported.Key("asked.speed")]
    chosen_ratio: Annotated[float, reported.Key("asked.ratio")]
    at_damping: Annotated[Band, reported.Key("asked.damping")]
    at_frequency: Annotated[Band, reported.UNREPORTED]
    at_calm: Annotated[Band, reported.SECOND, reported.Key("asked.calms_to_a_tenth")]
    tips: Annotated[float, reported.Key("asked.chance_tips")]
    chance_below: Annotated[float, reported.Key("asked.chance_below")]
    wagging: Annotated[CriticalSpeed, reported.SPEED]
    jackknife: Annotated[CriticalSpeed, reported.SPEED]
    falls: Annotated[CriticalSpeed, reported.SPEED, reported.Key("falls_to_ratio")]
    calms_again: Annotated[float, reported.SPEED]
    understeer: Annotated[Band, reported.Key("understeer_rad_s2_m")]
    first: Danger
    wagging_first: float
    jackknife_first: float
    combination: Annotated[Combination, reported.UNREPORTED]
    felt: tuple[Heeded, ...]


def first_danger(wag: float, fold: float) -> Danger:
    """What comes first as speed rises."""
    if not np.isfinite(min(wag, fold)):
        return "neither"
    return "wagging" if wag < fold else "jackknife"


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """Where one rig stands: damping ratio at the speed asked about, and the three speeds, m/s."""

    damping: float
    falls: float
    wagging: float
    jackknife: float
