"""One person's work on one rig: its states in order, undo and redo, kept at every step."""

import tomllib
from collections.abc import Callable, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from threading import RLock
from typing import Any, Final

from steelyard.files.autosave import Autosave
from steelyard.web.book import Book
from steelyard.web.state import AskError, State, Work

STEPS: Final = 200
"""States that can be undone."""


class Bench:
    """The states of one browser's work. Not to be used by two threads without `lock`."""

    def __init__(
        self,
        state: State,
        text: str,
        path: Path | None,
        name: str,
        keeper: Autosave | None,
        logbook: Path | None = None,
    ) -> None:
        self.lock = RLock()
        self.text, self.path, self.name = text, path, name
        self.revision = 0
        self._keeper = keeper
        self.book = Book(logbook)
        self._states = [state]
        self._works: dict[int, Work] = {}
        self._at = 0
        self._saved = state
        self._names: dict[int, str] = {}
        self.slow: dict[str, Any] = {}
        self.remark = ""
        self.clash = ""
        self._taken = state.text

    @property
    def state(self) -> State:
        """The state now."""
        return self._states[self._at]

    @property
    def work(self) -> Work:
        """What follows from the state now; kept while the state can be reached."""
        key = id(self.state)
        if key not in self._works:
            if len(self._works) > 4:
                self._works.pop(next(iter(self._works)))
            self._works[key] = Work(self.state, self.name)
        return self._works[key]

    @property
    def unsaved(self) -> bool:
        """Whether the rig file does not hold what is here."""
        return not replace(self._saved, data=self.state.data).same(self._saved)

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to undo."""
        return self._at > 0

    @property
    def can_redo(self) -> bool:
        """Whether there is a step to do again."""
        return self._at < len(self._states) - 1

    def change(self, make: Callable[[State], State]) -> None:
        """Take one step; a state that is no rig, or that would tip over, is refused whole."""
        before, new = self.state, make(self.state)
        if new.same(before):
            return
        work = Work(new, self.name)
        _ = work.found
        self._states = [*self._states[: self._at + 1], new][-(STEPS + 1) :]
        self._at = len(self._states) - 1
        self._works[id(new)] = work
        self._keep()
        self.book.follow(before, work, self.text, back=False)

    def step(self, by: int) -> None:
        """Undo (-1) or redo (+1)."""
        if not 0 <= self._at + by < len(self._states):
            raise AskError(f"Nothing to {'undo' if by < 0 else 'do again'}.")
        before = self.state
        self._at += by
        self._keep()
        self.book.follow(before, self.work, self.text, back=by < 0)

    @property
    def other(self) -> bool:
        """Whether the rig here was taken in from elsewhere, and the rig file holds another."""
        return self.state.text not in (None, self._taken)

    def reread(self, text: str) -> None:
        """Take in the rig file's own text as it is now."""
        new = State(data=tomllib.loads(text))
        self.change(lambda state: new)
        self.text, self._saved, self._taken = text, new, None
        self.clash = self.remark = ""
        if self._keeper is not None:
            self._keeper.rebase(text)
            self._keep()

    def saved(self, text: str) -> None:
        """The rig file now holds the state."""
        self.text, self._saved = text, self.state
        self.clash, self._taken = "", self.state.text
        if self._keeper is not None:
            self._keeper.rebase(text)
            self.remark = ""
        self._keep()

    def restore(self, states: Sequence[State], at: int, revision: int) -> None:
        """Take up work kept earlier; the rig file's own state stays what `unsaved` is told by."""
        self._states, self._at, self.revision = list(states), at, revision
        self._works.clear()

    def _keep(self) -> None:
        self.revision, self.clash = self.revision + 1, ""
        if self._keeper is not None:
            fresh = [one for one in self._states if id(one) not in self._names]
            known = [self._names[id(one)] for one in self._states if id(one) in self._names]
            names = self._keeper.keep(
                [asdict(one) for one in fresh], known, self._at, self.revision
            )
            self._names |= {id(one): name for one, name in zip(fresh, names, strict=True)}
        self._forget()

    def _forget(self) -> None:
        """Drop what was worked out for states that are gone: their ids may be given again."""
        there = {id(one) for one in self._states}
        self._names = {key: name for key, name in self._names.items() if key in there}
        self._works = {key: work for key, work in self._works.items() if key in there}
