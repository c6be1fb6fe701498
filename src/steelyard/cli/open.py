"""`steelyard open`: the page."""

import threading
import webbrowser
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from steelyard.cli.options import fail, own_values, shipped_option

if TYPE_CHECKING:
    from steelyard.web import Start

DEMO: Final = "perihelion-camper.toml"


@click.command("open")
@shipped_option
@click.argument("rig", type=click.Path(path_type=Path), required=False)
@click.option(
    "--lan", is_flag=True, help="For phones on the same network too, with an access code."
)
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Port; a free one if 0.")
@click.option(
    "--guests-save", is_flag=True, help="With --lan: guests may save into the rig file too."
)
@click.option("--no-browser", is_flag=True, help="Only print the address.")
def command(rig: Path | None, port: int, *, lan: bool, guests_save: bool, no_browser: bool) -> None:
    """Open the page for a RIG file, or for the demo, in the browser.

    Work is kept beside the file as you go and written into it only when you say so. Ctrl-C ends it;
    the next start finds it again. Exit codes: 0 ended, 2 bad input.
    """
    from steelyard.web import Start
    from steelyard.web.serve import address_of, bound, serve

    start = replace(Start.at(rig) if rig else _demo(), owned=own_values())
    try:
        listening = bound(lan=lan, port=port)
    except OSError as error:
        fail(f"--port: expected a free port, found {port} taken ({error.strerror})")
    address, gate = address_of(listening, lan=lan)
    click.echo(f"Steelyard is at {address.here}   (Ctrl-C ends it)")
    if address.lan:
        click.echo(f"On this network: {address.lan}  access code {address.code}")
        may = "and save it into its file" if guests_save else "but cannot save it into its file"
        click.echo(f"All who have the code see and change this one rig, {may}.")
        click.echo("It is plain text: whoever can listen in on this network can read along.")
        click.echo(address.qr())
    elif lan:
        click.echo("--lan: no network is there; only this machine can use the page.", err=True)
    if not no_browser:
        threading.Timer(0.3, webbrowser.open, (address.here,)).start()
    serve(replace(start, guests_save=guests_save), listening, gate)


def _demo() -> "Start":
    from steelyard.web import Start

    text = (files("steelyard.files") / "demo" / DEMO).read_text("utf-8")
    return Start(text=text, name=DEMO)
