"""Two rigs of the book side by side: what each comes to, and why they differ."""

from collections.abc import Mapping
from typing import Any

from steelyard.drawing.book import outline_sheet, rig_outline
from steelyard.files.changes import asking
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.matching.compare import compare
from steelyard.web.book.listing import judged
from steelyard.web.book.lot import told_apart, work_of
from steelyard.web.book.shelf import Shelf
from steelyard.web.difference import difference
from steelyard.web.work import Work
from steelyard.words.assessed import MARKS, system_of
from steelyard.words.trade import speaking


def facts(shelf: Shelf, number: int, other: int | None) -> Mapping[str, Any]:
    """What the template shows; other: None where it is still to be chosen."""
    own = work_of(shelf, number)
    with asking(LogbookError):
        rows = [one for one in shelf.rigs.rows()[0] if one.id in (number, other) or not one.away]
    names = told_apart({one.id: one.name for one in rows})
    rest = ((key, name) for key, name in names.items() if key != number)
    choices = sorted(rest, key=lambda one: one[1].casefold())
    found: dict[str, Any] = {"rig": own.rig.name, "number": number, "choices": choices}
    if other is None:
        return {**found, "other": None}
    theirs = work_of(shelf, other)
    system = system_of(own.found, None)
    with speaking(own.trade) as trade:
        outlines = [rig_outline(one.found) for one in (own, theirs)]
        frame = tuple(
            max(getattr(one, side) for one in outlines) for side in ("left", "right", "above")
        )
        pictures = [
            outline_sheet(one, (frame[0], frame[1], frame[2]), work.rig.name)
            for one, work in zip(outlines, (own, theirs), strict=True)
        ]
        told = difference(compare(own.found, theirs.found), system)
        told["sentence"] = trade.said(told["sentence"])
    heads = [_head(one) for one in (own, theirs)]
    return {**found, "other": other, "pictures": pictures, "heads": heads, **told}


def _head(work: Work) -> dict[str, Any]:
    """Verdict and what decides, at the worst stage, in the words of its own country."""
    verdict, decides = judged(work)
    with speaking(work.trade) as trade:
        return {"name": work.rig.name, "mark": MARKS[verdict], "decides": trade.said(decides)}
