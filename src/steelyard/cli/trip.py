"""`steelyard trip`: every stage of a trip side by side, and what flows between them."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from steelyard.assessment import Assessment, StageResult
from steelyard.cli import options
from steelyard.cli.check import run, sharpened
from steelyard.cli.options import drawn, print_json, whole_report
from steelyard.cli.progress import working
from steelyard.cli.words import Row, clipped, exit_code, paragraph, table
from steelyard.files.plain import plain
from steelyard.files.report import CAUTIONS
from steelyard.quantity import System, percent, shown
from steelyard.quantity.constants import LITRE
from steelyard.rig import Rig
from steelyard.swaying.result import StageSway
from steelyard.swaying.stage_sway import sway
from steelyard.travel import Flow, flows, unfollowed
from steelyard.words import assessed
from steelyard.words.next_steps import by_a_part


@click.command("trip")
@options.rig_argument
@options.figure_option
@options.answer_options
@options.judging_options
def command(
    rig: str,
    tight: float,
    units: str | None,
    ticket: str | None,
    figure: Path | None,
    *,
    as_json_: bool,
) -> None:
    """Each stage of a RIG file's trip: share, ball, axles, status; the worst one named."""
    checked = run(rig, (), tight, ticket)
    found = checked.found
    system = assessed.system_of(found, units)
    with working(3, 2):
        swings, why = swinging(found)
    if figure is not None:
        from steelyard.drawing.trip import trip_picture

        drawn(figure, trip_picture(found, system, swings))
    if as_json_:
        whole = whole_report(found, checked.before)
        whole["sway"] = [sway_row(stage) for stage in swings]
        whole["flows"] = plain(flows(found.rig))
        whole["worst_stage"] = found.worst_stage.key
        print_json(whole)
    else:
        for line in (*sharpened(checked, system), *_lines(found, system, swings, why)):
            click.echo(line)
    raise SystemExit(exit_code(found.verdict, refuses=found.refuses))


def swinging(found: Assessment) -> tuple[tuple[StageSway, ...], str]:
    """How each stage sways, as `sway` says; nothing and a sentence where the model cannot say."""
    try:
        return sway(found.rig, found.estimate, speeds=()), ""
    except ValueError as error:
        return (), str(error)


def sway_row(stage: StageSway) -> dict[str, Any]:
    """One stage's sway for programs; null where wagging never starts."""
    band, onset = stage.at_damping, stage.wagging.value
    return {
        "stage": stage.key,
        "speed_mps": stage.chosen_speed,
        "damping": float(band.value),
        "best_damping": float(band.best),
        "damping_low": float(band.low),
        "damping_high": float(band.high),
        "wagging_mps": plain(onset),
    }


def _lines(
    found: Assessment, system: System, swings: tuple[StageSway, ...], why: str
) -> Iterator[str]:
    yield found.rig.name
    yield paragraph(assessed.verdict_line(found, system))
    yield from map(paragraph, assessed.question_lines(found.questions))
    missing = assessed.missing_line(found, system)
    yield from [paragraph(missing)] if missing else []
    yield ""
    yield from stage_table(found, system, swings)
    if why:
        yield paragraph(f"Sway is not known for this rig: {why}.", "  ")
    elif swings:
        at = shown(swings[0].chosen_speed, "speed", system)
        yield paragraph(
            f"damping: ratio of the least damped swing at {at}; `steelyard sway` tells its spread,"
            " and from what speed it grows.",
            "  ",
        )
    yield ""
    yield from _tanks(found, system)
    worst, decider = found.worst_stage, found.worst_stage.deciding
    if decider is not None:
        words = f"The worst stage is “{worst.title}”: {decider.title},"
        words += f" {assessed.room(decider, system)}."
        if found.rig.items and not by_a_part(decider) and decider.name not in worst.unlisted:
            words += " `steelyard stow` looks for a better place for what rides."
        yield paragraph(words)
        yield ""
    yield from (paragraph(line) for line in CAUTIONS)


def stage_table(
    found: Assessment, system: System, swings: tuple[StageSway, ...] = ()
) -> Iterator[str]:
    """Share, ball, axles, damping and standing of every stage."""
    unit = "lb" if system == "us" else "kg"
    damping = {stage.key: f"{float(stage.at_damping.value):z.2f}" for stage in swings}
    head = ("stage", "share", f"ball, {unit}", "front", "rear", "trailer", "damping", "status")
    rows: list[Row] = [head]
    rows += [_stage_row(one, system, damping.get(one.key, "-")) for one in found.stages]
    yield table(rows, left=(0, 7), indent="")


def _stage_row(stage: StageResult, system: System, damping: str) -> Row:
    load = {axle.name: axle.weight_kg.value for axle in stage.axles}
    trailer = sum(value for name, value in load.items() if name.startswith("trailer"))
    return (
        clipped(stage.title, 12),
        assessed.share_spread(stage.tongue.share),
        assessed.number(stage.tongue.weight_kg.value, system),
        assessed.number(load["front"], system),
        assessed.number(load["rear"], system),
        assessed.number(trailer, system),
        damping,
        assessed.MARKS[stage.verdict],
    )


def _tanks(found: Assessment, system: System) -> Iterator[str]:
    """How full every tank is at each stage, and what flowed to make it so."""
    rig = found.rig
    names = [*rig.trailer.tanks, *(() if rig.vehicle.electric else ("fuel",))]
    if not rig.stages or not names:
        return
    values = found.estimate.at_mean()
    rows: list[Row] = [("tank levels", *names)]
    for stage in found.stages:
        levels = []
        for name in names:
            kind = "vehicle_tanks" if name == "fuel" else "tanks"
            levels.append(percent(float(values[f"stages.{stage.key}.{kind}.{name}"]), 0))
        rows.append((clipped(stage.title, 18), *levels))
    yield table(rows, indent="")
    legs = flows(rig)
    for flow in legs:
        yield paragraph(_flow(rig, flow, system), "  ")
    if legs:
        words = (
            "A level the file states stands, whatever flowed: there a tank was filled or dumped."
        )
        yield paragraph(words, "  ")
    if unsaid := unfollowed(rig):
        words = f"Not followed, as no stage before states its level: {', '.join(unsaid)}."
        yield paragraph(words, "  ")
    yield ""


def _flow(rig: Rig, flow: Flow, system: System) -> str:
    title = rig.stages[flow.stage].title or flow.stage.replace("-", " ")
    parts = []
    if flow.fuel_burnt_l:
        parts.append(f"{_volume(flow.fuel_burnt_l, system)} of fuel burnt")
    if flow.water_drawn_l:
        into = (("grey", flow.to_grey_l), ("black", flow.to_black_l))
        ends = [f"{_volume(x, system)} into {tank}" for tank, x in into if x]
        water, into_which = _volume(flow.water_drawn_l, system), ", ".join(ends)
        parts.append(f"{water} of water used: {into_which or 'out of the rig'}")
    return f"Before “{title}”: {'; '.join(parts) or 'nothing flowed'}."


def _volume(litres: float, system: System) -> str:
    return shown(LITRE * litres, "volume", system, 1)
