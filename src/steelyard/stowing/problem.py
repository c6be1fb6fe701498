"""The plan as an integer program: like items counted together, places, limits as rows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.rig import Rig
from steelyard.stowing.allowed_places import may_ride
from steelyard.stowing.arrange import Plan
from steelyard.stowing.linear import Rows, Side, Spot, own_spot
from steelyard.stowing.pairs import mirrors, opposed, parted, tied
from steelyard.stowing.space import Room, rooms
from steelyard.stowing.water import Run

Flags = NDArray[np.bool_]
DIGITS: Final = 6
"""Of a kg, in which rows are told: what units or the order of a file alter is less."""
BRIM: Final = 1e-4
"""kg that a limit may be passed by and still be only reached: a place filled to its very rating
holds. More than what rounding sums up to over hundreds of things, and than what a solver lets pass,
so that none of them decides; the statics judge what is planned without it."""


@dataclass(frozen=True, kw_only=True)
class Bound:
    """Linear rows `sum of take[k, g, p] n[g, p] <= room[k]`, each belonging to a named family."""

    take: Array
    room: Array
    family: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Water:
    """W amounts of water that may be chosen, kg more than now between `low` and `high` (W,).

    take (K, W) adds to the limits' rows and aim (S, W) to the ball's; `tankful` (W,) kg.
    """

    take: Array
    aim: Array
    low: Array
    high: Array
    tankful: Array


@dataclass(frozen=True, kw_only=True)
class Problem:
    """G kinds of item, `members` of each alike; P places. All in kg.

    n[g, p] of kind g ride in place p, where `allowed`; `home` is the column where a kind rides now.
    aim (S, G, P) and aim_base (S,) give tongue weight less target share x trailer, per stage;
    mirror (P,) is the place as far on the other side of the centreline, -1 where there is none.
    spread_out (G, P) is kg m2 per member; weight (G,) kg and importance (G,) per member; `bolted`
    kinds cannot stay home.
    """

    members: tuple[tuple[str, ...], ...]
    places: tuple[str, ...]
    allowed: Flags
    home: NDArray[np.intp]
    weight: Array
    importance: Array
    bolted: Flags
    aim: Array
    aim_base: Array
    spread_out: Array
    limits: Bound
    size: Bound
    together: tuple[tuple[int, int], ...]
    apart: tuple[tuple[int, int], ...]
    opposite: tuple[tuple[int, int], ...]
    mirror: NDArray[np.intp]
    water: "Water"

    @property
    def count(self) -> Array:
        """Members of each kind, (G,)."""
        return np.array([float(len(names)) for names in self.members])

    def counts(self, plan: Plan) -> Array:
        """A plan as (G, P) counts."""
        at = {place: p for p, place in enumerate(self.places)}
        found = np.zeros(self.allowed.shape)
        for g, names in enumerate(self.members):
            for name in names:
                if name in plan:
                    found[g, at[plan[name]]] += 1
        return found

    def plan(self, counts: Array) -> dict[str, str]:
        """Counts as a plan; members that can stay where they are do."""
        found: dict[str, str] = {}
        for g, names in enumerate(self.members):
            whole = np.rint(counts[g]).astype(int)
            order = [int(self.home[g]), *(p for p in range(len(self.places)) if p != self.home[g])]
            filled = [self.places[p] for p in order for _ in range(whole[p])]
            found.update(zip(names, filled, strict=False))
        return found


@dataclass(frozen=True, kw_only=True)
class Cargo:
    """What a problem is built from, besides the rows: spots, patterns and what each item weighs."""

    rig: Rig
    spots: Sequence[Spot]
    patterns: Sequence[frozenset[str]]
    aboard: Mapping[str, frozenset[str]]
    weights: Mapping[str, float]
    inertia: Mapping[Spot, float]
    keep: Sequence[str]
    stages: int
    runs: Sequence[Run] = ()
    moves: int | None = None


def build(
    cargo: Cargo,
    rows: Rows,
    at: Plan,
    margin: Array,
    target: float,
    items: Sequence[str] | None = None,
) -> Problem:
    """The program around the plan `at`, whose rows these are; `margin` (K,) is added to each.

    items: what is to ride, where that is more than rides in `at`; where it rides now then parts no
    kinds, since it is not moves that are counted.
    """
    leaving = items is not None and cargo.moves is None
    items = list(at if items is None else items)
    effect = _effects(cargo, rows.slope, items)
    aim = _effects(cargo, rows.tongue_slope - target * rows.trailer_slope, items)
    allowed = _allowed(cargo, items)
    bulk = [room for room in rooms(cargo.rig) if set(room.takes) & set(items)]
    groups = _alike(cargo, items, effect, aim, allowed, leaving=leaving)
    first = [group[0] for group in groups]
    there = [i for i, name in enumerate(items) if name in at]
    here = _here(cargo, [items[i] for i in there], at)
    excess = rows.base + rows.allowance + margin - _placed(effect[:, there], here)
    keep = _worth(effect, allowed, excess) if not cargo.runs else np.ones(len(excess), dtype=bool)
    keep &= rows.movable | (excess <= 0.0)  # others nothing mends
    number = {items[i]: g for g, group in enumerate(groups) for i in group}
    return Problem(
        members=tuple(tuple(items[i] for i in group) for group in groups),
        places=tuple(cargo.rig.places),
        allowed=allowed[first],
        home=_home(cargo, items)[first],
        weight=np.array([cargo.weights[items[i]] for i in first]),
        importance=np.array([float(cargo.rig.items[items[i]].importance) for i in first]),
        bolted=np.array([_bolted(cargo, items[i]) for i in first], dtype=bool),
        aim=aim[:, first],
        aim_base=np.round(
            rows.tongue - target * rows.trailer - _placed(aim[:, there], here), DIGITS
        ),
        spread_out=_inertia(cargo, items)[first],
        limits=Bound(
            take=effect[keep][:, first],
            room=BRIM - np.round(excess[keep], DIGITS),
            family=tuple(family(rows.sides[k]) for k in np.flatnonzero(keep)),
        ),
        size=_moved(cargo, _sizes(cargo, bulk, items, first), _home(cargo, items)[first]),
        together=tied(cargo.rig, number),
        apart=parted(cargo.rig, number),
        opposite=opposed(cargo.rig, number),
        mirror=mirrors(cargo.rig),
        water=_water(cargo, rows, keep, target),
    )


def effects_of(cargo: Cargo, rows: Rows, plan: Plan) -> tuple[Array, Flags, NDArray[np.intp]]:
    """(K, I, P) kg that each thing of a plan adds to each row in each place, where it may ride
    (I, P), and where it does (I,)."""
    items = list(plan)
    return _effects(cargo, rows.slope, items), _allowed(cargo, items), _here(cargo, items, plan)


def poured_on(cargo: Cargo, slope: Array) -> Array:
    """(K, W) what a kg more in each run adds to each row, from slopes (K, A, Q)."""
    pattern = [cargo.patterns.index(frozenset(run.stages)) for run in cargo.runs]
    names = [spot.place for spot in cargo.spots]
    spot = [names.index(f"tank {run.tank}") for run in cargo.runs]
    return np.asarray(slope[:, pattern, spot]).reshape(len(slope), len(cargo.runs))


def _water(cargo: Cargo, rows: Rows, keep: Flags, target: float) -> Water:
    tankful = np.array([run.capacity for run in cargo.runs])
    return Water(
        take=poured_on(cargo, rows.slope)[keep],
        aim=poured_on(cargo, rows.tongue_slope - target * rows.trailer_slope),
        low=np.array([run.low for run in cargo.runs]) * tankful,
        high=np.array([run.high for run in cargo.runs]) * tankful,
        tankful=tankful,
    )


def predicted(cargo: Cargo, rows: Rows, at: Plan, plan: Plan) -> Array:
    """kg by which each limit is exceeded in `plan` at best estimate, by the rows around `at`."""
    items = list(at)
    effect = _effects(cargo, rows.slope, items)
    before, after = (_placed(effect, _here(cargo, items, one)) for one in (at, plan))
    return np.asarray(rows.base + after - before)


@dataclass(frozen=True, kw_only=True)
class Steps:
    """How far each row is exceeded now, kg (K,), and what each move adds to it (M, K)."""

    base: Array
    change: Array


def worst_along(cargo: Cargo, rows: Rows, at: Plan, plan: Plan, todo: Sequence[str]) -> Steps:
    """The limits that moves touch, with each move's part; the spread's allowance is in `base`."""
    items = list(at)
    effect = _effects(cargo, rows.slope, items)
    before, after = _here(cargo, items, at), _here(cargo, items, plan)
    number = [items.index(name) for name in todo]
    change = np.array([effect[:, i, after[i]] - effect[:, i, before[i]] for i in number])
    change = change.reshape(len(number), len(rows.base))
    touched = np.any(np.abs(change) > 1e-9, axis=0) & ~rows.sways
    return Steps(base=(rows.base + rows.allowance)[touched], change=change[:, touched])


def family(side: Side) -> str:
    """A limit's edge in words, the same at every stage."""
    if not side.band:
        return side.title
    return f"{side.title}'s {'floor' if side.under else 'ceiling'}"


