"""The vehicle's parameters: stated, or typical of its class."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from steelyard.quantity import Basis, F, Floats, Value, holds
from steelyard.rig import SEAT_ROWS, Rig, Tyres, Vehicle, VehicleAxle, is_pin
from steelyard.typical.contents import aboard, word_for
from steelyard.typical.sheet import STATED, Builder
from steelyard.typical.shipped_tables import (
    Typical,
    default_sd,
    density,
    hitch_table,
    present,
    relation,
    typical,
    vehicle_class,
    with_own,
)

WIDE: Final = 0.30
"""Relative sd of a weight that will be pinned by readings: wide enough not to pull."""


PIN_PLACE: Final = Typical(
    value=-0.05,
    sd=0.08,
    source="assumed: a hitch in the bed stands over the rear axle or just ahead",
)


def add_vehicle(build: Builder[F], rig: Rig[F]) -> None:
    """All parameters of the vehicle."""
    vehicle, klass = rig.vehicle, rig.vehicle.klass
    table = with_own(vehicle_class(klass), rig.own(klass))
    _weight(build, vehicle, table)
    _geometry(build, vehicle, table, pin=is_pin(rig))
    for end in ("front", "rear"):
        _axle(build, end, getattr(vehicle, end), table)
    _tanks(build, vehicle, table)
    _seats(build, rig, table)
    _dynamics(build, vehicle, table)
    if vehicle.accessories is not None:
        build.take("vehicle.accessories", vehicle.accessories, None, "item-guessed")
        build.take(
            "vehicle.accessories_station",
            vehicle.accessories_station,
            typical(table, "bed.station", "length"),
            "tape",
        )


def _weight(build: Builder[F], vehicle: Vehicle[F], table: Mapping[str, Any]) -> None:
    """Empty weight and centre of gravity; stickers that need the rest are read afterwards."""
    axles = (vehicle.front.weight, vehicle.rear.weight)
    if vehicle.weight is not None and aboard(vehicle.weight) is None:
        word = word_for(vehicle.weight)
        build.take("vehicle.weight", vehicle.weight, None, word)
    elif vehicle.weight is not None:
        _wide(build, vehicle.weight.value)
    elif axles[0] is not None and axles[1] is not None:
        _wide(build, axles[0].value + axles[1].value)
    else:
        _typical_weight(build, vehicle, table)
    if vehicle.cg is None:
        build.tie("front_share", relation(table, "front_share"))


def _wide(build: Builder[F], centre: F) -> None:
    build.put("vehicle.weight", centre, WIDE * centre, "stated", "read from weights")


def _typical_weight(build: Builder[F], vehicle: Vehicle[F], table: Mapping[str, Any]) -> None:
    if vehicle.gvwr is not None and vehicle.payload is not None:
        ratio = relation(table, "payload_ratio")
        built = vehicle.gvwr.value - vehicle.payload.value
        if holds(built > 0):
            usual = replace(ratio, source="GVWR less placard payload; " + ratio.source)
            build.take("vehicle.weight", None, usual.times(built))
            return
    if vehicle.gvwr is not None:
        share = relation(table, "weight_share_of_gvwr")
        build.take("vehicle.weight", None, share.times(vehicle.gvwr.value))
        return
    build.take("vehicle.weight", None, typical(table, "weight", "mass"))


def _geometry(
    build: Builder[F], vehicle: Vehicle[F], table: Mapping[str, Any], *, pin: bool
) -> None:
    for key, stated in (
        ("wheelbase", vehicle.wheelbase),
        ("overhang", vehicle.overhang),
        ("cg_height", vehicle.cg_height),
        ("cg_offset", vehicle.cg_offset),
    ):
        word = "datasheet-length" if key == "wheelbase" else "tape"
        fallback = typical(table, key, "length")
        if key == "overhang" and pin:
            fallback = PIN_PLACE
        build.take(f"vehicle.{key}", stated, fallback, word)
    roll = relation(table, "front_roll_share")
    build.take("vehicle.roll_share", vehicle.roll_share, roll, "rate")
    wheelbase = build.parameters["vehicle.wheelbase"].value
    share = relation(table, "front_share")
    loose = Typical(
        value=(1 - share.value) * wheelbase,
        sd=4 * share.sd * wheelbase,
        source=share.source,
        rigs=share.rigs,
    )
    if vehicle.cg is None and (vehicle.front.weight or vehicle.rear.weight):
        source = "follows from the stated axle weights"
        build.put("vehicle.cg", loose.value, loose.sd, "stated", source)
    else:
        build.take("vehicle.cg", vehicle.cg, loose, "tape")


def _axle(build: Builder[F], end: str, axle: VehicleAxle[F], table: Mapping[str, Any]) -> None:
    path = f"vehicle.{end}"
    track = typical(table, f"{end}.track", "length")
    build.take(f"{path}.track", axle.track, track, "tape")
    rate = typical(table, f"{end}.rate", "rate")
    build.take(f"{path}.rate", axle.rate, rate, "rate")
    tyre, one = typical(table, f"{end}.tyre_rate", "rate"), axle.tyres.rate
    if one is None:
        build.take(f"{path}.tyre_rate", None, tyre, "rate")
        return
    sd = default_sd("rate", one.value, "rate") if one.sd is None else one.sd
    both = replace(one, value=(axle.tyres.count or 2) * one.value, sd=(axle.tyres.count or 2) * sd)
    build.take(f"{path}.tyre_rate", both, None, "rate")


def _tanks(build: Builder[F], vehicle: Vehicle[F], table: Mapping[str, Any]) -> None:
    for name in tank_names(vehicle):
        tank = vehicle.tanks.get(name)
        content = tank.content if tank else "gasoline"
        path = f"vehicle.tanks.{name}"
        capacity = typical(table, "fuel.capacity", "volume")
        volume = tank.capacity if tank and tank.capacity else None
        full_tank(build, f"{path}.capacity", volume, capacity, density(content), 0.01)
        for key in ("station", "height"):
            fallback = typical(table, f"fuel.{key}", "length")
            build.take(f"{path}.{key}", getattr(tank, key, None), fallback, "tape")
        offset = tank.offset if tank else None
        build.put(f"{path}.offset", offset.value if offset else 0.0, 0.0, "stated", STATED)


def _dynamics(build: Builder[F], vehicle: Vehicle[F], table: Mapping[str, Any]) -> None:
    """What decides how the vehicle yaws: its inertia and its tyres' cornering stiffness."""
    for name, key in _PLAIN.items():
        build.take(name, None, relation(table, key))
    for end, axle in (("front", vehicle.front), ("rear", vehicle.rear)):
        share = relation(table, f"{end}_tyre_share")
        heavy = _heaviest(build, vehicle, table)
        tyre_load(build, f"vehicle.{end}", axle.tyres, axle.gawr, share.times(heavy))
        usual = typical(table, f"{end}.pressure", "pressure")
        tyre_pressure(build, f"vehicle.{end}", axle.tyres, axle.tyres.placard_pressure, usual)


