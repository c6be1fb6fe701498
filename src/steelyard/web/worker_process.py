"""Slow work in a process of its own, so that a moved item is never kept waiting for it."""

import os
import signal
from collections.abc import Callable
from concurrent.futures import CancelledError, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from multiprocessing import active_children, get_context, parent_process
from multiprocessing.process import BaseProcess
from threading import Thread, current_thread, main_thread
from typing import ParamSpec, TypeVar

from steelyard.files.changes import AskError

P = ParamSpec("P")
T = TypeVar("T")


class Apart:
    """One process beside the server's, from `begin` to `end`; otherwise work is done in place."""

    def __init__(self) -> None:
        self._pool: ProcessPoolExecutor | None = None
        self._processes: set[BaseProcess] = set()
        self._ended = False

    def begin(self) -> None:
        """Start the process, born deaf to the Ctrl-C that a terminal sends to all."""
        before = set(active_children())
        self._pool = ProcessPoolExecutor(1, mp_context=get_context("spawn"), initializer=_ready)
        if current_thread() is main_thread():
            heard = signal.signal(signal.SIGINT, signal.SIG_IGN)
            self._pool.submit(int)
            signal.signal(signal.SIGINT, heard)
        self._processes = set(active_children()) - before

    def end(self) -> None:
        """Stop the process, whatever it is at."""
        pool, self._pool, self._ended = self._pool, None, True
        if pool is not None:
            pool.shutdown(wait=False, cancel_futures=True)
        for one in self._processes:
            one.kill()

    def __call__(self, work: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        """What `work` returns or raises; a module's own function, on things that can be pickled."""
        if self._pool is not None:
            with suppress(BrokenProcessPool, CancelledError, RuntimeError):
                return self._pool.submit(work, *args, **kwargs).result()
        if self._ended:
            raise AskError("Steelyard is ending.")
        return work(*args, **kwargs)


def _leave_with_parent() -> None:
    """End when the server ends, however it ends."""
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(0)


def _ready() -> None:
    """Load what will be asked for, and let the page go first."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_leave_with_parent, daemon=True).start()
    if hasattr(os, "nice") and os.nice(0) < 5:
        os.nice(5)
    import steelyard.assessment.sway_advice
    import steelyard.swaying.chart  # noqa: F401
