"""A logbook as JSON, from which it can be had back bit by bit, and as CSV for a spreadsheet."""

import csv
import io
import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, fields
from typing import Any, Final, Literal

from steelyard.fault import Fault, quoted
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.records import Logged, LoggedReading, Summary
from steelyard.quantity.show import cell

FORMAT: Final = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class _File:
    format: Literal[1]
    weighings: tuple[Logged, ...]


def to_json(entries: Sequence[Logged]) -> str:
    """Everything in the weighings as JSON text; no number loses a bit."""
    weighings = [asdict(entry) for entry in entries]
    return json.dumps({"format": FORMAT, "weighings": weighings}, indent=1, ensure_ascii=False)


def from_json(text: str) -> tuple[Logged, ...]:
    """What `to_json` wrote; LogbookError names the first thing that is not as it must be."""
    from pydantic import ConfigDict, TypeAdapter, ValidationError, with_config

    strict = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)
    try:
        return TypeAdapter(with_config(strict)(_File)).validate_json(text).weighings
    except ValidationError as error:
        one = error.errors(include_url=False)[0]
        due = one["msg"][:1].lower() + one["msg"][1:120]
        fault = Fault(path=one["loc"], due=f"a logbook's JSON: {due}", found=quoted(one["input"]))
        raise LogbookError(fault) from None


def weighings_csv(lines: Iterable[Summary]) -> str:
    """A line a weighing: weights in kg, `share` of 1, each with its sd."""
    names = tuple(field.name for field in fields(Summary))
    return _csv(names, ([getattr(line, name) for name in names] for line in lines))


def readings_csv(entries: Iterable[Logged]) -> str:
    """A line a reading, in SI units, headed by the weighing's number, date and rig."""
    names = tuple(field.name for field in fields(LoggedReading))
    return _csv(
        ("id", "taken", "rig_name", *names),
        (
            [entry.id, entry.weighing.taken, entry.weighing.rig_name]
            + [getattr(reading, name) for name in names]
            for entry in entries
            for reading in entry.weighing.readings
        ),
    )


def _csv(head: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    writer.writerows([cell(value) for value in row] for row in rows)
    return text.getvalue()
