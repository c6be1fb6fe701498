"""Acts on what was read: type a reading, correct it, take it out, begin again, take in a ticket."""

import re
import tomllib
from dataclasses import replace
from datetime import datetime
from secrets import token_hex
from typing import Any, Final

from pydantic import Field

from steelyard.fault import missing
from steelyard.fault import said as said_of
from steelyard.files.changes import AskError, Data, asking
from steelyard.files.faults import FileFaultError
from steelyard.files.reader import LARGEST, validated
from steelyard.files.tickets import ticket_data
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.store import Logbook
from steelyard.quantity import QuantityError, parse, unit_of
from steelyard.typical.load import stage_names
from steelyard.web import readings
from steelyard.web.acts.base import Act, Ask, require_shown
from steelyard.web.session import Session
from steelyard.web.state import State, rig_of
from steelyard.weighing.ticket import Ticket
from steelyard.words.assessed import share_spread
from steelyard.words.weighed import counted, impossible, off_by

STEPPED: Final = ("platform", "wheel")
"""Kinds whose instrument's graduation can be told."""


class Read(Ask):
    """One number off an instrument, and how the rig stood."""

    arrangement: str = Field(description="bars-on, bars-off, coupled, vehicle-alone, trailer-alone")
    what: str = Field(description='what was read: "platform:front", "wheel:rear:left", ...')
    value: str = Field(description='the number, with its unit or beside `unit`: "3200 lb"')
    unit: str | None = None
    was: str | None = Field(default=None, description="the number shown when it was asked, or none")
    stage: str | None = Field(default=None, description="the stage whose load was aboard")
    step: str | None = Field(default=None, description='smallest step of the scale: "20 lb"')
    again: bool = Field(default=False, description="a second reading, not a correction")
    station: str | None = Field(default=None, description="scale under the tongue: aft of the ball")
    support_to_tongue: str | None = Field(default=None, description="plank")
    tongue_to_scale: str | None = Field(default=None, description="plank")
    plank: str | None = Field(default=None, description="what the scale showed before")
    settled: str | None = Field(default=None, description="fender: bounced, loading, unloading")
    steps: str | None = Field(default=None, description="tank gauge: steps from empty to full")


class Which(Ask):
    """One reading: its pass by name, its number in that pass from 0."""

    name: str
    number: int = Field(ge=0, le=1000)


class Where(Ask):
    """Where it was weighed, for the logbook."""

    place: str | None = None
    note: str | None = None


class Stood(Ask):
    """How a trailer weighed alone stood; an empty field is as if unsaid."""

    stage: str | None = Field(default=None, description="the stage whose load was aboard")
    coupler_height: str | None = Field(default=None, description="ground to coupler, else level")
    support_station: str | None = Field(default=None, description="jack, behind the ball")
    unit: str | None = None


class Number(Ask):
    """A weighing of the logbook, by its number."""

    number: int = Field(ge=1, le=2**53 - 1)


class TicketText(Ask):
    """A whole ticket."""

    text: str = Field(max_length=LARGEST, description="a ticket (TOML, or CSV with a line a pass)")
    name: str = Field(default="", description="the file's name; .csv tells CSV")


def read(session: Session, ask: Read) -> str:
    """Add a reading, or correct the one of the same name in its pass."""
    form = _form(session, ask)
    text = readings.number(ask.value, ask.unit, form)
    reading = {**form.reading, form.field: text, **_more(form, ask)}
    ticket = dict(_ticket(session))
    key, one = _pass(ticket, ask)
    at = readings.last_of(one, form.what) if not ask.again else None
    if form.reading["kind"] in STEPPED and ask.step is not None:
        reading["scale"], ticket["scales"] = _scale(ticket, form.reading["kind"], ask.step)
    old = one["readings"][at] if at is not None else None
    if ask.was is not None and not ask.again:
        shown = readings.number(ask.was, ask.unit, form) if ask.was.strip() else ""
        require_shown(shown, "" if old is None else str(old[form.field]), text)
    if old is not None and old == reading:
        raise AskError(f"{form.title}, {key}: {text} is there already.")
    at = len(one["readings"]) if at is None else at
    listed = [*one["readings"][:at], reading, *one["readings"][at + 1 :]]
    ticket["passes"] = {**ticket["passes"], key: {**one, "readings": listed}}
    _take(session, ticket, form.title)
    was = f" instead of {old[form.field]}" if old is not None else ""
    return _said(session, key, at, f"{text}{was}")


def unread(session: Session, ask: Which) -> str:
    """Take a reading out; undo brings it back, and the logbook keeps that it was read."""
    ticket = dict(session.state.ticket or {"passes": {}})
    one = ticket["passes"].get(ask.name)
    if one is None or ask.number >= len(one["readings"]):
        raise AskError(f'There is no reading {ask.number + 1} in a pass "{ask.name[:48]}".')
    left = [row for at, row in enumerate(one["readings"]) if at != ask.number]
    passes = {**ticket["passes"], ask.name: {**one, "readings": left}}
    ticket["passes"] = {key: row for key, row in passes.items() if row["readings"]}
    if ticket["passes"]:
        _take(session, _tidy(ticket), "Without it")
    else:
        run = session.state.run
        session.change(lambda state: replace(state, ticket=None, weighed=None, run=None))
        session.running.take_back(run)
    return f"Taken out of {ask.name}; undo brings it back."


