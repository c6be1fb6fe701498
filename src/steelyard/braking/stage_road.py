"""Brakes and grades: what the specialist is asked, at every stage, with spread and chance."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from steelyard.braking.brake_rules import Weights, brake_rules
from steelyard.braking.drag import drag_area
from steelyard.braking.footing import (
    Footing,
    Rolling,
    apparent,
    friction_used,
    rolling,
    trailer_force,
)
from steelyard.braking.grade import Upward, climb, descent_energy, to_brakes, upward
from steelyard.braking.result import (
    AxleStance,
    Descent,
    Locking,
    StageRoad,
    Stance,
    Stop,
)
from steelyard.braking.settings import Settings, require
from steelyard.braking.stage_ranges import chance, findings, row, spread
from steelyard.braking.stopping import chord, distance, limit, lock, repeated
from steelyard.estimate import Array, Estimate, Values, drawn, extended
from steelyard.quantity import GRAVITY, Z95, Scale
from steelyard.ratings import TIGHT, Question, load_rulebook, questions
from steelyard.rig import Rig
from steelyard.scene import Opening, opened
from steelyard.statics.loads import Loads
from steelyard.travel import StagePlan
from steelyard.typical.trailer import axle_count


def road(
    rig: Rig | Opening,
    estimate: Estimate | None = None,
    stages: tuple[str, ...] | None = None,
    *,
    settings: Settings | None = None,
    draws: int = 4096,
    seed: int = 0,
    tight: float = TIGHT,
) -> tuple[StageRoad, ...]:
    """How the rig brakes, holds and climbs at each stage, on the level and on a grade up and down.

    estimate: a belief sharper than the rig file's own; settings: what is asked and what nobody
    states (`settings_for` takes speed and drag from the rig); draws: behind every spread and
    chance; tight: the chance of not holding from which something is tight. Raises ValueError, in
    one sentence, for what cannot be answered.
    """
    stated = rig.rig if isinstance(rig, Opening) else rig
    asked = settings_for(stated) if settings is None else settings
    require(asked)
    opening = opened(rig, estimate, stages, draws, seed)
    whole = extended(opening.estimate, [*asked.extra(), *_stated(opening.rig)])
    fixed = {name: np.asarray(value) for name, value in asked.fixed().items()}
    v = {**drawn(whole, opening.draws, opening.seed, whole.mean[None]), **fixed}
    at = opening.valued(v).standing()
    scene, doubts = _scene(at.rig, v, at.loads, asked), questions(at.rig)
    return tuple(
        _stage(at.rig, scene, plan, number, tight, at.region, doubts)
        for number, plan in enumerate(at.stages)
    )


STATED: Final = 0.05 / Z95
"""Relative sd of a stated drive force or engine power without one of its own (assumed)."""


def _stated(rig: Rig) -> list[tuple[str, Scale, float, float]]:
    """The vehicle's pull and power as parameters, where the rig file states them."""
    pairs = (
        ("road.drive_force", rig.vehicle.drive_force),
        ("road.engine_power", rig.vehicle.engine_power),
    )
    return [
        (name, "log", one.value, STATED * one.value if one.sd is None else one.sd)
        for name, one in pairs
        if one is not None
    ]


def settings_for(rig: Rig, **changes: Any) -> Settings:
    """The settings unless changed, at the fastest speed the rig means to travel, in the air that it
    meets."""
    changes.setdefault("drag_area", drag_area(rig))
    if rig.speed is not None:
        changes.setdefault("speed", rig.speed.value)
    return Settings(**changes)


@dataclass(frozen=True, kw_only=True)
class _Scene:
    """Everything worked out for all stages at once, (S, 1 + n).

    braked and free: the trailer braking its share, and not braking.
    """

    asked: Settings
    v: Values
    found: Loads
    rig: Rolling
    level: Footing
    braked: Footing
    free: Footing
    down_braked: Footing
    down_free: Footing
    up: Upward
    reach: dict[tuple[bool, bool], Array]
    locks: dict[bool, dict[str, Array]]


def _scene(rig: Rig, v: Values, found: Loads, asked: Settings) -> _Scene:
    moving = rolling(found, v)
    slope, j = float(np.arctan(asked.grade)), asked.deceleration
    share = trailer_share(v)
    down = -slope
    hill = apparent(0.0, down)

    def at(where: float, along: Any, part: Any) -> Footing:
        return moving.at(where, along, trailer_force(moving.trailer_mass, along, part))

    level = at(0.0, 0.0, 0.0)
    return _Scene(
        asked=asked,
        v=v,
        found=found,
        rig=moving,
        level=level,
        braked=at(0.0, j, share),
        free=at(0.0, j, 0.0),
        down_braked=at(down, hill, share),
        down_free=at(down, hill, 0.0),
        up=upward(rig, v, moving, level, asked),
        reach={
            (tilt, brakes): _reach(rig, v, moving, down if tilt else 0.0, share if brakes else None)
            for tilt in (False, True)
            for brakes in (True, False)
        },
        locks={brakes: _locks(rig, v, moving, j, share if brakes else None) for brakes in _BOTH},
    )


