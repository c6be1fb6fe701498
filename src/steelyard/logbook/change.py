"""What changed between weighings, with its spread."""

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.records import Logged, LoggedReading, Summary, Weighing
from steelyard.logbook.sound import wall_clock
from steelyard.weighing.agreement import DOUBTFUL

DAY = 86400.0
"""s."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """First and second value, and second less first; each with its sd.

    The two are taken as independent. They share what was assumed of the rig, so where both err
    alike the change is surer than its sd says.
    """

    first: float
    first_sd: float
    second: float
    second_sd: float
    change: float
    sd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """One reading in two weighings, by pass and name; None where it was not taken."""

    pass_name: str
    name: str
    first: LoggedReading | None
    second: LoggedReading | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two weighings side by side: weights in kg, the share of 1; `doubtful`: whose readings do not
    agree, by number."""

    first: Logged
    second: Logged
    trailer_kg: Change
    tongue_kg: Change
    share: Change
    readings: tuple[Pair, ...]
    doubtful: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """A change from first to last, and the slope of a straight line through all.

    `scatter` is how many times wider the values lie about the line than their own spreads say
    (the root of chi-square over its degrees of freedom; None for two values); above 1 it widens
    the slope's sd. Slope and its sd are None where no line can be laid: all on one moment, or one
    of no spread.
    """

    ends: Change
    per_100_days: float | None
    per_100_days_sd: float | None
    scatter: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """What became of a rig over `days`: weights in kg, the share of 1.

    `rig_files` counts the different rig files among the weighings; `doubtful` are those, by number,
    whose readings do not agree.
    """

    rig_name: str
    first: Summary
    last: Summary
    weighings: int
    rig_files: int
    doubtful: tuple[int, ...]
    days: float
    trailer_kg: Trend
    tongue_kg: Trend
    share: Trend


def disagrees(one: Weighing | Summary) -> bool:
    """Whether the readings of a weighing do not agree; one without a test is not said to."""
    return one.chance is not None and one.chance < DOUBTFUL


def compare(first: Logged, second: Logged) -> Comparison:
    """Second less first, and their readings side by side."""
    a, b = first.weighing, second.weighing
    return Comparison(
        first=first,
        second=second,
        trailer_kg=_change(a.trailer_kg, a.trailer_sd_kg, b.trailer_kg, b.trailer_sd_kg),
        tongue_kg=_change(a.tongue_kg, a.tongue_sd_kg, b.tongue_kg, b.tongue_sd_kg),
        share=_change(a.share, a.share_sd, b.share, b.share_sd),
        readings=_pairs(a, b),
        doubtful=tuple(one.id for one in (first, second) if disagrees(one.weighing)),
    )


def drift(rig_name: str, lines: Sequence[Summary]) -> Drift:
    """The changes over a rig's weighings, given in order of `taken`; two or more."""
    if len(lines) < 2:
        due = f'two weighings or more of the rig "{rig_name}"'
        raise LogbookError(due=due, found=str(len(lines)))
    days = _days(lines)
    return Drift(
        rig_name=lines[-1].rig_name,
        first=lines[0],
        last=lines[-1],
        weighings=len(lines),
        rig_files=len({line.rig_hash for line in lines}),
        doubtful=tuple(line.id for line in lines if disagrees(line)),
        days=float(days[-1]),
        trailer_kg=_trend(days, lines, lambda one: (one.trailer_kg, one.trailer_sd_kg)),
        tongue_kg=_trend(days, lines, lambda one: (one.tongue_kg, one.tongue_sd_kg)),
        share=_trend(days, lines, lambda one: (one.share, one.share_sd)),
    )


def _change(first: float, first_sd: float, second: float, second_sd: float) -> Change:
    return Change(
        first=first,
        first_sd=first_sd,
        second=second,
        second_sd=second_sd,
        change=second - first,
        sd=math.hypot(first_sd, second_sd),
    )


def _pairs(first: Weighing, second: Weighing) -> tuple[Pair, ...]:
    """In the first's order, then what only the second has; a reading twice is paired in turn."""
    ours, theirs = _keyed(first.readings), _keyed(second.readings)
    return tuple(
        Pair(pass_name=key[0], name=key[1], first=ours.get(key), second=theirs.get(key))
        for key in ours | theirs
    )


def _keyed(readings: Iterable[LoggedReading]) -> dict[tuple[str, str, int], LoggedReading]:
    seen: Counter[tuple[str, str]] = Counter()
    keyed = {}
    for reading in readings:
        key = reading.pass_name, reading.name
        keyed[(*key, seen[key])] = reading
        seen[key] += 1
    return keyed


def _days(lines: Sequence[Summary]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """(n,) days since the first."""
    moments = [datetime.fromisoformat(wall_clock(line.taken, path=("taken",))) for line in lines]
    return np.array([(moment - moments[0]).total_seconds() / DAY for moment in moments])


def _trend(
    days: np.ndarray[tuple[int], np.dtype[np.float64]],
    lines: Sequence[Summary],
    of: Callable[[Summary], tuple[float, float]],
) -> Trend:
    """Weighted least squares, weights 1/sd2.

    The slope's variance is that of the closed form for a line, widened by the Birge ratio where
    the values scatter more than they say (R. T. Birge, Physical Review 40 (1932) 207-227, from
    memory).
    """
    value, sd = np.array([of(line) for line in lines]).T
    ends = _change(*of(lines[0]), *of(lines[-1]))
    if np.any(sd <= 0) or np.ptp(days) == 0:
        return Trend(ends=ends, per_100_days=None, per_100_days_sd=None, scatter=None)
    weight = sd**-2.0
    apart = days - np.average(days, weights=weight)
    level = np.average(value, weights=weight)
    width = float(np.sum(weight * apart**2))
    slope = float(np.sum(weight * apart * (value - level))) / width
    left = np.sum(weight * (value - level - slope * apart) ** 2)
    scatter = math.sqrt(float(left) / (len(lines) - 2)) if len(lines) > 2 else None
    return Trend(
        ends=ends,
        per_100_days=100 * slope,
        per_100_days_sd=100 * max(1.0, scatter or 0.0) / math.sqrt(width),
        scatter=scatter,
    )