def forget(session: Session, _ask: Ask) -> str:
    """Begin a new weighing; the one so far stays in the logbook."""
    if session.state.ticket is None:
        raise AskError("Nothing has been read yet.")
    session.change(lambda state: replace(state, ticket=None, weighed=None, run=None))
    return "A new weighing begins; undo brings the readings back."


def reweigh(session: Session, _ask: Ask) -> str:
    """Take the readings to be of the rig as it is now, not as it was at the first of them."""
    if session.state.ticket is None:
        raise AskError("Nothing has been read yet.")
    _change(session, lambda state: replace(state, weighed=state.data))
    return f"The readings are of the rig as it is now: {_share(session)}."


def sure(session: Session, _ask: Ask) -> str:
    """Say that the readings are of this rig and this day and as they were read, odd as it looks."""
    if session.state.ticket is None:
        raise AskError("Nothing has been read yet.")
    ticket = {**session.state.ticket, "sure": True}
    _change(session, lambda state: replace(state, ticket=ticket))
    return "Noted: the readings are right as they stand."


def resume(session: Session, ask: Number) -> str:
    """Take up the rig as it was when it was weighed; undo brings it back as it is now."""
    if session.running.path is None:
        raise AskError("There is no logbook here.")
    with asking(LogbookError), Logbook.open(session.running.path) as book:
        weighing = book.get(ask.number).weighing
    data = tomllib.loads(weighing.rig_text)
    session.change(lambda state: State(data=data, text=state.text))
    return f"The rig as it was weighed, number {ask.number}; undo brings it back as it is now."


def where(session: Session, ask: Where) -> str:
    """Say where it was weighed, or note something."""
    if session.state.ticket is None:
        raise AskError("Nothing has been read yet: type a reading first.")
    said = {key: text.strip() for key, text in ask.model_dump().items() if text and text.strip()}
    heads = {key: x for key, x in session.state.ticket.items() if key not in ("place", "note")}
    ticket = {**heads, **said}
    readings.checked(ticket)
    _change(session, lambda state: replace(state, ticket=ticket))
    return "Noted."


def stand(session: Session, ask: Stood) -> str:
    """Say how the trailer stood while it was weighed alone."""
    ticket = dict(session.state.ticket or {"passes": {}})
    name, one = _pass(ticket, Read(arrangement="trailer-alone", what="", value="", stage=ask.stage))
    if name not in ticket["passes"]:
        raise AskError("Nothing of the trailer alone has been read yet: type a reading first.")
    kept = {key: x for key, x in one.items() if key not in ("coupler_height", "support_station")}
    for more in readings.STOOD:
        text = (getattr(ask, more.key) or "").strip()
        kept |= {more.key: _length(more, text, ask.unit)} if text else {}
    ticket["passes"] = {**ticket["passes"], name: kept}
    _take(session, ticket, "How it stood")
    return f"Noted of {name}: {_share(session)}."


def take(session: Session, ask: TicketText) -> str:
    """Take in a ticket file: a weighing of its own, in place of what was typed."""
    name = ask.name.strip()[:80] or ("ticket.csv" if _is_csv(ask.text) else "ticket")
    with asking(FileFaultError):
        ticket = ticket_data(ask.text.lstrip("\ufeff"), name)
    _change(
        session,
        lambda state: replace(state, ticket=ticket, weighed=state.data, run=token_hex(8)),
    )
    many = sum(len(one["readings"]) for one in ticket["passes"].values())
    return f"{counted(many, 'reading')} taken in: {_share(session)}."


def _is_csv(text: str) -> bool:
    head = text.lstrip("\ufeff").lstrip().partition("\n")[0]
    return "=" not in head and "," in head


def _form(session: Session, ask: Read) -> readings.Form:
    rig = rig_of(session.state.weighed or session.state.data, session.name)
    known = readings.arrangements(rig)
    _one_of("how the rig stood", ask.arrangement, known)
    _one_of("the stage it was weighed at", ask.stage, stage_names(rig))
    found = {form.what: form for form in readings.forms(rig, ask.arrangement)}
    _one_of(f"a reading with {ask.arrangement}", ask.what, tuple(found))
    return found[ask.what]


def _one_of(what: str, found: str | None, known: tuple[str, ...]) -> None:
    if found is not None and found not in known:
        raise AskError(f"{what}: {said_of(missing('choices', found, known))}")


def _more(form: readings.Form, ask: Read) -> dict[str, Any]:
    """What the reading says beside its number; a length without a unit is in inches or mm."""
    found: dict[str, Any] = {}
    for more in form.more:
        said = getattr(ask, more.key) or more.default
        if more.key == "steps":
            if not re.fullmatch(r"\d{1,4}", said.strip()):
                raise AskError(f"{more.words}: expected a whole number, found {said[:20]!r}")
            found["steps"] = int(said)
        elif said and more.choices:
            _one_of(more.words, said, more.choices)
            found[more.key] = said
        elif said:
            found[more.key] = _length(more, said, ask.unit)
    return found


