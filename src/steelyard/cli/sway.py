"""`steelyard sway`: how far from losing it, and what moves the edge."""

from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import Final, NamedTuple, NoReturn

import click

from steelyard.assessment.sway_advice import Advice, sway_advice
from steelyard.cli import options
from steelyard.cli.belief import sharper
from steelyard.cli.options import (
    SPEED,
    Quantity,
    about,
    chosen_stage,
    drawn,
    fail,
    load,
    print_json,
)
from steelyard.cli.recording_words import alone, compared, hear, heeding, sharper_by
from steelyard.cli.sway_runs import (
    MANOEUVRES,
    disturbance,
    further,
    one_run,
    traced,
)
from steelyard.cli.sway_words import curve, moved, step_lines, weighed
from steelyard.cli.words import do_next, exit_code, paragraph, shows_sources
from steelyard.estimate import Estimate
from steelyard.files.felt_line import with_felt
from steelyard.files.recording_report import recording_report
from steelyard.files.sway_report import sway_report
from steelyard.quantity import System
from steelyard.ratings import TIGHT, doubted, questions, refuses
from steelyard.rig import Rig
from steelyard.swaying.chart import CargoChart, cargo_chart
from steelyard.swaying.narrow import Narrowings, narrowings
from steelyard.swaying.result import StageSway
from steelyard.swaying.stage_sway import RATIO, SPEEDS, sway
from steelyard.swaying.time.inputs import Disturbance
from steelyard.swaying.time.simulate import Trace
from steelyard.words.felt import ASKED, felt_lines
from steelyard.words.fitted import SOURCES, fitted_line, fitted_lines, narrowed_line, narrowed_lines
from steelyard.words.sway import headline, sway_sentences, swing_verdict
from steelyard.words.sway import speed as said_speed
from steelyard.words.trade import units_of

ROAD: Final = (
    "Never try this out on a public road. If it sways: off the accelerator, hold the wheel"
    " straight, no hard braking by the vehicle; then stop and load differently."
)
SLOWER: Final = (
    "Slower is safer than any number here. Ratings on the labels and local law come first; an"
    " estimate is not a test: ask a licensed professional."
)
BEYOND: Final = 145 / 3.6
"""m/s: a speed asked about above this is remarked on."""
TOO_FAST: Final = "{} is beyond any road speed with a trailer: is it what you meant?"
CAUTIONS: Final = (ROAD, SLOWER)


RATIOS: Final = Quantity(
    "share", lambda x: 0 < x < 1, "a damping ratio between 0 and 1", bare="of 1"
)


def _speeds(ctx: click.Context, param: click.Parameter, raw: str | None) -> tuple[float, ...]:
    if raw is None:
        return ()
    return tuple(SPEED.convert(one, param, ctx) for one in raw.split(","))


