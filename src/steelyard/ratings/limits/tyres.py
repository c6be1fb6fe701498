"""Limits of tyres and wheels: the heavier side of each axle at the pressure as driven."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from steelyard.estimate import Array
from steelyard.quantity import GRAVITY, Z95, Floats, Value
from steelyard.ratings import tyres as tables
from steelyard.ratings.check import Check, at_most
from steelyard.ratings.tyre_capacity import (
    full_load_pressure,
    highest_speed,
    left_at_speed,
    rated_load,
)
from steelyard.rig import CARS, Tyres
from steelyard.scene import Scene
from steelyard.typical.shipped_tables import vehicle_class
from steelyard.typical.trailer import ORDINALS


@dataclass(frozen=True, slots=True, kw_only=True)
class _Axle:
    path: str
    at: str
    title: str
    tyres: Tyres[Floats]
    count: int
    name: str
    gawr: Value[Floats] | None
    derated: bool
    trailer: bool


def _axles(scene: Scene[Floats]) -> Iterator[_Axle]:
    rig = scene.rig
    duals = bool(vehicle_class(rig.vehicle.klass)["dual_rear_wheels"])
    for end in ("front", "rear"):
        axle = getattr(rig.vehicle, end)
        usual = 4 if duals and end == "rear" else 2
        yield _Axle(
            path=f"vehicle.{end}",
            at=f"vehicle.{end}.tyres",
            title=f"{end} tyre",
            tyres=axle.tyres,
            count=axle.tyres.count or usual,
            name=end,
            gawr=axle.gawr,
            derated=rig.vehicle.klass not in CARS,
            trailer=False,
        )
    group = rig.trailer.axles
    for number in range(len(scene.loads.trailer_axles)):
        own = getattr(group, ORDINALS[number])
        mine = None if own is None else own.tyres
        path = f"trailer.axles.{ORDINALS[number]}"
        gawr = own.gawr if own is not None and own.gawr is not None else group.gawr
        yield _Axle(
            path=path,
            at=f"{path}.tyres" if mine else "trailer.axles.tyres",
            title=f"trailer axle {number + 1} tyre",
            tyres=mine or group.tyres,
            count=(mine or group.tyres).count or 2,
            name=f"trailer {number + 1}",
            gawr=gawr,
            derated=True,
            trailer=True,
        )


def _heavier_side(scene: Scene[Floats], axle: _Axle) -> Array:
    left, right = (wheel.load for wheel in scene.loads.wheels if wheel.axle == axle.name)
    return np.maximum(left, right)


def tyre_loads(scene: Scene[Floats]) -> Iterator[Check]:
    """One tyre on the heavier side against its capacity at its pressure and the trip's speed."""
    for axle in _axles(scene):
        rating, due = _capacity(scene, axle)
        yield at_most(
            "tyre load",
            f"{axle.path}.tyres",
            axle.title,
            _heavier_side(scene, axle) / (axle.count / 2),
            None if rating is None else rating * GRAVITY,
            due=due,
            at=f"{axle.at}.max_load",
            source="sidewall or load index by the load-inflation relation",
        )


def _capacity(scene: Scene[Floats], axle: _Axle) -> tuple[Array | None, str]:
    """Capacity of one tyre, kg, or None and what is missing."""
    tyres, fast = axle.tyres, scene.rig.speed
    if tyres.pressure is None:
        return None, f"the pressure of the tyres ({axle.at}.pressure)"
    share, extra = left_at_speed(tyres, fast.value if fast else None, trailer=axle.trailer)
    pressure = np.maximum(_least(tyres.pressure) - extra, 0.0)
    rated, full = _rated(axle), full_load_pressure(tyres)
    if tyres.table:
        load = _by_table(tyres, pressure, rated)
    elif rated is None:
        what = "dual load index or dual maximum load" if axle.count >= 4 else "load index"
        return None, f"the tyre's {what}, on its sidewall"
    elif full is None:
        return None, "the pressure at which the tyre's maximum load holds, on its sidewall"
    else:
        power = tables.cautious_exponent(tyres.kind or "st")
        load = tables.capacity(rated, full, pressure, power)
    if tyres.kind == "p-metric" and axle.derated:
        load = tables.p_metric_on_trailer(load)
    return load * share, "the tyre's sidewall"


