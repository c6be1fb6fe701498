"""What was written is put on the disk a moment later, while nobody waits for it."""

import os
from contextlib import suppress
from pathlib import Path
from threading import Lock, Timer
from typing import Final

DELAY: Final = 0.1
"""s from a write to the disk: what may be lost when the power goes."""


class Flush:
    """Puts the write-ahead log of an SQLite file on the disk.

    A database in that mode is whole after a cut of power whether or not its log was synced, and a
    program that is killed loses nothing: only what the machine itself had not written yet is gone.
    """

    def __init__(self, path: Path) -> None:
        self._log = path.with_name(path.name + "-wal")
        self._lock, self._due = Lock(), False
        self._fault: OSError | None = None

    def soon(self) -> None:
        """Within `DELAY`, with whatever is written until then."""
        with self._lock:
            due, self._due = self._due, True
        if not due:
            timer = Timer(DELAY, self.now)
            timer.daemon = True
            timer.start()

    def require_sound(self) -> None:
        """Raise the OSError that the disk answered with last time, once."""
        fault, self._fault = self._fault, None
        if fault is not None:
            raise fault

    def now(self) -> None:
        """At once."""
        with self._lock:
            self._due = False
        try:
            with suppress(FileNotFoundError):  # closed, and so put in its place
                link = os.open(self._log, os.O_RDWR)
                try:
                    os.fsync(link)
                finally:
                    os.close(link)
        except OSError as error:
            self._fault = error
