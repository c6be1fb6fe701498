"""Roots of the linear model at a speed: the least damped oscillation, tyre relaxation included.

States are (v, r, θ', θ): lateral speed of the vehicle's centre, yaw rate, rate and angle of
articulation (θ is the trailer's heading less the vehicle's), then, for each axle whose tyres have a
relaxation length, the slip angle that has built up: σ/u α' = α_now - α.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.sway.combination import Combination, taken
from steelyard.sway.model import Critical, critical_speeds

SLOWEST: Final = 8.0
"""m/s: lower down, tyres that lag swing in a way the first-order lag does not describe."""
FASTEST: Final = 70.0
"""m/s: an instability found by search is looked for up to here."""
GRID: Final = np.linspace(SLOWEST, FASTEST, 32)
"""Speeds between which a change is looked for: every 2 m/s."""
MATRICES: Final = 1024
"""State matrices whose roots are found in one call: about 1 MB of them."""
SETTLED: Final = 1e-10
"""Relative step at which a search for a zero ends."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Oscillation:
    """The least damped oscillation, (...): damping ratio, damped frequency rad/s, real part 1/s.

    Where nothing oscillates the ratio is 1, the frequency 0 and the real part NaN.
    """

    ratio: Array
    frequency: Array
    rate: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """State matrix by power of the speed u: still + rising u + falling / u; each (..., k, k)."""

    still: NDArray[Any]
    rising: NDArray[Any]
    falling: NDArray[Any]

    def at(self, speed: Any) -> NDArray[Any]:
        """The state matrix at a speed that broadcasts to the leading axes."""
        u = np.asarray(speed)[..., None, None]
        return np.asarray(self.still + self.rising * u + self.falling / u)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tyre:
    """One axle of the model: arms of its side force on (v, r, θ'), whether it is the trailer's."""

    stiffness: Any
    arms: tuple[Any, Any, Any]
    trailing: float
    lag: Any


def tyres(c: Combination) -> list[Tyre]:
    """Front, rear and every trailer axle."""
    one, none = np.ones(()), np.zeros(())
    found = [
        Tyre(stiffness=c.Cf, arms=(one, c.a, none), trailing=0.0, lag=c.front_lag),
        Tyre(stiffness=c.Cr, arms=(one, -c.b, none), trailing=0.0, lag=c.rear_lag),
    ]
    for L, C in zip(c.stations, c.stiffness, strict=True):
        arms = (one, -(c.d + L), -L)
        found.append(Tyre(stiffness=C, arms=arms, trailing=1.0, lag=c.trailer_lag))
    return found


def mass_matrix(c: Combination) -> NDArray[Any]:
    """M of M (v', r', θ'')' = forces, (..., 3, 3)."""
    far = c.d + c.e
    q, J = c.m2 * c.e, c.I2 + c.m2 * c.e * c.e
    coupled = c.I2 + q * far
    rows = (
        (c.m1 + c.m2, -c.m2 * far, -q),
        (-c.m2 * far, c.I1 + c.I2 + c.m2 * far * far, coupled),
        (-q, coupled, J),
    )
    return np.stack([_row(row, c.shape) for row in rows], axis=-2)


def _row(parts: tuple[Any, ...], shape: tuple[int, ...]) -> NDArray[Any]:
    return np.stack([np.broadcast_to(part, shape) for part in parts], axis=-1)


def pieces(c: Combination) -> Pieces:
    """The state matrix of a combination, ready for any speed; works on complex fields too."""
    shape, axles = c.shape, tyres(c)
    slow = [tyre for tyre in axles if np.any(tyre.lag != 0)]
    k = 4 + len(slow)
    kind = complex if any(np.iscomplexobj(part) for part in _mixed(c)) else float
    still, rising, falling = (np.zeros((*shape, k, k), dtype=kind) for _ in range(3))
    q = c.m2 * c.e
    inertia = _row((-(c.m1 + c.m2), c.m2 * (c.d + c.e), q), shape)
    rising[..., :3, 1] = inertia
    still[..., 2, 2] -= c.damper
    still[..., 2, 3] -= c.spring
    for tyre in axles:
        arms = _row(tyre.arms, shape)
        push = arms * np.broadcast_to(tyre.stiffness, shape)[..., None]
        if not np.any(tyre.lag != 0):
            falling[..., :3, :3] -= push[..., :, None] * arms[..., None, :]
            still[..., :3, 3] += tyre.trailing * push
            continue
        own = 4 + slow.index(tyre)
        still[..., :3, own] = push
        soon = 1.0 / np.broadcast_to(tyre.lag, shape)
        still[..., own, :3] = -arms * soon[..., None]
        rising[..., own, 3] = tyre.trailing * soon
        rising[..., own, own] = -soon
    inverse = np.linalg.inv(mass_matrix(c))
    for part in (still, rising, falling):
        part[..., :3, :] = inverse @ part[..., :3, :]
    still[..., 3, 2] += 1.0
    return Pieces(still=still, rising=rising, falling=falling)


