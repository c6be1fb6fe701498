"""Whole groups of pairs through the compiled pass, held to the general path before it is trusted.

What a limit looks at is a row that the pass works out, times a factor; which row, its name tells,
and two pairs of the same groups answered by the general path must come out the same. Else, and
wherever a spring of some draw would lift, the general path answers.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from importlib.util import find_spec
from pickle import UnpicklingError
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.columns.alike import with_numbers
from steelyard.estimate import Array, Values
from steelyard.matching.beliefs import MIDDLING, Side, guesses_bars, level
from steelyard.matching.block_answers import Drawn, Told, block, counted, probed, variance
from steelyard.matching.candidates import Tow, Towed
from steelyard.matching.pair_limits import FIRST, Ints
from steelyard.matching.pair_rows import DRAWS, NO_BARS, PRESET, RESTORED, ROWS
from steelyard.matching.pairing import TYPICAL, paired
from steelyard.matching.side_tables import Table, tow_table, towed_table
from steelyard.quantity import Floats
from steelyard.ratings import Check
from steelyard.rig import Rig
from steelyard.statics.compiled_caches import drop_old
from steelyard.statics.linkage import axle_shares, vehicle_springs
from steelyard.swaying.stage_sway import SPEED
from steelyard.travel import plan_stages
from steelyard.typical.hitch import ball_radius
from steelyard.typical.trailer import ORDINALS, axle_count, suspension

ENOUGH: Final = 8000
"""Pairs from which a compiled pass pays for being loaded."""
CLOSE: Final = 1e-10
"""How near, of a mean's size, two ways to one limit must come to be one."""
ROUNDING: Final = 1e-14
"""Of a mean's size: an sd of no more is none."""
TRIED: Final = 4
"""Pairs on which the compiled pass may be tried before it is given up."""


STALE: Final = (ImportError, AttributeError, EOFError, UnpicklingError)
"""What a cache on disk raises that is half written, or kept where `drop_old` cannot reach it."""


def there() -> bool:
    """Whether Numba is installed."""
    return find_spec("numba") is not None


