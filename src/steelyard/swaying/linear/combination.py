"""Vehicle and trailer as the single-track model sees them: masses, places, tyres, coupling."""

from dataclasses import dataclass, field, fields
from typing import Any

import numpy as np

from steelyard.estimate import Array
from steelyard.fault import FaultError


def _none() -> Array:
    return np.zeros(())


@dataclass(frozen=True, slots=True, kw_only=True)
class Combination:
    """Vehicle with one trailer at small angles; every field an array, all broadcast to (...).

    m1, m2: kg, vehicle and trailer; I1, I2: kg m2, yaw inertia about each one's own centre of
    gravity; a, b: m, that centre to the front and rear axle; d: m, to the coupling (d = b + h, less
    than b for a fifth wheel); e: m, coupling to the trailer's centre. Cf, Cr: N/rad, cornering
    stiffness of an axle, all its tyres. stations: m, coupling to each trailer axle; stiffness:
    N/rad. damper: N m s/rad and spring: N m/rad at the coupling. front_lag, rear_lag, trailer_lag:
    m, relaxation length of the tyres, 0 for none.
    """

    m1: Array
    I1: Array
    a: Array
    b: Array
    d: Array
    Cf: Array
    Cr: Array
    m2: Array
    I2: Array
    e: Array
    stations: tuple[Array, ...]
    stiffness: tuple[Array, ...]
    damper: Array = field(default_factory=_none)
    spring: Array = field(default_factory=_none)
    front_lag: Array = field(default_factory=_none)
    rear_lag: Array = field(default_factory=_none)
    trailer_lag: Array = field(default_factory=_none)

    @property
    def shape(self) -> tuple[int, ...]:
        """The shape all fields broadcast to."""
        return np.broadcast(*flat(self)).shape

    @property
    def damped(self) -> bool:
        """Whether any element has a damper at the coupling."""
        return bool(np.any(self.damper != 0))

    @property
    def lagging(self) -> bool:
        """Whether any element has tyres with a relaxation length."""
        return any(np.any(lag != 0) for lag in (self.front_lag, self.rear_lag, self.trailer_lag))


NAMES = tuple(f.name for f in fields(Combination) if f.name not in ("stations", "stiffness"))
"""Fields that are one array."""


def flat(c: Combination) -> list[Array]:
    """All arrays of a combination: `NAMES`, stations, stiffness."""
    return [*(getattr(c, name) for name in NAMES), *c.stations, *c.stiffness]


def rebuilt(c: Combination, parts: list[Any]) -> Combination:
    """The combination of the same number of axles with other arrays, in the order of `flat`."""
    count, first = len(c.stations), len(NAMES)
    return Combination(
        **dict(zip(NAMES, parts, strict=False)),
        stations=tuple(parts[first : first + count]),
        stiffness=tuple(parts[first + count :]),
    )


def taken(c: Combination, index: Any) -> Combination:
    """The elements at an index of the shape all fields broadcast to."""
    shape = c.shape
    whole = (p if np.shape(p) == shape else np.broadcast_to(p, shape) for p in flat(c))
    return rebuilt(c, [np.asarray(part[index]) for part in whole])


def possible(c: Combination) -> None:
    """Raise ValueError, in one sentence, for numbers that no vehicle or trailer can have."""
    for name, words in _WORDS.items():
        found = np.asarray(getattr(c, name))
        if not np.all(found > 0):
            raise FaultError(due=f"{words} above zero", found=f"{_worst(found)}")
    for number, force in enumerate(c.stiffness, start=1):
        if not np.all(np.asarray(force) > 0):
            raise FaultError(
                due=f"tyres that carry load on trailer axle {number}",
                found=f"a cornering stiffness of {_worst(np.asarray(force))} N/rad",
                hint="is the axle in the air?",
            )
    for number, station in enumerate(c.stations, start=1):
        if not np.all(np.asarray(station) > 0):
            raise FaultError(
                due=f"trailer axle {number} behind the coupling",
                found=f"it {_worst(np.asarray(station))} m behind",
            )


_WORDS = {
    "m1": "a mass of the vehicle (kg)",
    "I1": "a yaw inertia of the vehicle (kg m2)",
    "m2": "a mass of the trailer (kg)",
    "I2": "a yaw inertia of the trailer (kg m2)",
    "Cf": "a cornering stiffness of the front tyres (N/rad), which needs load on them,",
    "Cr": "a cornering stiffness of the rear tyres (N/rad), which needs load on them,",
}


def _worst(found: Array) -> str:
    bad = found[~(found > 0)] if found.ndim else found
    return f"{float(np.min(bad)):g}"