def _mixed(c: Combination) -> list[Any]:
    axles = tyres(c)
    own = [c.m1, c.I1, c.a, c.b, c.d, c.m2, c.I2, c.e, c.damper, c.spring]
    return own + [x for tyre in axles for x in (tyre.stiffness, *tyre.arms, tyre.lag)]


def state_matrix(c: Combination, speed: Any) -> NDArray[Any]:
    """State matrix at a speed, (..., k, k), k = 4 and one for each axle that lags."""
    return pieces(c).at(speed)


def least_damped(roots: NDArray[Any]) -> Oscillation:
    """The complex pair with the lowest damping ratio among roots (..., k)."""
    size = np.abs(roots)
    pair = np.abs(roots.imag) > 1e-9 * np.max(size, axis=-1, keepdims=True)
    ratio = np.where(pair, -roots.real / np.where(pair, size, 1.0), 1.0)
    which = np.argmin(ratio, axis=-1)[..., None]
    there = np.take_along_axis(pair, which, axis=-1)[..., 0]
    root = np.take_along_axis(roots, which, axis=-1)[..., 0]
    return Oscillation(
        ratio=np.take_along_axis(ratio, which, axis=-1)[..., 0],
        frequency=np.where(there, np.abs(root.imag), 0.0),
        rate=np.where(there, root.real, np.nan),
    )


def oscillation(c: Combination, speed: Any) -> Oscillation:
    """The least damped oscillation at a speed that broadcasts with the combination."""
    return least_damped(np.linalg.eigvals(pieces(c).at(speed)).astype(complex))


def across(c: Combination, speeds: Array) -> Oscillation:
    """The least damped oscillation at each of S speeds, (..., S)."""
    return Search(c, speeds).across(speeds)


def settled(c: Combination) -> Critical:
    """Critical speeds with everything the combination has, relaxation too.

    Closed forms where the tyres answer at once; else a search of the roots over `GRID`, where inf
    means not up to its end and the lowest speed of the grid means there or lower.
    """
    exact = critical_speeds(c)
    if not c.lagging:
        return exact
    search = Search(c)
    first = search.rises(growth)
    again = search.rises(lambda at: -growth(at), after=first)
    return Critical(oscillatory=first, again=again, divergent=exact.divergent)


def growth(at: Oscillation) -> Array:
    """Growth rate of the least damped oscillation, 1/s; below zero where nothing oscillates."""
    return np.asarray(np.nan_to_num(at.rate, nan=-1.0))


def falling_to(c: Combination, ratio: float) -> Array:
    """Lowest speed on `GRID` at which the damping ratio has fallen to `ratio`, m/s; inf if none."""
    return Search(c).rises(lambda at: ratio - at.ratio)


