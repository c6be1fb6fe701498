"""`steelyard sweep`: any numbers of a rig varied between two ends, and what moves the answer."""

from collections.abc import Iterator
from pathlib import Path
from time import monotonic
from typing import Final

import click

from steelyard.cli import options
from steelyard.cli.options import about, drawn, load
from steelyard.cli.progress import telling
from steelyard.cli.words import SOURCES, paragraph, table
from steelyard.fault import FaultError
from steelyard.files.table_rows import polars
from steelyard.fleet.engines import KEPT, engine
from steelyard.fleet.parts import Finished, finish
from steelyard.fleet.sweep import GIVEN, PART, Sweep, planned
from steelyard.rig import Rig
from steelyard.sweeps.designs import BYS, By, Sensitivity, scipy_stats, sensitivity
from steelyard.sweeps.ranges import read_range
from steelyard.words.unstated import titled
from steelyard.words.weighed import counted

INTERRUPTED = 130


@click.command("sweep")
@options.rig_argument
@click.option(
    "--vary",
    multiple=True,
    required=True,
    metavar="PATH=LOW..HIGH",
    help="A number by its path in the rig file, stated there or not; may be given several "
    "times. PATH,PATH=LOW..HIGH ties several.",
)
@click.option(
    "--by",
    type=click.Choice(BYS),
    default="sobol",
    help="A grid, Latin hypercubes (one a part), or a scrambled Sobol sequence, the default.",
)
@click.option(
    "--n",
    type=click.IntRange(1),
    default=1024,
    help="Variants in all; of a grid, values of each range. How many that makes is said "
    "before it starts; 1024 when left out.",
)
@click.option(
    "--give",
    default=",".join(GIVEN),
    metavar="NAMES",
    help="What is told, with commas between: trailer, vehicle, tongue, share, front, rear, "
    "axles, bars, ball, room, damping, wags, or a limit by its name, for the room to "
    "it.",
)
@click.option(
    "--spreads",
    type=click.IntRange(0, 4096),
    default=0,
    help="Also a column `sd_NAME` beside each `best_NAME`, from so many draws a variant.",
)
@options.stage_option
@click.option(
    "--out",
    required=True,
    metavar="DIR",
    help="Folder for part-NNNNNN.parquet, a row a variant and stage, and job.json, which "
    "says of what.",
)
@click.option("--workers", type=click.IntRange(1), default=1, help="Processes on this machine.")
@click.option(
    "--on",
    metavar="ADDRESS",
    help="A Dask cluster instead, such as tcp://host:8786, started by `dask scheduler` and "
    "`dask worker`.",
)
@options.figure_option
def command(
    rig: str,
    vary: tuple[str, ...],
    by: By,
    n: int,
    give: str,
    spreads: int,
    stage: tuple[str, ...],
    out: str,
    workers: int,
    on: str | None,
    figure: Path | None,
) -> None:
    """Sweep numbers of a RIG: best estimates of every variant as Parquet, and what moves them.

    A folder that is there goes on where it stopped. Exit codes: 0 done, 2 bad input, 130 stopped.
    """
    polars()
    read = load(rig)
    with about(rig):
        job = _planned(read, vary, by, n, give, stage, spreads)
    moves = _moves(by, figure)
    click.echo(_said(job))
    start = monotonic()
    try:
        with engine(workers, on) as (executor, at_once):
            done = finish(job, Path(out), executor, at_once, telling(PART, "variants"))
    except KeyboardInterrupt:
        click.echo(f"Stopped: {KEPT}.", err=True)
        raise SystemExit(INTERRUPTED) from None
    seconds = monotonic() - start
    moved = sensitivity(job.question) if moves else None
    click.get_current_context().meta[SOURCES] = True  # ranges by the keys they were asked by
    click.echo("\n".join(_lines(job, done, moved, seconds)))
    if figure is not None and moved is not None:
        from steelyard.drawing.moved import moved_picture

        drawn(figure, moved_picture(moved, job.question.figures, *_titles(job)))
        click.echo(f"Drawn: {figure}")


def _planned(
    rig: Rig, vary: tuple[str, ...], by: By, n: int, give: str, stage: tuple[str, ...], draws: int
) -> Sweep:
    names = [name.strip() for name in give.split(",") if name.strip()]
    return planned(rig, [read_range(x) for x in vary], by, n, names, stage or None, draws)


def _said(job: Sweep) -> str:
    ranges = counted(len(job.question.ranges), "range")
    each = f" ({job.n} values each of {ranges})" if job.by == "grid" else ""
    return f"Variants: {job.variants:,}{each}; stages: {len(job.stages)}; parts: {job.count:,}."


def _moves(by: By, figure: Path | None) -> bool:
    """Whether it can be told what moves the answer; FaultError where that, or the points, want a
    library that is not there: before any part is worked out."""
    try:
        scipy_stats()
    except FaultError:
        if by != "grid" or figure is not None:
            raise
        return False
    return True


def _titles(job: Sweep) -> tuple[list[str], list[str]]:
    """Ranges and stages as a person calls them."""
    stages = job.question.rig.stages
    named = [(key in stages and stages[key].title) or key for key in job.stages]
    return [titled(one.name) for one in job.question.ranges], named


def _lines(job: Sweep, done: Finished, moved: Sensitivity | None, seconds: float) -> Iterator[str]:
    made = (len(done.parts) - done.found) * PART
    if done.found:
        yield f"{done.found:,} parts were there already."
    if made:
        rate = min(made, job.variants) / seconds
        yield f"{seconds:.1f} s, {rate:,.0f} variants a second."
    yield ""
    yield from _moving(job, moved) if moved is not None else [WANTED]
    yield f"Written: {done.folder}, SHA-256 {done.digest[:16]}"


WANTED: Final = "What moves the answer is told with SciPy: install steelyard[sweep]."


def _moving(job: Sweep, moved: Sensitivity) -> Iterator[str]:
    """What moves each figure, at the stage where it varies most."""
    ranges, stages = [one.name for one in job.question.ranges], job.stages
    for number, one in enumerate(job.question.figures):
        stage = int(moved.sd[number].argmax())
        rows = sorted(
            zip(moved.total[number, stage], moved.first[number, stage], ranges, strict=True),
            key=lambda row: -row[0],
        )
        yield f"{one.title}; {stages[stage]}"
        head = ("range", "by itself", "with all")
        cells = [(name, _percent(first), _percent(total)) for total, first, name in rows]
        yield table([head, *cells], left=(0,), indent="   ")
    yield ""
    yield paragraph(
        "Parts of the variance over the ranges swept, at the stage where each figure varies most."
        " Every number is a best estimate: a rig is judged by `check`, which knows the spreads."
    )


def _percent(part: float) -> str:
    return f"{100 * part:z.0f} %" if part == part else "?"