@click.command("sway")
@options.shipped_option
@click.argument("rig", type=click.Path(path_type=str), required=False)
@options.with_option
@options.stage_option
@click.option(
    "--speed",
    type=SPEED,
    metavar="SPEED",
    help="Speed asked about; the rig's own when left out, else 100 km/h. One above 145 "
    "km/h (90 mph) is remarked on.",
)
@click.option(
    "--speeds",
    callback=_speeds,
    metavar="LIST",
    help='Speeds listed, with commas between: "55 mph,65 mph"; 12 to 40 m/s when left out.',
)
@click.option(
    "--ratio",
    type=RATIOS,
    default=RATIO,
    show_default=True,
    help="Damping ratio asked for, between 0 and 1; 0.1 when left out (common practice, "
    "from memory).",
)
@click.option(
    "--gust",
    "wind",
    type=SPEED,
    metavar="WIND",
    help='Run a side gust of this speed ("12 m/s"), one second long, over vehicle and trailer.',
)
@click.option(
    "--manoeuvre",
    type=click.Choice(list(MANOEUVRES)),
    help="Run this instead of a gust: a passing truck (1,500 N at most on the trailer, "
    "assumed), a lane change (1.1° of road-wheel steer), an impulse of steer (1.7° "
    "for 0.4 s, then held) or braking (0.3 g).",
)
@click.option(
    "--runs",
    type=click.IntRange(0, 100_000),
    default=0,
    help="Run it for so many draws too: how far the swing goes and how many fold up.",
)
@click.option(
    "--friction",
    type=click.FloatRange(0, 5000),
    default=0.0,
    help="Dry friction at the coupling in every run, N·m; that of hitch.sway_control when "
    "left out.",
)
@click.option(
    "--recording",
    metavar="FILE",
    help="Damping from a CSV log of yaw rate (or articulation) and speed; makes the rig's "
    "answer sharper, or stands alone without a RIG.",
)
@click.option(
    "--felt",
    multiple=True,
    metavar="TEXT",
    help="What was felt on the road and came by itself, with the load of --stage (the "
    'first when left out): "settled in 2 to 3 swings at 62 mph", "steady for 1 h at '
    '60 mph", "swayed at 55 mph"; may be given several times.',
)
@options.detail_options
@options.figure_option
@options.answer_options
def command(
    rig: str | None,
    ticket: str | None,
    stage: tuple[str, ...],
    speed: float | None,
    speeds: tuple[float, ...],
    ratio: float,
    wind: float | None,
    manoeuvre: str | None,
    runs: int,
    friction: float,
    recording: str | None,
    felt: tuple[str, ...],
    figure: Path | None,
    units: str | None,
    *,
    everything: bool,
    as_json_: bool,
) -> None:
    """How fast a swing of a RIG dies out, from what speed it doesn't, and what moves that.

    Exit codes: 0 damping above the ratio asked for at the speed asked about (or a recording
    without a RIG), 1 below it or a swing in a recording grew, 2 bad input, 3 perhaps below it,
    or a value that it rests on is asked about.
    """
    if rig is None:
        _without_rig(recording, figure, units, as_json=as_json_)
    facts, wanted = _asked_of(rig, stage, felt)
    what = _disturbance(wind, manoeuvre, runs)
    estimate = sharper(facts, ticket).warned()
    heard = hear(recording) if recording else None
    told = sharper_by(facts, heard, wanted, estimate) if heard else None
    sharp = told.after if told else estimate
    asked = partial(sway, facts, ratio=ratio, speed=speed)
    with about(rig, 4) as step:
        model = asked(sharp, wanted, speeds=speeds or SPEEDS)
        before = asked(estimate, wanted, speeds=()) if told else model
        found = heeding(model, before, heard, told)
        step()
        at, worst = _worst(found)
        advice = sway_advice(facts, sharp, worst.key, ratio=ratio, speed=worst.chosen_speed)
        step()
        narrow = narrowings(facts, sharp, worst.key, worst.chosen_speed)
        bare = asked(None, (worst.key,), speeds=())[0] if ticket else None
    trace = one_run(facts, sharp, worst, what, friction) if what else None
    system, doubt = units_of(facts, units), doubted("road.sway", questions(facts))
    if figure is not None:
        _draw(figure, found, worst, _chart(facts, sharp, worst), trace, facts.name, system)
    if as_json_:
        recorded = {"recording": recording_report(heard, told)} if heard else {}
        print_json({**sway_report(facts, found, advice, narrow, trace), **recorded})
    else:
        weighing = weighed(bare, before[at], system)
        shown = Shown(facts, found, worst, advice, narrow, doubt, trace, weighing, system)
        _say((_lines if everything else _first)(shown))
        _say(further(facts, sharp, worst, what, friction, runs, system))
        if heard and told:
            _say(compared(heard, told, before[at], model[at], worst, system))
    raise SystemExit(1 if heard and heard.grows else _exit(worst, doubt))


def _without_rig(
    recording: str | None, figure: Path | None, units: str | None, *, as_json: bool
) -> NoReturn:
    if recording is None:
        fail("expected a RIG file or --recording FILE, found neither")
    alone(recording, figure, "metric" if units == "metric" else "us", as_json=as_json)


def _asked_of(
    path: str, stage: tuple[str, ...], felt: tuple[str, ...]
) -> tuple[Rig, tuple[str, ...] | None]:
    """The rig with what was felt of it, and the stages asked about."""
    facts = load(path)
    wanted = chosen_stage(facts, stage)
    return with_felt(facts, felt, stage[0] if stage else None), wanted


def _say(lines: Iterable[str]) -> None:
    for line in lines:
        click.echo(line)


def _worst(found: tuple[StageSway, ...]) -> tuple[int, StageSway]:
    """The stage most likely to have too little damping, else with the least."""
    return max(
        enumerate(found), key=lambda one: (one[1].chance_below, -float(one[1].at_damping.value))
    )


def _exit(worst: StageSway, doubt: str | None) -> int:
    found = swing_verdict(worst, doubt)
    return exit_code(found, refuses=refuses(found, worst.chance_below))


