"""Who does the work: this process, a pool of its own, or a Dask cluster by its address.

The one seam is `run(tasks, executor)`: tasks are functions of nothing that can be pickled, and the
executor is any of `concurrent.futures`' kind. Nothing else imports an engine.
"""

import multiprocessing
import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from itertools import islice
from typing import Any, Final, TypeVar

from steelyard.fault import FaultError

R = TypeVar("R")
PATIENCE: Final = 10.0
"""s to wait for a scheduler, and for its first worker."""
AHEAD: Final = 2
"""Tasks handed out for each worker: one at work and the next; so memory hangs on no more."""
TRIM: Final = 1 << 28
"""Bytes freed at the end of the heap before they are given back to the system; Dask's workers give
them back at 64 kB, and then half their time goes into fetching the same pages anew."""
KEPT: Final = "finished parts are kept: run the same again to go on"


class Here(Executor):
    """This process: a task is done when it is handed in."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **words: Any) -> Future[Any]:
        """Do it now."""
        done: Future[Any] = Future()
        try:
            done.set_result(fn(*args, **words))
        except Exception as error:  # noqa: BLE001 - a future holds whatever was raised
            done.set_exception(error)
        return done


def run(tasks: Iterable[Callable[[], R]], executor: Executor, at_once: int = 1) -> Iterator[R]:
    """What each task returns, as they are done, not in order; at most `at_once` are handed out.

    What a task raises is raised here, with the rest left undone; FaultError where a worker is lost.
    """
    left = iter(tasks)
    waiting = {executor.submit(task) for task in islice(left, at_once)}
    try:
        while waiting:
            done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
            waiting |= {executor.submit(task) for task in islice(left, len(done))}
            for one in done:
                yield one.result()
    except BrokenProcessPool:
        due, found = "workers that live until their parts are done", "one that was killed"
        raise FaultError(due=due, found=found, hint=KEPT) from None
    finally:
        for one in waiting:
            one.cancel()


@contextmanager
def engine(workers: int = 1, on: str | None = None) -> Iterator[tuple[Executor, int]]:
    """An executor, and how many tasks it may hold at once.

    workers: processes on this machine, 1 for this one alone; on: a cluster's address instead.
    FaultError where no scheduler or no worker answers, or one has another version.
    """
    if on is not None:
        with _cluster(on) as found:
            yield found
    elif workers > 1:
        with _pool(workers) as found:
            yield found
    else:
        yield Here(), 1


@contextmanager
def _pool(workers: int) -> Iterator[tuple[Executor, int]]:
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before the children load it
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(workers, mp_context=context, initializer=_ready)
    try:
        yield pool, AHEAD * workers
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _ready() -> None:
    """Leave an interrupt to the parent, which then stops the pool."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def _cluster(address: str) -> Iterator[tuple[Executor, int]]:
    try:
        from distributed import Client
        from distributed.comm.core import CommClosedError
    except ModuleNotFoundError:
        hint = "install steelyard[fleet], or leave out --on"
        raise FaultError(due="Dask distributed", found="none", hint=hint) from None
    try:
        client = Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise _silent(address, error) from None
    try:
        client.wait_for_workers(1, timeout=PATIENCE)
        _same_version(client.run(prepared))
        cores = sum(client.ncores().values())
        yield client.get_executor(), AHEAD * cores
    except (CommClosedError, TimeoutError) as error:
        raise _silent(address, error) from None
    finally:
        with suppress(Exception):
            client.close(timeout=1)


def _silent(address: str, error: Exception) -> FaultError:
    due = "a Dask scheduler with a worker that answers, as in tcp://host:8786"
    why = f"{type(error).__name__}; {KEPT}"
    return FaultError(argument="on", due=due, found=f"none at {address}", hint=why)


def prepared() -> str:
    """On a worker: keep freed memory for the next part; the worker's version."""
    import ctypes

    from steelyard import __version__

    with suppress(OSError, AttributeError):
        libc = ctypes.CDLL(None)
        libc.mallopt(-1, TRIM)  # M_TRIM_THRESHOLD
        libc.mallopt(-3, TRIM)  # M_MMAP_THRESHOLD
    return __version__


def _same_version(workers: dict[str, str]) -> None:
    from steelyard import __version__

    for worker, version in workers.items():
        if version != __version__:
            due = f"workers of version {__version__}, as this one is"
            raise FaultError(argument="on", due=due, found=f"{version} at {worker}")