_BOTH = (True, False)
ALIKE: Final = 1e-6
"""Axles that lock within this of each other lock together, as those of one equaliser do."""


GRIPS: Final = 2
"""Chords drawn to what the trailer's sliding tyres bear; squat bends the line a little."""


def trailer_share(v: Values) -> Array:
    """Share of its own slowing that the trailer brakes, 0 to 1."""
    return np.clip(v["road.trailer_share"], 0.0, 1.0)


def friction(v: Values) -> Array:
    """Friction between tyre and road, not below zero."""
    return np.maximum(v["road.friction"], 0.0)


def named(footing: Footing) -> dict[str, Array]:
    """Load of each axle by its name."""
    trailer = {f"trailer {i}": load for i, load in enumerate(footing.trailer_axles, start=1)}
    return {"front": footing.front, "rear": footing.rear, **trailer}


def braked_axles(rig: Rig) -> int:
    """Trailer axles with brakes: as stated, else all of them (assumed)."""
    return rig.trailer.braked_axles or axle_count(rig)


def _reach(rig: Rig, v: Values, moving: Rolling, slope: float, share: Array | None) -> Array:
    """Deceleration with every vehicle tyre at its friction, m/s2; negative: it gains speed.

    The trailer brakes its share, up to the friction of its braked tyres under the load that they
    bear while they slide: its own brake force takes some of it away.
    """
    mu, m2 = friction(v), moving.trailer_mass
    part = np.zeros(()) if share is None else share
    rest = moving.at(slope, 0.0, 0.0)
    start = rest.front + rest.rear

    def step(j: Array) -> Array:
        wanted = trailer_force(m2, j, part)
        free, grip = _on_braked(rig, moving.at(slope, j, 0.0)), wanted
        for _ in range(GRIPS):
            held = np.minimum(wanted, grip)
            full = _on_braked(rig, moving.at(slope, j, held))
            grip = lock(free, chord(free, full, held), 1.0, mu)
        locked = wanted > grip
        there = moving.at(slope, j, np.where(locked, grip, wanted))
        own, fixed = np.where(locked, 0.0, part * m2), np.where(locked, grip, 0.0)
        gained = chord(start, there.front + there.rear, j)
        return limit(start, gained, moving.mass, own, fixed, mu)

    j = repeated(mu * GRAVITY * np.cos(slope) * np.ones_like(start), step)
    return np.asarray(j + GRAVITY * np.sin(slope))


def _on_braked(rig: Rig, footing: Footing) -> Array:
    """Load of the trailer's braked axles, N."""
    return np.asarray(sum(footing.trailer_axles[: braked_axles(rig)]))


def brake_split(rig: Rig, v: Values, moving: Rolling, share: Array | None) -> dict[str, Array]:
    """Brake force of each axle per m/s2 of slowing on the level, kg, with the fixed split."""
    own = np.zeros(()) if share is None else share * moving.trailer_mass
    vehicle = moving.mass - own
    front = np.clip(v["road.front_share"], 0.0, 1.0)
    count, braked = axle_count(rig), braked_axles(rig)
    trailer = {
        f"trailer {i}": own / braked if i <= braked else np.zeros(()) for i in range(1, count + 1)
    }
    return {"front": front * vehicle, "rear": (1.0 - front) * vehicle, **trailer}


def _locks(
    rig: Rig, v: Values, moving: Rolling, asked: float, share: Array | None
) -> dict[str, Array]:
    """Deceleration on the level at which each axle would lock, m/s2; inf for never."""
    mu, part = friction(v), np.zeros(()) if share is None else share
    split = brake_split(rig, v, moving, share)
    level = named(moving.at(0.0, 0.0, 0.0))

    def each(j: Array) -> dict[str, Array]:
        there = named(moving.at(0.0, j, trailer_force(moving.trailer_mass, j, part)))
        return {
            name: lock(level[name], chord(level[name], there[name], j), split[name], mu)
            for name in level
        }

    def first(j: Array) -> Array:
        return np.asarray(np.fmin.reduce(list(np.broadcast_arrays(*each(j).values()))))

    return each(repeated(np.full_like(level["front"], asked), first))


