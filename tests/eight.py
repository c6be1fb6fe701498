"""Eight rigs and five kinds of ticket, for studies of what a weighing leaves uncertain."""

from typing import Any, Final

from tests import weighings

from steelyard.rig import Rig
from steelyard.weighing.laid_ticket import Weighed, lay
from steelyard.weighing.ticket import Ticket

BOX: Final[dict[str, Any]] = {
    "vehicle": {"class": "three-quarter-ton", "weight": "6600 lb"},
    "hitch": {"bars": {"rating": "1200 lb"}},
    "trailer": {
        "style": "enclosed-cargo",
        "gvwr": "6300 lb",
        "empty": {"weight": "3200 lb"},
        "axles": {"count": 2, "suspension": "independent"},
    },
    "places": {
        "middle": {"station": "15 ft", "length": "5 ft"},
        "nose": {"station": "6 ft", "length": "3 ft"},
    },
    "items": {
        "tractor": {"weight": "1500 lb", "place": "middle"},
        "crates": {"weight": "1100 lb", "place": "nose"},
    },
    "people": {"driver": {"seat": "driver"}},
}
"""An enclosed trailer at its rating, its cargo as heavy as itself."""
BARE: Final = {**BOX, "trailer": {k: v for k, v in BOX["trailer"].items() if k != "empty"}}
"""The same without a stated empty weight."""
CARAVAN: Final[dict[str, Any]] = {
    "region": "europe",
    "vehicle": {"class": "mid-size-suv", "gvwr": "2600 kg"},
    "trailer": {
        "style": "centre-axle-caravan",
        "gvwr": "1500 kg",
        "empty": {"weight": "1220 kg"},
        "tanks": {"fresh": {"content": "fresh", "capacity": "45 l", "station": "4 m"}},
    },
    "places": {"front": {"station": "1.6 m", "length": "0.8 m"}, "middle": {"station": "4.2 m"}},
    "items": {
        "gear": {"weight": "60 kg", "place": "front"},
        "awning": {"weight": "45 kg", "place": "middle"},
    },
    "people": {"anna": {"seat": "driver"}, "ben": {"seat": "passenger"}},
    "stages": {"go": {"tanks": {"fresh": "50 %"}}},
}
FIFTH: Final[dict[str, Any]] = {
    "vehicle": {"class": "three-quarter-ton"},
    "hitch": {"kind": "fifth-wheel"},
    "trailer": {
        "style": "fifth-wheel",
        "gvwr": "12000 lb",
        "empty": {"weight": "9200 lb"},
        "tanks": {"fresh": {"content": "fresh", "capacity": "60 gal", "station": "20 ft"}},
    },
    "places": {"basement": {"station": "5 ft", "length": "4 ft"}},
    "items": {"stuff": {"weight": "700 lb", "place": "basement"}},
    "people": {"anna": {"seat": "driver"}},
    "stages": {"go": {"tanks": {"fresh": "full"}}},
}
FLAT: Final[dict[str, Any]] = {
    "vehicle": {"class": "half-ton-crew-cab"},
    "trailer": {"style": "flatbed-equipment", "gvwr": "7000 lb", "empty": {"weight": "1900 lb"}},
    "places": {"deck": {"station": "11 ft", "length": "6 ft"}},
    "items": {"tractor": {"weight": "2600 lb", "place": "deck"}},
    "people": {"anna": {"seat": "driver"}},
}
RIGS: Final[dict[str, dict[str, Any]]] = {
    "box": BOX,
    "bare": BARE,
    "camper": weighings.CAMPER,
    "boat": weighings.BOAT,
    "cargo": weighings.CARGO,
    "caravan": CARAVAN,
    "fifth": FIFTH,
    "flat": FLAT,
}
TICKETS: Final = ("pads", "parts", "total", "wheels", "tape")
"""Three pads off, on and alone; vehicle and trailer apart; hitch and whole rig; every wheel; fender
heights and the trailer's axles."""
PADS: Final = [weighings.platform(one) for one in ("front", "rear", "trailer")]
ALONE: Final[dict[str, Any]] = {"arrangement": "vehicle-alone", "readings": PADS[:2]}


def laid(name: str, kind: str, data: dict[str, Any] | None = None) -> Weighed:
    """One of the tickets on one of the rigs, or on `data` in its place, numbers to be put in."""
    data = data or RIGS[name]
    rig = Rig.model_validate(data)
    bars = "bars" in data.get("hitch", {})
    passes = _passes(kind, bars=bars, pin=name == "fifth", axles=1 if name == "caravan" else 2)
    stage = next(iter(rig.stages), None)
    said = {key: {**one, **({"stage": stage} if stage else {})} for key, one in passes.items()}
    return lay(rig, Ticket.model_validate({"passes": said}))


def _passes(kind: str, *, bars: bool, pin: bool, axles: int) -> dict[str, Any]:
    off: dict[str, Any] = {"bars": "off"} if bars else {}
    on = {"on": {"bars": "on", "readings": PADS}} if bars else {}
    fenders = [weighings.fender("front"), weighings.fender("rear")]
    if kind == "pads":
        return {"off": {**off, "readings": PADS}, **on, "alone": ALONE}
    if kind == "parts":
        tongue = {"kind": "tongue-scale", "station": "0 m", "weight": "300 kg"}
        apart = {"arrangement": "trailer-alone", "readings": [PADS[2], *([] if pin else [tongue])]}
        return {"off": {**off, "readings": PADS}, "alone": ALONE, "apart": apart}
    if kind == "total":
        return {"off": {**off, "readings": [weighings.hitch_scale(), weighings.platform("all")]}}
    if kind == "wheels":
        return {"off": {**off, "readings": _wheels(axles)}}
    alone = {"arrangement": "vehicle-alone", "readings": fenders}
    return {"alone": alone, "off": {**off, "readings": [*fenders, PADS[2]]}}


def _wheels(axles: int) -> list[dict[str, Any]]:
    names = ("front", "rear", *(f"trailer-{number + 1}" for number in range(axles)))
    return [
        {"kind": "wheel", "axle": name, "side": side, "weight": "500 kg"}
        for name in names
        for side in ("left", "right")
    ]


def pounds(*numbers: float) -> list[float]:
    """Readings in kg from lb."""
    return [0.45359237 * number for number in numbers]


SEEN: Final = pounds(3900, 3620, 5500, 4080, 2760, 5500, 680)
"""What the scales showed of the box taken apart: 320 lb more than the file lists."""
