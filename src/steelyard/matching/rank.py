"""Which pair is best: what is known to hold first, what is not known behind it, never ahead."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """One number a pair, (B,), of a block's pairs.

    standing: by number, as usually loaded, and `full` at full rating (-1 where no rating is
    stated); unknown: how many ratings due are not known; governs: the limit with the least room as
    usually loaded, `governs_full` at full rating, -1 for none known; chance, chance_full: the worst
    of any known limit; room: sd of the limit that governs; sways: 0 calm, 1 may grow, 2 grows.
    """

    standing: NDArray[np.int8]
    full: NDArray[np.int8]
    unknown: NDArray[np.intp]
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
    unknown = np.sum(block.verdict[:, usual] == UNKNOWN, axis=0)
    stages = [number for number, key in enumerate(block.stages) if key in (TYPICAL, FULL)]
    may = np.max(block.wags_chance[stages], axis=0)
    grows = (~(block.wags[stages] > block.speed)).any(axis=0)
    return Summary(
        standing=standing.astype(np.int8),
        full=full.astype(np.int8),
        unknown=unknown,
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


Keys = tuple[float, ...]


def keys(found: Summary) -> Array:
    """(B, 7): the numbers pairs are ordered by, the first before the second, small before large.

    Standing as usually loaded (within, tight, not known, exceeded); sway; how many ratings due are
    not known; whether full rating is exceeded or not stated; the worst chance as usually loaded,
    then at full rating; room, more before less. Where a rating is taken away, the pair goes behind
    what is known to hold and behind pairs that lack fewer.
    """
    bare = np.where((found.full == OVER) | (found.full < 0), 1.0, 0.0)
    room = -np.minimum(found.room, 1e12)
    parts = (found.standing, found.sways, found.unknown, bare, _steps(found.chance))
    return np.stack(
        [*(np.asarray(p, float) for p in parts), _steps(found.chance_full), room], axis=1
    )


def _steps(chance: Array) -> Array:
    """Chances to a tenth of a percent: below that the room decides."""
    return np.round(chance, 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a pair stands: its block, its number there, and its place in the order from 1."""

    block: int
    number: int
    place: int


def ranked(found: Matched) -> tuple[Place, ...]:
    """Every pair, best first; ties by name."""
    rows: list[tuple[tuple[float | str, ...], int, int]] = []
    for at, block in enumerate(found.blocks):
        order = keys(summary(block, found.tight))
        for number, key in enumerate(order.tolist()):
            names = found.tows[block.tow[number]].name, found.toweds[block.towed[number]].name
            rows.append(((*key, *names), at, number))
    rows.sort(key=lambda row: row[0])
    return tuple(
        Place(block=at, number=number, place=place)
        for place, (_, at, number) in enumerate(rows, start=1)
    )


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
