"""Brakes and grades as JSON for programs; versioned, only grows. SI units in every name."""

import math
from typing import Any, Final

from steelyard.quantity import GRAVITY
from steelyard.rig import Rig
from steelyard.road import (
    BrakeRule,
    Climb,
    Descent,
    Finding,
    Locking,
    Range,
    Settings,
    StageRoad,
    Stance,
    Stop,
)

ROAD: Final = 1
"""Version of this form."""


def road_report(rig: Rig, found: tuple[StageRoad, ...]) -> dict[str, Any]:
    """Every stage's answer; loads in kg, forces along the road in N."""
    return {
        "road": ROAD,
        "rig": rig.name,
        "settings": _settings(found[0].settings),
        "stages": [_stage(one) for one in found],
    }


def _settings(asked: Settings) -> dict[str, Any]:
    plain = {
        "deceleration_mps2": asked.deceleration,
        "grade": asked.grade,
        "speed_mps": asked.speed,
        "length_m": asked.length,
        "reaction_s": asked.reaction,
    }
    drawn = {
        name.removeprefix("road."): {"value_si": x.value, "sd_si": x.sd, "source": x.source}
        for name, x in asked.uncertain.items()
    }
    return {**plain, "uncertain": drawn}


def _stage(one: StageRoad) -> dict[str, Any]:
    return {
        "key": one.key,
        "title": one.title,
        "verdict": one.verdict,
        "trailer_has_brakes": one.brakes,
        "rules": [_rule(rule) for rule in one.rules],
        "findings": [_finding(finding) for finding in one.findings],
        "stops": [_stop(stop) for stop in one.stops],
        "stances": [_stance(stance) for stance in one.stances],
        "locking": [_locking(locking) for locking in one.locking],
        "climb": _climb(one.climb),
        "descent": _descent(one.descent),
    }


def _rule(rule: BrakeRule) -> dict[str, Any]:
    return {
        "name": rule.name,
        "title": rule.title,
        "text": rule.text,
        "source": rule.source,
        "verdict": rule.verdict,
        "chance": _number(rule.chance),
        "note": rule.note,
        "due": rule.due,
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "name": finding.name,
        "title": finding.title,
        "verdict": finding.verdict,
        "chance": _number(finding.chance),
        "due": finding.due,
    }


def _stop(stop: Stop) -> dict[str, Any]:
    return {
        "downhill": stop.down,
        "trailer_brakes": stop.trailer_brakes,
        "reachable_mps2": _range(stop.reachable),
        "shortest_m": _range(stop.shortest),
        "firm_m": _range(stop.firm),
        "chance_short": stop.short,
        "chance_never": stop.never,
    }


def _stance(one: Stance) -> dict[str, Any]:
    return {
        "case": one.name,
        "slope_rad": one.slope,
        "deceleration_mps2": one.deceleration,
        "trailer_brakes": one.trailer_brakes,
        "coupling_kg": _range(one.tongue, GRAVITY),
        "coupling_change_kg": _range(one.tongue_change, GRAVITY),
        "axles": [
            {
                "name": name,
                "load_kg": _range(load, GRAVITY),
                "change_kg": _range(one.changes[name], GRAVITY),
            }
            for name, load in one.axles.items()
        ],
        "push_n": _range(one.push),
        "lifted": list(one.lifted),
        "chance_of_lift": one.lifts,
    }


def _locking(one: Locking) -> dict[str, Any]:
    return {
        "trailer_brakes": one.trailer_brakes,
        "friction_used": {name: _range(x) for name, x in one.used.items()},
        "locks_first": list(one.first),
        "chance_first": dict(one.chances),
        "locks_at_mps2": _range(one.deceleration),
    }


def _climb(up: Climb) -> dict[str, Any]:
    return {
        "driven": up.driven,
        "needed_n": _range(up.needed),
        "friction_used": _maybe(up.used),
        "chance_of_spinning": up.slips,
        "traction_grade": _maybe(up.traction),
        "force_grade": _maybe(up.forced),
        "chance_force_short": up.short,
        "power_w": _range(up.power),
        "speed_held_mps": _maybe(up.held),
        "chance_slower": up.slower,
    }


def _descent(down: Descent) -> dict[str, Any]:
    return {
        "drop_m": down.drop,
        "energy_j": _range(down.energy),
        "to_brakes_j": _range(down.brakes),
        "mean_power_w": _range(down.power),
        "trailer_part_j": _range(down.own),
        "one_stop_j": _range(down.stop),
    }


def _maybe(found: Range | None) -> dict[str, Any] | None:
    return None if found is None else _range(found)


def _range(found: Range, scale: float = 1.0) -> dict[str, Any]:
    parts = {"value": found.value, "best": found.best, "low": found.low, "high": found.high}
    return {key: _number(x / scale) for key, x in parts.items()}


def _number(x: float) -> float | None:
    """None for what never happens or has no balance."""
    return float(x) if math.isfinite(x) else None
