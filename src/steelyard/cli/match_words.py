"""Matched pairs at 80 columns: the lists, and a pair told in full."""

import math
from collections.abc import Iterator, Sequence
from typing import Final

from steelyard.cli.words import bullets, clipped, paragraph, table
from steelyard.matching.pair_limits import Room
from steelyard.matching.pair_remedies import Remedy
from steelyard.matching.pairing import FULL, TYPICAL
from steelyard.matching.rank import Pair
from steelyard.quantity import System, percent, to_border
from steelyard.ratings import VERDICTS
from steelyard.words.assessed import MARKS, number
from steelyard.words.matched import NAMES, reasons, remedy_line

NAME: Final = 14
"""Letters of a name in the lists."""
COLUMNS_SAID: Final = (
    "▲ n: so many ratings exceeded or likely so; ‡: cannot tell, ‡ n: so many likely exceeded; ? n:"
    " so many facts not known. full: with cargo up to the trailer's GVWR; all else as usually"
    " loaded. room: more cargo in the trailer at the best estimate, by the weight ratings known;"
    " band: by the tongue band; free: nothing stops it. Weights in"
)
"""What the columns hold; the unit comes last."""


def listed(some: Sequence[tuple[int, Pair]], system: System) -> str:
    """Pairs of one list, a line each."""
    head = ("", "vehicle", "trailer", "usual", "full", "share", "ball", "room", "band")
    rows = [head, *(_cells(place, pair, system) for place, pair in some)]
    return table(rows, left=(0, 1, 2, 3, 4), indent="")


def _cells(place: int, pair: Pair, system: System) -> tuple[str, ...]:
    block, at = pair.block, pair.number
    usual = block.stages.index(TYPICAL)
    share, ball = float(block.share[0, usual, at]), float(block.tongue_kg[0, usual, at])
    full = MARKS[VERDICTS[int(pair.found.full[at])]][:1] if FULL in block.stages else "?"
    return (
        str(place),
        clipped(pair.names[0], NAME),
        clipped(pair.names[1], NAME),
        _standing(pair),
        full,
        percent(share) if math.isfinite(share) else "",
        number(ball, system) if math.isfinite(ball) else "",
        _room(block.cargo, at, system),
        _room(block.cargo_band, at, system),
    )


def _standing(pair: Pair) -> str:
    """The mark as usually loaded, with how many ratings are exceeded or missing."""
    over, missing = int(pair.found.failed[pair.number]), int(pair.found.unknown[pair.number])
    mark = MARKS[VERDICTS[int(pair.found.standing[pair.number])]]
    if pair.list == "fits":
        return mark
    first = mark[:1] if mark[:1] != "?" else ""
    first += f" {over}" if pair.list == "does-not-fit" else ""
    return ", ".join(filter(None, (first, f"? {missing}" if missing else "")))


def _room(found: Room, at: int, system: System) -> str:
    kg = float(found.kg[0, at])
    if math.isnan(kg):
        return "?"
    return f"{to_border(kg, 'mass', system):z,.0f}" if math.isfinite(kg) else "free"


def told(pair: Pair, place: int, system: System, helped: Sequence[Remedy]) -> Iterator[str]:
    """One pair in full: why it stands where it stands, and what would help."""
    mark = MARKS[VERDICTS[int(pair.found.standing[pair.number])]]
    title = f"{NAMES[pair.list]} {place}: {' with '.join(pair.names)}, {mark}"
    yield paragraph(title, "   ", "")
    yield from bullets(list(reasons(pair.block, pair.found, pair.number, system)))
    if helped:
        yield "   What would help, each worked out again:"
        yield from bullets([remedy_line(one) for one in helped])