def _spot(cargo: Cargo, item: str, place: str) -> int:
    thing = cargo.rig.items[item]
    if thing.place == place:
        return cargo.spots.index(own_spot(cargo.rig, thing))
    return list(cargo.rig.places).index(place)


def _effects(cargo: Cargo, slope: Array, items: list[str]) -> Array:
    """(K, I, P) kg that each item adds to each row in each place, from slopes (K, A, Q)."""
    kg = np.array([cargo.weights[name] for name in items])
    pattern = np.array([cargo.patterns.index(cargo.aboard[name]) for name in items], dtype=int)
    spot = np.array(
        [[_spot(cargo, name, place) for place in cargo.rig.places] for name in items], dtype=int
    ).reshape(len(items), len(cargo.rig.places))
    found = slope[:, pattern[:, None], spot]
    told = np.where(np.abs(found) < 1e-9, 0.0, found) * kg[None, :, None]
    return np.asarray(np.round(told, DIGITS))


def _allowed(cargo: Cargo, items: list[str]) -> Flags:
    return np.array(
        [[may_ride(cargo.rig, i, p, cargo.keep) for p in cargo.rig.places] for i in items],
        dtype=bool,
    ).reshape(len(items), len(cargo.rig.places))


def _bolted(cargo: Cargo, name: str) -> bool:
    return cargo.rig.items[name].fixed or name in cargo.keep


