"""A recording read, listened to and put to use: what is found, what is refused, in what words."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from tests.recordings import QUIET, coloured, recording, swing_after, uneven
from tests.rigs import plain

from steelyard.cli import main
from steelyard.estimate import Array
from steelyard.files import FileFaultError
from steelyard.files.recordings import LARGEST, parse_recording, read_recording
from steelyard.rig import Rig
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.linear.search import across
from steelyard.swaying.recordings.episodes import (
    Lobes,
    _climb,
    _end,
    _grew,
    _lobes,
    _run,
    _same,
    gaps,
)
from steelyard.swaying.recordings.identify import Fit, aside, fit, swung
from steelyard.swaying.recordings.recording import (
    Heard,
    _doubt,
    _rate,
    listen,
    require_units,
)
from steelyard.swaying.recordings.trend import enough, trend
from steelyard.swaying.recordings.update import sharpen
from steelyard.travel import crewed, plan_stages

HEAD = "time [s],yaw rate [deg/s],speed [mph]"
MPH = 1609.344 / 3600


def _drive(
    ratios: list[float], speeds: list[float], hertz: float = 0.6, rate: float = 40.0
) -> tuple[Array, Array, Array]:
    """A push every 30 s at each speed: times, yaw rate in rad/s with noise and drift, speeds."""
    rng = np.random.default_rng(7)
    times = uneven(rng, rate, 30.0 * len(speeds))
    swing = coloured(rng, times, 0.001, 0.0) + 0.01 + 2e-4 * times
    for place, ratio in enumerate(ratios):
        one = swing_after(times, 30 * place + QUIET, ratio, hertz, 0.1)
        swing = swing + one * (times < 30 * place + 27)
    edges = np.concatenate([[30.0 * k, 30.0 * k + 24.0] for k in range(len(speeds))])
    return times, swing, np.interp(times, edges, np.repeat(speeds, 2))


def _text(times: Array, swing: Array, speed: Array, head: str = HEAD, mark: str = ",") -> str:
    rows = [mark.join(f"{x:.6g}" for x in row) for row in zip(times, swing, speed, strict=True)]
    return "\n".join([head, *rows])


def _csv(ratios: list[float], speeds: list[float], **more: float) -> str:
    times, swing, speed = _drive(ratios, speeds, **more)
    return _text(times, np.degrees(swing), speed / MPH)


FALLING = ([0.2, 0.15, 0.11, 0.09], [18.0, 21.0, 24.0, 26.0])


def _heard(text: str) -> Heard:
    return listen(parse_recording(text, "log.csv"))


def _why(text: str) -> str:
    """The one sentence a text is refused with."""
    with pytest.raises((FileFaultError, ValueError)) as caught:
        _heard(text)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_a_drive_is_heard() -> None:
    """Each push is an episode with its damping in the middle of its interval, frequency and speed;
    drift does not matter."""
    heard = _heard(_csv(*FALLING))
    ratios, speeds = FALLING
    assert [one.fit.ratio for one in heard.episodes] == pytest.approx(ratios, abs=0.01)
    assert [one.speed for one in heard.episodes] == pytest.approx(speeds, abs=0.05)
    assert all(one.low <= r <= one.high for one, r in zip(heard.episodes, ratios, strict=True))
    middles = [(one.low + one.high) / 2 for one in heard.episodes]
    assert middles == pytest.approx([one.fit.ratio for one in heard.episodes])
    assert heard.trend is not None
    assert heard.trend.tells


def test_units_and_marks_of_the_header() -> None:
    """The same drive in rad/s, km/h, ms, with semicolons and decimal commas, says the same."""
    times, swing, speed = _drive(*FALLING)
    head = "Timestamp (ms);Gyro_Z (rad/s);GPS speed (km/h);Altitude (m)"
    text = _text(1000 * times, swing, 3.6 * speed, head, ";").replace(".", ",")
    first, second = (listen(parse_recording(x, "a.csv")) for x in (text, _csv(*FALLING)))
    found, want = ([one.fit.ratio for one in x.episodes] for x in (first, second))
    assert found == pytest.approx(want, abs=2e-3)
    assert first.recording.remarks == ("columns not read: Altitude (m)",)


def test_articulation_is_read() -> None:
    """Articulation comes before yaw rate where both are there."""
    times, swing, speed = _drive([0.1], [20.0])
    rows = zip(times, np.degrees(swing), 0 * swing, speed, strict=True)
    body = "\n".join(",".join(f"{x:.6g}" for x in row) for row in rows)
    told = parse_recording(
        f"t [s],articulation [deg],yaw rate [rad/s],speed [m/s]\n{body}", "a.csv"
    )
    assert told.quantity == "articulation"
    assert listen(told).episodes[0].fit.ratio == pytest.approx(0.1, abs=0.01)


def test_a_slow_speed_sensor_is_filled_in() -> None:
    """A speed on every fortieth line only is enough, and is told."""
    lines = _csv([0.1], [20.0]).split("\n")
    kept = [x if k % 40 == 1 or k == 0 else x.rsplit(",", 1)[0] + "," for k, x in enumerate(lines)]
    heard = _heard("\n".join(kept))
    assert heard.episodes[0].speed == pytest.approx(20.0, abs=0.05)
    assert "lines without a speed" in heard.recording.remarks[0]


def test_one_wiggle_is_no_trend() -> None:
    """One swing, or three at one speed, give damping only."""
    assert _heard(_csv([0.1], [20.0])).trend is None
    assert _heard(_csv([0.1, 0.1, 0.1], [20.0, 20.4, 20.2])).trend is None
    assert not enough(np.array([18.0, 26.0]))
    assert enough(np.array([18.0, 18.0, 26.0]))


def test_a_flat_trend_claims_nothing() -> None:
    """Damping that does not surely fall has no zero to tell."""
    line = trend(np.array([18.0, 22.0, 26.0]), np.array([0.1, 0.11, 0.1]), np.full(3, 0.01))
    assert not line.tells
    assert line.high == np.inf


@pytest.mark.parametrize(
    ("sizes", "last"),
    [((1.0, 0.8, 0.6, 0.5), 3), ((1.0, 0.8, 1.0, 0.9), 1), ((1.0, 0.8, 0.1, 0.05), 1)],
)
def test_a_free_swing_ends_where_it_grows_or_is_not_seen(
    sizes: tuple[float, ...], last: int
) -> None:
    """Half-swings a second apart over noise of 0.1: a run goes on while each is smaller than that
    before it and stands out of the noise."""
    peaks = np.arange(4.0)
    assert _run(Lobes(peak=peaks, size=np.array(sizes), end=peaks + 0.5), 0, 0.1) == last


@pytest.mark.parametrize(
    ("push", "close", "end"),
    [(18.0, 40.0, 8.0), (18.0, 5.0, 5.0), (9.0, 40.0, 6.0), (6.8, 40.0, 4.0)],
)
def test_what_is_fitted_ends_before_the_next_push(push: float, close: float, end: float) -> None:
    """Half-swings of 2 s, of which the last peaks at 4 s: a whole swing more, to 8 s, unless the
    recording closes before or a push shows, which begins 3 s before its own peak; never less than
    what was seen to be free."""
    peaks = np.array([0.0, 2.0, 4.0, push])
    lobes = Lobes(peak=peaks, size=np.array([0.8, 0.6, 0.4, 1.0]), end=peaks + 1.0)
    assert _end(lobes, 2, 2.0, close) == pytest.approx(end)


@pytest.mark.parametrize("alike", [0.0, 0.5, 0.8])
def test_noise_that_is_alike_counts_as_fewer_samples(alike: float) -> None:
    """Of n samples whose noise keeps a part r to the next, n (1 - r)/(1 + r) are worth one of white
    noise each (variance of a first-order autoregressive series' mean); seven are fitted away."""
    rng = np.random.default_rng(3)
    times = np.arange(0.0, 20.0, 0.05)
    noise = coloured(rng, times, 0.004, -0.05 / np.log(alike) if alike else 0.0)
    found = fit(times, 0.1 * np.exp(-0.15 * times) * np.cos(3.0 * times) + noise, np.pi / 3.0)
    worth = len(times) * (1.0 - alike) / (1.0 + alike) - 7
    assert found.degrees == pytest.approx(worth, rel=0.2)


@pytest.mark.parametrize("w", [3.0, 5.0, 7.0])
def test_a_swing_is_found_though_its_half_was_misread(w: float) -> None:
    """Peaks of noise make half a swing look half or a quarter as long: what is fitted is still the
    swing that was put in."""
    times = np.arange(0.0, 12.0, 0.05)
    noise = coloured(np.random.default_rng(3), times, 0.02, 0.0)
    swing = 0.1 * np.exp(-0.8 * times) * np.cos(w * times) + noise
    for part in (0.5, 0.25):
        found = fit(times, swing, part * np.pi / w)
        assert abs(found.frequency - w) < 3 * found.frequency_sd < 0.6


@pytest.mark.parametrize(
    ("sizes", "steps", "free", "grows"),
    [
        ((1.0, 0.9, 1.15 * 0.9), (1.0, 1.0), 2, 0),  # 15 % more than before is no push yet
        ((1.0, 0.9, 1.044), (1.0, 1.0), 1, 0),
        ((1.0, 0.9, 0.21), (1.0, 1.0), 2, 0),  # over twice the noise of 0.1, and under
        ((1.0, 0.9, 0.19), (1.0, 1.0), 1, 0),
        ((1.0, 1.1, 1.023), (1.0, 0.71), 2, 2),  # 7 % less while it grows, and 9 %
        ((1.0, 1.1, 1.001), (1.0, 1.0), 2, 1),
        ((1.0, 1.1, 1.2), (1.0, 0.7), 2, 1),  # its time: a third either way while it grows
        ((1.0, 1.1, 1.2), (1.0, 1.39), 2, 2),
        ((1.0, 1.1, 1.2), (1.0, 1.4), 2, 1),
        ((1.0, 0.9, 0.8), (1.0, 0.56), 2, 0),  # and wider while it is free
        ((1.0, 0.9, 0.8), (1.0, 0.54), 1, 0),
        ((1.0, 0.9, 0.8), (1.0, 1.79), 2, 0),
        ((1.0, 0.9, 0.8), (1.0, 1.81), 1, 0),
        ((1.0, 1.0), (0.25,), 1, 1),  # between 0.25 and 3 s at all
        ((1.0, 1.0), (0.24,), 0, 0),
        ((1.0, 1.0), (3.0,), 1, 1),
        ((1.0, 1.0), (3.01,), 0, 0),
        ((0.21, 0.24), (1.0,), 1, 1),
        ((0.19, 0.215), (1.0,), 1, 0),
    ],
)
def test_which_half_swings_belong_to_one_run(
    sizes: tuple[float, ...], steps: tuple[float, ...], free: int, grows: int
) -> None:
    """Just inside and just outside what two neighbours may differ by (assumed)."""
    peak = np.cumsum([0.0, *steps])
    lobes = Lobes(peak=peak, size=np.array(sizes), end=peak + 0.5)
    assert (_run(lobes, 0, 0.1), _climb(lobes, 0, 0.1)) == (free, grows)


@pytest.mark.parametrize(
    ("sizes", "grew"),
    [
        (np.geomspace(1.0, 1.26, 5), True),
        (np.geomspace(1.0, 1.24, 5), False),
        (np.geomspace(0.3, 0.51, 5), True),
        (np.geomspace(0.3, 0.49, 5), False),
        (np.exp([0.0, 1.19, 1.6, 2.0]), True),
        (np.exp([0.0, 1.21, 1.6, 2.0]), False),
    ],
)
def test_what_grew_grew_by_a_quarter_in_step(sizes: Array, *, grew: bool) -> None:
    """Out of five times the noise of 0.1, no step making more than six tenths of it (assumed)."""
    assert _grew(sizes, 0.1) is grew


def test_gaps_are_four_steps_or_three_tenths_of_a_second() -> None:
    """Whichever is more, of the usual step (assumed)."""
    for step, longer in ((0.1, (0.39, 0.41)), (0.05, (0.29, 0.31))):
        times = np.cumsum([0.0, *[step] * 9, longer[0], *[step] * 9, longer[1], step])
        assert gaps(times).tolist() == [19]


def test_half_swings_of_a_sine_by_trigonometry() -> None:
    """Of one that turns in 2 s: greatest a quarter in, as high as it is, zero a quarter later."""
    at = np.arange(0.0, 4.0, 0.01) + 0.005
    lobes = _lobes(at, 0.3 * np.sin(np.pi * at), 0.01)
    assert lobes.peak == pytest.approx(np.array([0.5, 1.5, 2.5, 3.5]), abs=0.006)
    assert lobes.size == pytest.approx(np.full(4, 0.3), rel=1e-3)
    assert lobes.end == pytest.approx(np.array([1.0, 2.0, 3.0, 4.0]), abs=0.011)


def test_two_stretches_are_one_where_they_share_half_the_shorter() -> None:
    """2.1 s long and 1.1 of them shared; then 0.9."""
    assert _same((0.0, 4.0, 1.0), (2.9, 5.0, 1.0))
    assert not _same((0.0, 4.0, 1.0), (3.1, 5.2, 1.0))


def _fitted(**more: Any) -> Fit:
    said = {"decay": 0.2, "frequency": 4.0, "cov": np.eye(2) * 1e-8, "sizes": (0.1, 0.0)}
    rest = {"offset": 0.02, "drift": 0.0, "slow": 0.01, "noise": 0.001, "alike": 0.0}
    return Fit(**{**said, **rest, "degrees": 100, **more})


_UNIT = _fitted(cov=np.diag([1.0, 0.0])).ratio_sd
_STEEP = {part: {"decay": 4.0 * part / np.sqrt(1 - part**2)} for part in (0.59, 0.61, -0.19, -0.21)}


@pytest.mark.parametrize(
    ("said", "lasting", "step", "change", "reason"),
    [
        ({}, 5.0, 0.025, 0.059, None),
        ({}, 5.0, 0.025, 0.061, "speed"),
        ({}, 5.0, 0.025, -0.061, "speed"),
        ({}, 5.2, 0.26, 0.0, None),  # six samples in a swing of pi/2 s
        ({}, 5.3, 0.265, 0.0, "sampling"),
        ({"noise": 0.0249}, 5.0, 0.025, 0.0, None),  # a quarter of 0.1
        ({"noise": 0.0251}, 5.0, 0.025, 0.0, "faint"),
        ({"noise": 0.06, "decay": -0.2}, 5.0, 0.025, 0.0, None),  # of 0.1 e, as it ends
        ({"noise": 0.07, "decay": -0.2}, 5.0, 0.025, 0.0, "faint"),
        ({"cov": np.full((2, 2), np.nan)}, 5.0, 0.025, 0.0, "faint"),
        ({"drift": -0.0399}, 5.0, 0.025, 0.0, None),  # twice the swing in 5 s
        ({"drift": -0.0401}, 5.0, 0.025, 0.0, "drift"),
        ({}, 1.89, 0.01, 0.0, None),  # 1.2 swings are 1.885 s
        ({}, 1.88, 0.01, 0.0, "short"),
        ({"frequency": 2 * np.pi * 0.151}, 10.0, 0.025, 0.0, None),
        ({"frequency": 2 * np.pi * 0.149}, 10.0, 0.025, 0.0, "short"),
        ({"frequency": 2 * np.pi * 2.49}, 5.0, 0.025, 0.0, None),
        ({"frequency": 2 * np.pi * 2.51}, 5.0, 0.025, 0.0, "short"),
        (_STEEP[0.59], 5.0, 0.025, 0.0, None),
        (_STEEP[0.61], 5.0, 0.025, 0.0, "shape"),
        (_STEEP[-0.19], 5.0, 0.025, 0.0, None),
        (_STEEP[-0.21], 5.0, 0.025, 0.0, "shape"),
        ({"cov": np.diag([(0.059 / _UNIT) ** 2, 0.0])}, 5.0, 0.025, 0.0, None),
        ({"cov": np.diag([(0.061 / _UNIT) ** 2, 0.0])}, 5.0, 0.025, 0.0, "shape"),
        ({"more": 2.3}, 5.0, 0.025, 0.0, None),  # 2.3/3.3 squared is under half, 2.5/3.5 over
        ({"more": 2.5}, 5.0, 0.025, 0.0, "shape"),
    ],
)
def test_why_a_fit_tells_nothing(
    said: dict[str, Any], lasting: float, step: float, change: float, reason: str | None
) -> None:
    """Just inside and just outside each bound of what a free swing is (assumed)."""
    said = dict(said)
    unlike = 1.0 + said.pop("more", 0.0)
    found = _fitted(**said)
    t = np.linspace(0.0, lasting, round(lasting / step) + 1)
    assert _doubt(found, t + 3.0, aside(found, t) + unlike * swung(found, t), change) == reason


def test_a_log_in_another_unit_is_told_from_one_that_is_not() -> None:
    """Between 0.2 and 20,000 samples a second, 60 m/s, and a sideways pull (yaw rate times speed)
    of 0.15 to 15 m/s2: just outside each it is told, just inside it is not (assumed)."""
    square = np.where(np.arange(400) % 16 < 8, 1.0, -1.0)

    def told(size: float = 0.1, u: float = 20.0, rate: float = 40.0, count: int = 400) -> str:
        one = recording(np.arange(count) / rate, size * square[:count], u)
        try:
            _rate(one)
            require_units(one)
        except ValueError as error:
            return str(error)
        return ""

    assert told() == told(u=59.9) == told(rate=19e3) == told(count=12) == ""
    assert told(size=0.74) == told(size=0.0076) == ""
    for words, more in (
        ("a speed of the road", {"u": 60.1}),
        ("looks like s, not ms", {"rate": 21e3}),
        ("looks like ms, not s", {"rate": 0.19}),
        ("too slow for a trailer", {"rate": 0.21}),
        ("of some seconds", {"count": 11}),
        ("more than any rig survives", {"size": 0.76}),
        ("it looks like rad", {"size": 0.0074}),
    ):
        assert words in told(**more)


def test_far_is_said() -> None:
    """A zero far above the speeds driven is called far outside."""
    u = np.array([15.0, 18.0, 20.0])
    assert trend(u, 3 * (1 / u - 1 / 40), np.full(3, 1e-3)).far
    assert not trend(u, 3 * (1 / u - 1 / 24), np.full(3, 1e-3)).far


def test_gaps_are_not_bridged() -> None:
    """A gap in the middle of the only swing leaves none, and the words say so."""
    times, swing, speed = _drive([0.1], [20.0])
    keep = (times < QUIET + 0.9) | (times > 25)
    for start in (1.6, 3.0, 4.5, 6.0, 7.5):
        keep |= (times > QUIET + start) & (times < QUIET + start + 0.8)
    assert "gap" in _why(_text(times[keep], np.degrees(swing[keep]), speed[keep] / MPH))


SHORT = "0,1,50\n1,1,50\n"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "found an empty file"),
        (" \n\n", "found an empty file"),
        (HEAD, "expected lines of numbers below the header"),
        ("yaw rate [deg/s],speed [mph]\n1,2", "found no time"),
        ("time [s],speed [mph]\n1,2", "found neither"),
        ("time [s],yaw rate [deg/s]\n1,2", "found no speed"),
        ("time [s],yaw rate,speed [mph]\n1,2,3", "line 1, yaw rate: expected its unit"),
        ("time [s],yaw rate [rpm],speed [mph]\n1,2,3", 'found "rpm"'),
        (f"time [s],{HEAD}\n1,2,3,4", "expected one time column"),
        (f"{HEAD}\n0,1,50\n0.1,x,50", 'line 3, yaw rate: expected a number, found "x"'),
        (f"{HEAD}\n0,1,50\n,1,50", "line 3, time: expected a time"),
        (f"{HEAD}\n0,1,50\n0.2,1,50\n0.1,1,50", "line 4: expected time to rise"),
        (f"{HEAD}\n0,1,50\n0,1,50", "line 3: expected time to rise"),
        (f"{HEAD}\n0,1,50\n1,1,-3", "line 3: expected a speed above zero"),
        (f"{HEAD}\n0,1,0\n1,1,0", "found zero in every line"),
        (f"{HEAD}\n0,1,\n1,1,", "expected a speed, found none in any line"),
        (f"{HEAD}\n0,,50\n1,,50", "expected a swing in lines that roll"),
        (f"{HEAD}\n{SHORT}", "expected a recording of some seconds"),
    ],
)
def test_files_that_cannot_be_used(text: str, words: str) -> None:
    """Each is told in one sentence, with the line where there is one."""
    assert words in _why(text)


