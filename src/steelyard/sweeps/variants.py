"""Many variants of one rig in one pass: read, conditioned, balanced on columns; what each gives."""

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.columns.alike import Numbers, with_numbers
from steelyard.columns.columns_of import Known, columns, read_together
from steelyard.estimate import Array, Estimate, Reading, Values, named_points, root
from steelyard.estimate.many_beliefs import Beliefs, condition_apart
from steelyard.fault import FaultError, missing
from steelyard.quantity import GRAVITY, Floats
from steelyard.quantity.columns import DifferError
from steelyard.ratings import Check, checks
from steelyard.rig import Rig
from steelyard.scene import Scene, under_way
from steelyard.statics.linkage import axle_shares
from steelyard.statics.prior import readings
from steelyard.swaying.linear.combination import Combination
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.linear.search import ratio_at, settled
from steelyard.swaying.stage_sway import SPEED
from steelyard.sweeps.ranges import Varied, at
from steelyard.travel import chosen_stages
from steelyard.typical import fill
from steelyard.typical.sheet import Sheet


@dataclass(frozen=True, kw_only=True)
class Seen:
    """A scene with what several figures look at, worked out once."""

    scene: Scene[Floats]

    @cached_property
    def limits(self) -> dict[str, Check]:
        """Limits that decide, by name, those without a rating left out."""
        found = checks(self.scene, ())
        return {one.name: one for one in found if not one.advice and one.high is not None}

    @cached_property
    def whole(self) -> Combination:
        """What sway looks at."""
        return combination(self.scene.rig, self.scene.values, self.scene.loads)

    @cached_property
    def rooms(self) -> Array:
        """kg to each weight rating, (K, S, n)."""
        found = [room(one) for one in self.limits.values() if one.measure == "weight"]
        shape = np.broadcast_shapes(self.scene.loads.trailer.shape, *(x.shape for x in found))
        none = np.full(shape, np.nan)
        return np.stack([np.broadcast_to(x, shape) for x in found]) if found else none[None]


def room(check: Check) -> Array:
    """Room to a limit, or to the nearer edge of a band, in kg where it weighs something."""
    left = np.asarray(check.high) - check.value
    if check.low is not None:
        left = np.minimum(left, check.value - check.low)
    return np.atleast_2d(left / check.size)


