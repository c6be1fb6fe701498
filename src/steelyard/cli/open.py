"""`steelyard open`: the page."""

import threading
import webbrowser
from dataclasses import replace
from pathlib import Path

import click

from steelyard.cli.options import fail, own_values, shipped_option


@click.command("open")
@shipped_option
@click.argument("rig", type=click.Path(path_type=Path), required=False)
@click.option(
    "--lan",
    is_flag=True,
    help="For phones on the same network too: prints an address, an access code and a QR "
    "code that holds both. Whoever has the code works on what was opened together "
    "with you, undo says whose step it takes back, and only you save into the file. "
    "It is plain HTTP: whoever can listen in on the network can read along.",
)
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    help="Port; if 0 the file's usual one, or a free one.",
)
@click.option(
    "--guests-save", is_flag=True, help="With --lan: guests may save into the rig file too."
)
@click.option(
    "--guests-see-owners",
    is_flag=True,
    help="With --lan: guests are told whose the rigs of the book are, and the notes beside "
    "them; otherwise only this machine is.",
)
@click.option("--no-browser", is_flag=True, help="Only print the address.")
def command(
    rig: Path | None,
    port: int,
    *,
    lan: bool,
    guests_save: bool,
    guests_see_owners: bool,
    no_browser: bool,
) -> None:
    """Open the page in the browser: for a RIG file, or without one for the book of rigs.

    Work is kept as you go: in the book, or beside the file and written into it only when you say
    so. Ctrl-C ends it; the next start finds it again. Exit codes: 0 ended, 2 bad input.
    """
    from steelyard.web import Start
    from steelyard.web.serve import address_of, bound, serve, usual_port

    start = Start.at(rig) if rig else Start()
    start = replace(start, owned=own_values(), guests_save=guests_save)
    try:
        listening = bound(lan=lan, port=port, usual=usual_port(rig or start.logbook))
    except OSError as error:
        fail(f"--port: expected a free port, found {port} taken ({error.strerror})")
    address, gate = address_of(listening, lan=lan)
    click.echo(f"Steelyard is at {address.here}   (Ctrl-C ends it)")
    if address.lan:
        click.echo(f"On this network: {address.lan}  access code {address.code}")
        click.echo(_shared(rig, guests_save=guests_save, see_owners=guests_see_owners))
        click.echo("It is plain text: whoever can listen in on this network can read along.")
        click.echo(address.qr())
    elif lan:
        click.echo("--lan: no network is there; only this machine can use the page.", err=True)
    if not no_browser:
        threading.Timer(0.3, webbrowser.open, (address.here,)).start()
    serve(start, listening, replace(gate, guests_see_owners=guests_see_owners))


def _shared(rig: Path | None, *, guests_save: bool, see_owners: bool) -> str:
    """What those who have the code can do."""
    if rig is not None:
        may = "and save it into its file" if guests_save else "but cannot save it into its file"
        return f"All who have the code see and change this one rig, {may}."
    may = "and are told whose they are" if see_owners else "but are not told whose they are"
    return f"All who have the code see and change the rigs of the book, {may}."
