"""Damping and frequency recovered from recordings whose truth is known.

Sources: exact damped sinusoids (ISO 9815's free swing) for coverage as A. P. Dawid, JASA 77 (1982)
605-610, means it; SciPy's `curve_fit` as an independent solver; the package's own nonlinear run,
itself held to independent integrators, for swings that are not quite sinusoids; the exact identity
r = exp(pi D/sqrt(1 - D^2)) of half-cycle peaks; Fieller, J. R. Stat. Soc. B 16 (1954) 175-185.
"""

import os
from functools import cache
from typing import Any

import numpy as np
import pytest
from scipy.optimize import curve_fit
from scipy.stats import binom, t
from tests.combinations import lagging, minivan
from tests.recordings import QUIET, coloured, noisy_log, recording, swing_after, uneven

from steelyard.estimate import Array
from steelyard.estimate.tails import student_quantile
from steelyard.swaying.linear.combination import Combination
from steelyard.swaying.linear.modes import oscillation
from steelyard.swaying.linear.search import settled
from steelyard.swaying.recordings.episodes import windows
from steelyard.swaying.recordings.identify import by_peaks, fit
from steelyard.swaying.recordings.recording import Episode, Heard, listen
from steelyard.swaying.recordings.trend import trend
from steelyard.swaying.time.inputs import steer_impulse
from steelyard.swaying.time.machine import Machine
from steelyard.swaying.time.simulate import batch, run

LOGS = 2000 if os.environ.get("STEELYARD_STUDY") == "1" else 150
"""Noisy recordings of one push each."""
LEAST, MOST = 0.93, 0.97
"""Coverage asked of a 95 % interval at full size."""


def bounds(trials: int, questions: int) -> tuple[float, float]:
    """Counts that a coverage of 93 to 97 % leaves but once in a thousand, at so many questions."""
    tail = 1e-3 / questions / 2
    return float(binom.ppf(tail, trials, LEAST)), float(binom.ppf(1 - tail, trials, MOST))


@cache
def study() -> tuple[Array, tuple[Episode, ...]]:
    """Truths (n, 2), damping ratio and Hz, and the episode found in each log that has one.

    Damping 0.02-0.3, 0.3-1.2 Hz, 10-100 samples a second unevenly, noise 0.5-4 % of the swing, half
    of it with a memory of 0.02-0.1 s, a bias up to half the swing and drift.
    """
    rng = np.random.default_rng(9815)
    truths, found = [], []
    for _ in range(LOGS):
        ratio, hertz = rng.uniform(0.02, 0.3), rng.uniform(0.3, 1.2)
        rate, noise = np.exp(rng.uniform(np.log([10.0, 0.005]), np.log([100.0, 0.04])))
        memory = 0.0 if rng.random() < 0.5 else rng.uniform(0.02, 0.1)
        try:
            heard = listen(noisy_log(rng, ratio, hertz, rate, noise, memory))
        except ValueError:
            continue
        truths.append((ratio, hertz))
        found.append(max(heard.episodes, key=lambda one: one.fit.amplitude))
    return np.array(truths), tuple(found)


def test_nearly_every_push_is_found() -> None:
    """Of the logs at most 3 in 100 are refused: no coverage is won by choosing."""
    assert len(study()[1]) >= 0.97 * LOGS


def test_damping_is_inside_its_interval() -> None:
    """The 95 % interval of the damping ratio holds the truth 93 to 97 % of the time."""
    truths, found = study()
    inside = sum(
        one.low <= ratio <= one.high for (ratio, _), one in zip(truths, found, strict=True)
    )
    low, high = bounds(len(found), 2)
    assert low <= inside <= high


def test_frequency_is_inside_its_interval() -> None:
    """So does that of the damped frequency."""
    truths, found = study()
    off = [
        abs(one.fit.frequency - 2 * np.pi * hertz) <= one.fit.reach * one.fit.frequency_sd
        for (_, hertz), one in zip(truths, found, strict=True)
    ]
    low, high = bounds(len(found), 2)
    assert low <= sum(off) <= high


def test_peaks_agree() -> None:
    """Successive peaks, offset and drift taken off, say the same: three in four within 0.03."""
    truths, found = study()
    peaks = np.array([one.peaks for one in found])
    off = np.abs(peaks - truths[:, 0])[np.isfinite(peaks)]
    assert len(off) > 0.7 * len(found)
    assert np.quantile(off, 0.75) < 0.03
    assert np.median(off) < 0.015


@pytest.mark.parametrize(
    ("ratio", "half", "full"), [(0.05, 1.170319, 0.730115), (0.10, 1.371276, 0.531802),
                                (0.15, 1.610640, 0.385481)],
)  # fmt: skip
def test_peaks_of_a_pure_swing(ratio: float, half: float, full: float) -> None:
    """ISO-3: r = exp(pi D/sqrt(1 - D^2)) a half cycle; its inverse, from peaks, returns D."""
    assert np.exp(np.pi * ratio / np.sqrt(1 - ratio**2)) == pytest.approx(half, abs=1e-6)
    assert half**-2 == pytest.approx(full, abs=1e-6)
    times = np.arange(0.0, 12.0, 1e-3)
    swing = swing_after(times, -0.5, ratio, 0.5, 1.0)
    found = fit(times, swing, 1.0)
    assert found.ratio == pytest.approx(ratio, abs=1e-6)
    assert by_peaks(times, swing, found) == pytest.approx(ratio, abs=2e-3)


def _shape(t: Array, s: float, w: float, A: float, B: float, c: float, d: float, E: float) -> Array:
    swing = np.exp(-s * t) * (A * np.cos(w * t) + B * np.sin(w * t))
    return np.asarray(swing + c + d * t + E * np.exp(-0.7 * w * t))


