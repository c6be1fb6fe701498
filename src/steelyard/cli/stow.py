"""`steelyard stow`: where everything should ride, what stays home, in which order to move."""

import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from time import monotonic
from types import FrameType

import click

from steelyard.cli import options
from steelyard.cli.belief import sharper
from steelyard.cli.options import Quantity, about, drawn, fail, load, print_json
from steelyard.cli.stow_words import (
    CUTS,
    footing_lines,
    footing_rows,
    listed,
    placing,
    print_starter,
    put,
    stow_lines,
    stow_report,
    unplaced,
)
from steelyard.cli.words import exit_code, first_fitting, paragraph
from steelyard.files.reader import read_placing
from steelyard.quantity import FillLevel, Level, System
from steelyard.rig import Rig
from steelyard.stowing.program import Effort, Watch
from steelyard.stowing.question import Wish
from steelyard.stowing.station import Footing, footings
from steelyard.stowing.stow import Stowed, stow
from steelyard.stowing.water import askable, level_of
from steelyard.typical.load import STARTERS
from steelyard.words.assessed import system_of
from steelyard.words.trade import units_of

LEFT = 1
FREE = (
    'This tank of fresh water may carry what suits, from LEAST (such as "10 gal") up; told for '
    "each filling. What is used on the way stays used; may be given several times."
)


@click.command("stow")
@options.rig_argument
@click.option(
    "--keep",
    multiple=True,
    metavar="ITEM",
    help="This item stays where it is; may be given several times.",
)
@click.option(
    "--target",
    type=Quantity("share", lambda x: 0 < x < 0.5, "a share above 0 and under 50 %"),
    metavar="SHARE",
    help="Tongue share aimed at; the middle of the band when left out.",
)
@click.option("--free-water", "free", multiple=True, metavar="TANK[=LEAST]", help=FREE)
@click.option(
    "--near",
    type=Quantity("mass", lambda x: x > 0, "a weight above 0"),
    metavar="WEIGHT",
    help="How near to the best is near enough on the ball; 2 lb when left out.",
)
@click.option(
    "--seconds",
    type=float,
    default=10.0,
    help="About how long to look, as an ordinary machine does; 10 when left out. Counted "
    "in steps, so that the same rig has the same plan on a slower one.",
)
@click.option(
    "--slide",
    metavar="ITEM",
    help="Only this: where along its deck the item should stand, and how far it may be off.",
)
@click.option(
    "--manifest",
    metavar="FILE",
    help="Add the items of a .csv or .xlsx list: columns item and weight, and where known "
    "place, length, width, height, importance. What has no place gets one.",
)
@click.option(
    "--starter",
    type=click.Choice(STARTERS),
    is_eager=True,
    expose_value=False,
    callback=lambda ctx, _, kind: print_starter(ctx, kind),
    help="Print a list to start from, as CSV, and end; no RIG is read.",
)
@click.option("--moves", type=int, metavar="N", help="Move no more than N things.")
@click.option(
    "--allow-sway",
    "sway",
    is_flag=True,
    help="A plan may make too little damping likelier than now; how much it does is said first.",
)
@click.option(
    "--write",
    "save",
    is_flag=True,
    help="Save the plan into the RIG file, with a backup; with --slide the item's best station.",
)
@options.detail_options
@options.figure_option
@options.answer_options
@options.judging_options
def command(
    rig: str,
    keep: tuple[str, ...],
    target: float | None,
    free: tuple[str, ...],
    near: float | None,
    seconds: float,
    slide: str | None,
    manifest: str | None,
    moves: int | None,
    figure: Path | None,
    units: str | None,
    tight: float,
    ticket: str | None,
    *,
    sway: bool,
    save: bool,
    everything: bool,
    as_json_: bool,
) -> None:
    """Where everything of a RIG file should ride, at every stage of its trip.

    Exit codes: 0 everything has a place within every known limit, 1 something stays home or nothing
    fits, 2 bad input, 3 a plan, with limits that stowing cannot mend.
    """
    given, bare = placing(rig)
    facts = load(rig, given)
    new = listed(facts, manifest) if manifest else None
    facts = new[0] if new else facts
    belief = sharper(facts, ticket)
    estimate, doubts = belief.estimate, belief.words
    if slide is not None:
        if figure or (save and manifest):
            fail("--slide: expected no --figure, nor --write with --manifest; found one")
        with about(rig):
            stands = footings(facts, slide, estimate, target=target, confidence=tight)
        _tell_slide(facts, stands, Path(rig) if save else None, units, as_json_=as_json_)
        return
    if moves is not None and moves < 1:
        fail(f"--moves: expected a number of moves from 1 up, found {moves}")
    wish = _wish(keep, target, near, seconds, tight, _free(facts, free))
    wish = replace(wish, moves=moves, sway=sway)
    with _watching(seconds, quiet=as_json_) as watch, about(rig):
        found = stow(facts, estimate, wish, watch)
    system = system_of(found.before, units)
    if figure is not None:
        from steelyard.drawing.stow import stow_picture

        drawn(figure, stow_picture(found, system))
    saved = _save(Path(rig), found, new[1] if new else None) if save else None
    for line in put(found, (*bare, *(unplaced(new[1]) if new else ()))):
        click.echo(line, err=as_json_)
    _tell(found, system, saved, doubts, everything=everything, as_json_=as_json_)
    raise SystemExit(_code(found, doubts))


