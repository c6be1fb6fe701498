"""The list of the book: which rigs, in which order, and what is told of each.

What it shows of a rig is worked out once for each state, and kept in the book beside it.
"""

import json
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import datetime
from time import monotonic
from typing import Any, Final, Literal, Self

from pydantic import BaseModel, ConfigDict, Field

from steelyard import __version__
from steelyard.assessment import Assessment
from steelyard.drawing.book import PER_METRE, Outline, outline_sheet, rig_outline
from steelyard.drawing.share import share_gauge, wanted
from steelyard.files.autosave import digest
from steelyard.files.changes import AskError, asking
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.rigs import RigRow
from steelyard.ratings import Verdict, severity
from steelyard.rig import Owned
from steelyard.web.book.shelf import Shelf
from steelyard.web.work import Work, today
from steelyard.weighing.agreement import day, old
from steelyard.words.assessed import MARKS, coupling, room, system_of
from steelyard.words.trade import speaking


@dataclass(frozen=True, slots=True, kw_only=True)
class Glance:
    """verdict: of the worst stage, empty where none can be given, `decides` then saying why;
    share: tongue share there with its 95 % interval, and the wanted band, all in %; weighed:
    whether readings tell it; by: what it was made with, another of which makes it anew."""

    by: str
    verdict: str
    decides: str
    body: str
    share: tuple[float, float, float] | None
    band: tuple[float, float] | None
    share_word: str
    weighed: bool
    outline: Outline | None

    def text(self) -> str:
        """As it is kept."""
        return json.dumps(asdict(self))

    @classmethod
    def of(cls, text: str, by: str) -> Self | None:
        """As it was kept; None where it was not, or was made with something else."""
        found: dict[str, Any] = json.loads(text) if text else {}
        if found.get("by") != by:
            return None
        outline = found.pop("outline")
        share, band = found.pop("share"), found.pop("band")
        return cls(
            **found,
            share=tuple(share) if share else None,
            band=tuple(band) if band else None,
            outline=Outline(**outline) if outline else None,
        )


EDITION = 3
"""Of what a glance holds; another makes all of them anew."""


def made_with(owned: Owned) -> str:
    """What a glance depends on beside the rig: this program, and its owner's own values."""
    return f"{__version__}.{EDITION} {digest(repr(sorted(owned.items())))}"


def judged(work: Work) -> tuple[Verdict, str]:
    """Verdict and what decides; on readings that are doubted nothing milder than not known stands,
    and what is graver stays."""
    doubt, verdict = work.doubt, work.found.verdict
    milder = severity(verdict) < severity("cannot tell")
    return (
        "unknown" if doubt and milder else verdict,
        doubt[:1].lower() + doubt[1:] or _decides(work.found),
    )


def _weighed(work: Work) -> bool:
    """Whether readings tell the share: that they took half of its spread without them."""
    if work.reconciled is None or work.doubt:
        return False
    stage = work.found.worst_stage
    before = next(one for one in work.unweighed.stages if one.key == stage.key)
    return stage.tongue.share.sd < 0.5 * before.tongue.share.sd


def _decides(found: Assessment) -> str:
    """What decides, and its room; of a rig that is not known, what is missing."""
    stage = found.worst_stage
    missing = [one.title for one in stage.limits if one.verdict == "unknown"]
    if found.verdict == "unknown" and missing:
        more = f", and {len(missing) - 1} more" if len(missing) > 1 else ""
        return f"{missing[0]}: not known{more}"
    if stage.deciding is None or found.verdict == "unknown":
        return "nobody is listed aboard" if stage.deciding else "no rating is known"
    return f"{stage.deciding.title}: {room(stage.deciding, system_of(found, None))}"


def no_glance(by: str, why: str) -> Glance:
    """Of a rig of which nothing can be said."""
    return Glance(
        by=by,
        verdict="",
        decides=why,
        body="",
        share=None,
        band=None,
        share_word="",
        weighed=False,
        outline=None,
    )


def glance(work: Work, by: str) -> Glance:
    """The glance at a rig."""
    try:
        found = work.found
    except AskError as error:
        return no_glance(by, str(error))
    stage, rig = found.worst_stage, found.rig
    with speaking(work.trade) as trade:
        share = stage.tongue.share
        verdict, decides = judged(work)
        return Glance(
            by=by,
            verdict=verdict,
            decides=trade.said(decides),
            body=f"{rig.vehicle.klass}, {rig.trailer.style}".replace("-", " "),
            share=(100 * share.value, 100 * share.low, 100 * share.high),
            band=wanted(found),
            share_word=trade.said(f"tongue share, on the {coupling(rig)}"),
            weighed=_weighed(work),
            outline=rig_outline(found),
        )


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
    with asking(LogbookError):
        rows, damaged = shelf.rigs.rows()
        weighed = shelf.rigs.last_weighed()
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
    "changed": lambda one: (-datetime.fromisoformat(one.row.changed).timestamp(), -one.row.id),
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
