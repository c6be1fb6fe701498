"""`steelyard match --parts`: more pairs than one sitting, in parts, here or on a cluster."""

from collections.abc import Iterator
from pathlib import Path
from time import monotonic
from typing import NoReturn

import click

from steelyard.cli import BAD_INPUT
from steelyard.cli.progress import telling
from steelyard.cli.words import paragraph, table
from steelyard.files.table_rows import polars
from steelyard.fleet.engines import KEPT, engine
from steelyard.fleet.match import TRAILERS, VEHICLES, Match, Merged, merged
from steelyard.fleet.parts import Finished, finish
from steelyard.matching.rank import LISTS
from steelyard.words.matched import HEADS

INTERRUPTED = 130
SHOWN = 20
"""Vehicles whose best trailer is shown; all are in the file."""


def in_parts(job: Match, folder: Path, workers: int, on: str | None) -> NoReturn:
    """Work the parts out, merge the best of each vehicle, and end with the match's exit code."""
    polars()
    start, count = monotonic(), job.count
    click.echo(f"Parts: {count:,}, of up to {VEHICLES} vehicles with {TRAILERS:,} trailers.")
    try:
        with engine(workers, on) as (executor, at_once):
            done = finish(
                job, folder, executor, at_once, telling(VEHICLES * TRAILERS, "pairs at most")
            )
    except KeyboardInterrupt:
        click.echo(f"Stopped: {KEPT}.", err=True)
        raise SystemExit(INTERRUPTED) from None
    found = merged(folder, done.parts)
    for line in found.faults[:1000]:
        click.echo(line, err=True)
    click.echo("\n".join(_lines(done, found, monotonic() - start)))
    passed = found.counts[LISTS[0]] + found.counts[LISTS[1]]
    raise SystemExit(
        BAD_INPUT if found.faults else 0 if found.counts[LISTS[0]] else 3 if passed else 1
    )


def _lines(done: Finished, found: Merged, seconds: float) -> Iterator[str]:
    pairs = sum(found.counts.values())
    if done.found:
        yield f"{done.found:,} parts were there already."
    yield f"{pairs:,} pairs in {seconds:.1f} s."
    yield ""
    for name in LISTS:
        yield f"{found.counts[name]:>13,}  {HEADS[name]}"
    yield ""
    best = polars().read_parquet(found.best).group_by("vehicle_row", maintain_order=True).first()
    head = ("vehicle", "its best trailer", "list", "usual", "room, kg")
    rows = [
        (*row[:4], "" if row[4] is None else f"{row[4]:,.0f}")
        for row in best.select(
            "vehicle", "trailer", "list", "standing", "cargo_room_kg"
        ).iter_rows()
    ]
    yield table([head, *rows[:SHOWN]], left=(0, 1, 2, 3), indent="")
    if len(rows) > SHOWN:
        yield f"and {len(rows) - SHOWN:,} more vehicles"
    yield ""
    yield paragraph(
        "Ranked by 128 draws a pair. Before a pair is towed, `match` the two alone, or `check` the"
        " rig: a final verdict rests on 4,096."
    )
    yield f"Written: {done.folder}, SHA-256 {done.digest[:16]}; best of each vehicle: {found.best}"
