"""Which pair is best, in three lists: what is known to fit, what may fit, what does not fit."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.matching.block_answers import Block
from steelyard.matching.candidates import EMPTY_WEIGHT, TONGUE, Tow, Towed, name_of
from steelyard.matching.match import Matched
from steelyard.matching.pairing import FULL, TYPICAL
from steelyard.ratings import VERDICTS, LimitStatus
from steelyard.ratings.judge import OPEN, UNKNOWN, WITHIN

RANK: Final = np.array([0, 3, 1, 2, 4])
"""Verdicts by number as pairs are ranked: what is not known comes behind what nobody can tell."""
REFUSED: Final = 5
"""Rank of a pair of which some limit is exceeded, or likely to be."""
List = Literal["fits", "may-fit", "does-not-fit"]
LISTS: Final[tuple[List, ...]] = ("fits", "may-fit", "does-not-fit")
"""Every rating due known and kept; nothing likely exceeded, but a rating, the trailer's weights or
its brakes not known, or nobody can tell; some exceeded, or likely to be."""


BASES: Final = ("trailer.gvwr", "vehicle.gvwr", "vehicle.payload", "hitch.bars.rating")
"""Ratings from which weights and the usual load are worked out where nothing better is stated."""
WEIGHED: Final = (EMPTY_WEIGHT, TONGUE)
"""What else the loads are worked out from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """One number a pair, (B,), of a block's pairs.

    standing: the gravest verdict by number, as usually loaded, and `full` at full rating (-1 where
    no rating is stated); rank: what the pair comes to among pairs, `REFUSED` at most, and
    `refused_full` whether it does at full rating; failed, unknown: how many ratings due are
    exceeded or likely to be, and not known, with what else is not stated; bases: how many of
    `BASES` and `WEIGHED` are not known; governs: of the gravest limits the one with the least room
    as usually loaded, `governs_full` at full rating, -1 for none known; chance, chance_full: the
    worst of any known limit; room: sd of the limit that governs; sways: 0 calm, 1 may grow, 2
    grows.
    """

    standing: NDArray[np.int8]
    full: NDArray[np.int8]
    rank: NDArray[np.int8]
    refused_full: NDArray[np.bool_]
    failed: NDArray[np.intp]
    unknown: NDArray[np.intp]
    bases: NDArray[np.intp]
    governs: NDArray[np.intp]
    governs_full: NDArray[np.intp]
    chance: Array
    chance_full: Array
    room: Array
    sways: NDArray[np.int8]


def summary(block: Block, tight: float) -> Summary:
    """What decides each pair of a block."""
    usual = block.stages.index(TYPICAL)
    rank, governs, chance, room = _stage(block, usual)
    n = len(block.tow)
    full, governs_full, chance_full = np.full(n, -1), np.full(n, -1), np.ones(n)
    if FULL in block.stages:
        full, governs_full, chance_full, _ = _stage(block, block.stages.index(FULL))
    refused_full = full == REFUSED
    bases = [number for number, check in enumerate(block.limits) if check.name in BASES]
    failed = np.sum(block.refused[:, usual], axis=0)
    unknown = np.sum((block.verdict[:, usual] == UNKNOWN) & ~block.note[:, usual], axis=0)
    bare = sum(path in WEIGHED for path in block.unsaid)
    if block.unsaid:
        least = RANK[UNKNOWN]
        rank, full = (np.where((x >= 0) & (x < least), least, x) for x in (rank, full))
    stages = [number for number, key in enumerate(block.stages) if key in (TYPICAL, FULL)]
    may = np.max(block.wags_chance[stages], axis=0)
    grows = (~(block.wags[stages] > block.speed)).any(axis=0)
    return Summary(
        standing=_gravest(block, usual),
        full=np.where(full < 0, -1, _gravest(block, block.stages.index(FULL)))
        if FULL in block.stages
        else full.astype(np.int8),
        rank=rank.astype(np.int8),
        refused_full=refused_full,
        failed=failed,
        unknown=unknown + len(block.unsaid),
        bases=np.sum(block.verdict[bases, usual] == UNKNOWN, axis=0) + bare,
        governs=governs,
        governs_full=governs_full,
        chance=chance,
        chance_full=chance_full,
        room=room,
        sways=np.where(grows, 2, np.where(may >= tight, 1, 0)).astype(np.int8),
    )


def _stage(block: Block, stage: int) -> tuple[NDArray[np.int8], NDArray[np.intp], Array, Array]:
    """Rank, the limit that governs, the worst chance and the least room, (B,) each.

    Exceeded first; then what is not known: a tight pair has shown more.
    """
    verdict, note, refused = block.verdict[:, stage], block.note[:, stage], block.refused[:, stage]
    known = (verdict != UNKNOWN) & ~note
    counted = np.where(refused, REFUSED, RANK[np.where(note, WITHIN, verdict)])
    worst = counted.max(axis=0) if len(counted) else np.zeros(len(block.tow), dtype=np.int8)
    margin, sd = block.margin[:, stage], block.sd[:, stage]
    with np.errstate(all="ignore"):
        plain = sd <= 1e-9 * np.abs(block.rating[:, stage])
        room = np.where(plain, np.where(margin >= 0, np.inf, -np.inf), margin / sd)
    room = np.where(known, np.nan_to_num(room, nan=-np.inf, posinf=1e12, neginf=-1e12), np.inf)
    grave = np.where(known, counted, -1)
    governs = np.argmin(np.where(grave == grave.max(axis=0), room, np.inf), axis=0)
    least = np.take_along_axis(room, governs[None], axis=0)[0]
    chance = np.where(known, block.chance[:, stage], 0.0).max(axis=0)
    return worst, np.where(np.isfinite(least), governs, -1), chance, least


