"""The balance of the coupled rig, bars off and as driven, at every stage and draw."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.quantity import GRAVITY, Floats
from steelyard.rig import Rig
from steelyard.statics.contact import Settled, Springs, Triple, settle, solve, stretch
from steelyard.statics.lever import axle_loads
from steelyard.statics.linkage import Linkage, linkage
from steelyard.statics.masses import Mass, masses
from steelyard.travel import StagePlan, chosen_stages, plan_stages

Rest = Callable[[Springs, Triple], Settled]
"""How springs come to rest under weights: `settle`, or with the front wheels held down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sums:
    """Weights summed by body, (S, n): N, N m about the body's origin, N m of height and offset."""

    weight: Array
    moment: Array
    height: Array
    offset: Array


@dataclass(frozen=True, kw_only=True)
class Weights:
    """What rides where at each stage, not settled yet; slope: rad, (S, 1)."""

    rows: list[Mass]
    link: Linkage
    vehicle: Sums
    trailer: Sums
    slope: Array


@dataclass(frozen=True, kw_only=True)
class Coupled(Weights):
    """The rig coupled, bars off, solved at each stage.

    Where it has bars and would tip without them, `off` is with its front wheels held down: their
    load is then below zero.
    load: generalised weights (N, N, N m); attitude: N m that the trailer's pitch adds about the
    ball; lowered: the part of `load` that squat takes from a slope's.
    """

    load: Triple
    attitude: Array
    lowered: Triple
    off: Settled


@dataclass(frozen=True, kw_only=True)
class Balance(Coupled):
    """The rig bars off and as driven (the same where no bars are fitted).

    bar_moment: N m (0 where slack or not fitted); bar_rate: N m per rad of both bars, or 0.
    """

    driven: Settled
    bar_moment: Array
    bar_rate: Array


def balance(
    rig: Rig[Floats],
    v: Values,
    stages: tuple[StagePlan, ...] | None = None,
    extra: tuple[Mass, ...] = (),
) -> Balance:
    """Settle the rig at each stage (first axis) and draw (last axis), bars off and as driven.

    extra: weights beyond the rig's own; one without a stage axis is aboard whenever bars are set.
    """
    plans = stages or plan_stages(rig)
    return driven(rig, v, coupled(rig, weights(rig, v, plans, extra)), plans, extra)


def driven(
    rig: Rig[Floats],
    v: Values,
    base: Coupled,
    plans: tuple[StagePlan, ...],
    extra: tuple[Mass, ...] = (),
) -> Balance:
    """The rig settled with its bars off, and as driven."""
    state, moment, rate = base.off, np.zeros_like(base.attitude), np.zeros(1)
    if rig.hitch.bars is not None:
        rate = v["hitch.bars.tip_rate"] * v["hitch.bars.arm"] ** 2
        preset = _bar_preset(rig, v, base, plans, rate, extra)
        state = settle(with_bar(base.link, rate, preset), base.load)
        moment = state.force[-1]
        base = replace(base, off=_standing(base.off, state))
    return Balance(**vars(base), driven=state, bar_moment=moment, bar_rate=rate)


def weights(
    rig: Rig[Floats], v: Values, plans: tuple[StagePlan, ...], extra: tuple[Mass, ...] = ()
) -> Weights:
    """The weights of each stage, summed by body."""
    rows = [*masses(rig, plans, v), *extra]
    vehicle, trailer = (sums(rows, body, len(plans)) for body in ("vehicle", "trailer"))
    return Weights(
        rows=rows,
        link=linkage(rig, v),
        vehicle=vehicle,
        trailer=trailer,
        slope=np.array([plan.grade for plan in plans])[:, None],
    )


