"""Acts on the whole file: set a value, undo, do again, save, take in another file, lay it aside."""

import tomllib
from typing import Annotated, Any, Final

from pydantic import Field

from steelyard.files import changes
from steelyard.files.changes import AskError, asking
from steelyard.files.edits import FileChangedError, replace_text
from steelyard.files.faults import FileFaultError
from steelyard.files.merge import merged
from steelyard.files.reader import LARGEST, parse_rig
from steelyard.web.acts.base import Act, Ask
from steelyard.web.acts.load import changed, told
from steelyard.web.session import Session
from steelyard.web.state import State

ASIDE: Final = "aside"
"""Where the session keeps what is to be compared with."""
Plain = str | bool | int | float | list[str] | dict[str, Any] | None


class Put(Ask):
    """A value of the rig file."""

    path: Annotated[list[str], Field(min_length=1, max_length=8)] = Field(
        description='keys from the top: ["trailer", "gvwr"]'
    )
    value: Plain = Field(description="as in the rig file, with its unit; null takes it out")


class Save(Ask):
    """Whether to save over a file that somebody else has changed meanwhile."""

    over: bool = False


class Text(Ask):
    """A whole rig file."""

    text: str = Field(max_length=LARGEST, description="a rig file (TOML)")


def put(session: Session, ask: Put) -> str:
    """Set one value of the rig file, or take it out."""
    value = ask.value
    if isinstance(value, str) and not value.strip():
        value = None
    data = changes.put(session.state.data, ask.path, value)
    return changed(session, ".".join(ask.path), data)


def stepped(session: Session, by: int, done: str) -> str:
    """Undo the last step (-1) or do the undone one again (1), and tell whose it was."""
    before = session.work.found
    name = session.step(by)
    whose = f", a step of {name}" if name else ""
    return f"{done}{whose}: {told(before, session.work.found)}"


def save(session: Session, ask: Save) -> str:
    """Write the rig into its file: comments kept, the old file beside it as .bak."""
    if session.path is None:
        raise AskError("This rig has no file yet: download it instead.")
    if not (session.visitor.owner or session.guests_save):
        raise AskError(
            f"Only its owner saves into {session.path.name}: ask them to, or download this."
        )
    text = as_text(session)
    if session.other and not ask.over:
        session.clash = f"{session.path.name} holds another rig than this one."
        raise AskError(f"{session.clash} Nothing is written: save over it, or download this one.")
    try:
        backup = replace_text(session.path, None if ask.over else session.text, text)
    except FileChangedError as error:
        session.clash = f"{session.path.name} was changed by somebody else meanwhile."
        raise AskError(str(error)) from None
    except FileFaultError as error:
        raise AskError(str(error)) from None
    session.saved(text)
    return f"Saved in {session.path.name}; the file as it was is {backup.name}."


def take(session: Session, ask: Text) -> str:
    """Take in another rig file; a step that can be undone."""
    with asking(FileFaultError):
        parse_rig(ask.text, "the file given")
    taken(session, ask.text)
    return f"{session.work.rig.name} opened; undo brings the other one back."


def taken(session: Session, text: str) -> None:
    """Work on the rig in a text from here on; a step that can be undone."""
    data = tomllib.loads(text)
    session.change(lambda state: State(data=data, text=text))


def as_text(session: Session) -> str:
    """The rig as the text of a file: that of the file it came from, with what has changed."""
    text = session.state.text if session.other else session.text
    return merged(text or session.text, session.state.data, session.name)


def aside(session: Session, _ask: Ask) -> str:
    """Keep the rig as it is now, to compare later ones with it."""
    session.lay(ASIDE, session.work)
    return "Laid aside as it is now: change something, and see what that did."


ACTS: Final = (
    Act(name="aside", title="Lay this loading aside to compare with", ask=Ask, do=aside),
    Act(name="set", title="Set a value of the rig file", ask=Put, do=put),
    Act(name="undo", title="Undo", ask=Ask, do=lambda session, _: stepped(session, -1, "Undone")),
    Act(
        name="redo",
        title="Do again",
        ask=Ask,
        do=lambda session, _: stepped(session, 1, "Done again"),
    ),
    Act(name="save", title="Save into the rig file", ask=Save, do=save),
    Act(name="take", title="Take in a rig file", ask=Text, do=take),
)
