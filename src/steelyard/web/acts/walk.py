"""Acts of the walk round a rig: an answer at a stop, somebody on a seat."""

import re
from typing import Any, Final

from pydantic import Field

from steelyard.files import changes, names
from steelyard.files.changes import AskError, Data
from steelyard.scene import NoBalanceError
from steelyard.scene.scene import DEFAULT_REGION
from steelyard.walk.doubts import unusual
from steelyard.walk.starting_rig import WEIGHT, assumed_weight, settled
from steelyard.walk.stops import Field as Question
from steelyard.walk.stops import fields, stops
from steelyard.walk.typed_answer import Slip, taken
from steelyard.web.acts.base import Act, Ask
from steelyard.web.acts.load import changed
from steelyard.web.session import Session
from steelyard.web.state import rig_of
from steelyard.words.assessed import system_of


class Answer(Ask):
    """What was typed into a field of the walk; a bare number is in the field's own unit."""

    at: str = Field(max_length=80, description='a key that the walk asks: "vehicle.front.gawr"')
    value: str | None = Field(default=None, description='"3900", "1769 kg"; nothing takes it out')
    unit: str | None = Field(default=None, max_length=8, description="of a bare number: lb")
    sure: bool = Field(default=False, description="right, though it is asked about")


class Seat(Ask):
    """A seat of the vehicle."""

    seat: str = Field(max_length=48)


def answer(session: Session, ask: Answer) -> str:
    """Take an answer into the rig: its key, and what is only assumed follows."""
    rig, before = session.work.rig, session.work.found
    field = next((one for one in fields(stops(rig)) if one.at == ask.at), None)
    if field is None:
        raise AskError(f"{ask.at[:80]}: expected a key that the walk asks of this rig")
    unit = ask.unit or field.unit(system_of(before, None))
    value = taken(field, ask.value or "", unit)
    if isinstance(value, Slip):
        raise AskError(value.words, value.mend)
    data = changes.put(session.state.data, field.at.split("."), _held(field, value, sure=ask.sure))
    try:
        return changed(session, field.words, followed(data, session.name))
    except AskError as error:
        slip = None
        if isinstance(error.__context__, NoBalanceError):
            whole = value["value"] if isinstance(value, dict) else value
            slip = unusual(rig, field, str(whole), system_of(before, None))
        slip = slip or Slip(words=_shortly(str(error)), mend="")
        raise AskError(slip.words, slip.mend) from error


def _shortly(fault: str) -> str:
    """`Due: less than the empty weight '5240 lb'.`, of a fault's whole sentence."""
    due = _DUE.search(fault)
    return f"Due: {due[1]}." if due and len(due[1]) <= SHORT else "No rig can be so."


_DUE: Final = re.compile(r"expected (.+?)(?:[,;] found|;|$)", re.MULTILINE)
SHORT: Final = 60
"""Letters of what is due that still stand beside a field."""


def followed(data: Data, name: str) -> dict[str, Any]:
    """A draft in which what is only assumed follows from what is stated."""
    new = dict(data)
    if not any(changes.at(data, one.split(".")) for one in ("trailer.gvwr", WEIGHT)):
        style, region = changes.at(data, ("trailer", "style")), data.get("region", DEFAULT_REGION)
        new = changes.put(new, WEIGHT.split("."), assumed_weight(style, region))
    for path, value in settled(rig_of(new, name)):
        new = changes.put(new, path.split("."), value)
    return new


def sit(session: Session, ask: Seat) -> str:
    """Put somebody on a seat, or take them off it."""
    data = session.state.data
    mine = [name for name, one in session.work.rig.people.items() if one.seat == ask.seat]
    if mine:
        new = names.dropped(data, "people", mine[0])
    else:
        new = names.made(data, "people", ask.seat, {"seat": ask.seat})
    return changed(session, ask.seat.replace("-", " "), new)


def _held(field: Question, value: Any, *, sure: bool) -> Any:
    if field.at == "hitch.bars":
        return {} if value else None
    if sure and value is not None:
        return {**(value if isinstance(value, dict) else {"value": value}), "sure": True}
    return value


ACTS: Final = (
    Act(name="answer", title="Answer a question of the walk", ask=Answer, do=answer),
    Act(name="sit", title="Put somebody on a seat, or off it", ask=Seat, do=sit),
)
