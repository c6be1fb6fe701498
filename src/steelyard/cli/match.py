"""`steelyard match`: vehicles with trailers, ranked, with reasons and what would help."""

import heapq
import json
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final

import click

from steelyard.cli.match_words import COLUMNS_SAID, listed, told
from steelyard.cli.options import BAD_INPUT, fail, json_option, tight_option, units_option
from steelyard.cli.words import paragraph
from steelyard.files import FileFaultError
from steelyard.files.match_report import Table, match_report, never, pair_report, row
from steelyard.files.report import CAUTIONS
from steelyard.files.tables import Read, count, parts
from steelyard.matching import (
    DRAWS,
    LISTS,
    OVER,
    WITHIN,
    Matched,
    Pair,
    Remedy,
    Tow,
    match,
    pairs,
    ranked,
    remedies,
    tow_of,
    towed_of,
)
from steelyard.quantity import QuantityError, System, parse
from steelyard.words.matched import HEADS, USUAL_LOAD, counted, reasons

RANKED: Final = 50_000
"""Pairs that are kept, 8 kB each, and written in order; more are written as they come."""
TOLD: Final = 5
FAULTS: Final = 1000
"""Faults of files that are told one by one."""
LISTED: Final = 40
"""Pairs of a list that are shown, and kept of very many."""


@dataclass(slots=True)
class Asked:
    """What was asked of the command."""

    draws: int
    tight: float
    speed: float | None
    best: int
    help: bool


@dataclass(slots=True)
class Answer:
    """What came of it: pairs list by list, best first, as far as they are kept."""

    pairs: list[Pair] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    impossible: list[dict[str, Any]] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)
    faulty: bool = False
    more: int = 0


def _speed(ctx: click.Context, param: click.Parameter, raw: str | None) -> float | None:
    del ctx, param
    try:
        found = None if raw is None else parse(raw, "speed").value
    except QuantityError as error:
        raise click.BadParameter(str(error)) from None
    if found is not None and found <= 0:
        raise click.BadParameter(f"expected a speed above zero, found {raw!r}")
    return found


@click.command("match")
@click.argument("vehicles", type=click.Path(path_type=str))
@click.argument("trailers", type=click.Path(path_type=str))
@click.option("--speed", callback=_speed, metavar="SPEED", help="Speed asked about.")
@click.option("--out", metavar="FILE", help="Also write every pair: .csv, .parquet or .json.")
@click.option(
    "--best", type=click.IntRange(0, LISTED), default=TOLD, help="Pairs told in full; default 5."
)
@click.option("--no-help", "plain", is_flag=True, help="Don't look for what would make it work.")
@click.option(
    "--draws", type=click.IntRange(16, 4096), default=DRAWS, help="Draws a pair; default 128."
)
@json_option
@units_option
@tight_option
def command(
    vehicles: str,
    trailers: str,
    speed: float | None,
    out: str | None,
    best: int,
    draws: int,
    units: str | None,
    tight: float,
    *,
    plain: bool,
    as_json_: bool,
) -> None:
    """Which of the VEHICLES and TRAILERS belong together: rig files, folders of them, or tables.

    Exit codes: 0 some pair is within, 1 every pair exceeds something, 2 bad input (what can be read
    is answered all the same), 3 nothing is known to be within, but something not exceeded.
    """
    asked = Asked(draws=draws, tight=tight, speed=speed, best=best, help=not plain)
    target = None if out is None else Path(out)
    if target is not None and target.suffix.lower() not in (".csv", ".parquet", ".json"):
        fail(f"--out: expected a file ending in .csv, .parquet or .json, found {target.name!r}")
    try:
        found = _run(vehicles, trailers, target, asked)
    except FileFaultError as error:
        fail(str(error))
    if found.more:
        found.left_out.append(f"and more of the kind: {found.more:,}")
    for line in found.left_out:
        click.echo(line, err=True)
    system = _system(found, units)
    if as_json_ or (target is not None and target.suffix.lower() == ".json"):
        text = json.dumps(_json(found, system, asked), indent=1, ensure_ascii=False)
        _give(text, target if target is not None and target.suffix.lower() == ".json" else None)
    if not as_json_:
        click.echo("\n".join(_lines(found, system, asked, target)))
    raise SystemExit(_code(found))


def _give(text: str, target: Path | None) -> None:
    if target is None:
        click.echo(text)
        return
    try:
        target.write_text(text + "\n", encoding="utf-8")
    except OSError as error:
        fail(f"{target}: expected a folder to write in, found none ({error.strerror})")