def _gravest(block: Block, stage: int) -> NDArray[np.int8]:
    """The gravest verdict's number of each pair, as every door orders them, (B,)."""
    counted = np.where(block.note[:, stage], WITHIN, block.verdict[:, stage])
    least = UNKNOWN if block.unsaid else WITHIN
    return np.asarray(counted.max(axis=0, initial=least), dtype=np.int8)


def lists(found: Summary) -> NDArray[np.intp]:
    """Which of `LISTS` each pair is in, (B,)."""
    return np.where(found.rank == REFUSED, 2, np.where(found.rank >= RANK[OPEN], 1, 0))


def keys(found: Summary) -> Array:
    """(B, 10): the numbers pairs are ordered by, the first before the second, small before large.

    The list; standing as usually loaded; how many of the ratings that the loads themselves are
    worked out from are not known; how many ratings due are exceeded or not known; how many are not
    known; sway; whether full rating is exceeded or not stated; the worst chance as usually loaded,
    then at full rating; room, more before less. A rating not known counts as one exceeded, and
    behind it, so that taking one away lets a pair rise in no list.
    """
    bare = np.where(found.refused_full | (found.full < 0), 1.0, 0.0)
    room = -np.minimum(found.room, 1e12)
    open_ = found.failed + found.unknown
    first = (lists(found), found.rank, found.bases, open_, found.unknown, found.sways)
    last = (bare, _steps(found.chance), _steps(found.chance_full), room)
    return np.stack([np.asarray(part, float) for part in (*first, *last)], axis=1)


def _steps(chance: Array) -> Array:
    """Chances to a tenth of a percent: below that the room decides."""
    return np.round(chance, 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """One pair: its block, its number there, and what it is ordered by, its names last; `of`: all
    that were matched."""

    key: tuple[float | str, ...]
    of: Matched
    block: Block
    found: Summary
    number: int

    @property
    def tow(self) -> Tow:
        """The vehicle with what it carries."""
        return self.of.tows[int(self.block.tow[self.number])]

    @property
    def towed(self) -> Towed:
        """The trailer."""
        return self.of.toweds[int(self.block.towed[self.number])]

    @property
    def names(self) -> tuple[str, str]:
        """Of vehicle and trailer."""
        return str(self.key[-2]), str(self.key[-1])

    @property
    def list(self) -> List:
        """The list it stands in."""
        return LISTS[int(self.key[0])]

    def alone(self, tight: float) -> "Pair":
        """The same without all that were matched with it."""
        block = self.block.alone(self.number)
        of = replace(self.of, tows=(self.tow,), toweds=(self.towed,), blocks=())
        return replace(self, of=of, block=block, found=summary(block, tight), number=0)


def pairs(found: Matched) -> Iterator[Pair]:
    """Every pair, block by block, not in order."""
    for block in found.blocks:
        what = summary(block, found.tight)
        for number, key in enumerate(keys(what).tolist()):
            a, b = int(block.tow[number]), int(block.towed[number])
            names = name_of(found.tows, a), name_of(found.toweds, b)
            yield Pair(
                key=(*key, *names),
                of=found,
                block=block,
                found=what,
                number=number,
            )


def ranked(some: Iterable[Pair]) -> list[tuple[int, Pair]]:
    """Pairs list by list, best first, ties by name, each with its place in its list from 1."""
    seen: Counter[str] = Counter()
    places = []
    for pair in sorted(some, key=lambda pair: pair.key):
        seen[pair.list] += 1
        places.append((seen[pair.list], pair))
    return places


def standing_of(block: Block, limit: int, stage: int, number: int) -> LimitStatus:
    """One limit of one pair at one stage, in the form in which every door says it."""
    check, at = block.limits[limit], (limit, stage, number)
    return LimitStatus(
        kind=check.kind,
        name=check.name,
        at=check.at,
        title=check.title,
        verdict=VERDICTS[int(block.verdict[at])],
        value=float(block.value[at]),
        best=float(block.best[at]),
        sd=float(block.sd[at]),
        rating=float(block.rating[at]),
        margin=float(block.margin[at]),
        chance=float(block.chance[at]),
        aside=0.0,  # no pair's answer tells the edges of a band apart
        side="under" if block.under[at] else "over",
        measure=check.measure,
        source=check.source,
        due=check.due,
        note=bool(block.note[at]),
        chain=check.chain,
        band=None,
    )
