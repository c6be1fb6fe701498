"""The list of the book: which rigs, in which order, and what is told of each."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from time import monotonic
from typing import Any, Final, Literal

from pydantic import BaseModel, ConfigDict, Field

from steelyard.drawing.book import PER_METRE, outline_sheet
from steelyard.drawing.share import share_gauge
from steelyard.files.autosave import digest
from steelyard.files.changes import AskError
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.rigs import RigRow
from steelyard.ratings import severity
from steelyard.web.book.glance import Glance, glance, made_with, no_glance
from steelyard.web.book.shelf import Shelf
from steelyard.web.work import today
from steelyard.weighing.belonging import day, old
from steelyard.words.assessed import MARKS

BUDGET: Final = 0.8
"""s for glances not worked out yet; the others follow when the list is asked for again."""
MOST: Final = 200
"""Rigs shown at once; of more one says which."""
AWAY: Final = "archived"
KNOWN_BY: Final[Mapping[str, str]] = {
    "exceeded": "exceeded",
    "cannot tell": "to weigh",
    "tight": "tight",
    "unknown": "not known",
    "within": "within",
}
"""Verdicts, the gravest first, as the list counts them."""
Sort = Literal["changed", "name", "owner", "verdict", "weighed"]


class Wanted(BaseModel):
    """What of the book is to be seen: words that a rig's name, owner, note or make-up holds, a
    verdict or the archived ones, and the order."""

    model_config = ConfigDict(extra="ignore", frozen=True)

    find: str = Field(default="", max_length=80)
    show: str = Field(default="", max_length=20)
    sort: Sort = "changed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One rig of the list; glance: None where it is still to be worked out."""

    row: RigRow
    glance: Glance | None
    weighed: str
    age: int | None

    @property
    def verdict(self) -> str:
        """The verdict, empty where there is none yet."""
        return self.glance.verdict if self.glance else ""


def lines(shelf: Shelf) -> tuple[list[Line], tuple[int, ...]]:
    """Every sound rig of the book, and the numbers of those that are damaged."""
    by, until = made_with(shelf.works.owned), monotonic() + BUDGET
    try:
        rows, damaged = shelf.rigs.rows()
        weighed = shelf.rigs.last_weighed()
    except LogbookError as error:
        raise AskError(str(error)) from None
    found, broken = [], list(damaged)
    for row in rows:
        seen = Glance.of(row.glance, by)
        if seen is None and monotonic() < until:
            try:
                seen = _worked_out(shelf, row, by)
            except LogbookError:
                broken.append(row.id)
                continue
        taken = max(weighed.get(row.id, ""), weighed.get(row.name.casefold(), ""))
        found.append(Line(row=row, glance=seen, weighed=taken, age=old(taken, today())))
    return found, tuple(sorted(broken))


def _worked_out(shelf: Shelf, row: RigRow, by: str) -> Glance:
    """A glance at a rig as the book holds it, written down there where that can be; LogbookError
    where its state is damaged."""
    try:
        seen = glance(shelf.work_of(row.id), by)
    except AskError as error:
        seen = no_glance(by, str(error))
    with suppress(LogbookError):
        shelf.rigs.glanced(row.id, row.revision, seen.text())
    return seen


def facts(shelf: Shelf, wanted: Wanted, *, owners: bool) -> Mapping[str, Any]:
    """What the list's template shows. owners: whether the asker is told whose the rigs are."""
    everything, damaged = lines(shelf)
    there = [one for one in everything if not one.row.away]
    shown = [one for one in everything if one.row.away] if wanted.show == AWAY else there
    if wanted.show in KNOWN_BY:
        shown = [one for one in shown if one.verdict == wanted.show]
    shown = [one for one in shown if _holds(one, wanted.find, owners=owners)]
    shown.sort(key=_ORDERS[wanted.sort])
    more, shown = max(0, len(shown) - MOST), shown[:MOST]
    counts = Counter(one.verdict for one in there)
    outlines = [one.glance.outline for one in shown if one.glance and one.glance.outline]
    room = tuple(
        max((getattr(one, side) for one in outlines), default=PER_METRE)
        for side in ("left", "right", "above")
    )
    return {
        "wanted": wanted,
        "total": len(there),
        "counts": [(key, word, counts[key]) for key, word in KNOWN_BY.items() if counts[key]],
        "away": len(everything) - len(there),
        "waiting": sum(one.glance is None for one in everything),
        "rows": [_told(one, room, owners=owners) for one in shown],
        "damaged": damaged,
        "owners": owners,
        "orders": tuple(_ORDERS),
        "more": more,
    }


def mark(shelf: Shelf, wanted: Wanted, *, owners: bool) -> str:
    """The same as long as the list shows the same."""
    return digest(repr((lines(shelf), wanted, owners, today())))


def _told(one: Line, room: Sequence[float], *, owners: bool) -> dict[str, Any]:
    row, seen = one.row, one.glance
    left, right, above = room
    found: dict[str, Any] = {
        "number": row.id,
        "name": row.name,
        "owner": row.owner if owners else "",
        "note": row.note if owners else "",
        "away": row.away,
        "weighed": _when(one),
        "verdict": one.verdict,
        "mark": _stamp(seen.verdict) if seen else None,
        "decides": seen.decides if seen else "being worked out",
        "body": seen.body if seen else "",
        "picture": None,
        "share": None,
    }
    if seen and seen.outline:
        found["picture"] = outline_sheet(
            seen.outline, (left, right, above), f"{row.name}: {seen.body}"
        )
    if seen and seen.share:
        found["share"] = share_gauge(seen.share, seen.band, seen.share_word, weighed=seen.weighed)
    return found


def _stamp(verdict: str) -> tuple[str, str] | None:
    """Mark and word as the headline has them; None where there is no verdict."""
    mark, _, word = MARKS.get(verdict, "").partition(" ")  # type: ignore[call-overload]
    return (mark, word.replace("unknown", "not known")) if mark else None


def _holds(one: Line, find: str, *, owners: bool) -> bool:
    """Whether every word looked for is in what is known of a rig."""
    row = one.row
    texts = [row.name, one.glance.body if one.glance else ""]
    texts += [row.owner, row.note] if owners else []
    text = " ".join(texts).casefold()
    return all(word in text for word in find.casefold().split())


def _when(one: Line) -> str:
    """`weighed today`, `weighed 21 Nov`, with the year where it is another, or old."""
    taken = day(one.weighed)
    if taken is None:
        return "never weighed"
    now = today()
    if taken == now:
        return "weighed today"
    said = f"weighed {taken.day} {taken:%b}" + (f" {taken.year}" if taken.year != now.year else "")
    return f"{said}: old" if one.age is not None else said


_ORDERS: Final[Mapping[str, Callable[[Line], Any]]] = {
    "changed": lambda one: (-_moment(one.row.changed), -one.row.id),
    "name": lambda one: (one.row.name.casefold(), one.row.id),
    "owner": lambda one: (not one.row.owner, one.row.owner.casefold(), one.row.name.casefold()),
    "verdict": lambda one: (-_gravity(one.verdict), one.row.name.casefold()),
    "weighed": lambda one: (
        one.weighed == "",
        "".join(chr(0x10FFFF - ord(c)) for c in one.weighed),
    ),
}


def _gravity(verdict: str) -> int:
    return severity(verdict) if verdict in KNOWN_BY else -1  # type: ignore[arg-type]


def _moment(text: str) -> float:
    return datetime.fromisoformat(text).timestamp()