def coupled(rig: Rig[Floats], laid: Weights) -> Coupled:
    """Settle the rig with its bars off.

    The trailer's pitch moves its weights fore and aft, and on a slope squat shortens the arms of
    what acts along the road. The former is taken at the pitch found without it (one correction: the
    next is smaller by the same small ratio), the latter once more with both.
    """
    link, vehicle, trailer, slope = laid.link, laid.vehicle, laid.trailer, laid.slope
    rest = settle if rig.hitch.bars is None else _front_held
    plain = _load(link, vehicle, trailer, slope)
    moved = attitude(link, trailer, slope, rest(link.springs, plain))
    lowered: Triple = (0.0, 0.0, 0.0)
    if slope.any():
        flat = _load(link, vehicle, trailer, np.zeros_like(slope))
        level = settled_twice(link, trailer, flat, rest=rest)
        along = -GRAVITY * np.sin(slope)
        lowered = squat(link, (vehicle, trailer), plain, level, slope, along, 0.0, rest=rest)
    load = added(plain, (lowered[0], lowered[1], lowered[2] + moved))
    off = rest(link.springs, load)
    return Coupled(**vars(laid), load=load, attitude=moved, lowered=lowered, off=off)


def _front_held(springs: Springs, load: Triple) -> Settled:
    """Where the springs settle; where they would not, with the front wheels held to the ground.

    The first spring, the front axle's, may then pull: a second one, upside down, does it.
    """
    found = settle(springs, load)
    tips = np.isnan(found.u[0])
    if not tips.any():
        return found
    (x, y, z), rate, offset = springs.direction[0], springs.rate[0], springs.offset[0]
    pulling = replace(
        springs,
        direction=(*springs.direction, (-x, -y, -z)),
        rate=(*springs.rate, rate),
        offset=(*springs.offset, -offset),
    )
    held = settle(pulling, load)
    front = held.force[0] - held.force[-1]
    a, b, c = (np.where(tips, h, f) for h, f in zip(held.u, found.u, strict=True))
    force = (front, *held.force[1:-1])
    touching = (np.isfinite(front), *held.touching[1:-1])
    return Settled(
        u=(a, b, c),
        force=tuple(np.where(tips, h, f) for h, f in zip(force, found.force, strict=True)),
        touching=tuple(np.where(tips, h, f) for h, f in zip(touching, found.touching, strict=True)),
    )


def _standing(off: Settled, driven: Settled) -> Settled:
    """Bars off, NaN where not even the bars let the rig stand."""
    falls = (off.force[0] < 0) & np.isnan(driven.u[0])
    if not falls.any():
        return off
    a, b, c = (np.where(falls, np.nan, x) for x in off.u)
    force = tuple(np.where(falls, np.nan, n) for n in off.force)
    return replace(off, u=(a, b, c), force=force)


def sums(rows: list[Mass], body: str, stages: int) -> Sums:
    """Sums over one body's rows. Rows alike at all stages are summed before the stage axis."""
    own = sorted((row for row in rows if row.body == body), key=lambda row: row.kg.ndim)
    weight = moment = height = offset = np.zeros(1)
    for row in own:
        w = row.kg * GRAVITY
        weight, moment = weight + w, moment + w * row.station
        height = height + w * row.height
        if row.offset.ndim or row.offset:  # most stand on the centreline
            offset = offset + w * row.offset
    some = np.zeros((stages, 1))
    return Sums(
        weight=weight + some, moment=moment + some, height=height + some, offset=offset + some
    )


def _load(link: Linkage, vehicle: Sums, trailer: Sums, slope: Array) -> Triple:
    """Generalised weights on (front drop, rear drop, pitch), with the slope's moments.

    An axle's own unsprung weight stays out of the lever: its tyres carry it directly, so under an
    equaliser it counts at the group's station rather than at the axle's.
    """
    cos, sin = np.cos(slope), np.sin(slope)
    lever = link.overhang / link.wheelbase
    rear = vehicle.moment * cos / link.wheelbase
    carried = trailer.weight * cos
    shift = sin * (vehicle.height + trailer.weight * link.hinge_height) / link.wheelbase
    front = vehicle.weight * cos - rear - carried * lever - shift
    each = len(link.axles) / len(link.groups)
    outside = link.unsprung * GRAVITY * (sum(link.axles) - each * sum(link.groups))
    pitch = -(trailer.moment - outside) * cos + grade_moment(link, trailer, slope)
    return front, rear + carried * (1.0 + lever) + shift, pitch


