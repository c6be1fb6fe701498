"""Tables of vehicles or trailers, one a row, and folders of rig files. Read a part at a time, the
names that were seen put aside on disk, so a million rows need no more memory than a thousand."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path
from typing import Any, Final, Literal, get_args

from pydantic import BaseModel, ValidationError

from steelyard.fault import Fault, listed, near
from steelyard.files.faults import FileFaultError
from steelyard.files.reader import read_text, toml, validated
from steelyard.files.scratch import Names, scratch
from steelyard.files.table_rows import count_rows, headed, rows_of
from steelyard.rig import Hitch, Rig, Trailer, Vehicle, spelt_path
from steelyard.rig.validation import keys_at, model_at, validation_faults

Which = Literal["vehicle", "trailer"]
ROWS: Final = 1000
"""Rows of a part."""
TABLES: Final = (".csv", ".parquet")
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
class Read:
    """Some rigs by name, what could not be read, and remarks on what was."""

    rigs: Mapping[str, Rig]
    faults: tuple[Fault, ...]
    remarks: tuple[str, ...]


def parts(path: str | Path, which: Which, size: int = ROWS) -> Iterator[Read]:
    """The vehicles or trailers in a rig file, a folder of them, or a table, `size` at a time.

    Raises FileFaultError where nothing can be read: no file, an empty folder, a table without the
    columns due. A row or file with a fault is left out and named.
    """
    where = Path(path)
    if where.is_dir():
        with scratch() as link:
            yield from _folder(where, which, Names(link), size)
    elif where.suffix.lower() in TABLES:
        with scratch() as link:
            yield from _table(where, which, Names(link), size)
    else:
        rig = read_part(where, which)
        yield Read(rigs={_called(rig, which, where.stem): rig}, faults=(), remarks=())


def count(path: str | Path) -> int | None:
    """About how many there are, for a progress bar; None where that is not cheap to know."""
    where = Path(path)
    try:
        if where.is_dir():
            return len(list(where.glob("*.toml")))
        if where.suffix.lower() in TABLES:
            return count_rows(where)
    except OSError:
        return None
    return 1


def read_part(path: Path, which: Which) -> Rig:
    """A rig file, or one with its vehicle and hitch or its trailer alone; the rest stands in."""
    text = read_text(path, "rig file")
    data = toml(text, path.name)
    if which not in data:
        raise FileFaultError(Fault(file=path.name, due=f"a table [{which}]", found="none"))
    for key, table in STAND_IN[which].items():
        data.setdefault(key, table)
    return validated(Rig, data, text, path.name)


def _called(rig: Rig, which: Which, otherwise: str) -> str:
    own = rig.vehicle.title if which == "vehicle" else rig.trailer.title
    return own or (rig.name if rig.name != "rig" else otherwise)


def _folder(folder: Path, which: Which, names: Names, size: int) -> Iterator[Read]:
    files = [file for file in sorted(folder.glob("*.toml")) if not _is_ticket(file)]
    if not files:
        due = "rig files (.toml) in it"
        raise FileFaultError(Fault(file=str(folder), due=due, found="none"))
    for start in range(0, len(files), size):
        rigs, faults = {}, list[Fault]()
        for file in files[start : start + size]:
            try:
                rig = read_part(file, which)
            except FileFaultError as error:
                faults += error.faults
                continue
            rigs[names.own(_called(rig, which, file.stem), file.name)] = rig
        yield Read(rigs=rigs, faults=tuple(faults), remarks=tuple(names.remarks))
        names.remarks.clear()


def _is_ticket(file: Path) -> bool:
    """Whether a file of the folder is a ticket of readings, which is left alone."""
    if not file.is_file():
        return False
    try:
        with file.open("rb") as lines:
            return lines.readline(200).lstrip().startswith(b"ticket")
    except OSError:
        return False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Column:
    """One column: its place in a row, the path of a rig file's key, and the unit its head names."""

    place: int
    path: tuple[str, ...]
    unit: str


