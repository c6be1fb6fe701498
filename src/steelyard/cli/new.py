"""`steelyard new`: a commented rig file from few answers; never over a file that is there."""

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

import click

from steelyard.cli import STOPPED
from steelyard.cli.options import fail
from steelyard.fault import FaultError
from steelyard.files import write_new
from steelyard.rig.kinds import Region, TrailerStyle, VehicleClass
from steelyard.walk.stops import Field, flags


def _questions(command: Callable[..., Any]) -> Callable[..., Any]:
    """An option for each question of the walk that has one."""
    for field in reversed(flags().values()):
        what = "LENGTH" if field.dimension == "length" else "WEIGHT"
        command = click.option(f"--{field.flag}", metavar=what, help=f"{_said(field)}.")(command)
    return command


def _said(field: Field) -> str:
    """What is asked, in the words of a person beside the rig."""
    return field.long[:1].upper() + field.long[1:]


@click.command("new")
@click.argument("path", metavar="RIG", type=click.Path(path_type=str))
@click.option("--name", help="What you call this rig.")
@click.option("--vehicle", type=click.Choice(get_args(VehicleClass)), help="Vehicle class.")
@click.option(
    "--trailer", "style", type=click.Choice(get_args(TrailerStyle)), help="Trailer style."
)
@click.option(
    "--region",
    type=click.Choice(get_args(Region)),
    help="Whose rules are read; north-america when left out.",
)
@_questions
def command(path: str, **given: str | None) -> None:
    """Write a commented RIG file from a few answers; asks for the rest at a terminal."""
    from steelyard.files.new import new_rig

    where = Path(path)
    if where.exists():
        fail(f"{where}: expected no file of that name, found one; nothing was written")
    try:
        asked = _asked(given) if _at_a_terminal() else given
    except click.Abort:
        click.echo("\nStopped; nothing was written.", err=True)
        raise SystemExit(STOPPED) from None
    for key, flag in (("vehicle", "--vehicle"), ("style", "--trailer")):
        if asked[key] is None:
            fail(f"{flag}: expected one, found none (questions are asked at a terminal only)")
    write_new(where, new_rig(*_heads(asked), asked))
    click.echo(f"Wrote {where}. Next: steelyard check {where}")


def _at_a_terminal() -> bool:
    return sys.stdin.isatty()


def _asked(given: dict[str, str | None]) -> dict[str, str | None]:
    """Ask what no flag said; an empty answer leaves the value to be assumed."""
    asked = dict(given)
    asked["name"] = given["name"] or click.prompt("Name of the rig", default="my rig")
    for key, words, options in (
        ("vehicle", "Vehicle class", get_args(VehicleClass)),
        ("style", "Trailer style", get_args(TrailerStyle)),
    ):
        if given[key] is None:
            asked[key] = click.prompt(words, type=click.Choice(options))
    for key, field in flags().items():
        if given[key] is None:
            asked[key] = _answer(asked, key, f"{_said(field)} (with unit; empty: not known)")
    return asked


def _heads(asked: dict[str, str | None]) -> tuple[str, str, str, str]:
    region = asked["region"] or "north-america"
    return (asked["name"] or "my rig", asked["vehicle"] or "", asked["style"] or "", region)


def _answer(asked: dict[str, str | None], key: str, words: str) -> str:
    """An answer that the rig so far can be written with; one that it cannot be is asked again."""
    from steelyard.files.new import new_rig

    while True:
        answer = str(click.prompt(words, default="", show_default=False)).strip(" \"'“”")
        try:
            new_rig(*_heads(asked), {**asked, key: answer})
        except FaultError as error:
            bare = (replace(fault, file="", line=None) for fault in error.faults)
            click.echo(str(FaultError(*bare)), err=True)
        else:
            return answer
