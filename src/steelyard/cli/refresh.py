"""`steelyard refresh`: every rig of a folder or a book assessed again, and what changed."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import click

from steelyard.cli import BAD_INPUT
from steelyard.cli.words import paragraph, table
from steelyard.files.writer import write_new
from steelyard.fleet.engines import engine
from steelyard.fleet.refresh import Refreshed, as_csv, refreshed
from steelyard.ratings import VERDICTS
from steelyard.words.assessed import MARKS

SHOWN = 40


@click.command("refresh")
@click.argument("where", type=click.Path(path_type=Path))
@click.option(
    "--kept",
    required=True,
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Where standings are kept from one time to the next (JSON): compared with, then "
    "written anew.",
)
@click.option(
    "--out", type=click.Path(path_type=Path), metavar="FILE", help="Also write the changes as CSV."
)
@click.option("--workers", type=click.IntRange(1), default=1, help="Processes on this machine.")
def command(where: Path, kept: Path, out: Path | None, workers: int) -> None:
    """Assess every rig of a folder or a book again, and tell what changed since it was kept.

    Exit codes: 0 nothing changed, 2 bad input (what can be read is assessed), 3 something changed.
    """
    with engine(workers) as (executor, at_once):
        found = refreshed(where, kept, executor, at_once)
    if out is not None:
        write_new(out, as_csv(found.changes), over=True)
    for line in found.faults:
        click.echo(line, err=True)
    click.echo("\n".join(_lines(found, kept)))
    raise SystemExit(BAD_INPUT if found.faults else 3 if found.changes else 0)


def _lines(found: Refreshed, kept: Path) -> Iterator[str]:
    rigs = len({one.rig for one in found.standings})
    yield f"{rigs:,} rigs, {len(found.standings):,} stages assessed again."
    counts = Counter(one.verdict for one in found.standings)
    yield "   ".join(f"{MARKS[word]}: {counts[word]:,}" for word in VERDICTS if counts[word])
    yield ""
    if not found.since:
        yield "Nothing was kept yet: from the next time on, changes are told."
    elif not found.changes:
        yield f"Nothing changed since {found.since}."
    else:
        yield f"Changed since {found.since}:"
        head = ("rig", "stage", "what", "before", "now")
        rows = [(x.rig, x.stage, x.what, x.before, x.now) for x in found.changes[:SHOWN]]
        yield table([head, *rows], left=(0, 1, 2), indent="")
        if len(found.changes) > SHOWN:
            yield f"and {len(found.changes) - SHOWN:,} more"
        causes = Counter(x.because for x in found.changes if x.because)
        yield paragraph("Because of " + "; ".join(f"{why} ({n})" for why, n in causes.items()))
    yield f"Kept: {kept}"
