"""Many variants of one rig in one pass: read, conditioned and balanced on columns."""

from collections.abc import Hashable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.columns.alike import Numbers, with_numbers
from steelyard.columns.columns_of import Known, columns, read_together
from steelyard.estimate import Array, Estimate, Reading, Values, named_points, root
from steelyard.estimate.many_beliefs import Beliefs, condition_apart
from steelyard.quantity.columns import DifferError, Floats
from steelyard.rig import Rig
from steelyard.scene import Scene, under_way
from steelyard.statics.linkage import axle_shares
from steelyard.statics.prior import readings
from steelyard.sweeps.figures import Figure, Seen, figure
from steelyard.sweeps.ranges import Varied, at
from steelyard.travel import chosen_stages
from steelyard.typical import fill
from steelyard.typical.sheet import Sheet

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
