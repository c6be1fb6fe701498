"""Where along the speeds something about the least damped oscillation changes.

Where all tyres lag alike, `roots` counts the pairs damped less than a ratio, finds the speed at
which one is, and follows the roots themselves where there are enough rigs to pay for it; what that
leaves open, and all else, is found by eigenvalues.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cached_property
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.rig.felt import SLOWEST
from steelyard.swaying.linear.closed_forms import Critical, critical_speeds
from steelyard.swaying.linear.combination import Combination, flat, taken
from steelyard.swaying.linear.modes import Oscillation, Pieces, least_damped, pieces
from steelyard.swaying.linear.roots import companion, crossing, family, swings_below, swung

FASTEST: Final = 70.0
"""m/s: an instability found by search is looked for up to here."""
GRID: Final = np.geomspace(SLOWEST, FASTEST, 14)
"""Speeds between which a change is looked for: each 18 % above the last, since the model knows a
speed by its reciprocal. Of 590,000 draws of a hundred rigs two passed a ratio of 0.1 or 0 and came
back between two of them; one did where there were 20, none where there were 80."""
MATRICES: Final = 1024
"""State matrices whose roots are found in one call: about 1 MB of them."""
TOGETHER: Final = 8192
"""Polynomials looked at in one call: fewer cost overhead, more leave the cache."""
PAYS: Final = 24
"""Rigs from which following roots is quicker than the eigenvalues of all."""
TRIES: Final = 4
"""Starts tried before the eigenvalues."""
HALVINGS: Final = 40
"""Of a bracket: a 1e-12th of it is left."""


GONE: Final = -1.0
"""Damping ratio of what would tip over."""


def across(c: Combination, speeds: Array) -> Oscillation:
    """The least damped oscillation at each of S speeds, (..., S), `GONE` for what would tip."""
    there = standing(c)
    if there.all():
        return Search(c).across(speeds)
    return among(Search(taken(c, there)).across(speeds), there)


def among(found: Oscillation, there: NDArray[np.bool_]) -> Oscillation:
    """The oscillations of those that stand, among all."""
    return Oscillation(
        ratio=spread_out(found.ratio, there, GONE),
        frequency=spread_out(found.frequency, there, 0.0),
        rate=spread_out(found.rate, there, np.inf),
    )


def standing(c: Combination) -> NDArray[np.bool_]:
    """Which rigs have loads at all, (...): what would tip over has none."""
    return np.asarray(np.isfinite(sum(flat(c))))


def spread_out(found: Array, there: NDArray[np.bool_], tipped: float) -> Array:
    """What was found of those that stand, among all, with a value for those that would tip."""
    every = np.full((*there.shape, *found.shape[1:]), tipped)
    every[there] = found
    return every


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
    first = search.falls(0.0)[0.0]
    return replace(exact, oscillatory=first, again=search.again(first))


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
    """Looks over `GRID` for where the least damped pair passes a damping ratio: at each speed pairs
    that are damped less are counted, and no root is needed. A pair that has grown into two growing
    real roots counts on."""

    def __init__(self, c: Combination) -> None:
        self._c, self._roots = c, Roots(c)

    def across(self, speeds: Array) -> Oscillation:
        """The least damped oscillation at each of S speeds, (..., S)."""
        found = told(self._roots.along(speeds))
        shape = (*self._c.shape, len(speeds))
        return Oscillation(
            ratio=found.ratio.reshape(shape),
            frequency=found.frequency.reshape(shape),
            rate=found.rate.reshape(shape),
        )

    def falls(self, *ratios: float) -> dict[float, Array]:
        """First speeds at which it falls below each of some ratios, (...), or inf."""
        if not ratios:
            return {}
        place, places = np.zeros(self._roots.n, dtype=np.intp), []
        for ratio in sorted(ratios, reverse=True):
            place = self._first(place, ratio, below=True)
            places.append(place)
        at = np.repeat(sorted(ratios, reverse=True), self._roots.n)
        found = self._speeds(np.concatenate(places), at, 0.0, below=True)
        found = found.reshape(len(ratios), *self._c.shape)
        return dict(zip(sorted(ratios, reverse=True), found, strict=True))

    def again(self, first: Array) -> Array:
        """First speed past the `first` that grows at which nothing does any more, or inf; where
        fewer are given than there are rigs, of as many."""
        if not (self._c.lagging or self._c.damped):
            return critical_speeds(self._c).again[: len(first)]
        past = np.ravel(first)
        place = self._first(np.searchsorted(GRID, past), 0.0, below=False)
        found = self._speeds(place, np.zeros(len(past)), past, below=False)
        return found.reshape(np.shape(first))

    def _speeds(
        self, place: NDArray[np.intp], ratio: Array, past: Array | float, *, below: bool
    ) -> Array:
        """Where rigs, all of them over and over, pass a ratio each before a place on the grid and
        past a speed."""
        answer = np.append(GRID, np.inf)[place]
        low = np.maximum(GRID[np.maximum(place, 1) - 1], np.multiply(past, 1.0 + 1e-9))
        todo = np.flatnonzero((place > 0) & (place < len(GRID)))
        for part in _parts(len(todo)):
            k = todo[part]
            answer[k] = self._between(k % self._roots.n, ratio[k], low[k], answer[k], below=below)
        return answer

    def _first(self, place: NDArray[np.intp], ratio: float, *, below: bool) -> NDArray[np.intp]:
        """First place on the grid from one each, (n,), with a pair below a ratio, or with none."""
        last, found = len(GRID), place.copy()
        for part in _parts(len(place)):
            todo = np.arange(len(place))[part][place[part] < last]
            while todo.size:
                ahead = found[todo] + np.arange(min(-(-TOGETHER // todo.size), last))[:, None]
                speed = GRID[np.minimum(ahead, last - 1)]
                there = self._roots.below(todo, speed, ratio) == below
                some = there.any(axis=0)
                found[todo] += np.where(some, np.argmax(there, axis=0), len(ahead))
                todo = todo[~some & (found[todo] < last)]
        return np.minimum(found, last)

    def _between(
        self, which: NDArray[np.intp], ratio: Array, low: Array, high: Array, *, below: bool
    ) -> Array:
        """Where some rigs pass a ratio each, between two speeds each."""
        found, sure = self._roots.crossing(which, ratio, low, high)
        left = np.flatnonzero(~sure)
        if left.size:
            those, at = which[left], ratio[left]
            found[left] = turning(
                lambda u: self._roots.below(those, u, at) == below, low[left], high[left]
            )
        return found


class Roots:
    """Roots of the least damped oscillation of n rigs, NaN where none swings."""

    def __init__(self, c: Combination) -> None:
        self._c, self.n = c, math.prod(c.shape)
        self._family = family(c)
        self._size = np.ones(self.n)

    def along(self, grid: Array) -> NDArray[Any]:
        """At each speed of a grid, (n, S)."""
        if self._family is None or self.n < PAYS or not len(grid):
            return self._all(grid)
        whole = np.empty((self.n, len(grid)), dtype=complex)
        best, near = self.plain(np.zeros(1, np.intp), grid), np.ones((self.n, 1))
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
        self._size = np.where(np.isfinite(whole[:, -1]), np.abs(whole[:, -1]), 1.0)
        return whole

    def at(self, which: NDArray[np.intp], speed: Array, start: NDArray[Any]) -> NDArray[Any]:
        """Of some rigs at a speed each, from a start each."""
        if self._family is None or self.n < PAYS:
            return self.plain(which, speed)
        found = np.empty(len(which), dtype=complex)
        for part in _parts(len(which)):
            some = self._family.of(which[part])
            rate, poly = some.rate(speed[part]), some.at(speed[part])
            z, sure = swung(poly, start[part] / rate)
            self._again(poly, z, sure)
            left = np.flatnonzero(~sure)
            if left.size:
                z[left] = self.plain(which[part][left], speed[part][left]) / rate[left]
            found[part] = z * rate
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

    def below(
        self, which: NDArray[np.intp], speed: Array, ratio: Array | float
    ) -> NDArray[np.bool_]:
        """Whether a pair of some rigs (n,) is damped less than a ratio, at speeds (..., n)."""
        if self._family is None:
            return np.asarray(told(self.plain(which, speed)).ratio < ratio)
        found, clear = swings_below(self._family.of(which).at(speed), ratio)
        if not clear.all():
            left = np.nonzero(~clear)
            least = told(self.plain(which[left[-1]], speed[left])).ratio
            found[left] = least < np.broadcast_to(ratio, found.shape)[left]
        return found

    def crossing(
        self, which: NDArray[np.intp], ratio: Array, low: Array, high: Array
    ) -> tuple[Array, NDArray[np.bool_]]:
        """Where the least damped pair of some rigs has a ratio each, between two speeds each, and
        where that is sure: from the root of the first asked for its ratio, then from each one's
        own."""
        found, sure = high.copy(), np.zeros(len(which), dtype=bool)
        for own in (False, True):
            left = np.flatnonzero(~sure)
            if self._family is None or not left.size:
                break
            some, speed = self._family.of(which[left]), 0.5 * (low + high)[left]
            lead = np.arange(len(left))
            if not own:
                lead = np.searchsorted(-ratio[left], -ratio[left])
            size, those = self._size[which[left]], np.unique(lead)
            near = np.abs(self.plain(which[left[those]], high[left[those]])) / size[those]
            size = size * near[np.searchsorted(those, lead)]
            u, right = crossing(some, ratio[left], size / some.rate(speed), speed)
            right &= (low[left] <= u) & (u <= high[left])
            found[left], sure[left] = np.where(right, u, high[left]), right
        return found, sure

    def _all(self, grid: Array) -> NDArray[Any]:
        """By eigenvalues, some speeds at once, so that few rigs are quick and many stay in the
        cache."""
        some = max(1, MATRICES // self.n)
        every = np.arange(self.n)
        columns = [
            self.plain(every[None, :], grid[k : k + some, None]) for k in range(0, len(grid), some)
        ]
        return np.concatenate(columns).T if columns else np.empty((self.n, 0), dtype=complex)

    def plain(self, which: NDArray[np.intp], speed: Array) -> NDArray[Any]:
        """By eigenvalues."""
        which, speed = np.broadcast_arrays(which, speed)
        found = least_damped(self._eigenvalues(which.ravel(), speed.ravel()))
        return np.asarray(found.rate + 1j * found.frequency).reshape(which.shape)

    def _eigenvalues(self, which: NDArray[np.intp], speed: Array) -> NDArray[Any]:
        """Of the polynomials' companions, else of the state matrices, (n, k)."""
        if self._family is None:
            return np.linalg.eigvals(self._pieces.of(which).at(speed)).astype(complex)
        some = self._family.of(which)
        found = np.linalg.eigvals(companion(some.at(speed))).astype(complex)
        return np.asarray(found * some.rate(speed)[:, None])

    @cached_property
    def _pieces(self) -> Pieces:
        return pieces(self._c)


