"""The trailer's parameters: stated, or typical of its style."""

from collections.abc import Mapping, Set
from typing import Any, Final

import numpy as np

from steelyard.quantity import GRAVITY, Z95, F, Floats, Value, holds, parse
from steelyard.rig import Rig, Trailer, TrailerAxles
from steelyard.typical.contents import held_by, known_as, without_listed, word_for
from steelyard.typical.plausible import believed
from steelyard.typical.sheet import STATED, Builder
from steelyard.typical.shipped_tables import (
    Typical,
    default_sd,
    density,
    hitch_table,
    in_region,
    present,
    relation,
    trailer_style,
    typical,
    with_own,
)
from steelyard.typical.vehicle import full_tank, tyre_load, tyre_pressure

ORDINALS: Final = ("first", "second", "third")
GAS_AND_BATTERY: Final = {"propane": 0.58, "battery": 0.42}
"""How the typical weight of both divides (75 lb of filled cylinders, 55 lb of battery)."""
LEAST: Final = 0.2
"""Part of the usual options that may be there still, however much is listed (assumed)."""


def add_trailer(build: Builder[F], rig: Rig[F]) -> None:
    """All parameters of the trailer."""
    trailer, table = rig.trailer, _table(rig)
    weight = _weight(build, trailer, table)
    _box(build, trailer, table, weight)
    _axles(build, trailer, table, axle_count(rig))
    _centre(build, trailer, table)
    _heights(build, trailer, table)
    _unlisted(build, trailer, table)
    _tanks(build, trailer)
    _dynamics(build, rig, table)
    for name, part in trailer.equipment.items():
        path = f"trailer.equipment.{name}"
        build.take(f"{path}.weight", part.weight, None, "item-weighed")
        build.take(f"{path}.station", part.station, None, "tape")


def _table(rig: Rig[Floats]) -> Mapping[str, Any]:
    style = rig.trailer.style
    return with_own(in_region(trailer_style(style), rig.region), rig.own(style))


def axle_count(rig: Rig[Floats]) -> int:
    """Stated number of axles, else the style's usual one for the trailer's weight."""
    if rig.trailer.axles.count is not None:
        return rig.trailer.axles.count
    rows = trailer_style(rig.trailer.style)["axle_count"]
    heavy = _gross(believed(rig).trailer, _table(rig))
    return next(  # the last row has no end
        int(row["count"])
        for row in rows
        if "up_to" not in row or holds(heavy <= parse(row["up_to"], "mass").value)
    )


def suspension(rig: Rig[Floats]) -> str:
    """Stated suspension, else the style's usual one."""
    return rig.trailer.axles.suspension or str(trailer_style(rig.trailer.style)["suspension"])


def _gross(trailer: Trailer[F], table: Mapping[str, Any]) -> F:
    if trailer.gvwr is not None:
        return trailer.gvwr.value
    assert trailer.empty.weight is not None
    return trailer.empty.weight.value / relation(table, "empty_share_of_gvwr").value


def _weight(build: Builder[F], trailer: Trailer[F], table: Mapping[str, Any]) -> F:
    stated = trailer.empty.weight
    if stated is not None:
        word, bare = word_for(stated), without_listed(build, trailer, stated)
        return build.take("trailer.empty.weight", bare, None, word)
    share = relation(table, "empty_share_of_gvwr").times(_gross(trailer, table))
    return build.take("trailer.empty.weight", None, share)


def _box(build: Builder[F], trailer: Trailer[F], table: Mapping[str, Any], weight: F) -> None:
    start = typical(table, "box_start", "length")
    build.take("trailer.box_start", trailer.box_start, start, "tape")
    density_of_box = relation(table, "mass_per_box_length")
    length = weight / (density_of_box.value * _denser(table, weight))
    spread = length * density_of_box.sd / density_of_box.value
    if trailer.length is not None and trailer.box_length is None:
        ahead = np.maximum(build.parameters["trailer.box_start"].value, 0.0)
        length = np.maximum(trailer.length.value - ahead - 0.1, 0.3 * trailer.length.value)
        build.tie("length", Typical(value=trailer.length.value, sd=0.1, source="overall length"))
    guess = Typical(value=length, sd=spread, source=density_of_box.source)
    build.take("trailer.box_length", trailer.box_length, guess, "tape")


