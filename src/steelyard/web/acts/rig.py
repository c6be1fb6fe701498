"""Acts on the rig itself: state a value, make, rename, take out, begin another rig."""

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from pydantic import Field

from steelyard.fault import Fault, near, quoted, sentence
from steelyard.files import changes, names
from steelyard.files.changes import AskError, Data, asking
from steelyard.files.demo import demo_rigs
from steelyard.files.faults import FileFaultError
from steelyard.files.new import new_rig
from steelyard.files.reader import RIG_FILE, parse_rig, read_text
from steelyard.quantity import KINDS
from steelyard.rig.rig import REGIONS
from steelyard.walk.starting_rig import laid
from steelyard.web import form
from steelyard.web.acts.base import Act, Ask, require_shown
from steelyard.web.acts.document import taken
from steelyard.web.acts.load import changed
from steelyard.web.session import Session
from steelyard.web.state import State, rig_of

NOBODY: Final = "-"
"""Ticked where a list is to be empty rather than unsaid."""


class Stated(Ask):
    """A value of the rig file as a person writes it; nothing written takes it out."""

    at: str = Field(max_length=300, description='the key with dots: "vehicle.front.gawr"')
    value: str | None = Field(default=None, description='"3900 lb", "3900 lb +- 40 lb"')
    basis: str | None = Field(default=None, description="stated, weighed, measured or assumed")
    kind: str | None = Field(default=None, description=", ".join(KINDS))
    includes: str | None = Field(default=None, description="words with commas between")
    sure: str | None = Field(default=None, description="yes: right, though it is asked about")
    was: str | None = Field(default=None, description="the value that was shown when it was asked")


class Made(Ask):
    """A new thing under a name of one's own, with what such a thing must have."""

    table: str = Field(max_length=60, description='"places", "trailer.tanks"')
    name: str
    station: str | None = None
    weight: str | None = None
    place: str | None = None
    seat: str | None = None
    content: str | None = None
    capacity: str | None = None
    on: str | None = None
    what: str | None = None
    speed: str | None = None


class Named(Ask):
    """One thing of a table."""

    table: str = Field(max_length=60)
    name: str


class Renamed(Named):
    """One thing of a table, and its new name."""

    to: str


class Moved(Named):
    """One thing of a table, and how many steps down it goes."""

    by: int = Field(ge=-1, le=1)


class Whole(Ask):
    """A table that may be left out, such as hitch.bars."""

    at: str = Field(max_length=300)


class Begun(Ask):
    """What a new rig begins with; all else is answered on the walk round it."""

    name: str = "my rig"
    vehicle: str
    style: str
    region: str = "north-america"
    country: str | None = Field(default=None, max_length=2, description="whose words and units")


class Example(Ask):
    """Which of the example rigs."""

    which: str


CALLED: Final = ("name", "title")
"""Keys that say what a thing is called, and move no load."""


def state(session: Session, ask: Stated) -> str:
    """Write one value into the rig, or take it out."""
    field = form.field_at(session.state.data, ask.at)
    if field is None:
        hint = near(ask.at, [one.at for one in form.fields(session.state.data)])
        raise AskError(
            sentence(Fault(due="a key of the rig file", found=quoted(ask.at), hint=hint))
        )
    value = written(field, ask)
    if ask.was is not None:
        require_shown(ask.was, form.as_typed(field), (ask.value or "").strip())
    data, spoken = placed(session.state.data, field, value), form.spoken(field.at)
    if field.path[-1] in CALLED:
        session.change(lambda state: state.with_data(data))
        return f"{spoken}: {value or 'left out'}"
    return changed(session, spoken, data)


def written(field: form.Field, ask: Stated) -> Any:
    """The value as a rig file holds it; None where nothing was written."""
    text = (ask.value or "").strip()
    if not text:
        return None
    if field.sort == "names":
        listed = [one.strip() for one in text.split(",") if one.strip()]
        return [] if listed == [NOBODY] else [one for one in listed if one != NOBODY]
    if field.sort == "size":
        return [one.strip() for one in re.split(r"\s*[x×,]\s+|\s*×\s*|\s+x\s*", text)]
    if field.sort == "rows":
        return [_row(line) for line in text.splitlines() if line.strip()]
    if field.sort == "choice" and field.options == ("yes", "no"):
        return {"yes": True, "no": False}.get(text, text)
    if field.sort == "plain" and field.counts:
        return _number(text)
    return _with_basis(field, text, ask) if field.sort == "quantity" else text


def make(session: Session, ask: Made) -> str:
    """Add a place, an item, a person, a stage, a tank, ..."""
    model = _model(ask.table)
    holds = ask.model_dump(exclude={"table", "name"}, exclude_none=True)
    known = form.body(model)["properties"]
    holds = {key: value for key, value in holds.items() if key in known and value.strip()}
    name = ask.name.strip()
    data = names.made(session.state.data, ask.table, name, holds)
    return changed(session, f"{name} added", data)


def rename(session: Session, ask: Renamed) -> str:
    """Give a thing another name, everywhere it is spoken of."""
    _model(ask.table)
    new = ask.to.strip()
    session.change(lambda old: old.with_data(names.renamed(old.data, ask.table, ask.name, new)))
    return f"{ask.name} is called {new} now, everywhere it stood."


