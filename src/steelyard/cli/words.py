"""Words and tables for people, 80 columns wide."""

import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

import click

from steelyard.assessment import Assessment
from steelyard.quantity import System
from steelyard.ratings import Verdict
from steelyard.words.assessed import share_spread, weight_spread
from steelyard.words.trade import said
from steelyard.words.unstated import without_keys

WIDTH: Final = 80
NARROW: Final = 8
"""Letters that the first column of a table keeps."""
NOT_SURE: Final = 3


def exit_code(verdict: Verdict, *, refuses: bool, doubts: Sequence[str] = ()) -> int:
    """0 within, 1 where towing as it is is refused, 3 where it is tight or not known, or where the
    weighing it rests on is in doubt."""
    if refuses or verdict == "exceeded":
        return 1
    return 0 if verdict == "within" and not doubts else NOT_SURE


SOURCES: Final = "sources"
"""What the command's context holds where sources and keys are asked for."""
LINES: Final = 30
"""Lines of a first answer."""


def shows_sources() -> bool:
    """Whether sources, and keys of the rig file, were asked for."""
    context = click.get_current_context(silent=True)
    return context is not None and bool(context.meta.get(SOURCES))


def told(text: str) -> str:
    """A text in the trade's words; keys of the rig file are named plainly unless asked for."""
    return said(text if shows_sources() else without_keys(text))


Row = Sequence[str]


def clipped(title: str, most: int = 25) -> str:
    """A title that fits its column."""
    title = told(title)
    return title if len(title) <= most else title[: most - 1] + "…"


def before_and_after(before: Assessment, after: Assessment, system: System) -> str:
    """What a weighing changed, a line a stage."""
    rows = [("stage", "share before", "after", "ball before", "after")]
    rows += [
        (
            clipped(new.title),
            share_spread(old.tongue.share),
            share_spread(new.tongue.share),
            weight_spread(old.tongue.weight_kg, system),
            weight_spread(new.tongue.weight_kg, system),
        )
        for old, new in zip(before.stages, after.stages, strict=True)
    ]
    return table(rows, indent="")


def squeezed(texts: Iterable[str]) -> Iterator[str]:
    """A first answer without its last empty lines where it would be longer than the page allows."""
    kept = list(texts)
    for at in [at for at, text in enumerate(kept) if not text][::-1]:
        if counted(kept) > LINES:
            del kept[at]
    yield from kept


def first_fitting(answers: Iterable[Iterable[str]]) -> list[str]:
    """The first of some answers, each shorter than the one before, that the page holds without its
    empty lines; else the last."""
    kept: list[str] = []
    for answer in answers:
        kept = list(squeezed(answer))
        if counted(kept) <= LINES:
            break
    return kept


_UNIT: Final = re.compile(
    r"(?<=\d) (?=(?:%|lb|kg|mm|in|ft|mph|km/h|psi|bar|kPa|lbf|N|hp|kW|MJ)\b|%)"
)
"""The space between a number and its unit, at which no line breaks."""


def paragraph(text: str, indent: str = "", first: str | None = None) -> str:
    """Wrapped to the page's width."""
    start = indent if first is None else first
    whole = _UNIT.sub("\N{NO-BREAK SPACE}", told(text))
    lines = textwrap.fill(
        whole, WIDTH, initial_indent=start, subsequent_indent=indent, break_on_hyphens=False
    )
    return lines.replace("\N{NO-BREAK SPACE}", " ")


def table(rows: Sequence[Row], left: Sequence[int] = (0,), indent: str = "  ") -> str:
    """Aligned columns; those in `left` flush left, the others flush right; first row the head.

    Where they are too wide for the page, what stands in the first is cut.
    """
    rows = [[told(cell) for cell in row] for row in rows]
    widths = [max(len(row[c]) for row in rows) for c in range(len(rows[0]))]
    whole = len(indent) + sum(widths) + 2 * (len(widths) - 1)
    widths[0] = min(widths[0], max(widths[0] - (whole - WIDTH), NARROW))
    lines = []
    for row in rows:
        cells = [
            clipped(cell, width).ljust(width) if c in left else cell.rjust(width)
            for c, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append((indent + "  ".join(cells)).rstrip())
    return "\n".join(lines)


def do_next(steps: Sequence[str], most: int = 3) -> Iterator[str]:
    """At most three things to do, numbered."""
    if not steps:
        return
    yield "Do next"
    for number, step in enumerate(dict.fromkeys(steps[:most]), start=1):
        yield paragraph(step, "     ", f"  {number}. ")
    yield ""


def counted(lines: Iterable[str]) -> int:
    """How many lines of the page some texts take."""
    return sum(text.count("\n") + 1 for text in lines)


def bullets(lines: Sequence[str]) -> Iterator[str]:
    """Each text wrapped behind a dash."""
    for line in lines:
        yield paragraph(line, "    ", "  - ")
