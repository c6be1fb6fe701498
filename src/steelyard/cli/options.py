"""Options and input handling that commands share."""

import json
from pathlib import Path
from typing import NoReturn

import click

from steelyard.assessment import Assessment
from steelyard.files import RigFileError, read_rig
from steelyard.quantity import QuantityError, parse
from steelyard.ratings import TIGHT
from steelyard.rig import Rig, nearest
from steelyard.trip import plan_stages

BAD_INPUT = 2

rig_argument = click.argument("rig", type=click.Path(path_type=str))
stage_option = click.option(
    "--stage", multiple=True, metavar="KEY", help="Only this stage; may be given several times."
)
json_option = click.option("--json", "as_json_", is_flag=True, help="JSON for programs.")
units_option = click.option(
    "--units", type=click.Choice(["us", "metric"]), default=None, help="Units of the answer."
)


def _share(ctx: click.Context, param: click.Parameter, raw: str | None) -> float:
    del ctx, param
    if raw is None:
        return TIGHT
    try:
        found = parse(raw if "%" in raw else f"{raw} %", "share").value
    except QuantityError as error:
        raise click.BadParameter(str(error)) from None
    if not 0.0 < found < 0.5:
        raise click.BadParameter(f"expected a chance above 0 and under 50 %, found {raw!r}")
    return found


tight_option = click.option(
    "--tight",
    callback=_share,
    metavar="SHARE",
    help="Chance of exceeding from which a limit is tight. Default 2.5 %.",
)


def fail(message: str) -> NoReturn:
    """Say what is wrong and stop with the code for bad input."""
    click.echo(message, err=True)
    raise SystemExit(BAD_INPUT)


def load(path: str) -> Rig:
    """The rig in a file; bad input ends the command with one sentence a fault."""
    try:
        return read_rig(Path(path))
    except RigFileError as error:
        fail(str(error))


def chosen_stage(rig: Rig, asked: tuple[str, ...]) -> tuple[str, ...] | None:
    """The stages asked for, checked against the rig's own."""
    known = [plan.key for plan in plan_stages(rig)]
    for key in asked:
        if key not in known:
            fail(f'--stage: expected one of {", ".join(known)}, found "{key}"{nearest(key, known)}')
    return asked or None


def as_json(found: Assessment) -> str:
    """The report as JSON text."""
    from steelyard.files.report import report

    return json.dumps(report(found), indent=1, ensure_ascii=False)
