"""One row of the report: a time, what it is held against, and whether it meets its target."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A measured thing. `ratio` is against `baseline`; `target` says what is asked of it."""

    name: str
    measured: str
    ratio: str
    baseline: str
    target: str = ""
    met: bool | None = None


def shown(rows: list[Row]) -> str:
    """The rows as a table in plain text."""
    head = ("what", "measured", "ratio", "against", "target")
    body = [(r.name, r.measured, r.ratio, r.baseline, _verdict(r)) for r in rows]
    widths = [max(len(line[place]) for line in (head, *body)) for place in range(len(head))]
    lines = [head, tuple("-" * width for width in widths), *body]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in lines
    )


def _verdict(row: Row) -> str:
    return row.target if row.met is None else f"{row.target}: {'met' if row.met else 'not met'}"
