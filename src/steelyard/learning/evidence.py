"""What one weighing says of the styles it weighed, their own priors divided out."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from math import exp, expm1, log1p, sqrt
from typing import Any, Final, get_args

import numpy as np

from steelyard.estimate import Array, Reading, Values, linearise
from steelyard.estimate.tails import chi_square_chance
from steelyard.learning.three_levels import Shipped
from steelyard.rig import Rig
from steelyard.rig.kinds import TrailerStyle, VehicleClass
from steelyard.scene import assumed_of
from steelyard.statics.linkage import group_station
from steelyard.typical.contents import known_as
from steelyard.typical.shipped_tables import trailer_style, vehicle_class, worth
from steelyard.typical.trailer import GAS_AND_BATTERY
from steelyard.weighing.agreement import DOUBTFUL
from steelyard.weighing.reconcile import Reconciled

SURE: Final = 20.0
"""A weighing that knows a value to no better than so many shipped sd says nothing of it."""
FAR: Final = 8.0
"""Shipped sds from the shipped value beyond which no rig of the style is believed (judgement)."""
TOLD: Final = 0.01
"""Of a prior variance, the least part that readings take away where they speak of it at all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Belief in some typical values of one style (trailer) or class (vehicle) at one weighing.

    names (k,) are keys of the style's relations; before and after the readings a mean (k,) and a
    covariance (k, k) of these. chance: of readings that agree no better among themselves.
    """

    part: str
    style: str
    names: tuple[str, ...]
    prior_mean: tuple[float, ...]
    prior_cov: tuple[tuple[float, ...], ...]
    mean: tuple[float, ...]
    cov: tuple[tuple[float, ...], ...]
    chance: float

    def sound(self) -> bool:
        """Whether it can be learned from: names that are known, and true covariances."""
        k = len(self.names)
        styles = {"trailer": get_args(TrailerStyle), "vehicle": get_args(VehicleClass)}
        sizes = [*map(len, (self.prior_mean, self.mean, self.prior_cov, self.cov))]
        known = {name for name, one in QUANTITIES.items() if one.part == self.part}
        if self.style not in styles.get(self.part, ()) or not k or set(sizes) != {k}:
            return False
        if not known.issuperset(self.names) or {*map(len, (*self.prior_cov, *self.cov))} != {k}:
            return False
        if not np.isfinite([*self.prior_mean, *self.mean, self.chance]).all():
            return False
        both = np.array([self.prior_cov, self.cov])
        return bool(np.isfinite(both).all() and (np.linalg.eigvalsh(both) > 0).all())

    def agrees(self) -> bool:
        """Whether the readings agree among themselves, and with anything such a style could be: a
        slip that all of them share, such as another unit, is no news of the style."""
        near = (
            abs(mean - one.value) <= FAR * one.sd
            for mean, one in zip(
                self.mean, (shipped(self.part, self.style, n) for n in self.names), strict=True
            )
        )
        return self.chance >= DOUBTFUL and all(near)

    @staticmethod
    def of(plain: Mapping[str, Any]) -> "Evidence":
        """From plain lists, as JSON gives them."""
        prior_cov, cov = (tuple(map(tuple, plain[key])) for key in ("prior_cov", "cov"))
        return Evidence(
            part=plain["part"],
            style=plain["style"],
            names=tuple(plain["names"]),
            prior_mean=tuple(plain["prior_mean"]),
            prior_cov=prior_cov,
            mean=tuple(plain["mean"]),
            cov=cov,
            chance=plain["chance"],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A typical value that weighings can teach: when a rig can, and what it is there.

    A share, not its logarithm, though weights are held on log scales: readings are linear in it.
    `skewed`: rigs differ in it as a log-normal does, whose middle and first-order sd are the value.
    """

    part: str
    skewed: bool
    taught_by: Callable[[Rig, frozenset[str]], bool]
    of: Callable[[Rig, Values], Array]


def _built(rig: Rig) -> float:
    """GVWR less payload, kg; 0 where either is unsaid."""
    vehicle = rig.vehicle
    stated = vehicle.gvwr is not None and vehicle.payload is not None
    return vehicle.gvwr.value - vehicle.payload.value if stated else 0.0  # type: ignore[union-attr]


QUANTITIES: Final[Mapping[str, Quantity]] = {
    "options_share": Quantity(
        part="trailer",
        skewed=True,
        taught_by=lambda rig, assumed: (
            "trailer.options" in assumed
            and "trailer.empty.weight" not in assumed
            and not set(map(known_as, rig.trailer.equipment)) - set(GAS_AND_BATTERY)
        ),
        of=lambda rig, v: v["trailer.options"] / v["trailer.empty.weight"],
    ),
    "empty_share_of_gvwr": Quantity(
        part="trailer",
        skewed=True,
        taught_by=lambda rig, assumed: "trailer.empty.weight" in assumed,
        of=lambda rig, v: v["trailer.empty.weight"] / rig.trailer.gvwr.value,  # type: ignore[union-attr]
    ),
    "tongue_share": Quantity(
        part="trailer",
        skewed=False,
        taught_by=lambda rig, assumed: True,
        of=lambda rig, v: 1.0 - v["trailer.empty.cg"] / group_station(rig, v),
    ),
    "payload_ratio": Quantity(
        part="vehicle",
        skewed=True,
        taught_by=lambda rig, assumed: "vehicle.weight" in assumed and _built(rig) > 0,
        of=lambda rig, v: v["vehicle.weight"] / _built(rig),
    ),
    "weight_share_of_gvwr": Quantity(
        part="vehicle",
        skewed=True,
        taught_by=lambda rig, assumed: (
            "vehicle.weight" in assumed and rig.vehicle.gvwr is not None and _built(rig) <= 0
        ),
        of=lambda rig, v: v["vehicle.weight"] / rig.vehicle.gvwr.value,  # type: ignore[union-attr]
    ),
    "front_share": Quantity(
        part="vehicle",
        skewed=False,
        taught_by=lambda rig, assumed: True,
        of=lambda rig, v: 1.0 - v["vehicle.cg"] / v["vehicle.wheelbase"],
    ),
}
"""In the order in which they are learned: no weighing teaches twice what it saw once."""


