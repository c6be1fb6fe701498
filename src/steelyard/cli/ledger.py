"""`steelyard ledger`: what each thing does to the ball, and what each place can still take."""

from collections.abc import Iterator

import click

from steelyard.assessment import Assessment, Headroom, StageResult, headroom, on_axles
from steelyard.cli import options
from steelyard.cli.check import run, sharpened
from steelyard.cli.options import print_json, whole_report
from steelyard.cli.words import Row, clipped, exit_code, paragraph, table
from steelyard.files.plain import plain
from steelyard.files.report import CAUTIONS, headroom_rows
from steelyard.quantity import System, percent, to_border
from steelyard.statics.ledger import Ledger
from steelyard.words.assessed import number, question_lines, system_of, weight
from steelyard.words.trade import said


@click.command("ledger")
@options.rig_argument
@options.stage_option
@options.answer_options
@options.judging_options
def command(
    rig: str,
    stage: tuple[str, ...],
    tight: float,
    units: str | None,
    ticket: str | None,
    *,
    as_json_: bool,
) -> None:
    """The seesaw of a RIG file: signed pounds on the ball, levers, and headroom."""
    checked = run(rig, stage, tight, ticket)
    found = checked.found
    shown = found.stages if stage else (found.worst_stage,)
    if as_json_:
        whole = whole_report(found, checked.before)
        keys = {one.key for one in shown}
        for entry in whole["stages"]:
            if entry["key"] in keys:
                entry["on_axles"] = plain(on_axles(found, entry["key"]))
                entry["headroom"] = headroom_rows(headroom(found, entry["key"]))
        print_json(whole)
    else:
        system = system_of(found, units)
        for line in sharpened(checked, system):
            click.echo(line)
        click.echo("\n".join(_lines(found, shown, system)))
    raise SystemExit(exit_code(found.verdict, refuses=found.refuses))


def _lines(found: Assessment, stages: tuple[StageResult, ...], system: System) -> Iterator[str]:
    yield found.rig.name
    yield from map(paragraph, question_lines(found.questions))
    for stage in stages:
        yield ""
        yield said(f"{stage.title.capitalize()}: what each thing does to the ball, bars off")
        yield from _ledger(stage.ledger, system)
        if stage.tongue.restoration is not None:
            yield said("As driven, the bars take part of it off the vehicle:")
            yield from _driven(stage.driven, system)
        yield said("What each thing puts on the axles, as driven")
        yield from _on_axles(found, stage, system)
        yield said(
            f"What one more {'pound' if system == 'us' else 'kilogram'} does, and what"
            " each place can still take"
        )
        yield from _headroom(headroom(found, stage.key), found, system)
    if len(stages) < len(found.stages):
        others = ", ".join(one.key for one in found.stages if one not in stages)
        yield paragraph(f"This is the stage with the least room. Others, by --stage: {others}.")
    yield from (paragraph(line) for line in CAUTIONS)


def _ledger(ledger: Ledger, system: System) -> Iterator[str]:
    unit, length = ("lb", "in") if system == "us" else ("kg", "mm")
    rows = [("thing", f"weight, {unit}", f"behind it, {length}", "lever", f"on it, {unit}")]
    entries = sorted(ledger.entries, key=lambda entry: -entry.tongue_kg)
    for entry in entries:
        if abs(entry.tongue_kg) < 0.05 and entry.body != "trailer":
            continue
        weighs = entry.kg == entry.kg
        ours = entry.body == "trailer"
        rows.append(
            (
                entry.name,
                f"{to_border(entry.kg, 'mass', system):z,.0f}" if weighs else "",
                f"{to_border(entry.station, 'length', system):z,.0f}" if ours else "",
                f"{entry.lever:+z.3f}" if weighs else "",
                f"{to_border(entry.tongue_kg, 'mass', system):+z,.1f}",
            )
        )
    rows.append(("tongue weight", "", "", "", number(ledger.total_kg, system)))
    yield table(rows)
    yield ""


def _driven(ledger: Ledger, system: System) -> Iterator[str]:
    pull = next(
        (entry.tongue_kg for entry in ledger.entries if "bars" in entry.name and not entry.body),
        0.0,
    )
    yield paragraph(
        f"{weight(pull, system)} by the bars' pull, so the vehicle carries "
        f"{weight(ledger.total_kg, system)}.",
        "  ",
    )
    yield ""


def _on_axles(found: Assessment, stage: StageResult, system: System) -> Iterator[str]:
    unit = "lb" if system == "us" else "kg"
    rows: list[Row] = [("thing", f"weight, {unit}", "front", "rear", "trailer")]
    for row in on_axles(found, stage.key):
        if round(to_border(row.kg, "mass", system)) != 0:
            weight = f"{to_border(row.kg, 'mass', system):z,.0f}"
            put = (row.front_kg, row.rear_kg, row.trailer_axles_kg)
            rows.append((row.name, weight, *(number(kg, system) for kg in put)))
    yield table(rows)
    yield ""


def _headroom(rows: tuple[Headroom, ...], found: Assessment, system: System) -> Iterator[str]:
    unit = "lb" if system == "us" else "kg"
    head = ("place", "ball", "front", "rear", "trailer", f"takes, {unit}", "stopped by")
    cells = [head]
    for row in rows:
        effect = row.effect
        cells.append(
            (
                f"{row.spot.kind} {row.spot.name}",
                f"{effect.tongue:+z.2f}",
                f"{effect.front:+z.2f}",
                f"{effect.rear:+z.2f}",
                f"{sum(effect.trailer_axles):+z.2f}",
                f"{to_border(row.kg, 'mass', system):z,.0f}",
                clipped(row.stopped_by, 16)
                if row.stopped_by
                else ("full" if row.spot.kind == "tank" else "nothing known"),
            )
        )
    yield table(cells, left=(0, 6))
    yield paragraph(
        f"Ball, front, rear and trailer say what one more {unit} there adds to each. “Takes” holds"
        f" every known limit with all but {percent(found.tight)} of the spread; 0 means that limit"
        " has no room to spare as it is.",
        "  ",
    )
    yield ""
