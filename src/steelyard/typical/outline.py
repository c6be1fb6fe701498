"""How wide, high and long a body is outside: as stated, else as its class or style usually is."""

from typing import Literal

from steelyard.quantity import Value
from steelyard.rig import Rig
from steelyard.typical.shipped_tables import present, trailer_style, vehicle_class

Body = Literal["vehicle", "trailer"]


def outside(rig: Rig, body: Body, key: str) -> float:
    """m: width or roof height of a body, an overhang of the vehicle."""
    stated: Value | None = getattr(getattr(rig, body), key)
    if stated is not None:
        return stated.value
    vehicle = body == "vehicle"
    table = vehicle_class(rig.vehicle.klass) if vehicle else trailer_style(rig.trailer.style)
    usual = present(table, key, "length")
    return usual.value
