"""What the list shows of a rig: worked out once for each state, kept in the book beside it."""

import json
from dataclasses import asdict, dataclass
from typing import Any, Self

from steelyard import __version__
from steelyard.assessment import Assessment
from steelyard.drawing.book import Outline, rig_outline
from steelyard.drawing.shares import wanted
from steelyard.files.autosave import digest
from steelyard.files.changes import AskError
from steelyard.rig import Owned
from steelyard.web.work import Work
from steelyard.words.assessed import coupling, room, system_of
from steelyard.words.trade import speaking


@dataclass(frozen=True, slots=True, kw_only=True)
class Glance:
    """verdict: of the worst stage, empty where none can be given, `decides` then saying why;
    share: tongue share there with its 95 % interval, and the wanted band, all in %; weighed:
    whether readings sharpen it; by: what it was made with, another of which makes it anew."""

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


EDITION = 2
"""Of what a glance holds; another makes all of them anew."""


def made_with(owned: Owned) -> str:
    """What a glance depends on beside the rig: this program, and its owner's own values."""
    return f"{__version__}.{EDITION} {digest(repr(sorted(owned.items())))}"


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
        doubt = work.doubt
        share = stage.tongue.share
        return Glance(
            by=by,
            verdict="unknown" if doubt else found.verdict,
            decides=trade.said(doubt[:1].lower() + doubt[1:] or _decides(found)),
            body=f"{rig.vehicle.klass}, {rig.trailer.style}".replace("-", " "),
            share=(100 * share.value, 100 * share.low, 100 * share.high),
            band=wanted(found),
            share_word=trade.said(f"tongue share, on the {coupling(rig)}"),
            weighed=work.reconciled is not None and not doubt,
            outline=rig_outline(found),
        )
