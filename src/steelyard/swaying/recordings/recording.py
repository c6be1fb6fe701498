"""What a recording of a rig on the road tells of its sway."""

from collections import Counter
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from steelyard.estimate import Array
from steelyard.fault import Fault, FaultError
from steelyard.swaying.recordings.episodes import Window, gaps, windows
from steelyard.swaying.recordings.identify import Fit, aside, by_peaks, fit, swung
from steelyard.swaying.recordings.trend import Trend, enough, trend

Quantity = Literal["yaw rate", "articulation"]
Reason = Literal["speed", "sampling", "drift", "faint", "short", "shape", "grew", "held"]

SLOWEST_RATE: Final = 5.0
"""Hz: under this no swing of a trailer (0.3 to 1.2 Hz) is followed."""
PER_SWING: Final = 6.0
"""Samples in one swing, at least."""
STEADY: Final = 0.06
"""Change of speed over an episode, as a share of it, at most."""
SHORTEST: Final = 1.2
"""Swings in an episode, at least."""
ROUGHEST: Final = 0.25
"""Noise over the swing where it is greatest, at its start unless it grows, at most."""
VAGUE: Final = 0.06
"""Sd of a damping ratio above which an episode tells nothing."""
UNLIKE: Final = 0.5
"""Share of the variance that no damped swing explains, at most."""
LATER: Final = 3.0
"""Sds by which a fit that starts half a swing later may differ."""
FAINT_TURN: Final = 0.15
"""m/s2: yaw rate times speed that any drive or swing worth the name passes."""
JUST: Final = 6.0
"""Half-swings after a growth in which a swing is no free one: tyres that let go hold its size."""
WILD_TURN: Final = 15.0
"""m/s2: yaw rate times speed that no trailer survives."""
FAINT_ANGLE: Final = 0.006
WILD_ANGLE: Final = 1.3
"""rad of articulation: less is no swing, more is a folded rig."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recording:
    """What was logged, SI: times (n,) s, rising; swing (n,) rad/s or rad; speed (n,) m/s, above
    zero. `unit` is the one the swing was written in, `remarks` what a reader should know."""

    quantity: Quantity
    unit: str
    speed_unit: str
    times: Array
    swing: Array
    speed: Array
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Episode:
    """One free swing: from `start` to `end`, s of the recording; speed m/s, its mean, with
    `speed_change` over the episode; `peaks` is the damping ratio by successive peaks, NaN if too
    few; `later`: the first half swing was left out because it was not free yet."""

    start: float
    end: float
    speed: float
    speed_change: float
    fit: Fit
    peaks: float
    later: bool

    @property
    def low(self) -> float:
        """Lower end of the damping ratio's 95 % interval."""
        return self.fit.ratio - self.fit.reach * self.fit.ratio_sd

    @property
    def high(self) -> float:
        """Upper end of it."""
        return self.fit.ratio + self.fit.reach * self.fit.ratio_sd

    @property
    def grows(self) -> bool:
        """Whether the swing surely grew: the whole interval of its damping is below zero."""
        return self.high < 0

    @property
    def doubling(self) -> float:
        """Time in which a growing swing doubles, s; inf where it shrinks."""
        return float(np.log(2.0)) / -self.fit.decay if self.fit.decay < 0 else float("inf")

    @property
    def swings(self) -> float:
        """How many whole swings it has."""
        return (self.end - self.start) * self.fit.frequency / (2 * np.pi)


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """Episodes in time order; `refused` counts stretches that swung but tell nothing, by reason:
    `grew` those whose swings grew too roughly to be measured, `held` those that had grown and then
    kept their size. trend, by 1/u, and `straight`, by u, where three episodes at two speeds allow
    one."""

    recording: Recording
    rate: float
    gaps: int
    episodes: tuple[Episode, ...]
    refused: dict[Reason, int]
    trend: Trend | None
    straight: Trend | None

    @property
    def grows(self) -> bool:
        """Whether any swing grew by itself, measured or not."""
        return any(one.grows for one in self.episodes) or self.refused.get("grew", 0) > 0


