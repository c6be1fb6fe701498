"""A page's process for slow work, without the seconds that its start takes."""

import multiprocessing
from collections.abc import Iterator
from contextlib import contextmanager

import pytest


@contextmanager
def forked() -> Iterator[None]:
    """The process is forked off one that has loaded everything, where users have a spawned one."""
    context = multiprocessing.get_context("forkserver")
    loaded = ("web.worker_process", "assessment.sway_advice", "swaying.chart")
    context.set_forkserver_preload([f"steelyard.{one}" for one in loaded])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("steelyard.web.worker_process.get_context", lambda _: context)
        yield