def _wish(
    keep: tuple[str, ...],
    aim: float | None,
    near: float | None,
    seconds: float,
    tight: float,
    water: dict[str, float],
) -> Wish:
    if not 0.0 < seconds < float("inf"):
        fail(f"--seconds: expected a number of seconds above 0, found {seconds:g}")
    effort = Effort(seconds=seconds) if near is None else Effort(near=near, seconds=seconds)
    return Wish(keep=keep, target=aim, confidence=tight, effort=effort, water=water)


def _free(rig: Rig, free: tuple[str, ...]) -> dict[str, float]:
    """Tanks whose level may be chosen, each with the share it must be filled to at least."""
    from pydantic import TypeAdapter, ValidationError

    reader: TypeAdapter[Level] = TypeAdapter(FillLevel)
    found = {}
    for one in free:
        name, mark, text = (part.strip() for part in one.partition("="))
        askable(rig, {name: 0.0})
        try:
            level = reader.validate_python(text) if mark else None
        except ValidationError as error:
            fail(f"--free-water: {error.errors()[0]['msg']}")
        found[name] = 0.0 if level is None else _share(rig, name, level, text)
    return found


def _share(rig: Rig, tank: str, level: Level, text: str) -> float:
    if level.share is not None:
        return level.share.value
    assert level.volume is not None
    capacity = rig.trailer.tanks[tank].capacity
    if level.volume.value > capacity.value:
        fail(f"--free-water: expected at most {capacity.text!r} in {tank}, found {text!r}")
    return level.volume.value / capacity.value


def _code(found: Stowed, doubts: tuple[str, ...]) -> int:
    if found.found is None or found.left:
        return LEFT
    packed = found.found.assessment
    return exit_code(packed.verdict, refuses=packed.refuses, doubts=doubts)


@contextmanager
def _watching(seconds: float, *, quiet: bool) -> Iterator[Watch]:
    """Progress on a terminal, with the time left on an ordinary machine; Ctrl-C ends the search
    with the best so far."""
    asked, begun = [False], monotonic()
    shows = sys.stderr.isatty() and not quiet

    def stop(number: int, _frame: FrameType | None) -> None:
        if asked[0]:
            signal.default_int_handler(number, None)
        asked[0] = True
        click.echo("\nStopping with the best plan so far; once more to give up.", err=True)

    def tell(name: str, best: float, bound: float) -> None:
        if shows:
            left = max(begun + seconds - monotonic(), 0.0)
            line = f"  {name}: {best:z,.1f} found, at least {bound:z,.1f}; {left:.0f} s left"
            click.echo(f"\r{line:<78}", nl=False, err=True)

    before = signal.signal(signal.SIGINT, stop)
    try:
        yield Watch(stopped=lambda: asked[0], tell=tell)
    finally:
        signal.signal(signal.SIGINT, before)
        if shows:
            click.echo("\r" + " " * 78 + "\r", nl=False, err=True)


def _tell_slide(
    rig: Rig,
    found: tuple[Footing, ...],
    path: Path | None,
    units: str | None,
    *,
    as_json_: bool,
) -> None:
    system = units_of(rig, units)
    if as_json_:
        print_json({"slide": footing_rows(found)})
    else:
        click.echo("\n".join(footing_lines(rig, found, system)))
    good = next((one for one in found if one.low is not None), None)
    if path is not None and good is not None:
        from steelyard.files.edits import Edits, edit_rig, station_text

        stations = {good.item: station_text(rig, good.item, good.best)}
        saved = edit_rig(path, Edits(places={}, stations=stations))
        click.echo(f"Saved; the file as it was is {saved.name}.", err=as_json_)
    raise SystemExit(LEFT if good is None else 0)


def _save(path: Path, found: Stowed, new: object) -> Path | None:
    """Write the plan into the rig file; nothing where there is no plan.

    Levels that the file leaves to the trip's flows stay unsaid.
    """
    from steelyard.files.edits import Edits, edit_rig, station_text
    from steelyard.files.manifest import Manifest

    if found.found is None:
        return None
    plan = found.found.plan
    tables = dict(new.items) if isinstance(new, Manifest) else {}
    stated = read_placing(path)[0].stages
    added = {n: {**t, "place": plan[n]} for n, t in tables.items() if n in plan}
    return edit_rig(
        path,
        Edits(
            levels={
                (stage, run.tank): level_of(share).stated.text
                for run in found.water
                for stage, share in zip(run.stages, run.levels, strict=True)
                if run.tank in stated[stage].tanks or stage == run.stages[0]
            },
            stations={
                one.item: station_text(found.rig, one.item, one.to)
                for one in found.slides
                if one.item in plan and one.item not in tables
            },
            places={n: place for n, place in plan.items() if n not in tables},
            gone=[name for name in found.left if name not in tables],
            new=added,
        ),
    )


def _tell(
    found: Stowed,
    system: System,
    saved: Path | None,
    doubts: tuple[str, ...],
    *,
    everything: bool,
    as_json_: bool,
) -> None:
    if as_json_:
        print_json({**stow_report(found), "weighing_doubts": list(doubts)})
        return
    asked = [*map(paragraph, doubts)]
    cuts = range(1 if everything else CUTS)
    whole = [[*asked, *stow_lines(found, system, everything=everything, cut=c)] for c in cuts]
    click.echo("\n".join(whole[0] if everything else first_fitting(whole)))
    if saved is not None:
        click.echo(f"Saved; the file as it was is {saved.name}.")
