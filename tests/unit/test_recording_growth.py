"""Swings that grow are found, measured and told as danger; a recording never claims more than it
shows."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from click.testing import CliRunner
from scipy.stats import norm
from tests.combinations import lagging
from tests.recordings import coloured, recording, swing_after, uneven
from tests.rigs import plain

from steelyard.cli import main
from steelyard.cli.recording_words import _zero, disagreement, growth_lines
from steelyard.estimate import Array
from steelyard.rig import Rig
from steelyard.swaying.linear.modes import oscillation
from steelyard.swaying.linear.search import settled
from steelyard.swaying.recording_caps import _calm, _lower, heeded, no_better, shown_by
from steelyard.swaying.recordings.episodes import windows
from steelyard.swaying.recordings.recording import Heard, Recording, listen
from steelyard.swaying.recordings.update import sharpen
from steelyard.swaying.result import Band, CriticalSpeed, StageSway
from steelyard.swaying.stage_sway import sway
from steelyard.swaying.time.inputs import steer_impulse
from steelyard.swaying.time.machine import Machine
from steelyard.swaying.time.simulate import run
from steelyard.travel import crewed

MPH = 1609.344 / 3600


def growing(ratio: float, hertz: float, seed: int, most: float = 0.12) -> Recording:
    """Noise, then a swing that grows from nothing until something holds it."""
    rng = np.random.default_rng(seed)
    times = uneven(rng, 50.0, 40.0)
    turn = 2 * np.pi * hertz
    rate = -turn * ratio / np.sqrt(1 - ratio**2)
    size = np.where(times < 6, 0.0, np.minimum(0.002 * np.exp(rate * (times - 6)), most))
    return recording(times, size * np.cos(turn * times) + coloured(rng, times, 1e-3, 0.05) + 0.01)


@pytest.mark.parametrize(
    ("ratio", "hertz"), [(-0.02, 0.8), (-0.03, 0.6), (-0.05, 0.35), (-0.08, 0.5), (-0.11, 1.1)]
)
def test_a_growing_swing_is_measured(ratio: float, hertz: float) -> None:
    """A swing whose growth is known has its damping ratio found within 0.006, surely below zero;
    so has the time in which it doubles, ln 2/(D w/sqrt(1 - D^2))."""
    for seed in range(3):
        heard = listen(growing(ratio, hertz, seed))
        found = max(heard.episodes, key=lambda one: one.swings)
        assert found.grows
        assert found.fit.ratio == pytest.approx(ratio, abs=0.006)
        rate = -ratio * 2 * np.pi * hertz / np.sqrt(1 - ratio**2)
        assert found.doubling == pytest.approx(np.log(2) / rate, rel=0.2)


def test_a_growing_run_is_heard() -> None:
    """A nonlinear run 2 % above the critical speed of the linear model is heard to grow, at about
    the model's rate while the swing is small."""
    c = lagging(2.8, 0.5)
    speed = 1.02 * float(settled(c).oscillatory)
    load = np.asarray(9e3)
    built = Machine(combination=c, front=load, rear=load, axles=tuple(load for _ in c.stations))
    trace = run(built, speed, steer_impulse(0.002), 25.0, 0.02)
    times = np.arange(0.0, 25.0, 0.02)
    swing = np.interp(times, trace.times, trace.of("angle"))
    swing = swing + coloured(np.random.default_rng(1), times, 5e-5, 0.0)
    heard = listen(recording(times, swing, speed, quantity="articulation"))
    assert heard.grows
    want = float(oscillation(c, speed).ratio)
    assert want < 0
    assert heard.episodes[0].fit.ratio == pytest.approx(want, abs=0.006)


def test_pushes_and_noise_are_no_growth() -> None:
    """Noise before and free swings after pushes never count as growing: 40 recordings, none."""
    rng = np.random.default_rng(11)
    for _ in range(40):
        times = uneven(rng, 50.0, 30.0)
        ratio, hertz = rng.uniform(0.02, 0.3), rng.uniform(0.3, 1.2)
        swing = swing_after(times, 6.0, ratio, hertz, 0.1)
        swing = swing + coloured(rng, times, 2e-3, 0.05)
        assert not any(one.grows for one in windows(times, swing))


