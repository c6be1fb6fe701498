"""Places and what rides in them."""

from collections.abc import Mapping
from typing import Any, Final

from steelyard.drawing.names import place_name
from steelyard.quantity import System, shown, unit_of, with_spread
from steelyard.rig import Item
from steelyard.typical.load import STARTERS, item_weights, starter
from steelyard.typical.sheet import Parameter
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.session import Seen
from steelyard.web.work import Work


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """Places from front to back, vehicle first, and what could be added."""
    work = seen.work
    rig, system = work.rig, look.system(work)
    listed = {
        kind: {n: one for n, one in starter(kind).items() if n not in rig.items}
        for kind in STARTERS
    }
    return {
        "places": places_of(work, system),
        "starters": listed,
        "unit": unit_of("mass", system),
        "example": "92 lb +- 5 lb" if system == "us" else "42 kg +- 2 kg",
    }


def places_of(work: Work, system: System) -> list[dict[str, Any]]:
    """Each place with its chips and how full it is, from front to back, the vehicle's first."""
    rig = work.rig
    weights = item_weights(rig)
    order = sorted(
        rig.places.items(), key=lambda one: (one[1].on != "vehicle", one[1].station.value)
    )
    places = []
    for key, place in order:
        inside = {name: item for name, item in rig.items.items() if item.place == key}
        kg = sum(weights[name].value for name in inside)
        most = place.capacity.value if place.capacity else None
        places.append(
            {
                "key": key,
                "title": place_name(rig, key),
                "on": place.on,
                "items": [_chip(n, item, weights[n], system) for n, item in inside.items()],
                "holds": shown(kg, "mass", system),
                "capacity": shown(most, "mass", system) if most else None,
                "over": most is not None and kg > most,
            }
        )
    return places


def _chip(name: str, item: Item, weight: Parameter, system: System) -> dict[str, Any]:
    return {
        "key": name,
        "title": item.title or name.replace("-", " "),
        "weight": shown(weight.value, "mass", system),
        "spread": with_spread(weight.value, weight.sd, "mass", system),
        "fixed": item.fixed,
    }


SECTION: Final = Section("load", "Load", "what rides where; move it, add it, plan it", facts)
