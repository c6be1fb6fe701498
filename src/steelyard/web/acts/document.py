"""Acts on the whole file: set a value, undo, do again, save, take in another file."""

import tomllib
from typing import Annotated, Any, Final

from pydantic import Field

from steelyard.files import changes
from steelyard.files.changes import AskError
from steelyard.files.edits import FileChangedError, replace_text
from steelyard.files.faults import FileFaultError
from steelyard.files.merge import merged
from steelyard.files.reader import LARGEST, parse_rig
from steelyard.web.acts.base import Act, Ask
from steelyard.web.acts.load import told
from steelyard.web.bench import Bench
from steelyard.web.state import State

Plain = str | bool | int | float | list[str] | dict[str, Any] | None


class Nothing(Ask):
    """No question."""


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


def put(bench: Bench, ask: Put) -> str:
    """Set one value of the rig file, or take it out."""
    before, value = bench.work.found, ask.value
    if isinstance(value, str) and not value.strip():
        value = None
    bench.change(lambda state: state.with_data(changes.put(state.data, ask.path, value)))
    return f"{'.'.join(ask.path)}: {told(before, bench.work.found)}"


def undo(bench: Bench, ask: Nothing) -> str:
    """Undo the last step."""
    del ask
    before = bench.work.found
    whose = _whose(bench.step(-1))
    return f"Undone{whose}: {told(before, bench.work.found)}"


def redo(bench: Bench, ask: Nothing) -> str:
    """Do the undone step again."""
    del ask
    before = bench.work.found
    whose = _whose(bench.step(1))
    return f"Done again{whose}: {told(before, bench.work.found)}"


def _whose(name: str) -> str:
    """`, a step of the guest at 192.0.2.7`; nothing for one's own."""
    return f", a step of {name}" if name else ""


def save(bench: Bench, ask: Save) -> str:
    """Write the rig into its file: comments kept, the old file beside it as .bak."""
    if bench.path is None:
        raise AskError("This rig has no file yet: download it instead.")
    if not (bench.visitor.owner or bench.guests_save):
        raise AskError(
            f"Only its owner saves into {bench.path.name}: ask them to, or download this."
        )
    text = as_text(bench)
    if bench.other and not ask.over:
        bench.clash = f"{bench.path.name} holds another rig than this one."
        raise AskError(f"{bench.clash} Nothing is written: save over it, or download this one.")
    try:
        backup = replace_text(bench.path, None if ask.over else bench.text, text)
    except FileChangedError as error:
        bench.clash = f"{bench.path.name} was changed by somebody else meanwhile."
        raise AskError(str(error)) from None
    except FileFaultError as error:
        raise AskError(str(error)) from None
    bench.saved(text)
    return f"Saved in {bench.path.name}; the file as it was is {backup.name}."


def take(bench: Bench, ask: Text) -> str:
    """Take in another rig file; a step that can be undone."""
    try:
        parse_rig(ask.text, "the file given")
    except FileFaultError as error:
        raise AskError(str(error)) from None
    taken(bench, ask.text)
    return f"{bench.work.rig.name} opened; undo brings the other one back."


def taken(bench: Bench, text: str) -> None:
    """Work on the rig in a text from here on; a step that can be undone."""
    data = tomllib.loads(text)
    bench.change(lambda state: State(data=data, text=text))


def as_text(bench: Bench) -> str:
    """The rig as the text of a file: that of the file it came from, with what has changed."""
    text = bench.state.text if bench.other else bench.text
    return merged(text or bench.text, bench.state.data, bench.name)


ACTS: Final = (
    Act(name="set", title="Set a value of the rig file", ask=Put, do=put),
    Act(name="undo", title="Undo", ask=Nothing, do=undo),
    Act(name="redo", title="Do again", ask=Nothing, do=redo),
    Act(name="save", title="Save into the rig file", ask=Save, do=save),
    Act(name="take", title="Take in a rig file", ask=Text, do=take),
)
