"""Margins and chances of limits over blocks of pairs: `judge` for arrays."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.matching.pairing import FULL
from steelyard.quantity import GRAVITY
from steelyard.ratings import Check, above
from steelyard.ratings.judge import OVER, WITHIN
from steelyard.ratings.judge import judged as judge

ADDED: Final = 50.0
"""kg put into the trailer, then into the vehicle, to see what one more kilogram does."""
FIRST: Final = 3
"""Columns of a pair before its draws: best estimate, more in the trailer, more in the vehicle."""
Ints = NDArray[np.intp]


def in_shape(x: Any, shape: tuple[int, int, int]) -> Array:
    """Something that broadcasts to (S, B columns) as (S, B, columns)."""
    array = np.atleast_2d(np.asarray(x, dtype=float))
    if array.size == math.prod(shape):
        return array.reshape(shape)
    wide = (array.shape[0], shape[1] * shape[2])
    return np.broadcast_to(np.broadcast_to(array, wide).reshape(-1, *shape[1:]), shape)


def best_and_sd(x: Array, shape: tuple[int, int, int], sd: Array | None = None) -> Array:
    """Best estimate and sd, (2, S, B); sd: what it is, where that is known."""
    whole = in_shape(x, shape)
    return np.stack([whole[..., 0], _moments(whole)[1] if sd is None else sd])


def _moments(whole: Array) -> tuple[Array, Array, Array]:
    """Mean and sd of the draws, and the share of them that would not stand and is left out."""
    drawn = whole[..., FIRST:]
    mean = drawn.mean(axis=-1)
    if np.isnan(mean).any():
        with np.errstate(all="ignore"):
            there = ~np.isnan(drawn)
            count = np.maximum(there.sum(axis=-1), 1)
            mean = np.where(there, drawn, 0.0).sum(axis=-1) / count
            off = np.where(there, drawn - mean[..., None], 0.0)
            return mean, np.sqrt((off * off).sum(axis=-1) / count), 1.0 - there.mean(axis=-1)
    off = drawn - mean[..., None]
    sd = np.sqrt(np.einsum("...i,...i->...", off, off) / drawn.shape[-1])
    return mean, sd, np.zeros_like(mean)


SEEN: Final = ("mean", "sd", "tips", "best", "more", "heavier", "low", "high")


def one_limit(check: Check, shape: tuple[int, int, int]) -> Array:
    """What `SEEN` names of one limit at every stage and pair, (8, S, B); what is alike at all
    stages is worked out once. Edges of an unknown rating are NaN, a floor not there is -inf."""
    flat = shape[:2]
    once = in_shape(check.value, (max(1, np.atleast_2d(check.value).shape[0]), *shape[1:]))
    found = np.empty((len(SEEN), *flat))
    if once.shape[-1] > FIRST:
        found[0], found[1], found[2] = _moments(once)
    found[3:6] = np.moveaxis(once[..., :FIRST], -1, 0)
    found[6] = np.nan if check.high is None else -np.inf
    found[7] = np.nan if check.high is None else in_shape(check.high, shape)[..., 0]
    if check.high is not None and check.low is not None:
        found[6] = in_shape(check.low, shape)[..., 0]
    return found


def judged(
    todo: Sequence[Check],
    shape: tuple[int, int, int],
    tight: float,
    told: tuple[Array, Array] | None = None,
) -> dict[str, Any]:
    """All limits at every stage and pair, (K, S, B) each; told: mean and sd of draws that are not
    among the columns, none of which tips, a mean of NaN being the best estimate."""
    seen = np.stack([one_limit(check, shape) for check in todo], axis=1)
    mean, sd, tips, best, more, heavier, low, high = seen
    if told is not None:
        mean, sd = np.where(np.isnan(told[0]), best, told[0]), told[1]
        lost = np.isnan(mean)
        mean[lost], tips = 0.0, lost.astype(float)
    nobody = np.array([check.high is None for check in todo])[:, None, None]
    memory = np.array([check.rule is not None and not check.rule.is_read for check in todo])
    floor = np.flatnonzero(np.isfinite(low).any(axis=(1, 2)))
    over, under = above(mean - high, sd, high), np.zeros_like(mean)
    under[floor] = above(low[floor] - mean[floor], sd[floor], low[floor])
    over, under = over * (1 - tips) + tips, under * (1 - tips)
    tops = np.broadcast_to(np.where(nobody, np.nan, high), mean.shape)
    found = judge(mean, over, under, low, tops, tight)
    return {
        "value": mean.copy(),
        "sd": sd.copy(),
        "rating": found.rating,
        "margin": found.margin,
        "chance": found.chance,
        "under": found.under,
        "verdict": found.code,
        "note": memory[:, None, None] & (found.code == WITHIN),
        "best": best,
        "more": more,
        "heavier": heavier,
        "low": low,
        "high": high,
    }


def by_definition(stack: dict[str, Array], todo: list[Check], keys: tuple[str, ...]) -> None:
    """Loaded up to its rating a trailer is at its rating: that says nothing, unless it is over."""
    if FULL not in keys:
        return
    stage = keys.index(FULL)
    for number, check in enumerate(todo):
        if check.name == "trailer.gvwr":
            over = stack["margin"][number, stage] < -0.005 * stack["rating"][number, stage]
            stack["verdict"][number, stage] = np.where(over, OVER, WITHIN)
            stack["chance"][number, stage] = np.where(over, 1.0, 0.0)
            stack["note"][number, stage] = ~over


SLIGHT: Final = 0.02
"""kg of a limit per kg added below which it is not stopped by it, as for headroom; of a share, a
thousandth of that."""
DUE: Final = {"more": ("trailer.gvwr",), "heavier": ("vehicle.payload", "vehicle.gvwr")}
"""Without any of these known, nobody can say what room there is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """kg more that B pairs take as usually loaded: at the best estimate, and with the limits kept
    to the chance asked for, (2, B), NaN where nobody can say, inf where nothing stops it; `by`:
    which limit stops it, to be sure, (B,), -1 for none."""

    kg: Array
    by: Ints

    def where(self, said: NDArray[np.bool_]) -> "Room":
        """The same where it can be said."""
        return Room(kg=np.where(said, self.kg, np.nan), by=np.where(said, self.by, -1))

    def least(self, other: "Room") -> "Room":
        """What both leave."""
        first = self.kg[1] + 1e-6 * self.kg[0] <= other.kg[1] + 1e-6 * other.kg[0]
        unsaid = np.isnan(self.kg).any(axis=0)
        return Room(
            kg=np.where(unsaid, np.nan, np.fmin(self.kg, other.kg)),
            by=np.where(unsaid, -1, np.where(first, self.by, other.by)),
        )


