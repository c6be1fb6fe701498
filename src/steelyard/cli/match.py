"""`steelyard match`: vehicles with trailers, ranked, with reasons and what would help."""

import heapq
import json
import sys
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final

import click

from steelyard.cli.options import BAD_INPUT, fail, json_option, tight_option, units_option
from steelyard.cli.words import bullets, paragraph, table
from steelyard.files import FileFaultError
from steelyard.files.match_report import Table, match_report, never, pair_report, row
from steelyard.files.report import CAUTIONS
from steelyard.files.tables import Read, count, parts
from steelyard.matching import (
    DRAWS,
    OVER,
    WORDS,
    Matched,
    Remedy,
    Tow,
    keys,
    match,
    remedies,
    summary,
    tow_of,
    towed_of,
)
from steelyard.quantity import QuantityError, System, parse, percent, shown
from steelyard.words import MARKS
from steelyard.words.matched import USUAL_LOAD, reasons, remedy_line

RANKED: Final = 100_000
"""Pairs that are kept and written in order; more are written as they come."""
TOLD: Final = 5
LISTED: Final = 40


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
    """What came of it: pairs by their keys, best first, as far as they are kept."""

    pairs: list[tuple[tuple[Any, ...], Matched, int, int]] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    impossible: list[dict[str, Any]] = field(default_factory=list)
    done: int = 0
    faulty: bool = False


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
    with ExitStack() as stack:
        bar: Any = None
        if sys.stderr.isatty():
            bar = click.progressbar(length=whole, label="pairs", file=sys.stderr)
            stack.enter_context(bar)
        sink = None
        if target is not None and target.suffix.lower() != ".json":
            sink = stack.enter_context(Table(target))
        streamed = whole > RANKED
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
        found.pairs.sort(key=lambda pair: pair[0])
        if sink is not None and not streamed:
            sink.add([_cells(pair, place) for place, pair in enumerate(found.pairs, start=1)])
            sink.add(found.impossible)
    return found


def _tow(tow: Tow, asked: Asked) -> Tow:
    return tow if asked.speed is None else replace(tow, speed=asked.speed)


def _left_out(found: Answer, read: Read, seen: set[str]) -> None:
    found.faulty |= bool(read.faults)
    for line in (*read.faults, *read.remarks):
        if line not in seen:
            seen.add(line)
            found.left_out.append(line)


def _take(found: Answer, matched: Matched, sink: Table | None, *, keep: bool) -> None:
    """Add a part's pairs: all of them, or, of very many, the best while the rest are written."""
    pairs = list(_pairs(matched))
    found.done += len(pairs)
    found.impossible += list(never(matched)) if keep else []
    if sink is not None:
        sink.add([_cells(pair, None) for pair in pairs])
        sink.add(list(never(matched)))
    if keep:
        found.pairs += pairs
    else:
        found.pairs = heapq.nsmallest(LISTED, [*found.pairs, *pairs], key=lambda pair: pair[0])


def _pairs(matched: Matched) -> Iterator[tuple[tuple[Any, ...], Matched, int, int]]:
    for at, block in enumerate(matched.blocks):
        for number, key in enumerate(keys(summary(block, matched.tight)).tolist()):
            names = matched.tows[block.tow[number]].name, matched.toweds[block.towed[number]].name
            yield (*key, *names), matched, at, number


def _cells(pair: tuple[Any, Matched, int, int], place: int | None) -> dict[str, Any]:
    _, matched, at, number = pair
    block = matched.blocks[at]
    return row(matched, block, summary(block, matched.tight), number, place)


def _system(found: Answer, asked: str | None) -> System:
    if asked is None and found.pairs:
        _, matched, at, number = found.pairs[0]
        region = matched.tows[matched.blocks[at].tow[number]].region
        return "us" if region in (None, "north-america") else "metric"
    return "metric" if asked == "metric" else "us"


def _code(found: Answer) -> int:
    if found.faulty:
        return BAD_INPUT
    best = min((pair[0][0] for pair in found.pairs), default=float(OVER))
    return {0.0: 0, float(OVER): 1}.get(best, 3)


def _helped(pair: tuple[Any, Matched, int, int], asked: Asked) -> tuple[Remedy, ...]:
    """What would make a pair work, where something is exceeded."""
    _, matched, at, number = pair
    block = matched.blocks[at]
    if not asked.help or pair[0][0] != OVER:
        return ()
    tow, towed = matched.tows[block.tow[number]], matched.toweds[block.towed[number]]
    return remedies(tow, towed, matched.draws, matched.tight)


def _json(found: Answer, system: System, asked: Asked) -> dict[str, Any]:
    pairs = []
    for place, pair in enumerate(found.pairs, start=1):
        _, matched, at, number = pair
        block = matched.blocks[at]
        what = summary(block, matched.tight)
        why = tuple(reasons(block, what, number, system))
        helped = _helped(pair, asked) if place <= asked.best else ()
        pairs.append(pair_report(matched, block, what, number, place, why, helped))
    return match_report([*pairs, *found.impossible], found.left_out)


def _lines(found: Answer, system: System, asked: Asked, target: Path | None) -> Iterator[str]:
    total = found.done + len(found.impossible)
    yield f"{total:,} pair{'s' if total != 1 else ''} of vehicle and trailer, best first"
    yield ""
    yield _listed(found, system)
    for gone in found.impossible[:LISTED]:
        yield f"  -  {gone['vehicle']} + {gone['trailer']}: {gone['why_not']}"
    for place, pair in enumerate(found.pairs[: asked.best], start=1):
        yield ""
        yield from _told(pair, place, system, asked)
    yield ""
    yield paragraph(USUAL_LOAD)
    yield from (paragraph(line) for line in CAUTIONS)
    if target is not None:
        yield f"Written: {target}"


def _listed(found: Answer, system: System) -> str:
    unit = "lb" if system == "us" else "kg"
    rows = [("", "vehicle", "trailer", "usual load", "full", "share", f"ball, {unit}", "room")]
    for place, pair in enumerate(found.pairs[:LISTED], start=1):
        cells = _cells(pair, place)
        share, tongue, room = cells["tongue_share"], cells["tongue_kg"], cells["cargo_room_kg"]
        rows.append(
            (
                str(place),
                _short(cells["vehicle"]),
                _short(cells["trailer"]),
                MARKS[cells["standing"]],
                MARKS[cells["standing_full_rating"]][:1],
                "" if share is None else percent(share),
                "" if tongue is None else shown(tongue, "mass", system).split(" ")[0],
                "" if room is None else shown(room, "mass", system).split(" ")[0],
            )
        )
    return table(rows, left=(0, 1, 2, 3, 4), indent="")


def _short(name: str) -> str:
    return name if len(name) <= 15 else name[:14] + "…"


def _told(
    pair: tuple[Any, Matched, int, int], place: int, system: System, asked: Asked
) -> Iterator[str]:
    _, matched, at, number = pair
    block = matched.blocks[at]
    what = summary(block, matched.tight)
    tow, towed = matched.tows[block.tow[number]], matched.toweds[block.towed[number]]
    mark = MARKS[WORDS[int(what.standing[number])]]
    yield paragraph(f"{place}. {tow.name} with {towed.name}: {mark}", "   ")
    yield from bullets(list(reasons(block, what, number, system)))
    helped = [remedy_line(one) for one in _helped(pair, asked)]
    if helped:
        yield "   What would help, each worked out again:"
        yield from bullets(helped)
