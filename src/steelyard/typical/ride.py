"""What usually rides in a rig that lists nothing: people, gear, cargo of the trailer."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from steelyard.quantity import Dimension, Floats, Value, parse
from steelyard.rig import Item, Person, Place, Trailer
from steelyard.typical.shipped_tables import (
    Typical,
    present,
    read_table,
    relation,
    trailer_style,
    vehicle_class,
)

GEAR = "gear"
BACK = "gear in the vehicle"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cargo:
    """Usual cargo of a trailer: its part of what the rating leaves (of the empty weight where
    `rated` is false) and its centre as a share of the box from its front."""

    share: Typical
    place: Typical
    rated: bool


def usual_people() -> Mapping[str, Person]:
    """Everybody aboard a rig that lists nobody, the driver first."""
    return {
        name: Person(seat=row["seat"], weight=_assumed(row["weight"], "mass"))
        for name, row in read_table("load.toml")["people"].items()
    }


def usual_gear(klass: str) -> tuple[Mapping[str, Place], Mapping[str, Item]]:
    """Gear in the bed or boot of a vehicle of this class, and the place it rides in."""
    row = read_table("load.toml")["gear"]
    bed = present(vehicle_class(klass), "bed.station", "length")
    station = in_si(bed.value, bed.sd, "m")
    place = Place(on="vehicle", station=station, length=_assumed(row["length"], "length"))
    return {BACK: place}, {GEAR: Item(weight=_assumed(row["weight"], "mass"), place=BACK)}


def usual_cargo(trailer: Trailer[Floats]) -> Cargo:
    """Usual cargo of a trailer of this style."""
    table: Mapping[str, Any] = read_table("load.toml")
    rows = {"relations": table["cargo"][cargo_kind(trailer)]}
    rated = trailer.gvwr is not None
    share = relation(rows, "share")
    if not rated:
        share = _of_empty(share, relation(trailer_style(trailer.style), "empty_share_of_gvwr"))
    return Cargo(share=share, place=relation(rows, "place"), rated=rated)


def cargo_kind(trailer: Trailer[Floats]) -> str:
    """What a trailer of this style is for: a row of the table of usual cargo."""
    return str(read_table("load.toml")["styles"][trailer.style])


def _of_empty(share: Typical, empty: Typical) -> Typical:
    """Cargo as a share of the empty weight, where only a usual rating is known: c (1 - e)/e.

    share: c, of what a rating leaves above the empty weight; empty: e, empty weight over rating.
    Spreads to first order, the two independent. Source: the ratio written out.
    """
    c, e = share.value, empty.value
    relative = math.hypot(share.sd / c, empty.sd / (e * (1.0 - e)))
    value = c * (1.0 - e) / e
    source = f"{share.source}; with a rating usual of the style: {empty.source}"
    return Typical(value=value, sd=relative * value, source=source)


def in_si(value: float, sd: float, unit: str) -> Value:
    """An assumed value from SI numbers."""
    text = f"{value:.6g} {unit}"
    return Value(value=value, sd=sd, basis="assumed", includes=None, kind=None, text=text)


def _assumed(text: str, dimension: Dimension) -> Value:
    return replace(parse(text, dimension), basis="assumed")
