"""A block of alike pairs through statics, limits and sway in one call each."""

from dataclasses import dataclass, fields, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.columns.alike import Path, with_numbers
from steelyard.estimate import Array, Values
from steelyard.matching.beliefs import CARGO_WEIGHT, MIDDLING, Side, guesses_bars, level
from steelyard.matching.candidates import Tow, Towed, unstated
from steelyard.matching.pair_limits import (
    ADDED,
    FIRST,
    Ints,
    Room,
    best_and_sd,
    by_definition,
    in_shape,
    judged,
    one_limit,
    rooms,
)
from steelyard.matching.pairing import TYPICAL, paired
from steelyard.quantity import GRAVITY, Floats
from steelyard.ratings import LIKELY, Check, asked_of_all, checks, questions
from steelyard.ratings.judge import OPEN, OVER
from steelyard.rig import Rig
from steelyard.scene import Scene
from steelyard.swaying.linear.closed_forms import critical_speeds
from steelyard.swaying.linear.combination import Combination, taken
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.linear.search import ratio_at
from steelyard.swaying.stage_sway import SPEED
from steelyard.travel import plan_stages
from steelyard.typical.trailer import axle_count

COLUMNS: Final = 8192
"""Columns of a block: what a processor's cache holds of the statics' temporaries."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """B alike pairs at S stages against K limits, in the limits' units; speeds in m/s.

    tow, towed: which candidates, (B,); value (the draws' mean), best (the best estimate), sd,
    rating, margin, chance, under and verdict (its number) are (K, S, B); note marks advice and
    rules from memory that hold, which decide nothing. trailer_kg, tongue_kg, share: best estimate
    and sd, (2, S, B); front_kg, rear_kg: (S, B).
    cargo, gear: what more trailer and vehicle take as usually loaded by the weight ratings known;
    *_band: by the tongue band and other shares.
    wags: speed from which a swing grows, wags_chance that it does at `speed`, damping: ratio there,
    (S, B). tips: share of the draws that would not stand, (S, B). unsaid: what, beside ratings, the
    trailers do not state, by path; alike for all.
    """

    tow: Ints
    towed: Ints
    stages: tuple[str, ...]
    limits: tuple[Check, ...]
    value: Array
    best: Array
    sd: Array
    rating: Array
    margin: Array
    chance: Array
    under: NDArray[np.bool_]
    verdict: NDArray[np.int8]
    note: NDArray[np.bool_]
    trailer_kg: Array
    tongue_kg: Array
    share: Array
    front_kg: Array
    rear_kg: Array
    cargo: Room
    cargo_band: Room
    gear: Room
    gear_band: Room
    speed: float
    wags: Array
    wags_chance: Array
    damping: Array
    tips: Array
    unsaid: tuple[str, ...]

    @property
    def refused(self) -> NDArray[np.bool_]:
        """Limits that are exceeded, or likely to be, (K, S, B)."""
        likely = (self.verdict == OPEN) & (self.chance >= LIKELY)
        return np.asarray(((self.verdict == OVER) | likely) & ~self.note)

    def alone(self, number: int) -> "Block":
        """One of the pairs as a block of its own, the first of its only vehicle and trailer."""
        at = slice(number, number + 1)
        found: dict[str, Any] = {}
        for name, part in ((one.name, getattr(self, one.name)) for one in fields(self)):
            if isinstance(part, Room):
                found[name] = Room(kg=part.kg[:, at].copy(), by=part.by[at].copy())
            elif isinstance(part, np.ndarray):
                found[name] = part[..., at].copy()
        none = np.zeros(1, dtype=np.intp)
        return replace(self, **{**found, "tow": none, "towed": none})


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the draws of B pairs come to: mean (NaN for the best estimate itself) and sd of every
    limit (K, S, B), sds of trailer, tongue and share (3, S, B), chance that a swing grows (S, B).
    """

    mean: Array
    sd: Array
    loads: Array
    grows: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One side with its draws: (G, FIRST + n) each, (G, 1) or, alike for all, () without spread."""

    side: Side
    values: dict[str, Array]


def drawn(side: Side, n: int, seed: int) -> Drawn:
    """A side drawn, its best estimate in the first columns; what is alike for all is one number."""
    found = {}
    for name, x in side.drawn(n, seed, FIRST).items():
        if x.shape[1] > 1:
            found[name] = x
        else:
            found[name] = np.asarray(x[0, 0]) if np.all(x == x[0, 0]) else x
    return Drawn(side=side, values=found)


def block(
    tow: Drawn,
    towed: Drawn,
    a: Ints,
    b: Ints,
    n: int,
    tight: float,
    told: Told | None = None,
) -> Block:
    """Pairs of the a-th vehicle with the b-th trailer of two groups, (B,) each.

    told: what n = 0 draws come to, where a compiled pass has seen them.
    """
    plain, scene, todo, shape = _limits(tow, towed, a, b, n)
    keys, found = tuple(plan.key for plan in scene.stages), scene.loads
    stack = judged(todo, shape, tight, None if told is None else (told.mean, told.sd))
    sds = [None, None, None] if told is None else [*told.loads]
    tips = np.zeros(shape[:2])
    if told is None:
        tips = np.mean(np.isnan(in_shape(found.tongue, shape)[..., FIRST:]), axis=-1)
    by_definition(stack, todo, keys)
    usual = keys.index(TYPICAL)
    stack["best"] = stack["best"].copy()
    seen = {name: stack.pop(name)[:, usual] for name in ("more", "heavier", "low", "high")}
    seen["best"] = stack["best"][:, usual]
    sd = stack["sd"][:, usual]
    cargo, cargo_band = rooms(todo, seen, sd, "more", tight)
    gear, gear_band = rooms(todo, seen, sd, "heavier", tight)
    sizes = np.array([check.size for check in todo])[:, None, None]
    for name in ("value", "best", "sd", "rating", "margin"):
        stack[name] = stack[name] / sizes
    speed = SPEED if plain.speed is None else plain.speed.value
    return Block(
        tow=np.array(tow.side.members)[a],
        towed=np.array(towed.side.members)[b],
        stages=keys,
        limits=tuple(_bare(check) for check in todo),
        **stack,
        trailer_kg=best_and_sd(found.trailer, shape, sds[0]) / GRAVITY,
        tongue_kg=best_and_sd(found.tongue, shape, sds[1]) / GRAVITY,
        share=best_and_sd(found.share, shape, sds[2]),
        front_kg=in_shape(found.front, shape)[..., 0] / GRAVITY,
        rear_kg=in_shape(found.rear, shape)[..., 0] / GRAVITY,
        cargo=cargo,
        cargo_band=cargo_band,
        gear=gear,
        gear_band=gear_band,
        speed=speed,
        **_sway(plain, scene, shape, speed, None if told is None else told.grows),
        tips=tips,
        unsaid=unstated(plain.trailer),
    )


def _limits(
    tow: Drawn, towed: Drawn, a: Ints, b: Ints, n: int
) -> tuple[Rig, Scene[Floats], list[Check], tuple[int, int, int]]:
    """The first pair's rig, all pairs side by side at every column, their limits, and stages,
    pairs and columns of these."""
    first_tow, first_towed = tow.side.first, towed.side.first
    assert isinstance(first_tow, Tow)
    assert isinstance(first_towed, Towed)
    plain = paired(first_tow, first_towed)
    rig = _with_ratings(plain, tow.side, towed.side, a, b, FIRST + n)
    v = _values(plain, tow, towed, a, b, n)
    scene = Scene(rig=rig, stages=plan_stages(plain), values=v)
    asked = questions(plain) if tow.side.alone and towed.side.alone else asked_of_all(plain)
    todo = [check for check in checks(scene, asked) if not check.advice]
    return plain, scene, todo, (len(scene.stages), len(a), FIRST + n)


def probed(tow: Drawn, towed: Drawn, a: Ints, b: Ints, n: int) -> tuple[list[Check], Told]:
    """Limits of some pairs, and what their draws come to by the general path."""
    _, _, todo, shape = _limits(tow, towed, a, b, n)
    found = np.stack([one_limit(check, shape)[:2] for check in todo], axis=1)
    none = np.zeros((0, *shape[:2]))
    return todo, Told(mean=found[0], sd=found[1], loads=none, grows=none)


def _with_ratings(
    plain: Rig, tow: Side, towed: Side, a: Ints, b: Ints, columns: int
) -> Rig[Floats]:
    """The first pair's rig with arrays (B columns,) where the pairs' stated numbers differ."""
    found: dict[Path, Array] = {}
    for side, index in ((tow, a), (towed, b)):
        found.update((path, np.repeat(x[index], columns)) for path, x in side.numbers.items())
    return with_numbers(counted(plain), found)


def counted(plain: Rig) -> Rig:
    """The rig with its number of axles said: alike pairs have the same, whatever they rate."""
    axles = plain.trailer.axles.model_copy(update={"count": axle_count(plain)})
    trailer = plain.trailer.model_copy(update={"axles": axles})
    return plain.model_copy(update={"trailer": trailer})


def _values(plain: Rig, tow: Drawn, towed: Drawn, a: Ints, b: Ints, n: int) -> Values:
    """Every parameter of every pair at every column, (B (FIRST + n),)."""
    found: dict[str, Array] = {}
    for part, index in ((tow, a), (towed, b)):
        for name, x in part.values.items():
            if x.ndim == 0:
                found[name] = x
            elif x.shape[1] == 1:
                found[name] = np.repeat(x[index], FIRST + n, axis=1)
            else:
                found[name] = x[index]
    if guesses_bars(plain):
        found["hitch.bars.tip_rate"] *= (towed.side.heavy[b] / MIDDLING)[:, None]
    _level(plain, tow.side, towed.side, a, b, found)
    if CARGO_WEIGHT in found:
        found[CARGO_WEIGHT][:, 1] += ADDED
    first = next(iter(plain.items))
    if f"items.{first}.weight" in found:
        found[f"items.{first}.weight"][:, 2] += ADDED
    return {name: x.reshape(-1) if x.ndim else x for name, x in found.items()}


def _level(plain: Rig, tow: Side, towed: Side, a: Ints, b: Ints, v: dict[str, Array]) -> None:
    """Read the level ball on the draws: both heights are normal and tied to nothing else.

    Every draw of their difference is moved to the posterior's mean, shrunk to its sd and divided
    between the two by their variances: the linear update, no reading's error to be drawn.
    """
    reading = level(plain)
    if reading is None:
        return
    shape = (len(a), max(x.shape[1] for x in v.values() if x.ndim))
    for name in _ENDS:
        v[name] = np.array(np.broadcast_to(v[name], shape))
    ball, coupler = v["hitch.ball_height"], v["trailer.coupler_height"]
    var = [variance(side, name) for side, name in zip((tow, towed), _ENDS, strict=True)]
    one, two = var[0][a][:, None], var[1][b][:, None]
    total = one + two + reading.sd**2
    mean = (ball[:, :1] - coupler[:, :1]).copy()
    off = (ball - coupler) - mean
    kept = np.sqrt(reading.sd**2 / total)
    free = one + two
    step = (reading.value - mean) * free / total + off * (kept - 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        ball += np.where(free > 0, one / free, 0.0) * step
        coupler -= np.where(free > 0, two / free, 0.0) * step


_ENDS: Final = ("hitch.ball_height", "trailer.coupler_height")


def variance(side: Side, name: str) -> Array:
    """Variance of a parameter of each member, (G,); zero where it has no spread."""
    if name not in side.kind.index:
        return np.zeros(len(side.mean))
    return np.asarray(np.sum(side.root[:, side.kind.index[name]] ** 2, axis=1))


def _bare(check: Check) -> Check:
    """A check without its draws, which are read by now: they are nearly all of its memory."""
    return replace(check, value=_READ, high=None, low=None)


_READ: Final = np.zeros(0)


def _sway(
    plain: Rig, scene: Scene[Floats], shape: tuple[int, int, int], speed: float, told: Array | None
) -> dict[str, Any]:
    """Speed from which a swing grows (closed form, tyres that answer at once), the chance that it
    does at `speed`, and the damping ratio there with tyres that lag."""
    whole = combination(plain, scene.values, scene.loads)
    best = taken(whole, (slice(None), np.arange(shape[1]) * shape[2]))
    first = _first_speed(best)
    grows = told
    if grows is None:
        grows = (~(in_shape(_first_speed(whole), shape)[..., FIRST:] > speed)).mean(axis=-1)
    return {
        "wags": np.array(np.broadcast_to(first, shape[:2])),
        "wags_chance": grows,
        "damping": np.broadcast_to(ratio_at(best, speed), shape[:2]),
    }


def _first_speed(whole: Combination) -> Array:
    """Speed from which a swing grows or the rig folds."""
    with np.errstate(all="ignore"):
        ends = critical_speeds(whole)
        return np.minimum(ends.oscillatory, ends.divergent)
