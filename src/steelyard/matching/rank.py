"""Which pair is best, in three lists: what is known to fit, what may fit, what does not fit."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.matching.candidates import EMPTY_WEIGHT, TONGUE, Tow, Towed
from steelyard.matching.kernel import Block
from steelyard.matching.limits import OVER, TIGHT_, UNKNOWN, WITHIN
from steelyard.matching.match import Matched
from steelyard.matching.pairing import FULL, TYPICAL
from steelyard.ratings import Standing, Verdict

WORDS: Final[dict[int, Verdict]] = {
    WITHIN: "within",
    TIGHT_: "tight",
    UNKNOWN: "unknown",
    OVER: "exceeded",
}


List = Literal["fits", "may-fit", "does-not-fit"]
LISTS: Final[tuple[List, ...]] = ("fits", "may-fit", "does-not-fit")
"""Every rating due known and kept; nothing known exceeded, but a rating, the trailer's weights or
its brakes not known; some exceeded."""


BASES: Final = ("trailer.gvwr", "vehicle.gvwr", "vehicle.payload", "hitch.bars.rating")
"""Ratings from which weights and the usual load are worked out where nothing better is stated."""
WEIGHED: Final = (EMPTY_WEIGHT, TONGUE)
"""What else the loads are worked out from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """One number a pair, (B,), of a block's pairs.

    standing: by number, as usually loaded, and `full` at full rating (-1 where no rating is
    stated); failed, unknown: how many ratings due are exceeded, and not known, with what else is
    not stated; bases: how many of `BASES` and `WEIGHED` are not known; governs: the limit with the
    least room as usually loaded, `governs_full` at full rating, -1 for none known; chance,
    chance_full: the worst of any known limit; room: sd of the limit that governs; sways: 0 calm, 1
    may grow, 2 grows.
    """

    standing: NDArray[np.int8]
    full: NDArray[np.int8]
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
    standing, governs, chance, room = _stage(block, usual)
    n = len(block.tow)
    full, governs_full, chance_full = np.full(n, -1), np.full(n, -1), np.ones(n)
    if FULL in block.stages:
        full, governs_full, chance_full, _ = _stage(block, block.stages.index(FULL))
    bases = [number for number, check in enumerate(block.limits) if check.name in BASES]
    failed, unknown = (
        np.sum((block.verdict[:, usual] == code) & ~block.note[:, usual], axis=0)
        for code in (OVER, UNKNOWN)
    )
    bare = sum(path in WEIGHED for path in block.unsaid)
    if block.unsaid:
        standing, full = (np.where((x >= 0) & (x < UNKNOWN), UNKNOWN, x) for x in (standing, full))
    stages = [number for number, key in enumerate(block.stages) if key in (TYPICAL, FULL)]
    may = np.max(block.wags_chance[stages], axis=0)
    grows = (~(block.wags[stages] > block.speed)).any(axis=0)
    return Summary(
        standing=standing.astype(np.int8),
        full=full.astype(np.int8),
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
    """Standing, the limit that governs, the worst chance and the least room, (B,) each.

    Exceeded first; what is not known comes before what is tight: a tight pair has shown more.
    """
    verdict, note = block.verdict[:, stage], block.note[:, stage]
    known = (verdict != UNKNOWN) & ~note
    counted = np.where(note, WITHIN, verdict)
    worst = counted.max(axis=0) if len(counted) else np.zeros(len(block.tow), dtype=np.int8)
    margin, sd = block.margin[:, stage], block.sd[:, stage]
    with np.errstate(all="ignore"):
        plain = sd <= 1e-9 * np.abs(block.rating[:, stage])
        room = np.where(plain, np.where(margin >= 0, np.inf, -np.inf), margin / sd)
    room = np.where(known, np.nan_to_num(room, nan=-np.inf, posinf=1e12, neginf=-1e12), np.inf)
    governs = np.argmin(room, axis=0)
    least = room.min(axis=0)
    chance = np.where(known, block.chance[:, stage], 0.0).max(axis=0)
    return worst, np.where(np.isfinite(least), governs, -1), chance, least


def lists(found: Summary) -> NDArray[np.intp]:
    """Which of `LISTS` each pair is in, (B,)."""
    return np.where(found.standing == OVER, 2, np.where(found.standing == UNKNOWN, 1, 0))


def keys(found: Summary) -> Array:
    """(B, 10): the numbers pairs are ordered by, the first before the second, small before large.

    The list; standing as usually loaded; how many of the ratings that the loads themselves are
    worked out from are not known; how many ratings due are exceeded or not known; how many are not
    known; sway; whether full rating is exceeded or not stated; the worst chance as usually loaded,
    then at full rating; room, more before less. A rating not known counts as one exceeded, and
    behind it, so that taking one away lets a pair rise in no list.
    """
    bare = np.where((found.full == OVER) | (found.full < 0), 1.0, 0.0)
    room = -np.minimum(found.room, 1e12)
    open_ = found.failed + found.unknown
    first = (lists(found), found.standing, found.bases, open_, found.unknown, found.sways)
    last = (bare, _steps(found.chance), _steps(found.chance_full), room)
    return np.stack([np.asarray(part, float) for part in (*first, *last)], axis=1)


def _steps(chance: Array) -> Array:
    """Chances to a tenth of a percent: below that the room decides."""
    return np.round(chance, 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """One pair: its block, its number there, and what it is ordered by, its names last."""

    key: tuple[float | str, ...]
    tow: Tow
    towed: Towed
    block: Block
    found: Summary
    number: int

    @property
    def list(self) -> List:
        """The list it stands in."""
        return LISTS[int(self.key[0])]

    def alone(self, tight: float) -> "Pair":
        """The same without the rest of its block, which is some hundred times as large."""
        block = self.block.alone(self.number)
        return replace(self, block=block, found=summary(block, tight), number=0)


def pairs(found: Matched) -> Iterator[Pair]:
    """Every pair, block by block, not in order."""
    for block in found.blocks:
        what = summary(block, found.tight)
        for number, key in enumerate(keys(what).tolist()):
            tow, towed = found.tows[block.tow[number]], found.toweds[block.towed[number]]
            yield Pair(
                key=(*key, tow.name, towed.name),
                tow=tow,
                towed=towed,
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


def standing_of(block: Block, limit: int, stage: int, number: int) -> Standing:
    """One limit of one pair at one stage, in the form in which every door says it."""
    check, at = block.limits[limit], (limit, stage, number)
    verdict = WORDS[int(block.verdict[at])]
    return Standing(
        name=check.name,
        title=check.title,
        verdict=verdict,
        value=float(block.value[at]),
        sd=float(block.sd[at]),
        rating=float(block.rating[at]),
        margin=float(block.margin[at]),
        chance=float(block.chance[at]),
        side="under" if block.under[at] else "over",
        measure=check.measure,
        source=check.source,
        due=check.due,
        note=bool(block.note[at]),
        chain=check.chain,
        band=None,
    )
