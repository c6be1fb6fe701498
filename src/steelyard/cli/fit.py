"""`steelyard fit`: which hitch parts, and how high."""

from collections.abc import Iterator, Sequence
from typing import Final

import click

from steelyard.cli import options
from steelyard.cli.belief import sharper
from steelyard.cli.options import Quantity, about, chosen_stage, load, print_json
from steelyard.cli.words import (
    bullets,
    do_next,
    exit_code,
    first_fitting,
    paragraph,
    shows_sources,
    table,
)
from steelyard.files.fit_report import fit_report
from steelyard.hitching.fit import TOLERANCE, fit
from steelyard.hitching.result import Fit, Step
from steelyard.hitching.sold_sizes import drops
from steelyard.quantity import QuantityError, System, to_border
from steelyard.words import hitching
from steelyard.words.bars import bar_lines
from steelyard.words.trade import said, units_of

SHOWN: Final = 2
"""Steps shown on either side of the chosen one."""


def _steps(
    _ctx: click.Context, _param: click.Parameter, raw: str | None
) -> tuple[float, ...] | None:
    try:
        return None if raw is None else drops(raw)
    except QuantityError as error:
        raise click.BadParameter(str(error)) from None


ROOMS: Final = 4
"""Ratings that are not held, told with their room."""
CUTS: Final = 3


@click.command("fit")
@options.rig_argument
@options.with_option
@options.stage_option
@click.option(
    "--restore",
    type=Quantity("share", lambda x: 0 <= x <= 1, "a share from 0 to 100 %"),
    metavar="SHARE",
    help="Share of the lost front load that bars shall give back; the rig's own when left "
    'out, else "50 %". Supposes bars where none are fitted.',
)
@click.option(
    "--tolerance",
    type=Quantity("length", lambda x: 0 < x <= 0.5, "a length above zero, at most 0.5 m"),
    default=TOLERANCE,
    metavar="LENGTH",
    help="A nose this far above or below level, over the distance from ball to axles, "
    "still counts as level; 1 in when left out, since mounts come in steps of an inch "
    "or two (common practice, no source).",
)
@click.option(
    "--steps",
    callback=_steps,
    metavar="LIST",
    help='Drops to choose from: fixed, adjustable, or "0 in,2 in,-2 in" (a rise below '
    "zero); adjustable with bars when left out, else fixed. Needs the receiver's "
    "height, or ball height and drop.",
)
@options.detail_options
@options.answer_options
def command(
    rig: str,
    ticket: str | None,
    stage: tuple[str, ...],
    restore: float | None,
    tolerance: float,
    steps: tuple[float, ...] | None,
    units: str | None,
    *,
    everything: bool,
    as_json_: bool,
) -> None:
    """Which drop, ball, jack and spring bars a RIG wants, and how high.

    Exit codes: 0 everything fits, 1 something doesn't (a size, a rating, the jack, no step that is
    level), 2 bad input, 3 something is tight or not known.
    """
    facts = load(rig)
    wanted = chosen_stage(facts, stage)
    estimate = sharper(facts, ticket).warned()
    with about(rig, 2):
        found = fit(facts, estimate, wanted, restore, tolerance, steps)
    if as_json_:
        print_json(fit_report(found))
    else:
        system = units_of(found.rig, units)
        cuts = (_first(found, system, cut) for cut in range(CUTS))
        click.echo("\n".join(_lines(found, system) if everything else first_fitting(cuts)))
    raise SystemExit(exit_code(found.verdict, refuses=found.refuses))


def _first(found: Fit, system: System, cut: int) -> Iterator[str]:
    """Verdict with all that does not fit or is not known, what to do, the steps about the best; of
    the rooms to ratings, which the verdict has by name, fewer by `cut`."""
    yield paragraph(hitching.answer(found, system))
    yield ""
    yield from do_next(tuple(hitching.fit_steps(found, system)))
    yield from _table(found, system, near=1)
    if found.bars is not None:
        yield paragraph(next(iter(bar_lines(found.bars, system))))
    pressing = [
        one for one in hitching.rating_lines(found, system) if not one.startswith("What governs")
    ]
    most = ROOMS - 2 * cut
    yield from bullets([one for one in pressing if not one.startswith("Not known")][:most])
    yield paragraph("With --all: sizes, ratings, jack, turning room, and what height does.")
    yield paragraph(" ".join(hitching.CAUTIONS))


