"""What one tyre may bear and how fast it may run, as it is fitted, by what its sidewall says."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce
from typing import Final

import numpy as np

from steelyard.estimate import Array
from steelyard.quantity import F, Floats
from steelyard.quantity.constants import HOUR, MILE
from steelyard.ratings import tyres as tables
from steelyard.ratings.rulebook import load_rulebook
from steelyard.rig import CARS, Rig, Tyres
from steelyard.scene import region_of
from steelyard.typical.shipped_tables import vehicle_class
from steelyard.typical.trailer import ORDINALS

ST_TOP: Final = 65 * MILE / HOUR
"""m/s: special trailer tyres without a speed symbol (Tire and Rim Association)."""


def rated_load(tyres: Tyres[F], *, dual: bool) -> F | None:
    """Most one tyre carries, kg: the least of what sidewall and load index say; None unsaid."""
    stated = tyres.max_load_dual if dual else tyres.max_load
    index = tyres.dual_load_index if dual else tyres.load_index
    found: list[F] = [] if stated is None else [stated.value]
    if index is not None and 60 <= index <= 150:
        found.append(float(tables.load_index_mass(index)))
    return _least(found)


def _least(found: list[F]) -> F | None:
    return reduce(np.minimum, found) if found else None


def full_load_pressure(tyres: Tyres[F]) -> F | None:
    """Pa at which `rated_load` holds; None unsaid.

    Of a passenger tyre its standard says it, whatever more the sidewall allows for speed: that of
    extra load where nobody says which. Of any other tyre the sidewall's maximum says it.
    """
    most = tyres.max_pressure.value if tyres.max_pressure else None
    standard = tables.full_load_pressure(tyres.kind, extra_load=tyres.extra_load is not False)
    return _least([p for p in (most, standard) if p is not None])


def top_speed(tyres: Tyres[F]) -> F | None:
    """Speed its sidewall rates it for, m/s; None unsaid."""
    if tyres.speed_rating is not None:
        return tyres.speed_rating.value
    try:
        return tables.speed_symbol(tyres.speed_symbol) if tyres.speed_symbol else None
    except ValueError:
        return None


def highest_speed(tyres: Tyres[F], *, trailer: bool) -> F | None:
    """Most it may be driven at, m/s: its own symbol's, or what its kind holds to without one."""
    top = top_speed(tyres)
    return ST_TOP if top is None and speed_kind(tyres, trailer=trailer) == "st" else top


def speed_kind(tyres: Tyres[Floats], *, trailer: bool) -> str:
    """The kind by whose rule speed is judged. Unsaid on a trailer it may be a special trailer tyre,
    the one that loses load with speed; a vehicle has none of those."""
    return tyres.kind or ("st" if trailer else "lt")


def left_at_speed(
    tyres: Tyres[Floats], speed: Floats | None, *, trailer: bool
) -> tuple[Array, Array]:
    """What a speed, m/s, leaves of a tyre: the share of its load, and Pa that bear none of it."""
    if speed is None:
        return np.ones(()), np.zeros(())
    kind, top = speed_kind(tyres, trailer=trailer), top_speed(tyres)
    share = tables.capacity_at_speed(1.0, speed, kind, top)
    extra = tables.st_speed_rule(speed, top).extra_pressure if kind == "st" else np.zeros(())
    return share, extra


def tyres_of(rig: Rig, axle: str) -> tuple[Tyres, int]:
    """The tyres of `front`, `rear` or `trailer 1`, and how many there are."""
    if axle in ("front", "rear"):
        tyres = rig.vehicle.front.tyres if axle == "front" else rig.vehicle.rear.tyres
    else:
        own = getattr(rig.trailer.axles, ORDINALS[int(axle.split()[-1]) - 1])
        alone = own is not None and own.tyres is not None
        tyres = own.tyres if alone else rig.trailer.axles.tyres
    duals = axle == "rear" and vehicle_class(rig.vehicle.klass)["dual_rear_wheels"]
    return tyres, tyres.count or (4 if duals else 2)


def pressure_for(rig: Rig, axle: str, load: float) -> float:
    """Pa at which one of an axle's tyres carries a load, kg, at the trip's speed; inf where none
    does."""
    tyres, count = tyres_of(rig, axle)
    rated = rated_load(tyres, dual=count >= 4)
    speed = rig.speed.value if rig.speed else None
    trailer = axle not in ("front", "rear")
    left, extra = map(float, left_at_speed(tyres, speed, trailer=trailer))
    bearing = load / left if left else math.inf
    if tyres.kind == "p-metric" and (trailer or rig.vehicle.klass not in CARS):
        bearing /= float(tables.p_metric_on_trailer(1.0))
    if rated is not None and bearing > rated:
        return math.inf
    if tyres.table:
        rows = sorted((row.pressure.value, row.load.value) for row in tyres.table)
        at, loads = [p for p, _ in rows], [w for _, w in rows]
        found = tables.table_pressure_for(at, loads, bearing)
    else:
        power = tables.cautious_exponent(tyres.kind or "st")
        full = full_load_pressure(tyres) or math.nan
        found = tables.pressure_for(bearing, rated or math.nan, full, power)
    return float(found) + extra


PLACES: Final = {"uk-speed": "GB", "wa-speed": "AU", "nz-speed": "NZ"}
"""Speed limits of towing that a rulebook holds, by the country whose roads they are for."""

SPECIAL: Final = "Tire and Rim Association rule for special trailer tyres without a speed letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastest:
    """A speed, m/s, that is not to be passed, why, and where that stands."""

    speed: float
    reason: str
    source: str


def fastest(rig: Rig) -> tuple[Fastest, ...]:
    """The slowest tyre's speed, then the law's of the rig's country or, that unsaid, its region."""
    return (*sorted(_tyres(rig), key=lambda one: one.speed)[:1], *_laws(rig))


def _tyres(rig: Rig) -> Iterator[Fastest]:
    for title, tyres, trailer in _axles(rig):
        speed = highest_speed(tyres, trailer=trailer)
        if speed is not None:
            why, source = _why(tyres)
            yield Fastest(speed=speed, reason=f"the {title} tyres {why}", source=source)


def _why(tyres: Tyres) -> tuple[str, str]:
    """Why tyres go no faster, and the source."""
    if top_speed(tyres) is not None:
        return "say so on their sidewall", "speed letter"
    if tyres.kind == "st":
        return "are special trailer tyres without a speed letter", SPECIAL
    return "have no kind or speed letter stated", SPECIAL


def _axles(rig: Rig) -> Iterator[tuple[str, Tyres, bool]]:
    yield "front", rig.vehicle.front.tyres, False
    yield "rear", rig.vehicle.rear.tyres, False
    group = rig.trailer.axles
    yield "trailer", group.tyres, True
    for name in ORDINALS:
        one = getattr(group, name)
        if one is not None and one.tyres is not None:
            yield f"{name} trailer axle", one.tyres, True


def _laws(rig: Rig) -> Iterator[Fastest]:
    for rule in load_rulebook(region_of(rig)).rules:
        country = PLACES.get(rule.id)
        if country is not None and rule.is_read and rig.country in (None, country):
            yield Fastest(speed=rule.value["speed"], reason=rule.title, source=rule.source)