def _home(cargo: Cargo, items: list[str]) -> NDArray[np.intp]:
    places = list(cargo.rig.places)
    return np.array([places.index(cargo.rig.items[name].place) for name in items], dtype=np.intp)


def _here(cargo: Cargo, items: list[str], at: Plan) -> NDArray[np.intp]:
    places = list(cargo.rig.places)
    return np.array([places.index(at[name]) for name in items], dtype=np.intp)


def _placed(effect: Array, here: NDArray[np.intp]) -> Array:
    """What everything adds to each row where it is, (K,)."""
    return np.asarray(effect[:, np.arange(len(here)), here].sum(axis=1))


def _worth(effect: Array, allowed: Flags, excess: Array) -> Flags:
    """Rows that some arrangement, or leaving things home, could break."""
    most = np.where(allowed[None], effect, -np.inf).max(axis=2, initial=0.0)
    return np.asarray(excess + most.sum(axis=1) > 0.0)


def _inertia(cargo: Cargo, items: list[str]) -> Array:
    """kg m2 of each item in each place about its carrier's axles and the ground, mean over stages.

    An item aboard at half of the stages counts half.
    """
    parts = [len(cargo.aboard[name]) / max(cargo.stages, 1) for name in items]
    return np.array(
        [
            [
                part * cargo.weights[name] * cargo.inertia[cargo.spots[_spot(cargo, name, place)]]
                for place in cargo.rig.places
            ]
            for name, part in zip(items, parts, strict=True)
        ]
    ).reshape(len(items), len(cargo.rig.places))


def _alike(
    cargo: Cargo, items: list[str], effect: Array, aim: Array, allowed: Flags, *, leaving: bool
) -> list[list[int]]:
    """Items that the program cannot tell apart, together; bound ones stay single."""
    groups: dict[object, list[int]] = {}
    named = {
        other
        for item in cargo.rig.items.values()
        for other in (*item.together, *item.apart, item.opposite)
    }
    for i, name in enumerate(items):
        item = cargo.rig.items[name]
        bound = item.together or item.apart or item.opposite or name in named
        single = name if bound else ""
        key = (
            single,
            cargo.weights[name],
            "" if leaving else item.place,
            cargo.aboard[name],
            item.importance,
            item.upright,
            item.size and tuple(side.value for side in item.size),
            None if leaving else own_spot(cargo.rig, item),
            allowed[i].tobytes(),
            effect[:, i].tobytes(),
            aim[:, i].tobytes(),
        )
        groups.setdefault(key, []).append(i)
    return list(groups.values())


def _sizes(cargo: Cargo, bulk: Sequence[Room], items: list[str], first: list[int]) -> Bound:
    """Size rows at every stage at which something of a size is aboard."""
    stages = sorted({stage for name in items for stage in cargo.aboard[name]})
    places = list(cargo.rig.places)
    take: list[Array] = []
    room, families = [], []
    for one in bulk:
        for stage in stages:
            row = np.zeros((len(first), len(places)))
            for g, i in enumerate(first):
                if stage in cargo.aboard[items[i]]:
                    row[g, places.index(one.place)] = one.takes.get(items[i], 0.0)
            if not any(np.array_equal(row, old) for old in take):
                take.append(row)
                room.append(one.size)
                families.append(f"{one.what} of {one.place}")
    return Bound(
        take=np.array(take).reshape(-1, len(first), len(places)),
        room=np.array(room),
        family=tuple(families),
    )


def _moved(cargo: Cargo, size: Bound, home: NDArray[np.intp]) -> Bound:
    """Rows of size, and one more where no more than so many things may be moved."""
    if cargo.moves is None:
        return size
    row = np.ones((1, len(home), len(cargo.rig.places)))
    row[0, np.arange(len(home)), home] = 0.0
    return Bound(
        take=np.concatenate([size.take, row]),
        room=np.append(size.room, float(cargo.moves)),
        family=(*size.family, f"{cargo.moves} moves asked for"),
    )