def _least(stated: Value[Floats]) -> Floats:
    """The low end of what was stated."""
    return stated.value - Z95 * (stated.sd or 0.0)


def _by_table(tyres: Tyres[Floats], pressure: Array, rated: Floats | None) -> Array:
    """Load from the maker's rows the file gives, never above the sidewall's."""
    rows = sorted((row.pressure.value, row.load.value) for row in tyres.table)
    load = tables.table_capacity([p for p, _ in rows], [w for _, w in rows], pressure)
    return load if rated is None else np.minimum(load, rated)


def _rated(axle: _Axle) -> Floats | None:
    """Maximum load of one tyre as fitted, kg."""
    return rated_load(axle.tyres, dual=axle.count >= 4)


def speeds(scene: Scene[Floats]) -> Iterator[Check]:
    """Travelling speed against the tyre's own limit; ST tyres without a symbol hold to 65 mph, and
    so do a trailer's of a kind unsaid."""
    fast = scene.rig.speed
    for axle in _axles(scene) if fast is not None else ():
        assert fast is not None
        top = highest_speed(axle.tyres, trailer=axle.trailer)
        if top is None:
            continue
        yield at_most(
            "tyre speed",
            f"{axle.path}.tyres.speed",
            f"{axle.title} speed",
            np.atleast_1d(fast.value),
            top,
            due="the speed letter on the sidewall",
            at=f"{axle.at}.speed",
            measure="speed",
            source="speed symbol; Tire and Rim Association rule for ST tyres without one, and for"
            " trailer tyres of a kind unsaid",
        )


def pressures(scene: Scene[Floats]) -> Iterator[Check]:
    """Pressure as driven against the sidewall's maximum: more adds no load."""
    for axle in _axles(scene):
        tyres = axle.tyres
        if tyres.pressure is not None and tyres.max_pressure is not None:
            yield at_most(
                "tyre pressure",
                f"{axle.path}.tyres.pressure",
                f"{axle.title} pressure",
                np.atleast_1d(tyres.pressure.value),
                tyres.max_pressure.value,
                due="the tyre's sidewall",
                at=f"{axle.at}.pressure",
                measure="pressure",
                source="maximum pressure on the sidewall",
            )


def wheels(scene: Scene[Floats]) -> Iterator[Check]:
    """One wheel on the heavier side against the load stamped on it, where stated."""
    for axle in _axles(scene):
        if axle.tyres.wheel_rating is not None:
            yield at_most(
                "wheel",
                f"{axle.path}.wheel",
                axle.title.replace("tyre", "wheel"),
                _heavier_side(scene, axle) / (axle.count / 2),
                axle.tyres.wheel_rating.value * GRAVITY,
                due="the number stamped on the wheel",
                at=f"{axle.at}.wheel_rating",
            )


def tyres_for_axle(scene: Scene[Floats]) -> Iterator[Check]:
    """The axle's tyres together must be rated for at least its GAWR (49 CFR 571.120 S5.1.2)."""
    for axle in _axles(scene):
        rated = _rated(axle)
        if axle.gawr is None or rated is None:
            continue
        each = rated
        if axle.tyres.kind == "p-metric" and axle.derated:
            each = tables.p_metric_on_trailer(rated)
        yield at_most(
            "tyre rating",
            f"{axle.path}.tyres.fit",
            f"GAWR within {axle.title}s",
            np.atleast_1d(axle.gawr.value * GRAVITY),
            axle.count * each * GRAVITY,
            due="the tyre's sidewall",
            source="49 CFR 571.110 S4.2 and 571.120 S5.1.2: tyres of an axle at least its GAWR",
        )