def _table(path: Path, which: Which, names: Names, size: int) -> Iterator[Read]:
    rows = rows_of(path)
    head = next(rows, [])
    columns = _columns(head, path.name, which)
    rigs: dict[str, Rig] = {}
    faults: list[Fault] = []
    seen = 0
    for number, cells in enumerate(rows, start=2):
        row = [cell.strip() for cell in cells]
        if not any(row):
            continue
        seen += 1
        where = f"row {number}"
        if any(row[len(head) :]):
            due, found = f"{len(head)} cells", str(len(row))
            faults.append(Fault(file=path.name, row=number, due=due, found=found))
        else:
            try:
                name, rig = _rig(columns, row, which, where)
                rigs[names.own(name, where)] = rig
            except ValidationError as error:
                found_in = validation_faults(error, Rig)
                faults += [replace(one, file=path.name, row=number) for one in found_in]
        if len(rigs) + len(faults) >= size:
            yield _read(rigs, faults, names)
            rigs, faults = {}, []
    if not seen:
        due = "at least one row below the head"
        raise FileFaultError(Fault(file=path.name, due=due, found="none"))
    if rigs or faults:
        yield _read(rigs, faults, names)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Some rows of a table as words, to be read elsewhere: the file's name, its head, the number of
    the first row."""

    file: str
    head: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    first: int


def chunks(path: Path, size: int = ROWS) -> Iterator[Rows]:
    """A table's rows, `size` at a time, without a rig made of any. FileFaultError as of `parts`."""
    rows = rows_of(path)
    head, first, seen = tuple(next(rows, [])), 2, False
    while cells := tuple(tuple(row) for row in islice(rows, size)):
        yield Rows(file=path.name, head=head, cells=cells, first=first)
        first, seen = first + len(cells), True
    if not seen:
        due = "at least one row below the head"
        raise FileFaultError(Fault(file=path.name, due=due, found="none"))


def read_rows(some: Rows, which: Which) -> tuple[list[tuple[int, str, Rig]], list[Fault]]:
    """Rigs of rows by their numbers, alike ones one object, with their names; and what is faulty.

    FileFaultError for a head that no table of this kind has.
    """
    columns = _columns(some.head, some.file, which)
    told = [one.place for one in columns if one.path != ("name",)]
    named = next((one.place for one in columns if one.path == ("name",)), None)
    known: dict[tuple[str, ...], Rig | list[Fault]] = {}
    found, faults = list[tuple[int, str, Rig]](), list[Fault]()
    for number, cells in enumerate(some.cells, start=some.first):
        row = [cell.strip() for cell in cells]
        if not any(row):
            continue
        key = tuple(row[place] if place < len(row) else "" for place in told)
        if key not in known:
            known[key] = _one_row(columns, row, which, some.head)
        rig = known[key]
        name = row[named] if named is not None and named < len(row) else ""
        if isinstance(rig, Rig):
            found.append((number, name[:80] or f"row {number}", rig))
        else:
            faults += [replace(one, file=some.file, row=number) for one in rig]
    return found, faults


def _one_row(
    columns: Sequence[_Column], row: list[str], which: Which, head: Sequence[str]
) -> Rig | list[Fault]:
    if any(row[len(head) :]):
        return [Fault(due=f"{len(head)} cells", found=str(len(row)))]
    try:
        return _rig(columns, row, which, "")[1]
    except ValidationError as error:
        return list(validation_faults(error, Rig))


def _read(rigs: Mapping[str, Rig], faults: Sequence[Fault], names: Names) -> Read:
    found = Read(rigs=rigs, faults=tuple(faults), remarks=tuple(names.remarks))
    names.remarks.clear()
    return found


def _columns(head: Sequence[str], name: str, which: Which) -> list[_Column]:
    """The columns but for notes, what holds others first. FileFaultError for one unknown, twice or
    missing."""
    found: list[_Column] = []
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
        found.append(_Column(place=place, path=path, unit=unit))
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


def _rig(
    columns: Sequence[_Column], row: Sequence[str], which: Which, where: str
) -> tuple[str, Rig]:
    """One row as a rig with a stand-in for its other half."""
    data: dict[str, Any] = {}
    for column in columns:
        if column.place < len(row) and row[column.place]:
            _put(data, column, row[column.place])
    name = str(data.pop("name", "")) or where
    rig = Rig.model_validate({**STAND_IN[which], **data})
    return name[:80], rig


_NUMBER: Final = re.compile(r"[+-]?[\d.,/ ]*\d[\d.,/ ]*")


def _put(data: dict[str, Any], column: _Column, cell: str) -> None:
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


def _cell(cell: str, column: _Column, last: str) -> Any:
    if last in ("brakes", "sure") and cell.lower() in (*TRUE, *FALSE):
        return cell.lower() in TRUE
    if last in WHOLE and re.fullmatch(r"\d+(\.0+)?", cell):
        return int(float(cell))
    if last in PLAIN and re.fullmatch(r"\d+(\.\d+)?", cell):
        return float(cell)
    return f"{cell} {column.unit}" if column.unit and _NUMBER.fullmatch(cell) else cell