def _disturbance(wind: float | None, manoeuvre: str | None, runs: int) -> Disturbance | None:
    if wind is not None and manoeuvre is not None:
        fail("--manoeuvre: expected one disturbance, found --gust too")
    found = disturbance(wind, manoeuvre)
    if runs and found is None:
        fail("--runs: expected something to run (--gust or --manoeuvre), found neither")
    return found


def _chart(rig: Rig, estimate: Estimate | None, worst: StageSway) -> CargoChart | None:
    """Damping over the cargo's place, where the trailer has cargo to move."""
    try:
        return cargo_chart(rig, estimate, worst.key)
    except ValueError:
        return None


def _draw(
    figure: Path,
    found: tuple[StageSway, ...],
    worst: StageSway,
    chart: CargoChart | None,
    trace: Trace | None,
    name: str,
    system: System,
) -> None:
    from steelyard.drawing.sway import sway_picture

    drawn(figure, sway_picture(name, found, worst, system, chart, trace))


class Shown(NamedTuple):
    """What is told of a rig."""

    rig: Rig
    found: tuple[StageSway, ...]
    worst: StageSway
    advice: tuple[Advice, ...]
    narrow: Narrowings
    doubt: str | None
    trace: Trace | None
    weighing: Iterator[str]
    system: System


def _first(shown: Shown) -> Iterator[str]:
    """The first answer: how it settles, what was felt, what to do, and what is folded."""
    worst, system = shown.worst, shown.system
    yield from _opened(shown, headline(worst, system, shown.doubt))
    if len(shown.found) > 1:
        yield paragraph(f"Of {len(shown.found)} stages this one settles worst.")
    yield paragraph(narrowed_line(shown.narrow, system))
    yield from _felt(shown)
    if fitted_line(shown.rig):
        yield paragraph(fitted_line(shown.rig))
    yield ""
    yield from do_next((*_grows(worst, system), *_slides(shown), *step_lines(shown.advice, system)))
    yield from _looked_at(shown)
    yield paragraph("With --all: damping from speed to speed, and every move that helps.")
    yield from (paragraph(line) for line in CAUTIONS)


def _grows(worst: StageSway, system: System) -> Iterator[str]:
    """Where a swing likely grows at the speed asked about, no move of a few pounds comes first."""
    if worst.at_damping.value < 0:
        at = said_speed(worst.chosen_speed, system)
        yield f"Do not tow it loaded so at {at}: a swing grows. Load it anew, then look again."


def _slides(shown: Shown) -> Iterator[str]:
    """What may stand anywhere along its deck comes first, where too little damping may be."""
    if shown.worst.chance_below >= TIGHT:
        for name, item in shown.rig.items.items():
            if item.slides:
                yield f"Slide {name} where it stands best: `steelyard stow` says how far."


def _lines(shown: Shown) -> Iterator[str]:
    worst, system = shown.worst, shown.system
    yield from _opened(shown, sway_sentences(worst, system, shown.doubt))
    if len(shown.found) > 1:
        others = ", ".join(one.title for one in shown.found if one is not worst)
        yield paragraph(f"This is the stage that settles worst; the others: {others}.")
    yield from _felt(shown)
    yield ""
    yield from curve(worst, system)
    yield from _looked_at(shown)
    yield from moved(shown.advice, worst, system)
    yield from (paragraph(line) for line in narrowed_lines(shown.narrow, system))
    yield ""
    yield from (paragraph(line) for line in fitted_lines(shown.rig, worst, system))
    if fitted_line(shown.rig) and shows_sources():
        yield paragraph(SOURCES)
    yield ""
    yield from (paragraph(line) for line in CAUTIONS)


def _opened(shown: Shown, sentences: Iterator[str]) -> Iterator[str]:
    yield shown.rig.name
    if shown.worst.chosen_speed > BEYOND:
        yield paragraph(TOO_FAST.format(said_speed(shown.worst.chosen_speed, shown.system)))
    yield from (paragraph(line) for line in sentences)


def _felt(shown: Shown) -> Iterator[str]:
    """What was felt and what it does; asked about where nothing is told."""
    lines = list(felt_lines(shown.rig, shown.found, shown.system))
    yield from (paragraph(line) for line in lines or [ASKED])


def _looked_at(shown: Shown) -> Iterator[str]:
    """What a weighing changed, and what the run did."""
    yield from shown.weighing
    if shown.trace is not None:
        yield from traced(shown.trace, shown.system)
