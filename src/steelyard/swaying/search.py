"""Where along the speeds something about the least damped oscillation changes.

Roots are followed from speed to speed by `roots` where all tyres lag alike and there are enough
rigs to pay for it; what that leaves open, and all else, is found by eigenvalues.
"""

from collections.abc import Callable
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.rig.felt import SLOWEST
from steelyard.swaying.closed_forms import Critical, critical_speeds
from steelyard.swaying.combination import Combination, taken
from steelyard.swaying.modes import Oscillation, Pieces, least_damped, pieces
from steelyard.swaying.roots import family, swung

FASTEST: Final = 70.0
"""m/s: an instability found by search is looked for up to here."""
GRID: Final = np.linspace(SLOWEST, FASTEST, 32)
"""Speeds between which a change is looked for: every 2 m/s."""
MATRICES: Final = 1024
"""State matrices whose roots are found in one call: about 1 MB of them."""
TOGETHER: Final = 3072
"""Roots followed in one call: fewer cost overhead, more leave the cache."""
PAYS: Final = 24
"""Rigs from which following roots is quicker than the eigenvalues of all."""
TRIES: Final = 4
"""Starts tried before the eigenvalues."""
FEW: Final = 8
"""A part of so many rigs is few of them."""
SETTLED: Final = 1e-10
"""Relative step at which a search for a zero ends."""


def across(c: Combination, speeds: Array) -> Oscillation:
    """The least damped oscillation at each of S speeds, (..., S)."""
    return Search(c, speeds).across(speeds)


def settled(c: Combination) -> Critical:
    """Critical speeds with everything the combination has, relaxation too.

    Closed forms where the tyres answer at once and nothing damps the coupling; else a search of
    the roots over `GRID`, where inf means not up to its end and the lowest speed of the grid means
    there or lower.
    """
    exact = critical_speeds(c)
    if not (c.lagging or c.damped):
        return exact
    search = Search(c)
    first = search.rises(growth)
    again = search.rises(lambda at: -growth(at), after=first)
    return Critical(oscillatory=first, again=again, divergent=exact.divergent)


def growth(at: Oscillation) -> Array:
    """Growth rate of the least damped oscillation, 1/s; below zero where nothing oscillates."""
    return np.asarray(np.nan_to_num(at.rate, nan=-1.0))


def ratio_at(c: Combination, speed: Any) -> Array:
    """Damping ratio of the least damped oscillation at a speed, (...); NaN where an axle carries
    nothing."""
    with np.errstate(all="ignore"):
        fine = np.isfinite(c.Cf * c.Cr * sum(c.stiffness)) & (c.Cf > 0) & (c.Cr > 0)
    fine = np.broadcast_to(fine, c.shape)
    found, there = np.full(c.shape, np.nan), np.argwhere(fine)
    at = np.broadcast_to(speed, c.shape)[fine]
    for start in range(0, len(there), TOGETHER):
        part = slice(start, start + TOGETHER)
        index = tuple(there[part].T)
        roots = Roots(taken(c, index))
        first = Roots(taken(c, tuple(there[start : start + 1].T))).along(at[start : start + 1])
        each = np.arange(roots.n)
        found[index] = told(roots.at(each, at[part], np.full(roots.n, first[0, 0]))).ratio
    return found


class Search:
    """Looks over a grid of speeds for where something about the roots changes sign.

    The roots on the grid are found once and serve every question about the same combination.
    """

    def __init__(self, c: Combination, grid: Array = GRID) -> None:
        self.shape, self.grid = c.shape, np.unique(np.asarray(grid, dtype=float))
        self._roots = Roots(taken(c, ...) if c.shape else taken(c, None))
        self._known = self._roots.along(self.grid)
        self._seen = told(self._known)

    def across(self, speeds: Array) -> Oscillation:
        """The least damped oscillation at each of S speeds, (..., S); on the grid it is known."""
        everyone = np.arange(len(self._known))
        columns = [self._column(everyone, float(u)) for u in speeds]
        found = told(np.stack(columns, axis=1)) if columns else told(self._known[:, :0])
        shape = (*self.shape, len(columns))
        return Oscillation(
            ratio=found.ratio.reshape(shape),
            frequency=found.frequency.reshape(shape),
            rate=found.rate.reshape(shape),
        )

    def _column(self, everyone: NDArray[np.intp], speed: float) -> NDArray[Any]:
        place = np.flatnonzero(self.grid == speed)
        if place.size:
            return self._known[:, place[0]]
        return self._root(everyone, np.full(len(everyone), speed))

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
        return told(self._root(which, speed))

    def _root(self, which: NDArray[np.intp], speed: Array) -> NDArray[Any]:
        """Roots of some rigs at a speed each, started between those of the speeds about it."""
        high = np.clip(np.searchsorted(self.grid, speed), 1, max(len(self.grid) - 1, 1))
        high = np.minimum(high, len(self.grid) - 1)
        low = np.maximum(high - 1, 0)
        apart = self.grid[high] - self.grid[low]
        share = (speed - self.grid[low]) / np.where(apart > 0, apart, 1.0)
        first, last = self._known[which, low], self._known[which, high]
        return self._roots.at(which, speed, first + share * (last - first))


