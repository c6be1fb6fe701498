"""`steelyard card`: the sheet for the glove box, and a rig file read back from one."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from steelyard.assessment import Assessment, assess
from steelyard.cards import Content, as_html, as_pdf, card, file_name, unpacked
from steelyard.cli import options
from steelyard.cli.belief import sharper
from steelyard.cli.options import about, chosen_stage, fail, load
from steelyard.cli.progress import working
from steelyard.cli.words import exit_code, paragraph
from steelyard.files import FileThereError, parse_rig, read_rig, write_new
from steelyard.files.limits import LIMITS
from steelyard.files.reader import read_bytes
from steelyard.scene import NoBalanceError
from steelyard.words.assessed import MARKS, question_lines, system_of, verdict_line

DOUBTFUL = "The readings are doubtful"
SEE = "see `steelyard weigh`"
"""What a card, which has no commands on it, says otherwise."""


@click.command("card")
@options.shipped_option
@click.argument("rig", type=click.Path(path_type=str), required=False)
@click.option(
    "--to",
    metavar="FILE",
    help="A .pdf or .html file; (rig name)-card.pdf in the working folder when left out. "
    "With --read: the rig file, printed when left out.",
)
@click.option("--over", is_flag=True, help="Write over a file that is there; without it none is.")
@click.option(
    "--paper",
    type=click.Choice(["letter", "a4"]),
    help="Size of the sheet; US Letter in North America when left out, else A4.",
)
@click.option(
    "--owner",
    default="",
    metavar="NAME",
    help="Whose rig it is, to sign the card; a line to fill in when left out.",
)
@click.option(
    "--adviser",
    default="",
    metavar="NAME",
    help="Who advised, to sign the card; a line to fill in when left out.",
)
@options.with_option
@options.stage_option
@options.units_option
@click.option(
    "--read",
    "images",
    multiple=True,
    metavar="IMAGE",
    help="Read a rig file back from a photo, scan or PDF of a card; several times for "
    "several codes or photos. Needs the extra `read`.",
)
@click.option(
    "--read-text",
    "texts",
    multiple=True,
    metavar="FILE",
    help="The same from the text that any reader of QR codes gave, saved in a file.",
)
def command(
    rig: str | None,
    to: str | None,
    paper: Any,
    ticket: str | None,
    stage: tuple[str, ...],
    units: str | None,
    images: tuple[str, ...],
    texts: tuple[str, ...],
    owner: str,
    adviser: str,
    *,
    over: bool,
) -> None:
    """One sheet, two sides, for the glove box of a RIG; its codes hold the rig file.

    Exit codes are those of `check`: 0 within, 1 exceeded, 2 bad input, 3 tight or unknown; 0 for a
    rig file read back, which goes to the terminal or to --to FILE.
    """
    if images or texts:
        if rig is not None:
            fail("--read: expected no RIG beside it, found one")
        _read_back(images, texts, to, over=over)
        return
    if rig is None:
        fail("expected a RIG file, or --read IMAGE of a card, found neither")
    with working(4) as step:
        content, found = _made(rig, stage, ticket, units, paper, (owner, adviser), step)
        step()
        where = Path(to) if to else Path(file_name(content.name, "pdf"))
        _write(where, _laid_out(content, where), over=over)
    click.echo(paragraph(verdict_line(found, system_of(found, units))))
    for line in question_lines(found.questions):
        click.echo(paragraph(line))
    click.echo(paragraph(_told(content, where)))
    raise SystemExit(exit_code(found.verdict, refuses=found.refuses))


def _made(
    path: str,
    stage: tuple[str, ...],
    ticket: str | None,
    units: str | None,
    paper: Any,
    names: tuple[str, str],
    step: Callable[[], None],
) -> tuple[Content, Assessment]:
    facts = load(path, asks=False)
    wanted = chosen_stage(facts, stage)
    belief = sharper(facts, ticket)
    weighing = (f"sharper by the weighing {ticket}", *belief.told) if ticket else ()
    doubts = [words.replace(SEE, "read them again") for words in belief.words]
    estimate = belief.warned()
    try:
        found = assess(facts, estimate, wanted)
    except NoBalanceError as error:
        fail(f"{path}: {error}")
    step()
    own = read_rig(path)
    made = card(
        own,
        estimate,
        found=found,
        stages=wanted,
        units=units,
        paper=paper,
        weighing=weighing,
        doubts=doubts,
        doubt=DOUBTFUL if any(one[0] != MARKS["tight"][0] for one in doubts) else "",
        owner=names[0],
        adviser=names[1],
    )
    return made, found


def _laid_out(content: Content, where: Path) -> str | bytes:
    if where.suffix == ".html":
        return as_html(content)
    if where.suffix != ".pdf":
        fail(f"--to: expected a file ending in .pdf or .html, found {where.name!r}")
    return as_pdf(content)


def _write(where: Path, content: str | bytes, *, over: bool) -> None:
    try:
        write_new(where, content, over=over)
    except FileThereError:
        fail(f"{where}: expected no file of that name, found one; --over writes over it")


def _told(content: Content, where: Path) -> str:
    paper = {"letter": "US Letter", "a4": "A4"}[content.paper]
    if not content.codes:
        return f"Written to {where}, {paper}, two sides. {content.code_words}"
    least = min(code.module for code in content.codes)
    many = f"{len(content.codes)} code{'s' if len(content.codes) > 1 else ''}"
    return (
        f"Written to {where}, {paper}, two sides; {many} holding the rig file, smallest module"
        f" {least:z.2f} mm. Print at full size."
    )


def _read_back(
    images: tuple[str, ...], texts: tuple[str, ...], to: str | None, *, over: bool
) -> None:
    with about(", ".join((*images, *texts))):
        text = unpacked([*map(_text, texts), *(one for path in images for one in _seen(path))])
    parse_rig(text, "card")
    if to is None:
        click.echo(text, nl=False)
    else:
        _write(Path(to), text, over=over)
        click.echo(f"Written to {to}.")


def _text(path: str) -> str:
    return read_bytes(Path(path), "file").decode("utf-8", errors="replace")


def _seen(path: str) -> list[str]:
    """The texts of all codes in an image, or on the pages of a PDF."""
    from steelyard.files.sandboxed import opened

    most = LIMITS["picture bytes"].most
    found: list[str] = opened("codes", read_bytes(Path(path), "picture", most), path)
    return found
