"""Where in a recording a swing was left to itself: after an excitation, before the next; and where
one grew without any."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array

SMOOTH: Final = 0.12
"""s: a running mean of this width tames noise before peaks are looked for."""
SLOW: Final = 4.0
"""s: what a running mean of this width keeps is taken as bends and drift, for looking only."""
QUICKEST: Final = 0.25
SLOWEST: Final = 3.0
"""s: half a swing lasts between these (2 Hz to 0.17 Hz)."""
GROWN: Final = 1.15
"""A half-swing this much larger than the one before it was pushed."""
CLEAR: Final = 5.0
"""The greatest half-swing over the quiet level."""
SEEN: Final = 2.0
"""The least half-swing that counts, over the quiet level."""
FEWEST_GROWING: Final = 5
"""Half-swings in a row from which a growth is no push: one drives two or three."""
GROWTH: Final = 1.25
"""Last half-swing over the first in a growth, at least."""
DIP: Final = 0.92
"""A half-swing under this share of the one before it ends a growth (noise lets some shrink)."""
FULL: Final = 0.85
"""Share of the greatest half-swing at which a growth is over: tyres that let go hold it there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A stretch of free swing: places of its first and last sample, its `half` swing in s, and
    whether its half-swings grow."""

    first: int
    last: int
    half: float
    grows: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Lobes:
    """Half-swings in time order: when they peak, how far, and when they cross zero after it."""

    peak: Array
    size: Array
    end: Array


def gaps(times: Array) -> NDArray[np.intp]:
    """Places k of steps times[k] to times[k + 1] that are far longer than the others."""
    steps = np.diff(times)
    return np.flatnonzero(steps > max(4.0 * float(np.median(steps)), 0.3))


def windows(times: Array, swing: Array) -> list[Window]:
    """Stretches of free swing: from the zero after the greatest half-swing on, so that what pushed
    is over, for as long as half-swings shrink, keep their time and can be seen; and stretches whose
    half-swings grow in step. Never over a gap.
    """
    cuts = [0, *(int(k) + 1 for k in gaps(times)), len(times)]
    parts = [slice(a, b) for a, b in pairwise(cuts) if b - a >= 12]
    looked = [_banded(times[part], swing[part]) for part in parts]
    if not looked:
        return []
    quiet = _quiet([x for _, x in looked])
    found = []
    for part, (at, x) in zip(parts, looked, strict=True):
        lobes = _lobes(at, x, quiet)
        grown = list(_growing(lobes, quiet))
        for (start, end, half), grows in _apart(grown, list(_free(lobes, quiet, float(at[-1])))):
            first, last = (part.start + int(k) for k in np.searchsorted(times[part], (start, end)))
            found.append(Window(first=first, last=last, half=half, grows=grows))
    return sorted(found, key=lambda one: one.first)


Stretch = tuple[float, float, float]


def _apart(grown: list[Stretch], free: list[Stretch]) -> list[tuple[Stretch, bool]]:
    """All stretches and whether they grow; of two on the same swings the longer, which does."""
    kept = list[tuple[Stretch, bool]]()
    for one in sorted([*grown, *free], key=lambda one: one[0] - one[1]):
        if not any(_same(one, other) for other, _ in kept):
            kept.append((one, any(_same(one, other) for other in grown)))
    return kept


def _same(one: Stretch, other: Stretch) -> bool:
    """Whether the shorter of two stretches lies mostly in the other."""
    shared = min(one[1], other[1]) - max(one[0], other[0])
    return shared > 0.5 * min(one[1] - one[0], other[1] - other[0])


def _banded(times: Array, swing: Array) -> tuple[Array, Array]:
    """Evenly spaced times and the swing there, smoothed, what is slow taken off."""
    step = float(np.median(np.diff(times)))
    at = np.arange(times[0], times[-1] + 0.5 * step, step)
    x = np.interp(at, times, swing)
    return at, running_mean(x, SMOOTH / step) - running_mean(x, SLOW / step)


def running_mean(x: Array, width: float) -> Array:
    """Mean over `width` samples about each; over fewer at the ends."""
    reach = int(width // 2)
    total = np.concatenate([[0.0], np.cumsum(x)])
    place = np.arange(len(x))
    low, high = np.maximum(place - reach, 0), np.minimum(place + reach + 1, len(x))
    return np.asarray((total[high] - total[low]) / (high - low))


def _quiet(looked: list[Array]) -> float:
    """Level of the calmest fifth of the recording, at most a tenth of the greatest swing."""
    whole = np.concatenate(looked)
    blocks = np.array_split(whole, max(len(whole) // 40, 1))
    calm = float(np.quantile([np.sqrt(np.mean(block**2)) for block in blocks], 0.2))
    return max(min(calm, 0.1 * float(np.max(np.abs(whole)))), 1e-12)


def _lobes(at: Array, x: Array, quiet: float) -> Lobes:
    """Half-swings between changes of sign that pass the quiet level on both sides."""
    sure = np.flatnonzero(np.abs(x) > quiet)
    turns = np.flatnonzero(np.diff(np.sign(x[sure])) != 0)
    edges = np.concatenate([[0], sure[turns + 1], [len(x)]]).astype(np.intp)
    rows = [_lobe(at, x, int(a), int(b)) for a, b in pairwise(edges) if b > a]
    peak, size, end = np.array(rows).T
    return Lobes(peak=peak, size=size, end=end)


def _lobe(at: Array, x: Array, first: int, past: int) -> tuple[float, float, float]:
    top = first + int(np.argmax(np.abs(x[first:past])))
    other = np.flatnonzero(np.sign(x[top : past + 1]) == -np.sign(x[top]))
    end = top + int(other[0]) if other.size else min(past, len(x) - 1)
    return float(at[top]), float(abs(x[top])), float(at[end])


def _free(lobes: Lobes, quiet: float, close: float) -> Iterator[tuple[float, float, float]]:
    """Start, end and half-swing time of each run of at least three shrinking half-swings."""
    size, k = lobes.size, 0
    while k < len(size):
        while k + 1 < len(size) and size[k + 1] > size[k] and _near(lobes, k):
            k += 1
        last = _run(lobes, k, quiet)
        if last - k >= 2 and size[k] > CLEAR * quiet:
            half = float(np.median(np.diff(lobes.peak[k : last + 1])))
            yield float(lobes.end[k]), _end(lobes, last, half, close), half
        k = max(last, k + 1)


def _growing(lobes: Lobes, quiet: float) -> Iterator[Stretch]:
    """Start, end and half-swing time of each run of half-swings that grow in step."""
    k = 0
    while k < len(lobes.size):
        last = _climb(lobes, k, quiet)
        size = lobes.size[k : last + 1]
        top = k + int(np.argmax(size >= FULL * np.max(size)))
        if top - k + 1 >= FEWEST_GROWING and _grew(lobes.size[k : top + 1], quiet):
            half = float(np.median(np.diff(lobes.peak[k : top + 1])))
            past = top - 1 if top - k >= FEWEST_GROWING else top  # the last may be held already
            yield float(lobes.end[k]), float(lobes.end[past]), half
        k = max(last, k + 1)


def _climb(lobes: Lobes, k: int, quiet: float) -> int:
    """Last half-swing of the run from k that keeps its time and hardly ever shrinks."""
    last, steps = k, list[float]()
    while last + 1 < len(lobes.size) and lobes.size[last] >= SEEN * quiet:
        step = float(lobes.peak[last + 1] - lobes.peak[last])
        usual = float(np.median(steps)) if steps else step
        if not QUICKEST <= step <= SLOWEST or not 0.7 < step / usual < 1.4:
            break
        if lobes.size[last + 1] < DIP * lobes.size[last]:
            break
        steps.append(step)
        last += 1
    return last


def _grew(size: Array, quiet: float) -> bool:
    """Whether half-swings grew as one motion does: enough, out of the noise, without a jump that
    makes more of it than all the rest."""
    whole = float(np.log(size[-1] / size[0]))
    jump = float(np.max(np.diff(np.log(size))))
    enough = whole > np.log(GROWTH) and size[-1] > CLEAR * quiet
    return bool(enough and jump < 0.6 * whole)


def _near(lobes: Lobes, k: int) -> bool:
    return bool(lobes.peak[k + 1] - lobes.peak[k] < SLOWEST)


def _run(lobes: Lobes, k: int, quiet: float) -> int:
    """Last half-swing of the run that starts at k."""
    last, steps = k, list[float]()
    while last + 1 < len(lobes.size):
        step = float(lobes.peak[last + 1] - lobes.peak[last])
        usual = float(np.median(steps)) if steps else step
        size, before = lobes.size[last + 1], lobes.size[last]
        if not QUICKEST <= step <= SLOWEST or not 0.55 < step / usual < 1.8:
            break
        if size > GROWN * before or size < SEEN * quiet:
            break
        steps.append(step)
        last += 1
    return last


def _end(lobes: Lobes, last: int, half: float, close: float) -> float:
    """A whole swing past the last half-swing, but before the next push shows."""
    end = min(float(lobes.peak[last]) + 2.0 * half, close)
    for k in range(last + 1, len(lobes.size)):
        if lobes.size[k] > GROWN * lobes.size[last]:
            return max(min(end, float(lobes.peak[k]) - 1.5 * half), float(lobes.peak[last]))
        if lobes.peak[k] > end + 2.0 * half:
            break
    return end
