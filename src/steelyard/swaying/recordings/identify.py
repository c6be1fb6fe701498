"""Damping and frequency of one free swing, with how sure.

Model: A exp(-s t) cos(w t) + B exp(-s t) sin(w t) + offset + drift t + E exp(-0.7 w t), on the
samples as they are, evenly spaced or not. The last term stands for the slow motion without swing
that a push leaves too (a real root of the linear model, mostly -1 to -3 1/s); left out, it raised
the damping of one simulated yaw rate by a fifth. Start values by the matrix pencil (Hua & Sarkar,
IEEE Trans. ASSP 38 (1990) 814-824), then least squares by Levenberg and Marquardt. Neighbouring
samples' noise may be alike: residuals are taken as a first-order process in continuous time, its
correlation estimated from them, and whitened by it (Cochrane & Orcutt, JASA 44 (1949) 32-61); the
covariance is that of the whitened problem at its minimum, scaled by its residual.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from steelyard.estimate import Array
from steelyard.estimate.tails import student_quantile
from steelyard.fault import FaultError
from steelyard.swaying.recordings.episodes import running_mean

COLUMNS: Final = 7
"""Unknowns of a fit: decay, frequency, two sizes, offset, drift, slow motion."""
FADING: Final = 0.7
"""Decay of the slow motion over the frequency of the swing: assumed, what it is hardly matters."""
ROUNDS: Final = 60
PENCIL_RATE: Final = 12.0
"""Hz: samples are averaged down to about this for the pencil, whose swings stay under 2 Hz."""
POLES: Final = 6
SMALL: Final = 0.15
"""Half-swings over which peaks are smoothed, at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """One fit. decay 1/s and frequency rad/s (damped) with `cov` (2, 2) of the two; sizes A and B,
    offset, drift (per s) and slow motion in the recording's unit; noise: sd of the residual; alike:
    correlation of neighbouring samples' noise; degrees: what as many samples of white noise would
    leave, less the unknowns."""

    decay: float
    frequency: float
    cov: Array
    sizes: tuple[float, float]
    offset: float
    drift: float
    slow: float
    noise: float
    alike: float
    degrees: int

    @property
    def amplitude(self) -> float:
        """Size of the swing where the fit starts."""
        return float(np.hypot(*self.sizes))

    @property
    def ratio(self) -> float:
        """Damping ratio."""
        return self.decay / float(np.hypot(self.decay, self.frequency))

    @property
    def ratio_sd(self) -> float:
        """Its sd, first order."""
        slope = np.array([self.frequency, -self.decay]) * self.frequency
        slope /= np.hypot(self.decay, self.frequency) ** 3
        return float(np.sqrt(slope @ self.cov @ slope))

    @property
    def frequency_sd(self) -> float:
        """Sd of the damped frequency, rad/s."""
        return float(np.sqrt(self.cov[1, 1]))

    @property
    def reach(self) -> float:
        """Standard deviations to the edge of a 95 % interval (Student)."""
        return student_quantile(0.975, self.degrees)


def fit(times: Array, swing: Array, half: float) -> Fit:
    """The best damped sinusoid with offset and drift; half: s, about half a swing.

    Raises ValueError where fewer samples than 12 are there or nothing fits.
    """
    if len(times) < 2 * COLUMNS:
        raise FaultError(due=f"at least {2 * COLUMNS} samples", found=f"{len(times)}")
    t, scale = times - times[0], float(np.std(swing))
    if not scale > 0:
        raise FaultError(due="a swing", found="none")
    y = swing / scale
    starts = [*pencil(t, y), (0.1 * np.pi / half, np.pi / half)]
    plain = min((_descend(t, y, start, 0.0) for start in starts), key=lambda one: one[1])
    alike = _alike(_residual(t, y, plain[0]))
    point = plain[0]
    for _ in range(2):
        point, _ = _descend(t, y, (float(point[0]), float(point[1])), alike)
        alike = _alike(_residual(t, y, point))
    return _told(t, y, point, alike, scale)


