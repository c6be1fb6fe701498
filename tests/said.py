"""Results built by hand, for what is said of them: plain numbers instead of a whole answer."""

from dataclasses import replace
from functools import cache
from typing import Any, Final

from steelyard.assessment import Assessment, Spread, StageResult, assess
from steelyard.ratings import LimitStatus
from steelyard.ratings.judge import severity
from steelyard.rig import Rig

LB: Final = 0.45359237
"""kg in a pound (international agreement of 1959, exact)."""
IN: Final = 0.0254
"""m in an inch (the same)."""
MPH: Final = 1609.344 / 3600.0
"""m/s in a mile an hour (the same)."""
NONE: Final = float("nan")
NEVER: Final = float("inf")


def spread(value: float, half: float = 0.0, **more: Any) -> Spread:
    """A number with the half-width of its 95 % interval, 1.96 sd (from memory: 1.95996)."""
    low, high = value - half, value + half
    return replace(Spread(value=value, best=value, sd=half / 1.96, low=low, high=high), **more)


def limit(value: float, rating: float, half: float = 0.0, **more: Any) -> LimitStatus:
    """A limit on a load, within unless said otherwise; its margin is the room that is left."""
    under = more.get("side") == "under"
    known: dict[str, Any] = {
        "kind": "axle",
        "name": "vehicle.rear.gawr",
        "at": "vehicle.rear.gawr",
        "title": "rear axle",
        "verdict": "within",
        "value": value,
        "best": value,
        "sd": half / 1.96,
        "rating": rating,
        "margin": value - rating if under else rating - value,
        "chance": 0.0,
        "aside": 0.0,
        "side": "over",
        "measure": "weight",
        "source": "label",
        "due": "the label in the door",
        "note": False,
        "chain": False,
        "band": None,
    }
    return LimitStatus(**{**known, **more})


@cache
def bare() -> Assessment:
    """The answer for hardly more than a vehicle and a trailer, everything listed."""
    return assess(rig_of(everything_listed=True), draws=64)


def rig_of(vehicle: Any = None, trailer: Any = None, **more: Any) -> Rig:
    """A rig of hardly more than a vehicle and a trailer."""
    parts = {
        "vehicle": {"class": "half-ton-crew-cab", **(vehicle or {})},
        "trailer": {"style": "rear-living", "gvwr": "7000 lb", **(trailer or {})},
        **more,
    }
    return Rig.model_validate(parts)


def stage_of(*limits: LimitStatus, **more: Any) -> StageResult:
    """One stage with these limits alone, the gravest of which decides."""
    known = [one for one in limits if one.decides]
    decides = max(known, key=lambda one: (severity(one.verdict), -one.room), default=None)
    parts: dict[str, Any] = {
        "title": "Going out",
        "limits": limits,
        "deciding": decides,
        "chance": max((one.chance for one in known), default=0.0),
        "unlisted": frozenset(),
    }
    return replace(bare().stages[0], **{**parts, **more})


def answer_of(*limits: LimitStatus, stage: Any = None, **more: Any) -> Assessment:
    """The answer of a rig with one such stage, nothing asked about and nothing missing."""
    parts: dict[str, Any] = {"questions": (), "missing": (), "assumed": ()}
    return replace(bare(), **{**parts, "stages": (stage_of(*limits, **(stage or {})),), **more})