def evidence(found: Reconciled) -> tuple[Evidence, ...]:
    """What a reconciled ticket says of its trailer's style and its vehicle's class.

    Linearised at the posterior; both beliefs are those of all parameters, so what else is unknown
    is integrated out as it was believed.
    """
    rig = found.weighed.rig
    return tuple(_of_parts(found, rig, assumed_of(rig)))


def _of_parts(found: Reconciled, rig: Rig, assumed: frozenset[str]) -> Iterator[Evidence]:
    before, after = found.weighed.prior, found.full
    names = [name for name, one in QUANTITIES.items() if one.taught_by(rig, assumed)]
    readings = [
        Reading(name=name, predict=partial(QUANTITIES[name].of, rig), value=0.0, sd=1.0)
        for name in names
    ]
    here, slope = linearise(after, readings, after.mean)
    then = here + slope @ (before.mean - after.mean)
    prior_cov, cov = (slope @ one.cov @ slope.T for one in (before, after))
    chance = _agreement(found, here - then, prior_cov, cov)
    for part, style in (("trailer", rig.trailer.style), ("vehicle", rig.vehicle.klass)):
        mine = [i for i, name in enumerate(names) if QUANTITIES[name].part == part]
        both = np.ix_(mine, mine)
        one = Evidence(
            part=part,
            style=style,
            names=tuple(names[i] for i in mine),
            prior_mean=tuple(then[mine].tolist()),
            prior_cov=tuple(map(tuple, prior_cov[both].tolist())),
            mean=tuple(here[mine].tolist()),
            cov=tuple(map(tuple, cov[both].tolist())),
            chance=chance,
        )
        if one.sound():
            yield one


def _agreement(found: Reconciled, moved: Array, prior_cov: Array, cov: Array) -> float:
    """Chance of readings that agree no better, whatever the rig's style: chi-square less what the
    styles' values moved by, which is the innovation of these over its covariance P0 - P."""
    unit = np.sqrt(np.diag(prior_cov))
    gained, axes = np.linalg.eigh((prior_cov - cov) / np.outer(unit, unit))
    told = gained > TOLD
    styles = float(np.sum((axes.T[told] @ (moved / unit)) ** 2 / gained[told]))
    left = found.whole.degrees - int(told.sum())
    return chi_square_chance(max(found.whole.chi_square - styles, 0.0), left) if left > 0 else 1.0


def shipped(part: str, style: str, name: str) -> Shipped:
    """A shipped typical value, as the mean and sd of rigs."""
    table = trailer_style(style) if part == "trailer" else vehicle_class(style)
    found, rows = worth(table, name)
    if not QUANTITIES[name].skewed:
        return Shipped(value=found.value, sd=found.sd, rows=rows)
    log = (found.sd / found.value) ** 2
    mean = found.value * exp(log / 2)
    return Shipped(value=mean, sd=mean * sqrt(expm1(log)), rows=rows)


def middle(name: str, mean: float, sd: float) -> tuple[float, float]:
    """A typical value and its first-order sd, as tables hold them, from mean and sd of rigs."""
    if not QUANTITIES[name].skewed:
        return mean, sd
    log = log1p((sd / mean) ** 2)
    value = mean * exp(-log / 2)
    return value, value * sqrt(log)


def alone(
    one: Evidence, name: str, believed: Mapping[str, tuple[float, float]]
) -> tuple[float, float] | None:
    """What a weighing says of one value by itself, and how surely; None where it says too little.

    The posterior's precision less the prior's is that of the readings; the style's other values
    are integrated out as `believed` (mean, sd) by now, so that none takes what another explains.
    """
    prior = np.linalg.inv(np.array(one.prior_cov))
    after = np.linalg.inv(np.array(one.cov))
    precision = after - prior
    pull = after @ np.array(one.mean) - prior @ np.array(one.prior_mean)
    k = one.names.index(name)
    others = [i for i in range(len(one.names)) if i != k]
    for i in others:
        mean, sd = believed[one.names[i]]
        precision[i, i] += 1.0 / sd**2
        pull[i] += mean / sd**2
    across = precision[k, others]
    known = np.linalg.solve(precision[np.ix_(others, others)], np.c_[across, pull[others]])
    left = float(precision[k, k] - across @ known[:, 0])
    least = 1.0 / (SURE**2 * np.array(one.prior_cov)[k, k])
    if not left > least:
        return None
    return float((pull[k] - across @ known[:, 1]) / left), float(left**-0.5)


def as_one(seen: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Several weighings of one rig as one: their weighted mean, no surer than one of them.

    They share what is not known of the rig, so they are not independent.
    """
    y, s = np.array(seen).T
    w = s**-2.0
    return float(w @ y / w.sum()), float(np.mean(w) ** -0.5)
