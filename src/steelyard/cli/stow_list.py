"""Things of a list that `steelyard stow` adds to a rig, and lists to start from."""

from typing import TYPE_CHECKING

import click

from steelyard.cli.options import fail
from steelyard.rig import Rig

if TYPE_CHECKING:
    from steelyard.stowing.stow import Stowed


def listed(rig: Rig, path: str) -> tuple[Rig, "object"]:
    """The rig with the items of a list added, and the list."""
    from steelyard.files.manifest import read_manifest
    from steelyard.rig import Item

    if not rig.places:
        fail("--manifest: expected a rig with places for the list's things, found none")
    found = read_manifest(path, rig)
    for raw, place in found.guessed.items():
        click.echo(f"{path}: “{raw}” is taken for the place {place}", err=True)
    for name, table in found.items.items():
        first = next(iter(rig.places), "") if "place" not in table else table["place"]
        item = Item.model_validate({**table, "place": first})
        rig = rig.model_copy(update={"items": {**rig.items, name: item}})
    return somewhere(rig, unplaced(found)), found


def placing(path: str) -> tuple[Rig, tuple[str, ...]]:
    """The rig in a file, and which of its things the file gives no place."""
    from steelyard.files.reader import read_placing

    rig, bare = read_placing(path)
    return somewhere(rig, bare), bare


def somewhere(rig: Rig, names: tuple[str, ...]) -> Rig:
    """The rig with these things in the first place that may hold each, until one is found."""
    from steelyard.stowing.allowed_places import may_ride

    for name in names:
        item = rig.items[name]
        free = (place for place in rig.places if may_ride(rig, name, place))
        item = item.model_copy(update={"place": next(free, item.place)})
        rig = rig.model_copy(update={"items": {**rig.items, name: item}})
    return rig


def unplaced(listed: object) -> tuple[str, ...]:
    """Things of a list that gives them no place."""
    tables = getattr(listed, "items", {})
    return tuple(name for name, table in tables.items() if "place" not in table)


def put(found: "Stowed", names: tuple[str, ...]) -> tuple[str, ...]:
    """Where things go that had no place."""
    plan = found.found.plan if found.found else {}
    rig = found.rig
    return tuple(
        f"{name} had no place: it goes into {rig.places[plan[name]].title or plan[name]}."
        for name in names
        if name in plan
    )


def print_starter(ctx: click.Context, kind: str | None) -> None:
    """Print a list to start from, and end the command."""
    if kind is None:
        return
    from steelyard.files.manifest import manifest_csv
    from steelyard.typical.items import starter

    rows = [
        {"item": name, "weight": one["weight"], "note": f"{one['title']}; {one['source']}"}
        for name, one in starter(kind).items()
    ]
    click.echo(manifest_csv(rows), nl=False)
    ctx.exit()
