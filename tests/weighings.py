"""Rigs with the spreads of real files, and the tickets of a weighing, for tests of weighing."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from steelyard.estimate import Array, Values, draws
from steelyard.quantity import GRAVITY
from steelyard.rig import Rig
from steelyard.weighing.laid_ticket import Weighed, lay
from steelyard.weighing.ticket import Ticket

CAMPER: dict[str, Any] = {
    "vehicle": {
        "class": "half-ton-crew-cab",
        "gvwr": "7100 lb",
        "payload": "1650 lb",
        "rear": {"gawr": "4100 lb"},
    },
    "hitch": {
        "receiver": {"rating_trailer": "10000 lb", "rating_tongue": "1000 lb"},
        "bars": {"rating": "1000 lb"},
    },
    "trailer": {
        "style": "rear-living",
        "gvwr": "7600 lb",
        "empty": {"weight": "5600 lb", "tongue_weight": "640 lb"},
        "tanks": {
            "fresh": {"content": "fresh", "capacity": "45 gal", "station": "13 ft"},
            "grey": {"content": "grey", "capacity": "38 gal", "station": "18 ft"},
        },
    },
    "places": {
        "bed": {"on": "vehicle", "station": "14 ft", "length": "5 ft"},
        "front": {"station": "5 ft", "length": "3 ft"},
    },
    "items": {
        "bikes": {"weight": "90 lb", "place": "bed"},
        "tools": {"weight": "160 lb", "place": "front"},
    },
    "people": {"anna": {"seat": "driver"}, "ben": {"seat": "passenger"}},
    "stages": {
        "leave": {"tanks": {"fresh": "75 %", "grey": "empty"}},
        "home": {"tanks": {"fresh": "empty", "grey": "50 %"}},
    },
}
"""A travel trailer with bars, two tanks and two stages."""
BOAT: dict[str, Any] = {
    "vehicle": {"class": "mid-size-suv", "gvwr": "6100 lb"},
    "hitch": {"bars": {"rating": "600 lb"}},
    "trailer": {"style": "boat", "gvwr": "4500 lb", "empty": {"weight": "3400 lb"}},
}
"""A boat trailer of which little is known."""
CARGO: dict[str, Any] = {
    "vehicle": {"class": "three-quarter-ton", "gvwr": "10000 lb"},
    "hitch": {"bars": {"rating": "1000 lb"}},
    "trailer": {
        "style": "enclosed-cargo",
        "empty": {"weight": "3200 lb"},
        "axles": {"count": 2, "suspension": "independent"},
    },
    "places": {"nose": {"station": "6 ft", "length": "3 ft"}, "tail": {"station": "16 ft"}},
    "items": {
        "tractor": {"weight": "1800 lb", "place": "tail"},
        "boxes": {"weight": "900 lb", "place": "nose"},
    },
}
"""A box on independent axles, heavily laden."""
ALL = {"camper": CAMPER, "boat": BOAT, "cargo": CARGO}


def rig(name: str) -> Rig:
    """One of the rigs above."""
    return Rig.model_validate(ALL[name])


def platform(*axles: str, weight: str = "1000 kg") -> dict[str, Any]:
    """A platform reading; the number is put in later where it is left out."""
    return {"kind": "platform", "axles": list(axles), "weight": weight}


def hitch_scale(cell: str = "shank", weight: str = "300 kg") -> dict[str, Any]:
    """A hitch that weighs."""
    return {"kind": "hitch-scale", "cell": cell, "weight": weight}


def fender(at: str, height: str = "0.9 m") -> dict[str, Any]:
    """Ground to wheel arch."""
    return {"kind": "fender-height", "at": at, "height": height}


def ticket(passes: dict[str, Any], **more: Any) -> Ticket:
    """A ticket from its passes; coupled ones are bars off where they do not say."""
    return Ticket.model_validate({"passes": said(passes), **more})


def said(passes: dict[str, Any]) -> dict[str, Any]:
    """The passes with `bars` written out in each that is coupled."""
    apart = {name for name, one in passes.items() if "arrangement" in one}
    return {n: one if n in apart else {"bars": "off", **one} for n, one in passes.items()}


def three_passes(stage: str | None = None) -> Ticket:
    """The standard weighing: three pads coupled bars off and on, two alone, and the hitch."""
    aboard = {"stage": stage} if stage else {}
    pads = [platform("front"), platform("rear"), platform("trailer")]
    return ticket(
        {
            "off": {"bars": "off", **aboard, "readings": [*pads, hitch_scale()]},
            "on": {"bars": "on", **aboard, "readings": pads},
            "alone": {"arrangement": "vehicle-alone", **aboard, "readings": pads[:2]},
        }
    )


def lay_of(name: str, passes: dict[str, Any]) -> Weighed:
    """A ticket of these passes on one of the rigs above."""
    return lay(rig(name), ticket(passes))


def reading(weighed: Weighed, numbers: Sequence[float] | Array) -> Weighed:
    """The same ticket with other numbers on it, SI."""
    pairs = zip(weighed.readings, numbers, strict=True)
    read = tuple(replace(one, value=float(number)) for one, number in pairs)
    return replace(weighed, readings=read)


def shown(weighed: Weighed, v: Values) -> Array:
    """What every instrument should show at these values, (m, n)."""
    rows = [np.ravel(one.predict(v)) for one in weighed.readings]
    return np.array(np.broadcast_arrays(*rows))


def noise(weighed: Weighed, n: int, seed: int) -> Array:
    """Errors of the readings as stated, (m, n)."""
    sd = np.array([one.sd for one in weighed.readings])
    return np.asarray(sd[:, None] * np.random.default_rng(seed).standard_normal((len(sd), n)))


def truths(weighed: Weighed, n: int, seed: int) -> tuple[Array, Array]:
    """Points (n, p) drawn from the ticket's prior, and readings (m, n) with their noise."""
    points = draws(weighed.prior, n, seed)
    seen = shown(weighed, weighed.prior.values(points)) + noise(weighed, n, seed + 1)
    return points, seen


def answers(weighed: Weighed, v: Values, name: str = "off") -> Array:
    """Tongue share, tongue weight (kg) and whole trailer (kg) at the load of a pass, (3, n)."""
    pose = weighed.poses.at(name, v)
    whole, tongue = pose.whole_trailer(), pose.tongue()
    rows = (tongue / whole, tongue / GRAVITY, whole / GRAVITY)
    return np.array(np.broadcast_arrays(*rows))
