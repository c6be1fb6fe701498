"""Acts on what rides: move, try, add, change, take out."""

import re
import unicodedata
from typing import Final

from pydantic import Field

from steelyard.assessment import Assessment
from steelyard.drawing.names import item_name, place_name
from steelyard.files import changes, names
from steelyard.files.changes import AskError, Data
from steelyard.quantity import System, shown
from steelyard.typical.load import STARTERS, starter
from steelyard.web.acts.base import Act, Ask
from steelyard.web.session import Session
from steelyard.words.assessed import coupling, share_spread, system_of


class Move(Ask):
    """Which item goes to which place."""

    item: str = Field(description="the item's key in the rig file")
    to: str = Field(description="the place's key in the rig file")


class Change(Ask):
    """An item's weight, and what else is said of it."""

    item: str
    weight: str = Field(description='weight with its unit and spread: "92 lb +- 5 lb"')


class New(Ask):
    """A new item: its own weight, or that of the starter list."""

    name: str
    to: str
    weight: str | None = Field(default=None, description="left out for an item of the list")


class Which(Ask):
    """One item."""

    item: str


def move(session: Session, ask: Move) -> str:
    """Move an item and tell what it did to the ball."""
    data = changes.moved(session.state.data, ask.item, ask.to)
    return changed(session, f"{_title(session, ask.item)} to {_place(session, ask.to)}", data)


def attempt(session: Session, ask: Move) -> str:
    """What moving an item would do, nothing changed."""
    work = session.work
    data = changes.moved(work.state.data, ask.item, ask.to)
    new = session.works.of(work.state.with_data(data), session.name)
    return told(work.found, new.found)


def change(session: Session, ask: Change) -> str:
    """Give an item another weight."""
    if ask.item not in session.work.rig.items:
        raise AskError(f'There is no item "{ask.item}".')
    data = changes.put(session.state.data, ("items", ask.item, "weight"), ask.weight)
    return changed(session, _title(session, ask.item), data)


def add(session: Session, ask: New) -> str:
    """Add an item to a place; what no key may hold of its name stays in its title."""
    called, data = ask.name.strip(), session.state.data
    plain = unicodedata.normalize("NFKD", called).encode("ascii", "ignore").decode()
    name = re.sub(r"[^A-Za-z0-9_-]+", " ", plain).strip(" -_")[:48] or called
    if name in data.get("items", {}):
        raise AskError(f'There is an item "{name}" already; give this one another name.')
    if ask.to not in data.get("places", {}):
        raise AskError(f'There is no place "{ask.to}".')
    table = {"weight": ask.weight or _starter_weight(name), "place": ask.to}
    table |= {"title": called} if called != name else {}
    data = changes.put(data, ("items", name), table)
    return changed(session, f"{called} added in {_place(session, ask.to)}", data)


def remove(session: Session, ask: Which) -> str:
    """Take an item out of the rig."""
    data = names.dropped(session.state.data, "items", ask.item)
    return changed(session, f"{_title(session, ask.item)} stays home", data)


def changed(session: Session, said: str, data: Data) -> str:
    """Take the step to other data of the rig; gives what is said of it, and what it did."""
    before = session.work.found
    session.change(lambda state: state.with_data(data))
    return f"{said}: {told(before, session.work.found)}"


def told(before: Assessment, after: Assessment) -> str:
    """`+43 lb on the ball, now 12.1 ± 0.6 % at “first night”`: the stage that is worst afterwards,
    named where there are several."""
    new = after.worst_stage
    old = next((one for one in before.stages if one.key == new.key), before.worst_stage)
    system: System = system_of(after, None)
    change = new.tongue.weight_kg.value - old.tongue.weight_kg.value
    sign = "+" if change >= 0 else "−"
    where = f" at “{new.title}”" if len(after.stages) > 1 else ""
    seat, share = coupling(after.rig), f"{share_spread(new.tongue.share)}{where}"
    moved = shown(abs(change), "mass", system)
    if moved.startswith("0 "):
        return f"the {seat} carries what it did, {share}"
    return f"{sign}{moved} on the {seat}, now {share}"


def _starter_weight(name: str) -> str:
    for kind in STARTERS:
        if name in starter(kind):
            return str(starter(kind)[name]["weight"])
    raise AskError(f'{name}: expected a weight with its unit, such as "40 lb", found none')


def _title(session: Session, item: str) -> str:
    rig = session.work.rig
    return item_name(rig, item) if item in rig.items else item


def _place(session: Session, place: str) -> str:
    rig = session.work.rig
    return place_name(rig, place) if place in rig.places else place


ACTS: Final = (
    Act(name="move", title="Move an item to a place", ask=Move, do=move),
    Act(name="try", title="What a move would do", ask=Move, do=attempt, changes=False),
    Act(name="weight", title="Change an item's weight", ask=Change, do=change),
    Act(name="add", title="Add an item", ask=New, do=add),
    Act(name="remove", title="Take an item out", ask=Which, do=remove),
)
