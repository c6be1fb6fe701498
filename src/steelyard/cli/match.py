"""`steelyard match`: vehicles with trailers, ranked, with reasons and what would help."""

import heapq
import math
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, nullcontext
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path
from typing import Any, Final

import click

from steelyard.cli import BAD_INPUT
from steelyard.cli.match_words import COLUMNS_SAID, listed, told
from steelyard.cli.options import SPEED, answer_options, fail, tight_option
from steelyard.cli.words import paragraph
from steelyard.fault import sentence
from steelyard.files.candidate_rows import Which
from steelyard.files.candidate_tables import MORE_ROWS, ROWS, Read, count, parts
from steelyard.files.match_files import ENDINGS, Document, Said, Sheet, Table, write
from steelyard.files.match_report import never
from steelyard.files.report import CAUTIONS
from steelyard.files.scratch import scratch
from steelyard.files.table_rows import polars
from steelyard.files.writer import beside
from steelyard.matching.candidates import tow_of, towed_of
from steelyard.matching.match import Matched, match, matches
from steelyard.matching.pair_remedies import Remedy, remedies
from steelyard.matching.pair_rows import DRAWS
from steelyard.matching.pairing import paired
from steelyard.matching.passes import ENOUGH, there
from steelyard.matching.rank import LISTS, Pair, pairs, ranked
from steelyard.quantity import System
from steelyard.ratings.judge import WITHIN
from steelyard.scene import DRAWS as CHECKED
from steelyard.words.matched import HEADS, USUAL_LOAD, counted
from steelyard.words.trade import Trade, speaking, trade_of, units_of

TOLD: Final = 5
FAULTS: Final = 1000
"""Faults of files that are told one by one."""
LISTED: Final = 40
"""Pairs of a list that are kept and shown; all others are on disk only."""


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
    """What came of it: the best pairs of each list, and how many there are."""

    best: dict[str, list[Pair]] = field(default_factory=lambda: {name: [] for name in LISTS})
    left_out: list[str] = field(default_factory=list)
    impossible: list[dict[str, Any]] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)
    faulty: bool = False
    more: Counter[str] = field(default_factory=Counter)
    seen: set[str] = field(default_factory=set)

    @property
    def pairs(self) -> list[Pair]:
        """The best of all lists."""
        return [pair for name in LISTS for pair in self.best[name]]


