"""Random but repeatable rigs to stow: so many items, places and stages, drawn by number."""

from typing import Any

import numpy as np

from steelyard.rig import Rig

VEHICLE: dict[str, Any] = {
    "class": "three-quarter-ton",
    "gvwr": "10000 lb",
    "payload": "3300 lb",
    "gcwr": "22000 lb",
    "tow_rating": "13000 lb",
    "front": {"gawr": "5600 lb"},
    "rear": {"gawr": "6400 lb"},
}
HITCH: dict[str, Any] = {
    "receiver": {"distributing_trailer": "13000 lb", "distributing_tongue": "1300 lb"},
    "ball_mount": {"distributing_trailer": "13000 lb", "distributing_tongue": "1300 lb"},
    "ball": {"rating_trailer": "14000 lb"},
    "coupler": {"rating_trailer": "14000 lb"},
    "bars": {"rating": "1300 lb"},
}
LENGTH = 24.0
"""ft of the box; its front stands 4 ft behind the ball."""


def packed(items: int, places: int, stages: int, number: int, fill: float = 0.6) -> Rig:
    """A rig with weighed items put into random places; `fill` of all capacity is used.

    The trailer's own weight and tongue weight leave a plan to be found, but not any plan.
    """
    return Rig.model_validate(facts(items, places, stages, number, fill))


def facts(items: int, places: int, stages: int, number: int, fill: float = 0.6) -> dict[str, Any]:
    """The same as it would stand in a rig file."""
    dice = np.random.default_rng([number, items, places, stages])
    cargo = 900.0 + 9.0 * items
    weights = dice.lognormal(0.0, 0.7, items)
    weights *= cargo / weights.sum()
    named = _places(places, cargo / fill, dice)
    return {
        "region": "north-america",
        "everything_listed": True,
        "vehicle": VEHICLE,
        "hitch": HITCH,
        "trailer": _trailer(cargo),
        "people": {"driver": {"seat": "driver", "weight": "180 lb"}},
        "places": named,
        "items": _items(weights, named, dice),
        "stages": {f"stage {n}": _stage(n, items, dice) for n in range(stages)},
    }


def _trailer(cargo: float) -> dict[str, Any]:
    return {
        "style": "rear-living",
        "gvwr": f"{6600 + cargo:.0f} lb",
        "empty": {
            "weight": {"value": "5600 lb", "basis": "weighed"},
            "tongue_weight": {"value": "690 lb", "basis": "weighed"},
        },
        "axles": {"station": "16 ft 4 in", "gawr": "5200 lb", "count": 2},
        "box_start": "4 ft",
        "box_length": f"{LENGTH} ft",
        "tanks": {
            "fresh": {"content": "fresh", "capacity": "45 gal", "station": "15 ft"},
            "grey": {"content": "grey", "capacity": "38 gal", "station": "18 ft"},
        },
    }


def _places(count: int, capacity: float, dice: np.random.Generator) -> dict[str, Any]:
    """Places along the box, and every fifth one in the bed, with capacities that sum up."""
    parts = dice.uniform(0.6, 1.4, count)
    parts *= capacity / parts.sum()
    found: dict[str, Any] = {}
    for p in range(count):
        bed = p % 5 == 4
        station = dice.uniform(11.5, 14.5) if bed else 4.0 + LENGTH * (p + 0.5) / count
        found[f"place {p}"] = {
            "on": "vehicle" if bed else "trailer",
            "station": f"{station:.2f} ft",
            "length": "2 ft",
            "height": f"{dice.uniform(24, 48):.0f} in",
            "capacity": f"{max(parts[p], 60.0):.0f} lb",
            "offset": "0 in",
        }
    return found


def _items(weights: Any, places: dict[str, Any], dice: np.random.Generator) -> dict[str, Any]:
    """Weighed items, rounded to a pound, each somewhere that could hold it alone."""
    found: dict[str, Any] = {}
    most = max(float(one["capacity"].split()[0]) for one in places.values()) - 12.0
    for i, each in enumerate(weights):
        weight = min(max(each, 2.0), 350.0, most)
        able = [n for n, one in places.items() if float(one["capacity"].split()[0]) > weight + 10]
        home = str(dice.choice(able))
        found[f"item {i}"] = {
            "weight": {"value": f"{weight:.0f} lb", "basis": "weighed"},
            "place": home,
            "importance": int(dice.integers(1, 10)),
        }
    return found


def _stage(number: int, items: int, dice: np.random.Generator) -> dict[str, Any]:
    gone = [f"item {i}" for i in range(items) if i % 4 == 3 and number > 1 + i % 3]
    return {
        "tanks": {
            "fresh": f"{dice.uniform(10, 90):.0f} % +- 3 %",
            "grey": f"{dice.uniform(5, 80):.0f} % +- 3 %",
        },
        "vehicle_tanks": {"fuel": f"{dice.uniform(20, 90):.0f} % +- 3 %"},
        "without": gone,
    }
