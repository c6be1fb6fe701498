"""Rules between two things: what rides together, apart, or in places opposite each other."""

from collections.abc import Mapping
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from steelyard.rig import Rig
from steelyard.rig.rules import bound_groups
from steelyard.stowing.allowed_places import across


def tied(rig: Rig, number: Mapping[str, int]) -> tuple[tuple[int, int], ...]:
    """Kinds that ride in one place, two by two; `number` is each thing's kind."""
    pairs = []
    for names in bound_groups(rig):
        known = [number[name] for name in sorted(names) if name in number]
        pairs += list(pairwise(known))
    return tuple(pairs)


def parted(rig: Rig, number: Mapping[str, int]) -> tuple[tuple[int, int], ...]:
    """Kinds that never share a place."""
    pairs = {
        (min(number[name], number[other]), max(number[name], number[other]))
        for name, item in rig.items.items()
        for other in item.apart
        if name in number and other in number
    }
    return tuple(sorted(pairs))


def opposed(rig: Rig, number: Mapping[str, int]) -> tuple[tuple[int, int], ...]:
    """Kinds that ride in places opposite each other."""
    pairs = {
        (number[name], number[item.opposite])
        for name, item in rig.items.items()
        if name in number and item.opposite is not None and item.opposite in number
    }
    return tuple(sorted(pairs))


def unmirrored(mirror: NDArray[np.intp]) -> NDArray[np.intp]:
    """Places that are opposite no other."""
    return np.setdiff1d(np.arange(len(mirror)), mirror)


def mirrors(rig: Rig) -> NDArray[np.intp]:
    """For each place the one opposite it: same carrier and station, offset turned about; else -1.

    A place on the centreline is its own.
    """
    places = list(rig.places.values())
    found = []
    for one in places:
        opposite = [p for p, other in enumerate(places) if across(one, other)]
        found.append(opposite[0] if opposite else -1)
    return np.array(found, dtype=np.intp)
