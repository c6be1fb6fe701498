"""Reading a list of what to bring: CSV or a spreadsheet, all of it or none."""

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from rapidfuzz import fuzz, process, utils

from steelyard.fault import Fault, listed, quoted
from steelyard.files.faults import FileFaultError
from steelyard.files.limits import LIMITS
from steelyard.files.reader import read_bytes, read_text
from steelyard.files.sandboxed import opened
from steelyard.files.table_rows import headed, narrow, not_csv
from steelyard.quantity import Dimension, QuantityError, System, parse
from steelyard.quantity.show import apart
from steelyard.rig import Rig
from steelyard.rig.base import NAME_PATTERN

COLUMNS: Final[Mapping[str, Dimension | None]] = {
    "item": None,
    "weight": "mass",
    "place": None,
    "length": "length",
    "width": "length",
    "height": "length",
    "importance": None,
    "note": None,
}
NEEDED: Final = ("item", "weight")
SURE: Final = 80.0
"""Likeness, of 100, from which a place's name is taken for one of the rig's."""
APART: Final = 5.0
"""By how much the best must lead the next."""
MOST_ROWS: Final = LIMITS["rows"].most
SHEET: Final = LIMITS["sheet bytes"].most


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of the list as read: its number, and its cells by column."""

    number: int
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """The list: tables for the rig file by item, those that no place was given to without one, and
    places whose names were guessed."""

    items: Mapping[str, Mapping[str, Any]]
    guessed: Mapping[str, str]


def read_manifest(path: str | Path, rig: Rig) -> Manifest:
    """A list for a rig. Raises FileFaultError with a sentence for each bad row; then none is read.

    The first row names the columns: item and weight, and where known place, length, width, height
    and importance. A unit may stand in the head, "weight (lb)", for cells without one.
    """
    where = Path(path)
    rows = _sheet(where) if where.suffix.lower() == ".xlsx" else _csv(where)
    lines, units = _lines(rows, where.name)
    faults: list[Fault] = []
    items: dict[str, dict[str, Any]] = {}
    guessed: dict[str, str] = {}
    known = {name.casefold() for name in rig.items}
    for line in lines:
        try:
            name, table = _item(line, units, rig, guessed)
            if name.casefold() in known:
                raise _cell("item", "each name once", f'"{name}" again')
            known.add(name.casefold())
            items[name] = table
        except FileFaultError as bad:
            faults += bad.within(row=line.number).faults
    if not faults and not items:
        faults.append(Fault(due="at least one row below the head", found="none"))
    faults += [] if faults else _too_heavy(items, rig)
    if faults:
        raise FileFaultError(*faults).within(file=where.name)
    return Manifest(items=items, guessed=guessed)


def _cell(column: str, due: str, found: str) -> FileFaultError:
    """One cell that cannot be used."""
    return FileFaultError(path=(column,), due=due, found=found)


def _csv(path: Path) -> list[list[str]]:
    text = read_text(path, "list of items").lstrip("\ufeff")
    head = text.split("\n", 1)[0]
    mark = max(",;\t", key=head.count)
    try:
        rows = csv.reader(io.StringIO(text), delimiter=mark, strict=True)
        return [narrow(row, path.name, number) for number, row in enumerate(rows, start=1)]
    except csv.Error as error:
        raise not_csv(path.name, error) from None


def _sheet(path: Path) -> list[list[str]]:
    rows = opened("sheet", read_bytes(path, "list of items", SHEET), path.name)
    return [narrow(row, path.name, number) for number, row in enumerate(rows, start=1)]


def _lines(rows: list[list[str]], name: str) -> tuple[list[Line], Mapping[str, str]]:
    """The rows below the head by column, and the unit each column's head names."""
    if len(rows) > MOST_ROWS + 1:
        raise FileFaultError(file=name, due=f"at most {MOST_ROWS:,} rows", found=f"{len(rows):,}")
    heads = [_head(cell) for cell in (rows[0] if rows else [])]
    columns = [column for column, _ in heads]
    for needed in NEEDED:
        if columns.count(needed) != 1:
            found = ", ".join(column for column in columns if column) or "none"
            raise FileFaultError(file=name, row=1, due=f"one column {needed}", found=found[:120])
    for column in columns:
        if column and column not in COLUMNS:
            due, found = f"columns among {', '.join(COLUMNS)}", f'"{column[:40]}"'
            raise FileFaultError(file=name, row=1, due=due, found=found)
    for n, row in enumerate(rows[1:], start=2):
        if any(cell.strip() for cell in row[len(columns) :]):
            due = f"{len(columns)} cells as in row 1"
            raise FileFaultError(file=name, row=n, due=due, found=str(len(row)))
    lines = [
        Line(number=n, cells=_cells(columns, row))
        for n, row in enumerate(rows[1:], start=2)
        if any(cell.strip() for cell in row)
    ]
    return lines, {column: unit for column, unit in heads if unit}


