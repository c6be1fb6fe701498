"""How critical speeds and damping move with every number of the model, without differencing.

An eigenvalue's derivative is y^H A' x / y^H x with its left and right vectors; A' comes from a
complex step through the state matrix (Squire & Trapp, SIAM Review 40 (1998) 110-112), exact to
rounding. A speed at which f(u, p) = 0 moves by -f_p/f_u.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.fault import Fault, FaultError
from steelyard.swaying.closed_forms import arguments, coefficients
from steelyard.swaying.combination import Combination, flat, labels, rebuilt
from steelyard.swaying.modes import pieces

STEP: Final = 1e-100
"""Imaginary step: so small that its square is nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slope:
    """Change of the damping ratio and of the growth rate (1/s) per unit of each field of one
    combination, by label, and per m/s of speed."""

    ratio: Mapping[str, float]
    rate: Mapping[str, float]
    ratio_by_speed: float
    rate_by_speed: float


def damping_slope(c: Combination, speed: float) -> Slope:
    """Slopes of the least damped oscillation of one combination (shape ()) at a speed."""
    parts = pieces(c)
    matrix = parts.at(speed)
    root, left, right = _mode(matrix)
    weight = np.outer(left, right) / (left @ right)
    by_speed = complex(np.sum(weight * (parts.rising - parts.falling / speed**2)))
    moved = {
        name: complex(np.sum(weight * change))
        for name, change in stepped(c, lambda one: pieces(one).at(speed))
    }
    return Slope(
        ratio={name: _ratio_change(root, move) for name, move in moved.items()},
        rate={name: move.real for name, move in moved.items()},
        ratio_by_speed=_ratio_change(root, by_speed),
        rate_by_speed=by_speed.real,
    )


def _mode(matrix: Array) -> tuple[complex, NDArray[Any], NDArray[Any]]:
    """The least damped oscillating root with its left and right vectors."""
    roots, right = np.linalg.eig(matrix)
    roots = roots.astype(complex)
    swings = roots.imag > 1e-9 * np.max(np.abs(roots))
    if not swings.any():
        raise FaultError(Fault(due="an oscillation at this speed", found="none"))
    ratio = np.where(swings, -roots.real / np.abs(roots), np.inf)
    which = int(np.argmin(ratio))
    return complex(roots[which]), np.linalg.inv(right)[which], right[:, which]


def _ratio_change(root: complex, move: complex) -> float:
    """Change of -Re/|.| when the root moves."""
    size = abs(root)
    along = (root.real * move.real + root.imag * move.imag) / size
    return -move.real / size + root.real * along / size**2


def stepped(
    c: Combination, answer: Callable[[Combination], NDArray[Any]]
) -> list[tuple[str, NDArray[Any]]]:
    """Derivative of an analytic answer by every field that is not a coupling or lag of zero."""
    found = []
    parts = [np.asarray(part, dtype=complex) for part in flat(c)]
    for place, (name, value) in enumerate(zip(labels(c), parts, strict=True)):
        if name.endswith("_lag") and value == 0:
            continue
        moved = [*parts[:place], value + 1j * STEP, *parts[place + 1 :]]
        found.append((name, answer(rebuilt(c, moved)).imag / STEP))
    return found


def speed_slope(c: Combination, speed: float, ratio: float = 0.0) -> dict[str, float]:
    """Change, per unit of each field, of the speed at which damping has fallen to `ratio`, m/s."""
    slope = damping_slope(c, speed)
    if ratio == 0.0:
        return {name: -change / slope.rate_by_speed for name, change in slope.rate.items()}
    return {name: -change / slope.ratio_by_speed for name, change in slope.ratio.items()}


def divergence_slope(c: Combination, speed: float) -> dict[str, float]:
    """Change of the divergent critical speed per unit of each field."""

    def at_rest(one: Combination) -> NDArray[Any]:
        p = coefficients(*arguments(one))
        return np.asarray(p[10] / speed**2 + p[11])

    by_speed = -2.0 * float(np.real(coefficients(*arguments(c))[10])) / speed**3
    return {name: -float(change) / by_speed for name, change in stepped(c, at_rest)}
