"""Every limit of the stage in view, the deciding one first."""

import re
from collections.abc import Mapping
from typing import Any, Final

from steelyard.quantity import System
from steelyard.ratings import UNSURE, LimitStatus, severity
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.session import Seen
from steelyard.words.assessed import doubt, measured, room, stood
from steelyard.words.unstated import plainly, without_keys

KEY: Final = re.compile(r" \(((?:[a-z_]+\.)+[a-z_]+)\)")
"""A key of the rig file in brackets, which says where to state what is missing."""
FITS: Final = {
    "hitch.fit.ball-in": "hitch.ball.size, hitch.coupler.size",
    "hitch.fit.hitch-pin": "hitch.receiver.pin, hitch.ball_mount.pin",
    "hitch.fit.": "hitch.receiver.opening, hitch.ball_mount.shank",
    "rules.chains": "hitch.chains",
}
"""What finds the sizes of parts that must fit, or what a rule asks for, by how a limit begins."""
OF_TABLES: Final = ("fit", "speed", "lift")
"""Last words of limits that are held against several fields of a table."""
FIRST: Final = 6
"""Limits shown before the rest is folded, if all are within."""


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """Limits by room, those unknown last, notes apart."""
    work = seen.work
    system = look.system(work)
    stage = next(one for one in work.found.stages if one.key == look.at(work))
    known = sorted(
        (one for one in stage.limits if one.verdict != "unknown"),
        key=lambda one: (-severity(one.verdict), one.room),
    )
    rows = [_row(one, system, stage.widened.get(one.name, ())) for one in known]
    unknown = [one for one in stage.limits if one.verdict == "unknown"]
    return {
        "stage": stage.title,
        "first": [row for n, row in enumerate(rows) if n < FIRST or row["word"] != "within"],
        "rest": [row for n, row in enumerate(rows) if n >= FIRST and row["word"] == "within"],
        "unknown": [{**_row(one, system, ()), **_missing(one)} for one in unknown],
        "tight": f"{100 * work.found.tight:g} %",
    }


def found_by(at: str) -> str:
    """What finds the field that a limit is held against in the rig's form: its key; its table's
    where it is of several; the sizes of parts that must fit. Nothing where no file has it."""
    for name, words in FITS.items():
        if at.startswith(name):
            return words
    table, _, key = at.rpartition(".")
    return (
        re.sub(r"\.(first|second|third)(?=\.)", "", table)
        if key in OF_TABLES
        else at
        if table
        else ""
    )


def sought(one: LimitStatus) -> str:
    """What finds the fields that a rating not known waits for: the key its words name, if any."""
    key = KEY.search(one.due)
    return key[1] if key else found_by(one.at)


def _missing(one: LimitStatus) -> dict[str, str]:
    """What to look up for a rating not known, its key taken out of the words, and that key."""
    return {"room": f"look at {without_keys(KEY.sub('', one.due))}", "at": sought(one)}


def _row(one: LimitStatus, system: System, widened: tuple[str, ...]) -> dict[str, Any]:
    mark, word = stood(one).split(" ", 1)
    return {
        "name": one.name,
        "at": found_by(one.at),
        "title": one.title,
        "mark": mark,
        "word": word,
        "value": measured(one.value, one, system),
        "room": room(one, system),
        "doubt": doubt(one) if one.verdict != "unknown" else "",
        "weigh": _weigh(one),
        "source": one.source,
        "widened": [plainly(name) for name in widened],
    }


def _weigh(one: LimitStatus) -> str:
    """`May be over: weigh`; nothing where it can be told."""
    if one.verdict != "cannot tell":
        return ""
    both = one.aside >= UNSURE / 2
    way = "outside" if both else "below" if one.side == "under" else "over"
    return f"May be {way}: weigh"


SECTION: Final = Section("limits", "Limits", "every rating and rule, the deciding one first", facts)