def _cells(columns: list[str], row: list[str]) -> dict[str, str]:
    pairs = zip(columns, row, strict=False)
    return {column: cell.strip() for column, cell in pairs if column and cell.strip()}


def _head(cell: str) -> tuple[str, str]:
    """`weight (lb)` as its column and unit."""
    word, unit = headed(cell)
    word = word.lower()
    return {"name": "item", "thing": "item", "where": "place"}.get(word, word), unit


def _item(
    line: Line, units: Mapping[str, str], rig: Rig, guessed: dict[str, str]
) -> tuple[str, dict[str, Any]]:
    for needed in NEEDED:
        if needed not in line.cells:
            raise _cell(needed, "a value", "none")
    name = line.cells["item"]
    if not re.fullmatch(NAME_PATTERN, name):
        raise _cell("item", "a name of letters, digits, spaces, - or _", quoted(name))
    table: dict[str, Any] = {"weight": _quantity(line, "weight", units)}
    if "place" in line.cells:
        table["place"] = _place(line.cells["place"], rig, guessed)
    sides = [column for column in ("length", "width", "height") if column in line.cells]
    if sides:
        if len(sides) < 3:
            raise _cell(sides[0], "length, width and height together", "less")
        table["size"] = [_quantity(line, side, units) for side in sides]
    if "importance" in line.cells:
        table["importance"] = _importance(line.cells["importance"])
    return name, table


def _quantity(line: Line, column: str, units: Mapping[str, str]) -> str:
    """A cell as a quantity's text, with the head's unit where the cell has none of its own."""
    raw, unit = line.cells[column], units.get(column, "")
    text = f"{raw} {unit}" if unit and re.fullmatch(r"[\d.,/ ]+", raw) else raw
    dimension = COLUMNS[column]
    assert dimension is not None
    try:
        found = parse(text, dimension)
    except QuantityError as error:
        raise FileFaultError(*error.faults).within(path=(column,)) from None
    if found.value < 0 or (dimension == "length" and found.value == 0):
        raise _cell(column, "more than nothing", quoted(text))
    return text


def _importance(raw: str) -> int:
    if not re.fullmatch(r"\d+(\.0)?", raw) or not 0 <= float(raw) <= 10:
        raise _cell("importance", "a whole number from 0 to 10", quoted(raw))
    return int(float(raw))


def _place(raw: str, rig: Rig, guessed: dict[str, str]) -> str:
    """The rig's place that is meant: by its key or title, however it is spelt."""
    names = dict(_names(rig))
    plain = {utils.default_process(known): key for known, key in names.items()}
    asked = utils.default_process(raw)
    if asked in plain:
        return plain[asked]
    close = process.extract(asked, list(plain), scorer=fuzz.WRatio, limit=len(plain))
    best: dict[str, float] = {}
    for known, score, _ in close:
        best[plain[known]] = max(best.get(plain[known], 0.0), score)
    ranked = sorted(best.items(), key=lambda pair: -pair[1])
    if ranked and ranked[0][1] >= SURE:
        if len(ranked) > 1 and ranked[0][1] - ranked[1][1] < APART:
            found = f'"{raw[:40]}", which may be {ranked[0][0]} or {ranked[1][0]}'
            raise _cell("place", "one place", found)
        guessed[raw] = ranked[0][0]
        return ranked[0][0]
    raise _cell("place", f"one of the places ({listed(rig.places)})", f'"{raw[:40]}"')


def _names(rig: Rig) -> Iterator[tuple[str, str]]:
    for key, place in rig.places.items():
        yield key, key
        if place.title:
            yield place.title, key


def _too_heavy(items: Mapping[str, Mapping[str, Any]], rig: Rig) -> list[Fault]:
    """Pounds read as kilograms, or grams as kilograms, show in the sum."""
    total = sum(parse(table["weight"], "mass").value for table in items.values())
    gvwr, gcwr = rig.trailer.gvwr, rig.vehicle.gcwr
    most, what = 20_000.0, "more than any such rig weighs"
    if gcwr or gvwr:
        most = gcwr.value if gcwr else 2 * gvwr.value if gvwr else most
        what = "the vehicle's GCWR" if gcwr else "twice the trailer's GVWR"
    if total <= most:
        return []
    system: System = "us" if rig.region in (None, "north-america") else "metric"
    due, found = (apart(kg, "mass", system, most, total) for kg in (most, total))
    hint = "is the unit of the weights right?"
    return [Fault(due=f"less than {due} in all, {what}", found=found, hint=hint)]


def manifest_csv(rows: Sequence[Mapping[str, str]]) -> str:
    """A list as CSV text, to be edited and read again."""
    out = io.StringIO()
    head = [*NEEDED, "place", "note"]
    writer = csv.DictWriter(out, head, lineterminator="\n")
    writer.writeheader()
    writer.writerows({key: row.get(key, "") for key in head} for row in rows)
    return out.getvalue()