def test_growth_that_cannot_be_measured_is_still_told() -> None:
    """A swing that grows while the speed changes has no ratio, but the danger is told."""
    told = growing(-0.05, 0.6, 1)
    faster = replace(told, speed=np.linspace(20.0, 34.0, len(told.times)))
    with pytest.raises(ValueError, match="GREW"):
        listen(faster)


def _falling(ratios: list[float], speeds: list[float]) -> Heard:
    rng = np.random.default_rng(7)
    times = uneven(rng, 40.0, 30.0 * len(speeds))
    swing = coloured(rng, times, 0.001, 0.0)
    for place, ratio in enumerate(ratios):
        one = swing_after(times, 30 * place + 6.0, ratio, 0.6, 0.1)
        swing = swing + one * (times < 30 * place + 27)
    edges = np.concatenate([[30.0 * k, 30.0 * k + 24.0] for k in range(len(speeds))])
    return listen(recording(times, swing, np.interp(times, edges, np.repeat(speeds, 2))))


def _both(rig: Rig, heard: Heard) -> tuple[StageSway, StageSway, StageSway]:
    """The stage before the recording, as the sharpened model has it, and as it is given."""
    before = sway(rig, samples=100)[0]
    model = sway(rig, sharpen(rig, heard).after, samples=100)[0]
    return before, model, heeded(model, heard, before)


@pytest.mark.parametrize(("speed", "shown"), [(25.0, True), (35.0, False), (np.inf, False)])
def test_a_recording_shows_a_speed_where_it_is_the_lower(speed: float, *, shown: bool) -> None:
    """Of a model at 30 m/s: a recording that grows later, or never, shows nothing of it."""
    model = CriticalSpeed(value=30.0, median=30.0, low=20.0, high=50.0, never=0.0, shown=False)
    found = _lower(model, speed, speed - 1, speed + 1)
    assert (found.shown, found.value) == (shown, min(speed, 30.0))


def test_a_swing_takes_longer_only_where_its_damping_was_lowered() -> None:
    """At 0.5 Hz a ratio of 0.1 takes ln 10 / (0.1 * 2 pi 0.5) to a tenth, lower it longer; what no
    recording lowered settles as it did."""

    def band(x: float) -> Band:
        return Band(**dict.fromkeys(("value", "best", "low", "high"), np.array([x])))

    calm, ratio, frequency = band(5.0), band(0.1), band(np.pi * np.sqrt(0.99))
    assert _calm(calm, ratio, ratio, frequency) == calm
    slower = _calm(calm, band(0.2), ratio, frequency)
    assert float(slower.value[0]) == pytest.approx(np.log(10) / (0.1 * np.pi))


def _bands(value: Any, best: Any, low: Any, high: Any) -> Band:
    value, best, low, high = (np.asarray(x, dtype=float) for x in (value, best, low, high))
    return Band(value=value, best=best, low=low, high=high)


def _at(value: float, median: float, low: float, high: float, never: float) -> CriticalSpeed:
    return CriticalSpeed(value=value, median=median, low=low, high=high, never=never, shown=False)


MODEL = StageSway(
    key="a",
    title="a",
    speeds=np.array([10.0, 20.0, 30.0]),
    damping=_bands([0.15, 0.1, 0.05], [0.16, 0.11, 0.06], [0.1, 0.05, 0.0], [0.2, 0.15, 0.1]),
    frequency=_bands([4.0] * 3, [5.0] * 3, [6.0] * 3, [7.0] * 3),
    calm=_bands([2.0] * 3, [50.0] * 3, [1.0] * 3, [4.0] * 3),
    chosen_speed=20.0,
    chosen_ratio=0.1,
    at_damping=_bands(0.1, 0.11, 0.05, 0.15),
    at_frequency=_bands(4.0, 5.0, 6.0, 7.0),
    at_calm=_bands(2.0, 3.0, 1.0, 4.0),
    tips=0.0,
    chance_below=0.3,
    wagging=_at(40.0, 39.0, 30.0, 60.0, 0.2),
    jackknife=_at(26.0, 27.0, 25.0, 90.0, 0.6),
    falls=_at(19.0, 18.5, 15.0, 21.0, 0.2),
    calms_again=np.inf,
    understeer=_bands(1.0, 2.0, 3.0, 4.0),
    first="jackknife",
    wagging_first=0.3,
    jackknife_first=0.6,
    combination=cast("Any", None),
    felt=(),
)
BEFORE = replace(MODEL, wagging_first=0.4)