@click.command("match")
@click.argument("vehicles", type=click.Path(path_type=str))
@click.argument("trailers", type=click.Path(path_type=str))
@click.option(
    "--speed",
    type=SPEED,
    metavar="SPEED",
    help="Speed asked about, for sway and tyres; the vehicle's own when left out, else "
    "sway at 100 km/h.",
)
@click.option(
    "--out",
    metavar="FILE",
    help="Also write every pair, best first, into a .csv, .parquet or .json file, in "
    "kilograms, over an older one. JSON takes some 30 kB a pair; Parquet needs the "
    "extra `tables`.",
)
@click.option(
    "--best",
    type=click.IntRange(0, LISTED),
    default=TOLD,
    help="How many pairs are told in full, up to 40; 5 when left out.",
)
@click.option(
    "--no-help", "plain", is_flag=True, help="Don't look for what would make a pair work."
)
@click.option(
    "--draws",
    type=click.IntRange(16, 4096),
    default=DRAWS,
    help="Draws of each pair; 128 when left out.",
)
@click.option(
    "--parts",
    "folder",
    metavar="DIR",
    help="Many pairs: Parquet parts of up to 25 vehicles with 4,000 trailers, the best of "
    "each vehicle in best.parquet. The same command goes on where it stopped.",
)
@click.option(
    "--workers", type=click.IntRange(1), default=1, help="With --parts: processes on this machine."
)
@click.option(
    "--on", metavar="ADDRESS", help="With --parts: a Dask cluster instead, such as tcp://host:8786."
)
@answer_options
@tight_option
def command(
    vehicles: str,
    trailers: str,
    speed: float | None,
    out: str | None,
    best: int,
    draws: int,
    folder: str | None,
    workers: int,
    on: str | None,
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
    if folder is not None:
        from steelyard.cli.match_parts import in_parts
        from steelyard.fleet.match import Match

        paths = {"vehicles": Path(vehicles), "trailers": Path(trailers)}
        in_parts(Match(**paths, tight=tight, draws=draws, speed=speed), Path(folder), workers, on)
    asked = Asked(draws=draws, tight=tight, speed=speed, best=best, help=not plain)
    target = None if out is None else Path(out)
    ending = "" if target is None else target.suffix.lower()
    if target is not None and ending not in ENDINGS:
        fail(f"--out: expected a file ending in .csv, .parquet or .json, found {target.name!r}")
    with ExitStack() as stack:
        part = None if target is None else stack.enter_context(beside(target))
        sheets = _sheets(stack, (vehicles, trailers), ending, units, printed=as_json_)
        found = _run(vehicles, trailers, sheets, asked)
        left_out = (*found.left_out, *_more(found))
        for line in left_out:
            click.echo(line, err=True)
        system = _system(found, units)
        helped = [_helped(pair, asked) for _, pair in ranked(found.pairs)[:best]]
        said = Said(system=system, helped=helped, left_out=left_out)
        if part is not None:
            with _bar("rows", found.counts.total()) as done:
                write(part, _tallied(sheets[0].text(said), done), ending)
        if as_json_ and ending != ".json":
            for some in sheets[-1].text(said):
                click.echo(some, nl=False)
    if not as_json_:
        first = min(found.pairs, key=lambda pair: pair.key, default=None)
        with nullcontext() if first is None else speaking(_trade(first)):
            click.echo("\n".join(_lines(found, system, helped, target, tight)))
    raise SystemExit(_code(found))


def _sheets(
    stack: ExitStack, paths: tuple[str, str], ending: str, units: str | None, *, printed: bool
) -> list[Sheet]:
    """What pairs are put aside in: for the file, if one is asked for, then for what is printed."""
    if ending == ".parquet":
        polars()
    as_json = ending == ".json" or printed
    document = Document(systems=_systems(paths, units)) if as_json else Table()
    forms = [document if ending == ".json" else Table()] if ending else []
    if printed and ending != ".json":
        forms.append(document)
    if not forms:
        return []
    link = stack.enter_context(scratch())
    return [Sheet(link, form, f"sheet{number}") for number, form in enumerate(forms)]


def _systems(paths: tuple[str, str], asked: str | None) -> tuple[System, ...]:
    """The systems that words may be asked for in: the best pair's country decides, later."""
    found: set[System] = set()
    whose: tuple[Which, ...] = ("vehicle", "trailer")
    for path, which in zip(paths, whose, strict=True):
        rigs = (rig for some in parts(path, which) for rig in some.rigs.kinds())
        found |= {units_of(rig, asked) for rig in rigs if rig.region or which == "vehicle"}
    return tuple(sorted(found)) or ("us",)


def _system(found: Answer, asked: str | None) -> System:
    best = min(found.pairs, key=lambda pair: pair.key, default=None)
    return "us" if best is None else units_of(paired(best.tow, best.towed), asked)


def _run(vehicles: str, trailers: str, sheets: Sequence[Sheet], asked: Asked) -> Answer:
    found = Answer()
    whole = (count(vehicles) or 1) * (count(trailers) or 1)
    many = there() and whole >= ENOUGH
    size = MORE_ROWS if many else ROWS
    with _bar("pairs", whole) as done:
        for number, some in enumerate(parts(vehicles, "vehicle")):
            tows = some.rigs.each(lambda rig, name: tow_of(rig, name, asked.speed))
            _left_out(found, some)
            for others in parts(trailers, "trailer", size):
                if number == 0:
                    _left_out(found, others)
                toweds = others.rigs.each(towed_of)
                if not tows or not toweds:
                    continue
                for matched in matches(tows, toweds, asked.draws, asked.tight, done, many=many):
                    _take(found, matched, sheets)
    return found


@contextmanager
def _bar(label: str, length: int) -> Iterator[Callable[[int], None]]:
    """A bar of progress where somebody watches."""
    if not sys.stderr.isatty():
        yield lambda more: None
        return
    step = max(1, length // 500)
    with click.progressbar(
        length=length, label=label, file=sys.stderr, update_min_steps=step
    ) as bar:
        yield bar.update


def _tallied(text: Iterable[str], done: Callable[[int], None]) -> Iterator[str]:
    for some in text:
        yield some
        done(1)


def _left_out(found: Answer, read: Read) -> None:
    """Note each fault and remark once; beyond the first thousand they are only counted."""
    found.faulty |= bool(read.faults)
    for kind, lines in (("faults", map(sentence, read.faults)), ("names told apart", read.remarks)):
        for line in lines:
            if len(found.left_out) >= FAULTS:
                found.more[kind] += 1
            elif line not in found.seen:
                found.seen.add(line)
                found.left_out.append(line)


def _more(found: Answer) -> list[str]:
    return [f"and more {kind}: {number:,}" for kind, number in found.more.items()]


def _take(found: Answer, matched: Matched, sheets: Iterable[Sheet]) -> None:
    """Put a block's pairs aside, and keep each list's best and how many there are."""
    some = list(pairs(matched))
    for sheet in sheets:
        sheet.add(some, matched)
    found.counts.update(pair.list for pair in some)
    found.counts["does-not-fit"] += len(matched.impossible)
    room = LISTED - len(found.impossible)
    found.impossible += islice(never(matched), room)
    for name in LISTS:
        best = found.best[name]
        due = best[-1].key if len(best) == LISTED else (math.inf,)
        better = [pair for pair in some if pair.list == name and pair.key < due]
        if better:
            kept = heapq.nsmallest(LISTED, [*best, *better], key=lambda pair: pair.key)
            found.best[name] = [
                pair.alone(matched.tight) if pair.of.blocks else pair for pair in kept
            ]


def _code(found: Answer) -> int:
    if found.faulty:
        return BAD_INPUT
    standings = {int(pair.found.standing[pair.number]) for pair in found.pairs}
    passed = any(pair.list != "does-not-fit" for pair in found.pairs)
    return 0 if WITHIN in standings else 3 if passed else 1


def _helped(pair: Pair, asked: Asked) -> tuple[Remedy, ...]:
    """What would make a pair work, where something is exceeded."""
    if not asked.help or pair.list != "does-not-fit":
        return ()
    return remedies(pair.tow, pair.towed, asked.draws, asked.tight)


def _redrawn(pair: Pair, tight: float) -> Pair:
    """A pair at the place it was ranked to, from as many draws as a `check`."""
    (again,) = pairs(match([pair.tow], [pair.towed], CHECKED, tight))
    return replace(again, key=pair.key)


def _trade(pair: Pair) -> Trade:
    return trade_of(paired(pair.tow, pair.towed))


def _lines(
    found: Answer,
    system: System,
    helped: Sequence[Sequence[Remedy]],
    target: Path | None,
    tight: float,
) -> Iterator[str]:
    order = ranked(found.pairs)
    yield counted(found.counts)
    for name in LISTS:
        some = [(place, pair) for place, pair in order if pair.list == name]
        gone = found.impossible if name == LISTS[-1] else []
        if some or gone:
            yield ""
            yield paragraph(HEADS[name])
        if some:
            yield listed(some, system)
        for one in gone:
            yield paragraph(
                f"{one['vehicle']} + {one['trailer']}: {one['why_not']}", "    ", " -  "
            )
        if found.counts[name] > len(some) + len(gone):
            yield f"and {found.counts[name] - len(some) - len(gone):,} more"
    if order:
        yield ""
        yield paragraph(f"{COLUMNS_SAID} {'lb' if system == 'us' else 'kg'}.")
    for (place, pair), helps in zip(order, helped, strict=False):
        with speaking(_trade(pair)):
            lines = list(told(_redrawn(pair, tight), place, system, helps))
        yield from ("", *lines)
    yield ""
    yield paragraph(USUAL_LOAD)
    yield from (paragraph(line) for line in CAUTIONS)
    if target is not None:
        yield f"Written: {target}"
