"""Running a rig through a disturbance, alone or by thousands."""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal

import numpy as np

from steelyard.estimate import Array
from steelyard.fault import FaultError
from steelyard.statics.compiled_caches import drop_old
from steelyard.swaying.time import motion
from steelyard.swaying.time.inputs import Disturbance, steps
from steelyard.swaying.time.machine import Machine, parameters

STEP: Final = 0.0125
"""s: the longest step of one run: errors under a millionth of the swing."""
COARSE: Final = 0.02
"""s: of a batch's, whose steps are never parted where dry friction turns: under 1e-3 of the swing
with friction, 1e-5 without."""
BLOCK: Final = 512
"""Runs between two calls of the progress callback."""
Engine = Literal["numpy", "numba"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """One run: times (M + 1,) s and states (12, M + 1) by `motion.STATES`."""

    times: Array
    states: Array

    def of(self, name: str) -> Array:
        """One state over time, such as `angle` (rad) or `y` (m)."""
        return np.asarray(self.states[motion.STATES.index(name)])


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
    x = np.zeros((len(motion.STATES), n))
    x[motion.STATES.index("u")] = speed
    x[motion.STATES.index("angle")] = angle
    x[motion.STATES.index("rate")] = rate
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
    out = np.empty((len(times), len(motion.STATES)))
    if engine == "numba":
        compiled(motion.alone)(p[:, 0].copy(), x[:, 0].copy(), times, q, out)
    else:
        motion.alone(p[:, 0].tolist(), x[:, 0].tolist(), times.tolist(), q.tolist(), out)
    return Trace(times=times, states=out.T)


def _forward(speed: Any) -> None:
    least = float(np.min(speed))
    if not least > 0:
        raise FaultError(due="a speed above zero", found=f"{least:g} m/s")


def batch(
    machine: Machine,
    speed: Any,
    disturbance: Disturbance,
    scale: Any = 1.0,
    lasting: float = 10.0,
    step: float = COARSE,
    every: int = 10,
    engine: Engine = "numpy",
    progress: Callable[[int, int], None] | None = None,
) -> Runs:
    """n runs, one for each of the machine's elements, the disturbance times `scale` (n,) in each.

    every: steps between kept points; progress: called with runs done and all runs. `numba` needs
    the extra of that name, compiles at its first call ever and runs on all cores.
    """
    _forward(speed)
    p = parameters(machine)
    shape = np.broadcast_shapes(p.shape[1:], np.shape(speed), np.shape(scale))
    n = shape[0]
    p = np.ascontiguousarray(np.broadcast_to(p, (len(motion.PARAMETERS), n)))
    x = start(p, np.broadcast_to(speed, (n,)))
    size = np.ascontiguousarray(np.broadcast_to(np.asarray(scale, dtype=float), (n,)))
    times = steps(disturbance, lasting, step)
    q = disturbance.at(times)
    angle = np.empty((n, (len(times) - 1) // every + 1))
    most = np.empty((2, n))
    block = _block
    if engine == "numba":
        block = _compiled_block
        compiled(motion.together)  # before there are threads
    parts = [slice(first, min(first + BLOCK, n)) for first in range(0, n, BLOCK)]

    def through(part: slice) -> int:
        block(p[:, part], x[:, part], times, q, size[part], every, angle[part], most[:, part])
        return int(part.stop)

    with ThreadPoolExecutor(os.cpu_count() if engine == "numba" else 1) as pool:
        for done in pool.map(through, parts):
            if progress is not None:
                progress(done, n)
    return Runs(
        times=times[::every],
        angle=angle,
        peak=most[0],
        aside=most[1],
        folded=most[0] >= motion.FOLDED,
    )


def _compiled_block(
    p: Array, x: Array, times: Array, q: Array, size: Array, every: int, angle: Array, most: Array
) -> None:
    """A block of runs in Numba, one after another."""
    compiled(motion.together)(p.T.copy(), x.T.copy(), times, q, size, every, angle, most)


def _block(
    p: Array, x: Array, times: Array, q: Array, size: Array, every: int, angle: Array, most: Array
) -> None:
    """A block of runs in NumPy, side by side: p (39, n), x (12, n); a folded run stands."""
    most[:] = 0.0
    driven = q[:, :, None] * size  # (M + 1, 7, n)

    def keep(place: int, now: tuple[Array, ...]) -> None:
        np.maximum(most[0], np.abs(now[motion.ANGLE]), out=most[0])
        np.maximum(most[1], np.abs(now[motion.Y]), out=most[1])
        if place % every == 0:
            angle[:, place // every] = now[motion.ANGLE]

    now, first = tuple(x), motion.given(p, driven[0])
    keep(0, now)
    for place in range(len(times) - 1):
        half, last = (
            motion.given(p, motion.middle(driven[place], driven[place + 1])),
            motion.given(p, driven[place + 1]),
        )
        new = motion.advanced(now, p, first, half, last, times[place + 1] - times[place])
        over = np.abs(now[motion.ANGLE]) >= motion.FOLDED
        now = tuple(np.where(over, old, one) for old, one in zip(now, new, strict=True))
        first = last
        keep(place + 1, now)


@cache
def _registered() -> None:
    """The parts made known to Numba, which is imported here and in `compiled`, nowhere else."""
    from numba.extending import register_jitable

    drop_old()
    for part in motion.PARTS:
        register_jitable(forceinline=True, **motion.LOOSE)(part)


@cache
def compiled(function: Callable[..., Any]) -> Any:
    """A function that calls the parts of `motion`, compiled, and kept on disk where it may be."""
    from numba import njit

    _registered()
    try:
        return njit(nogil=True, cache=True, **motion.LOOSE)(function)
    except RuntimeError:  # neither beside the source nor at home can files be written
        return njit(nogil=True, **motion.LOOSE)(function)
