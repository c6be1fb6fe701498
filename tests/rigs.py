"""Small rigs from plain SI numbers, each exact, for tests that compare with hand and book."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from steelyard.estimate import Array
from steelyard.rig import Rig
from steelyard.statics.loads import Loads, loads
from steelyard.statics.prior import prior

COMPLETE = ["propane", "battery", "options"]
"""An empty weight that includes these leaves nothing to be assumed on top."""
RADIUS = 0.0254
"""m, of a 2 in ball: a rig file's heights are to its top, these rigs' to its centre."""
RIGID = 1e9
"""N/m, both tyres of an axle: they hardly give."""


def exact(number: float, unit: str) -> str:
    """Write a number with a spread of zero."""
    return f"{float(number)!r} {unit} +- 0 {unit}"


def plain(
    *,
    vehicle: float = 2600.0,
    vehicle_cg: float = 1.6,
    wheelbase: float = 3.7,
    overhang: float = 1.45,
    weight: float = 3000.0,
    cg: float = 4.5,
    axles: Sequence[float] = (5.1,),
    suspension: str = "equaliser",
    ball: float = 0.55,
    coupler: float = 0.55,
    height: float = 0.55,
    front_rate: float = 75e3,
    rear_rate: float = 85e3,
    axle_rate: float = 200e3,
    tyre_rate: float = RIGID,
    rear: Mapping[str, Any] | None = None,
    bars: Mapping[str, float] | None = None,
    items: Mapping[str, tuple[str, float, float]] | None = None,
    stages: Mapping[str, Any] | None = None,
    grade: float = 0.0,
) -> Rig:
    """A rig of exact numbers: kg, m, N/m, rad; items are (carrier, kg, station).

    The vehicle is full of fuel and has nobody in it; `ball` and `coupler` are heights of the
    ball's centre, about which the trailer turns. With `height` at `ball` and the hubs there
    too (see `values`) trailer pitch moves no weight: what is left is the lever of the textbooks.
    """
    tyres = {"count": 2, "rate": exact(tyre_rate / 2, "N/m")}
    things = items or {}
    full = {"vehicle_tanks": {"fuel": "full"}, "grade": exact(grade, "rad")}
    return Rig.model_validate(
        {
            "everything_listed": True,
            "vehicle": {
                "class": "half-ton-crew-cab",
                "weight": exact(vehicle, "kg"),
                "cg": exact(vehicle_cg, "m"),
                "cg_height": exact(0.7, "m"),
                "cg_offset": exact(0.0, "m"),
                "wheelbase": exact(wheelbase, "m"),
                "overhang": exact(overhang, "m"),
                "front": {"rate": exact(front_rate, "N/m"), "tyres": tyres},
                "rear": {"rate": exact(rear_rate, "N/m"), "tyres": tyres, **(rear or {})},
            },
            "hitch": {
                "ball_height": exact(ball + RADIUS, "m"),
                "ball": {"size": exact(2 * RADIUS, "m")},
                "ball_mount": {"weight": exact(0.0, "kg")},
                **({"bars": _bars(bars)} if bars else {}),
            },
            "trailer": {
                "style": "rear-living",
                "empty": {
                    "weight": {"value": exact(weight, "kg"), "includes": COMPLETE},
                    "cg": exact(cg, "m"),
                    "cg_height": exact(height, "m"),
                    "cg_offset": exact(0.0, "m"),
                },
                "coupler_height": exact(coupler + RADIUS, "m"),
                "axles": _axles(axles, suspension, axle_rate, tyres),
            },
            "places": {
                name: {"on": on, "station": exact(at, "m"), "offset": exact(0.0, "m")}
                for name, (on, _, at) in things.items()
            },
            "items": {
                name: {
                    "weight": exact(kg, "kg"),
                    "place": name,
                    "station": exact(at, "m"),
                    "height": exact(height, "m"),
                }
                for name, (_, kg, at) in things.items()
            },
            "stages": {key: {**full, **stage} for key, stage in (stages or {"now": {}}).items()},
        }
    )


def _bars(bars: Mapping[str, float]) -> dict[str, Any]:
    units = {"arm": "m", "tip_rate": "N/m", "preset": "rad", "restoration": "of 1"}
    return {
        "weight": exact(0.0, "kg"),
        **{key: exact(number, units[key]) for key, number in bars.items()},
    }


def _axles(
    stations: Sequence[float], suspension: str, rate: float, tyres: Mapping[str, Any]
) -> dict[str, Any]:
    ordinals = ("first", "second", "third")
    return {
        "count": len(stations),
        "suspension": suspension,
        "station": exact(float(np.mean(stations)), "m"),
        "spacing": exact(0.9, "m"),
        "rate": exact(rate, "N/m"),
        "unsprung": exact(120.0, "kg"),
        "tyres": dict(tyres),
        **{name: {"station": exact(at, "m")} for name, at in zip(ordinals, stations, strict=False)},
    }


def values(rig: Rig, **changes: float) -> dict[str, Array]:
    """Every parameter at its best estimate, hubs at the height of the ball; `a__b` changes a.b."""
    found = dict(prior(rig).estimate.at_mean())
    found["trailer.hub_height"] = found["hitch.ball_height"] - RADIUS
    found.update({name.replace("__", "."): np.asarray(x) for name, x in changes.items()})
    return found


def solved(rig: Rig, **changes: float) -> Loads:
    """Loads of a rig at its best estimate, hubs at the height of the ball."""
    return loads(rig, values(rig, **changes))


def one(x: Array, stage: int = 0) -> float:
    """One number of a result (S, 1) at a stage."""
    return float(np.asarray(x)[stage, 0])
