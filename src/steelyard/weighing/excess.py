"""How much heavier either body was than its file lists, and which assumptions give way."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

import numpy as np

from steelyard.estimate import Array, Values, propagate
from steelyard.quantity import GRAVITY, Dimension
from steelyard.rig import Rig
from steelyard.typical.sheet import kind_of
from steelyard.typical.unlisted import UNLISTED
from steelyard.weighing.reconcile import Reconciled

Body = Literal["vehicle", "trailer"]
BODIES: Final[tuple[Body, ...]] = ("vehicle", "trailer")
CLEAR: Final = 2.0
"""sd from which a difference from the file is told."""
SLIGHT: Final = 0.005
"""Part of a body's weight below which it is not."""
TOLD: Final = 0.5
"""Part of its own spread before that a weight must have lost: else it is the file that speaks."""
GIVEN: Final = 1.0
"""sd of its own prior by which an assumption gives way."""
MOST: Final = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Excess:
    """What a body weighed more, at the load of the first pass, than it is `listed` at, equipment
    usual of it included: kg, with one sd; less where below zero."""

    body: Body
    kg: float
    sd_kg: float
    listed_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A value of the file or a typical one that the readings moved: SI, before and after."""

    name: str
    dimension: Dimension
    before: float
    after: float


@lru_cache(maxsize=16)
def excesses(found: Reconciled) -> tuple[Excess, ...]:
    """Either body, where the readings tell clearly that it is not as listed; nothing of one whose
    own weight nobody stated, nor where the readings do not agree or a slip is asked of."""
    stated = _stated(found.weighed.rig)
    if not stated or not found.among.holds or found.slips:
        return ()
    first = next(iter(found.weighed.ticket.passes))

    def bodies(v: Values) -> Array:
        pose = found.weighed.poses.at(first, v)
        both = (pose.whole_vehicle(), pose.whole_trailer())
        return np.stack(np.broadcast_arrays(*both)) / GRAVITY

    weighed = propagate(found.full, bodies)
    at = found.weighed.prior.at_mean()
    none = {name: np.zeros(()) for name in UNLISTED if name in at}
    listed = bodies({**at, **none})[:, 0]
    clear = np.abs(weighed.mean - listed) > np.maximum(CLEAR * weighed.sd, SLIGHT * listed)
    if not clear.any():
        return ()
    told = clear & (weighed.sd < TOLD * propagate(found.weighed.prior, bodies).sd)
    return tuple(
        Excess(body=body, kg=float(read - said), sd_kg=float(sd), listed_kg=float(said))
        for body, is_told, read, said, sd in zip(
            BODIES, told, weighed.mean, listed, weighed.sd, strict=True
        )
        if is_told and body in stated
    )


def _stated(rig: Rig) -> list[Body]:
    """The bodies whose own weight somebody stated."""
    vehicle = rig.vehicle
    known = vehicle.weight is not None or None not in (vehicle.front.weight, vehicle.rear.weight)
    there = (known, rig.trailer.empty.weight is not None)
    return [body for body, said in zip(BODIES, there, strict=True) if said]


def given(found: Reconciled) -> tuple[Given, ...]:
    """What the readings moved most of what they disagree with, in its own sd; nothing else."""
    return () if found.file.holds or found.slips else tuple(_given(found))


def _given(found: Reconciled) -> Iterator[Given]:
    before, after = found.weighed.prior, found.full
    kinds = {name: kind_of(name) for name in found.weighed.own}
    moved = np.abs(after.mean - before.mean) / np.maximum(before.sd, 1e-300)
    then, now = before.at_mean(), after.at_mean()
    far = [before.names[i] for i in np.argsort(-moved) if moved[i] > GIVEN]
    own = [(name, kind) for name in far if (kind := kinds.get(name)) is not None]
    for name, kind in own[:MOST]:
        yield Given(
            name=name,
            dimension=kind.dimension,
            before=float(then[name]),
            after=float(now[name]),
        )