class Search:
    """Looks over a grid of speeds for where something about the roots changes sign.

    The roots on the grid are found once and serve every question about the same combination.
    """

    def __init__(self, c: Combination, grid: Array = GRID) -> None:
        self.shape, self.grid = c.shape, grid
        parts = pieces(taken(c, ...))
        size = parts.still.shape[-1]
        self._parts = Pieces(
            still=parts.still.reshape(-1, size, size),
            rising=parts.rising.reshape(-1, size, size),
            falling=parts.falling.reshape(-1, size, size),
        )
        self._seen = _over(self._parts, grid)

    def across(self, speeds: Array) -> Oscillation:
        """The least damped oscillation at each of S speeds, (..., S); on the grid it is known."""
        new = np.setdiff1d(speeds, self.grid)
        known = np.concatenate([self.grid, new])
        place = [int(np.argmax(known == u)) for u in speeds]
        seen = self._seen if new.size == 0 else _joined([self._seen, _over(self._parts, new)])
        shape = (*self.shape, len(place))
        return Oscillation(
            ratio=seen.ratio[:, place].reshape(shape),
            frequency=seen.frequency[:, place].reshape(shape),
            rate=seen.rate[:, place].reshape(shape),
        )

    def rises(self, excess: Callable[[Oscillation], Array], after: Array | None = None) -> Array:
        """First speed, past `after` if given, at which `excess` rises above zero, (...), or inf."""
        found = excess(self._seen)
        over = found > 0
        if after is not None:
            over &= self.grid >= np.ravel(after)[:, None]
        some, place = over.any(axis=1), np.argmax(over, axis=1)
        answer = np.where(some, self.grid[place], np.inf)
        todo = np.flatnonzero(some & (place > 0))
        if todo.size:
            low, high = self.grid[place[todo] - 1], self.grid[place[todo]]
            known = found[todo, place[todo] - 1], found[todo, place[todo]]
            if after is not None:
                low = np.maximum(low, np.ravel(after)[todo] * (1.0 + 1e-9))
                known = excess(self._of(todo, low)), known[1]
            answer[todo] = zero_between(
                lambda u, of: excess(self._of(todo[of], u)), low, high, known
            )
        return answer.reshape(self.shape)

    def _of(self, which: NDArray[np.intp], speed: Array) -> Oscillation:
        parts = self._parts
        some = Pieces(
            still=parts.still[which], rising=parts.rising[which], falling=parts.falling[which]
        )
        return _at(some, speed)


def _at(parts: Pieces, speed: Any) -> Oscillation:
    return least_damped(np.linalg.eigvals(parts.at(speed)).astype(complex))


def _over(parts: Pieces, speeds: Array) -> Oscillation:
    """The least damped oscillation of n at each of S speeds, (n, S): some speeds at once, so that
    few elements are quick and many stay in the cache."""
    some = max(1, MATRICES // len(parts.still))
    return _joined(
        [_at(parts, speeds[k : k + some, None]) for k in range(0, len(speeds), some)], turned=True
    )


def _joined(found: list[Oscillation], *, turned: bool = False) -> Oscillation:
    """Oscillations side by side, (n, S), from (n, S) or, turned, (S, n)."""

    def whole(name: str) -> Array:
        each = [getattr(one, name) for one in found]
        return np.concatenate([one.T if turned else one for one in each], axis=1)

    return Oscillation(ratio=whole("ratio"), frequency=whole("frequency"), rate=whole("rate"))


def limits(c: Combination, ratio: float, search: Search | None = None) -> tuple[Critical, Array]:
    """`settled` and `falling_to` from one set of roots, those of `search` if given."""
    exact, search = critical_speeds(c), search or Search(c)
    falls = search.rises(lambda at: ratio - at.ratio)
    if not c.lagging:
        return exact, falls
    first = search.rises(growth)
    never = np.full(c.shape, np.inf)
    return Critical(oscillatory=first, again=never, divergent=exact.divergent), falls


def zero_between(
    f: Callable[[Array, NDArray[np.intp]], Array],
    low: Array,
    high: Array,
    known: tuple[Array, Array] | None = None,
    rounds: int = 14,
) -> Array:
    """Zeros of `f`, below zero at `low` and above at `high`, element by element; all (n,).

    f: of points and of which elements they are; those that have settled are not asked again; known:
    f at `low` and `high`, if it is.
    Illinois method: Dowell & Jarratt, BIT 11 (1971) 168-174.
    """
    todo = np.arange(len(low))
    a, b, found = low, high, high.copy()
    fa, fb = known or (f(low, todo), f(high, todo))
    for _ in range(rounds):
        apart = fb != fa
        x = np.where(apart, (a * fb - b * fa) / np.where(apart, fb - fa, 1.0), a)
        fx = f(x, todo)
        same = fx * fb > 0  # the new point replaces b on its own side, so a's weight is halved
        a, fa = np.where(same, a, b), np.where(same, 0.5 * fa, fb)
        moving = np.abs(x - b) > SETTLED * np.abs(x)
        found[todo] = x
        a, fa, b, fb, todo = a[moving], fa[moving], x[moving], fx[moving], todo[moving]
        if todo.size == 0:
            break
    return found