def _denser(table: Mapping[str, Any], weight: F) -> F:
    """Mass per metre of box over that of a usual weight of the style: (weight / at) ** power."""
    entry = table["relations"]["mass_per_box_length"]
    if "at" not in entry:
        return 1.0
    denser: F = (weight / parse(entry["at"], "mass").value) ** float(entry["power"])
    return denser


def _axles(build: Builder[F], trailer: Trailer[F], table: Mapping[str, Any], count: int) -> None:
    axles = trailer.axles
    box_start = build.parameters["trailer.box_start"].value
    box_length = build.parameters["trailer.box_length"].value
    place = relation(table, "axle_place")
    middle = Typical(
        value=box_start + place.value * box_length, sd=0.25 * box_length, source=place.source
    )
    build.take("trailer.axles.station", axles.station, middle, "tape")
    if axles.station is None or (trailer.box_length is None and trailer.length is None):
        build.tie("axle_place", place)
    for key in ("track",) if count == 1 else ("spacing", "track"):
        fallback = typical(table, f"axles.{key}", "length")
        build.take(f"trailer.axles.{key}", getattr(axles, key), fallback, "tape")
    unsprung = typical(table, "axles.unsprung", "mass")
    build.take("trailer.axles.unsprung", axles.unsprung, unsprung, "item-guessed")
    _rates(build, trailer, table, count)
    for ordinal in ORDINALS:
        one = getattr(axles, ordinal)
        if one is not None and one.station is not None:
            build.take(f"trailer.axles.{ordinal}.station", one.station, None, "tape")


def _rates(build: Builder[F], trailer: Trailer[F], table: Mapping[str, Any], count: int) -> None:
    """Vertical rate of one axle at the ground, springs and tyres in series."""
    deflection = relation(table, "axle_deflection")
    rate = _gross(trailer, table) * GRAVITY / (count * deflection.value)
    sd = rate * deflection.sd / deflection.value
    build.put("trailer.axles.rate", rate, sd, "assumed", deflection.source)
    axles: TrailerAxles[F] = trailer.axles
    for path, own in (("", axles), *((f".{one}", getattr(axles, one)) for one in ORDINALS)):
        if own is not None and own.rate is not None:
            rate, sd = _at_ground(axles, own.rate.value, own.rate.sd)
            build.put(f"trailer.axles{path}.rate", rate, sd, own.rate.basis, STATED)


def _at_ground(axles: TrailerAxles[F], spring: F, sd: F | None) -> tuple[F, F]:
    tyre = present(hitch_table(), "trailer_tyre_rate", "rate")
    count = axles.tyres.count or 2
    both = count * axles.tyres.rate.value if axles.tyres.rate else tyre.value * count / 2
    rate = 1.0 / (1.0 / spring + 1.0 / both)
    own = default_sd("rate", spring, "rate") if sd is None else sd
    return rate, rate * own / spring


def _centre(build: Builder[F], trailer: Trailer[F], table: Mapping[str, Any]) -> None:
    share = relation(table, "tongue_share")
    station = build.parameters["trailer.axles.station"].value
    loose = Typical(
        value=station * (1 - share.value), sd=0.3 * station, source=share.source, rigs=share.rigs
    )
    if trailer.empty.cg is None and trailer.empty.tongue_weight is not None:
        source = "follows from the stated empty tongue weight"
        build.put("trailer.empty.cg", loose.value, loose.sd, "stated", source)
    else:
        build.take("trailer.empty.cg", trailer.empty.cg, loose, "tape")
    if trailer.empty.cg is None and trailer.empty.tongue_weight is None:
        build.tie("tongue_share", share)
    for key in ("cg_height", "cg_offset"):
        fallback = typical(table, f"empty.{key}", "length")
        build.take(f"trailer.empty.{key}", getattr(trailer.empty, key), fallback, "tape")