def _shaped(swing: float = 1.0, speed: float = 1.0, time: float = 1.0, rate: float = 40.0) -> str:
    times, x, u = _drive([0.1], [20.0], rate=rate)
    return _text(times * time, np.degrees(x) * swing, u / MPH * speed)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (_shaped(swing=np.pi / 180), "it looks like rad/s"),
        (_shaped(swing=180 / np.pi), "far more than any rig survives"),
        (_shaped(speed=4.0), "it looks like another unit"),
        (_shaped(time=1000.0), "the time looks like ms"),
        (_shaped(rate=3.0), "too slow for a trailer's swing"),
    ],
)
def test_wrong_units_and_sampling(text: str, words: str) -> None:
    """Implausible sizes are told as what they look like."""
    assert words in _why(text)


def _made(swing: Array, speed: Array | float = 20.0) -> str:
    times = np.arange(len(swing)) / 40.0
    u = np.broadcast_to(np.asarray(speed), times.shape)
    return _text(times, np.degrees(swing), u / MPH)


def test_too_little_excitation() -> None:
    """Noise alone is no swing, however much of it there is."""
    rng = np.random.default_rng(2)
    for sd in (0.001, 0.01, 0.05):
        assert "too little excitation" in _why(_made(sd * rng.normal(size=2400)))


