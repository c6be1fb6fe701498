"""Benches held in memory: one of a key as long as anybody holds it."""

from collections import OrderedDict
from collections.abc import Callable
from threading import Lock
from typing import Final
from weakref import WeakValueDictionary

from steelyard.files.changes import AskError
from steelyard.web.session import Session

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
