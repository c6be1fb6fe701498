"""What can be said of a value that nobody stated: where to state it, or why it cannot be."""

import re
from typing import Final

from steelyard.rig import SEAT_ROWS, Rig

INSTEAD: Final = {
    "trailer.gas_and_battery": "say what the empty weight includes (propane, battery), or list them"
    " as trailer equipment with their weight",
    "trailer.gas_and_battery_station": "list them as trailer equipment with a station",
    "trailer.options": "say that the empty weight includes options (a scale's does), or weigh the"
    " empty trailer",
    "trailer.options_offset": "say that the empty weight includes options, or weigh the empty"
    " trailer",
    "trailer.hub_height": "not a key of the rig file: it hardly moves anything",
    "trailer.floor_height": "state the height of each place on the trailer",
    "trailer.yaw_radius": "no label says it; it bears on sway only",
    "trailer.axles.cornering": "no label says it; it bears on sway only",
    "load.item_height": "state the height of each item",
    "load.offset": "state the offset of each item or place",
    "vehicle.bed_height": "state the height of each place on the vehicle",
    "vehicle.yaw_inertia_ratio": "no label says it; it bears on sway only",
    "vehicle.understeer": "no label says it; it bears on sway only",
    "hitch.bars.station": "not a key of the rig file: the bars sit just ahead of the ball",
}
"""Assumed values that are no key of the rig file, and what to say or measure instead."""
HELPS: Final = {
    "trailer.gas_and_battery": "trailer.empty.weight",
    "trailer.options": "trailer.empty.weight",
    "trailer.options_offset": "trailer.empty.weight",
}
"""Keys at which a word on what is included settles an assumed value."""
_TYRES: Final = {
    "tyre_rate": "rate",
    "rated_pressure": "placard_pressure",
    "pressure": "pressure",
    "tyre_load": "max_load",
}
_ALSO: Final = "weighing the rig narrows it; it cannot be stated in the rig file"


def stated_at(name: str, rig: Rig) -> str:
    """The dotted path at which a parameter is stated where that is not its own name."""
    head, _, last = name.rpartition(".")
    if last in _TYRES and head in ("vehicle.front", "vehicle.rear", "trailer.axles"):
        return f"{head}.tyres.{_TYRES[last]}"
    if head == "vehicle.seats" and last not in SEAT_ROWS and last not in rig.vehicle.seats:
        said = {seat for seat, one in rig.vehicle.seats.items() if one.station is not None}
        taken = [one.seat for one in rig.people.values() if one.seat in {*SEAT_ROWS} - said]
        row = [seat for seat in (*taken, *SEAT_ROWS) if SEAT_ROWS[seat][0] == last]
        return f"vehicle.seats.{row[0]}.station" if row else name
    return name


def plainly(name: str) -> str:
    """A parameter's name as a person reads it: `items.pantry.station` is pantry station."""
    kind, _, rest = name.partition(".")
    return (rest if kind in ("items", "people") else name).replace("_", " ").replace(".", " ")


_KEY: Final = re.compile(
    r"(?P<aside> \()?\b(?P<key>(?:vehicle|hitch|trailer|items|people|places|stages|load|road)"
    r"(?:\.[\w-]+)+)(?(aside)\))"
)


def without_keys(text: str) -> str:
    """A text with names of things for keys of the rig file; a key in brackets goes."""
    return _KEY.sub(lambda one: "" if one["aside"] else plainly(one["key"]), text)


def instead(name: str) -> str:
    """What to say or measure where a parameter is no key of the rig file."""
    return INSTEAD.get(name, _ALSO)


_RATINGS: Final = {
    ".tongue": (".rating_tongue", ".distributing_tongue"),
    ".trailer": (".rating_trailer", ".distributing_trailer"),
    ".tyres": (".tyres.max_load",),
    ".chains": (".chains.rating_each",),
    ".s": (".s_value",),
    ".d": (".d_value",),
}


def rating_at(limit: str, title: str) -> str:
    """The dotted path of the rating that a limit is held to, as far as one key states it."""
    path = limit
    for axle in ("first", "second", "third"):
        path = path.replace(f"trailer.axles.{axle}.", "trailer.axles.")
    for end, keys in _RATINGS.items():
        if path.endswith(end):
            return path.removesuffix(end) + keys[-1 if "distributing" in title else 0]
    return path
