"""Matches written best first, as a table or as JSON: put aside on disk a block at a time and then
written row by row, so that memory does not grow with the pairs and nothing is half written."""

import csv
import json
import sqlite3
import tempfile
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import IO, Any, Final, Protocol

from steelyard import __version__
from steelyard.files.match_report import (
    COLUMNS,
    HEAD,
    cells,
    never,
    remedy_report,
    schema,
    stage_reports,
)
from steelyard.files.report import CAUTIONS, REPORT
from steelyard.files.scratch import NUMBERS, Order
from steelyard.files.table_rows import polars
from steelyard.files.writer import no_room
from steelyard.matching.match import Matched
from steelyard.matching.pair_remedies import Remedy
from steelyard.matching.rank import LISTS, Pair
from steelyard.quantity import System
from steelyard.quantity.show import cell
from steelyard.words.matched import reasons

ENDINGS: Final = (".csv", ".parquet", ".json")
BATCH: Final = 2048
"""Rows of a table that are made into Parquet at a time."""
Row = tuple[int, int | None, bytes]
"""Number of its list, its place there, and the rest as a form put it aside."""
_NEVER: Final[tuple[float | str, ...]] = (float(len(LISTS)), *(0.0,) * (NUMBERS - 1), "", "")
"""What pairs that can't be coupled are ordered by: behind all others, as they came."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What is known when all pairs are: the units of words, what would help the first pairs, what
    was left out."""

    system: System
    helped: Sequence[Sequence[Remedy]]
    left_out: Sequence[str]


class Form(Protocol):
    """How a pair is put aside, and how the whole is written."""

    def rows(self, pairs: Sequence[Pair]) -> Iterator[bytes]:
        """All pairs of one block, each as it is put aside."""

    def bare(self, row: Mapping[str, Any]) -> bytes:
        """One pair that can't be coupled."""

    def whole(self, rows: Iterable[Row], said: Said) -> Iterator[str]:
        """The text of it all, some at a time."""


class Table:
    """CSV: what is put aside is a line from its third cell on."""

    def rows(self, pairs: Sequence[Pair]) -> Iterator[bytes]:
        """All pairs of one block, each as it is put aside."""
        return self._lines(cells(pairs))

    def bare(self, row: Mapping[str, Any]) -> bytes:
        """One pair that can't be coupled."""
        return next(self._lines([tuple(row[name] for name in HEAD[2:])]))

    def whole(self, rows: Iterable[Row], _said: Said) -> Iterator[str]:
        """The text of it all, some at a time."""
        yield f"{','.join(HEAD)}\n"
        for part, place, row in rows:
            yield f"{LISTS[part]},{place or ''},{row.decode()}"

    def _lines(self, rows: Iterable[Sequence[Any]]) -> Iterator[bytes]:
        lines = _Lines()
        csv.writer(lines, lineterminator="\n").writerows([cell(one) for one in row] for row in rows)
        return (line.encode(errors="replace") for line in lines)


class _Lines(list[str]):
    """What a writer of CSV writes, a line each."""

    def write(self, line: str) -> None:
        """Take one."""
        self.append(line)


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """JSON, a pair a line: cells, reasons in each system that may be asked for, stages; packed, as
    it is 30 kB a pair."""

    systems: Sequence[System]

    def rows(self, pairs: Sequence[Pair]) -> Iterator[bytes]:
        """All pairs of one block, each as it is put aside."""
        rows = zip(pairs, cells(pairs), stage_reports(pairs), strict=True)
        for pair, row, stages in rows:
            words = [
                list(reasons(pair.block, pair.found, pair.number, system))
                for system in self.systems
            ]
            whole = (dict(zip(COLUMNS[2:], row, strict=False)), *words, stages)
            yield _packed(map(_json, whole))

    def bare(self, row: Mapping[str, Any]) -> bytes:
        """One pair that can't be coupled."""
        return _packed([_json({name: row[name] for name in HEAD[2:]})])

    def whole(self, rows: Iterable[Row], said: Said) -> Iterator[str]:
        """The text of it all, some at a time."""
        yield f'{{\n "match": {REPORT},\n "steelyard": {_json(__version__)},\n "pairs": ['
        comma = ""
        for order, (part, place, row) in enumerate(rows):
            helped = said.helped[order] if order < len(said.helped) else ()
            yield f"{comma}\n  {self._pair(part, place, row, said.system, helped)}"
            comma = ","
        yield f'\n ],\n "left_out": {_json(said.left_out)},\n "cautions": {_json(CAUTIONS)}\n}}\n'

    def _pair(
        self, part: int, place: int | None, row: bytes, system: System, helped: Sequence[Remedy]
    ) -> str:
        own, *rest = zlib.decompress(row).decode().split("\n")
        first = f'{{"list": {_json(LISTS[part])}, "place": {_json(place)}, {own[1:]}'
        if not rest:
            return first
        words, stages = rest[self.systems.index(system)], rest[-1]
        remedies = _json([remedy_report(one) for one in helped])
        return f'{first[:-1]}, "reasons": {words}, "stages": {stages}, "remedies": {remedies}}}'


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)


def _packed(texts: Iterable[str]) -> bytes:
    """Texts of JSON, none of which holds a line's end, together."""
    return zlib.compress("\n".join(texts).encode(errors="replace"), 1)


class Sheet:
    """Pairs in one form, put aside as they come and given back best first."""

    def __init__(self, link: sqlite3.Connection, form: Form, name: str) -> None:
        self._order, self._form = Order(link, name), form

    def add(self, pairs: Sequence[Pair], found: Matched) -> None:
        """All pairs of one block, or those that can't be coupled."""
        if pairs:
            self._order.add(zip((pair.key for pair in pairs), self._form.rows(pairs), strict=True))
        self._order.add((_NEVER, self._form.bare(row)) for row in never(found))

    def text(self, said: Said) -> Iterator[str]:
        """The whole, some at a time."""
        return self._form.whole(self._rows(), said)

    def _rows(self) -> Iterator[Row]:
        last = len(LISTS)
        for part, place, row in self._order:
            yield (part, place, row) if part < last else (last - 1, None, row)


def write(path: Path, text: Iterable[str], ending: str) -> None:
    """Write a text into a file; the text of a table as Parquet where the ending says so."""
    try:
        if ending != ".parquet":
            with path.open("w", encoding="utf-8", newline="") as file:
                file.writelines(text)
            return
        with tempfile.TemporaryFile(dir=path.parent) as table:
            table.writelines(line.encode() for line in text)
            table.seek(0)
            _parquet(table, path)
    except OSError as error:
        raise no_room(path.parent, error) from None


def _parquet(table: IO[bytes], path: Path) -> None:
    """Parquet of a table's text, some rows at a time."""
    pl = polars()
    from polars.io.plugins import register_io_source

    kinds = schema(pl, HEAD)
    table.readline()

    def read(_columns: Any, _predicate: Any, _n_rows: Any, _size: Any) -> Iterator[Any]:
        for text in _batches(table):
            yield pl.read_csv(BytesIO(text), has_header=False, schema=kinds)

    register_io_source(read, schema=kinds).sink_parquet(path, row_group_size=16 * BATCH)


def _batches(table: IO[bytes]) -> Iterator[bytes]:
    """Whole rows of a table: a cell may hold a line's end, in quotes that are even in number."""
    some: list[bytes] = []
    quotes = 0
    for line in table:
        some.append(line)
        quotes += line.count(b'"')
        if len(some) >= BATCH and quotes % 2 == 0:
            yield b"".join(some)
            some, quotes = [], 0
    if some:
        yield b"".join(some)
