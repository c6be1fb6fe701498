"""Rigs to measure with: one typical laden rig, its six-stage trip, and the shipped demo rigs."""

from importlib.resources import as_file, files
from pathlib import Path

from steelyard import Rig

VEHICLE = {
    "class": "half-ton-crew-cab",
    "gvwr": "7100 lb",
    "payload": "1650 lb",
    "gcwr": "15000 lb",
    "tow_rating": "9500 lb",
    "front": {"gawr": "3750 lb", "tyres": {"pressure": "35 psi"}},
    "rear": {"gawr": "4100 lb", "tyres": {"pressure": "35 psi"}},
}
TRAILER = {
    "style": "rear-living",
    "gvwr": "7600 lb",
    "empty": {"weight": "5600 lb", "tongue_weight": "640 lb"},
    "axles": {"gawr": "3500 lb", "tyres": {"kind": "st", "pressure": "65 psi"}},
    "tanks": {
        "fresh": {"content": "fresh", "capacity": "45 gal", "station": "13 ft"},
        "grey": {"content": "grey", "capacity": "38 gal", "station": "18 ft"},
    },
}
HITCH = {
    "receiver": {"rating_trailer": "10000 lb", "rating_tongue": "1000 lb"},
    "ball_mount": {"rating_trailer": "10000 lb", "rating_tongue": "1000 lb"},
    "ball": {"rating_trailer": "10000 lb"},
    "bars": {"rating": "1000 lb"},
}
PLACES = {
    "bed": {"on": "vehicle", "station": "14 ft", "length": "5 ft"},
    "pass-through": {"station": "5 ft", "length": "3 ft", "capacity": "300 lb"},
    "kitchen": {"station": "12 ft", "length": "4 ft"},
}
ITEMS = {
    "bikes": {"weight": "90 lb", "place": "bed"},
    "tools": {"weight": "60 lb", "place": "pass-through"},
    "food": {"weight": "80 lb", "place": "kitchen"},
}
PEOPLE = {"driver": {"seat": "driver"}, "passenger": {"seat": "passenger"}}
STAGES = {
    name: {"tanks": {"fresh": fresh, "grey": grey}, "vehicle_tanks": {"fuel": fuel}}
    for name, fresh, grey, fuel in (
        ("leave", "100 %", "0 %", "100 %"),
        ("noon", "90 %", "10 %", "60 %"),
        ("arrive", "80 %", "20 %", "20 %"),
        ("camp", "50 %", "50 %", "20 %"),
        ("pack", "10 %", "90 %", "20 %"),
        ("home", "0 %", "0 %", "50 %"),
    )
}


def typical() -> Rig:
    """A half-ton truck and a travel trailer, two people and three items aboard, one stage."""
    return Rig.model_validate(
        {
            "vehicle": VEHICLE,
            "trailer": TRAILER,
            "hitch": HITCH,
            "places": PLACES,
            "items": ITEMS,
            "people": PEOPLE,
        }
    )


def trip() -> Rig:
    """The same rig at six stages."""
    plain = typical().model_dump(by_alias=True, exclude_none=True)
    return Rig.model_validate({**plain, "stages": STAGES})


def demo_files() -> list[Path]:
    """The demo rigs shipped with the package, by name."""
    with as_file(files("steelyard.files") / "demo") as folder:
        return sorted(folder.glob("perihelion-*.toml"))