def _parts(n: int) -> Iterator[slice]:
    """Of n rigs, as many as stay in the cache."""
    return (slice(k, k + TOGETHER) for k in range(0, n, TOGETHER))


def told(root: NDArray[Any]) -> Oscillation:
    """The oscillation of a root in the upper half-plane, NaN where nothing swings."""
    there = ~np.isnan(root.real)
    size = np.where(there, np.abs(root), 1.0)
    return Oscillation(
        ratio=np.where(there, -root.real / size, 1.0),
        frequency=np.where(there, root.imag, 0.0),
        rate=root.real.copy(),
    )


def limits(
    c: Combination, ratio: float | None, search: Search | None = None
) -> tuple[Critical, Array]:
    """`settled`, but for where it calms again, and the lowest speed on `GRID` at which the damping
    ratio has fallen to `ratio`, m/s, inf if none, NaN if none is asked for; by `search` if given.
    """
    exact, search = critical_speeds(c), search or Search(c)
    ratios = set[float]() if ratio is None else {ratio}
    searched = c.lagging or c.damped
    found = search.falls(*ratios, *({0.0} - ratios if searched else ()))
    fallen = np.full(c.shape, np.nan) if ratio is None else found[ratio]
    if not searched:
        return exact, fallen
    never = np.full(c.shape, np.inf)
    return replace(exact, oscillatory=found[0.0], again=never), fallen


def turning(there: Callable[[Array], NDArray[np.bool_]], low: Array, high: Array) -> Array:
    """Where something that is not so at `low` becomes so before `high`, (n,), by bisection."""
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        so = there(middle)
        low, high = np.where(so, low, middle), np.where(so, middle, high)
    return high
