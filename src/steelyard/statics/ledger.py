"""The ledger: what every part, item and tank does to the ball, and what one more pound would do."""

from dataclasses import dataclass, replace
from typing import Annotated, Final

import numpy as np

from steelyard.estimate import Array
from steelyard.quantity import GRAVITY, reported
from steelyard.statics.balance import Balance
from steelyard.statics.contact import Settled, Springs, Triple, solve
from steelyard.statics.linkage import Frame, Linkage
from steelyard.statics.loads import Loads


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One row: kg and station (m, in its body's frame; NaN for a row that is no weight), what it
    puts on the ball, and the lever it acts by (kg on the ball per kg of weight).
    """

    name: str
    body: Annotated[str, reported.UNREPORTED]
    place: str | None
    kg: Annotated[float, reported.KILOGRAM, reported.Key("weight")]
    station: Annotated[float, reported.METRE]
    tongue_kg: float
    lever: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """Rows that sum to `total_kg`: tongue weight, bars off, or net coupling force as driven."""

    total_kg: float
    entries: tuple[Entry, ...]

    @property
    def weights(self) -> tuple[Entry, ...]:
        """The rows that are weights."""
        return tuple(entry for entry in self.entries if entry.body)


SOME_DRAWS: Final = "allowance for unknowns"


def closed(ledger: Ledger, total_kg: float) -> Ledger:
    """The ledger, which stands at the best estimate, closed to the number that a person reads.

    The two differ where bars, stops or an axle touch in some draws only, and by the skew that
    weights which cannot be negative bring.
    """
    if total_kg == ledger.total_kg or not np.isfinite(total_kg):
        return ledger
    rest = _extra(SOME_DRAWS, total_kg - ledger.total_kg)
    return Ledger(total_kg=total_kg, entries=(*ledger.entries, rest))


@dataclass(frozen=True, slots=True, kw_only=True)
class Influence:
    """Kg more on each output per kg placed at a point, as driven (tongue: bars off)."""

    tongue: float
    front: float
    rear: float
    trailer_axles: tuple[float, ...]


def ledgers(found: Loads) -> list[tuple[Ledger, Ledger]]:
    """For each stage the ledgers of tongue weight and of net coupling force, at best estimate.

    The best estimate is the first column of the loads' arrays.
    """
    books = _Books(found.balance)
    return [
        (
            books.at(stage, found.balance.off, found.tongue, driven=False),
            books.at(stage, found.balance.driven, found.net, driven=True),
        )
        for stage in range(len(found.balance.slope))
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Levers:
    """Adjoints of one stage: what a generalised weight does to each output, contacts kept."""

    frame: Frame
    tongue: Triple
    front: Triple
    rear: Triple
    trailer_axles: tuple[Triple, ...]

    def at(self, body: str, station: float) -> Influence:
        """What one more kilogram at a station (m, in the body's frame) does."""
        where = _column(self.frame, body, station)
        return Influence(
            tongue=float(body == "trailer") - _dot(self.tongue, where),
            front=_dot(self.front, where),
            rear=_dot(self.rear, where),
            trailer_axles=tuple(_dot(adjoint, where) for adjoint in self.trailer_axles),
        )


def levers(found: Balance) -> list[Levers]:
    """The levers of every stage at best estimate; stages with the same contacts share them."""
    known: dict[tuple[Array, ...], Levers] = {}
    frame, every = _frame(found.link), []
    off, on = _plain(found, bars=False), _plain(found, bars=True)
    for stage in range(len(found.slope)):
        bare, barred = _touching(off, found.off, stage), _touching(on, found.driven, stage)
        touching = (*bare, *barred)
        if touching not in known:
            known[touching] = _levers(found.link, frame, (off, bare), (on, barred))
        every.append(known[touching])
    return every


_State = tuple[Springs, tuple[Array, ...]]


def _levers(link: Linkage, frame: Frame, off: _State, on: _State) -> Levers:
    axles, main = _trailer_springs(link), range(link.first_trailer_spring)
    ends = [[j for j in main if link.is_front(j) is front] for front in (True, False)]
    front, rear, *groups = _adjoints(*on, [*ends, *([j] for j in axles)])
    return Levers(
        frame=frame,
        tongue=_adjoints(*off, [axles])[0],
        front=front,
        rear=rear,
        trailer_axles=tuple(groups) if len(groups) == len(link.axles) else _shared(link, groups[0]),
    )


def _shared(link: Linkage, group: Triple) -> tuple[Triple, ...]:
    """Each axle's part of an equalised group."""
    return tuple((s * group[0], s * group[1], s * group[2]) for s in link.shares)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Weights:
    """R weights at best estimate: kg (S, R), station (R,), where each acts (3 of (R,)), 1 for those
    on the trailer, (R,), and what the axles' own weights do, kg by where they act: nothing unless
    shares are unequal."""

    kg: Array
    station: Array
    column: Triple
    trailer: Array
    unsprung: Triple


def _weights(found: Balance) -> _Weights:
    stages, rows = len(found.slope), found.rows
    station = np.array([_at(row.station, 0) for row in rows])
    on_trailer = np.array([row.body == "trailer" for row in rows], dtype=bool)
    frame, link = _frame(found.link), found.link
    columns = frame.at_trailer(station), frame.at_vehicle(station)
    own = np.array([_at(s, 0) for s in (*link.axles, *link.groups)])
    less = -len(link.axles) / len(link.groups)
    each = _at(link.unsprung, 0) * np.array([1.0] * len(link.axles) + [less] * len(link.groups))
    pressed = [float(np.sum(each * part)) for part in frame.at_trailer(own)]
    return _Weights(
        kg=np.array([[_at(row.kg, stage) for row in rows] for stage in range(stages)]),
        station=station,
        column=tuple(np.where(on_trailer, *pair) for pair in zip(*columns, strict=True)),
        trailer=on_trailer.astype(float),
        unsprung=(pressed[0], pressed[1], pressed[2]),
    )


def _frame(link: Linkage) -> Frame:
    """The linkage's frame at best estimate."""
    wheelbase, overhang = (np.asarray(_at(x, 0)) for x in (link.wheelbase, link.overhang))
    return Frame(wheelbase=wheelbase, overhang=overhang)


class _Books:
    """The ledgers of all stages; those with the same contacts share their levers, those of one
    stage the parts of the weights too."""

    def __init__(self, found: Balance) -> None:
        self._found, self._weights = found, _weights(found)
        self._springs, self._axles = _plain(found, bars=False), _trailer_springs(found.link)
        self._levers: dict[tuple[Array, ...], tuple[Triple, float]] = {}
        self._entries: dict[tuple[int, tuple[Array, ...]], list[Entry]] = {}

    def at(self, stage: int, state: Settled, total: Array, *, driven: bool) -> Ledger:
        """The ledger of one stage, with what touches in a state."""
        touching = _touching(self._springs, state, stage)
        if touching not in self._levers:
            adjoint = _adjoints(self._springs, touching, [self._axles])[0]
            pressed = _dot(adjoint, _preload(self._springs, touching))
            own = _own(self._springs, touching, self._axles)
            self._levers[touching] = adjoint, pressed - own
        adjoint, constant = self._levers[touching]
        if (stage, touching) not in self._entries:
            entries = _entries(self._found, self._weights, stage, adjoint)
            self._entries[stage, touching] = entries
        entries = [
            *self._entries[stage, touching],
            *_moments(self._found, stage, adjoint, driven=driven),
            _extra("springs and ball height", constant / GRAVITY),
        ]
        return Ledger(total_kg=_at(total, stage) / GRAVITY, entries=tuple(entries))


def _entries(found: Balance, weights: _Weights, stage: int, adjoint: Triple) -> list[Entry]:
    """Each weight's part on the ball: its weight less what it puts on the trailer's axles."""
    cos = float(np.cos(found.slope[stage, 0]))
    carried = sum(w * part for w, part in zip(adjoint, weights.column, strict=True))
    lever = cos * (weights.trailer - carried)
    pressed = weights.kg[stage] * lever
    for number, row in enumerate(found.rows):
        if row.body == "trailer" and row.kind == "empty":
            pressed[number] += cos * _dot(adjoint, weights.unsprung)
    numbers = (weights.kg[stage], weights.station, pressed, lever)
    return [
        Entry(
            name=row.name,
            body=row.body,
            place=row.place,
            kg=kg,
            station=station,
            tongue_kg=pushed,
            lever=arm,
        )
        for row, kg, station, pushed, arm in zip(
            found.rows, *(part.tolist() for part in numbers), strict=True
        )
    ]


def _moments(found: Balance, stage: int, adjoint: Triple, *, driven: bool) -> list[Entry]:
    """Rows that are no weight: pitch, slope (squat counted) and, as driven, the bars."""
    slope = found.slope[stage, 0]
    sums = found.trailer
    height = _at(sums.height, stage) - _at(sums.weight, stage) * _at(found.link.hinge_height, 0)
    grade = -np.sin(slope) * height
    shift = np.sin(slope) * (
        _at(found.vehicle.height, stage) + _at(sums.weight, stage) * _at(found.link.hinge_height, 0)
    )
    shift /= _at(found.link.wheelbase, 0)
    lowered = [_at(part, stage) for part in found.lowered]
    pushed = _dot(adjoint, [-shift + lowered[0], shift + lowered[1], grade + lowered[2]])
    leant = -_dot(adjoint, (0.0, 0.0, _at(found.attitude, stage)))
    entries = [_extra("attitude", leant / GRAVITY)]
    if slope != 0.0:
        entries.append(_extra("grade", -pushed / GRAVITY))
    if driven:
        moment = _at(found.bar_moment, stage)
        bar = [_at(part, 0) for part in found.link.bar]
        entries.append(_extra("spring bars' pull", _dot(adjoint, bar) * moment / GRAVITY))
    return entries


def _extra(name: str, kg: float) -> Entry:
    return Entry(
        name=name,
        body="",
        place=None,
        kg=float("nan"),
        station=float("nan"),
        tongue_kg=float(kg),
        lever=float("nan"),
    )


def _plain(found: Balance, *, bars: bool) -> Springs:
    """The springs as plain numbers, alike at all stages, and the bars where they are asked for and
    fitted; of a bar the offset, which no lever asks for, is nothing."""
    springs = found.link.springs
    direction = [tuple(np.float64(_at(x, 0)) for x in a) for a in springs.direction]
    rate = [np.float64(_at(k, 0)) for k in springs.rate]
    offset = [np.float64(_at(g, 0)) for g in springs.offset]
    if bars and len(found.driven.touching) > len(rate):
        direction.append(tuple(np.float64(_at(x, 0)) for x in found.link.bar))
        rate.append(np.float64(_at(found.bar_rate, 0)))
        offset.append(np.float64(0.0))
    return Springs(direction=tuple(direction), rate=tuple(rate), offset=tuple(offset))  # type: ignore[arg-type]


def _touching(springs: Springs, state: Settled, stage: int) -> tuple[Array, ...]:
    """Which of the springs press at one stage."""
    return tuple(np.bool_(_at(t, stage)) for t in state.touching[: len(springs.rate)])  # type: ignore[misc]


def _at(x: Array, stage: int) -> float:
    """The best estimate, in the first column, of an array (S, n), (1, n), (n,) or () at a stage."""
    if np.ndim(x) < 2:
        return float(x[0] if np.ndim(x) else x)
    return float(x[stage if len(x) > 1 else 0, 0])


def _trailer_springs(link: Linkage) -> list[int]:
    first = link.first_trailer_spring
    return list(range(first, first + len(link.groups)))


def _adjoints(
    springs: Springs, touching: tuple[Array, ...], groups: list[list[int]]
) -> list[Triple]:
    """For each group of springs the w with (sum of their forces) = w . load + constant, contacts
    kept; NaN where these contacts alone bear nothing, as of a rig that only its bars hold up."""
    pushes = np.zeros((3, len(groups)))
    for number, which in enumerate(groups):
        for j in which:
            pressed = float(springs.rate[j]) * bool(touching[j])
            pushes[:, number] += pressed * np.array(springs.direction[j], dtype=float)
    free = replace(springs, offset=(np.zeros(()),) * len(springs.offset))
    found = np.array(solve(free, touching, (pushes[0], pushes[1], pushes[2])))
    found[:, ~np.isfinite(found).all(axis=0)] = np.nan
    return [(x, y, z) for x, y, z in found.T.tolist()]


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


def _column(frame: Frame, body: str, station: float) -> list[float]:
    place = np.asarray(station, dtype=float)
    found = frame.at_trailer(place) if body == "trailer" else frame.at_vehicle(place)
    return [_at(part, 0) for part in found]


def _dot(a: Triple, b: Triple | list[float]) -> float:
    return float(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])