def _length(more: readings.More, said: str, unit: str | None) -> str:
    dimension = "mass" if more.key == "plank" else "length"
    metric = unit in ("kg", "mm", "cm", "m", "t")
    own = unit_of(dimension, "metric" if metric else "us")  # type: ignore[arg-type]
    form = readings.Form(what="", title=more.words, reading={}, dimension=dimension)  # type: ignore[arg-type]
    return readings.number(said, own, form)


def _ticket(session: Session) -> Data:
    """The readings so far, or an empty weighing that begins now."""
    if session.state.ticket is not None:
        return session.state.ticket
    return {
        "ticket": 1,
        "rig": session.work.rig.name,
        "date": f"{datetime.now().astimezone():%Y-%m-%d %H:%M}",
        "passes": {},
    }


def _pass(ticket: Data, ask: Read) -> tuple[str, dict[str, Any]]:
    """The pass that a reading belongs to, by name; a new one where there is none yet."""
    words, says = readings.ARRANGEMENTS[ask.arrangement]
    names = ticket["passes"]
    found = readings.pass_in(ticket, ask.arrangement, ask.stage)
    if found is not None:
        return found, dict(names[found])
    name = words
    if name in names and ask.stage is not None:
        name = f"{words} {ask.stage}"[:48]
    while name in names:
        name = f"{words} {len(names) + 1}" if name == words else f"{name[:44]} {len(names) + 1}"
    stage = {} if ask.stage is None else {"stage": ask.stage}
    return name, {**says, **stage, "readings": []}


def _scale(ticket: Data, kind: str, step: str) -> tuple[str, dict[str, Any]]:
    with asking(QuantityError, of="step of the scale"):
        size = parse(step, "mass").value
    if not 0 <= size <= 500:
        raise AskError(f"step of the scale: expected at most 500 kg, found {step[:20]!r}")
    name = re.sub(r"[^A-Za-z0-9_ -]", "-", f"{kind} {step.strip()}")[:48]
    return name, {**ticket.get("scales", {}), name: {"graduation": step.strip()}}


def _tidy(ticket: dict[str, Any]) -> dict[str, Any]:
    """Without scales typed here that no reading is of any more."""
    used = {row.get("scale") for one in ticket["passes"].values() for row in one["readings"]}
    kept = {name: one for name, one in ticket.get("scales", {}).items() if name in used}
    return {
        **{k: x for k, x in ticket.items() if k != "scales"},
        **({"scales": kept} if kept else {}),
    }


def _take(session: Session, ticket: dict[str, Any], title: str) -> None:
    def make(state: State) -> State:
        return replace(
            state,
            ticket=_tidy(ticket),
            weighed=state.weighed or state.data,
            run=state.run or token_hex(8),
        )

    try:
        validated(Ticket, ticket, "", title)
    except FileFaultError as error:
        raise AskError(f"{title}: {said_of(error.faults[0])}") from None
    _change(session, make)


def _change(session: Session, make: Any) -> None:
    """One step; where the readings stand against each other so that no rig could, say which."""
    new = make(session.state)
    try:
        session.change(lambda state: new)
    except AskError:
        found = readings.reconciled(new, session.name, session.work.owned)
        if found is None or found.agrees:
            raise
        raise AskError(f"Not taken. {impossible(found)}") from None


def _said(session: Session, key: str, at: int, text: str) -> str:
    """`bars on: front axle 3200 lb ● agrees: 0.4 sd low. The tongue share is now 12.1 ± 0.6 %.`"""
    found = session.work.reconciled
    number = 0
    for name, one in found.weighed.ticket.passes.items():
        if name == key:
            break
        number += len(one.readings)
    judged = found.readings[number + at]
    tail = "" if found.agrees else " They do not agree with each other: do not trust this yet."
    return f"{judged.name} {text} {off_by(judged, found)}. {_share(session)}.{tail}"


def _share(session: Session) -> str:
    before, after = session.work.unweighed.worst_stage, session.work.found
    new = next(one for one in after.stages if one.key == before.key)
    was, now = (share_spread(one.tongue.share) for one in (before, new))
    return f"Tongue share {now}; without readings {was}"


ACTS: Final = (
    Act(name="read", title="Type a reading, or correct it", ask=Read, do=read),
    Act(name="unread", title="Take a reading out", ask=Which, do=unread),
    Act(name="forget", title="Begin a new weighing", ask=Ask, do=forget),
    Act(name="reweigh", title="The readings are of the rig as it is now", ask=Ask, do=reweigh),
    Act(name="stand", title="How the trailer stood, weighed alone", ask=Stood, do=stand),
    Act(name="where", title="Where it was weighed", ask=Where, do=where),
    Act(name="resume", title="Take up the rig as it was weighed", ask=Number, do=resume),
    Act(name="sure", title="They are right as they stand", ask=Ask, do=sure),
    Act(name="ticket", title="Take in a ticket file", ask=TicketText, do=take),
)
