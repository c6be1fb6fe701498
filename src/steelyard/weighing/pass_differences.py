"""Passes that weighed the same load on the same scale and differ in total: what bars cannot do.

Somebody was aboard in one of them and not in the other, or a scale was not at zero; which pass is
right they do not say. Each gets a weight of its own somewhere in the vehicle, so that totals are
known to no better than the step and nothing else is made to explain it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from math import hypot
from typing import Final

import numpy as np

from steelyard.estimate import Array, Values, extended
from steelyard.quantity import Scale
from steelyard.typical.trailer import axle_count
from steelyard.weighing.kinds import Platform
from steelyard.weighing.laid_ticket import Line, Weighed

APART: Final = 2.0
"""sd by which two totals differ before that is said; by chance one pair in twenty does."""


MOST: Final = 60.0
"""kg: most that one sd of a step is taken for, somebody or other (assumed); more is an error."""
PLACE: Final = "ticket.step.place"
NEAR, NEAR_SD = 0.6, 0.4
"""Where in the vehicle, as part of its wheelbase (assumed)."""


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


def stepped(weighed: Weighed) -> Weighed:
    """The ticket with a weight of its own in every pass that shares a step."""
    size: dict[str, float] = {}
    for one in steps(weighed):
        for name in (one.first, one.second):
            apart = abs(one.first_kg - one.second_kg)
            size[name] = min(max(apart, size.get(name, 0.0)), MOST)
    if not size or PLACE in weighed.prior.index:
        return weighed
    extra: list[tuple[str, Scale, float, float]] = [(PLACE, "linear", NEAR, NEAR_SD)]
    extra += [(f"ticket.step.{name}", "linear", 0.0, kg) for name, kg in size.items()]
    readings = (
        replace(read, predict=_Stepped(read.predict, line)) if line.pass_name in size else read
        for line, read in zip(weighed.lines, weighed.readings, strict=True)
    )
    return replace(weighed, prior=extended(weighed.prior, extra), readings=tuple(readings))


@dataclass(frozen=True, eq=False)
class _Stepped:
    """A prediction with what was aboard the vehicle in its pass alone."""

    predict: Callable[[Values], Array]
    line: Line

    def __call__(self, v: Values) -> Array:
        rear = v[PLACE]
        parts = {"front": 1.0 - rear, "rear": rear, "all": np.ones(())}
        there = [parts[axle] for axle in _axles(self.line) if axle in parts]
        share = sum(there, np.zeros(()))
        return np.asarray(self.predict(v) + share * v[f"ticket.step.{self.line.pass_name}"])


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
