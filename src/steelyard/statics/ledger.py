"""The ledger: what every part, item and tank does to the ball, and what one more pound would do."""

from dataclasses import dataclass, replace

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.quantity import GRAVITY
from steelyard.rig import Rig
from steelyard.statics.balance import Balance, balance, coupling_force
from steelyard.statics.contact import Springs, Triple, solve
from steelyard.statics.linkage import Linkage
from steelyard.trip import StagePlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One row: kg and station (m, in its body's frame; NaN for a row that is no weight), its force
    on the ball (N), and the lever it acts by (N on the ball per N of weight).
    """

    name: str
    body: str
    place: str | None
    kg: float
    station: float
    force: float
    lever: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """Rows that sum to `total` (N): tongue weight, bars off, or net coupling force as driven."""

    total: float
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Influence:
    """N more on each output per N placed at a point, as driven (tongue: bars off)."""

    tongue: float
    front: float
    rear: float
    trailer_axles: tuple[float, ...]


def ledgers(rig: Rig, v: Values, stages: tuple[StagePlan, ...]) -> list[tuple[Ledger, Ledger]]:
    """For each stage the ledgers of tongue weight and of net coupling force; v is one point."""
    found = balance(rig, v, stages)
    return [
        (_ledger(found, stage, driven=False), _ledger(found, stage, driven=True))
        for stage in range(len(stages))
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Levers:
    """Adjoints of one stage: what a generalised weight does to each output, contacts kept."""

    link: Linkage
    tongue: Triple
    front: Triple
    rear: Triple
    trailer_axles: tuple[Triple, ...]

    def at(self, body: str, station: float) -> Influence:
        """What one more newton at a station (m, in the body's frame) does."""
        where = _column(self.link, body, station)
        return Influence(
            tongue=float(body == "trailer") - _dot(self.tongue, where),
            front=_dot(self.front, where),
            rear=_dot(self.rear, where),
            trailer_axles=tuple(_dot(adjoint, where) for adjoint in self.trailer_axles),
        )


def levers(found: Balance, stage: int) -> Levers:
    """The levers of one stage; `found` is a balance at one point."""
    link, axles = found.link, _trailer_springs(found.link)
    off = _state(found, stage, driven=False, bars=False)
    on = _state(found, stage, driven=True, bars=True)
    main = range(link.first_trailer_spring)
    at_front = [j for j in main if link.is_front(j)]
    groups = [_adjoint(*on, [j]) for j in axles]
    return Levers(
        link=link,
        tongue=_adjoint(*off, axles),
        front=_adjoint(*on, at_front),
        rear=_adjoint(*on, [j for j in main if j not in at_front]),
        trailer_axles=tuple(groups) if len(groups) == len(link.axles) else _shared(link, groups[0]),
    )


def _shared(link: Linkage, group: Triple) -> tuple[Triple, ...]:
    """Each axle's part of an equalised group."""
    return tuple((s * group[0], s * group[1], s * group[2]) for s in link.shares)


def influence(found: Balance, stage: int, body: str, station: float) -> Influence:
    """What one more newton at a station does; `found` is a balance at one point."""
    return levers(found, stage).at(body, station)


def _ledger(found: Balance, stage: int, *, driven: bool) -> Ledger:
    springs, touching = _state(found, stage, driven=driven, bars=False)
    axles = _trailer_springs(found.link)
    adjoint = _adjoint(springs, touching, axles)
    cos = float(np.cos(found.slope[stage, 0]))
    entries = [_entry(found, row, stage, adjoint, cos) for row in range(len(found.rows))]
    entries += _moments(found, stage, adjoint, driven=driven)
    constant = _dot(adjoint, _preload(springs, touching)) - _own(springs, touching, axles)
    entries.append(_extra("springs and ball height", constant))
    state = found.driven if driven else found.off
    total = coupling_force(found, state).reshape(-1)[stage]
    return Ledger(total=float(total), entries=tuple(entries))


def _entry(found: Balance, number: int, stage: int, adjoint: Triple, cos: float) -> Entry:
    """Force of one weight on the ball: its weight less what it puts on the trailer's axles."""
    row = found.rows[number]
    kg, station = _at(row.kg, stage), _at(row.station, stage)
    column = _column(found.link, row.body, station)
    lever = float(row.body == "trailer") - _dot(adjoint, column)
    force = kg * GRAVITY * cos * lever
    if row.body == "trailer" and row.kind == "empty":
        force += _unsprung(found, adjoint, cos)
    return Entry(
        name=row.name,
        body=row.body,
        place=row.place,
        kg=kg,
        station=station,
        force=force,
        lever=lever * cos,
    )


def _unsprung(found: Balance, adjoint: Triple, cos: float) -> float:
    """The axles' own weight acts at the group's station: nothing unless shares are unequal."""
    link = found.link
    own = _at(link.unsprung, 0) * GRAVITY * cos
    each = len(link.axles) / len(link.groups)
    where = [(1.0, s) for s in link.axles] + [(-each, s) for s in link.groups]
    carried = [n * _dot(adjoint, _column(link, "trailer", _at(s, 0))) for n, s in where]
    return own * sum(carried)


def _moments(found: Balance, stage: int, adjoint: Triple, *, driven: bool) -> list[Entry]:
    """Rows that are no weight: pitch, slope and, as driven, the bars."""
    slope = found.slope[stage, 0]
    sums = found.trailer
    height = _at(sums.height, stage) - _at(sums.weight, stage) * _at(found.link.ball_height, 0)
    grade = -np.sin(slope) * height
    shift = np.sin(slope) * (
        _at(found.vehicle.height, stage) + _at(sums.weight, stage) * _at(found.link.ball_height, 0)
    )
    shift /= _at(found.link.wheelbase, 0)
    pushed = _dot(adjoint, (-shift, shift, grade))
    entries = [_extra("attitude", -_dot(adjoint, (0.0, 0.0, _at(found.attitude, stage))))]
    if slope != 0.0:
        entries.append(_extra("grade", -pushed))
    if driven:
        moment = _at(found.bar_moment, stage)
        bar = [_at(part, 0) for part in found.link.bar]
        entries.append(_extra("spring bars' pull", _dot(adjoint, bar) * moment))
    return entries


def _extra(name: str, force: float) -> Entry:
    return Entry(
        name=name,
        body="",
        place=None,
        kg=float("nan"),
        station=float("nan"),
        force=float(force),
        lever=float("nan"),
    )


def _state(
    found: Balance, stage: int, *, driven: bool, bars: bool
) -> tuple[Springs, tuple[Array, ...]]:
    """Springs and contact state of one stage as plain numbers; with `bars` where they pull."""
    state = found.driven if driven else found.off
    springs = found.link.springs
    count = len(springs.rate)
    if bars and len(state.touching) > count:
        springs = replace(
            springs,
            direction=(*springs.direction, found.link.bar),
            rate=(*springs.rate, found.bar_rate),
            offset=(*springs.offset, np.zeros(1)),
        )
        count += 1
    plain = Springs(
        direction=tuple(tuple(np.asarray(_at(x, 0)) for x in a) for a in springs.direction),  # type: ignore[misc]
        rate=tuple(np.asarray(_at(k, 0)) for k in springs.rate),
        offset=tuple(np.asarray(_at(g, stage)) for g in springs.offset),
    )
    touching = tuple(np.asarray(bool(_at(t, stage))) for t in state.touching[:count])
    return plain, touching


def _at(x: Array, stage: int) -> float:
    """One number of an array (S, 1), (1,) or () at a stage."""
    flat = np.asarray(x).reshape(-1)
    return float(flat[stage] if flat.size > 1 else flat[0])


def _trailer_springs(link: Linkage) -> list[int]:
    first = link.first_trailer_spring
    return list(range(first, first + len(link.groups)))


def _adjoint(springs: Springs, touching: tuple[Array, ...], which: list[int]) -> Triple:
    """w with (sum of the forces of springs `which`) = w . load + constant, contacts kept."""
    pushes = [
        sum(
            float(springs.rate[j]) * bool(touching[j]) * float(springs.direction[j][p])
            for j in which
        )
        for p in range(3)
    ]
    right = (pushes[0], pushes[1], pushes[2])
    free = replace(springs, offset=tuple(np.zeros_like(g) for g in springs.offset))
    return solve(free, touching, right)


def _preload(springs: Springs, touching: tuple[Array, ...]) -> list[float]:
    """Generalised force of the touching springs' offsets."""
    return [
        sum(
            float(k * g * a[p]) * bool(t)
            for a, k, g, t in zip(
                springs.direction, springs.rate, springs.offset, touching, strict=True
            )
        )
        for p in range(3)
    ]


def _own(springs: Springs, touching: tuple[Array, ...], which: list[int]) -> float:
    return sum(float(springs.rate[j] * springs.offset[j]) * bool(touching[j]) for j in which)


def _column(link: Linkage, body: str, station: float) -> list[float]:
    place = np.asarray(station, dtype=float)
    found = link.at_trailer(place) if body == "trailer" else link.at_vehicle(place)
    return [_at(part, 0) for part in found]


def _dot(a: Triple, b: Triple | list[float]) -> float:
    return float(sum(x * y for x, y in zip(a, b, strict=True)))
