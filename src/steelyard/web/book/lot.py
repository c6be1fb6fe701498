"""One vehicle of the book with the trailers of all its rigs, or one trailer with the vehicles."""

from collections import Counter
from collections.abc import Mapping
from typing import Any, Final, Literal

from steelyard.files.changes import AskError, asking
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.matching.candidates import tow_of, towed_of
from steelyard.matching.match import match
from steelyard.matching.pairing import FULL, TYPICAL, paired
from steelyard.matching.rank import LISTS, Pair, pairs, ranked
from steelyard.quantity import percent
from steelyard.ratings import VERDICTS
from steelyard.rig import Rig
from steelyard.web.book.shelf import Shelf
from steelyard.web.work import Work
from steelyard.words.assessed import MARKS
from steelyard.words.matched import HEADS, NAMES, USUAL_LOAD, reasons
from steelyard.words.trade import trade_of, units_of

With = Literal["trailers", "vehicles"]
MOST: Final = 1000
"""Rigs that one is held against at once."""


def facts(shelf: Shelf, number: int, others: With) -> Mapping[str, Any]:
    """What the template shows: the pairs of each list, best first, with their reasons."""
    own = work_of(shelf, number)
    rigs, left_out = _rigs(shelf)
    tows = [tow_of(own.rig, own.rig.name)]
    toweds = [towed_of(own.rig, own.rig.name)]
    if others == "trailers":
        toweds = [towed_of(rig, name) for name, rig in _named(rigs)]
    else:
        tows = [tow_of(rig, name) for name, rig in _named(rigs)]
    found = match(tows, toweds)
    trade, told = own.trade, [(pair.list, _told(pair, own)) for _, pair in ranked(pairs(found))]
    return {
        "rig": own.rig.name,
        "number": number,
        "others": others,
        "usual": trade.said(USUAL_LOAD),
        "lists": [
            (NAMES[name], trade.said(HEADS[name]), [row for at, row in told if at == name])
            for name in LISTS
        ],
        "never": [(tows[a].name, toweds[b].name, why) for a, b, why in found.impossible],
        "left_out": left_out,
    }


def work_of(shelf: Shelf, number: int) -> Work:
    """What follows from one rig of the book; AskError where there is none that stands."""
    with asking(LogbookError):
        found = shelf.work_of(number)
    _ = found.rig
    return found


def _rigs(shelf: Shelf) -> tuple[dict[int, Work], list[str]]:
    """Every rig of the book that is not put away, and those that are left out, with why."""
    found, left_out = {}, []
    with asking(LogbookError):
        rows, damaged = shelf.rigs.rows()
    left_out += [f"Rig {number} is damaged." for number in damaged]
    there = [row for row in rows if not row.away]
    if len(there) > MOST:
        left_out.append(f"The {len(there) - MOST} rigs that were changed longest ago.")
        there = sorted(there, key=lambda row: row.changed)[-MOST:]
    for row in there:
        try:
            found[row.id] = work_of(shelf, row.id)
        except AskError as error:
            left_out.append(f"{row.name}: {error}")
    return found, left_out


def _named(rigs: Mapping[int, Work]) -> list[tuple[str, Rig]]:
    """The rigs by name."""
    names = told_apart({key: one.rig.name for key, one in rigs.items()})
    return [(names[key], one.rig) for key, one in rigs.items()]


def told_apart(names: Mapping[int, str]) -> dict[int, str]:
    """The names of rigs, those of one name told apart by their numbers."""
    times = Counter(names.values())
    return {key: one if times[one] == 1 else f"{one} (rig {key})" for key, one in names.items()}


def _told(pair: Pair, own: Work) -> dict[str, Any]:
    """One pair: names, verdict as usually loaded and at full rating, share, reasons."""
    block, at = pair.block, pair.number
    usual, rig = block.stages.index(TYPICAL), paired(pair.tow, pair.towed)
    share = float(block.share[0, usual, at])
    full = MARKS[VERDICTS[int(pair.found.full[at])]] if FULL in block.stages else "? unknown"
    said = {"region": own.rig.region, "country": own.rig.country} if own.rig.region else {}
    rig = rig.model_copy(update=said)
    words, system = trade_of(rig), units_of(rig)
    lines = [words.said(one) for one in reasons(block, pair.found, at, system)]
    return {
        "tow": pair.names[0],
        "towed": pair.names[1],
        "mark": MARKS[VERDICTS[int(pair.found.standing[at])]],
        "full": full,
        "share": percent(share) if share == share else "",
        "first": lines[0] if lines else "",
        "rest": lines[1:],
    }