def test_only_drift() -> None:
    """A sensor that wanders is no swing."""
    rng = np.random.default_rng(2)
    wander = np.linspace(0.0, 0.3, 2400) + 0.001 * rng.normal(size=2400)
    assert "drift" in _why(_made(wander))


def test_braking_is_refused() -> None:
    """A swing while the speed changes is not used, and the words say why."""
    times, swing, _ = _drive([0.05], [20.0])
    text = _text(times, np.degrees(swing), np.linspace(30.0, 12.0, len(times)) / MPH)
    assert "the speed changes" in _why(text)


def test_a_large_file_is_not_read(tmp_path: Path) -> None:
    """50 MB are refused before they are read."""
    path = tmp_path / "large.csv"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    with pytest.raises(FileFaultError, match=f"at most {LARGEST:,} bytes"):
        read_recording(path)
    with pytest.raises(FileFaultError, match="expected a recording, found none"):
        read_recording(tmp_path / "none.csv")


def _rig() -> Rig:
    return crewed(plain())


def _as_foretold(rig: Rig, shift: float) -> Heard:
    """A drive in which the rig swings as its file foretells, but for `shift` of damping ratio."""
    v, plan = prior(rig).estimate.at_mean(), plan_stages(rig)[0]
    speeds = np.array([20.0, 23.0, 26.0, 28.0])
    want = across(combination(rig, v, loads(rig, v, (plan,))), speeds)
    hertz = float(np.mean(want.frequency)) / (2 * np.pi)
    ratios = [float(x) + shift for x in np.ravel(want.ratio)]
    times, swing, u = _drive(ratios, list(speeds), hertz=hertz)
    return listen(recording(times, swing, u))


