"""A new rig from a body and a style: usual places and tanks, and a weight until one is stated."""

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from math import log
from pathlib import Path
from typing import Any, Final

from steelyard.assessment import Assessment, assess
from steelyard.quantity import Z95, System, shown
from steelyard.rig import NO_BED, Rig
from steelyard.scene import region_of, said_of
from steelyard.typical.plausible import usual
from steelyard.typical.shipped_tables import typical, vehicle_class

Change = tuple[str, Any]
"""A dotted key of the rig file and what it is to hold; None takes it out."""
WEIGHT: Final = "trailer.empty.weight"


def begun(vehicle: str, style: str, region: str, name: str) -> dict[str, Any]:
    """The plain data of a rig of which only body and style are known."""
    data: dict[str, Any] = {"format": 1, "name": name, "region": region}
    data["vehicle"] = {"class": vehicle}
    data["trailer"] = {"style": style, "empty": {"weight": assumed_weight(style, region)}}
    return data


def assumed_weight(style: str, region: str) -> dict[str, str]:
    """An empty trailer of a style, as widely as such trailers weigh: the band holds 95 % of weights
    that are spread evenly to both sides of its geometric middle, as masses are."""
    band = usual(WEIGHT, style)
    assert band is not None
    system: System = "us" if region == "north-america" else "metric"
    middle = (band.low * band.high) ** 0.5
    return {
        "value": shown(middle, "mass", system).replace(",", ""),
        "spread": shown(middle * log(band.high / band.low) / 2, "mass", system).replace(",", ""),
        "basis": "assumed",
    }


def settled(rig: Rig) -> Iterator[Change]:
    """What of a draft follows from what is stated by now: the assumed weight goes when the label's
    GVWR is there; what is only assumed to be somewhere follows the box."""
    weight, gvwr = rig.trailer.empty.weight, rig.trailer.gvwr
    if weight is not None and weight.basis == "assumed" and gvwr is not None:
        yield WEIGHT, None
    yield from laid(rig)


def laid(rig: Rig, *, whole: bool = False) -> Iterator[Change]:
    """Places and tanks where the style usually has them: those still assumed or, `whole`, all."""
    table = layout(rig.trailer.style)
    start, length = (
        float(said_of(rig)[f"trailer.{key}"].value) for key in ("box_start", "box_length")
    )
    spread = _table()["spread"] * length
    for name, share in table["places"].items():
        known = rig.places.get(name)
        if whole or (known is not None and known.station.basis == "assumed"):
            yield f"places.{name}.station", _metres(start + share * length, spread)
            if whole or (known and known.length and known.length.basis == "assumed"):
                yield f"places.{name}.length", _metres(length / len(table["places"]), spread)
    for name, share in table["tanks"].items():
        tank = rig.trailer.tanks.get(name)
        if whole:
            yield f"trailer.tanks.{name}.content", name
            yield f"trailer.tanks.{name}.capacity", table["capacity"][name]
        if whole or (tank is not None and tank.station.basis == "assumed"):
            yield f"trailer.tanks.{name}.station", _metres(start + share * length, spread)
    if whole:
        yield from _behind(rig)


def layout(style: str) -> Mapping[str, Any]:
    """Usual places and tanks of a style, by their share of the box, what such tanks hold, and what
    is packed in it."""
    row = _table()["styles"][style]
    return {"capacity": _table()["capacity"], **_table()["layout"][row["layout"]], **row}


def _behind(rig: Rig) -> Iterator[Change]:
    """The bed of a pickup, or the space behind the seats."""
    klass = rig.vehicle.klass
    closed = "cargo-area" if region_of(rig) == "north-america" else "boot"
    name, table = (closed if klass in NO_BED else "bed"), vehicle_class(klass)
    station, length = (typical(table, f"bed.{key}", "length") for key in ("station", "length"))
    assert station is not None
    yield f"places.{name}.on", "vehicle"
    yield f"places.{name}.station", _metres(station.value, Z95 * station.sd)
    if length is not None:
        yield f"places.{name}.length", _metres(length.value, Z95 * length.sd)


def _metres(value: float, half: float) -> dict[str, str]:
    return {"value": f"{value:.2f} m", "spread": f"{half:.2f} m", "basis": "assumed"}


@cache
def _table() -> Mapping[str, Any]:
    return tomllib.loads(Path(__file__).with_name("usual.toml").read_text("utf-8"))


@cache
def pictured(vehicle: str = "three-quarter-ton", style: str = "open-utility") -> Assessment:
    """A rig of a body and a style as it is usual, to be drawn."""
    data = begun(vehicle, style, "north-america", style)
    return assess(Rig.model_validate(data), draws=16)