def _numbers(one: Band | CriticalSpeed) -> list[Any]:
    return [getattr(one, name) for name in one.__slots__]


def _swing(speed: float, ratio: float, low: float, high: float) -> SimpleNamespace:
    fit = SimpleNamespace(ratio=ratio)
    return SimpleNamespace(grows=high < 0, speed=speed, fit=fit, low=low, high=high)


def test_the_lower_of_model_and_recording_is_given_number_by_number() -> None:
    """By hand: a line 0.34 - 0.014 u, known to 0.03 either way, and a swing that grew at 30 m/s.
    Damping is gone at 24.3 m/s (0.34/0.014) and has fallen to 0.1 at 17.1, 15 or 19.3; at 20 m/s it
    is 0.06, and below 0.1 with the chance of 0.04 in a normal of sd 0.03/1.96."""
    trend = SimpleNamespace(tells=True, zero=0.34 / 0.014, low=22.0, high=27.0, reach=1.96)
    trend.at = lambda u: (0.34 - 0.014 * u, 0.03 + 0.0 * u)
    swings = (_swing(15.0, 0.2, 0.1, 0.3), _swing(30.0, -0.1, -0.2, -0.06))
    found = heeded(MODEL, cast("Heard", SimpleNamespace(episodes=swings, trend=trend)), BEFORE)
    due = [[0.15, 0.06, -0.1], [0.16, 0.06, -0.1], [0.1, 0.03, -0.2], [0.2, 0.09, -0.06]]
    assert np.array(_numbers(found.damping)) == pytest.approx(np.array(due))
    took = [np.log(10) * np.sqrt(1 - D**2) / (4.0 * D) for D in (0.06, 0.09, 0.03)]
    assert found.calm.value == pytest.approx(np.array([2.0, took[0], np.inf]))
    assert found.calm.best == pytest.approx(np.array([50.0, 50.0, np.inf]))
    assert found.calm.low == pytest.approx(np.array([1.0, took[1], np.inf]))
    assert found.calm.high == pytest.approx(np.array([4.0, took[2], np.inf]))
    assert _numbers(found.at_damping) == pytest.approx([0.06, 0.06, 0.03, 0.09])
    assert float(found.at_calm.value) == pytest.approx(took[0])
    assert found.chance_below == pytest.approx(norm.cdf(0.04 / (0.03 / 1.96)))
    gone = 0.34 / 0.014
    assert _numbers(found.wagging) == pytest.approx([gone, gone, 22.0, 27.0, 0.025, True])
    fallen = 0.24 / 0.014
    falls = [fallen, fallen, 15.0, 0.27 / 0.014, 0.025, True]
    assert _numbers(found.falls) == pytest.approx(falls, rel=3e-3)
    assert (found.first, found.wagging_first, found.jackknife_first) == ("wagging", 0.5, 0.5)


def test_without_a_trend_speeds_are_raised_as_far_as_was_driven() -> None:
    """22 m/s was driven: what the model raises beyond that and beyond before ends there, with the
    ends of before; what it does not raise so far stays as it has it."""
    before = replace(BEFORE, wagging=_at(20.0, 24.0, 16.0, 28.0, 0.05))
    raised = _at(30.0, 23.0, 25.0, 50.0, 0.01)
    model = replace(MODEL, wagging=raised, falls=_at(22.0, 23.0, 21.0, 24.0, 0.3))
    swings = (_swing(22.0, 0.2, 0.1, 0.3), _swing(18.0, 0.2, 0.1, 0.3))
    found = heeded(model, cast("Heard", SimpleNamespace(episodes=swings, trend=None)), before)
    assert _numbers(found.wagging) == [22.0, 23.0, 16.0, 28.0, 0.01, False]
    assert found.falls == model.falls
    assert (found.first, found.wagging_first, found.jackknife_first) == ("wagging", 0.5, 0.5)
    fold = replace(model, jackknife=_at(21.0, 21.0, 20.0, 22.0, 0.0))
    found = heeded(fold, cast("Heard", SimpleNamespace(episodes=swings, trend=None)), before)
    assert (found.first, found.wagging_first, found.jackknife_first) == ("jackknife", 0.3, 0.6)
    grew = SimpleNamespace(episodes=(_swing(20.0, 0.05, -0.2, -0.1),), trend=None)
    assert heeded(model, cast("Heard", grew), before).chance_below == 0.5


