"""What a place can take by size: floor length, floor area, volume."""

from collections.abc import Iterator
from dataclasses import dataclass

from steelyard.rig import Item, Place, Rig


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """One measure of one place: how much of it there is, and how much of it each item takes."""

    place: str
    what: str
    size: float
    takes: dict[str, float]


def rooms(rig: Rig) -> Iterator[Room]:
    """Floor length where only that is known, else floor area, and volume where there is a ceiling.

    Under a ceiling things may stand on each other, so there the floor counts for upright ones only.
    """
    for name, place in rig.places.items():
        for what, size in _measures(place):
            takes = {
                key: _take(item, what)
                for key, item in rig.items.items()
                if item.size is not None and (what != "standing room" or item.upright)
            }
            if takes:
                yield Room(place=name, what=what, size=size, takes=takes)


def _measures(place: Place) -> Iterator[tuple[str, float]]:
    if place.length is None:
        return
    if place.width is None:
        yield "floor length", place.length.value
        return
    floor = place.length.value * place.width.value
    if place.clearance is None:
        yield "floor area", floor
    else:
        yield "standing room", floor
        yield "volume", floor * place.clearance.value


def _take(item: Item, what: str) -> float:
    assert item.size is not None
    length, width, height = (side.value for side in item.size)
    if what == "floor length":
        return length
    return length * width * (height if what == "volume" else 1.0)
