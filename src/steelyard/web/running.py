"""The logbook of the page: what was read is written down at once, and nothing of it is lost."""

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from steelyard import __version__
from steelyard.files.merge import merged
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.records import Weighing
from steelyard.logbook.store import Logbook
from steelyard.web.readings import ticket_text
from steelyard.web.state import State
from steelyard.web.work import Work

WAIT = 2.0
"""s to wait for another program that writes."""


class Logged(NamedTuple):
    """Where readings are written down, under which number, and what keeps them from it."""

    path: Path | None
    number: int | None
    trouble: str


class Running:
    """Follows one session: each state with readings is written as its running weighing now is.

    begun: told the name of each weighing that is begun here, before it is written.
    """

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self.begun: Callable[[str], None] = lambda run: None
        self.number: int | None = None
        self.trouble = ""

    @property
    def logged(self) -> Logged:
        """As it is now."""
        return Logged(self.path, self.number, self.trouble)

    def follow(self, before: State, work: Work, text: str, *, back: bool) -> None:
        """Write what changed; trouble is told, not raised. text: of the rig file beside it.

        back: it was undone, so that a weighing begun by that step is taken back with it.
        """
        now = work.state
        if self.path is None:
            return
        if back and before.run is not None and before.run != now.run:
            self._write(before.run, None)
        same = (now.run, now.ticket, now.weighed) == (before.run, before.ticket, before.weighed)
        if now.run is not None and now.ticket is not None and (self.trouble or not same):
            self._write(now.run, _weighing(work, text))

    def take_back(self, run: str | None) -> None:
        """The last reading of a weighing was taken out."""
        if self.path is not None and run is not None:
            self._write(run, None)

    def _write(self, run: str, weighing: Weighing | None) -> None:
        assert self.path is not None
        try:
            self.begun(run)
            with Logbook.open(self.path, wait=WAIT) as book:
                self.number = book.go_on(run, weighing)
        except LogbookError as error:
            self.trouble = str(error)
        else:
            self.trouble = ""


def _weighing(work: Work, text: str) -> Weighing:
    from steelyard.logbook.from_ticket import recorded

    state = work.state
    assert state.ticket is not None
    rig = merged(text, state.weighed or state.data, work.name)
    return recorded(work.reconciled, rig, ticket_text(state.ticket), __version__)
