"""`steelyard new`: a commented rig file from few answers; never over a file that is there."""

import sys
from pathlib import Path
from typing import Final, get_args

import click

from steelyard.cli.options import fail
from steelyard.files import write_new
from steelyard.files.new import Answers, new_rig
from steelyard.rig.kinds import Region, TrailerStyle, VehicleClass

_QUESTIONS: Final = {
    "vehicle_gvwr": "Vehicle GVWR (door label)",
    "payload": "Placard payload (yellow placard)",
    "front_gawr": "Front axle GAWR",
    "rear_gawr": "Rear axle GAWR",
    "empty_weight": "Trailer empty weight",
    "tongue_weight": "Trailer empty tongue weight",
    "trailer_gvwr": "Trailer GVWR",
    "axle_station": "Ball to middle of the trailer's axles",
}


@click.command("new")
@click.argument("path", metavar="RIG", type=click.Path(path_type=str))
@click.option("--name", help="What you call this rig.")
@click.option("--vehicle", type=click.Choice(get_args(VehicleClass)), help="Vehicle class.")
@click.option("--trailer", "style", type=click.Choice(get_args(TrailerStyle)), help="Style.")
@click.option("--region", type=click.Choice(get_args(Region)), help="Whose rules are read.")
@click.option("--vehicle-gvwr", metavar="WEIGHT", help=_QUESTIONS["vehicle_gvwr"] + ".")
@click.option("--payload", metavar="WEIGHT", help=_QUESTIONS["payload"] + ".")
@click.option("--front-gawr", metavar="WEIGHT", help=_QUESTIONS["front_gawr"] + ".")
@click.option("--rear-gawr", metavar="WEIGHT", help=_QUESTIONS["rear_gawr"] + ".")
@click.option("--empty-weight", metavar="WEIGHT", help=_QUESTIONS["empty_weight"] + ".")
@click.option("--tongue-weight", metavar="WEIGHT", help=_QUESTIONS["tongue_weight"] + ".")
@click.option("--trailer-gvwr", metavar="WEIGHT", help=_QUESTIONS["trailer_gvwr"] + ".")
@click.option("--axle-station", metavar="LENGTH", help=_QUESTIONS["axle_station"] + ".")
def command(path: str, **given: str | None) -> None:
    """Write a commented RIG file from a few answers; asks for the rest at a terminal."""
    where = Path(path)
    if where.exists():
        fail(f"{where}: expected no file of that name, found one; nothing was written")
    answers = _ask(given) if sys.stdin.isatty() else _flags(given)
    write_new(where, new_rig(answers))
    click.echo(f"Wrote {where}. Next: steelyard check {where}")


def _flags(given: dict[str, str | None]) -> Answers:
    for key, flag in (("vehicle", "--vehicle"), ("style", "--trailer")):
        if given[key] is None:
            fail(f"{flag}: expected one, found none (questions are asked at a terminal only)")
    return _answers(given)


def _ask(given: dict[str, str | None]) -> Answers:
    """Ask what no flag said; an empty answer leaves the value to be assumed."""
    asked = dict(given)
    asked["name"] = given["name"] or click.prompt("Name of the rig", default="my rig")
    for key, words, options in (
        ("vehicle", "Vehicle class", get_args(VehicleClass)),
        ("style", "Trailer style", get_args(TrailerStyle)),
    ):
        if given[key] is None:
            asked[key] = click.prompt(words, type=click.Choice(options))
    for key, words in _QUESTIONS.items():
        if given[key] is None:
            asked[key] = click.prompt(
                f"{words} (with unit; empty: not known)", default="", show_default=False
            )
    return _answers(asked)


def _answers(given: dict[str, str | None]) -> Answers:
    return Answers(
        name=given["name"] or "my rig",
        vehicle=given["vehicle"] or "",
        style=given["style"] or "",
        region=given["region"] or "north-america",
        **{key: given[key] for key in _QUESTIONS},
    )