def listen(recording: Recording) -> Heard:
    """Episodes of free swing and their trend. Raises ValueError, in one sentence, where none is."""
    rate = _rate(recording)
    require_units(recording)
    found, refused = list[Episode](), Counter[Reason]()
    grown = -np.inf
    for window in windows(recording.times, recording.swing):
        one = episode(recording, window)
        if isinstance(one, Episode) and not window.grows:
            one = "held" if one.start < grown + JUST * window.half else one
        if window.grows:
            grown = float(recording.times[window.last])
        if isinstance(one, Episode):
            found.append(one)
        else:
            refused[one] += 1
    cuts = len(gaps(recording.times))
    if not found:
        raise FaultError(_none(recording, refused, cuts, rate))
    speeds = np.array([one.speed for one in found])
    lines: tuple[Trend | None, Trend | None] = (None, None)
    if enough(speeds):
        ratios = np.array([one.fit.ratio for one in found])
        sds = np.array([one.fit.ratio_sd for one in found])
        lines = trend(speeds, ratios, sds), trend(speeds, ratios, sds, "speed")
    return Heard(
        recording=recording,
        rate=rate,
        gaps=cuts,
        episodes=tuple(found),
        refused=dict(refused),
        trend=lines[0],
        straight=lines[1],
    )


def episode(recording: Recording, window: Window) -> Episode | Reason:
    """The free swing in a window, or why there is none to speak of."""
    part = slice(window.first, window.last)
    t, y = recording.times[part], recording.swing[part]
    if len(t) < 2 * PER_SWING * SHORTEST:
        if window.grows:
            return "grew"
        return "short" if _median_step(recording) * PER_SWING < 2 * window.half else "sampling"
    found, start = _settled(t, y, window.half)
    t, y = t[start:], y[start:]
    speed, change = _speed(t, recording.speed[part][start:])
    reason = _doubt(found, t, y, change / speed)
    if reason is not None:
        return "grew" if window.grows else reason
    return Episode(
        start=float(t[0]),
        end=float(t[-1]),
        speed=speed,
        speed_change=change,
        fit=found,
        peaks=by_peaks(t, y, found),
        later=start > 0,
    )


def _median_step(recording: Recording) -> float:
    return float(np.median(np.diff(recording.times)))


def _settled(t: Array, y: Array, half: float) -> tuple[Fit, int]:
    """The fit, started half a swing later where that tells of something else.

    Two fits of nested samples differ by a variance that is the difference of theirs (Hausman,
    Econometrica 46 (1978) 1251-1271): the push, or a faster motion of the rig, is still there.
    """
    found = fit(t, y, half)
    start = int(np.searchsorted(t, t[0] + np.pi / found.frequency))
    if found.frequency * (t[-1] - t[min(start, len(t) - 1)]) < 2 * np.pi * SHORTEST:
        return found, 0
    if len(t) - start < 4 * PER_SWING:
        return found, 0
    after = fit(t[start:], y[start:], half)
    spread = max(after.ratio_sd**2 - found.ratio_sd**2, 0.25 * after.ratio_sd**2)
    if after.ratio_sd > VAGUE or abs(after.ratio - found.ratio) < LATER * np.sqrt(spread):
        return found, 0
    return after, start


def _speed(t: Array, speed: Array) -> tuple[float, float]:
    """Mean speed and its change from first to last by a straight line."""
    middle = t - np.mean(t)
    slope = float(middle @ speed) / float(middle @ middle)
    return float(np.mean(speed)), slope * float(t[-1] - t[0])


def _doubt(found: Fit, t: Array, y: Array, change: float) -> Reason | None:
    """Why a fit tells nothing, if so."""
    lasting = float(t[-1] - t[0])
    size = found.amplitude * float(np.exp(np.clip(-found.decay * lasting, 0.0, 50.0)))
    swings = lasting * found.frequency / (2 * np.pi)
    if abs(change) > STEADY:
        return "speed"
    if 2 * np.pi / found.frequency < PER_SWING * float(np.median(np.diff(t))):
        return "sampling"
    if not np.isfinite(found.ratio_sd) or found.noise > ROUGHEST * size:
        return "faint"
    if abs(found.drift) * lasting > 2.0 * size:
        return "drift"
    if swings < SHORTEST or not 0.15 < found.frequency / (2 * np.pi) < 2.5:
        return "short"
    return "shape" if _strange(found, t, y) else None


def _strange(found: Fit, t: Array, y: Array) -> bool:
    """Whether what was fitted is no free swing: too vague, or too much is left over."""
    if found.ratio_sd > VAGUE or not -0.2 < found.ratio < 0.6:
        return True
    since = t - t[0]
    x = y - aside(found, since)
    left = x - swung(found, since)
    return float(left @ left) > UNLIKE * float(x @ x)


