"""The fitting as JSON for programs; versioned, only grows."""

import math
from collections.abc import Callable
from typing import Any, Final

from steelyard.assessment import Spread
from steelyard.hitching import Bars, Clearance, Fit, Height, Jacking, Pitch, Step
from steelyard.quantity import GRAVITY
from steelyard.ratings import Standing

FIT: Final = 1
"""Version of this form."""


def fit_report(found: Fit) -> dict[str, Any]:
    """The whole answer; SI units in every name."""
    governing = found.governing
    return {
        "fit": FIT,
        "rig": found.rig.name,
        "region": found.region,
        "verdict": found.verdict,
        "draws": found.draws,
        "seed": found.seed,
        "stages": [{"key": key, "title": title} for key, title in found.stages],
        "height": _height(found.height),
        "pitch": [_pitch(one) for one in found.pitch],
        "matches": [
            {
                "name": one.name,
                "title": one.title,
                "first_m": one.first,
                "second_m": one.second,
                "verdict": one.verdict,
                "why": one.why,
            }
            for one in found.matches
        ],
        "ratings": [_rating(stage, one) for stage, one in found.limits],
        "governed_by": None if governing is None else governing[1].name,
        "jack": _jack(found.jack),
        "bars": None if found.bars is None else _bars(found.bars),
        "lifts_vehicle_at": found.lifts,
        "clearances": [_clearance(one) for one in found.clearances],
    }


def _number(x: float) -> float | None:
    return float(x) if math.isfinite(x) else None


def _spread(one: Spread | None, scale: float = 1.0) -> dict[str, Any] | None:
    if one is None or not math.isfinite(one.value):
        return None
    parts = {"value": one.value, "best": one.best, "sd": one.sd, "low": one.low, "high": one.high}
    return {key: _number(x / scale) for key, x in parts.items()}


def _kg(one: Spread | None) -> dict[str, Any] | None:
    return _spread(one, GRAVITY)


def _step(one: Step) -> dict[str, Any]:
    return {
        "drop_m": one.drop,
        "ball_m": _spread(one.ball),
        "driven_ball_m": [_spread(x) for x in one.driven],
        "nose_m": [_spread(x) for x in one.nose],
        "chances": list(one.chances),
        "chance": one.chance,
        "level": one.level,
        "present": one.present,
    }


def _height(found: Height) -> dict[str, Any]:
    return {
        "verdict": found.verdict,
        "mode": found.mode,
        "tolerance_m": found.tolerance,
        "chosen": _step(found.chosen),
        "present": None if found.present is None else _step(found.present),
        "steps": [_step(one) for one in found.steps],
        "worst_stage": found.worst_stage,
        "wanted_ball_m": _spread(found.wanted),
        "wanted_drop_m": _spread(found.wanted_drop),
        "squat_m": _spread(found.squat),
        "taped_less_parts_m": found.mismatch,
        "missing": list(found.missing),
        "widened_by": list(found.widened),
    }


def _pitch(one: Pitch) -> dict[str, Any]:
    return {
        "suspension": one.suspension,
        "own": one.own,
        "assumed": one.assumed,
        "inch_up_tongue_kg": _kg(one.tongue_up),
        "inch_down_tongue_kg": _kg(one.tongue_down),
        "inch_up_axles_kg": [_kg(x) for x in one.axles_up],
        "inch_down_axles_kg": [_kg(x) for x in one.axles_down],
    }


def _rating(stage: str, one: Standing) -> dict[str, Any]:
    scale = GRAVITY if one.measure == "weight" else 1.0
    numbers = {key: getattr(one, key) for key in ("value", "best", "sd", "rating", "margin")}
    unit = {"weight": "kg", "force": "n", "length": "m"}.get(one.measure, one.measure)
    return {
        "name": one.name,
        "title": one.title,
        "stage": stage,
        "verdict": one.verdict,
        "note": one.note,
        "chance": _number(one.chance),
        **{f"{key}_{unit}": _number(x / scale) for key, x in numbers.items()},
        "source": one.source,
        "due": one.due,
    }


def _jack(jack: Jacking) -> dict[str, Any]:
    return {
        "lifts": [
            {
                "task": lift.task,
                "verdict": lift.verdict,
                "needed_m": _spread(lift.needed),
                "reach_m": _spread(lift.reach),
                "chance_short": _number(lift.short),
                "carries_kg": _kg(lift.force),
            }
            for lift in jack.lifts
        ],
        "lifting": None if jack.load is None else jack.load.verdict,
        "foot_m": _spread(jack.foot),
        "missing": list(jack.missing),
    }


def _bars(bars: Bars) -> dict[str, Any]:
    fenders = bars.fenders
    names = ("front_off", "front_on", "rear_off", "rear_on")
    read: Callable[[str], Any] = lambda name: _spread(getattr(fenders, name))  # noqa: E731
    return {
        "due": bars.due,
        "reasons": list(bars.reasons),
        "fitted": bars.fitted,
        "supposed": bars.supposed,
        "verdict": bars.verdict,
        "front_load_lost_kg": _kg(bars.lost),
        "carries_kg": _kg(bars.rating),
        "rating_wanted_kg": bars.size,
        "share": bars.share,
        "set_at": bars.set_at,
        "preset_rad": _spread(bars.preset),
        "take_up_m": _spread(bars.take_up),
        "moment_nm": _spread(bars.moment),
        "fender_rise_m": None if fenders is None else {name: read(name) for name in names},
        "restored_share": [_spread(one) for one in bars.restored],
    }


def _clearance(one: Clearance) -> dict[str, Any]:
    return {
        "name": one.name,
        "title": one.title,
        "value_rad" if one.is_angle else "value_m": _spread(one.value),
        "always": one.always,
        "touches": one.touches,
        "missing": list(one.missing),
    }
