"""What can be said of a value that nobody stated: where to state it, or why it cannot be."""

import re
from typing import Final

from steelyard.rig import SEAT_ROWS, Rig
from steelyard.typical.sheet import kind_of, stated_key

_ALSO: Final = "weighing the rig narrows it; it cannot be stated in the rig file"


def stated_at(name: str, rig: Rig) -> str:
    """The dotted path at which a parameter is stated where that is not its own name."""
    head, _, last = name.rpartition(".")
    if head == "vehicle.seats" and last not in SEAT_ROWS and last not in rig.vehicle.seats:
        said = {seat for seat, one in rig.vehicle.seats.items() if one.station is not None}
        taken = [one.seat for one in rig.people.values() if one.seat in {*SEAT_ROWS} - said]
        row = [seat for seat in (*taken, *SEAT_ROWS) if SEAT_ROWS[seat][0] == last]
        return f"vehicle.seats.{row[0]}.station" if row else name
    return stated_key(name)


def helped_at(name: str) -> str:
    """The key at which a word on what is included settles an assumed value, if there is one."""
    known = kind_of(name)
    return known.helps if known else ""


def plainly(name: str) -> str:
    """A parameter's name as a person reads it: `items.pantry.station` is pantry station."""
    kind, _, rest = name.partition(".")
    if rest.startswith("unlisted") and (known := kind_of(name)):
        return known.told
    return (rest if kind in ("items", "people") else name).replace("_", " ").replace(".", " ")


def titled(name: str) -> str:
    """What a person calls a number of the rig, by the table of parameters; several, tied, with
    commas between their keys."""
    known = {one: kind_of(one) for one in name.split(",")}
    return " and ".join((kind and kind.told) or plainly(one) for one, kind in known.items())


_KEY: Final = re.compile(
    r"(?P<aside> \()?\b(?P<key>(?:vehicle|hitch|trailer|items|people|places|stages|load|road)"
    r"(?:\.[\w-]+)+)(?(aside)\))"
)


def without_keys(text: str) -> str:
    """A text with names of things for keys of the rig file; a key in brackets goes."""
    return _KEY.sub(lambda one: "" if one["aside"] else plainly(one["key"]), text)


def instead(name: str) -> str:
    """What to say or measure where a parameter is no key of the rig file."""
    known = kind_of(name)
    return (known.instead if known else "") or _ALSO
