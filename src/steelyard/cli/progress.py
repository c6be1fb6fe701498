"""Progress of parts where somebody watches: how many, at what rate, how long still."""

import sys
from collections.abc import Callable
from time import monotonic

import click


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


def counting(what: str) -> Callable[[int, int], None]:
    """Told how many of few things are done; the line says how long still, and goes at the end."""
    start = monotonic()

    def tell(done: int, of: int) -> None:
        if not sys.stderr.isatty():
            return
        left = _long((of - done) * (monotonic() - start) / done)
        line = "" if done == of else f"{done} of {of} {what}, {left} left"
        click.echo(f"\r{line:<40}\r", nl=False, err=True)

    return tell


def _long(seconds: float) -> str:
    if seconds < 90:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"