class Roots:
    """Roots of the least damped oscillation of n rigs, NaN where none swings."""

    def __init__(self, c: Combination) -> None:
        flat = taken(c, ...)
        self._c = taken(flat, tuple(np.unravel_index(np.arange(int(np.prod(c.shape))), c.shape)))
        self.n = self._c.shape[0]
        self._family = family(self._c) if self.n >= PAYS else None
        self._pieces: Pieces | None = None

    def along(self, grid: Array) -> NDArray[Any]:
        """At each speed of a grid, (n, S)."""
        if self._family is None:
            return self._all(grid)
        whole = np.empty((self.n, len(grid)), dtype=complex)
        best, near = self._plain(np.zeros(1, np.intp), grid), np.ones((self.n, 1))
        some = max(1, TOGETHER // self.n)
        for k in range(0, len(grid), some):
            part = slice(k, k + some)
            start = near * best[part]
            each = np.repeat(np.arange(self.n), start.shape[1])
            speed = np.tile(grid[part], self.n)
            whole[:, part] = self.at(each, speed, start.ravel()).reshape(start.shape)
            last = part.start + start.shape[1] - 1
            with np.errstate(divide="ignore", invalid="ignore"):
                near = whole[:, last : last + 1] / best[last]
            near = np.where(np.isfinite(near), near, 1.0)
        return whole

    def at(self, which: NDArray[np.intp], speed: Array, start: NDArray[Any]) -> NDArray[Any]:
        """Of some rigs at a speed each, from a start each."""
        if self._family is None:
            return self._plain(which, speed)
        some = self._family.of(which)
        rate = some.rate(speed)
        poly = some.at(speed)
        z, sure = swung(poly, start / rate)
        self._again(poly, z, sure)
        found = z * rate
        left = np.flatnonzero(~sure)
        if left.size:
            found[left] = self._plain(which[left], speed[left])
        return found

    def _again(self, poly: Array, z: NDArray[Any], sure: Any) -> None:
        """Those that followed another swing than the least damped, from the swings of one of
        them: where one overtakes another, most do so alike."""
        for _ in range(TRIES):
            left = np.flatnonzero(~sure)
            if left.size < PAYS:
                return
            one = np.roots(poly[:, left[len(left) // 2]])
            pairs = one[one.imag > 1e-6 * np.abs(one)]
            if pairs.size == 0:
                return
            least = pairs[np.argmin(-pairs.real / np.abs(pairs))]
            new, found = swung(poly[:, left], np.full(left.size, least))
            z[left] = np.where(found, new, z[left])
            sure[left] = found

    def _all(self, grid: Array) -> NDArray[Any]:
        """By eigenvalues, some speeds at once, so that few rigs are quick and many stay in the
        cache."""
        some = max(1, MATRICES // self.n)
        every = np.arange(self.n)
        columns = [
            self._plain(every[None, :], grid[k : k + some, None]) for k in range(0, len(grid), some)
        ]
        return np.concatenate(columns).T

    def _plain(self, which: NDArray[np.intp], speed: Array) -> NDArray[Any]:
        """By eigenvalues; a few of many rigs do not build the matrices of all."""
        those, place = np.unique(which, return_inverse=True)
        if self._pieces is None and len(those) * FEW < self.n:
            parts, at = pieces(taken(self._c, (those,))), place.reshape(which.shape)
        else:
            self._pieces = parts = self._pieces or pieces(self._c)
            at = which
        some = Pieces(still=parts.still[at], rising=parts.rising[at], falling=parts.falling[at])
        found = least_damped(np.linalg.eigvals(some.at(speed)).astype(complex))
        return np.asarray(found.rate + 1j * found.frequency)


def told(root: NDArray[Any]) -> Oscillation:
    """The oscillation of a root in the upper half-plane, NaN where nothing swings."""
    there = ~np.isnan(root.real)
    size = np.where(there, np.abs(root), 1.0)
    return Oscillation(
        ratio=np.where(there, -root.real / size, 1.0),
        frequency=np.where(there, root.imag, 0.0),
        rate=root.real.copy(),
    )


def limits(c: Combination, ratio: float, search: Search | None = None) -> tuple[Critical, Array]:
    """`settled`, and the lowest speed on `GRID` at which the damping ratio has fallen to `ratio`,
    m/s, inf if none: from one set of roots, those of `search` if given."""
    exact, search = critical_speeds(c), search or Search(c)
    falls = search.rises(lambda at: ratio - at.ratio)
    if not (c.lagging or c.damped):
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
