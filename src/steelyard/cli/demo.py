"""`steelyard demo`: the Perihelion Outreach rigs, written and one of them checked."""

from pathlib import Path

import click

from steelyard.cli.check import run
from steelyard.cli.check_first import first_lines
from steelyard.cli.words import exit_code
from steelyard.files.demo import demo_rigs, demo_tables, demo_tickets
from steelyard.files.writer import FileThereError, write_new
from steelyard.ratings import TIGHT
from steelyard.words.assessed import system_of


@click.command("demo")
@click.option(
    "--into",
    default="perihelion",
    metavar="FOLDER",
    help="Where to write; perihelion when left out.",
)
def command(into: str) -> None:
    """Write the Perihelion Outreach rigs into a folder and check the camper."""
    folder = Path(into)
    written = [_write(folder, name, body) for name, body in demo_rigs().items()]
    tickets = [_write(folder, name, body) for name, body in demo_tickets().items()]
    tables = [_write(folder, name, body) for name, body in demo_tables().items()]
    checked = run(str(written[0]), (), TIGHT)
    found = checked.found
    click.echo("\n".join(first_lines(found, system_of(found, None), checked.seek)))
    click.echo("")
    click.echo(f"Rigs in {folder}: {', '.join(path.name for path in written)}")
    click.echo(f"Next: steelyard open {written[0]}")
    click.echo(f"      steelyard ledger {written[0]}")
    click.echo(f"      steelyard weigh {written[0]} {tickets[0]} --next")
    click.echo(f"      steelyard match {written[0]} {tables[0]}")
    raise SystemExit(exit_code(found.verdict, refuses=found.refuses))


def _write(folder: Path, name: str, body: str) -> Path:
    """Write one rig; one that is there already is kept as it is."""
    path = folder / name
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_new(path, body)
    except FileThereError:
        if path.read_text("utf-8") != body:
            click.echo(f"{path}: kept as it is, changed since it was written", err=True)
    return path
