"""One row of a table of vehicles or trailers as a rig: its head's columns, and what a cell says."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal, get_args

from pydantic import BaseModel, ValidationError

from steelyard.fault import Fault, listed, near
from steelyard.files.faults import FileFaultError
from steelyard.files.table_rows import headed
from steelyard.rig import Hitch, Rig, Trailer, Vehicle, spelt_path
from steelyard.rig.validation import keys_at, model_at, validation_faults

Which = Literal["vehicle", "trailer"]
STAND_IN: Final[Mapping[Which, Mapping[str, BaseModel]]] = {
    "vehicle": {
        "trailer": Trailer.model_validate({"style": "rear-living", "gvwr": "3000 kg"}),
        "hitch": Hitch(),
    },
    "trailer": {
        "vehicle": Vehicle.model_validate({"class": "half-ton-crew-cab"}),
        "hitch": Hitch(),
    },
}
"""What a vehicle is read with where its file has no trailer, and a trailer with no vehicle; read
once, not for each row."""
NEEDED: Final[Mapping[Which, tuple[tuple[str, ...], ...]]] = {
    "vehicle": (("vehicle.class",),),
    "trailer": (("trailer.style",), ("trailer.gvwr", "trailer.empty.weight")),
}
"""Columns that a table must have, one of each group."""
OWN: Final = ("name", "region", "country", "speed")
ASIDE: Final = ("kind", "basis", "spread", "includes", "sure")
"""What may be said of a quantity in a column of its own: `trailer.empty.weight.kind`."""
TRUE, FALSE = ("yes", "true", "1"), ("no", "false", "0")


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column: its place in a row, the path of a rig file's key, and the unit its head names."""

    place: int
    path: tuple[str, ...]
    unit: str


def columns_of(head: Sequence[str], name: str, which: Which) -> list[Column]:
    """The columns but for notes, what holds others first. FileFaultError for one unknown, twice or
    missing."""
    found: list[Column] = []
    faults: list[Fault] = []
    for place, cell in enumerate(head):
        word, unit = headed(cell)
        path = spelt_path(word.split("."))
        if not word or path[0] == "note":
            continue
        if any(one.path == path for one in found):
            faults.append(Fault(due="each column once", found=f"{word[:60]} again"))
        unknown = _unknown(path, which)
        faults += [unknown] if unknown else []
        found.append(Column(place=place, path=path, unit=unit))
    there = {".".join(one.path) for one in found}
    for group in NEEDED[which]:
        if not there & set(group):
            due = f"a column {' or '.join(group)}"
            faults.append(Fault(due=due, found=listed(sorted(there))))
    if faults:
        raise FileFaultError(*faults).within(file=name, row=1)
    return sorted(found, key=lambda one: len(one.path))


def _unknown(path: tuple[str, ...], which: Which) -> Fault | None:
    """A column that no key of a rig file has, or that is of the other half."""
    word = f'"{".".join(path)[:60]}"'
    if path[0] in OWN and len(path) == 1:
        return None
    if path[0] not in (which, "hitch"):
        due = f"{', '.join(OWN)}, note, or a key of {which} or hitch"
        return Fault(due=due, found=word)
    bare = path[:-1] if path[-1] in ASIDE and not _keys(path[:-1]) else path
    known = _keys(bare[:-1])
    if known is None or (known and bare[-1] not in known):
        return Fault(due="a key of a rig file", found=word, hint=near(bare[-1], known or ()))
    return None


def _keys(path: tuple[str, ...]) -> list[str] | None:
    """Keys of the table at a path; [] where any name goes, None where there is no table."""
    if model_at(path, Rig) is not None:
        return keys_at(path, Rig)
    parent = model_at(path[:-1], Rig) if path else None
    if parent is None:
        return None
    fields = {one.alias or key: one.annotation for key, one in parent.model_fields.items()}
    options = get_args(fields.get(path[-1]))
    models = [one for one in options if isinstance(one, type) and issubclass(one, BaseModel)]
    return [] if models and type(None) not in options else None


def row_rig(columns: Sequence[Column], row: Sequence[str], which: Which, head: int) -> Rig:
    """One row of stripped cells as a rig with a stand-in for its other half.

    head: how many cells are due at the most. FileFaultError without file and row.
    """
    if any(row[head:]):
        raise FileFaultError(due=f"{head} cells", found=str(len(row)))
    data: dict[str, Any] = {}
    for column in columns:
        if column.place < len(row) and row[column.place]:
            _put(data, column, row[column.place])
    data.pop("name", None)
    try:
        return Rig.model_validate({**STAND_IN[which], **data})
    except ValidationError as error:
        raise FileFaultError(*validation_faults(error, Rig)) from None


_NUMBER: Final = re.compile(r"[+-]?[\d.,/ ]*\d[\d.,/ ]*")


def _put(data: dict[str, Any], column: Column, cell: str) -> None:
    """One cell at its place: a bare number takes the head's unit."""
    *above, last = column.path
    table: Any = data
    for key in above:
        if isinstance(table, dict) and last in ASIDE and isinstance(table.get(key), str):
            table[key] = {"value": table[key]}
        table = table.setdefault(key, {}) if isinstance(table, dict) else table
    if not isinstance(table, dict):  # a column of its own says a word where a table is due
        return
    said = last in ASIDE and "value" in table
    table[last] = _words(cell) if said and last == "includes" else _cell(cell, column, last)


def _words(cell: str) -> list[str]:
    return [word.strip() for word in re.split(r"[,;+]", cell) if word.strip()]


WHOLE: Final = ("count", "load_index", "dual_load_index")
PLAIN: Final = ("max_trailer_ratio",)


def quantity(cell: str, column: Column) -> str:
    """A cell that holds a number with a unit: a bare number takes the head's."""
    return f"{cell} {column.unit}" if column.unit and _NUMBER.fullmatch(cell) else cell


def _cell(cell: str, column: Column, last: str) -> Any:
    if last in ("brakes", "sure") and cell.lower() in (*TRUE, *FALSE):
        return cell.lower() in TRUE
    if last in WHOLE and re.fullmatch(r"\d+(\.0+)?", cell):
        return int(float(cell))
    if last in PLAIN and re.fullmatch(r"\d+(\.\d+)?", cell):
        return float(cell)
    return quantity(cell, column)
