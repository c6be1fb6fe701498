"""Passes that weighed the same load on the same scale and differ in total: what bars cannot do."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from math import hypot
from typing import Final

from steelyard.typical import axle_count
from steelyard.weighing.kinds import Platform
from steelyard.weighing.plan import Line, Weighed

APART: Final = 2.0
"""sd by which two totals differ before that is said; by chance one pair in twenty does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """Two passes over one scale with one load: their totals (kg), and the sd of their difference,
    what the scale errs in proportion left out, as both have it."""

    first: str
    second: str
    first_kg: float
    second_kg: float
    sd_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Total:
    """One pass whose platforms bear every axle once."""

    name: str
    alike: tuple[object, ...]
    kg: float
    sd: float


def steps(weighed: Weighed) -> tuple[Step, ...]:
    """Every pair of passes alike in load, arrangement and scale whose totals are far apart."""
    totals = [total for name in weighed.ticket.passes for total in _total(weighed, name)]
    return tuple(
        Step(
            first=a.name,
            second=b.name,
            first_kg=a.kg,
            second_kg=b.kg,
            sd_kg=hypot(a.sd, b.sd),
        )
        for a, b in combinations(totals, 2)
        if a.alike == b.alike and abs(a.kg - b.kg) > APART * hypot(a.sd, b.sd)
    )


def _total(weighed: Weighed, name: str) -> Iterator[_Total]:
    """The pass's total, if its platforms give one; a trailer on its jack has none."""
    one = weighed.ticket.passes[name]
    pairs = zip(weighed.lines, weighed.readings, strict=True)
    pads = [(line, read) for line, read in pairs if line.pass_name == name and _axles(line)]
    borne = sorted(axle for line, _ in pads for axle in _axles(line))
    ends = [] if one.arrangement == "trailer-alone" else ["front", "rear"]
    whole = [*ends, *([] if one.arrangement == "vehicle-alone" else ["trailer"])]
    scales = {(line.reading.scale, line.slope) for line, _ in pads}
    if not ends or len(scales) != 1 or borne not in (["all"], whole, _apart(weighed, whole)):
        return
    yield _Total(
        name=name,
        alike=(weighed.poses.load_of(name), one.arrangement, one.off_parts, *scales),
        kg=sum(read.value for _, read in pads),
        sd=hypot(*(read.sd for _, read in pads)),
    )


def _axles(line: Line) -> tuple[str, ...]:
    return line.reading.axles if isinstance(line.reading, Platform) else ()


def _apart(weighed: Weighed, whole: list[str]) -> list[str]:
    """The same axles with the trailer's one by one."""
    if "trailer" not in whole:
        return whole
    count = axle_count(weighed.rig)
    return [*whole[:-1], *(f"trailer-{number + 1}" for number in range(count))]