def grade_moment(link: Linkage, trailer: Sums, slope: Array) -> Array:
    """Moment of the slope about the ball, N m: -sum of w sin(slope) (z - z_ball); wheels free."""
    return np.asarray(-np.sin(slope) * (trailer.height - trailer.weight * link.hinge_height))


def attitude(link: Linkage, trailer: Sums, slope: Any, first: Settled) -> Array:
    """Moment about the ball that pitch adds: weights move by (z - z_b), hubs by (z_b - z_hub)."""
    ahead = trailer.height - trailer.weight * link.hinge_height
    carried = sum(first.force[link.first_trailer_spring :])
    hubs = carried * (link.hinge_height - link.hub_height)
    return np.asarray(first.u[2] * (ahead * np.cos(slope) + hubs))


def added(a: Triple, b: Triple) -> Triple:
    """Their sum, part by part."""
    return a[0] + b[0], a[1] + b[1], a[2] + b[2]


def settled_twice(
    link: Linkage, trailer: Sums, load: Triple, rest: Rest = settle
) -> tuple[Settled, Settled]:
    """Where a rig settles on the level, before and after its attitude is counted."""
    first = rest(link.springs, load)
    moved = attitude(link, trailer, np.zeros(1), first)
    return first, rest(link.springs, added(load, (0.0, 0.0, moved)))


def squat(
    link: Linkage,
    bodies: tuple[Sums, Sums],
    plain: Triple,
    level: tuple[Settled, Settled],
    slope: Any,
    along: Any,
    held: Any,
    rest: Rest = settle,
) -> Triple:
    """What squat changes of the generalised weights `plain` of vehicle and trailer.

    They are slowed by `along` (apparent, m/s2) on a slope (rad), the trailer by its brakes with
    `held` newtons. Taken where the rig settles without it, and again where it settles with that.
    """
    first = rest(link.springs, plain)
    once = _lowered(link, bodies, first, level[0], slope, along, held)
    moved = attitude(link, bodies[1], slope, first)
    second = rest(link.springs, added(added(plain, once), (0.0, 0.0, moved)))
    return _lowered(link, bodies, second, level[1], slope, along, held)


def _lowered(
    link: Linkage,
    bodies: tuple[Sums, Sums],
    state: Settled,
    level: Settled,
    slope: Any,
    along: Any,
    held: Any,
) -> Triple:
    """Ball and weights stand lower than in the file; and as far as the vehicle pitches from where
    it stands on the level, its weights and ball above the hubs move fore and aft."""
    vehicle, trailer = bodies
    front, rear, pitch = state.u
    lean = (rear - front - level.u[1] + level.u[0]) / link.wheelbase
    ball = rear + (rear - front) * link.overhang / link.wheelbase
    body = vehicle.weight * front + vehicle.moment / link.wheelbase * (rear - front)
    pushed = trailer.weight * along / GRAVITY - held
    cos = np.cos(slope)
    tongue = trailer.weight * cos - sum(state.force[link.first_trailer_spring :])
    above = cos * (vehicle.height - vehicle.weight * link.hub_height)
    above = above + tongue * (link.hinge_height - link.hub_height)
    moved = (lean * above + along / GRAVITY * body + pushed * ball) / link.wheelbase
    return -moved, moved, along / GRAVITY * trailer.moment * pitch - held * ball