@pytest.mark.parametrize("seed", range(6))
def test_curve_fit_agrees(seed: int) -> None:
    """On white noise SciPy's curve_fit finds the same decay, frequency and, within 5 %, spreads."""
    rng = np.random.default_rng(seed)
    told = noisy_log(rng, rng.uniform(0.03, 0.2), rng.uniform(0.4, 1.0), 40.0, 0.02, 0.0)
    window = windows(told.times, told.swing)[0]
    times, swing = (x[window.first : window.last] for x in (told.times, told.swing))
    found = fit(times, swing, window.half)
    guess = (0.2, np.pi / window.half, *found.sizes, 0.0, 0.0, 0.0)
    best, cov = curve_fit(_shape, times - times[0], swing, p0=guess)
    sd = np.sqrt(np.diag(cov))[:2]
    assert np.abs(np.array([found.decay, found.frequency]) - best[:2]) == pytest.approx(
        np.zeros(2), abs=0.3 * float(np.max(sd))
    )
    if found.alike < 0.03:
        assert np.sqrt(np.diag(found.cov)) == pytest.approx(sd, rel=0.05)


def test_student() -> None:
    """The quantile equals SciPy's to 1e-9 up to 400 degrees, and to 2e-3 beyond."""
    for degrees in (1, 2, 3, 7, 30, 399):
        assert student_quantile(0.975, degrees) == pytest.approx(t.ppf(0.975, degrees), rel=1e-9)
    assert student_quantile(0.975, 10**6) == pytest.approx(1.959964, rel=4e-3)


def _machine(c: Combination) -> Machine:
    load = np.asarray(9e3)
    return Machine(combination=c, front=load, rear=load, axles=tuple(load for _ in c.stations))


def _logged(at: Array, x: Array, speed: float, rng: Any, kind: str) -> Heard:
    """A run logged at 50 Hz with 2 % noise and a bias, after three quiet seconds."""
    times: Array = np.arange(0.0, float(at[-1]), 0.02)
    swing = np.interp(times, at, x)
    noise = coloured(rng, times, 0.02 * float(np.max(np.abs(swing))), 0.0)
    quiet = np.zeros(150)
    times = np.arange(len(times) + 150, dtype=float) * 0.02
    swing = np.concatenate([quiet, swing]) + np.concatenate([noise[:150], noise]) + 0.01
    return listen(recording(times, swing, speed, quantity=kind))


@pytest.mark.parametrize(("e", "speed"), [(2.9, 15.0), (2.8, 18.0), (2.7, 25.0)])
def test_nonlinear_runs(e: float, speed: float) -> None:
    """From a nonlinear run's yaw rate the linear damping, within 0.006 plus its interval."""
    c = minivan(e)
    trace = run(_machine(c), speed, steer_impulse(0.01), 12.0, 0.02)
    heard = _logged(trace.times, trace.of("r"), speed, np.random.default_rng(1), "yaw rate")
    want = oscillation(c, speed)
    one = heard.episodes[0]
    assert one.fit.ratio == pytest.approx(
        float(want.ratio), abs=0.006 + one.fit.reach * one.fit.ratio_sd
    )
    assert one.fit.frequency == pytest.approx(float(want.frequency), rel=0.03)


def test_zero_from_nonlinear_runs() -> None:
    """From articulation at 60 to 85 % of it the critical speed is met within 10 %, by 1/u."""
    c = lagging(2.8, 0.5)
    critical = float(settled(c).oscillatory)
    rng = np.random.default_rng(3)
    speeds = critical * np.array([0.6, 0.68, 0.76, 0.85])
    runs = batch(_machine(c), speeds, steer_impulse(0.01), np.ones(4), 12.0, every=2)
    heard = [
        _logged(runs.times, x, float(u), rng, "articulation")
        for u, x in zip(speeds, runs.angle, strict=True)
    ]
    found = [one.episodes[0] for one in heard]
    line = trend(
        speeds,
        np.array([one.fit.ratio for one in found]),
        np.array([one.fit.ratio_sd for one in found]),
    )
    assert line.tells
    assert line.zero == pytest.approx(critical, rel=0.10)


def test_fieller_holds() -> None:
    """With true lines in 1/u and stated spreads, the zero lies in its interval at least 93 %."""
    rng = np.random.default_rng(4)
    inside, trials = 0, 600
    for _ in range(trials):
        speeds = rng.uniform(15.0, 28.0, int(rng.integers(3, 7)))
        speeds[0], speeds[1] = 15.0, 28.0
        sds = rng.uniform(0.003, 0.01, len(speeds))
        line = trend(speeds, 6.0 * (1 / speeds - 1 / 36.0) + sds * rng.normal(size=len(sds)), sds)
        inside += line.low <= 36.0 <= line.high
    assert inside >= binom.ppf(1e-3, trials, LEAST)


def test_two_swings_share_a_recording() -> None:
    """Two pushes in one recording, with a gap in the calm between, are two episodes; both right."""
    rng = np.random.default_rng(5)
    times = uneven(rng, 50.0, 60.0)
    swing = swing_after(times, QUIET, 0.1, 0.6, 0.1) + swing_after(times, 36.0, 0.05, 0.6, 0.1)
    swing = swing + coloured(rng, times, 0.001, 0.0)
    keep = (times < 30.0) | (times > 33.0)
    heard = listen(recording(times[keep], swing[keep]))
    assert heard.gaps == 1
    assert [one.fit.ratio for one in heard.episodes] == pytest.approx([0.1, 0.05], abs=0.004)
