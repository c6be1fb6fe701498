"""`steelyard move`: what moving something, or another tank level, would do; and saving it."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from steelyard.assessment import StageResult
from steelyard.cli import options
from steelyard.cli.belief import sharper
from steelyard.cli.options import about, chosen_stage, fail, load, print_json
from steelyard.cli.words import Row, clipped, exit_code, paragraph, table
from steelyard.fault import FaultError, missing
from steelyard.files.plain import plain
from steelyard.files.report import CAUTIONS, report
from steelyard.quantity import FillLevel, Level, System, percent, shown, to_border
from steelyard.rig import Rig
from steelyard.travel import plan_stages
from steelyard.words.assessed import MARKS, measured, stood, system_of

if TYPE_CHECKING:
    from steelyard.stowing.what_if import WhatIf


@click.command("move")
@options.rig_argument
@click.argument("things", nargs=-1)
@click.option(
    "--to",
    "to",
    multiple=True,
    metavar="PLACE",
    help="Where to: one for all things, or one for each in their order.",
)
@click.option(
    "--water",
    multiple=True,
    metavar="TANK=LEVEL",
    help="Set a tank's level, fuel too; may be given several times.",
)
@click.option("--write", "save", is_flag=True, help="Save it into the RIG file, with a backup.")
@click.option(
    "--stage",
    multiple=True,
    metavar="KEY",
    help="Beside --water: set it at this stage alone; may be given several times.",
)
@options.answer_options
@options.judging_options
def command(
    rig: str,
    things: tuple[str, ...],
    to: tuple[str, ...],
    water: tuple[str, ...],
    stage: tuple[str, ...],
    units: str | None,
    tight: float,
    ticket: str | None,
    *,
    save: bool,
    as_json_: bool,
) -> None:
    """What moving THINGS of a RIG file to a place would do, and the limits it changes.

    --water sets a tank's level at every stage, or at those --stage names.
    """
    from steelyard.stowing.what_if import what_if

    facts = load(rig)
    moves = _moves(facts, rig, things, to)
    levels = _levels(facts, rig, water, chosen_stage(facts, stage))
    if stage and not water:
        fail("--stage: expected --water beside it, whose level it is for; found none")
    if not moves and not levels:
        fail("move: expected something to move with --to, or --water TANK=LEVEL; found neither")
    belief = sharper(facts, ticket)
    doubts = belief.words
    fills = {key: one for key, (one, _) in levels.items()}
    with about(rig, 2):
        found = what_if(facts, moves, fills, belief.estimate, tight)
    saved = None
    if save:
        from steelyard.files.edits import Edits, edit_rig

        texts = {key: text for key, (_, text) in levels.items()}
        saved = edit_rig(Path(rig), Edits(places=moves, levels=texts))
    if as_json_:
        whole = {**_report(found, moves), "weighing_doubts": list(doubts)}
        print_json(whole)
    else:
        told = [f"{name} to {facts.places[place].title or place}" for name, place in moves.items()]
        told += [f"{tank} at {text}" for (_, tank), (_, text) in levels.items()]
        at = {key for key, _ in levels}
        lines = _lines(found, list(dict.fromkeys(told)), system_of(found.after, units), moves, at)
        click.echo("\n".join((*map(paragraph, doubts), *lines)))
        if saved is not None:
            click.echo(f"Saved; the file as it was is {saved.name}.")
    after = found.after
    raise SystemExit(exit_code(after.verdict, refuses=after.refuses, doubts=doubts))


def _known(kind: str, found: str, known: Mapping[str, Any], file: str, option: str = "") -> str:
    """A name as the rig has it, or the one thing of that title, whatever their capitals."""
    if found in known:
        return found
    for names in (
        {name: name for name in known},
        {name: getattr(one, "title", None) or "" for name, one in known.items()},
    ):
        meant = [name for name, said in names.items() if said.lower() == found.lower()]
        if len(meant) == 1:
            return meant[0]
    raise FaultError(missing(kind, found, known, file=file, argument=option))


def _moves(rig: Rig, file: str, things: tuple[str, ...], to: tuple[str, ...]) -> dict[str, str]:
    if bool(things) != bool(to) or len(to) not in (0, 1, len(things)):
        found = f"{_some(len(things), 'thing')} and {_some(len(to), 'place')}"
        fail(f"move: expected one --to for all things or one for each, found {found}")
    items = [_known("items", thing, rig.items, file) for thing in things]
    for name in items:
        if items.count(name) > 1:
            fail(f'move: expected each thing once, found "{name}" again')
    places = [_known("places", place, rig.places, file, "to") for place in to]
    return dict(zip(items, places * len(items) if len(places) == 1 else places, strict=True))


def _some(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"


def _levels(
    rig: Rig, file: str, water: tuple[str, ...], stages: tuple[str, ...] | None
) -> dict[tuple[str, str], tuple[Level, str]]:
    from pydantic import TypeAdapter, ValidationError

    reader: TypeAdapter[Level] = TypeAdapter(FillLevel)
    if water and not rig.stages:
        fail("--water: expected a rig with stages, whose levels to set; found none")
    found: dict[tuple[str, str], tuple[Level, str]] = {}
    for one in water:
        tank, mark, text = one.partition("=")
        if not mark:
            fail(f"--water: expected TANK=LEVEL such as fresh=20gal, found {one!r}")
        fuel = {} if rig.vehicle.electric else {"fuel": None}
        tanks = {**rig.trailer.tanks, **rig.vehicle.tanks, **fuel}
        name = _known("tanks", tank.strip(), tanks, file, "water")
        try:
            level = reader.validate_python(text.strip())
        except ValidationError as error:
            fail(f"--water: {error.errors()[0]['msg']}")
        held = tanks[name]
        capacity = held.capacity if held is not None else None
        if level.volume and capacity and level.volume.value > capacity.value:
            fail(f"--water: expected at most {capacity.text!r} in {name}, found {text!r}")
        if any(key == name for _, key in found):
            fail(f'--water: expected each tank once, found "{name}" again')
        for stage in stages or tuple(rig.stages):
            found[stage, name] = (level, text.strip())
    return found


def _shown(found: "WhatIf", things: Collection[str], at: Collection[str]) -> StageResult:
    """The worst stage at which something moved is aboard or a level is set, else of all."""
    aboard = [one.key for one in plan_stages(found.rig) if {*things} & {*one.items}]
    keys = {*aboard, *at}
    stages = tuple(one for one in found.after.stages if one.key in keys)
    return replace(found.after, stages=stages or found.after.stages).worst_stage


def _lines(
    found: "WhatIf", told: list[str], system: System, things: Collection[str], at: Collection[str]
) -> Iterator[str]:
    from steelyard.words.stowed import boarding_words, calm_words

    stage = _shown(found, things, at)
    old = next(one for one in found.before.stages if one.key == stage.key)
    loads = {axle.name: axle.weight_kg.value for axle in stage.axles}
    was = {axle.name: axle.weight_kg.value for axle in old.axles}
    trailer = sum(loads[name] - was[name] for name in loads if name.startswith("trailer"))
    ball = stage.tongue.weight_kg.value - old.tongue.weight_kg.value
    parts = [
        f"ball {_added(ball, system)}",
        f"share {percent(old.tongue.share.value)} → {percent(stage.tongue.share.value)}",
        f"front {_added(loads['front'] - was['front'], system)}",
        f"rear {_added(loads['rear'] - was['rear'], system)}",
        f"trailer axles {_added(trailer, system)}",
    ]
    marks = f"{MARKS[found.before.verdict]} → {MARKS[found.after.verdict]}"
    yield paragraph(f"{', '.join(told)}: {', '.join(parts)} at “{stage.title}”; {marks}.")
    calm = calm_words(found.calm_before, found.calm_after, system)
    yield from ([paragraph(calm)] if calm else ())
    yield from (paragraph(boarding_words(one, system)) for one in found.boardings)
    for why in found.against:
        yield paragraph(f"Against a rule of the file: {why}.")
    yield ""
    yield from _changes(found, system)
    yield from (paragraph(line) for line in CAUTIONS)


def _added(kg: float, system: System) -> str:
    sign = "+" if to_border(kg, "mass", system) >= 0 else "−"
    return f"{sign}{shown(abs(kg), 'mass', system)}"


def _changes(found: "WhatIf", system: System) -> Iterator[str]:
    if not found.changed:
        yield "No limit's status changes."
        yield ""
        return
    rows: list[Row] = [("limit that changes", "stage", "before", "now", "rating", "status")]
    rows += [
        (
            clipped(one.after.title, 24),
            clipped(one.stage, 14),
            measured(one.before.value, one.before, system),
            measured(one.after.value, one.after, system),
            measured(one.after.rating, one.after, system),
            stood(one.after),
        )
        for one in found.changed
    ]
    yield table(rows, left=(0, 1, 5), indent="")
    yield ""


def _report(found: "WhatIf", moves: Mapping[str, str]) -> dict[str, Any]:
    return {
        "move": 1,
        "moves": dict(moves),
        "against": list(found.against),
        "calm_now": plain(found.calm_before),
        "calm_then": plain(found.calm_after),
        "boardings": plain(found.boardings),
        "changed": [
            {
                "limit": one.after.name,
                "stage": one.stage,
                "standing_before": one.before.verdict,
                "standing_after": one.after.verdict,
            }
            for one in found.changed
        ],
        "before": report(found.before),
        "after": report(found.after),
    }