def drop(session: Session, ask: Named) -> str:
    """Take a thing out of the rig; refused while something needs it."""
    _model(ask.table)
    data = names.dropped(session.state.data, ask.table, ask.name)
    return changed(session, f"{ask.name} taken out", data)


def order(session: Session, ask: Moved) -> str:
    """Move a stage to an earlier or a later moment."""
    _model(ask.table)
    data = names.ordered(session.state.data, ask.table, ask.name, ask.by)
    return changed(session, f"{ask.name} comes {'earlier' if ask.by < 0 else 'later'}", data)


def bare(session: Session, ask: Whole) -> str:
    """Leave out a part that a rig need not have, with all that was said of it."""
    one = next((one for one in form.tables(session.state.data) if one.at == ask.at), None)
    if one is None or not one.optional:
        raise AskError(f"{ask.at[:120]}: expected a part that can be left out, found none")
    data = changes.put(session.state.data, one.path, None)
    return changed(session, f"{form.spoken(one.at)} left out", data)


def begin(session: Session, ask: Begun) -> str:
    """Begin a new rig from a vehicle class and a trailer style; undo brings the other one back."""
    new = drafted(ask)
    session.change(lambda state: new)
    return f"{session.work.rig.name} begun; undo brings the other one back."


def drafted(ask: Begun) -> State:
    """A rig of which only body and style are known, with their usual places and tanks."""
    with asking(FileFaultError):
        text = new_rig(ask.name, ask.vehicle, ask.style, ask.region)
    data: Data = tomllib.loads(text)
    if REGIONS.get(ask.country or "") == ask.region:
        data = {**data, "country": ask.country}
    for path, held in laid(rig_of(data, "new rig"), whole=True):
        data = changes.put(data, path.split("."), held)
    return State(data=data, text=text)


def example(session: Session, ask: Example) -> str:
    """Open one of the example rigs."""
    rigs = demo_rigs()
    if ask.which not in rigs:
        raise AskError(f'There is no example "{ask.which[:80]}": it is one of {", ".join(rigs)}.')
    taken(session, rigs[ask.which])
    return f"{session.work.rig.name} opened, an example; undo brings the other one back."


def reread(session: Session, _ask: Ask) -> str:
    """Take in the rig file as it is on disk now; a step that can be undone."""
    if session.path is None:
        raise AskError("This rig has no file.")
    with asking(FileFaultError):
        text = read_text(Path(session.path), RIG_FILE.noun)
        parse_rig(text, session.name)
    session.reread(text)
    return f"{session.name} as it is now; undo brings your own work back."


def placed(data: Data, field: form.Field, value: Any) -> dict[str, Any]:
    """The data with a field's value; a thing of the user's own stays when its last value goes."""
    new = changes.put(data, field.path, value)
    for end in range(2, len(field.path)):
        above = field.path[:end]
        own = ".".join(above[:-1]) in form.named_models()
        if own and changes.at(data, above) is not None and changes.at(new, above) is None:
            return changes.put(data, above, {})
    return new


def _with_basis(field: form.Field, text: str, ask: Stated) -> Any:
    """A quantity, as a table where more is said of it than the number."""
    more: dict[str, Any] = {}
    if ask.basis and ask.basis != "stated":
        more["basis"] = ask.basis
    if ask.kind:
        more["kind"] = ask.kind
    if ask.sure == "yes":
        more["sure"] = True
    if ask.includes is not None and field.holds:
        listed = [one.strip() for one in ask.includes.split(",") if one.strip()]
        unknown = [one for one in listed if one not in (*field.holds, NOBODY)]
        if unknown:
            due = f"expected of {', '.join(field.holds)}"
            raise AskError(f"{field.at}, includes: {due}; found {unknown[0]!r}")
        more["includes"] = [one for one in listed if one != NOBODY]
    return {"value": text, **more} if more else text


def _row(line: str) -> Mapping[str, str]:
    pressure, colon, load = line.partition(":")
    if not colon:
        raise AskError(f'table: expected a row such as "50 psi: 2150 lb", found {line.strip()!r}')
    return {"pressure": pressure.strip(), "load": load.strip()}


def _number(text: str) -> int | float | str:
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text


def _model(table: str) -> str:
    known = form.named_models()
    if table not in known:
        raise AskError(f'There is no table "{table[:80]}" of names: {", ".join(known)}.')
    return known[table]


ACTS: Final = (
    Act(name="state", title="State a value of the rig", ask=Stated, do=state),
    Act(name="make", title="Add a place, item, person, stage, tank", ask=Made, do=make),
    Act(name="rename", title="Rename one, everywhere it stands", ask=Renamed, do=rename),
    Act(name="drop", title="Take one out, unless it is needed", ask=Named, do=drop),
    Act(name="order", title="Move a stage earlier or later", ask=Moved, do=order),
    Act(name="bare", title="Leave out a part of the hitch or an axle", ask=Whole, do=bare),
    Act(name="begin", title="Begin a new rig", ask=Begun, do=begin),
    Act(name="example", title="Open an example rig", ask=Example, do=example),
    Act(name="reread", title="Take in the rig file as it is now", ask=Ask, do=reread),
)