@pytest.mark.parametrize("chosen", [20.0, 25.0])
def test_what_was_felt_raises_nothing_beyond_the_speed_driven(chosen: float) -> None:
    """Driven at 20 m/s, number by number: up to there and there as the readings have it, beyond as
    it was before them; every speed as far as was driven; the steering, which nobody felt, never."""
    better = replace(
        MODEL,
        damping=_bands(*([x] * 3 for x in (0.31, 0.32, 0.33, 0.34))),
        calm=_bands(*([x] * 3 for x in (0.1, 0.2, 0.3, 0.4))),
        at_damping=_bands(0.31, 0.32, 0.33, 0.34),
        at_calm=_bands(0.1, 0.2, 0.3, 0.4),
        chosen_speed=chosen,
        chance_below=0.1,
        wagging=_at(50.0, 38.0, 19.0, 70.0, 0.3),
        jackknife=_at(28.0, 29.0, 24.0, 80.0, 0.7),
        falls=_at(30.0, 31.0, 32.0, 33.0, 0.1),
        understeer=_bands(9.0, 9.0, 9.0, 9.0),
    )
    found = no_better(better, MODEL, 20.0)
    for part, own in zip(_numbers(found.damping), (0.31, 0.32, 0.33, 0.34), strict=True):
        assert list(part[:2]) == [own, own]
    assert [part[2] for part in _numbers(found.damping)] == [0.05, 0.06, 0.0, 0.1]
    assert [list(part) for part in _numbers(found.calm)] == [
        [own, own, was]
        for own, was in zip((0.1, 0.2, 0.3, 0.4), (2.0, 50.0, 1.0, 4.0), strict=True)
    ]
    whose = better if chosen == 20.0 else MODEL
    assert _numbers(found.at_damping) == _numbers(whose.at_damping)
    assert _numbers(found.at_calm) == _numbers(whose.at_calm)
    assert found.chance_below == whose.chance_below
    assert _numbers(found.wagging) == [40.0, 38.0, 19.0, 60.0, 0.2, False]
    assert _numbers(found.jackknife) == [26.0, 27.0, 24.0, 80.0, 0.6, False]
    assert _numbers(found.falls) == [20.0, 20.0, 20.0, 21.0, 0.1, False]
    assert found.understeer == MODEL.understeer
    assert found.first == "jackknife"


def test_nothing_is_claimed_beyond_the_trend() -> None:
    """Whatever the sharpened model says, wagging starts no later than where the recording's own
    line ends, and damping at no speed lies above that line."""
    heard = _falling([0.16, 0.11, 0.07, 0.05], [20.0, 23.0, 26.0, 28.0])
    _, model, given = _both(crewed(plain()), heard)
    assert heard.trend is not None
    assert heard.trend.tells
    assert given.wagging.value <= min(heard.trend.zero, model.wagging.value) + 1e-9
    assert given.wagging.low <= heard.trend.low + 1e-9
    line, _ = heard.trend.at(given.speeds)
    assert np.all(given.damping.value <= line + 1e-12)
    assert np.all(given.damping.value <= model.damping.value + 1e-12)


