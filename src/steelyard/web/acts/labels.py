"""Acts on pasted text: read a label, take what it says twice, take a scale ticket's readings."""

from typing import Any, Final

from pydantic import Field

from steelyard.files import changes
from steelyard.files.changes import AskError
from steelyard.labels import Proposal, Reading, read_label
from steelyard.quantity import parse
from steelyard.rig import Rig
from steelyard.walk.next import says
from steelyard.walk.stops import Field as Question
from steelyard.walk.stops import fields, stops
from steelyard.web.acts.base import Act, Ask
from steelyard.web.acts.load import changed
from steelyard.web.acts.readings import Read, read
from steelyard.web.acts.walk import followed
from steelyard.web.session import Session

KEPT: Final = "label"
"""Where the session keeps the stop and what was read there; no text and no VIN is kept."""
CARGO: Final = "cargo"
EMPTY: Final = "trailer.empty.weight"
PAGE: Final = {"front": "platform:front", "rear": "platform:rear", "trailer": "platform:trailer"}
"""A ticket's axles, and the readings they are."""


class Pasted(Ask):
    """A label's text, and the stop of the walk at which it stands."""

    text: str = Field(max_length=2000, description="as the phone read it off the label")
    stop: str = Field(max_length=20, description="door, hitch, coupler or trailer")


class Slip(Ask):
    """A scale ticket's text, and how the rig stood."""

    text: str = Field(max_length=2000, description="as the phone read it off the ticket")
    arrangement: str = Field(description="bars-on, bars-off, coupled, vehicle-alone")
    stage: str | None = Field(default=None, description="the stage whose load was aboard")


def paste(session: Session, ask: Pasted) -> str:
    """Read a label's text: proposals, nothing taken yet."""
    reading = read_label(ask.text, ask.stop)
    session.lay(KEPT, (ask.stop, reading) if ask.text.strip() else None)
    return reading.said


def accept(session: Session, _ask: Ask) -> str:
    """Take the numbers that the label says twice, where nothing else is stated; one step."""
    laid: tuple[str, Reading] | None = session.laid(KEPT)
    rig, data = session.work.rig, session.state.data
    new = list(taking(rig, laid[1])) if laid else []
    if not new:
        raise AskError("Nothing here is said twice: type what you see.")
    known = {field.at: field for field in fields(stops(rig))}
    for at, text in new:
        data = changes.put(data, at.split("."), _written(known.get(at), text))
    return changed(session, f"{len(new)} taken from the label", followed(data, session.name))


def taking(rig: Rig, reading: Reading) -> list[tuple[str, str]]:
    """Keys and texts of what is checked and not stated yet."""
    found = [_keyed(rig, reading, one) for one in reading.checked]
    return [row for row in found if row is not None and not says(rig, row[0])]


def _keyed(rig: Rig, reading: Reading, one: Proposal) -> tuple[str, str] | None:
    """The key of the rig file that a proposal states; of a cargo figure the empty weight, which is
    the GVWR less it (49 CFR 571.120 S10: propane full)."""
    if one.at != CARGO:
        return one.at, str(one.text)
    own = next((x.text for x in reading.checked if x.at == "trailer.gvwr"), None)
    gvwr = parse(own, "mass") if own else rig.trailer.gvwr
    if gvwr is None:
        return None
    unit = str(one.text).split(" ")[1]
    kg = gvwr.value - parse(one.text, "mass").value
    size = parse(f"1 {unit}", "mass").value
    return (EMPTY, f"{round(kg / size)} {unit}") if kg > 0 else None


def _written(field: Question | None, text: str) -> Any:
    kind = field.kind if field else ""
    return {"value": text, "kind": kind} if kind else text


def slip(session: Session, ask: Slip) -> str:
    """Take a scale ticket's axles as readings, where they come to its gross weight."""
    found = read_label(ask.text, "ticket")
    if not found.checked:
        refused = next((one.why for one in found.proposals if one.status == "refused"), "")
        raise AskError(f"{refused[:1].upper()}{refused[1:]}: type it." if refused else found.said)
    said = ""
    for one in found.checked:
        where = {"arrangement": ask.arrangement, "stage": ask.stage, "what": PAGE[one.at]}
        said = read(session, Read.model_validate({**where, "value": one.text}))
    return said


ACTS: Final = (
    Act(name="paste", title="Read a label's pasted text", ask=Pasted, do=paste),
    Act(name="accept", title="Take what the label says twice", ask=Ask, do=accept),
    Act(name="slip", title="Take a scale ticket's pasted text", ask=Slip, do=slip),
)
