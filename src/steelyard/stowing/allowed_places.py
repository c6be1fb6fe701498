"""Where each item may ride at all, by its own rules and the places'."""

from collections.abc import Iterator, Sequence
from typing import Final

from steelyard.fault import Fault
from steelyard.rig import Item, Place, Rig
from steelyard.rig.fumes import assumed_outside, fumes, outside
from steelyard.rig.rules import bound_groups

ALIGNED: Final = 0.1
"""m by which places opposite each other may be out of line."""


def may_ride(rig: Rig, item: str, place: str, keep: Sequence[str] = ()) -> bool:
    """Whether nothing forbids this item in this place."""
    return next(forbidden(rig, item, place, keep), None) is None


def forbidden(rig: Rig, name: str, place: str, keep: Sequence[str] = ()) -> Iterator[str]:
    """Every reason why an item may not ride in a place, in words."""
    item, spot = rig.items[name], rig.places[place]
    if place != item.place:
        if item.fixed or item.slides:
            yield "it is fixed where it is"
        elif name in keep:
            yield "you keep it where it is"
    sort = rig.sort_of(spot)
    if item.not_with_people and sort == "cabin":
        yield "it may not ride with people"
    if outside(name, item) and sort != "outside" and not _nowhere_else(rig, name, place):
        by = f": it is a {fumes(name, item)}, with fuel or fumes" if not item.outside_only else ""
        yield f"it rides outside only{by}"
    blocked = sorted(set(item.reachable_at) & set(spot.blocked_at))
    if blocked:
        yield f"nobody can get at {place} at {blocked[0]}"
    if spot.capacity is not None and item.weight.value > spot.capacity.value:
        yield f"{place} holds at most {spot.capacity.text}"
    if place != item.place and not fits(item, spot):
        yield f"it does not fit into {place}"


def _nowhere_else(rig: Rig, name: str, place: str) -> bool:
    """Whether a thing that nobody said rides outside only is where it is in a rig that has no place
    outside: it stays there, and is told of."""
    item = rig.items[name]
    out = any(rig.sort_of(spot) == "outside" for spot in rig.places.values())
    return item.outside_only is None and place == item.place and not out


def inside_with_fumes(rig: Rig) -> tuple[tuple[str, str], ...]:
    """Things that ride inside though fuel or fumes forbid it, and nobody said so, each with the
    word they are told by."""
    return tuple(
        (name, word)
        for name, word in assumed_outside(rig)
        if rig.sort_of(rig.places[rig.items[name].place]) != "outside"
    )


def hindered(rig: Rig, keep: Sequence[str] = ()) -> Iterator[Fault]:
    """Every rule that no arrangement can keep, whatever the limits."""
    free = {n: [p for p in rig.places if may_ride(rig, n, p, keep)] for n in rig.items}
    for name in rig.items:
        if not free[name]:
            told = "; ".join(_reasons(rig, name, keep))
            due = "a place that may hold it"
            yield Fault(path=("items", name), due=due, found="none", hint=told)
    for names in map(sorted, bound_groups(rig)):
        if all(free[n] for n in names) and not set.intersection(*(set(free[n]) for n in names)):
            told = "; ".join(f"{n}: {why}" for n in names for why in _reasons(rig, n, keep))
            listed = ", ".join(names)
            due = f"a place that may hold {listed} together"
            yield Fault(path=("items",), due=due, found="none", hint=told)
    for name, item in rig.items.items():
        for other in item.apart:
            if len({*free[name], *free[other]}) == 1:
                due, found = f"more than one place for it and {other}", f"{free[name][0]} only"
                yield Fault(path=("items", name, "apart"), due=due, found=found)
        pairs = ((p, q) for p in free[name] for q in free.get(item.opposite or "", ()))
        if item.opposite and not any(across(rig.places[p], rig.places[q]) for p, q in pairs):
            due = f"places opposite each other for it and {item.opposite}"
            yield Fault(path=("items", name, "opposite"), due=due, found="none")


def _reasons(rig: Rig, name: str, keep: Sequence[str]) -> list[str]:
    """Why an item may not ride in places, each reason once."""
    found = [next(forbidden(rig, name, place, keep), "") for place in rig.places]
    return [why for why in dict.fromkeys(found) if why]


def torn(rig: Rig) -> Iterator[str]:
    """Every rule between two items that how the rig is packed breaks, in words."""
    for name, item in rig.items.items():
        for other in item.together:
            if rig.items[other].place != item.place:
                yield f"{name}: it rides together with {other}"
        for other in item.apart:
            if rig.items[other].place == item.place:
                yield f"{name}: it never rides with {other}"
        there = rig.items[item.opposite].place if item.opposite else None
        if there is not None and not across(rig.places[item.place], rig.places[there]):
            yield f"{name}: it rides opposite {item.opposite}"


def across(one: Place, other: Place) -> bool:
    """Whether two places lie opposite each other; one on the centreline lies opposite itself."""
    aside = sum(place.offset.value if place.offset else 0.0 for place in (one, other))
    apart = one.station.value - other.station.value
    return one.on == other.on and abs(apart) <= ALIGNED and abs(aside) <= ALIGNED


def fits(item: Item, place: Place) -> bool:
    """Whether an item's box goes into a place's, turned as its rules allow; True where unsaid."""
    if item.size is None:
        return True
    length, width, height = (part.value for part in item.size)
    if item.upright and place.clearance is not None and height > place.clearance.value:
        return False
    if item.upright:
        return _within((length, width), (place.length, place.width))
    return _within((length, width, height), (place.length, place.width, place.clearance))


def _within(sizes: Sequence[float], room: Sequence[object]) -> bool:
    """Sides against sides, smallest with smallest; a side of the place that is unsaid is open."""
    known = [getattr(side, "value", float("inf")) for side in room]
    return all(a <= b for a, b in zip(sorted(sizes), sorted(known), strict=True))
