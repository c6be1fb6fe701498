"""The rigs of the book as sessions, one for each, shared by all who look at it."""

import tomllib
from pathlib import Path

from steelyard.files.changes import AskError
from steelyard.files.reader import parse_rig
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.rigs import Rigs
from steelyard.web.book.keeper import RigKeeper, kept, name_of
from steelyard.web.session import Session
from steelyard.web.sessions_in_memory import Held
from steelyard.web.state import State
from steelyard.web.work import Work, Works


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
        try:
            work = self.rigs.work(number)
        except LogbookError as error:
            raise AskError(str(error)) from None
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
