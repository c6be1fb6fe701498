"""Recordings whose damping is known: a push, then a damped sinusoid, through a poor sensor."""

from typing import Any

import numpy as np

from steelyard.estimate import Array
from steelyard.swaying.recordings.recording import Recording

QUIET = 6.0
"""s before the first push."""


def swing_after(t: Array, start: float, ratio: float, hertz: float, size: float) -> Array:
    """Nothing, then a push of a quarter swing (half a sine), then the free swing, a cosine that
    starts at `start` + a quarter; continuous in value and slope but for the decay."""
    w = 2 * np.pi * hertz
    s = w * ratio / np.sqrt(1 - ratio**2)
    since = t - start
    quarter = np.pi / (2 * w)
    free = np.exp(-s * np.maximum(since - quarter, 0)) * np.cos(w * (since - quarter))
    rise = 0.5 - 0.5 * np.cos(np.pi * np.clip(since / quarter, 0, 1))
    return np.asarray(size * np.where(since < 0, 0.0, np.where(since < quarter, rise, free)))


def coloured(rng: Any, t: Array, sd: float, last: float) -> Array:
    """Noise whose memory fades over `last` s; white for 0."""
    white = rng.normal(size=len(t))
    if last <= 0:
        return np.asarray(sd * white)
    keep = np.exp(-np.diff(t) / last)
    out = np.empty(len(t))
    out[0] = white[0]
    for k, share in enumerate(keep):
        out[k + 1] = share * out[k] + np.sqrt(1 - share**2) * white[k + 1]
    return sd * out


def recording(times: Array, swing: Array, speed: Any = 25.0, **more: Any) -> Recording:
    """A recording of yaw rate, rad/s, written in deg/s."""
    told: dict[str, Any] = {
        "quantity": "yaw rate",
        "unit": "deg/s",
        "speed_unit": "m/s",
        "remarks": (),
        **more,
    }
    u = np.broadcast_to(np.asarray(speed, dtype=float), times.shape).copy()
    return Recording(times=times, swing=swing, speed=u, **told)


def uneven(rng: Any, rate: float, lasting: float, jitter: float = 0.3) -> Array:
    """Times about 1/rate apart, each off by up to `jitter` of that."""
    count = int(lasting * rate)
    return np.asarray((np.arange(count) + rng.uniform(-jitter, jitter, count)) / rate)


def noisy_log(
    rng: Any,
    ratio: float,
    hertz: float,
    rate: float,
    noise: float,
    memory: float,
    size: float = 0.1,
) -> Recording:
    """One push and its free swing with noise (sd over size), bias and drift, unevenly sampled."""
    t = uneven(rng, rate, QUIET + min(8.0 / hertz, 25.0) + 6.0)
    x = swing_after(t, QUIET, ratio, hertz, size * rng.choice([-1.0, 1.0]))
    x = x + coloured(rng, t, noise * size, memory)
    x = x + rng.uniform(-0.5, 0.5) * size + rng.uniform(-0.01, 0.01) * size * t
    return recording(t, x)
