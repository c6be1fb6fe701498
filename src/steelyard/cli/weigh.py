"""`steelyard weigh`: readings into a state one can trust, and what to weigh next."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import click

from steelyard.assessment import Assessment, assess
from steelyard.cli import options
from steelyard.cli.belief import reconciled, weighed
from steelyard.cli.logging_weighings import keep
from steelyard.cli.options import about, drawn, fail, load, print_json
from steelyard.cli.progress import working
from steelyard.cli.words import before_and_after, bullets, paragraph, squeezed, table
from steelyard.estimate import Estimate
from steelyard.files.plain import plain
from steelyard.files.report import CAUTIONS, report, weighing_report
from steelyard.files.tickets import typed_ticket
from steelyard.quantity import Z95, System, with_spread
from steelyard.rig import Rig
from steelyard.scene import NoBalanceError
from steelyard.weighing.advise import Advice, next_readings
from steelyard.weighing.observe import unobservable
from steelyard.weighing.options import GEAR
from steelyard.weighing.reconcile import Judged, Reconciled
from steelyard.weighing.spans import spanning
from steelyard.weighing.weighed_state import as_weighed
from steelyard.words.assessed import chance, share_spread, system_of, weight_spread
from steelyard.words.weighed import (
    advice_line,
    agreement,
    file_line,
    heading,
    impossible,
    out_lines,
    read_number,
    rests_on,
    spanning_line,
    step_lines,
    suspect_lines,
)

NEXT_SHOWN = 3
OFF = 2.0
"""sd from which a reading is shown in the first answer."""


@click.command("weigh")
@options.rig_argument
@click.argument("ticket", required=False, type=click.Path(path_type=str))
@click.option(
    "--front", metavar="WEIGHT", help="In place of a ticket: the front axle's weight, coupled."
)
@click.option("--rear", metavar="WEIGHT", help="The rear axle's weight, coupled.")
@click.option("--trailer", metavar="WEIGHT", help="The weight on the trailer's axles, coupled.")
@click.option("--tongue", metavar="WEIGHT", help="A scale under the coupler, the trailer alone.")
@click.option(
    "--bars",
    type=click.Choice(["on", "off"]),
    help="Whether the spring bars were hooked up when it was weighed coupled.",
)
@click.option("--sure", is_flag=True, help="Typed readings are right, though asked about.")
@click.option("--next", "ask_next", is_flag=True, help="What to weigh next, best first.")
@click.option(
    "--gear",
    multiple=True,
    type=click.Choice(GEAR),
    help="What you have at hand for --next; may be given several times. Default: all.",
)
@click.option(
    "--log",
    "keep_it",
    is_flag=True,
    help="Keep the weighing in the logbook, with the ticket and the rig file as they are.",
)
@click.option("--logbook", "book_path", metavar="FILE", help="Which logbook; default as for log.")
@options.detail_options
@options.figure_option
@options.answer_options
def command(
    rig: str,
    ticket: str | None,
    bars: str | None,
    gear: tuple[str, ...],
    figure: Path | None,
    units: str | None,
    book_path: str | None,
    *,
    sure: bool,
    ask_next: bool,
    keep_it: bool,
    everything: bool,
    as_json_: bool,
    **weights: str | None,
) -> None:
    """Reconcile a TICKET (TOML or CSV) of readings with a RIG file.

    Exit codes: 0 the readings agree, 1 they do not with each other, 2 bad
    input, 3 not with the rig file, or whose ticket it is, is asked.
    """
    facts = load(rig)
    typed = {word: weight for word, weight in weights.items() if weight is not None}
    if ticket is None and not typed and not ask_next:
        fail("weigh: expected a ticket, or --next to ask what to weigh first; found neither")
    if ticket is None and not typed and (keep_it or figure is not None):
        fail("weigh: expected a ticket for --log and --figure, found none")
    if ticket is not None and (typed or bars or sure):
        fail("weigh: expected a ticket or readings typed, found both")
    with working(4) as step:
        found, questions, ticket_text = _weighed(facts, ticket, typed, bars, sure=sure)
        step()
        with about(rig):
            before = assess(facts)
        after = _after(facts, found) if found else before
        step()
        advice = next_readings(facts, after.estimate, gear or GEAR) if ask_next else ()
    for question in questions:
        click.echo(question, err=True)
    if found is not None and figure is not None:
        from steelyard.drawing.weighing import weighing_picture

        drawn(figure, weighing_picture(found, before, after, system_of(before, units)))
    if found is not None and keep_it:
        rig_text = Path(rig).read_text("utf-8")
        number, where = keep(found, rig_text, ticket_text, book_path)
        click.echo(f"Kept as number {number} in {where}.", err=True)
    if as_json_:
        print_json(_report(found, before, after, advice))
    else:
        system = system_of(before, units)
        told = _lines(facts, found, before, after, advice, system, everything=everything)
        click.echo("\n".join(told if everything else squeezed(told)))
    disagrees = found is not None and not found.agrees
    asks = questions or (found is not None and not found.file.holds)
    raise SystemExit(1 if disagrees else 3 if asks else 0)


def _weighed(
    rig: Rig, ticket: str | None, typed: Mapping[str, str], bars: str | None, *, sure: bool
) -> tuple[Reconciled | None, tuple[str, ...], str]:
    """The ticket reconciled, what is asked about it, and its text."""
    if ticket is not None:
        return *weighed(rig, ticket), Path(ticket).read_text("utf-8")
    if not typed:
        return None, (), ""
    readings, text = typed_ticket(typed, bars, sure=sure)
    return *reconciled(rig, readings, "readings"), text


def _after(rig: Rig, found: Reconciled) -> Assessment:
    """The rig with the weighing; readings that would tip it over cannot all be right."""
    try:
        return assess(rig, estimate=found.posterior)
    except (NoBalanceError, ArithmeticError):
        fail(impossible(found))


def _lines(
    rig: Rig,
    found: Reconciled | None,
    before: Assessment,
    after: Assessment,
    advice: tuple[Advice, ...],
    system: System,
    *,
    everything: bool,
) -> Iterator[str]:
    """The answer: do readings agree, what they say; each reading where one is off or all are due;
    what is left open by count unless it is due."""
    yield rig.name
    if found is not None:
        yield from _agreement(found, system)
        yield from _answer(found, before, after, system)
        yield from _readings(found, system, everything=everything)
        cannot = unobservable(found)
        if cannot and not everything:
            yield paragraph(f"With --all: every reading, and what they leave open ({len(cannot)}).")
        elif cannot:
            yield "What is left open"
            yield from bullets(cannot)
            yield ""
    if advice:
        yield from _advice(advice)
    yield paragraph(" ".join(CAUTIONS))


def _agreement(found: Reconciled, system: System) -> Iterator[str]:
    yield heading(found)
    lines = [
        agreement(found, system),
        file_line(found, system),
        rests_on(found),
        *step_lines(found, system),
    ]
    if found.suspect is not None and not found.slips:
        lines += suspect_lines(found.suspect, system)
    lines += out_lines(found)
    yield from (paragraph(line) for line in lines if line)
    yield ""


def _readings(found: Reconciled, system: System, *, everything: bool) -> Iterator[str]:
    """Every reading beside what all the others say, or those more than two sd off."""
    off = [one for one in found.readings if everything or abs(one.standardised) > OFF]
    if not off:
        return
    rows = [("reading", "read", "expected", "±", "off by")]
    rows += [
        (
            one.name,
            read_number(one.value, one, system),
            read_number(one.value - one.error, one, system),
            read_number(Z95 * one.error_sd, one, system),
            f"{one.standardised:+z.1f} sd",
        )
        for one in off
    ]
    yield table(rows)
    yield ""


def _answer(
    found: Reconciled, before: Assessment, after: Assessment, system: System
) -> Iterator[str]:
    yield before_and_after(before, after, system)
    state = as_weighed(found)
    lead = "As weighed" if found.agrees and not found.slips else "Until that is clear"
    yield paragraph(
        f"{lead}: whole trailer {_kg(state.trailer_kg, state.trailer_sd_kg, system)}, ball"
        f" {_kg(state.tongue_kg, state.tongue_sd_kg, system)} with bars off, share"
        f" {100 * state.share:z.1f} ± {196 * state.share_sd:z.1f} %."
    )
    yield from (paragraph(spanning_line(one, system)) for one in spanning(found, after))
    if found.without is not None and found.suspect is not None:
        yield paragraph(_without(found.weighed.rig, found.suspect, found.without, system), "  ")
    yield ""


def _without(rig: Rig, suspect: Judged, rest: Estimate, system: System) -> str:
    """The answer with a suspect left out."""
    try:
        left = assess(rig, estimate=rest).stages[0].tongue
    except NoBalanceError:
        return f"Without “{suspect.name}” no rig could stand like this."
    return (
        f"Without “{suspect.name}” the share there is {share_spread(left.share)} and the ball"
        f" carries {weight_spread(left.weight_kg, system)}."
    )


def _kg(value: float, sd: float, system: System) -> str:
    return with_spread(value, sd, "mass", system)


def _advice(advice: tuple[Advice, ...]) -> Iterator[str]:
    yield "Weigh next, best first"
    yield paragraph(advice_line(advice[0]), "  ")
    rows = [("reading", "share", "other side")]
    rows += [
        (one.what, f"± {196 * one.share_sd_then:z.2f}", chance(one.wrong_then))
        for one in advice[:NEXT_SHOWN]
    ]
    yield table(rows)
    yield ""


def _report(
    found: Reconciled | None, before: Assessment, after: Assessment, advice: tuple[Advice, ...]
) -> dict[str, Any]:
    return {
        **(weighing_report(found, unobservable(found)) if found else {}),
        "before": report(before),
        "after": report(after) if found else None,
        "settle_nothing": [
            {"reading": one.reading.name, "limit": one.standing.name}
            for one in (spanning(found, after) if found else ())
        ],
        "next": plain(advice),
    }
