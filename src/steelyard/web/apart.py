"""Slow work in a process of its own, so that a moved item is never kept waiting for it."""

import os
import signal
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context, parent_process
from threading import Thread
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")
_pool: ProcessPoolExecutor | None = None


def begin() -> None:
    """Start the process; until then, and where it cannot be had, slow work is done in place."""
    global _pool
    if _pool is None:
        _pool = ProcessPoolExecutor(1, mp_context=get_context("spawn"), initializer=_ready)
        before = signal.signal(signal.SIGINT, signal.SIG_IGN)  # the process is born deaf to Ctrl-C
        _pool.submit(int)
        signal.signal(signal.SIGINT, before)


def end() -> None:
    """Stop the process."""
    global _pool
    if _pool is not None:
        _pool.shutdown(wait=False, cancel_futures=True)
        _pool = None


def apart(work: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
    """What `work` returns or raises; a module's own function, on things that can be pickled."""
    if _pool is None:
        return work(*args, **kwargs)
    try:
        return _pool.submit(work, *args, **kwargs).result()
    except (BrokenProcessPool, RuntimeError):
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
    import steelyard.sway  # noqa: F401
