"""The sway answer as JSON for programs; versioned, only grows."""

import math
from typing import Any, Final

import numpy as np

from steelyard.assessment.sway_advice import Advice
from steelyard.quantity import GRAVITY
from steelyard.rig import Rig
from steelyard.sway import StageSway, Trace
from steelyard.sway.answers import Band, CriticalSpeed

SWAY: Final = 1
"""Version of this form."""


def sway_report(
    rig: Rig, found: tuple[StageSway, ...], advice: tuple[Advice, ...], trace: Trace | None
) -> dict[str, Any]:
    """Every stage's answer, the moves, and the run where there was one; SI units in every name."""
    return {
        "sway": SWAY,
        "rig": rig.name,
        "stages": [_stage(one) for one in found],
        "moves": [_advice(one) for one in advice],
        "run": None if trace is None else _run(trace),
    }


def _advice(one: Advice) -> dict[str, Any]:
    move = one.move
    changes = {"ball": one.tongue, "front": one.front, "rear": one.rear, "trailer_axles": one.axles}
    return {
        "kind": move.kind,
        "what": move.what,
        "from": move.source,
        "to": move.target,
        "amount_si": _number(move.amount),
        "damping_gain": _number(move.gain),
        "wagging_before_mps": _number(move.before.wagging),
        "wagging_after_mps": _number(move.after.wagging),
        **{f"{name}_change_kg": _number(newtons / GRAVITY) for name, newtons in changes.items()},
        "breaks_a_limit": bool(one.breaks),
        "limits": [
            {
                "name": hurt.name,
                "before": hurt.before,
                "after": hurt.after,
                "margin_si": _number(hurt.margin),
            }
            for hurt in one.hurts
        ],
    }


def _stage(one: StageSway) -> dict[str, Any]:
    return {
        "key": one.key,
        "title": one.title,
        "speeds_mps": [float(u) for u in one.speeds],
        "damping": _band(one.damping),
        "frequency_rad_s": _band(one.frequency),
        "calms_to_a_tenth_s": _band(one.calm),
        "asked": {
            "speed_mps": one.chosen_speed,
            "ratio": one.chosen_ratio,
            "damping": _band(one.at_damping),
            "calms_to_a_tenth_s": _band(one.at_calm),
            "chance_below": one.chance_below,
        },
        "wagging_mps": _speed(one.wagging),
        "jackknife_mps": _speed(one.jackknife),
        "falls_to_ratio_mps": _speed(one.falls),
        "calms_again_mps": _number(one.calms_again),
        "understeer_rad_s2_m": _band(one.understeer),
        "first": one.first,
        "wagging_first": one.wagging_first,
        "jackknife_first": one.jackknife_first,
    }


def _number(x: float) -> float | None:
    """None for what never happens."""
    return float(x) if math.isfinite(x) else None


def _band(band: Band) -> dict[str, Any]:
    parts = {"value": band.value, "best": band.best, "low": band.low, "high": band.high}
    return {key: _numbers(x) for key, x in parts.items()}


def _numbers(x: Any) -> Any:
    array = np.asarray(x, dtype=float)
    return _number(float(array)) if array.ndim == 0 else [_number(float(one)) for one in array]


def _speed(found: CriticalSpeed) -> dict[str, Any]:
    return {
        "value": _number(found.value),
        "median": _number(found.median),
        "low": _number(found.low),
        "high": _number(found.high),
        "never": found.never,
        "shown_by_recording": found.shown,
        "told": found.known,
    }


def _run(trace: Trace) -> dict[str, Any]:
    every = slice(None, None, max(len(trace.times) // 500, 1))
    return {
        "times_s": [float(t) for t in trace.times[every]],
        "articulation_rad": [float(a) for a in trace.of("angle")[every]],
        "aside_m": [float(y) for y in trace.of("y")[every]],
    }
