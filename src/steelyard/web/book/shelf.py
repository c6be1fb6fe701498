"""The rigs of the book as sessions, one for each, shared by all who look at it.

Every step is written in the book before it counts.
"""

import json
import tomllib
from collections.abc import Sequence
from pathlib import Path

from steelyard.files.autosave import Kept
from steelyard.files.changes import AskError, asking
from steelyard.files.reader import parse_rig
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.rigs import MovedOnError, Rigs, RigWork
from steelyard.web.session import ElsewhereError, Session, Step
from steelyard.web.sessions import Held
from steelyard.web.state import State
from steelyard.web.work import Work, Works

NAMELESS = "a rig without a name"


class RigKeeper:
    """Keeps the steps of one rig of the book."""

    def __init__(self, rigs: Rigs, work: RigWork) -> None:
        self._rigs, self._number, self.path = rigs, work.row.id, rigs.path
        self._there: set[str] = set()
        self._revision = 0
        self._know(work)

    def keep(self, steps: Sequence[Step], at: int, revision: int, acts: Sequence[str] = ()) -> None:
        """Write the steps not written before, and where the work is now."""
        texts = {one.name: one.written() for one in steps if one.name not in self._there}
        named = [(one.name, one.by) for one in steps]
        name = name_of(steps[at].state)
        try:
            self._rigs.keep(self._number, self._revision, name, named, texts, at, revision, acts)
        except MovedOnError:
            raise ElsewhereError(self._again()) from None
        except LogbookError as error:
            raise OSError(str(error)) from None
        self._there, self._revision = {one.name for one in steps}, revision

    def rebase(self, base: str) -> None:
        """A rig of the book rests on no file."""

    def close(self) -> None:
        """The book's file is the shelf's to let go of."""

    def _know(self, work: RigWork) -> None:
        pairs = zip(work.row.steps, work.states, strict=True)
        self._there = {name for (name, _), text in pairs if text is not None}
        self._revision = work.row.revision

    def _again(self) -> Kept:
        """The work as the book holds it now."""
        try:
            work = self._rigs.work(self._number)
        except LogbookError as error:
            raise OSError(str(error)) from None
        self._know(work)
        return kept(work)


def kept(work: RigWork) -> Kept:
    """A rig's work as a session takes it up; damaged steps are left out and counted."""
    row = work.row
    pairs = [
        (None if text is None else json.loads(text), by)
        for text, (_, by) in zip(work.states, row.steps, strict=True)
    ]
    sound = [(state, by) for state, by in pairs if state is not None]
    return Kept(
        states=[state for state, _ in sound],
        by=[by for _, by in sound],
        at=sum(state is not None for state, _ in pairs[: row.at + 1]) - 1,
        revision=row.revision,
        same_base=True,
        written=row.changed,
        lost=len(pairs) - len(sound),
        acts=row.acts,
    )


def name_of(state: State) -> str:
    """What a rig's own data calls it."""
    return str(state.data.get("name") or NAMELESS)


class Shelf:
    """The book in one logbook file."""

    def __init__(self, path: Path, works: Works) -> None:
        self.rigs, self.works = Rigs(path), works
        self._held = Held(self._made)

    def session(self, number: int) -> Session:
        """The session of one rig; AskError where the book holds none, or not as it was written."""
        return self._held.of(str(number))

    def add(self, text: str, owner: str = "", note: str = "", by: str = "") -> int:
        """A rig file's text as a new rig of the book; its number. FileFaultError: it is none."""
        parse_rig(text, "the file given")
        state = State(data=tomllib.loads(text), text=text)
        return self.put(state, owner, note, by)

    def put(self, state: State, owner: str = "", note: str = "", by: str = "") -> int:
        """A state as a new rig of the book; its number."""
        try:
            return self.rigs.add(name_of(state), state.written(), owner, note, by)
        except LogbookError as error:
            raise AskError(f"Not kept: {error}.") from None

    def work_of(self, number: int) -> Work:
        """What follows from a rig as the book holds it now; LogbookError where it is damaged."""
        return self.works.of(State.read(self.rigs.now(number)), str(number))

    def end(self) -> None:
        """Let go of the file."""
        self._held.end()
        self.rigs.close()

    def _made(self, key: str) -> Session:
        number = int(key)
        with asking(LogbookError):
            work = self.rigs.work(number)
        found = kept(work)
        if not found.states:
            raise AskError(f"Rig {number} is damaged: none of its steps is as it was written.")
        state = State.of(found.states[max(found.at, 0)])
        name = "".join(c if c.isalnum() else "-" for c in name_of(state)).strip("-").lower()
        keeper = RigKeeper(self.rigs, work)
        session = Session(
            state,
            state.text or "",
            None,
            f"{name or 'rig'}.toml",
            keeper,
            self.rigs.path,
            self.works,
        )
        session.restore(found)
        session.rig = number
        session.running.begun = lambda run: self.rigs.begun(number, run)
        if found.lost:
            session.remark = f"Steps of this rig were damaged and are left out: {found.lost}."
        return session