def rooms(
    todo: Sequence[Check], seen: Mapping[str, Array], sd: Array, which: str, tight: float
) -> tuple[Room, Room]:
    """Room by the weight ratings known, and by the tongue band and other shares."""
    takes = _takes(todo, seen, sd, which, tight)
    weighs = np.array([check.measure in ("weight", "force") for check in todo])
    ratings, shares = (_room(np.where(part[:, None], takes, np.inf)) for part in (weighs, ~weighs))
    known = any(check.name in DUE[which] and check.high is not None for check in todo)
    rated = [check.high is not None for check in todo]  # of others the value may be unsaid too
    stands = np.asarray(~np.isnan(seen["best"][rated]).any(axis=0))
    return ratings.where(stands if known else np.zeros_like(stands)), shares.where(stands)


def _room(takes: Array) -> Room:
    """The least of what each limit takes, (2, K, B)."""
    by = np.argmin(takes[1] + 1e-6 * np.minimum(takes[0], 1e9), axis=0)
    kg = takes.min(axis=1)
    return Room(kg=kg, by=np.where(np.isfinite(kg[1]), by, -1))


def _takes(
    todo: Sequence[Check], seen: Mapping[str, Array], sd: Array, which: str, tight: float
) -> Array:
    """kg more until each known limit stops it, at the best estimate and to be sure, (2, K, B).

    None where it is past its other edge as it is, though more would bring it back.
    """
    slope = (seen[which] - seen["best"]) / ADDED
    reach = np.array([0.0, NormalDist().inv_cdf(1.0 - tight)])[:, None, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        up = (seen["high"] - seen["best"] - reach * sd) / slope
        down = (seen["best"] - seen["low"] - reach * sd) / -slope
    least = [SLIGHT * (GRAVITY if check.measure == "weight" else 1e-3) for check in todo]
    moved = np.abs(slope) >= np.array(least)[:, None]
    takes = np.where(moved, np.where(slope > 0, up, down), np.inf)
    behind = np.where(slope > 0, seen["best"] < seen["low"], seen["best"] > seen["high"])
    takes = np.where(moved & behind, 0.0, takes)  # past its other edge: no room until it is back
    return np.maximum(np.where(np.isnan(takes), np.inf, takes), 0.0)
