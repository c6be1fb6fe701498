"""Rows that say nothing beside others: the same place at the next stage, one limit under another.

Row b follows from row a where no arrangement adds more to b than to a beyond the difference of
their rooms: sum over kinds of N_g max_p (take_b - take_a) <= room_b - room_a.
"""

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.stowing.problem import Bound, Flags, Problem

ROUNDING: Final = 1e-9
"""kg by which rows of one limit at two stages differ though they are the same."""


def telling(
    take: Array, room: Array, kind: NDArray[np.intp], count: Array, *, leaving: bool = False
) -> Flags:
    """Which rows (K,) to keep so that they imply the others and none of them implies another.

    take (K, C) kg a member in each cell; room (K,) kg; kind (C,) of each cell, in order; count (G,)
    members of each kind, some of which may stay home where `leaving`. A row that no arrangement can
    break is implied by nothing at all.
    """
    kinds, first = np.unique(kind, return_index=True)
    if not len(first):
        return np.ones(len(room), dtype=bool)
    members = count[kinds]

    def most(rows: Array) -> Array:
        each = np.maximum.reduceat(rows, first, axis=1)
        return np.asarray((np.maximum(each, 0.0) if leaving else each) @ members)

    kept = most(take) > room + ROUNDING
    for a in range(len(room)):
        if kept[a]:
            others = np.flatnonzero(kept)
            implied = most(take[others] - take[a]) <= room[others] - room[a] + ROUNDING
            kept[others[implied & (others != a)]] = False
    return np.asarray(kept)


def thinned(problem: Problem, *, leaving: bool = False) -> Problem:
    """The same program with only the limits that tell; what bounds its water counts as a kind."""
    cells, water = np.argwhere(problem.allowed), problem.water
    wet = np.stack([water.take * water.low, water.take * water.high], axis=-1)
    kinds, runs = len(problem.count), len(water.low)
    keep = telling(
        np.concatenate([problem.limits.take[:, *cells.T], *wet.transpose(1, 0, 2)], axis=1),
        problem.limits.room,
        np.concatenate([cells[:, 0], kinds + np.repeat(np.arange(runs), 2)]),
        np.append(problem.count, np.ones(runs)),
        leaving=leaving,
    )
    limits = Bound(
        take=problem.limits.take[keep],
        room=problem.limits.room[keep],
        family=tuple(np.array(problem.limits.family, dtype=object)[keep]),
    )
    take = water.take[keep] if runs else np.zeros((len(limits.room), 0))
    return replace(problem, limits=limits, water=replace(water, take=take))