def _speed(scene: Scene[Floats]) -> Array:
    return np.asarray(SPEED if scene.rig.speed is None else scene.rig.speed.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number of a scene: its column's name behind `best_`, with its unit, and in words."""

    column: str
    title: str
    of: Callable[[Seen], Array]


def _weight(column: str, title: str, of: Callable[[Scene[Floats]], Array]) -> Figure:
    return Figure(column=f"{column}_kg", title=f"{title}, kg", of=lambda s: of(s.scene) / GRAVITY)


FIGURES: Final[Mapping[str, Figure]] = {
    "trailer": _weight("trailer", "trailer", lambda s: s.loads.trailer),
    "vehicle": _weight("vehicle", "vehicle", lambda s: s.loads.vehicle),
    "tongue": _weight("tongue", "tongue weight, bars off", lambda s: s.loads.tongue),
    "share": Figure(column="share", title="tongue share", of=lambda s: s.scene.loads.share),
    "front": _weight("front", "front axle", lambda s: s.loads.front),
    "rear": _weight("rear", "rear axle", lambda s: s.loads.rear),
    "axles": _weight("axles", "trailer axles together", lambda s: sum(s.loads.trailer_axles)),  # type: ignore[arg-type, return-value]
    "bars": Figure(
        column="bar_moment_nm", title="spring bars, N m", of=lambda s: s.scene.loads.bar_moment
    ),
    "ball": Figure(
        column="ball_height_m", title="ball height, m", of=lambda s: s.scene.loads.heights.ball
    ),
    "room": Figure(
        column="room_kg",
        title="least room to a weight rating, kg",
        of=lambda s: s.rooms.min(axis=0),
    ),
    "damping": Figure(
        column="damping_ratio",
        title="damping ratio of the sway",
        of=lambda s: ratio_at(s.whole, _speed(s.scene)),
    ),
    "wags": Figure(
        column="swing_grows_from_mps",
        title="speed from which a swing grows, m/s",
        of=lambda s: settled(s.whole).oscillatory,
    ),
}
"""By the name they are asked for. Beside them any limit by its name: the room to it."""


def require_figures(asked: Sequence[str], limits: Sequence[str]) -> None:
    """FaultError for what is neither a figure nor one of these limits."""
    for name in asked:
        if name not in FIGURES and name not in limits:
            raise FaultError(
                missing("figures or limits", name, [*FIGURES, *limits], argument="give")
            )


def figure(name: str) -> Figure:
    """A figure by its name, or the room to the limit of that name."""
    if name in FIGURES:
        return FIGURES[name]
    return Figure(
        column=f"room_{name}", title=f"room: {name}", of=lambda seen: room(seen.limits[name])
    )


COLUMNS: Final = 4096
"""Columns balanced at a time: what a processor's cache holds of the temporaries."""
Given = dict[str, Array]


@dataclass(frozen=True, kw_only=True)
class Question:
    """What is asked of every variant: which numbers move, which figures, at which stages.

    draws: Latin hypercube draws behind each spread, 0 for best estimates alone.
    """

    rig: Rig
    ranges: tuple[Varied, ...]
    give: tuple[str, ...]
    stages: tuple[str, ...] | None = None
    draws: int = 0
    seed: int = 0

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Which figures."""
        return tuple(map(figure, self.give))

    def values(self, points: Array) -> Array:
        """Values (n, ranges) in SI at points (n, ranges) in 0 to 1."""
        low = np.array([one.low for one in self.ranges])
        high = np.array([one.high for one in self.ranges])
        return np.asarray(low + points * (high - low))


def answered(question: Question, values: Array) -> Given:
    """Every figure at the best estimate, (S, n), and its sd where draws are asked, by the name of
    its column; values (n, ranges). NaN where a variant would not stand."""
    found: Given = {}
    n = len(values)
    for part in read_together(lambda _: question.rig, _numbers(question, values), _way):
        for members, given in _answered(question, values, part, np.arange(len(part.members))):
            for name, rows in given.items():
                whole = found.setdefault(name, np.full((len(rows), n), np.nan))
                whole[:, part.members[members]] = rows
    return found


def _numbers(question: Question, values: Array) -> Numbers:
    """The varied numbers as columns; a spread that was stated stays."""
    pairs = [(path, k) for k, one in enumerate(question.ranges) for path in one.paths]
    sd = [at(question.rig, path).sd for path, _ in pairs]
    return Numbers(
        paths=tuple(path for path, _ in pairs),
        value=values[:, [k for _, k in pairs]],
        sd=np.tile(np.array([np.nan if x is None else x for x in sd]), (len(values), 1)),
    )


def _way(rig: Rig[Floats]) -> tuple[Hashable, Sheet[Floats], list[Reading[Floats]]]:
    whole = under_way(rig)  # whose readings look at its axles' shares, beside its parameters
    sheet = fill(whole)
    return axle_shares(whole), sheet, readings(whole, sheet)


def _answered(
    question: Question, values: Array, part: Known, members: NDArray[np.intp]
) -> list[tuple[NDArray[np.intp], Given]]:
    """Answers of some members of a part; where a test of a limit falls out differently for two,
    each side apart."""
    belief = _belief(question, values, part)
    left, found = [members], []
    step = max(1, COLUMNS // (1 + question.draws))
    while left:
        some = left.pop()
        for start in range(0, len(some), step):
            few = some[start : start + step]
            try:
                found.append((few, _figures(question, values, part, belief, few)))
            except DifferError as differ:
                holds = differ.holds.reshape(len(few), -1)[:, 0]
                left += [few[~holds], few[holds]]
            except (TypeError, ValueError):
                if len(few) == 1:
                    raise
                left += [few[k : k + 1] for k in range(len(few))]
    return found


def _belief(question: Question, values: Array, part: Known) -> Beliefs:
    """What is believed of the parameters that some reading looks at."""
    first = columns(question.rig, _numbers(question, values).some(part.members[:1]))
    return condition_apart(
        part.names,
        part.scales,
        part.mean,
        part.sd,
        part.constants,
        _way(first)[2],
        part.seen,
        part.noise,
    )


def _figures(
    question: Question, values: Array, part: Known, belief: Beliefs, some: NDArray[np.intp]
) -> Given:
    """Figures of some members, (S, n) each."""
    rig = under_way(_rig(question, values[part.members[some]]))
    drawn = _drawn(question, part, belief, some)
    scene = Scene(rig=rig, stages=chosen_stages(rig, question.stages), values=drawn)
    seen, given = Seen(scene=scene), Given()
    shape = (len(scene.stages), len(some), 1 + question.draws)
    with np.errstate(all="ignore"):
        for one in question.figures:
            rows = np.broadcast_to(one.of(seen), (shape[0], shape[1] * shape[2])).reshape(shape)
            given[f"best_{one.column}"] = rows[:, :, 0]
            if question.draws:
                given[f"sd_{one.column}"] = np.nanstd(rows[:, :, 1:], axis=-1)
    return given


def _rig(question: Question, values: Array) -> Rig[Floats]:
    """The rig with a column of each varied number, a value for every draw."""
    width = 1 + question.draws
    whole: Rig[Floats] = question.rig
    for one, x in zip(question.ranges, values.T, strict=True):
        column = float(x[0]) if len(x) == 1 else np.repeat(x, width)
        whole = with_numbers(whole, dict.fromkeys(one.paths, column))
    return whole


def _drawn(question: Question, part: Known, belief: Beliefs, some: NDArray[np.intp]) -> Values:
    """Every parameter in SI of some members, the best estimate of each and then its draws."""
    n, p, width = len(some), len(part.names), 1 + question.draws
    place = [part.names.index(name) for name in belief.kind.names]
    points = np.empty((p, n, width))
    points[:] = part.mean[some].T[:, :, None]
    points[place] = belief.mean[some].T[:, :, None]
    if question.draws:
        base = named_points(part.names, question.draws, question.seed)
        loose = np.setdiff1d(np.arange(p), place)
        points[loose, :, 1:] += part.sd[some][:, loose].T[:, :, None] * base[loose, None]
        for number, member in enumerate(some):
            points[place, number, 1:] += root(belief.cov[member]) @ base[place]
    kind = Estimate(
        names=part.names, scales=part.scales, mean=part.mean[0], cov=np.zeros((0, 0)), constants={}
    )
    kind.off_scales(points)
    found: dict[str, Array] = dict(zip(part.names, points.reshape(p, -1), strict=True))
    for name, x in part.constants.items():
        same = bool(np.all(x[some] == x[some[0]]))
        found[name] = np.asarray(x[some[0]]) if same else np.repeat(x[some], width)
    return found