@dataclass(frozen=True, kw_only=True)
class Rows:
    """Of K limits which row of the pass each looks at, -1 for one that no draw moves, and times
    what, (K,); `needed`: which rows are."""

    row: Ints
    factor: Array
    needed: NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Pass:
    """Two groups of alike members with their tables, ready for any pairs of them."""

    tow: Drawn
    towed: Drawn
    n: int

    @cached_property
    def plain(self) -> Rig:
        """The rig of the first pair."""
        one, two = self.tow.side.first, self.towed.side.first
        assert isinstance(one, Tow)
        assert isinstance(two, Towed)
        return paired(one, two)

    @cached_property
    def tables(self) -> tuple[Table, Table]:
        """What each side brings."""
        plans = plan_stages(self.plain)
        one, two = self._side(self.tow), self._side(self.towed)
        return (
            tow_table(one[0], plans, one[1], (len(self.tow.side.members), self.n)),
            towed_table(two[0], plans, two[1], (len(self.towed.side.members), self.n)),
        )

    def _side(self, part: Drawn) -> tuple[Rig[Floats], Values]:
        """One side's rig, its numbers as columns, and its values at the draws."""
        own = {path: np.repeat(x, self.n) for path, x in part.side.numbers.items()}
        values = {name: _draws(x, self.n) for name, x in part.values.items()}
        return with_numbers(counted(self.plain), own), values

    def over(self, a: Ints, b: Ints, needed: NDArray[np.bool_]) -> tuple[Array, ...]:
        """Means and sds (rows, S, B), chance that a swing grows (S, B), and how
        often a spring of some draw does not press (B,)."""
        drop_old()
        from steelyard.matching import compiled

        plain, (tows, toweds) = self.plain, self.tables
        plans, reading = plan_stages(plain), level(plain)
        keys = [plan.key for plan in plans]
        usual = keys.index(TYPICAL)
        order = np.array([usual, *(k for k in range(len(keys)) if k != usual)])
        bars = plain.hitch.bars
        how = NO_BARS
        if bars is not None:
            how = PRESET if "hitch.bars.preset" in self.tow.values else RESTORED
        heavy = self.towed.side.heavy[b] / MIDDLING if guesses_bars(plain) else np.ones(len(b))
        return compiled.pass_over(
            tows,
            toweds,
            a,
            b,
            level=(np.nan, np.inf) if reading is None else (reading.value, reading.sd**2),
            variances=tuple(variance(s, name) for s, name in zip(self._sides, ENDS, strict=True)),
            heights=tuple(
                _best(part.values[name], len(part.side.members))
                for part, name in zip((self.tow, self.towed), ENDS, strict=True)
            ),
            stiff=heavy,
            radius=float(ball_radius(plain)),
            how=how,
            stages=order,
            shares=np.array(axle_shares(plain)),
            equal=suspension(plain) == "equaliser" or axle_count(plain) == 1,
            speed=SPEED if plain.speed is None else plain.speed.value,
            needed=needed,
        )

    @property
    def _sides(self) -> tuple[Side, Side]:
        return self.tow.side, self.towed.side

    def rows(self) -> Rows | None:
        """Which row each limit looks at; None where the general path is to answer."""
        if self.n != DRAWS:
            return None
        plain = self.plain
        first = {name: _draws(x[:1] if x.ndim else x, 1) for name, x in self.tow.values.items()}
        if len(vehicle_springs(plain, first)[1]) != 2:
            return None  # helpers or stops, which touch in some draws only
        every = np.ones(len(ROWS), dtype=bool)
        G1, G2 = (len(side.members) for side in self._sides)
        for k in range(TRIED):
            at = (
                np.array([k * (G1 - 1) // TRIED, G1 - 1]),
                np.array([k * (G2 - 1) // TRIED, G2 - 1]),
            )
            try:
                means, sds, _, lifted = self.over(*at, every)
            except STALE:
                return None
            if not lifted.any():
                checks, told = probed(self.tow, self.towed, *at, self.n)
                return _matched(checks, told, means, sds)
        return None

    def blocks(self, rows: Rows, a: Ints, b: Ints, tight: float) -> list[Any]:
        """Some pairs: those whose springs all press by the pass, the others by the general path."""
        means, sds, grows, lifted = self.over(a, b, rows.needed)
        fine = lifted == 0
        found = []
        if fine.any():
            to = slice(None) if fine.all() else fine
            mean, sd = (x[rows.row][..., to] * rows.factor[:, None, None] for x in (means, sds))
            still = rows.row < 0
            mean[still], sd[still] = np.nan, 0.0
            told = Told(mean=mean, sd=sd, loads=sds[:3][..., to], grows=grows[..., to])
            few = tuple(
                replace(part, values=_first(part.values)) for part in (self.tow, self.towed)
            )
            found.append(block(few[0], few[1], a[to], b[to], 0, tight, told))
        for start in range(0, int((~fine).sum()), 62):
            some = np.flatnonzero(~fine)[start : start + 62]
            found.append(block(self.tow, self.towed, a[some], b[some], self.n, tight))
        return found


def rows_of(both: Pass) -> Rows | None:
    """`rows` of two groups, found once for all groups of the same kinds in this process: nothing in
    them hangs on which groups of their kinds those were."""
    kind = (*(side.key for side in both._sides), both.n)
    if kind not in _FOUND:
        if len(_FOUND) >= MOST:
            _FOUND.clear()
        _FOUND[kind] = both.rows()
    return _FOUND[kind]


_FOUND: Final[dict[Hashable, Rows | None]] = {}
MOST: Final = 10_000
"""Pairs of kinds that are remembered."""
ENDS: Final = ("hitch.ball_height", "trailer.coupler_height")


def _draws(x: Array, n: int) -> Array:
    """Values of G members at their draws alone, (G n,); () for what is alike for all."""
    if x.ndim == 0:
        return x
    return np.repeat(x[:, 0], n) if x.shape[1] == 1 else x[:, FIRST : FIRST + n].reshape(-1)


def _first(values: dict[str, Array]) -> dict[str, Array]:
    return {name: x[:, :FIRST] if x.ndim else x for name, x in values.items()}


def _best(x: Array, members: int) -> Array:
    """The best estimate of each member, (G,)."""
    return np.array(np.broadcast_to(x if x.ndim == 0 else x[:, 0], members))


def _matched(checks: Sequence[Check], told: Told, means: Array, sds: Array) -> Rows | None:
    """Rows by the limits' names, held to what the general path told of the same pairs."""
    row = np.full(len(checks), -1)
    factor = np.ones(len(checks))
    for k, check in enumerate(checks):
        if not (told.sd[k] > ROUNDING * np.abs(told.mean[k])).any():
            continue
        row[k] = place = _row(check.name)
        if place < 0:
            return None
        factor[k] = round(told.mean[k, 1, 0] / means[place, 1, 0], 9)  # 1, or tyres of an axle
        near = np.abs(told.mean[k] - factor[k] * means[place]) <= CLOSE * np.abs(told.mean[k])
        wide = np.abs(told.sd[k] - factor[k] * sds[place]) <= CLOSE * np.abs(told.mean[k])
        if not (near & wide).all():
            return None
    needed = np.zeros(len(means), dtype=bool)
    needed[row[row >= 0]] = True
    needed[:3] = True
    return Rows(row=row, factor=factor, needed=needed)


def _row(name: str) -> int:
    """The row that a limit looks at, by its name; -1 for one that no row holds."""
    return ROWS.index(said) if (said := _said(name)) in ROWS else -1


def _said(name: str) -> str:
    if name in _NAMED:
        return _NAMED[name]
    head, _, last = name.rpartition(".")
    axle = head.rpartition(".")[2]
    number = ORDINALS.index(axle) + 1 if axle in ORDINALS else 0
    if last == "gawr":
        return f"axle {number}" if number else axle
    if last in ("tyres", "wheel"):
        return f"side {number}" if number else f"{axle} side"
    if head.startswith("hitch."):
        return {"trailer": "trailer", "tongue": "tongue", "s": "tongue"}.get(last, "")
    return ""


_NAMED: Final = {
    "tongue-band": "share",
    "vehicle.payload": "payload",
    "vehicle.gvwr": "vehicle",
    "vehicle.front.lift": "front_lift",
    "vehicle.gcwr": "combined",
    "vehicle.tow_rating": "trailer",
    "vehicle.tow_rating_unbraked": "trailer",
    "vehicle.distribution": "trailer",
    "vehicle.max_trailer_ratio": "ratio",
    "trailer.gvwr": "trailer",
    "trailer.gtm": "axles",
    "hitch.bars.rating": "bars",
    "rules.tow-ratio-unrated": "unladen_ratio",
    "rules.uk-mass-ratio": "unladen_ratio",
}
