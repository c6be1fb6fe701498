"""One person's work on one rig: its states in order, undo and redo, kept at every step."""

import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import count
from pathlib import Path
from threading import RLock
from typing import Any, Final, Protocol

from steelyard.files.autosave import Kept
from steelyard.files.changes import AskError
from steelyard.web.flush import Flush
from steelyard.web.running import Logged, Running
from steelyard.web.state import State
from steelyard.web.work import Work, Works

STEPS: Final = 200
"""States that can be undone."""
REMEMBERED: Final = 200
"""Acts that are known again when they are sent a second time."""
_NUMBERS: Final = count(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A state, and who made it: the revision at which it came to be tells it from all others."""

    revision: int
    state: State
    by: str = ""

    @property
    def name(self) -> str:
        """The digest of its state."""
        return self.state.name

    def written(self) -> str:
        """Its state as text."""
        return self.state.written()


class Keeper(Protocol):
    """Where a session's steps are kept: a file with a log that `Flush` puts on the disk."""

    path: Path

    def keep(self, steps: Sequence[Step], at: int, revision: int, acts: Sequence[str] = ()) -> None:
        """Write where the work is, whole or not at all; OSError where it cannot be."""

    def rebase(self, base: str) -> None:
        """The rig file has a new text from here on."""

    def close(self) -> None:
        """Let go of the file."""


class ElsewhereError(OSError):
    """Another program has changed the rig; `kept` is its work as it is now."""

    def __init__(self, kept: Kept) -> None:
        super().__init__("another program has changed this rig meanwhile")
        self.kept = kept


@dataclass(frozen=True, slots=True, kw_only=True)
class Visitor:
    """Who asks: what they are called beside what they do, whether this machine is theirs, and
    whether they are told whose a rig of the book is."""

    name: str = ""
    owner: bool = True
    sees_owners: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A session as it is at one revision, which the page is drawn from; it never changes.

    number: of the session; rig: its number in the book; logged: path of the logbook, number
    of the weighing, what is the matter.
    """

    number: int
    rig: int | None
    revision: int
    work: Work
    works: Works
    name: str
    text: str
    path: Path | None
    can_undo: bool
    can_redo: bool
    unsaved: bool
    remark: str
    clash: str
    logged: Logged
    laid: Mapping[str, Any]

    @property
    def state(self) -> State:
        """The state."""
        return self.work.state


class Session:
    """The states of one rig that is worked on, here and wherever else it is looked at.

    number: tells it from the others of this server; rig: its rig's number in the book. revision:
    grows with whatever changes what it shows; told: who did the last act, and what it did. Not to
    be used by two threads without `lock`.
    """

    def __init__(
        self,
        state: State,
        text: str,
        path: Path | None,
        name: str,
        keeper: Keeper | None,
        logbook: Path | None = None,
        works: Works | None = None,
    ) -> None:
        self.lock = RLock()
        self.number = next(_NUMBERS)
        self.text, self.path, self.name = text, path, name
        self.rig: int | None = None
        self.revision = 0
        self.keeper = keeper
        self._flush = None if keeper is None else Flush(keeper.path)
        self.running = Running(logbook)
        self.works = works or Works()
        self.visitor = Visitor()
        self.watchers: set[Callable[[], None]] = set()
        self.guests_save = False
        self.told = ("", "")
        self._steps = [Step(revision=0, state=state)]
        self._at = 0
        self._saved = state
        self._laid: dict[str, Any] = {}
        self.remark = ""
        self.clash = ""
        self._taken = state.text
        self._done: tuple[str, ...] = ()
        self._key = ""

    @property
    def state(self) -> State:
        """The state now."""
        return self._steps[self._at].state

    @property
    def work(self) -> Work:
        """What follows from the state now."""
        return self.works.of(self.state, self.name)

    @property
    def begun(self) -> bool:
        """Whether anything was done here that only this server's memory may hold."""
        return len(self._steps) > 1 or bool(self._laid)

    def seen(self) -> Seen:
        """As it is now."""
        with self.lock:
            return Seen(
                number=self.number,
                rig=self.rig,
                revision=self.revision,
                work=self.work,
                works=self.works,
                name=self.name,
                text=self.text,
                path=self.path,
                can_undo=self._at > 0,
                can_redo=self._at < len(self._steps) - 1,
                unsaved=not replace(self._saved, data=self.state.data).same(self._saved),
                remark=self.remark,
                clash=self.clash,
                logged=self.running.logged,
                laid=dict(self._laid),
            )

    @contextmanager
    def turn(self, visitor: Visitor, key: str = "") -> Iterator[None]:
        """The turn of one person, who is named beside what is done. key: of the act, so that it is
        not done again when it is sent again."""
        with self.lock:
            self.visitor, self._key = visitor, key
            try:
                yield
            finally:
                self._key = ""

    def did(self, key: str) -> bool:
        """Whether the act of this key was done already."""
        return key in self._done

    def change(self, make: Callable[[State], State]) -> None:
        """Take one step; a state that is no rig, that would tip over, or that cannot be kept is
        refused whole."""
        before, new = self.state, make(self.state)
        if new.same(before):
            return
        work = self.works.of(new, self.name)
        _ = work.found
        step = Step(revision=self.revision + 1, state=new, by=self.visitor.name)
        steps = [*self._steps[: self._at + 1], step][-(STEPS + 1) :]
        self._go(steps, len(steps) - 1)
        self.running.follow(before, work, self.text, back=False)

    def step(self, by: int) -> str:
        """Undo (-1) or redo (+1); who had made the step, where it was somebody else."""
        if not 0 <= self._at + by < len(self._steps):
            raise AskError(f"Nothing to {'undo' if by < 0 else 'do again'}.")
        before, made = self.state, self._steps[max(self._at, self._at + by)]
        self._go(self._steps, self._at + by)
        self.running.follow(before, self.work, self.text, back=by < 0)
        return made.by if made.by != self.visitor.name else ""

    def lay(self, what: str, thing: Any) -> None:
        """Lay a thing beside the rig: a plan, a run, a loading to compare with; None takes it off.
        It goes with the server."""
        self._laid.pop(what, None)
        if thing is not None:
            self._laid[what] = thing
        self._moved_on()

    def laid(self, what: str) -> Any:
        """What was laid beside the rig under a name; None where nothing was."""
        return self._laid.get(what)

    @property
    def other(self) -> bool:
        """Whether the rig here was taken in from elsewhere, and the rig file holds another."""
        return self.state.text not in (None, self._taken)

    def reread(self, text: str) -> None:
        """Take in the rig file's own text as it is now."""
        new = State(data=tomllib.loads(text))
        self.change(lambda state: new)
        self._based(text, new, None)
        self.clash = ""

    def saved(self, text: str) -> None:
        """The rig file now holds the state."""
        self._based(text, self.state, self.state.text)

    def _based(self, text: str, saved: State, taken: str | None) -> None:
        self.text, self._saved, self._taken = text, saved, taken
        if self.keeper is not None:
            self.keeper.rebase(text)
            self.remark = ""
        try:
            self._go(self._steps, self._at)
        except AskError as error:
            self.remark = str(error)

    def restore(self, kept: Kept) -> None:
        """Take up work kept earlier; the rig file's own state stays what `unsaved` is told by."""
        by = kept.by or [""] * len(kept.states)
        self._steps = [
            Step(revision=0, state=State.of(one), by=who)
            for one, who in zip(kept.states, by, strict=True)
        ]
        self._done = tuple(kept.acts)
        self._at, self.revision = max(kept.at, 0), kept.revision

    def start_again(self, state: State) -> None:
        """From a state, without what was before."""
        self._steps, self._at = [Step(revision=self.revision, state=state)], 0

    def _go(self, steps: list[Step], at: int) -> None:
        """Write down where the work is, then be there; refused where it cannot be written."""
        done = (*self._done, self._key)[-REMEMBERED:] if self._key else self._done
        if self.keeper is not None and self._flush is not None:
            try:
                self._flush.require_sound()
                self.keeper.keep(steps, at, self.revision + 1, done)
                self._flush.soon()
            except ElsewhereError as error:
                self.restore(error.kept)
                self._moved_on()
                raise AskError(f"Not done: {error}. It is shown as it is now.") from None
            except OSError as error:
                raise AskError(f"Not done, and nothing is changed: {error}.") from None
        self._steps, self._at, self._done, self.clash = steps, at, done, ""
        self._moved_on()

    def _moved_on(self) -> None:
        self.revision += 1
        for tell in list(self.watchers):
            tell()
