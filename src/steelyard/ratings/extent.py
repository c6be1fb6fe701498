"""Stations where nothing can stand: past the ends of what it rides on, or outside its place."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from steelyard.quantity import Floats, Value, holds
from steelyard.rig import Rig, is_pin
from steelyard.rig.kinds import Carrier
from steelyard.typical.plausible import Band, usual

Path = tuple[str, ...]
PAST: Final = 2.0
"""m that a rack, ramp or ladder reaches beyond an end (from memory)."""
AHEAD: Final = {"vehicle": -1.5, "trailer": -0.5, "pin": -3.0}
"""m at which the foremost thing rides: at the front bumper, on the coupler, over the bed."""
AXLES: Final = (0.35, 1.0)
"""Of the trailer's length behind its ball, where its axles stand (from memory: 0.45 to 0.9)."""
AHEAD_OF_AXLES: Final = 0.45
"""Of its length at least, where nobody states one."""
TONGUE: Final = 1.5
"""m from the ball to the box at most, where only the box is stated (from memory)."""
LOOSE: Final = 0.3
"""m by which a thing's centre may lie outside its place: places are taped roughly."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Misplaced:
    """A station, on what it is, and between what it is due, None for a column of numbers."""

    path: Path
    station: Value[Floats]
    on: Carrier
    between: Band | None
    why: str


def misplaced(rig: Rig[Floats]) -> Iterator[Misplaced]:
    """Stations that lie nowhere on their carrier, or outside their place."""
    ends = {"trailer": _trailer(rig), "vehicle": _vehicle(rig)}
    for path, on, station in _stations(rig):
        low, high = ends[on]
        if _out(station, low, high):
            why = f"from the front to the rear end of the {on}"
            yield _misplaced(path, station, on, (low, high), why)
    axles, length = rig.trailer.axles.station, _length(rig)
    if axles is not None and length is not None:
        low, high = (share * length for share in AXLES)
        if _out(axles, low, high):
            path, why = ("trailer", "axles", "station"), "by the trailer's length"
            yield _misplaced(path, axles, "trailer", (low, high), why)
    for name, item in rig.items.items():
        place = rig.places.get(item.place)
        if item.station is None or place is None or place.length is None or place.station.sure:
            continue
        half = place.length.value / 2 + LOOSE
        low, high = place.station.value - half, place.station.value + half
        if _out(item.station, low, high):
            path, why = ("items", name, "station"), f"within the place {item.place}"
            yield _misplaced(path, item.station, place.on, (low, high), why)


def _misplaced(
    path: Path, station: Value[Floats], on: Carrier, ends: tuple[Floats, Floats], why: str
) -> Misplaced:
    low, high = ends
    between = None
    if isinstance(low, float) and isinstance(high, float):
        between = Band(low=low, high=high, dimension="length")
    return Misplaced(path=path, station=station, on=on, between=between, why=why)


def _out(station: Value[Floats], low: Floats, high: Floats) -> bool:
    if station.sure or station.basis == "assumed":
        return False
    return not holds((low <= station.value) & (station.value <= high))


def _stations(rig: Rig[Floats]) -> Iterator[tuple[Path, Carrier, Value[Floats]]]:
    """Every stated station of what rides or is fitted, with what it is on."""
    for name, place in rig.places.items():
        yield ("places", name, "station"), place.on, place.station
    for name, item in rig.items.items():
        if item.station is not None and item.place in rig.places:
            yield ("items", name, "station"), rig.places[item.place].on, item.station
    axles = rig.trailer.axles
    for name, axle in (("first", axles.first), ("second", axles.second), ("third", axles.third)):
        if axle is not None and axle.station is not None:
            yield ("trailer", "axles", name, "station"), "trailer", axle.station
    held: dict[tuple[Carrier, str], Mapping[str, Any]] = {
        ("trailer", "tanks"): rig.trailer.tanks,
        ("trailer", "equipment"): rig.trailer.equipment,
        ("vehicle", "tanks"): rig.vehicle.tanks,
        ("vehicle", "seats"): rig.vehicle.seats,
    }
    for (table, kind), parts in held.items():
        for name, part in parts.items():
            if part.station is not None:
                yield (table, kind, name, "station"), table, part.station


def _trailer(rig: Rig[Floats]) -> tuple[Floats, Floats]:
    """Between what something on the trailer rides, m behind the ball."""
    end, axles, band = _length(rig), rig.trailer.axles.station, usual("trailer.length")
    assert band is not None
    if end is None:
        end = band.high if axles is None else axles.value / AHEAD_OF_AXLES
    return AHEAD["pin" if is_pin(rig) else "trailer"], end + PAST


def _length(rig: Rig[Floats]) -> Floats | None:
    """The trailer's stated length or the end of its box, m behind the ball."""
    length, box, start = rig.trailer.length, rig.trailer.box_length, rig.trailer.box_start
    if length is not None or box is None or box.basis == "assumed":
        return None if length is None else length.value
    return box.value + (TONGUE if start is None else start.value)


def _vehicle(rig: Rig[Floats]) -> tuple[Floats, Floats]:
    """Between what something on the vehicle rides, m behind its front axle."""
    base, behind = rig.vehicle.wheelbase, rig.vehicle.overhang
    long = usual("vehicle.wheelbase", rig.vehicle.klass)
    far = usual("vehicle.overhang", None)
    assert long is not None
    assert far is not None
    end = (base.value if base else long.high) + (behind.value if behind else far.high)
    return AHEAD["vehicle"], end + PAST
