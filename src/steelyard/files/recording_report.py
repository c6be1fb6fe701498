"""What a recording tells, as JSON for programs; versioned, only grows."""

import math
from typing import Any, Final

from steelyard.quantity import Z95
from steelyard.swaying.recordings.recording import Episode, Heard
from steelyard.swaying.recordings.trend import Trend
from steelyard.swaying.recordings.update import TOLD, Sharpened

RECORDING: Final = 1
"""Version of this form."""


def recording_report(heard: Heard, sharpened: Sharpened | None = None) -> dict[str, Any]:
    """Episodes, trend, and the parameters before and after; SI units in every name."""
    return {
        "recording": RECORDING,
        "quantity": heard.recording.quantity,
        "samples_per_s": heard.rate,
        "gaps": heard.gaps,
        "remarks": list(heard.recording.remarks),
        "refused": dict(heard.refused),
        "episodes": [_episode(one) for one in heard.episodes],
        "trend": None if heard.trend is None else _trend(heard.trend),
        "trend_in_speed": None if heard.straight is None else _trend(heard.straight),
        "grows": heard.grows,
        "rig": None if sharpened is None else _sharpened(sharpened),
    }


def _episode(one: Episode) -> dict[str, Any]:
    return {
        "start_s": one.start,
        "end_s": one.end,
        "speed_mps": one.speed,
        "speed_change_mps": one.speed_change,
        "damping": {"value": one.fit.ratio, "low": one.low, "high": one.high},
        "damping_by_peaks": one.peaks if math.isfinite(one.peaks) else None,
        "frequency_rad_s": {
            "value": one.fit.frequency,
            "low": one.fit.frequency - one.fit.reach * one.fit.frequency_sd,
            "high": one.fit.frequency + one.fit.reach * one.fit.frequency_sd,
        },
        "amplitude_si": one.fit.amplitude,
        "noise_si": one.fit.noise,
        "noise_correlation": one.fit.alike,
        "drift_si_per_s": one.fit.drift,
        "first_half_swing_left_out": one.later,
        "grows": one.grows,
    }


def _trend(line: Trend) -> dict[str, Any]:
    speeds = {"value": line.zero, "low": line.low, "high": line.high}
    return {
        "axis": {"inverse": "1/speed", "speed": "speed"}[line.axis],
        "at_zero": float(line.line[0]),
        "slope": float(line.line[1]),
        "scatter": line.scatter,
        "falls_surely": line.tells,
        "far_outside": line.far,
        "zero_damping_mps": {key: x if math.isfinite(x) else None for key, x in speeds.items()}
        if line.tells
        else None,
    }


def _sharpened(found: Sharpened) -> dict[str, Any]:
    beliefs = {"before": found.before, "after": found.after}
    return {
        "stage": found.stage,
        "parameters": {
            name: {
                when: {
                    "value_si": float(belief.at_mean()[name]),
                    "scale": belief.scales[belief.index[name]],
                    "spread_on_scale": Z95 * float(belief.sd[belief.index[name]]),
                }
                for when, belief in beliefs.items()
            }
            for name in TOLD
            if name in found.before.index
        },
        "furthest_moved": {"name": found.pulled, "sd": found.pull},
        "sd_from_foretold": [[float(x) for x in row] for row in found.off],
    }