def _lines(found: Fit, system: System) -> Iterator[str]:
    yield paragraph(hitching.answer(found, system))
    yield ""
    yield from _ball(found, system)
    yield said(f"What {hitching.an_inch(system)} of height does")
    yield from bullets([hitching.pitch_line(one, system) for one in found.pitch])
    yield ""
    yield "Sizes"
    rows: list[Sequence[str]] = [("what", "one", "other", "fits")]
    yield table([*rows, *(hitching.match_row(one, system) for one in found.matches)], left=(0, 3))
    yield from bullets(list(hitching.match_lines(found)))
    yield ""
    yield "Ratings"
    yield from bullets(list(hitching.rating_lines(found, system)))
    yield ""
    yield said("Tongue jack")
    yield from bullets(list(hitching.jack_lines(found.jack, system)))
    yield ""
    if found.bars is not None:
        yield "Spring bars"
        yield from bullets(list(bar_lines(found.bars, system)))
        yield ""
    yield "Turning and ramps"
    yield from bullets(list(hitching.clearance_lines(found.clearances, system)))
    yield ""
    yield from (paragraph(line) for line in hitching.CAUTIONS)


def _ball(found: Fit, system: System) -> Iterator[str]:
    """The steps about the chosen one, and what they rest on."""
    yield from _table(found, system, near=SHOWN)
    lines = hitching.ball_lines(found, system)
    yield from bullets(
        [one for one in lines if shows_sources() or not one.startswith("Steps looked at")]
    )
    yield ""


def _table(found: Fit, system: System, near: int) -> Iterator[str]:
    """The steps about the chosen one, and the one that is on now."""
    unit = "in" if system == "us" else "mm"
    stage = found.stages[found.height.worst_stage][1]
    several = len(found.stages) > 1
    where = f"laden at the worst stage (“{stage}”)" if several else f"at “{stage}”"
    yield paragraph(f"{hitching.seat_of(found).capitalize()} height, {where}")
    last = ("nose, stages", "least chance") if several else ("nose", "chance level")
    rows: list[Sequence[str]] = [("step", f"unladen, {unit}", "laden", *last)]
    yield table([*rows, *(_row(found, step, system) for step in _near(found, near))])
    yield paragraph(_judged(found, system))
    yield ""


def _judged(found: Fit, system: System) -> str:
    """At which height of the ball all but the heights is judged."""
    best = found.height.chosen
    at = (
        "as it is"
        if best.present
        else f"at {hitching.length(best.ball.value, system)}, the one chosen"
    )
    return f"All else is judged with the {hitching.seat_of(found)} {at}."


def _near(found: Fit, reach: int) -> Sequence[Step]:
    height = found.height
    sold = [step for step in height.steps if not step.present] or list(height.steps)
    at = sold.index(height.chosen) if height.chosen in sold else 0
    near = sold[max(at - reach, 0) : at + reach + 1]
    return [*near, *([height.present] if height.present and height.present not in near else [])]


def _row(found: Fit, step: Step, system: System) -> Sequence[str]:
    worst = found.height.worst_stage
    mark = (
        "as it is"
        if step.present
        else hitching.called(step, system, hitching.seat_of(found))
        .removeprefix("an ")
        .removeprefix("a ")
    )
    mark = ("> " if step is found.height.chosen else "  ") + mark
    return (
        mark,
        hitching.length(step.ball.value, system).split(" ")[0],
        hitching.length_spread(step.driven[worst], system),
        _noses(step, system),
        f"{100 * step.chance:z.0f} %",
    )


def _noses(step: Step, system: System) -> str:
    """How high the nose stands, `+0.2 to +0.9` from the stage where it is lowest to the highest."""
    digits = 1 if system == "us" else 0
    found = [to_border(one.value, "length", system) for one in step.nose]
    low, high = (f"{x:+z.{digits}f}" for x in (min(found), max(found)))
    return low if low == high else f"{low} to {high}"