def _told(t: Array, y: Array, point: Array, alike: float, scale: float) -> Fit:
    """The fit from its minimum `point`: (decay, frequency, A, B, offset, drift, slow), scaled."""
    degrees = len(t) - COLUMNS
    left = whitened(t, _residual(t, y, point), alike)
    slope = whitened(t, _slopes(t, point), alike)
    variance = float(left @ left) / degrees
    cov = variance * np.linalg.pinv(slope.T @ slope)
    sizes = (scale * float(point[2]), scale * float(point[3]))
    return Fit(
        decay=float(point[0]),
        frequency=float(point[1]),
        cov=np.asarray(cov[:2, :2]),
        sizes=sizes,
        offset=scale * float(point[4]),
        drift=scale * float(point[5]),
        slow=scale * float(point[6]),
        noise=scale * float(np.sqrt(variance)),
        alike=alike,
        degrees=max(int(len(t) * (1.0 - alike) / (1.0 + alike)) - COLUMNS, 3),
    )


def _shapes(t: Array, decay: float, frequency: float) -> Array:
    """The five columns (n, 5) whose sizes are linear."""
    swell = np.exp(np.clip(-decay * t, -50.0, 50.0))
    turn = frequency * t
    rest = np.exp(-FADING * turn)
    return np.stack([swell * np.cos(turn), swell * np.sin(turn), np.ones_like(t), t, rest], axis=1)


def _residual(t: Array, y: Array, point: Array) -> Array:
    return np.asarray(y - _shapes(t, float(point[0]), float(point[1])) @ point[2:])


def _slopes(t: Array, point: Array) -> Array:
    """Slopes (n, 7) of the model with respect to all unknowns."""
    shapes = _shapes(t, float(point[0]), float(point[1]))
    A, B = point[2], point[3]
    by_decay = -t * (A * shapes[:, 0] + B * shapes[:, 1])
    by_frequency = t * (B * shapes[:, 0] - A * shapes[:, 1] - FADING * point[6] * shapes[:, 4])
    return np.column_stack([by_decay, by_frequency, shapes])


def whitened(t: Array, x: Array, alike: float) -> Array:
    """x (n, ...) less what the sample before foretells, scaled to even variance."""
    if alike <= 0:
        return x
    steps = np.diff(t)
    share = alike ** (steps / float(np.median(steps)))
    shape = (-1, *[1] * (x.ndim - 1))
    scale = np.sqrt((1 - alike**2) / np.maximum(1 - share**2, 1e-12))
    rest = (x[1:] - share.reshape(shape) * x[:-1]) * scale.reshape(shape)
    return np.concatenate([np.sqrt(1 - alike**2) * x[:1], rest])


def _alike(residual: Array) -> float:
    """Correlation of neighbours. A fit of seven slow unknowns takes slow noise away with it,
    which biases the plain estimate by -(7 (1 + c) + 2 c)/n to first order; that is made good.
    """
    n = len(residual)
    raw = float(residual[1:] @ residual[:-1] / (residual @ residual + 1e-300))
    return float(np.clip((raw + COLUMNS / n) / (1.0 - (COLUMNS + 2.0) / n), 0.0, 0.97))


def _descend(t: Array, y: Array, start: tuple[float, float], alike: float) -> tuple[Array, float]:
    """Least squares from a decay and frequency: Levenberg-Marquardt, the linear sizes solved for
    at every step. Returns the point (7,) and its cost."""
    target = whitened(t, y, alike)
    point = _solved(t, target, start, alike)
    cost, damp = _cost(t, target, point, alike), 1e-3
    for _ in range(ROUNDS):
        slope = whitened(t, _slopes(t, point), alike)
        left = target - whitened(t, _shapes(t, point[0], point[1]), alike) @ point[2:]
        normal = slope.T @ slope
        step = np.linalg.solve(normal + damp * np.diag(np.diag(normal) + 1e-12), slope.T @ left)
        trial = _solved(t, target, _kept(point[:2] + step[:2]), alike)
        new = _cost(t, target, trial, alike)
        moved = float(np.max(np.abs(trial[:2] - point[:2])))
        if new <= cost:
            point, cost, damp = trial, new, max(damp / 5, 1e-9)
            if moved < 1e-9:
                break
        else:
            damp *= 8
            if damp > 1e8:
                break
    return point, cost


def _kept(pair: Array) -> tuple[float, float]:
    """Decay and frequency held to what a trailer does: at most 3 Hz, no wild growth."""
    return float(np.clip(pair[0], -1.0, 12.0)), float(np.clip(pair[1], 0.3, 19.0))


