"""One person's work on one rig: its states in order, undo and redo, kept at every step."""

from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path
from threading import RLock
from typing import Final

from steelyard.files.autosave import Autosave
from steelyard.web.state import AskError, State, Work

STEPS: Final = 200
"""States that can be undone."""


class Bench:
    """The states of one browser's work. Not to be used by two threads without `lock`."""

    def __init__(
        self, state: State, text: str, path: Path | None, name: str, keeper: Autosave | None
    ) -> None:
        self.lock = RLock()
        self.text, self.path, self.name = text, path, name
        self.revision = 0
        self._keeper = keeper
        self._states = [state]
        self._works: dict[int, Work] = {}
        self._at = 0
        self._saved = state
        self._names: dict[int, str] = {}
        self.slow: dict[object, object] = {}
        self.remark = ""

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
        return self.state.data != self._saved.data

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
        new = make(self.state)
        if new == self.state:
            return
        work = Work(new, self.name)
        _ = work.found
        self._states = [*self._states[: self._at + 1], new][-(STEPS + 1) :]
        self._at = len(self._states) - 1
        self._works[id(new)] = work
        self._keep()

    def step(self, by: int) -> None:
        """Undo (-1) or redo (+1)."""
        if not 0 <= self._at + by < len(self._states):
            raise AskError(f"Nothing to {'undo' if by < 0 else 'do again'}.")
        self._at += by
        self._keep()

    def saved(self, text: str) -> None:
        """The rig file now holds the state."""
        self.text, self._saved = text, self.state
        if self._keeper is not None:
            self._keeper.rebase(text)
        self._keep()

    def restore(self, states: Sequence[State], at: int, revision: int) -> None:
        """Take up work kept earlier; the rig file's own state stays what `unsaved` is told by."""
        self._states, self._at, self.revision = list(states), at, revision
        self._works.clear()

    def _keep(self) -> None:
        self.revision += 1
        if len(self._works) > 8:
            now = self.work
            self._works = {id(self.state): now}
        if self._keeper is not None:
            for one in self._states:
                if id(one) not in self._names:
                    self._names[id(one)] = self._keeper.put(asdict(one))
            self._keeper.keep([self._names[id(s)] for s in self._states], self._at, self.revision)
