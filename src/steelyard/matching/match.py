"""Every vehicle with every trailer: loads, limits and sway of each pair, in arrays."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, product
from typing import Final

import numpy as np

from steelyard.columns.alike import Many
from steelyard.matching.beliefs import Side, coupling_of, tow_sides, towed_sides
from steelyard.matching.block_answers import COLUMNS, Block, block, drawn
from steelyard.matching.candidates import Tow, Towed, cannot
from steelyard.matching.pair_limits import FIRST
from steelyard.matching.pair_rows import DRAWS
from steelyard.matching.passes import ENOUGH, Pass, rows_of, there
from steelyard.ratings import TIGHT

SEEDS: Final = (0, 1)
"""Base points of vehicles and of trailers, independent of each other and shared by all pairs."""
MEMBERS: Final = 62
"""Candidates of one group drawn at a time: 3 MB, a block behind one vehicle."""
MANY: Final = 512
"""The same for a compiled pass: 30 MB."""
AT_ONCE: Final = 1000
"""Pairs that can't be coupled told at a time."""
Progress = Callable[[int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Matched:
    """Every pair of some vehicles and some trailers, in blocks of alike pairs.

    impossible: (vehicle, trailer, why) of pairs that can't be coupled at all; draws and tight as
    asked.
    """

    tows: Sequence[Tow]
    toweds: Sequence[Towed]
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
    found = list(matches(tows, toweds, draws, tight, progress))
    return Matched(
        tows=tuple(tows),
        toweds=tuple(toweds),
        blocks=tuple(one for part in found for one in part.blocks),
        impossible=tuple(one for part in found for one in part.impossible),
        draws=draws,
        tight=tight,
    )


def matches(
    tows: Sequence[Tow],
    toweds: Sequence[Towed],
    draws: int = DRAWS,
    tight: float = TIGHT,
    progress: Progress | None = None,
    *,
    many: bool = False,
) -> Iterator[Matched]:
    """The same a block at a time, for more than can be held whole.

    many: these are some of very many pairs, so that the compiled pass pays however few they are.
    """
    whole = Matched(tows=tows, toweds=toweds, blocks=(), impossible=(), draws=draws, tight=tight)
    kinds = tows.kinds() if isinstance(tows, Many) else tows
    read = {one: towed_sides(toweds, one) for one in dict.fromkeys(tow.region for tow in kinds)}
    sides = next(iter(read.values()), [])
    quick = there() and (many or len(tows) * len(toweds) >= ENOUGH)
    for coupling in dict.fromkeys(coupling_of(_towed(side)) for side in sides):
        pairs = (
            (tow, towed)
            for tow in tow_sides(tows, coupling)
            for towed in read[_tow(tow).region]
            if coupling_of(_towed(towed)) == coupling
        )
        for tow, towed in pairs:
            never = _impossible(tow, towed)
            while some := tuple(islice(never, AT_ONCE)):
                yield replace(whole, impossible=some)
            if cannot(_tow(tow), _towed(towed)) is None:
                way = _passed if quick else _blocks
                for one in way(tow, towed, draws, tight, progress):
                    yield replace(whole, blocks=(one,))


def _impossible(tow: Side, towed: Side) -> Iterator[tuple[int, int, str]]:
    """All pairs of two groups where one of them can't be coupled: of one alike pair as of all."""
    why = cannot(_tow(tow), _towed(towed))
    return ((a, b, why) for a, b in product(tow.members, towed.members) if why is not None)


def _blocks(
    tow: Side, towed: Side, n: int, tight: float, progress: Progress | None
) -> Iterator[Block]:
    size = max(1, COLUMNS // (FIRST + n))
    for some in _parts(tow):
        left = drawn(some, n, SEEDS[0])
        for others in _parts(towed):
            right = drawn(others, n, SEEDS[1])
            pairs = np.indices((len(some.members), len(others.members))).reshape(2, -1)
            for start in range(0, pairs.shape[1], size):
                index = pairs[:, start : start + size]
                with np.errstate(all="ignore"):  # an absurd row must not stop its neighbours
                    found = block(left, right, index[0], index[1], n, tight)
                yield found
                if progress is not None:
                    progress(index.shape[1])


def _passed(
    tow: Side, towed: Side, n: int, tight: float, progress: Progress | None
) -> Iterator[Block]:
    """`_blocks` by the compiled pass where it holds for these two groups."""
    size, rows, right = COLUMNS // FIRST, None, None
    for number, some in enumerate(_parts(tow, MANY)):
        left = drawn(some, n, SEEDS[0])
        for others in _parts(towed, MANY):
            right = drawn(others, n, SEEDS[1])
            both = Pass(tow=left, towed=right, n=n)
            if number == 0 and rows is None:
                rows = rows_of(both)
                if rows is None:
                    yield from _blocks(tow, towed, n, tight, progress)
                    return
            pairs = np.indices((len(some.members), len(others.members))).reshape(2, -1)
            for start in range(0, pairs.shape[1], size):
                index = pairs[:, start : start + size]
                with np.errstate(all="ignore"):
                    assert rows is not None
                    yield from both.blocks(rows, index[0], index[1], tight)
                if progress is not None:
                    progress(index.shape[1])


def _tow(side: Side) -> Tow:
    assert isinstance(side.first, Tow)
    return side.first


def _towed(side: Side) -> Towed:
    assert isinstance(side.first, Towed)
    return side.first


def _parts(side: Side, most: int = MEMBERS) -> Iterator[Side]:
    """The side by so many members at a time."""
    for start in range(0, len(side.members), most):
        yield side.some(slice(start, start + most))