def test_a_rig_gets_sharper() -> None:
    """Tyres and inertia are known better after a recording, and follow what it says."""
    rig = _rig()
    found = sharpen(rig, _as_foretold(rig, 0.03))
    place = found.before.index["trailer.axles.cornering"]
    assert np.all(found.after.sd <= found.before.sd * (1 + 1e-9))
    assert found.after.sd[place] < 0.95 * found.before.sd[place]
    assert found.after.mean[place] > found.before.mean[place]
    assert found.after.names == found.before.names
    pull = {
        name: abs(found.after.mean[at] - found.before.mean[at]) / found.before.sd[at]
        for name, at in found.before.index.items()
    }
    assert found.pulled == max(pull, key=lambda name: pull[name])
    assert found.pull == pytest.approx(pull[found.pulled])
    assert found.pull < 3.0


def _call(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["sway", *words])
    return result.exit_code, result.output


def test_the_command_without_a_rig(tmp_path: Path) -> None:
    """A recording alone is enough; the danger is told; JSON and figures are there."""
    path = tmp_path / "log.csv"
    path.write_text(_csv(*FALLING), encoding="utf-8")
    code, said = _call("--recording", str(path))
    assert code == 0
    assert "public road is dangerous" in " ".join(said.split())
    assert "extrapolation" in " ".join(said.split())
    code, said = _call("--recording", str(path), "--json", "--figure", str(tmp_path / "a.svg"))
    told = json.loads(said)
    assert code == 0
    assert len(told["episodes"]) == 4
    assert told["trend"]["axis"] == "1/speed"
    assert (tmp_path / "a.svg").stat().st_size > 5000


def test_the_command_with_a_rig(tmp_path: Path) -> None:
    """With a rig the answer is sharper, before and after stand side by side."""
    assert CliRunner().invoke(main, ["demo", "--into", str(tmp_path)]).exit_code in (0, 1, 3)
    path = tmp_path / "log.csv"
    path.write_text(_csv([0.3, 0.25, 0.2, 0.17], [20.0, 23.0, 26.0, 29.0], hertz=0.53))
    rig = str(tmp_path / "perihelion-camper.toml")
    code, said = _call(rig, "--recording", str(path), "--all")
    words = " ".join(said.split())
    assert code in (0, 1, 3)
    assert "rig file with recording" in words
    assert "trailer tires, stiffness/load" in words
    assert max(len(line) for line in said.splitlines()) <= 80


def test_the_command_refuses(tmp_path: Path) -> None:
    """Neither rig nor recording, no file, an empty file: exit 2 and one sentence."""
    path = tmp_path / "log.csv"
    path.write_text("")
    for words in ((), ("--recording", str(tmp_path / "none.csv")), ("--recording", str(path))):
        code, said = _call(*words)
        assert code == 2
        assert said.startswith(("expected", str(tmp_path), "log.csv"))
        assert said.count("\n") == 1
