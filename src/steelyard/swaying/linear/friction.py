"""Dry friction at the coupling: how hard a swing must be before it grows all the same."""

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.swaying.linear.combination import Combination
from steelyard.swaying.linear.modes import Oscillation, least_damped, pieces
from steelyard.swaying.linear.search import turning

MOST: Final = 1e7
"""N m s/rad: a coupling that takes more than this to calm is called hopeless."""


def damper_needed(c: Combination, speed: float) -> tuple[Array, Array]:
    """Least damper at the coupling, N m s/rad, that keeps swings from growing, and their frequency.

    Zero where none is needed; inf where none up to `MOST` is enough. Shape ().
    """
    base = pieces(c)
    inverse = pieces(_with(c, 1.0)).still - pieces(_with(c, 0.0)).still
    matrix = base.at(speed) - inverse * float(c.damper)

    def at(damper: Array) -> Oscillation:
        whole = matrix + inverse * np.asarray(damper)[..., None, None]
        return least_damped(np.linalg.eigvals(whole).astype(complex))

    def grows(damper: Array) -> NDArray[np.bool_]:
        return np.asarray(at(damper).rate > 0)

    grid = np.concatenate([[0.0], np.geomspace(1.0, MOST, 141)])
    growing = grows(grid)
    if not growing[0]:
        return np.zeros(()), at(np.zeros(())).frequency
    if growing.all():
        return np.asarray(np.inf), at(np.zeros(())).frequency
    place = int(np.argmin(growing))
    low, high = grid[place - 1 : place], grid[place : place + 1]
    found = turning(lambda damper: ~grows(damper), low, high)[0]
    return np.asarray(found), at(np.asarray(found)).frequency


def _with(c: Combination, damper: float) -> Combination:
    return replace(c, damper=np.asarray(damper))


def growing_amplitude(c: Combination, speed: float, moment: float) -> float:
    """Articulation, rad, beyond which a swing grows in spite of dry friction `moment` (N m).

    inf where the rig calms down without friction, 0 where no friction would hold it. One
    combination, shape (); first harmonic only.
    """
    needed, frequency = damper_needed(c, speed)
    if needed == 0:
        return float("inf")
    if not np.isfinite(needed):
        return 0.0
    return float(4.0 * moment / (np.pi * frequency * needed))