def _stage(
    rig: Rig,
    scene: _Scene,
    plan: StagePlan,
    number: int,
    tight: float,
    region: str,
    doubts: Sequence[Question],
) -> StageRoad:
    asked, like = scene.asked, scene.level.front
    stances = _stances(scene, number)
    stops = tuple(_stop(scene, number, tilt=tilt, brakes=brakes) for tilt, brakes in scene.reach)
    up = climb(scene.up, asked, number)
    brakes = rig.trailer.brakes
    mass = scene.found.trailer
    weights = Weights(
        trailer=row(mass, number, like),
        axles=row(sum(scene.found.trailer_axles), number, like),
        unladen=row(scene.v["vehicle.weight"] * GRAVITY, number, like),
        reachable=row(scene.reach[False, brakes is True], number, like),
        tight=tight,
        asked=doubts,
    )
    rules = tuple(brake_rules(rig, load_rulebook(region), weights))
    return StageRoad(
        key=plan.key,
        title=plan.title,
        brakes=brakes,
        stances=stances,
        stops=stops,
        locking=tuple(_locking(rig, scene, number, brakes=one) for one in _BOTH),
        climb=up,
        descent=_descent(scene, number),
        rules=rules,
        findings=findings(brakes, stances, stops, up, rules, tight, doubts),
        settings=asked,
    )


def _stances(scene: _Scene, number: int) -> tuple[Stance, ...]:
    slope, j = float(np.arctan(scene.asked.grade)), scene.asked.deceleration
    cases = (
        ("braking", 0.0, j, True, scene.braked),
        ("braking", 0.0, j, False, scene.free),
        ("uphill", slope, 0.0, False, scene.up.footing),
        ("downhill", -slope, 0.0, True, scene.down_braked),
        ("downhill", -slope, 0.0, False, scene.down_free),
    )
    return tuple(_stance(scene, number, *case) for case in cases)


def _stance(
    scene: _Scene,
    number: int,
    name: str,
    slope: float,
    deceleration: float,
    brakes: bool,  # noqa: FBT001  (a row of a table)
    footing: Footing,
) -> Stance:
    like, level = scene.level.front, named(scene.level)
    loads_there = {key: row(load, number, like) for key, load in named(footing).items()}
    tongue = row(footing.tongue, number, like)
    return Stance(
        name=name,
        slope=slope,
        deceleration=deceleration,
        trailer_brakes=brakes,
        coupling_kg=spread(tongue / GRAVITY),
        coupling_change_kg=spread((tongue - row(scene.level.tongue, number, like)) / GRAVITY),
        axles=tuple(
            AxleStance(
                name=key,
                load_kg=spread(load / GRAVITY),
                change_kg=spread((load - row(level[key], number, like)) / GRAVITY),
            )
            for key, load in loads_there.items()
        ),
        push=spread(row(footing.push, number, like)),
        lifted=tuple(key for key, load in loads_there.items() if not load[0] > 0.0),
        lifts=chance(row(footing.lifts, number, like)),
    )


def _stop(scene: _Scene, number: int, *, tilt: bool, brakes: bool) -> Stop:
    asked, like = scene.asked, scene.level.front
    reachable = row(scene.reach[tilt, brakes], number, like)
    shortest = distance(asked.speed, reachable, asked.reaction)
    firm = np.where(
        reachable >= asked.deceleration,
        distance(asked.speed, asked.deceleration, asked.reaction),
        np.inf,
    )
    return Stop(
        down=tilt,
        trailer_brakes=brakes,
        reachable=spread(reachable),
        shortest=spread(shortest),
        firm=spread(firm),
        short=chance(~(reachable >= asked.deceleration)),
        never=chance(~(reachable > 0.0)),
    )


def _locking(rig: Rig, scene: _Scene, number: int, *, brakes: bool) -> Locking:
    like, share = scene.level.front, trailer_share(scene.v) if brakes else None
    split = brake_split(rig, scene.v, scene.rig, share)
    there = named(scene.braked if brakes else scene.free)
    used = {
        name: row(friction_used(split[name] * scene.asked.deceleration, load), number, like)
        for name, load in there.items()
    }
    ends = {name: row(j, number, like) for name, j in scene.locks[brakes].items()}
    names, stacked = tuple(ends), np.stack(list(ends.values()))
    stacked = np.where(np.isnan(stacked), 0.0, stacked)
    soonest = np.min(stacked, axis=0)
    first = np.isfinite(soonest) & (stacked <= soonest * (1.0 + ALIKE))
    return Locking(
        trailer_brakes=brakes,
        used={name: spread(x) for name, x in used.items()},
        first=tuple(name for name, there in zip(names, first[:, 0], strict=True) if there),
        chances={name: chance(there) for name, there in zip(names, first, strict=True)},
        deceleration=spread(soonest),
    )


def _descent(scene: _Scene, number: int) -> Descent:
    asked, v, like = scene.asked, scene.v, scene.level.front
    slope = float(np.arctan(asked.grade))
    mass = row(scene.rig.mass, number, like)
    c = np.maximum(row(v["road.rolling"], number, like), 0.0)
    energy = descent_energy(mass, slope, asked.length)
    held = to_brakes(mass, slope, asked.length, c)
    own = row(scene.down_braked.held, number, like) * asked.length
    return Descent(
        drop=asked.length * float(np.sin(slope)),
        energy=spread(energy),
        brakes=spread(held),
        power=spread(held * asked.speed / asked.length),
        own=spread(np.minimum(own, held)),
        stop=spread(0.5 * mass * asked.speed**2),
    )