def test_without_a_trend_no_speed_is_raised() -> None:
    """Two calm swings at town speed do not move wagging to a higher speed than the rig file's."""
    heard = _falling([0.33, 0.31], [18.0, 19.0])
    assert shown_by(heard).gone == np.inf
    before, model, given = _both(crewed(plain()), heard)
    assert model.wagging.value > before.wagging.value or not np.isfinite(before.wagging.value)
    assert given.wagging.value <= max(before.wagging.value, 19.1)
    assert given.wagging.never <= min(before.wagging.never, model.wagging.never)


def test_a_growth_bounds_the_wagging_speed() -> None:
    """A swing seen to grow at a speed: wagging starts there or below, damping has fallen to
    whatever is asked for there or below, and nothing calms above."""
    heard = listen(growing(-0.05, 0.6, 1))
    before, _, given = _both(crewed(plain(cg=4.3)), heard)
    alone = heeded(before, heard, before)
    for one in (given.wagging, given.falls, alone.wagging, alone.falls):
        assert max(one.low, one.median, one.value) <= 25.0 + 1e-9
    assert np.all(given.damping.value[given.speeds >= 25.0] < 0)
    assert np.all(np.isinf(given.calm.value[given.speeds >= 25.0]))


def _text(told: Recording) -> str:
    rows = zip(told.times, np.degrees(told.swing), told.speed / MPH, strict=True)
    lines: list[Array] = [np.array(row) for row in rows]
    body = "\n".join(",".join(f"{x:.6g}" for x in line) for line in lines)
    return f"time [s],yaw rate [deg/s],speed [mph]\n{body}\n"


def test_the_command_tells_the_danger(tmp_path: Path) -> None:
    """A growing swing is the first thing said, and the exit code is 1, without a rig too."""
    path = tmp_path / "log.csv"
    path.write_text(_text(growing(-0.05, 0.6, 1)), encoding="utf-8")
    result = CliRunner().invoke(main, ["sway", "--recording", str(path)])
    assert result.exit_code == 1
    assert "DANGER" in result.output.splitlines()[0]
    assert max(len(line) for line in result.output.splitlines()) <= 80


def test_the_slowest_swing_that_grew_is_the_one_told() -> None:
    """Of two, the one at 25 m/s: the rig loses itself from 90 km/h on, not from 108."""
    slow, fast = (
        SimpleNamespace(grows=True, speed=speed, fit=SimpleNamespace(ratio=ratio))
        for speed, ratio in ((25.0, -0.02), (30.0, -0.05))
    )
    for one in (slow, fast):
        one.low, one.high, one.doubling = -0.06, -0.01, 4.0
    heard = cast("Heard", SimpleNamespace(episodes=(fast, slow), refused={}))
    said = " ".join(" ".join(growth_lines(heard, "metric")).split())
    assert "at 90 km/h a swing GREW by itself: damping ratio -0.020 (-0.060 to -0.010)" in said


def test_where_damping_is_gone_is_told_from_low_to_high() -> None:
    """25, 30 and 35 m/s."""
    line = cast("Any", SimpleNamespace(low=25.0, zero=30.0, high=35.0))
    assert _zero(line, "metric") == "at 108 km/h (95 %: 90 km/h to 126 km/h)"


def test_what_is_given_is_told_before_what_the_model_says() -> None:
    """The lower speed and damping of the two stand, and the model's are what they are not."""
    given, model = (
        SimpleNamespace(
            key="a",
            chosen_speed=100 / 3.6,
            wagging=SimpleNamespace(value=speed),
            at_damping=SimpleNamespace(value=ratio),
        )
        for speed, ratio in ((25.0, 0.05), (30.0, 0.08))
    )
    asked = (SimpleNamespace(stage="a"), model, given, "metric")
    said = " ".join(" ".join(disagreement(*cast("Any", asked), heeds=True)).split())
    assert (
        "sway grows from 90 km/h, not from 108 km/h; damping 0.050 at 100 km/h, not 0.080" in said
    )
    assert not list(disagreement(*cast("Any", (asked[0], given, model, "metric")), heeds=True))
    given.wagging, model.wagging = (SimpleNamespace(value=speed) for speed in (56.0, 70.0))
    said = " ".join(" ".join(disagreement(*cast("Any", asked), heeds=True)).split())
    assert "sway grows" not in said  # beyond the 200 km/h that is told, both