def _rate(recording: Recording) -> float:
    """Samples a second; ValueError where they are too few or time is in another unit."""
    if len(recording.times) < 2 * PER_SWING:
        raise FaultError(due="a recording of some seconds", found=f"{len(recording.times)} lines")
    rate = 1.0 / _median_step(recording)
    if rate > 2e4:
        raise FaultError(
            due="a few hundred samples a second at most",
            found=f"{rate:,.0f}: the time looks like s, not ms or us",
        )
    if rate < 0.2:
        raise FaultError(
            due="samples a fraction of a second apart",
            found=f"{1 / rate:,.0f} s: the time looks like ms, not s",
        )
    if rate < SLOWEST_RATE:
        raise FaultError(
            due=f"at least {SLOWEST_RATE:g} samples a second",
            found=f"{rate:.1f}: too slow for a trailer's swing of about one a second",
        )
    return rate


def require_units(recording: Recording) -> None:
    """Raise ValueError where sizes say that a unit in the header is another."""
    usual = float(np.median(recording.speed))
    if usual > 60.0:
        other = "km/h or mph" if recording.speed_unit == "m/s" else "another unit"
        raise FaultError(
            due="a speed of the road",
            found=f"{usual:.0f} m/s in the middle of the recording",
            hint=f"it looks like {other}, not {recording.speed_unit}",
        )
    swing, noise = _greatest(recording)
    turning = recording.quantity == "yaw rate"
    low, high = (FAINT_TURN / usual, WILD_TURN / usual) if turning else (FAINT_ANGLE, WILD_ANGLE)
    if swing > high:
        raise FaultError(_unlike(recording, swing, "deg", "far more than any rig survives"))
    if swing < low and swing > 8.0 * noise and "deg" in recording.unit:
        raise FaultError(_unlike(recording, swing, "rad", "far less than any swing one would feel"))
    if swing < low:
        raise FaultError(_faint(recording))


def _greatest(recording: Recording) -> tuple[float, float]:
    """Greatest swing about the middle (but for one sample in 500), and the sensor's noise."""
    x = recording.swing - np.median(recording.swing)
    noise = 1.4826 * float(np.median(np.abs(np.diff(x, 2)))) / np.sqrt(6.0)
    return float(np.quantile(np.abs(x), 0.998)), noise


def _unlike(recording: Recording, swing: float, base: str, what: str) -> Fault:
    own = "deg" if "deg" in recording.unit else "rad"
    written = swing * (180 / np.pi if own == "deg" else 1.0)
    other = recording.unit.replace(own, base)
    hint = f"it looks like {other}" if other != recording.unit else "it looks like another unit"
    due, found = f"the {recording.quantity} in {recording.unit}", f"{written:.3g} {recording.unit}"
    return Fault(due=due, found=f"at most {found}, {what}", hint=hint)


def _faint(recording: Recording) -> Fault:
    found = f"too little excitation: the {recording.quantity} hardly moves"
    return Fault(due="a swing that stands out of the noise", found=found)


def _none(recording: Recording, refused: Counter[Reason], cuts: int, rate: float) -> Fault:
    """Why no episode was found, by what most stretches were refused for."""
    if not refused:
        return _empty(recording, cuts)
    words: dict[Reason, str] = {
        "speed": "the speed changes during every swing found: hold it within 6 %",
        "sampling": f"{rate:.1f} samples a second are too slow for the swings found",
        "drift": "drift is larger than the swings found",
        "faint": "too little excitation: noise drowns the swings found",
        "short": "no swing was left to itself for long enough",
        "shape": "nothing that moved dies out like a trailer's swing",
        "grew": (
            "swings GREW without a push, but not evenly or at a speed steady enough to measure;"
            " that is danger: do not tow this rig at that speed"
        ),
    }
    words["held"] = words["grew"]
    reason: Reason = "grew" if refused["grew"] else refused.most_common(1)[0][0]
    found = f"none: {words[reason]}{_cut(cuts)}"
    return Fault(due="a free swing at a steady speed", found=found)


def _empty(recording: Recording, cuts: int) -> Fault:
    """Why no stretch even looks like a swing."""
    t, x = recording.times - recording.times[0], recording.swing
    line = np.polyval(np.polyfit(t, x, 1), t)
    if np.ptp(line) > 0 and float(np.std(x - line)) < 0.1 * float(np.ptp(line)):
        found = "only drift: the sensor wanders or the road bends"
        return Fault(due="a free swing", found=found)
    if cuts:
        return Fault(due="a free swing without a gap", found=f"none{_cut(cuts)}")
    return _faint(recording)


def _cut(cuts: int) -> str:
    return f"; the recording has {cuts} gap{'s' if cuts > 1 else ''} in time" if cuts else ""
