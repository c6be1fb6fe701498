"""Every vehicle with every trailer: loads, limits and sway of each pair, in arrays."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from steelyard.assessment import DEFAULT_REGION
from steelyard.matching.beliefs import Side, coupling_of, tow_sides, towed_sides
from steelyard.matching.candidates import Tow, Towed, cannot
from steelyard.matching.kernel import COLUMNS, Block, block, drawn
from steelyard.matching.limits import FIRST
from steelyard.ratings import TIGHT, load_rulebook

DRAWS: Final = 128
"""Draws of each pair: see docs/decisions/0013-matching.md."""
SEEDS: Final = (0, 1)
"""Base points of vehicles and of trailers, independent of each other and shared by all pairs."""
MEMBERS: Final = 62
"""Candidates of one group drawn at a time: 3 MB, a block behind one vehicle."""
Progress = Callable[[int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Matched:
    """Every pair of some vehicles and some trailers, in blocks of alike pairs.

    impossible: (vehicle, trailer, why) of pairs that can't be coupled at all; draws and tight as
    asked.
    """

    tows: tuple[Tow, ...]
    toweds: tuple[Towed, ...]
    blocks: tuple[Block, ...]
    impossible: tuple[tuple[int, int, str], ...]
    draws: int
    tight: float

    def __len__(self) -> int:
        return sum(len(one.tow) for one in self.blocks)


def match(
    tows: Sequence[Tow],
    toweds: Sequence[Towed],
    draws: int = DRAWS,
    tight: float = TIGHT,
    progress: Progress | None = None,
) -> Matched:
    """Every vehicle with every trailer, empty, as usually loaded and at the trailer's rating.

    draws: Latin hypercube draws behind each spread; tight: chance of exceeding from which a limit
    is tight; progress: told how many more pairs are done.
    """
    impossible = tuple(_impossible(tows, toweds))
    never = {(a, b) for a, b, _ in impossible}
    sides = towed_sides(toweds)
    blocks: list[Block] = []
    for coupling in dict.fromkeys(coupling_of(towed) for towed in toweds):
        trailers = [side for side in sides if coupling_of(side.first) == coupling]  # type: ignore[arg-type]
        for tow in tow_sides(tows, coupling):
            for towed in trailers:
                blocks += _blocks(tow, towed, never, draws, tight, progress)
    return Matched(
        tows=tuple(tows),
        toweds=tuple(toweds),
        blocks=tuple(blocks),
        impossible=impossible,
        draws=draws,
        tight=tight,
    )


def _impossible(tows: Sequence[Tow], toweds: Sequence[Towed]) -> Iterator[tuple[int, int, str]]:
    pins = [number for number, towed in enumerate(toweds) if towed.pin]
    for a, tow in enumerate(tows):
        for b in pins:
            why = cannot(tow, toweds[b])
            if why is not None:
                yield a, b, why


def _blocks(
    tow: Side,
    towed: Side,
    never: set[tuple[int, int]],
    n: int,
    tight: float,
    progress: Progress | None,
) -> Iterator[Block]:
    assert isinstance(tow.first, Tow)
    rulebook = load_rulebook(tow.first.region or DEFAULT_REGION)
    size = max(1, COLUMNS // (FIRST + n))
    for some in _parts(tow):
        left = drawn(some, n, SEEDS[0])
        for others in _parts(towed):
            right = drawn(others, n, SEEDS[1])
            pairs = [
                (a, b)
                for a, one in enumerate(some.members)
                for b, other in enumerate(others.members)
                if (one, other) not in never
            ]
            for start in range(0, len(pairs), size):
                index = np.array(pairs[start : start + size], dtype=np.intp).T
                with np.errstate(all="ignore"):  # an absurd row must not stop its neighbours
                    found = block(left, right, index[0], index[1], rulebook, n, tight)
                yield found
                if progress is not None:
                    progress(index.shape[1])


def _parts(side: Side) -> Iterator[Side]:
    """The side by so many members at a time."""
    for start in range(0, len(side.members), MEMBERS):
        yield side.some(slice(start, start + MEMBERS))