def _solved(t: Array, target: Array, pair: tuple[float, float], alike: float) -> Array:
    shapes = whitened(t, _shapes(t, *pair), alike)
    size = np.sqrt(np.sum(shapes**2, axis=0)) + 1e-150
    even = shapes / size
    sizes = np.linalg.lstsq(even.T @ even, even.T @ target, rcond=1e-13)[0] / size
    return np.concatenate([pair, sizes])


def _cost(t: Array, target: Array, point: Array, alike: float) -> float:
    left = target - whitened(t, _shapes(t, float(point[0]), float(point[1])), alike) @ point[2:]
    return float(left @ left)


def pencil(t: Array, y: Array) -> list[tuple[float, float]]:
    """Decay and frequency of the swings in y by the matrix pencil, the strongest two first."""
    step = max(float(np.median(np.diff(t))), 1.0 / PENCIL_RATE)
    at = np.arange(0.0, t[-1], step)
    width = step / float(np.median(np.diff(t)))
    x = np.interp(at, t, running_mean(y, width) if width >= 2 else y)
    n = len(x)
    if n < 2 * POLES:
        return []
    poles = _pencil_poles(x - np.mean(x), n // 2)
    with np.errstate(divide="ignore"):
        roots = np.log(poles.astype(complex)) / step
    swings = roots[(roots.imag > 0.8) & (roots.imag < 13.0) & (np.abs(roots.real) < roots.imag)]
    powers = np.exp(np.outer(at, np.concatenate([swings, swings.conj(), [0.0]])))
    sizes = np.linalg.lstsq(powers, x.astype(complex), rcond=None)[0]
    energy = np.abs(sizes[: len(swings)]) ** 2 * np.sum(
        np.abs(powers[:, : len(swings)]) ** 2, axis=0
    )
    best = swings[np.argsort(-energy)][:2]
    return [(-float(root.real), float(root.imag)) for root in best]


def _pencil_poles(x: Array, L: int) -> Array:
    """Poles of the strongest part of the Hankel matrix of x, pencil length L."""
    rows = np.lib.stride_tricks.sliding_window_view(x, L + 1)
    _, _, V = np.linalg.svd(rows, full_matrices=False)
    strong = V[: min(POLES, len(V))].T
    return np.asarray(np.linalg.eigvals(np.linalg.pinv(strong[:-1]) @ strong[1:]))


def aside(found: Fit, t: Array) -> Array:
    """All of a fit but its swing, at times t (n,) from where it starts."""
    slow = found.slow * np.exp(-FADING * found.frequency * t)
    return np.asarray(found.offset + found.drift * t + slow)


def swung(found: Fit, t: Array) -> Array:
    """The swing of a fit alone, at times t (n,) from where it starts."""
    turn = found.frequency * t
    return np.asarray(
        np.exp(-found.decay * t) * (found.sizes[0] * np.cos(turn) + found.sizes[1] * np.sin(turn))
    )


def by_peaks(times: Array, swing: Array, found: Fit) -> float:
    """Damping ratio from successive peaks, all but the swing itself taken off; NaN if too few.

    r = mean of (A_n + A_n+1)/(A_n+1 + A_n+2), D = ln r/sqrt(pi^2 + ln^2 r): form of ISO 14791 from
    memory, exact for one decaying sinusoid.
    """
    t = times - times[0]
    x = swing - aside(found, t)
    step = float(np.median(np.diff(t)))
    half = np.pi / found.frequency
    at = np.arange(0.0, t[-1], step)
    x = running_mean(np.interp(at, t, x), min(SMALL * half, 0.12) / step)
    edges = (np.arctan2(found.sizes[1], found.sizes[0]) + np.pi / 2) / found.frequency % half
    edge = np.arange(edges - half, t[-1], half)
    peaks = []
    for low, high in pairwise(edge):
        inside = (at >= low) & (at <= high)
        if low >= 0.0 and np.count_nonzero(inside) >= 3:
            peaks.append(float(np.max(np.abs(x[inside]))))
    A = np.array(peaks)
    A = A[: _seen(A, 3.0 * found.noise)]
    if len(A) < 3:
        return float("nan")
    sums = A[:-1] + A[1:]
    log = float(np.log(np.mean(sums[:-1] / sums[1:])))
    return log / float(np.hypot(np.pi, log))


def _seen(peaks: Array, level: float) -> int:
    """How many peaks in a row stand above a level."""
    under = np.flatnonzero(peaks <= level)
    return int(under[0]) if under.size else len(peaks)
