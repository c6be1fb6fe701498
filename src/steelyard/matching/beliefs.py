"""What is believed of many vehicles and many trailers, read in groups that are alike.

A pair's belief is a vehicle's beside a trailer's: nothing ties the two but the level ball, one
linear reading, so each side is read once however many it is paired with.
"""

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Final, TypeVar

import numpy as np

from steelyard.columns.alike import Alike, Many, Numbers, Path, alike, kind_of
from steelyard.columns.columns_of import Known, Way, columns, read_together
from steelyard.estimate import Array, Estimate, Reading, base_points, condition, root
from steelyard.estimate.many_beliefs import Beliefs, condition_many
from steelyard.matching.candidates import Tow, Towed
from steelyard.matching.pairing import CARGO, EMPTY, FULL, REST, alone, paired
from steelyard.quantity import F, Floats, Value
from steelyard.quantity.columns import DifferError
from steelyard.ratings import asked_of_all
from steelyard.ratings.coupling import minimum_ball
from steelyard.rig import Hitch, Rig, Trailer
from steelyard.statics.prior import readings
from steelyard.typical.hitch import add_hitch
from steelyard.typical.load import add_load
from steelyard.typical.plausible import believed
from steelyard.typical.ride import usual_cargo
from steelyard.typical.sheet import Builder, Sheet
from steelyard.typical.trailer import add_trailer, axle_count
from steelyard.typical.vehicle import add_vehicle

LIGHTEST: Final = 1.0
"""kg: least cargo that is drawn; a trailer already at its rating has no more to take."""
CARGO_WEIGHT, CARGO_STATION = f"items.{CARGO}.weight", f"items.{CARGO}.station"
REST_WEIGHT, REST_STATION = f"items.{REST}.weight", f"items.{REST}.station"
CARGO_NAMES: Final = (CARGO_WEIGHT, CARGO_STATION, REST_WEIGHT, REST_STATION)
STYLES: Final = {"ball": "rear-living", "fifth-wheel": "fifth-wheel", "gooseneck": "gooseneck"}
"""A trailer of each coupling, to read a vehicle beside."""
MIDDLING: Final = 3000.0
"""kg: rating of that trailer."""
ALONE: Final = 1 << 17
"""Products in a matrix product below which the linear algebra library starts no second thread,
which would wait at full speed for the next."""
TOGETHER: Final = 1024
"""Candidates read and conditioned at a time: 30 MB."""


@dataclass(frozen=True, kw_only=True)
class Side:
    """G vehicles or trailers that are alike: names and scales of p parameters, mean (G, p) on
    them, roots (G, p, q) with cov = root rootᵀ, constants each (G,), numbers that differ by path.

    `alone`: whether nothing else is like it; `rated`: kg (G,), a trailer's rating, NaN for none;
    `heavy`: that or its weight, by which bars without a rating are guessed.
    """

    members: tuple[int, ...]
    first: Tow | Towed
    alone: bool
    key: Hashable
    kind: Estimate
    mean: Array
    root: Array
    constants: Mapping[str, Array]
    numbers: Mapping[Path, Array]
    rated: Array
    heavy: Array

    def some(self, part: slice) -> "Side":
        """Some of the members."""
        return replace(
            self,
            members=self.members[part],
            mean=self.mean[part],
            root=self.root[part],
            constants={name: x[part] for name, x in self.constants.items()},
            numbers={path: x[part] for path, x in self.numbers.items()},
            rated=self.rated[part],
            heavy=self.heavy[part],
        )

    def drawn(self, n: int, seed: int, first: int = 1) -> dict[str, Array]:
        """Every parameter in SI, (G, first + n): the best estimate `first` times, then n draws;
        constants (G, 1)."""
        base = base_points(n, self.root.shape[2], seed).T
        columns = np.zeros((self.root.shape[1], len(self.mean), first + n))
        _spread(self.root, base, columns[:, :, first:])
        columns += self.mean.T[:, :, None]
        self.kind.off_scales(columns)
        found: dict[str, Array] = dict(zip(self.kind.names, columns, strict=True))
        found.update((name, x[:, None]) for name, x in self.constants.items())
        return found


