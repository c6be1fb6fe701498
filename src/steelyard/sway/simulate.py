"""Running a rig through a disturbance, alone or by thousands."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.sway.inputs import Disturbance, steps
from steelyard.sway.machine import Machine, parameters
from steelyard.sway.motion import INPUTS, PARAMETERS, PARTS, STATES, advanced

STEP: Final = 0.01
"""s: the longest step of one run, half of a batch's: errors under 1e-6 and 1e-4 of the swing."""
BLOCK: Final = 512
"""Runs between two calls of the progress callback."""
FOLDED: Final = 1.5
"""rad: a rig folded this far has jackknifed, and its run is over."""
Engine = Literal["numpy", "numba"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """One run: times (M + 1,) s and states (12, M + 1) by `motion.STATES`."""

    times: Array
    states: Array

    def of(self, name: str) -> Array:
        """One state over time, such as `angle` (rad) or `y` (m)."""
        return np.asarray(self.states[STATES.index(name)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """Many runs: `times` (T,) and articulation `angle` (n, T) kept at them, rad; its greatest size
    `peak` (n,), the greatest sideways travel `aside` (n,) m, and which `folded` (n,)."""

    times: Array
    angle: Array
    peak: Array
    aside: Array
    folded: Array


def start(machine_parameters: Array, speed: Any, angle: Any = 0.0, rate: Any = 0.0) -> Array:
    """States (12, n) running straight at `speed`, perhaps with the trailer already swung."""
    n = machine_parameters.shape[1]
    x = np.zeros((len(STATES), n))
    x[STATES.index("u")] = speed
    x[STATES.index("angle")] = angle
    x[STATES.index("rate")] = rate
    return x


def run(
    machine: Machine,
    speed: float,
    disturbance: Disturbance,
    lasting: float = 10.0,
    step: float = STEP,
    engine: Engine = "numpy",
    angle: float = 0.0,
) -> Trace:
    """One rig through a disturbance at `speed` m/s; steps land on the disturbance's corners."""
    _forward(speed)
    p = parameters(machine)
    times = steps(disturbance, lasting, step)
    q = disturbance.at(times)
    x = start(p, speed, angle)
    out = np.empty((len(STATES), len(times)))
    if engine == "numba":
        _one()(p[:, 0].copy(), x[:, 0].copy(), times, q, out)
    else:
        _plainly(p, x, times, q[:, :, None], lambda place, now: _keep(out, place, now))
    return Trace(times=times, states=out)


def _keep(out: Array, place: int, now: tuple[Array, ...]) -> None:
    out[:, place] = [float(np.ravel(part)[0]) for part in now]


def _forward(speed: Any) -> None:
    least = float(np.min(speed))
    if not least > 0:
        raise ValueError(f"expected a speed above zero, found {least:g} m/s")


def batch(
    machine: Machine,
    speed: Any,
    disturbance: Disturbance,
    scale: Any = 1.0,
    lasting: float = 10.0,
    step: float = 2 * STEP,
    every: int = 10,
    engine: Engine = "numpy",
    progress: Callable[[int, int], None] | None = None,
) -> Runs:
    """n runs, one for each of the machine's elements, the disturbance times `scale` (n,) in each.

    every: steps between kept points; progress: called with runs done and all runs. `numba` needs
    the extra of that name, compiles at its first call in a process and runs on all cores.
    """
    _forward(speed)
    p = parameters(machine)
    shape = np.broadcast_shapes(p.shape[1:], np.shape(speed), np.shape(scale))
    n = shape[0]
    p = np.ascontiguousarray(np.broadcast_to(p, (len(PARAMETERS), n)))
    x = start(p, np.broadcast_to(speed, (n,)))
    size = np.ascontiguousarray(np.broadcast_to(np.asarray(scale, dtype=float), (n,)))
    times = steps(disturbance, lasting, step)
    q = disturbance.at(times)
    angle = np.empty((n, (len(times) - 1) // every + 1))
    most = np.empty((2, n))
    for first in range(0, n, BLOCK):
        part = slice(first, min(first + BLOCK, n))
        if engine == "numba":
            _many()(
                p[:, part].T.copy(),
                x[:, part].T.copy(),
                times,
                q,
                size[part],
                every,
                angle[part],
                most[:, part],
            )
        else:
            _block(p[:, part], x[:, part], times, q, size[part], every, angle[part], most[:, part])
        if progress is not None:
            progress(part.stop, n)
    return Runs(
        times=times[::every],
        angle=angle,
        peak=most[0],
        aside=most[1],
        folded=most[0] >= FOLDED,
    )


def _block(
    p: Array, x: Array, times: Array, q: Array, size: Array, every: int, angle: Array, most: Array
) -> None:
    """A block of runs in NumPy, side by side."""
    most[:] = 0.0

    def keep(place: int, now: tuple[Array, ...]) -> None:
        np.maximum(most[0], np.abs(now[3]), out=most[0])
        np.maximum(most[1], np.abs(now[6]), out=most[1])
        if place % every == 0:
            angle[:, place // every] = now[3]

    _plainly(p, x, times, q[:, :, None] * size, keep)


def _plainly(
    p: Array,
    x: Array,
    times: Array,
    q: Array,
    keep: Callable[[int, tuple[Array, ...]], None],
) -> None:
    """The time loop in NumPy over p (39, n), x (12, n), q (M + 1, 7, n); a folded run stands."""
    now = tuple(x)
    keep(0, now)
    for place in range(len(times) - 1):
        h = times[place + 1] - times[place]
        middle = 0.5 * (q[place] + q[place + 1])
        new = advanced(now, p, q[place], middle, q[place + 1], h)
        over = np.abs(now[3]) >= FOLDED
        now = tuple(np.where(over, old, one) for old, one in zip(now, new, strict=True))
        keep(place + 1, now)


@cache
def _step() -> Any:
    """`advanced`, compiled. Numba is imported here and nowhere else."""
    from numba import njit
    from numba.extending import register_jitable

    for part in PARTS[:-1]:
        register_jitable(error_model="numpy")(part)
    return njit(error_model="numpy", inline="never")(advanced)


@cache
def _one() -> Any:
    from numba import njit

    step = _step()
    count, width = len(STATES), len(INPUTS)

    def loop(p: Any, x: Any, times: Any, q: Any, out: Any) -> None:
        middle = np.empty(width)
        now = (x[0], x[1], x[2], x[3], x[4], x[5], x[6], x[7], x[8], x[9], x[10], x[11])
        for place in range(len(times)):
            for i in range(count):
                out[i, place] = now[i]
            if place + 1 < len(times) and abs(now[3]) < FOLDED:
                for i in range(width):
                    middle[i] = 0.5 * (q[place, i] + q[place + 1, i])
                h = times[place + 1] - times[place]
                now = step(now, p, q[place], middle, q[place + 1], h)

    return njit(error_model="numpy")(loop)


@cache
def _many() -> Any:
    from numba import njit, prange

    step = _step()
    width = len(INPUTS)

    def single(p: Any, x: Any, times: Any, q: Any, size: Any, every: Any, angle: Any) -> Any:
        a, b, middle = np.empty(width), np.empty(width), np.empty(width)
        now = (x[0], x[1], x[2], x[3], x[4], x[5], x[6], x[7], x[8], x[9], x[10], x[11])
        peak = aside = 0.0
        for place in range(len(times)):
            peak, aside = max(peak, abs(now[3])), max(aside, abs(now[6]))
            if place % every == 0:
                angle[place // every] = now[3]
            if place + 1 < len(times) and abs(now[3]) < FOLDED:
                for i in range(width):
                    a[i], b[i] = size * q[place, i], size * q[place + 1, i]
                    middle[i] = 0.5 * (a[i] + b[i])
                now = step(now, p, a, middle, b, times[place + 1] - times[place])
        return peak, aside

    alone = njit(error_model="numpy")(single)

    def loop(
        p: Any, x: Any, times: Any, q: Any, size: Any, every: Any, angle: Any, most: Any
    ) -> None:
        for i in prange(len(p)):
            peak, aside = alone(p[i], x[i], times, q, size[i], every, angle[i])
            most[0, i] = peak
            most[1, i] = aside

    return njit(parallel=True, error_model="numpy")(loop)


def damping_of(times: Array, swing: Array, peaks: int = 6) -> tuple[float, float]:
    """Damping ratio and frequency (rad/s) of a free swing from its successive peaks.

    Half-cycle peak ratio r = exp(pi D/sqrt(1 - D^2)), so D = ln r/sqrt(pi^2 + ln^2 r): exact for
    one decaying sinusoid about zero. NaN where fewer than three peaks are there.
    """
    inner = np.flatnonzero((np.diff(swing[:-1]) * np.diff(swing[1:])) < 0) + 1
    if len(inner) < 3:
        return float("nan"), float("nan")
    at, size = _vertices(times, swing, inner[:peaks])
    steps_between = np.abs(np.diff(size))
    log = float(np.mean(np.log(steps_between[:-1] / steps_between[1:]))) if len(size) > 2 else 0.0
    return log / float(np.hypot(np.pi, log)), float(np.pi / np.mean(np.diff(at)))


def _vertices(times: Array, swing: Array, inner: NDArray[np.intp]) -> tuple[Array, Array]:
    """Time and size of each peak from the parabola through it and its neighbours."""
    before, here, after = (swing[inner + k] for k in (-1, 0, 1))
    step = times[inner + 1] - times[inner]
    bend = before - 2 * here + after
    shift = 0.5 * (before - after) / bend
    return times[inner] + shift * step, here - 0.25 * (before - after) * shift
