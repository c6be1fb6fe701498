"""`steelyard learn`: the owner's own typical values from the logbook."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final, get_args

import click

from steelyard.cli import options
from steelyard.cli.log import logbook_option, opened
from steelyard.cli.options import drawn, fail, print_json
from steelyard.cli.words import paragraph, table
from steelyard.fault import FaultError
from steelyard.files.owned import NAME, write_owned
from steelyard.files.tickets import again
from steelyard.learning import Evidence, Learnt, Taught, evidence, learn
from steelyard.logbook.store import Logbook
from steelyard.logbook.where import default_path
from steelyard.rig import Rig
from steelyard.rig.kinds import TrailerStyle, VehicleClass
from steelyard.words.learned import (
    NAMES,
    NO_SAMPLE,
    moved_words,
    never_weighed,
    sharper_words,
    spread_words,
)
from steelyard.words.weighed import counted

UNNAMED: Final = str(Rig.model_fields["name"].default)


@click.command("learn")
@click.option("--only-show", is_flag=True, help="Write nothing.")
@logbook_option
@options.figure_option
@options.json_option
def command(book_path: str | None, figure: Path | None, *, only_show: bool, as_json_: bool) -> None:
    """Learn your own typical values from the weighings in your logbook.

    They are written into learned.toml beside it, a file to read, change or delete; `--shipped`
    leaves them out of any answer.
    """
    where = Path(book_path) if book_path else default_path()
    with opened(book_path) as book:
        lessons = _lessons(book, keep=not only_show)
    rows = learn(lessons.taught)
    if not rows:
        fail(f"{where}: expected a weighing to learn from, found {lessons.found}")
    if figure is not None:
        from steelyard.drawing.learned import learned_picture

        drawn(figure, learned_picture(rows))
    if as_json_:
        print_json(_report(rows, lessons))
    else:
        click.echo("\n".join(_lines(rows, lessons)))
    if not only_show:
        path = where.with_name(NAME)
        before = write_owned(path, rows)
        kept = f"; as it was before: {before.name}" if before else ""
        click.echo(f"Wrote {path}{kept}.", err=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lessons:
    """What weighings taught, and the numbers of those left out: readings that do not agree, and
    files that this version cannot read."""

    taught: tuple[Taught, ...]
    anew: int
    doubted: tuple[int, ...]
    unread: tuple[int, ...]

    @property
    def found(self) -> str:
        """What a log is that teaches nothing."""
        told = [f"{len(self.doubted)} whose readings do not agree"] if self.doubted else []
        told += [f"{len(self.unread)} that this version cannot read"] if self.unread else []
        silent = len(self.taught)
        told += [f"{silent} that say nothing of a typical value"] if silent else []
        return " and ".join(told) or "none"


def _lessons(book: Logbook, *, keep: bool) -> _Lessons:
    taught: list[Taught] = []
    doubted: list[int] = []
    lessons = tuple(book.lessons())
    anew, unread = _read_anew(book, [one.id for one in lessons if one.evidence is None])
    if keep and anew:
        book.teach(anew)
    for one in lessons:
        found = anew.get(one.id) if one.evidence is None else one.evidence
        if found is None:
            continue
        if not all(piece.sound() for piece in found):
            unread.append(one.id)
            continue
        said = Taught(
            rig_name="" if one.rig_name == UNNAMED else one.rig_name,
            rig_hash=one.rig_hash,
            evidence=found,
        )
        if said.agrees:
            taught.append(said)
        else:
            doubted.append(one.id)
    return _Lessons(
        taught=tuple(taught), anew=len(anew), doubted=tuple(doubted), unread=tuple(unread)
    )


def _read_anew(
    book: Logbook, numbers: Sequence[int]
) -> tuple[dict[int, tuple[Evidence, ...]], list[int]]:
    """What weighings say that are older than the keeping of it, out of their own files; and the
    numbers of those that this version cannot read."""
    found: dict[int, tuple[Evidence, ...]] = {}
    unread: list[int] = []
    for number in numbers:
        try:
            one = book.get(number).weighing
            found[number] = evidence(again(one.rig_text, one.ticket_text, number))
        except FaultError:
            unread.append(number)
    return found, unread


def _lines(rows: Sequence[Learnt], lessons: _Lessons) -> Iterator[str]:
    yield f"Learned from {counted(len(lessons.taught), 'weighing')}"
    head = ("typical value", "rigs", "shipped", "your own", "moved", "the next rig")
    for style in dict.fromkeys((row.part, row.style) for row in rows):
        yield ""
        yield style[1]
        yield table(
            [head]
            + [
                (
                    NAMES[row.name],
                    str(row.rigs),
                    spread_words(row.shipped, row.shipped_sd),
                    spread_words(row.value, row.sd),
                    moved_words(row),
                    sharper_words(row),
                )
                for row in rows
                if (row.part, row.style) == style
            ]
        )
    yield ""
    for line in _left_out(lessons):
        yield paragraph(line)
    for part, styles in (("trailer", get_args(TrailerStyle)), ("vehicle", get_args(VehicleClass))):
        line = never_weighed(rows, part, styles)
        if line:
            yield paragraph(line)
    yield paragraph(NO_SAMPLE)


def _left_out(lessons: _Lessons) -> Iterator[str]:
    if lessons.anew:
        yield f"Written by an older version, read anew: {counted(lessons.anew, 'weighing')}."
    for numbers, why in (
        (lessons.doubted, "their readings cannot be of one such rig"),
        (lessons.unread, "this version cannot read them"),
    ):
        if numbers:
            said = ", ".join(map(str, numbers[:8])) + (", ..." if len(numbers) > 8 else "")
            yield f"Left out, for {why}: {counted(len(numbers), 'weighing')} ({said})."


def _report(rows: Sequence[Learnt], lessons: _Lessons) -> dict[str, object]:
    return {
        "learned": 1,
        "weighings": len(lessons.taught),
        "read_anew": lessons.anew,
        "readings_disagree": list(lessons.doubted),
        "unreadable": list(lessons.unread),
        "values": [
            asdict(row) | {"moved_sds": row.moved, "sharper_by": row.sharper} for row in rows
        ],
        "caution": NO_SAMPLE,
    }