_PLAIN: Final = {
    "vehicle.yaw_inertia_ratio": "yaw_inertia_ratio",
    "vehicle.rear.cornering": "rear_cornering",
    "tyres.peak_load": "tyre_peak_load",
    "tyres.pressure_slope": "tyre_pressure_slope",
    "tyres.pressure_peak": "tyre_pressure_peak",
    "tyres.relaxation": "tyre_relaxation",
    "vehicle.understeer": "understeer",
}
"""Parameters that no label says, and the relations that give them."""


def _heaviest(build: Builder[F], vehicle: Vehicle[F], table: Mapping[str, Any]) -> F:
    """GVWR, stated or typical for the vehicle's weight."""
    if vehicle.gvwr is not None:
        return vehicle.gvwr.value
    share = relation(table, "weight_share_of_gvwr").value
    return build.parameters["vehicle.weight"].value / share


def tyre_load(
    build: Builder[F], path: str, tyres: Tyres[F], gawr: Value[F] | None, unsaid: Typical[F]
) -> None:
    """Rated load of an axle's tyres together, kg: from the sidewall, the axle rating, or typical.

    A load index is read by the 80 equal ratios to the decade from 800 kg at 100 of ISO 4000-1's
    table, which they meet within 2 %.
    """
    count = tyres.count or 2
    own = (tyres.max_load_dual or tyres.max_load) if count > 2 else tyres.max_load
    index = (tyres.dual_load_index or tyres.load_index) if count > 2 else tyres.load_index
    name = f"{path}.tyre_load"
    if own is not None:
        build.put(name, count * own.value, 0.02 * count * own.value, own.basis, STATED)
    elif index is not None:
        rated = count * 800.0 * 10.0 ** ((index - 100) / 80)
        build.put(name, rated, 0.02 * rated, "stated", "the stated load index")
    elif gawr is not None:
        rated = 1.1 * gawr.value
        build.put(name, rated, 0.06 * rated, "assumed", "assumed: a tenth over the axle rating")
    else:
        build.take(name, None, unsaid)


