"""Damping against speed from several episodes, and the speed at which the line reaches zero."""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from steelyard.estimate import Array
from steelyard.estimate.tails import student_quantile
from steelyard.quantity import Z95

FEWEST: Final = 3
"""Episodes under which no trend is told."""
APART: Final = 1.12
"""Highest over lowest speed from which speeds are clearly different."""
FAR: Final = 1.3
"""Zero speed over the highest speed driven from which it is called far outside."""
Axis = Literal["inverse", "speed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """Weighted line of damping ratio against 1/u (`inverse`) or u (`speed`).

    line: ratio at the axis's zero and slope; cov (2, 2), with scatter between episodes; scatter: by
    how much the episodes scatter over their own spreads (1 where less); zero, low, high: m/s at
    which damping is gone, with its 95 % interval by Fieller, inf for never; tells: whether damping
    surely falls with speed (else the interval has no end and the zero is no claim); far: the zero
    lies far outside the speeds driven.
    """

    axis: Axis
    line: Array
    cov: Array
    reach: float
    scatter: float
    fastest: float
    zero: float
    low: float
    high: float
    tells: bool
    far: bool

    def at(self, speeds: Array) -> tuple[Array, Array]:
        """Damping ratio on the line at speeds, m/s, and the half-width of its 95 % interval."""
        x = 1.0 / speeds if self.axis == "inverse" else speeds
        rows = np.stack([np.ones_like(x), x], axis=-1)
        sd = np.sqrt(np.einsum("...i,ij,...j->...", rows, self.cov, rows))
        return np.asarray(rows @ self.line), np.asarray(self.reach * sd)


def enough(speeds: Array) -> bool:
    """Whether a trend may be told at all: three episodes at two clearly different speeds."""
    return len(speeds) >= FEWEST and bool(np.max(speeds) >= APART * np.min(speeds))


def trend(speeds: Array, ratios: Array, sds: Array, axis: Axis = "inverse") -> Trend:
    """The line through damping ratios (n,), weighted by their sds, and where it reaches zero.

    1/u is what the linear model says: exactly so behind a heavy vehicle, D = C L^2/(2 u sqrt(C L
    I_h)), and nearly so else, where the vehicle's yielding takes off a part that hardly depends on
    speed. On nine combinations of the linear model the zero found from 0.6-0.85 of it is 0-8 % low
    to 2 % high by 1/u, and 6-11 % low by u. Episodes that scatter more than their spreads allow
    widen the line (Birge, Phys. Rev. 40 (1932) 207-227), with Student's quantile for their number.
    """
    x = 1.0 / speeds if axis == "inverse" else speeds
    rows = np.stack([np.ones_like(x), x], axis=1) / sds[:, None]
    cov: Array = np.asarray(np.linalg.inv(rows.T @ rows), dtype=float)
    line = np.asarray(cov @ rows.T @ (ratios / sds), dtype=float)
    left = ratios / sds - rows @ line
    degrees = len(x) - 2
    excess = float(left @ left) / degrees
    reach = student_quantile(0.975, degrees) if excess > 1 else Z95
    cov = np.asarray(cov * max(excess, 1.0), dtype=float)
    zero, low, high, tells = _zero(line, cov, reach, axis)
    return Trend(
        axis=axis,
        line=line,
        cov=cov,
        reach=reach,
        scatter=float(np.sqrt(max(excess, 1.0))),
        fastest=float(np.max(speeds)),
        zero=zero,
        low=low,
        high=high,
        tells=tells,
        far=zero > FAR * float(np.max(speeds)),
    )


def _zero(line: Array, cov: Array, reach: float, axis: Axis) -> tuple[float, float, float, bool]:
    """Zero of the line as a speed with Fieller's interval (J. R. Stat. Soc. B 16 (1954) 175-185).

    Both ends x solve (line0 + line1 x)^2 = reach^2 (v00 + 2 v01 x + v11 x^2); they enclose the zero
    only where the slope surely has the sign that damping falling with speed gives it.
    """
    falls = line[1] > 0 if axis == "inverse" else line[1] < 0
    a = line[1] ** 2 - reach**2 * cov[1, 1]
    if not falls or not a > 0:
        return (_speed(-line[0] / line[1], axis) if falls else np.inf), 0.0, np.inf, False
    b = line[0] * line[1] - reach**2 * cov[0, 1]
    c = line[0] ** 2 - reach**2 * cov[0, 0]
    root = np.sqrt(max(b * b - a * c, 0.0))
    ends = sorted(_speed(x, axis) for x in ((-b - root) / a, (-b + root) / a))
    return _speed(-line[0] / line[1], axis), ends[0], ends[1], True


def _speed(x: float, axis: Axis) -> float:
    """The speed of a place on the axis; a 1/u of zero or less is never reached."""
    if axis == "speed":
        return max(float(x), 0.0)
    return 1.0 / float(x) if x > 0 else float("inf")
