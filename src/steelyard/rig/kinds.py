"""The words a rig file may use where a choice is due."""

from typing import Final, Literal

VehicleClass = Literal[
    "mid-size-pickup",
    "half-ton-crew-cab",
    "three-quarter-ton",
    "one-ton-dual-rear-wheel",
    "full-size-suv",
    "mid-size-suv",
    "small-suv",
    "minivan",
    "car",
    "small-car",
    "van",
]
TrailerStyle = Literal[
    "rear-living",
    "rear-bunk",
    "front-living",
    "middle-kitchen",
    "rear-bath",
    "toy-hauler",
    "small-single-axle",
    "fifth-wheel",
    "fifth-wheel-toy-hauler",
    "horse",
    "enclosed-cargo",
    "open-utility",
    "flatbed-equipment",
    "car-hauler",
    "boat",
    "gooseneck",
    "centre-axle-caravan",
]
CARS: Final = ("car", "small-car")
"""Passenger cars, for which the tyre standards make no allowance; all else is a light truck."""
NO_BED: Final = (*CARS, "small-suv", "mid-size-suv", "full-size-suv", "minivan", "van")
OPEN: Final = ("open-utility", "flatbed-equipment", "car-hauler", "boat")
"""Trailers without a roof; a gooseneck's may have one."""
FREIGHT: Final = (*OPEN, "horse", "enclosed-cargo", "gooseneck")
"""Trailers nobody lives in."""
Country = Literal[
    "AT",
    "AU",
    "BE",
    "BG",
    "CA",
    "CH",
    "CY",
    "CZ",
    "DE",
    "DK",
    "EE",
    "ES",
    "FI",
    "FR",
    "GB",
    "GR",
    "HR",
    "HU",
    "IE",
    "IS",
    "IT",
    "LI",
    "LT",
    "LU",
    "LV",
    "MT",
    "NL",
    "NO",
    "NZ",
    "PL",
    "PT",
    "RO",
    "SE",
    "SI",
    "SK",
    "US",
]
"""ISO 3166-1 codes of the countries whose region is known here."""
Region = Literal["north-america", "europe", "australia-new-zealand"]
HitchKind = Literal["ball", "fifth-wheel", "gooseneck", "pintle", "drawbar"]
SwayControlKind = Literal["bar", "coupling", "cam"]
Suspension = Literal["equaliser", "independent"]
Levelling = Literal["none", "air-by-hand", "self-levelling"]
TyreKind = Literal["p-metric", "lt", "st", "flotation", "bias", "c-type", "etrto-passenger"]
Content = Literal["fresh", "grey", "black", "water", "gasoline", "diesel", "propane"]
Carrier = Literal["vehicle", "trailer"]
Room = Literal["inside", "outside", "cabin"]
Driven = Literal["front", "rear", "all"]
BrakeKind = Literal["electric", "surge", "other"]
DistributionRule = Literal["required", "allowed", "forbidden"]