def _heights(build: Builder[F], trailer: Trailer[F], table: Mapping[str, Any]) -> None:
    coupler = typical(table, "coupler_height", "length")
    build.take("trailer.coupler_height", trailer.coupler_height, coupler, "tape")
    for key, word in (("hub_height", "hub_height"), ("floor_height", "trailer_floor")):
        build.take(f"trailer.{key}", None, typical(hitch_table(), word, "length"), "tape")


def _dynamics(build: Builder[F], rig: Rig[F], table: Mapping[str, Any]) -> None:
    """What decides how the trailer yaws: its inertia and its tyres' cornering stiffness."""
    axles = rig.trailer.axles
    for name, key in (
        ("trailer.yaw_radius", "yaw_radius"),
        ("trailer.axles.cornering", "cornering"),
    ):
        build.take(name, None, relation(table, key))
    share, heavy = relation(table, "tyre_share"), _gross(rig.trailer, table) / axle_count(rig)
    tyre_load(build, "trailer.axles", axles.tyres, axles.gawr, share.times(heavy))
    rated = axles.tyres.placard_pressure or axles.tyres.max_pressure
    usual = typical(table, "axles.pressure", "pressure")
    tyre_pressure(build, "trailer.axles", axles.tyres, rated, usual)


def _unlisted(build: Builder[F], trailer: Trailer[F], table: Mapping[str, Any]) -> None:
    """What a stated empty weight leaves out: gas, battery, options, on top and never below zero."""
    stated = trailer.empty.weight
    held = held_by(stated) | set(map(known_as, trailer.equipment))
    held |= {tank.content for tank in trailer.tanks.values()}
    if stated is not None and stated.includes is None:
        build.remarks.append(_trust(stated))
    _gas_and_battery(build, table, held)
    if "options" not in held:
        weight = build.parameters["trailer.empty.weight"].value
        usual = relation(table, "options_share").times(weight)
        left = 1.0 - _fitted(trailer) / usual.value if holds(usual.value > 0) else 1.0
        build.take("trailer.options", None, usual.times(np.maximum(left, LEAST)))
        spread = 0.10 * build.parameters["trailer.box_length"].value
        where = "assumed: spread about the empty trailer's own centre"
        build.put("trailer.options_offset", 0.0, spread / Z95, "assumed", where)


def _fitted(trailer: Trailer[F]) -> F:
    """kg of listed equipment that is neither gas nor battery nor in the stated weight."""
    held = held_by(trailer.empty.weight) | set(GAS_AND_BATTERY)
    fitted = trailer.equipment.items()
    return sum(part.weight.value for name, part in fitted if not {name, known_as(name)} & held)


def _gas_and_battery(build: Builder[F], table: Mapping[str, Any], held: Set[str]) -> None:
    """The part of the typical gas and battery that nothing stated contains, if any."""
    part = sum(share for name, share in GAS_AND_BATTERY.items() if name not in held)
    whole = typical(table, "gas_and_battery", "mass")
    if part == 0 or whole is None or whole.value <= 0:
        return
    build.take("trailer.gas_and_battery", None, whole.times(part))
    station = typical(table, "gas_and_battery_station", "length")
    build.take("trailer.gas_and_battery_station", None, station)


def _trust(stated: Value[Floats]) -> str:
    held = sorted(held_by(stated))
    what = f"include {', '.join(held)}" if held else "leave out gas, battery and options"
    why = f"its kind says ({stated.kind})" if stated.kind else "its kind is unsaid"
    return f"trailer.empty.weight: taken to {what}, as {why}"


def _tanks(build: Builder[F], trailer: Trailer[F]) -> None:
    for name, tank in trailer.tanks.items():
        path = f"trailer.tanks.{name}"
        rho = density(tank.content)
        full_tank(build, f"{path}.capacity", tank.capacity, None, rho, 0.02)
        build.take(f"{path}.station", tank.station, None, "tape")
