"""Progress of parts where somebody watches: how many, at what rate, how long still."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from time import monotonic
from typing import Final

import click

BEGUN: Final = monotonic()
"""When the command line was loaded, seconds."""
SOON: Final = 1.0
"""Seconds that nobody needs to be told of."""


def telling(each: int, what: str) -> Callable[[int, int], None]:
    """Told how many parts are done and how many there are, of `each` things apiece."""
    start, first = monotonic(), -1

    def tell(done: int, parts: int) -> None:
        nonlocal first
        first = done if first < 0 else first
        if not sys.stderr.isatty():
            return
        made, passed = (done - first) * each, monotonic() - start
        rate = made / passed if made else 0.0
        left = f", {_long((parts - done) * each / rate)} left" if rate else ""
        line = f"{done:,} of {parts:,} parts, {rate:,.0f} {what} a second{left}"
        click.echo(f"\r{line:<78}", nl=done == parts, err=True)

    return tell


def counting(what: str, start: float | None = None) -> Callable[[int, int], None]:
    """Told how many of few things are done; the line says how long still, and goes at the end."""
    start, shown = monotonic() if start is None else start, False

    def tell(done: int, of: int) -> None:
        nonlocal shown
        each = (monotonic() - start) / max(done, 1)
        if not sys.stderr.isatty() or (of * each < SOON and not shown):
            return
        shown = done < of
        line = "" if done == of else f"{done} of {of} {what}, {_long((of - done) * each)} left"
        click.echo(f"\r{line:<40}\r", nl=False, err=True)

    return tell


@contextmanager
def working(of: int, done: int = 1) -> Iterator[Callable[[], None]]:
    """Steps of a command that are done, told again by each call; loading it and the rig is one."""
    tell, number = counting("steps", BEGUN), count(done)

    def step() -> None:
        tell(next(number), of)

    step()
    try:
        yield step
    finally:
        tell(of, of)


def _long(seconds: float) -> str:
    if seconds < 90:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"
