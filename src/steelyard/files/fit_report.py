"""The fitting as JSON for programs; versioned, only grows."""

import math
from typing import Any, Final

from steelyard.assessment import Spread
from steelyard.files.plain import Forms, plain
from steelyard.hitching.result import Clearance, Fit, Jacking
from steelyard.ratings import LimitStatus

FIT: Final = 1
"""Version of this form."""


def fit_report(found: Fit) -> dict[str, Any]:
    """The whole answer; SI units in every name."""
    governing = found.governing
    forms: Forms = {Spread: _spread, Jacking: _jack, Clearance: _clearance}
    return {
        "fit": FIT,
        "rig": found.rig.name,
        **plain(found, forms),
        "stages": [{"key": key, "title": title} for key, title in found.stages],
        "judged_at_ball_m": plain(found.height.chosen.ball.value),
        "judged_as_it_is": found.height.chosen.present,
        "ratings": [_rating(stage, one) for stage, one in found.limits],
        "governed_by": None if governing is None else governing[1].name,
    }


def _spread(one: Spread) -> Any:
    return plain(one) if math.isfinite(one.value) else None


def _rating(stage: str, one: LimitStatus) -> dict[str, Any]:
    numbers = {key: getattr(one, key) for key in ("value", "best", "sd", "rating", "margin")}
    return {
        "name": one.name,
        "title": one.title,
        "stage": stage,
        "verdict": one.verdict,
        "note": one.note,
        "chance": plain(one.chance),
        **{f"{key}_{one.unit}": plain(x) for key, x in numbers.items()},
        "source": one.source,
        "due": one.due,
    }


def _jack(jack: Jacking) -> dict[str, Any]:
    lifting = None if jack.load is None else jack.load.verdict
    return {**plain(jack, {Spread: _spread}), "lifting": lifting}


def _clearance(one: Clearance) -> dict[str, Any]:
    key = "value_rad" if one.is_angle else "value_m"
    return {**plain(one), key: plain(one.value, {Spread: _spread})}
