"""What a person can do in the book: each act is one form and one function on the shelf."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, TypeVar

from pydantic import Field

from steelyard.files.changes import AskError, put
from steelyard.files.demo import demo_rigs
from steelyard.files.reader import LARGEST
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.rigs import MovedOnError
from steelyard.web.acts.base import Ask
from steelyard.web.acts.rig import Begun, drafted
from steelyard.web.book.shelf import Shelf
from steelyard.web.session import Visitor
from steelyard.web.state import State

T = TypeVar("T")
WORD: Final = 120
"""Letters of an owner's name or a note."""


class Whose(Ask):
    """Whose a rig is, and what finds it: a plate, a telephone number."""

    owner: str = Field(default="", max_length=WORD)
    note: str = Field(default="", max_length=WORD)


class New(Begun, Whose):
    """What a new rig begins with, and whose it is."""


class Text(Whose):
    """A whole rig file."""

    text: str = Field(max_length=LARGEST, description="a rig file (TOML)")


class Example(Ask):
    """Which of the example rigs."""

    which: str


class One(Ask):
    """A rig of the book, by its number."""

    rig: int = Field(ge=1, le=2**53 - 1)


class Away(One):
    """Whether it is put away, out of sight."""

    away: bool = True


class Describe(One):
    """Whose a rig is now; was: what was shown when this was asked."""

    owner: str = Field(max_length=WORD)
    note: str = Field(max_length=WORD)
    was: Whose


class Rename(One):
    """A rig's new name; was: the name that was shown when this was asked."""

    name: str = Field(min_length=1, max_length=80)
    was: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """What an act did, in a sentence, and the number of the rig it was done to."""

    said: str
    rig: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BookAct:
    """An act on the book: its name in the API, what it does, its form, its function."""

    name: str
    title: str
    ask: type[Ask]
    do: Callable[..., Done]


def new(shelf: Shelf, ask: New, visitor: Visitor) -> Done:
    """Begin a rig from a vehicle class and a trailer style, to be walked round."""
    number = shelf.put(drafted(ask), ask.owner.strip(), ask.note.strip(), visitor.name)
    return Done(said=f"{shelf.rigs.row(number).name} begun.", rig=number)


def take_in(shelf: Shelf, ask: Text, visitor: Visitor) -> Done:
    """Take in a rig file; the file stays as it is, and the book has a rig of its own."""
    return _added(shelf, ask.text, ask, visitor, "taken in; the file stays as it is")


def example(shelf: Shelf, ask: Example, visitor: Visitor) -> Done:
    """Put a copy of an example rig into the book."""
    rigs = demo_rigs()
    if ask.which not in rigs:
        raise AskError(f'There is no example "{ask.which[:80]}": it is one of {", ".join(rigs)}.')
    whose = Whose(note="an example, invented")
    return _added(shelf, rigs[ask.which], whose, visitor, "put in, an example: nobody's rig")


def copy(shelf: Shelf, ask: One, visitor: Visitor) -> Done:
    """Put a copy of a rig into the book, as it is now, without its readings; of a damaged one, its
    last sound state."""
    text = _read(lambda: shelf.rigs.last_sound(ask.rig))
    try:
        row, state = shelf.rigs.row(ask.rig), shelf.session(ask.rig).state
        whose = Whose(owner=row.owner, note=row.note)
    except (LogbookError, AskError) as error:
        if text is None:
            raise AskError(str(error)) from None
        state, whose = State.read(text), Whose()
    name = f"{state.data.get('name') or 'rig'}, copy"
    bare = State(data=put(state.data, ["name"], name), text=state.text)
    number = shelf.put(bare, whose.owner, whose.note, visitor.name)
    return Done(said=f"{name}: in the book as rig {number}.", rig=number)


def away(shelf: Shelf, ask: Away, _visitor: Visitor) -> Done:
    """Put a rig away into the archive, or take it out again; nothing of it is lost."""
    row = _read(lambda: shelf.rigs.put_away(ask.rig, away=ask.away))
    said = "put away: it is under Archived" if ask.away else "is in the book again"
    return Done(said=f"{row.name} {said}.", rig=ask.rig)


def describe(shelf: Shelf, ask: Describe, _visitor: Visitor) -> Done:
    """Say whose a rig is, and what finds it."""
    was = (ask.was.owner, ask.was.note)
    row = _read(lambda: shelf.rigs.describe(ask.rig, was, ask.owner.strip(), ask.note.strip()))
    return Done(said=f"{row.name}: {row.owner or 'no owner said'}.", rig=ask.rig)


def rename(shelf: Shelf, ask: Rename, visitor: Visitor) -> Done:
    """Give a rig another name, unless somebody has just given it one."""
    name, session = ask.name.strip(), shelf.session(ask.rig)
    with session.turn(visitor):
        now = str(session.state.data.get("name") or "")
        if now != ask.was and now != name:
            raise AskError(
                f'It was renamed "{now}" meanwhile, so it keeps that: say "{name}" again to change'
                " it."
            )
        session.change(lambda state: state.with_data(put(state.data, ["name"], name)))
    return Done(said=f"It is called {name} now.", rig=ask.rig)


def _added(shelf: Shelf, text: str, whose: Whose, visitor: Visitor, done: str) -> Done:
    number = shelf.add(text, whose.owner.strip(), whose.note.strip(), visitor.name)
    return Done(said=f"{shelf.rigs.row(number).name} {done}.", rig=number)


def _read(what: Callable[[], T]) -> T:
    """What is asked of the book; its fault as a sentence for the person."""
    try:
        return what()
    except MovedOnError:
        raise AskError(
            "Somebody else changed it meanwhile: look at it, then say it again."
        ) from None
    except LogbookError as error:
        raise AskError(str(error)) from None


ACTS: Final = (
    BookAct(name="new", title="Begin a rig in the book", ask=New, do=new),
    BookAct(name="open", title="Take a rig file into the book", ask=Text, do=take_in),
    BookAct(name="example", title="Put an example into the book", ask=Example, do=example),
    BookAct(name="copy", title="Copy a rig", ask=One, do=copy),
    BookAct(name="away", title="Put a rig away, or take it out again", ask=Away, do=away),
    BookAct(name="describe", title="Say whose a rig is", ask=Describe, do=describe),
    BookAct(name="rename", title="Rename a rig", ask=Rename, do=rename),
)