def _run(vehicles: str, trailers: str, target: Path | None, asked: Asked) -> Answer:
    """Every part of the vehicles with every part of the trailers."""
    found, seen = Answer(), set[str]()
    whole = (count(vehicles) or 1) * (count(trailers) or 1)
    streamed = whole > RANKED
    if streamed and target is not None and target.suffix.lower() == ".json":
        why = f"expected .csv or .parquet for more than {RANKED:,} pairs, found {target.name}"
        raise FileFaultError([f"--out: {why}"])
    with ExitStack() as stack:
        bar: Any = None
        if sys.stderr.isatty():
            bar = click.progressbar(length=whole, label="pairs", file=sys.stderr)
            stack.enter_context(bar)
        sink = None
        if target is not None and target.suffix.lower() != ".json":
            sink = stack.enter_context(Table(target))
        for some in parts(vehicles, "vehicle"):
            tows = [_tow(tow_of(rig, name), asked) for name, rig in some.rigs.items()]
            _left_out(found, some, seen)
            for others in parts(trailers, "trailer"):
                _left_out(found, others, seen)
                toweds = [towed_of(rig, name) for name, rig in others.rigs.items()]
                if not tows or not toweds:
                    continue
                told = None if bar is None else bar.update
                matched = match(tows, toweds, asked.draws, asked.tight, told)
                _take(found, matched, sink if streamed else None, keep=not streamed)
        if sink is not None and not streamed:
            sink.add(row(pair, place) for place, pair in ranked(found.pairs))
            sink.add(found.impossible)
    return found


def _tow(tow: Tow, asked: Asked) -> Tow:
    return tow if asked.speed is None else replace(tow, speed=asked.speed)


def _left_out(found: Answer, read: Read, seen: set[str]) -> None:
    """Note each fault and remark once; beyond the first thousand they are only counted."""
    found.faulty |= bool(read.faults)
    for line in (*read.faults, *read.remarks):
        if len(found.left_out) >= FAULTS:
            found.more += 1
        elif line not in seen:
            seen.add(line)
            found.left_out.append(line)


def _take(found: Answer, matched: Matched, sink: Table | None, *, keep: bool) -> None:
    """Add a part's pairs: all of them, or, of very many, each list's best; the rest are written."""
    some = list(pairs(matched))
    found.counts.update(pair.list for pair in some)
    found.counts["does-not-fit"] += len(matched.impossible)
    found.impossible += list(never(matched)) if len(found.impossible) < RANKED else []
    if sink is not None:
        sink.add(row(pair, None) for pair in some)
        sink.add(list(never(matched)))
    if keep:
        found.pairs += some
        return
    best = []
    for name in LISTS:
        listed = (pair for pair in (*found.pairs, *some) if pair.list == name)
        best += heapq.nsmallest(LISTED, listed, key=lambda pair: pair.key)
    found.pairs = [pair.alone(matched.tight) if len(pair.block.tow) > 1 else pair for pair in best]


def _system(found: Answer, asked: str | None) -> System:
    if asked is None and found.pairs:
        region = min(found.pairs, key=lambda pair: pair.key).tow.region
        return "us" if region in (None, "north-america") else "metric"
    return "metric" if asked == "metric" else "us"


def _code(found: Answer) -> int:
    if found.faulty:
        return BAD_INPUT
    standings = {int(pair.found.standing[pair.number]) for pair in found.pairs}
    return 0 if WITHIN in standings else 3 if standings - {OVER} else 1


def _helped(pair: Pair, asked: Asked) -> tuple[Remedy, ...]:
    """What would make a pair work, where something is exceeded."""
    if not asked.help or pair.list != "does-not-fit":
        return ()
    return remedies(pair.tow, pair.towed, asked.draws, asked.tight)


def _json(found: Answer, system: System, asked: Asked) -> dict[str, Any]:
    told = []
    for order, (place, pair) in enumerate(ranked(found.pairs)):
        why = tuple(reasons(pair.block, pair.found, pair.number, system))
        helped = _helped(pair, asked) if order < asked.best else ()
        told.append(pair_report(pair, place, why, helped))
    if sum(found.counts.values()) > len(told) + len(found.impossible):
        found.left_out.append(
            f"{sum(found.counts.values()):,} pairs: the best {LISTED} a list are here"
        )
    return match_report([*told, *found.impossible], found.left_out)


def _lines(found: Answer, system: System, asked: Asked, target: Path | None) -> Iterator[str]:
    order = ranked(found.pairs)
    yield counted(found.counts)
    for name in LISTS:
        some = [(place, pair) for place, pair in order if pair.list == name]
        gone = found.impossible if name == LISTS[-1] else []
        if some or gone:
            yield ""
            yield paragraph(HEADS[name])
        if some:
            yield listed(some[:LISTED], system)
        if found.counts[name] - len(gone) > LISTED:
            yield f"and {found.counts[name] - len(gone) - LISTED:,} more"
        for one in gone[:LISTED]:
            yield paragraph(
                f"{one['vehicle']} + {one['trailer']}: {one['why_not']}", "    ", " -  "
            )
    yield ""
    yield paragraph(f"{COLUMNS_SAID} {'lb' if system == 'us' else 'kg'}.")
    for place, pair in order[: asked.best]:
        yield ""
        yield from told(pair, place, system, _helped(pair, asked))
    yield ""
    yield paragraph(USUAL_LOAD)
    yield from (paragraph(line) for line in CAUTIONS)
    if target is not None:
        yield f"Written: {target}"