def alone(link: Linkage, vehicle: Sums, slope: Array) -> tuple[Array, Array]:
    """Front and rear axle load of the vehicle without its trailer, N, on the same slope."""
    front, rear = axle_loads(vehicle.weight, vehicle.moment, link.wheelbase)
    shift = np.sin(slope) * vehicle.height / link.wheelbase
    return front * np.cos(slope) - shift, rear * np.cos(slope) + shift


def _bar_preset(
    rig: Rig[Floats],
    v: Values,
    base: Coupled,
    plans: tuple[StagePlan, ...],
    rate: Array,
    extra: tuple[Mass, ...],
) -> Array:
    """Preset of the bars, rad: stated, or what gives back the share they were set to give.

    They were set once, at one stage (the first unless told), which need not be among `plans`.
    """
    if "hitch.bars.preset" in v:
        return np.asarray(v["hitch.bars.preset"])
    keys = [plan.key for plan in plans]
    wanted = (rig.hitch.bars.set_at if rig.hitch.bars else None) or plan_stages(rig)[0].key
    share = v["hitch.bars.restoration"]
    if wanted in keys:
        return np.asarray(_preset(base, share, rate)[keys.index(wanted)])
    always = tuple(one for one in extra if one.kg.ndim < 2)
    then = chosen_stages(rig, (wanted,))
    return np.asarray(_preset(coupled(rig, weights(rig, v, then, always)), share, rate)[0])


def with_bar(link: Linkage, rate: Array, preset: Array) -> Springs:
    """The linkage's springs and the bars."""
    plain = link.springs
    shape = np.broadcast_shapes(np.shape(rate), np.shape(preset))
    return replace(
        plain,
        direction=(*plain.direction, link.bar),
        rate=(*plain.rate, np.broadcast_to(rate, shape)),
        offset=(*plain.offset, np.broadcast_to(preset, shape)),
    )


def _preset(base: Coupled, share: Array, rate: Array) -> Array:
    """Preset (rad) that gives back `share` of the front load lost, at each stage, contacts kept.

    No preset gives back anything to a front axle in the air: then it is not finite, nor is what
    follows from it.
    """
    link, off, unit = base.link, base.off, response(base.link, base.off, base.link.bar)
    front = [j for j in range(link.first_trailer_spring) if link.is_front(j)]
    carried = sum(off.force[j] for j in front)
    gained = sum(-link.springs.rate[j] * off.touching[j] * unit[0] for j in front)
    lost = alone(link, base.vehicle, base.slope)[0] - carried
    with np.errstate(divide="ignore", invalid="ignore"):
        moment = np.maximum(share * lost / gained, 0.0)
        opened = stretch(link.bar, off.u, 0.0) - moment * stretch(link.bar, unit, 0.0)
        return np.asarray(moment / rate - opened)


def response(link: Linkage, state: Settled, direction: Triple) -> Triple:
    """How the unknowns move per unit (N or N m) of load along `direction`, contacts kept."""
    count = len(link.springs.rate)
    free = replace(link.springs, offset=tuple(np.zeros_like(g) for g in link.springs.offset))
    return solve(free, state.touching[:count], direction)


def axle_forces(found: Weights, state: Settled) -> tuple[Array, ...]:
    """Load of each trailer axle, N: its share of what the group's spring carries, and its own."""
    link = found.link
    groups = state.force[link.first_trailer_spring : link.first_trailer_spring + len(link.groups)]
    if len(groups) == len(link.axles):
        return tuple(np.asarray(group) for group in groups)
    own = link.unsprung * GRAVITY * np.cos(found.slope)
    sprung = groups[0] - len(link.axles) * own
    each = {share: np.asarray(share * sprung + own) for share in {*link.shares}}
    return tuple(each[share] for share in link.shares)  # alike axles are one array


def coupling_force(found: Weights, state: Settled) -> Array:
    """Vertical force of the trailer on the vehicle, N: its weight less what its axles carry."""
    return np.asarray(found.trailer.weight * np.cos(found.slope) - sum(axle_forces(found, state)))
