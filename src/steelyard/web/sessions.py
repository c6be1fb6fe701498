"""Which browser works on which rig, held in memory, and found again after a restart."""

import re
import secrets
import tomllib
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock
from typing import Final
from weakref import WeakValueDictionary

from steelyard.files.autosave import Autosave
from steelyard.files.changes import AskError
from steelyard.files.reader import RIG_FILE, parse_rig, read_text
from steelyard.logbook.where import default_path
from steelyard.rig import Owned
from steelyard.web.session import Session
from steelyard.web.state import State
from steelyard.web.work import Works

MOST: Final = 64
"""Benches held in memory; the one unseen for longest makes room, its work being kept on disk."""
LIMIT: Final = 256
"""Benches at once whose work cannot be kept on disk, or that are looked on."""


class Held:
    """Benches by key, each made, or found again on disk, when it is first asked for."""

    def __init__(self, make: Callable[[str], Session]) -> None:
        self._make = make
        self._alive: WeakValueDictionary[str, Session] = WeakValueDictionary()
        self._recent: OrderedDict[str, Session] = OrderedDict()
        self._lock = Lock()

    def of(self, key: str) -> Session:
        """The one session of a key."""
        with self._lock:
            session = self._alive.get(key) or self._made(key)
            self._alive[key] = self._recent[key] = session
            self._recent.move_to_end(key)
            self._make_room()
            return session

    def end(self) -> None:
        """Let go of the files."""
        with self._lock:
            for session in self._alive.values():
                if session.keeper is not None:
                    session.keeper.close()

    def _made(self, key: str) -> Session:
        if len(self._alive) >= LIMIT:
            raise AskError(
                f"{LIMIT} browsers are at work here, and no more can be held: close some of them."
            )
        return self._make(key)

    def _make_room(self) -> None:
        """Let go of those unseen for longest; never of work that lies nowhere else."""
        idle = [who for who, one in self._recent.items() if one.keeper or not one.begun]
        for who in idle[: max(0, len(self._recent) - MOST)]:
            session = self._recent.pop(who)
            if session.keeper is not None:
                session.keeper.close()


SHARED: Final = "shared"
"""In place of a secret where all work on one rig."""
_SECRET: Final = re.compile(r"[A-Za-z0-9_-]{32}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """What is served: a rig file's text, and where it lies, if anywhere; without one, the book.

    logbook: the file that weighings and the book's rigs are kept in. guests_save: whether a guest
    from the network may save into the rig file; guests_see_owners: whether one is told whose a rig
    of the book is. owned: the owner's own typical values.
    """

    text: str = ""
    name: str = ""
    path: Path | None = None
    logbook: Path = field(default_factory=default_path)
    guests_save: bool = False
    guests_see_owners: bool = False
    owned: Owned = field(default_factory=dict)

    @property
    def beside(self) -> Path:
        """The file that unsaved work is kept beside."""
        return self.path or self.logbook.with_name("unnamed-rig.toml")

    @staticmethod
    def at(path: Path) -> "Start":
        """From a rig file; FileFaultError where it is none."""
        text = read_text(path, RIG_FILE.noun)
        parse_rig(text, path.name)
        return Start(text=text, name=path.name, path=path)


def secret(said: str | None) -> str:
    """A browser's secret as its cookie says it; a new one where that is none of ours."""
    return said if said and _SECRET.fullmatch(said) else secrets.token_urlsafe(24)


class Sessions:
    """The work of all browsers on one rig file, by their secret; shared: one for all of them."""

    def __init__(self, start: Start, works: Works | None = None, *, shared: bool = False) -> None:
        self._start, self._works, self._shared = start, works or Works(), shared
        self._held = Held(self._made)
        self.end = self._held.end

    def of(self, who: str) -> Session:
        """The session of one browser."""
        return self._held.of(SHARED if self._shared else who)

    def _made(self, who: str) -> Session:
        start = self._start
        text = read_text(start.path, RIG_FILE.noun) if start.path else start.text
        state = State(data=tomllib.loads(text))
        keeper, trouble = self._keeper(who, text)
        session = Session(state, text, start.path, start.name, keeper, start.logbook, self._works)
        session.guests_save = start.guests_save
        session.remark = trouble or _found_again(session, keeper)
        return session

    def _keeper(self, who: str, text: str) -> tuple[Autosave | None, str]:
        try:
            self._start.beside.parent.mkdir(parents=True, exist_ok=True)
            keeper = Autosave(self._start.beside, who, text)
        except OSError:
            return None, (
                "Unsaved work cannot be kept here (the folder takes no file): save or download"
                " before you close this."
            )
        if keeper.damaged is None:
            return keeper, ""
        return keeper, (
            f"The file of unsaved work was damaged: it lies aside as {keeper.damaged.name}, and"
            " work goes on from the rig file."
        )


def _found_again(session: Session, keeper: Autosave | None) -> str:
    """Take up what was kept, as far as it is sound; what is to be said of it."""
    try:
        kept = keeper.found() if keeper else None
    except OSError as error:
        return f"The unsaved work could not be read: {error}."
    if kept is None or not kept.states:
        return "" if kept is None else "The unsaved work was damaged: this is the rig file's own."
    own = session.state
    try:
        session.restore(kept)
        _ = session.work.found
    except (AskError, KeyError) as error:
        session.start_again(own)
        return f"The unsaved work is no rig any more ({error}): this is the rig file's own."
    if kept.lost:
        return f"Steps of the unsaved work were damaged and are left out: {kept.lost}."
    if not kept.same_base and session.seen().unsaved:
        return (
            f"{session.name} has changed on disk since this was worked on: this is your own"
            " unsaved work, not what the file holds now."
        )
    return ""
