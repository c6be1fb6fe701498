"""Why one loaded trailer puts more on the ball than another: two ledgers, row by row.

A row that stands in either ledger is the difference of what it puts on the ball. The empty trailer
itself is one row in a ledger but differs in several ways at once; its rigid lever

    T = W (p - q) / (s/l + p)

has weight W, box of length l starting s behind the ball, axles at the share p of the box and centre
of gravity at the share q. Their parts are Shapley's (Contributions to the Theory of Games II (1953)
307-317): each factor's change averaged over all orders of changing them, which sums to the whole
exactly and favours no order.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations
from math import comb
from typing import Annotated, Final, Literal

from steelyard.assessment import Assessment, StageResult
from steelyard.fault import FaultError
from steelyard.quantity import Dimension, reported
from steelyard.statics.ledger import Entry
from steelyard.statics.linkage import group_station

ITSELF: Final = "trailer itself"
RowKind = Literal["trailer", "tongue furniture", "tank", "item", "vehicle", "stance"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Because:
    """One reason, kg on the ball: in a, in b, and b less a.

    A factor of the empty trailer has no row of its own (None) but a value in each, SI, of its
    dimension; a share of the box is a `share`. `assumed`: whether nobody stated either value.
    """

    name: str
    kind: RowKind
    a_kg: float | None
    b_kg: float | None
    difference_kg: float
    value_a: Annotated[float | None, reported.SI]
    value_b: Annotated[float | None, reported.SI]
    dimension: Dimension | None
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """b against a, bars off: the rows, largest difference first, sum to `difference_kg`."""

    name_a: str
    name_b: str
    stage_a: StageResult
    stage_b: StageResult
    rows: tuple[Because, ...]

    @property
    def tongue_a_kg(self) -> float:
        """Tongue weight of a."""
        return self.stage_a.ledger.total_kg

    @property
    def tongue_b_kg(self) -> float:
        """Tongue weight of b."""
        return self.stage_b.ledger.total_kg

    @property
    def difference_kg(self) -> float:
        """Tongue weight of b less that of a."""
        return self.tongue_b_kg - self.tongue_a_kg


def compare(
    a: Assessment, b: Assessment, stage_a: str | None = None, stage_b: str | None = None
) -> Comparison:
    """Why b puts more or less on the ball than a, at one stage of each (the worst when unsaid).

    Raises ValueError for a stage that is not there.
    """
    one, other = _stage(a, stage_a), _stage(b, stage_b)
    rows = [*_common(a, one, b, other), *_trailer(a, one, b, other)]
    rows = [row for row in rows if row.difference_kg != 0.0]
    return Comparison(
        name_a=_name(a, one, b, other)[0],
        name_b=_name(a, one, b, other)[1],
        stage_a=one,
        stage_b=other,
        rows=tuple(sorted(rows, key=lambda row: -abs(row.difference_kg))),
    )


def _name(a: Assessment, one: StageResult, b: Assessment, other: StageResult) -> tuple[str, str]:
    """What to call the two: the rigs, or their stages where it is the same rig."""
    if a.rig.name != b.rig.name:
        return a.rig.name, b.rig.name
    if one.title != other.title:
        return one.title, other.title
    return f"{a.rig.name} (A)", f"{b.rig.name} (B)"


def _stage(found: Assessment, key: str | None) -> StageResult:
    if key is None:
        return found.worst_stage
    for stage in found.stages:
        if stage.key == key:
            return stage
    known = ", ".join(stage.key for stage in found.stages)
    raise FaultError(due=f"a stage of {found.rig.name} ({known})", found=f'"{key}"')


def _common(
    a: Assessment, one: StageResult, b: Assessment, other: StageResult
) -> Iterator[Because]:
    """Every row of either ledger but the empty trailer's, matched by its name."""
    left, right = _by_name(one), _by_name(other)
    for key in dict.fromkeys([*left, *right]):
        if key[1] == ITSELF or _stands(key):
            continue
        mine, theirs = left.get(key), right.get(key)
        forces = [0.0 if entry is None else entry.tongue_kg for entry in (mine, theirs)]
        kind = _kind(a, mine) if mine is not None else _kind(b, theirs)
        yield Because(
            name=key[1],
            kind=kind,
            a_kg=forces[0],
            b_kg=forces[1],
            difference_kg=forces[1] - forces[0],
            value_a=None if mine is None else mine.kg,
            value_b=None if theirs is None else theirs.kg,
            dimension="mass",
            assumed=False,
        )