def _spread(roots: Array, base: Array, out: Array) -> None:
    """Roots (G, p, q) times base points (q, n), into `out` (p, G, n).

    Most parameters know nothing of each other: one source moves them, and them alone.
    """
    there = (roots != 0.0).any(axis=0)
    tied = there.sum(axis=1) > 1
    for row in np.flatnonzero(~tied & there.any(axis=1)):
        source = int(np.argmax(there[row]))
        np.multiply(roots[:, row, source, None], base[source], out=out[row])
    used = there[tied].any(axis=0)
    part = np.ascontiguousarray(roots[:, tied][:, :, used].swapaxes(0, 1))
    step = max(1, ALONE // max(1, part.shape[1] * part.shape[2]))
    for start in range(0, base.shape[1], step):
        some = slice(start, start + step)
        out[tied, :, some] = part @ base[used, some]


def coupling_of(towed: Towed) -> str:
    """Which hitch a trailer hangs on, as far as the vehicle's own parameters care."""
    if not towed.pin:
        return "ball"
    kind = towed.hitch.kind or towed.trailer.style
    return "gooseneck" if "gooseneck" in (kind, towed.trailer.style) else "fifth-wheel"


def tow_sides(tows: Sequence[Tow], coupling: str) -> list[Side]:
    """Vehicles read beside a trailer that hangs on this kind of coupling, in groups alike."""
    style = {"style": STYLES[coupling], "gvwr": f"{MIDDLING} kg"}
    beside = Towed(name="", trailer=Trailer.model_validate(style), hitch=Hitch())

    rig_of = partial(paired, towed=beside)

    def facts_of(tow: Tow) -> dict[str, Any]:
        rig = rig_of(tow)
        said = {"region": tow.region, "country": tow.country, "speed": tow.speed}
        part = {"vehicle": rig.vehicle, "hitch": rig.hitch, "coupling": coupling}
        return {**part, "places": rig.places, "items": rig.items, "people": rig.people, **said}

    return list(_sides(tows, rig_of, facts_of, _read_tow))


def towed_sides(toweds: Sequence[Towed], region: str | None = None) -> list[Side]:
    """Trailers in groups alike, with their usual cargo and what more their rating would take,
    read for vehicles of a region, if those state one."""

    def facts_of(towed: Towed) -> dict[str, Any]:
        said = {"region": towed.region, "country": towed.country, "cargo": towed.cargo}
        return {"trailer": towed.trailer, "hitch": towed.hitch, **said}

    rig_of = partial(alone, region=region)
    return [_laden(side) for side in _sides(toweds, rig_of, facts_of, _read_towed)]


def _least_ball(gvwr: Value[Floats] | None) -> str:
    """The ball that a trailer's rating asks for, which limits read as a plain number."""
    if gvwr is None:
        return ""
    least = np.atleast_1d(minimum_ball(gvwr.value))
    same = (least == least[0]) | (np.isnan(least) & np.isnan(least[0]))
    if not same.all():
        raise DifferError(same)
    return f"{least[0]:.4f}"


def _read_tow(rig: Rig[Floats]) -> tuple[Hashable, Sheet[Floats], list[Reading[Floats]]]:
    build = Builder[Floats]()
    add_vehicle(build, believed(rig))
    add_hitch(build, rig)
    add_load(build, rig)
    for name in CARGO_NAMES:
        build.parameters.pop(name, None)
    return asked_of_all(rig), build.sheet(), _own_readings(rig, build.sheet())


def _read_towed(rig: Rig[Floats]) -> tuple[Hashable, Sheet[Floats], list[Reading[Floats]]]:
    build = Builder[Floats]()
    add_trailer(build, believed(rig))
    add_load(build, rig)
    for name in [name for name in build.parameters if ".vehicle_tanks." in name]:
        del build.parameters[name]
    key = axle_count(rig), _least_ball(rig.trailer.gvwr), asked_of_all(rig)
    return key, build.sheet(), _own_readings(rig, build.sheet())


T = TypeVar("T", Tow, Towed)


def _sides(
    candidates: Sequence[T],
    rig_of: Callable[[T], Rig],
    facts_of: Callable[[T], Mapping[str, Any]],
    way: Way,
) -> Iterator[Side]:
    """Candidates in groups that are alike, and for which the way through the readers is one."""
    known = candidates.groups if isinstance(candidates, Many) else None
    many = alike(map(facts_of, candidates)) if known is None else known
    for some in (part for group in many for part in group.parts(TOGETHER)):
        yield from _group(candidates, some, rig_of, facts_of, way)


def _group(
    candidates: Sequence[T],
    some: Alike,
    rig_of: Callable[[T], Rig],
    facts_of: Callable[[T], Mapping[str, Any]],
    way: Way,
) -> Iterator[Side]:
    """Alike candidates; where their numbers part the way, each part by itself."""

    def own_rig(number: int) -> Rig:
        return rig_of(candidates[int(some.members[number])])

    facts = facts_of(candidates[int(some.members[0])])
    own = some.numbers.within(facts)
    for known in read_together(own_rig, own, way):
        members = tuple(some.members[known.members].tolist())
        rig = own_rig(int(known.members[0]))
        key = kind_of(facts), known.key
        yield _side(candidates[members[0]], members, key, rig, own.some(known.members), known, way)


def _side(
    first: Tow | Towed,
    members: tuple[int, ...],
    key: Hashable,
    rig: Rig,
    own: Numbers,
    known: Known,
    way: Way,
) -> Side:
    belief = condition_many(
        _unread(known), way(columns(rig, own.some([0])))[2], known.seen, known.noise
    )
    trailer, G = columns(rig, own).trailer, len(members)
    rated = np.nan if trailer.gvwr is None else trailer.gvwr.value
    known_weight = trailer.gvwr or trailer.empty.weight
    heavy = MIDDLING if known_weight is None else known_weight.value
    return Side(
        members=members,
        first=first,
        alone=G == 1,
        key=key,
        kind=belief.kind,
        mean=belief.mean,
        root=_roots(belief.cov),
        constants=belief.constants,
        numbers=own.differing(),
        rated=np.broadcast_to(np.asarray(rated, float), G),
        heavy=np.broadcast_to(np.asarray(heavy, float), G),
    )


def _unread(known: Known) -> Beliefs:
    """What is believed before any tie or sticker is read: independent."""
    G, p = known.mean.shape
    cov = np.zeros((G, p, p))
    cov[:, range(p), range(p)] = known.sd**2
    kind = Estimate(
        names=known.names, scales=known.scales, mean=known.mean[0], cov=cov[0], constants={}
    )
    return Beliefs(kind=kind, mean=known.mean, cov=cov, constants=known.constants)


def _roots(covs: Array) -> Array:
    """`root` of each covariance, (G, p, p), side by side where all have one."""
    sd = np.sqrt(np.maximum(np.einsum("gii->gi", covs), 0.0))
    scale = np.where(sd > 0, sd, 1.0)
    correlation = covs / (scale[:, :, None] * scale[:, None])
    try:
        factors = np.linalg.cholesky(correlation + 1e-12 * np.eye(covs.shape[1]))
    except np.linalg.LinAlgError:
        return np.array([root(cov) for cov in covs])
    return np.asarray(scale[:, :, None] * factors)


def _own_readings(rig: Rig[F], sheet: Sheet[F]) -> list[Reading[F]]:
    """What one side alone is conditioned on; the level ball is read when the two meet."""
    return [reading for reading in readings(rig, sheet) if reading.name != "level"]


def _laden(side: Side) -> Side:
    """The side with its cargo: weight, centre, and what would bring the trailer to its rating.

    To first order in the side's own sources, so that cargo along the box moves with the box, and
    an empty trailer that is heavier than thought leaves less: mean m(x), root rows J R.
    """
    assert isinstance(side.first, Towed)
    G, q = len(side.mean), side.root.shape[2]
    values = Beliefs(kind=side.kind, mean=side.mean, cov=side.root, constants=side.constants)
    h = 1e-3
    points = side.mean[:, None] + h * np.concatenate(
        [np.zeros((G, 1, side.mean.shape[1])), side.root.swapaxes(1, 2)], axis=1
    )
    v = {name: np.broadcast_to(x, (G, 1 + q)) for name, x in values.values(points).items()}
    usual = usual_cargo(side.first.trailer)
    gvwr = side.rated[:, None]
    carried = {stage: _weight(v, side.first, stage) for stage in (EMPTY, FULL)}
    station = v["trailer.box_start"] + usual.place.value * v["trailer.box_length"]
    rest = gvwr - carried[FULL]
    bare = v["trailer.empty.weight"][:, :1]
    room = np.maximum(gvwr[:, :1] - carried[EMPTY][:, :1], 0.0) if usual.rated else bare
    weight = np.maximum(side.first.cargo * usual.share.value * room, LIGHTEST)
    sd = usual.share.sd / usual.share.value
    full = usual.rated & (rest[:, :1] > LIGHTEST)
    rows = [
        (CARGO_WEIGHT, "log", np.log(weight) + 0 * station, (np.full(G, sd), np.zeros(G))),
        (CARGO_STATION, "linear", station, (np.zeros(G), _reach(v, usual.place.sd))),
    ]
    if usual.rated:
        none = np.zeros(G)
        rows.append((REST_WEIGHT, "linear", np.where(full, rest, 0.0), (none, none)))
        rows.append((REST_STATION, "linear", station, (none, _reach(v, usual.place.sd))))
    return _extended(side, rows, h)


def _reach(v: Mapping[str, Array], sd: float) -> Array:
    return np.asarray(sd * v["trailer.box_length"][:, 0])


def _weight(v: Mapping[str, Array], towed: Towed, stage: str) -> Array:
    """Weight of the trailer with nothing in it but its tanks' at a stage, kg (G, 1 + q)."""
    total = v["trailer.empty.weight"]
    for name in ("trailer.gas_and_battery", "trailer.options"):
        total = total + v.get(name, np.zeros(1))
    for name in towed.trailer.equipment:
        total = total + v[f"trailer.equipment.{name}.weight"]
    for name in towed.trailer.tanks:
        level = v.get(f"stages.{stage}.tanks.{name}", np.zeros(1))
        total = total + level * v[f"trailer.tanks.{name}.capacity"]
    return np.asarray(total)


def _extended(
    side: Side, rows: Sequence[tuple[str, str, Array, tuple[Array, Array]]], h: float
) -> Side:
    """The side with further parameters: (name, scale, (G, 1 + q) at the steps, own sources)."""
    G, p, q = side.root.shape
    wide = np.zeros((G, p + len(rows), q + 2))
    wide[:, :p, :q] = side.root
    for number, (_, _, at, own) in enumerate(rows, start=p):
        wide[:, number, :q] = (at[:, 1:] - at[:, :1]) / h
        wide[:, number, q], wide[:, number, q + 1] = own
    kind = replace(
        side.kind,
        names=(*side.kind.names, *(row[0] for row in rows)),
        scales=(*side.kind.scales, *(row[1] for row in rows)),  # type: ignore[arg-type]
        mean=np.zeros(p + len(rows)),
        cov=np.zeros((0, 0)),
    )
    mean = np.concatenate([side.mean, np.stack([row[2][:, 0] for row in rows], axis=1)], axis=1)
    return replace(side, kind=kind, mean=mean, root=wide)


def of_pair(tow: Tow, towed: Towed) -> tuple[Rig, Estimate]:
    """One pair as a rig and what is believed of it: `assess(rig, estimate)` answers in full."""
    a, b = tow_sides([tow], coupling_of(towed))[0], towed_sides([towed], tow.region)[0]
    rig = paired(tow, towed)
    names = (*a.kind.names, *b.kind.names)
    pa, p = len(a.kind.names), len(names)
    cov = np.zeros((p, p))
    cov[:pa, :pa] = a.root[0] @ a.root[0].T
    cov[pa:, pa:] = b.root[0] @ b.root[0].T
    constants = {name: float(x[0]) for side in (a, b) for name, x in side.constants.items()}
    mean = np.concatenate([a.mean[0], b.mean[0]])
    loose = Estimate(
        names=names,
        scales=(*a.kind.scales, *b.kind.scales),
        mean=mean,
        cov=cov,
        constants=constants,
    )
    return rig, _levelled(_guessed_bars(loose, rig, b), rig)


def _guessed_bars(loose: Estimate, rig: Rig, b: Side) -> Estimate:
    """Bars of unsaid rating are guessed by the trailer they carry: on a log scale, a shift."""
    if not guesses_bars(rig):
        return loose
    mean = loose.mean.copy()
    mean[loose.index["hitch.bars.tip_rate"]] += np.log(b.heavy[0] / MIDDLING)
    return replace(loose, mean=mean)


def guesses_bars(rig: Rig) -> bool:
    """Whether the bars' rate follows from the trailer's weight."""
    bars = rig.hitch.bars
    return bars is not None and bars.rating is None and bars.tip_rate is None


def level(rig: Rig) -> Reading | None:
    """The reading that ties a pair's two sides, if it needs one."""
    return next((r for r in readings(rig, _NO_SHEET) if r.name == "level"), None)


_NO_SHEET: Final = Sheet(parameters={}, ties={}, remarks=())


def _levelled(loose: Estimate, rig: Rig) -> Estimate:
    reading = level(rig)
    return loose if reading is None else condition(loose, [reading])
