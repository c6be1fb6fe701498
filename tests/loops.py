"""Coroutines run to their end wherever a test stands."""

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

T = TypeVar("T")


def apart(work: Coroutine[Any, Any, T]) -> T:
    """The end of a coroutine in a thread of its own: the browser's own loop may run in this one."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, work).result()
