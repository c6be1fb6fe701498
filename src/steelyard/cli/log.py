"""`steelyard log`: weighings that were kept: list, show, compare, drift, export, import."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict
from functools import partial
from pathlib import Path

import click

from steelyard.cli import options
from steelyard.cli.log_words import compared, drifted, listed, read_in, shown_whole
from steelyard.cli.options import about, fail, print_json
from steelyard.fault import Fault, FaultError
from steelyard.files import write_new
from steelyard.files.reader import decoded, read_bytes
from steelyard.files.tickets import again
from steelyard.logbook.exchange import from_json, readings_csv, to_json, weighings_csv
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.records import Logged, Summary
from steelyard.logbook.store import Logbook
from steelyard.logbook.where import default_path
from steelyard.quantity import System
from steelyard.words.weighed import counted

LARGEST = 200_000_000
"""Bytes of an export that is read back: some thousand weighings."""
logbook_option = click.option(
    "--logbook",
    "book_path",
    metavar="FILE",
    type=click.Path(path_type=str),
    help="The logbook; default $STEELYARD_LOGBOOK, else one in your data folder.",
)
_since = click.option("--since", metavar="DATE", help="Taken on this day or later.")
_until = click.option("--until", metavar="DATE", help="Taken on this day or earlier.")
_shown_options = options.both(
    logbook_option, options.both(options.units_option, options.json_option)
)


@click.group("log")
def command() -> None:
    """Weighings that were kept: list, show, compare, drift, export, import."""


@command.command("list")
@click.option(
    "--rig", metavar="NAME", help="Only weighings of this rig: its whole name, capitals or not."
)
@click.option(
    "--place", metavar="NAME", help="Only weighings at this place: its whole name, capitals or not."
)
@_since
@_until
@click.option("--limit", type=int, metavar="N", help="Only the last N.")
@_shown_options
def list_(
    rig: str | None,
    place: str | None,
    since: str | None,
    until: str | None,
    limit: int | None,
    book_path: str | None,
    units: str | None,
    *,
    as_json_: bool,
) -> None:
    """List weighings, oldest first."""
    with opened(book_path) as book:
        lines = book.list(rig=rig, since=since, until=until, place=place, limit=limit)
        system = _system(book, lines, units)
    if as_json_:
        print_json([asdict(line) for line in lines])
    elif lines:
        click.echo(listed(lines, system))
    elif not book.damaged:
        click.echo("No weighing of that kind is in the logbook.")


@command.command("show")
@click.argument("number", metavar="ID", type=int)
@_shown_options
def show(number: int, book_path: str | None, units: str | None, *, as_json_: bool) -> None:
    """Show one weighing with its readings."""
    with opened(book_path) as book:
        found = book.get(number)
    if as_json_:
        print_json(asdict(found))
    else:
        click.echo("\n".join(shown_whole(found, read_in(found, units), _asked(found))))


def _asked(found: Logged) -> tuple[str, ...]:
    """What is asked of the readings still, and counts for next to nothing until it is answered."""
    try:
        slips = again(found.weighing.rig_text, found.weighing.ticket_text, found.id).slips
    except FaultError:
        return ()
    return FaultError(*slips).sentences if slips else ()


@command.command("compare")
@click.argument("first", metavar="A", type=int)
@click.argument("second", metavar="B", type=int)
@_shown_options
def compare(
    first: int, second: int, book_path: str | None, units: str | None, *, as_json_: bool
) -> None:
    """Set weighings A and B side by side."""
    with opened(book_path) as book:
        found = book.compare(first, second)
    if as_json_:
        print_json(asdict(found))
    else:
        click.echo("\n".join(compared(found, read_in(found.second, units))))


@command.command("drift")
@click.argument("rig", metavar="RIG")
@_since
@_until
@_shown_options
def drift(
    rig: str,
    since: str | None,
    until: str | None,
    book_path: str | None,
    units: str | None,
    *,
    as_json_: bool,
) -> None:
    """Say what RIG (by name) gained or lost from first weighing to last, and per 100 days."""
    with opened(book_path) as book:
        if not book.list(rig=rig, limit=1):
            fail(f'RIG: expected one of {", ".join(book.rigs()) or "none yet"}; found "{rig}"')
        found = book.drift(rig, since, until)
        system = _system(book, (found.last,), units)
    if as_json_:
        print_json(asdict(found))
    else:
        click.echo("\n".join(drifted(found, system)))


@command.command("export")
@click.option("--csv/--json", "as_csv", default=False, help="Which; default JSON.")
@click.option("--readings", is_flag=True, help="With --csv: a line a reading, not a weighing.")
@click.option(
    "--to",
    "to_path",
    metavar="FILE",
    type=click.Path(path_type=str),
    help="A new file; standard output when left out.",
)
@logbook_option
def export(*, as_csv: bool, readings: bool, to_path: str | None, book_path: str | None) -> None:
    """Write every weighing as JSON (nothing lost) or CSV; never over a file that is there."""
    if readings and not as_csv:
        fail("--readings: expected --csv beside it, found none (JSON holds the readings anyway)")
    with opened(book_path) as book:
        if as_csv:
            text = readings_csv(book.all()) if readings else weighings_csv(book.list())
        else:
            text = to_json(book.all()) + "\n"
    if to_path is None:
        click.echo(text, nl=False)
    else:
        write_new(Path(to_path), text)
        click.echo(f"Wrote {to_path}.")


@command.command("import")
@click.argument("path", metavar="FILE", type=click.Path(path_type=str))
@logbook_option
def import_(path: str, book_path: str | None) -> None:
    """Add the weighings of a JSON export; those already there are left as they are."""
    where = Path(path)
    text = decoded(read_bytes(where, "logbook's JSON", LARGEST), where.name)
    with about(path):
        entries = from_json(text)
    with opened(book_path, new=True) as book:
        brought = book.bring_in(entries)
    click.echo(f"Added {counted(brought.added, 'weighing')}; {brought.known} were there already.")


@contextmanager
def opened(asked: str | None, *, new: bool = False) -> Iterator[Logbook]:
    """The logbook asked for; it must be there unless it may be `new`."""
    path = Path(asked) if asked else default_path()
    if not new and not path.exists():
        fail(f"{path}: expected a logbook, found none; keeping a first weighing starts one")
    with Logbook.open(path) as book:
        yield book
        if book.damaged:
            told = partial(_tell, tuple(book.damaged))
            click.get_current_context().call_on_close(told)


def _tell(damaged: tuple[Fault, ...]) -> None:
    """After the answer from what is sound: what is not in it, and the code for bad input."""
    raise LogbookError(*damaged)


def _system(book: Logbook, lines: Sequence[Summary], asked: str | None) -> System:
    return read_in(book.get(lines[-1].id), asked) if lines else "us"