def tyre_pressure(
    build: Builder[F], path: str, tyres: Tyres[F], rated: Value[F] | None, usual: Typical[F] | None
) -> None:
    """Pressure in an axle's tyres, Pa, and the pressure for which its stiffness is known."""
    stated, assumed = tyres.pressure, usual
    assert usual is not None
    base = rated or stated
    centre = base.value if base else usual.value
    if rated is not None and stated is None:
        sd = usual.sd * rated.value / usual.value
        assumed = Typical(value=rated.value, sd=sd, source="assumed: near the stated pressure")
    build.take(f"{path}.pressure", stated, assumed, "gauge-pressure")
    source = "the rig file" if base else usual.source
    basis: Basis = base.basis if base else "assumed"
    build.put(f"{path}.rated_pressure", centre, 0.0, basis, source)


def tank_names(vehicle: Vehicle[Floats]) -> tuple[str, ...]:
    """The fuel tank, which all but electric vehicles have and whose fuel their weight includes, and
    any other."""
    own = () if vehicle.electric else ("fuel",)
    return tuple(dict.fromkeys([*own, *vehicle.tanks]))


def full_tank(
    build: Builder[F],
    name: str,
    stated: Value[F] | None,
    fallback: Typical[F] | None,
    rho: float,
    loose: float,
) -> None:
    """What a full tank weighs, kg; loose: relative sd of a capacity stated without one."""
    if stated is not None:
        sd = loose * stated.value if stated.sd is None else stated.sd
        build.put(name, rho * stated.value, rho * sd, stated.basis, STATED)
    elif fallback is not None:
        build.take(name, None, fallback.times(rho))


def _seats(build: Builder[F], rig: Rig[F], table: Mapping[str, Any]) -> None:
    """Stations of the rows and seats somebody sits in; side and height are the class's own."""
    for name in sorted({person.seat for person in rig.people.values()}):
        seat = rig.vehicle.seats.get(name)
        if seat is not None and seat.station is not None:
            path = f"vehicle.seats.{name}.station"
            build.take(path, seat.station, None, "tape")
            continue
        row = SEAT_ROWS[name][0]
        path = f"vehicle.seats.{row}"
        if path not in build.parameters:
            build.take(path, None, _row(table, row))


def _row(table: Mapping[str, Any], row: str) -> Typical | None:
    """Station of a seat row; a third row where the class has none is taken behind the second."""
    found = typical(table, f"seats.{row}", "length")
    if found is not None:
        return found
    second = typical(table, "seats.second", "length") or present(table, "seats.first", "length")
    return Typical(value=second.value + 0.85, sd=0.15, source="assumed: a row behind")


def seat_place(rig: Rig[F], name: str) -> tuple[F, F, F]:
    """Station, offset and height (m) of a seat, taken or not, at its stated or typical place."""
    table = vehicle_class(rig.vehicle.klass)
    seat = rig.vehicle.seats.get(name)
    row, side = SEAT_ROWS.get(name, ("first", 0))
    typical_row = _row(table, row)
    aside, up = present(table, "seats.offset", "length"), present(table, "seats.height", "length")
    assert typical_row is not None
    station = seat.station.value if seat and seat.station else typical_row.value
    offset = seat.offset.value if seat and seat.offset else side * aside.value
    height = seat.height.value if seat and seat.height else up.value
    return station, offset, height


def seat_names(rig: Rig[Floats]) -> tuple[str, ...]:
    """Seats the vehicle class knows, less a third row where it has none, and the file's own."""
    rows = vehicle_class(rig.vehicle.klass)["values"]
    usual = [name for name, (row, _) in SEAT_ROWS.items() if f"seats.{row}" in rows]
    return tuple(dict.fromkeys([*usual, *rig.vehicle.seats]))


def person_typical() -> Typical:
    """Weight of somebody who didn't say."""
    return present(hitch_table(), "person", "mass")
