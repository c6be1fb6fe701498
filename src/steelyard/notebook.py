"""What a notebook asks of rigs and answers: a picture, a table, a data frame.

Rigs and answers know nothing of drawing, words or tables, which lie above them; they are given
here what a notebook looks for, under the names it looks for.
"""

from collections.abc import Iterator
from html import escape
from typing import Any, Final

from steelyard.assessment import Assessment, assess
from steelyard.drawing import whole_picture
from steelyard.files.report import UNITS
from steelyard.files.table_rows import polars
from steelyard.ratings import LimitStatus
from steelyard.rig import Rig
from steelyard.words import MARKS, system_of

HEADS: Final = ("stage", "limit", "value", "sd", "rating", "margin", "chance", "verdict", "unit")


def rig_picture(rig: Rig) -> str:
    """The rig at its worst stage, to scale, as SVG."""
    found = assess(rig)
    return whole_picture(found, system_of(found, None))


def limits_frame(found: Assessment) -> Any:
    """Every limit at every stage, a row each, as a Polars frame; numbers in the `unit` of the row,
    kg for loads, as in JSON; null where a rating is unknown. FaultError without Polars."""
    return polars().DataFrame([dict(zip(HEADS, row, strict=True)) for row in _rows(found)])


def limits_table(found: Assessment) -> str:
    """The same as an HTML table, rounded, under the rig's name and verdict."""
    head = "".join(f"<th>{name}</th>" for name in HEADS)
    body = "".join(
        f"<tr>{''.join(f'<td>{escape(_rounded(one))}</td>' for one in row)}</tr>"
        for row in _rows(found)
    )
    title = f"{escape(found.rig.name)}: {MARKS[found.verdict]}"
    return f"<table><caption>{title}</caption><tr>{head}</tr>{body}</table>"


def _rows(found: Assessment) -> Iterator[tuple[Any, ...]]:
    for stage in found.stages:
        for limit in stage.limits:
            yield (stage.key, limit.name, *_numbers(limit), limit.verdict, UNITS[limit.measure][0])


def _numbers(limit: LimitStatus) -> tuple[float | None, ...]:
    size = UNITS[limit.measure][1]
    known = limit.verdict != "unknown"
    return (
        limit.value / size,
        limit.sd / size,
        limit.rating / size if known else None,
        limit.margin / size if known else None,
        limit.chance if known else None,
    )


def _rounded(one: Any) -> str:
    return "" if one is None else f"{one:.4g}" if isinstance(one, float) else str(one)


Rig._repr_svg_ = rig_picture  # type: ignore[attr-defined]
Assessment._repr_html_ = limits_table  # type: ignore[attr-defined]
Assessment.to_frame = limits_frame  # type: ignore[attr-defined]