def _stands(key: tuple[str, str]) -> bool:
    """Rows that are no load but how the rig stands: springs, heights, pitch, the empty vehicle."""
    return not key[0] or key == ("vehicle", "vehicle itself")


def _by_name(stage: StageResult) -> Mapping[tuple[str, str], Entry]:
    return {(entry.body, entry.name): entry for entry in stage.ledger.entries}


def _kind(found: Assessment, entry: Entry | None) -> RowKind:
    assert entry is not None
    if entry.body == "vehicle":
        return "vehicle"
    if entry.name.removesuffix(" tank") in found.rig.trailer.tanks:
        return "tank"
    if entry.name in found.rig.items:
        return "item"
    front = float(found.estimate.at_mean()["trailer.box_start"])
    return "tongue furniture" if entry.station < front else "trailer"


_Factors = Mapping[str, float]
_FACTORS: Final[Mapping[str, tuple[str, Dimension, str]]] = {
    "weight": ("weight of the empty trailer", "mass", "trailer.empty.weight"),
    "box": ("length of the box", "length", "trailer.box_length"),
    "axles": ("axle place along the box", "share", "trailer.axles.station"),
    "centre": ("mass behind the axles", "share", "trailer.empty.cg"),
}
"""What the empty trailer's row is divided into: title, dimension, parameter behind it."""


def _trailer(
    a: Assessment, one: StageResult, b: Assessment, other: StageResult
) -> Iterator[Because]:
    """The empty trailer's row by its factors, and in one row what a rigid lever does not explain:
    ball height, springs, pitch, and with independent axles the empty vehicle, which moves the ball.
    """
    rows = [_by_name(stage)["trailer", ITSELF] for stage in (one, other)]
    x, y = _factors(a, rows[0]), _factors(b, rows[1])
    parts = shapley(_rigid, x, y)
    assumed = {row.name for found in (a, b) for row in found.assumed}
    for key, (title, dimension, parameter) in _FACTORS.items():
        yield Because(
            name=title,
            kind="trailer",
            a_kg=None,
            b_kg=None,
            difference_kg=parts[key],
            value_a=x[key],
            value_b=y[key],
            dimension=dimension,
            assumed=bool({parameter, "trailer.box_length"} & assumed),
        )
    stance = [
        row.tongue_kg
        - _rigid(factors)
        + sum(e.tongue_kg for key, e in _by_name(at).items() if _stands(key))
        for row, factors, at in zip(rows, (x, y), (one, other), strict=True)
    ]
    yield Because(
        name="how it stands",
        kind="stance",
        a_kg=stance[0],
        b_kg=stance[1],
        difference_kg=stance[1] - stance[0],
        value_a=None,
        value_b=None,
        dimension=None,
        assumed=False,
    )


def _factors(found: Assessment, row: Entry) -> _Factors:
    v = found.estimate.at_mean()
    start, box = float(v["trailer.box_start"]), float(v["trailer.box_length"])
    station = float(group_station(found.rig, v))
    return {
        "weight": row.kg,
        "box": box,
        "start": start,
        "axles": (station - start) / box,
        "centre": (row.station - start) / box,
    }


def _rigid(x: _Factors) -> float:
    """What the empty trailer puts on the ball, kg, by the lever: W (p - q)/(s/l + p)."""
    lever = (x["axles"] - x["centre"]) / (x["start"] / x["box"] + x["axles"])
    return x["weight"] * lever


_BOX: Final = ("box", "start")
"""Changed together: the box as it stands behind the ball."""


def shapley(f: Callable[[_Factors], float], x: _Factors, y: _Factors) -> dict[str, float]:
    """Each factor's part of f(y) - f(x): its change averaged over all orders of changing them."""
    names = list(_FACTORS)
    n = len(names)
    found = {}
    for name in names:
        others = [one for one in names if one != name]
        total = 0.0
        for size in range(n):
            for changed in combinations(others, size):
                before = _mixed(x, y, changed)
                after = _mixed(x, y, (*changed, name))
                total += (f(after) - f(before)) / (n * comb(n - 1, size))
        found[name] = total
    return found


def _mixed(x: _Factors, y: _Factors, changed: tuple[str, ...]) -> _Factors:
    """x with the changed factors taken from y; the start of the box goes with its length."""
    moved = {*changed, *(_BOX if "box" in changed else ())}
    return {name: (y if name in moved else x)[name] for name in x}
