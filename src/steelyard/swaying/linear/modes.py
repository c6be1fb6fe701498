"""Roots of the linear model at a speed: the least damped oscillation, tyre relaxation included.

States are (v, r, θ', θ): lateral speed of the vehicle's centre, yaw rate, rate and angle of
articulation (θ is the trailer's heading less the vehicle's), then, for each axle whose tyres have a
relaxation length, the slip angle that has built up: σ/u α' = α_now - α.
"""

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.swaying.linear.combination import Combination

TENTH: Final = float(np.log(10.0))


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

    def of(self, which: NDArray[np.intp]) -> "Pieces":
        """Some of the rigs, counted flat."""
        still, rising, falling = (
            part.reshape(-1, *part.shape[-2:])[which]
            for part in (self.still, self.rising, self.falling)
        )
        return Pieces(still=still, rising=rising, falling=falling)

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
    """The state matrix of a combination, ready for any speed."""
    shape, axles = c.shape, tyres(c)
    slow = [tyre for tyre in axles if np.any(tyre.lag != 0)]
    k = 4 + len(slow)
    still, rising, falling = (np.zeros((*shape, k, k)) for _ in range(3))
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


def calming(found: Oscillation) -> Array:
    """Time to a tenth of the swing, s: ln 10/(ratio times undamped frequency)."""
    rate = np.nan_to_num(found.rate, nan=-np.inf)
    falls = rate < 0
    return np.where(falls, TENTH / np.where(falls, -rate, 1.0), np.inf)
