"""A table some rows at a time: as columns of words by Polars, as rows of words without it.

Plain CSV goes from bytes to columns. From the first part on that has a quote, a row of another
length or anything odd, rows are read one by one, which says what is wrong, if something is.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from itertools import islice
from pathlib import Path
from typing import IO, Any, Final

import numpy as np

from steelyard.files import table_rows
from steelyard.files.faults import FileFaultError
from steelyard.files.limits import LIMITS
from steelyard.files.table_rows import BYTES, csv_rows, narrow, no_table, polars, separator

Row = Sequence[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Some rows of a table as words: the file's name, its head, the first row's number."""

    file: str
    head: tuple[str, ...]
    first: int
    cells: Sequence[Row]

    def __len__(self) -> int:
        return len(self.cells)

    def row(self, place: int) -> list[str]:
        """One of them, no cell with space around it."""
        return [cell.strip() for cell in self.cells[place]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """The same as a Polars frame of text, a column for each place in the head, null for an empty
    cell; `long`: rows with more cells than the head, whole."""

    file: str
    head: tuple[str, ...]
    first: int
    words: Any
    long: Mapping[int, Row]

    def __len__(self) -> int:
        return len(self.words)

    def row(self, place: int) -> list[str]:
        """One of them; "" for an empty cell."""
        if place in self.long:
            return [cell.strip() for cell in self.long[place]]
        return [cell or "" for cell in self.words.row(place)]


Some = Rows | Frame


def tables(path: Path, size: int) -> Iterator[Some]:
    """A table, `size` rows at a time. FileFaultError where it cannot be read as what it is, or has
    no row."""
    count = 0
    for some in _way(path)(path, size):
        yield some
        count += len(some)
    if not count:
        raise FileFaultError(file=path.name, due="at least one row below the head", found="none")


def _way(path: Path) -> Callable[[Path, int], Iterator[Some]]:
    if path.suffix.lower() == ".parquet":
        return _parquet
    large = path.is_file() and path.stat().st_size > SLIGHT
    return _csv if large and has_polars() else _slowly


SLIGHT: Final = 100_000
"""Bytes of CSV up to which rows are read before Polars is even loaded."""


def has_polars() -> bool:
    """Whether Polars is installed."""
    try:
        return bool(polars())
    except FileFaultError:
        return False


def head_of(path: Path) -> tuple[str, ...]:
    """The first row. FileFaultError where the file cannot be read as what it is."""
    if path.exists() and not path.is_file():
        raise no_table(path, "a folder, a pipe or a device")
    if path.suffix.lower() != ".parquet":
        return tuple(next(csv_rows(path), ()))
    with _faults(path):
        return tuple(narrow(list(polars().read_parquet_schema(path)), path.name, 1))


def _slowly(path: Path, size: int, start: int = 0, first: int = 2) -> Iterator[Rows]:
    """Row by row, from a byte on."""
    head, rows = head_of(path), csv_rows(path, start, first if start else 1)
    if not start:
        next(rows, None)
    while cells := list(islice(rows, size)):
        yield Rows(file=path.name, head=head, first=first, cells=cells)
        first += len(cells)


def _csv(path: Path, size: int) -> Iterator[Frame]:
    head, first, start = head_of(path), 2, 0
    with path.open("rb") as file:
        lines = _Lines(file)
        some = lines.take(1)
        mark = separator(some.decode("utf-8-sig", "replace"))
        while _plain(some, mark, len(head)):
            start, some = lines.given, lines.take(size)
            if not some:
                return
            if _plain(some, mark, len(head)):
                words = _split(some, mark, len(head))
                yield _framed(path.name, head, first, words)
                first += len(words)
    for part in _slowly(path, size, start, first):
        yield _columns(part)


def _columns(some: Rows) -> Frame:
    width = len(some.head)
    rows = [[*row[:width], *[""] * (width - len(row))] for row in some.cells]
    frame = polars().DataFrame(list(zip(*rows, strict=True)), schema=_schema(width))
    found = {place: row for place, row in enumerate(some.cells) if any(map(str.strip, row[width:]))}
    return _framed(some.file, some.head, some.first, frame, found)


def _schema(width: int) -> dict[str, Any]:
    return {str(place): polars().String for place in range(width)}


def _framed(
    file: str, head: tuple[str, ...], first: int, words: Any, long: Mapping[int, Row] = {}
) -> Frame:
    pl = polars()
    bare = pl.all().str.strip_chars()
    words = words.select(pl.when(bare == "").then(None).otherwise(bare).name.keep())
    return Frame(file=file, head=head, first=first, words=words, long=long)


class _Lines:
    """A file's whole lines, so many at a time."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file, self._left, self.given = file, b"", 0

    def take(self, count: int) -> bytes:
        """The next lines, all there are at the end, and all read so far of one without an end."""
        while (ends := _ends(self._left, count)) is None:
            more = self._file.read(BYTES)
            self._left += more
            if not more or len(self._left) - self._left.rfind(b"\n") > 4 * table_rows.LONGEST:
                ends = len(self._left)
                break
        found, self._left = self._left[:ends], self._left[ends:]
        self.given += len(found)
        return found


def _ends(some: bytes, count: int) -> int | None:
    """Behind how many bytes so many lines end."""
    if some.count(b"\n") < count:
        return None
    return int(np.flatnonzero(np.frombuffer(some, np.uint8) == ord("\n"))[count - 1]) + 1


_ODD: Final = re.compile(rb'["\x00-\x08\x0b\x0c\x0e-\x1f\x7f]|\xc2[\x80-\x9f]|\r(?!\n)|(^|\n)\r?\n')
"""Quotes, control characters and blank lines."""


def _plain(some: bytes, mark: str, width: int) -> bool:
    """Whether every line is as many cells as the head, none quoted, nothing in them odd or long."""
    if not some or _ODD.search(some):
        return False
    try:
        some.decode()
    except UnicodeDecodeError:
        return False
    letters = np.frombuffer(some if some.endswith(b"\n") else some + b"\n", np.uint8)
    ends = np.flatnonzero(letters == ord("\n"))
    marks = np.flatnonzero(letters == ord(mark))
    each = np.diff(np.searchsorted(marks, ends), prepend=0)
    cells = np.diff(np.sort(np.concatenate([marks, ends])), prepend=-1) - 1
    lines = np.diff(ends, prepend=-1)
    return bool(
        (each == width - 1).all()
        and cells.max() <= LIMITS["cell"].most
        and lines.max() < table_rows.LONGEST
        and width <= LIMITS["columns"].most
    )


def _split(some: bytes, mark: str, width: int) -> Any:
    return polars().read_csv(
        BytesIO(some),
        has_header=False,
        separator=mark,
        quote_char=None,
        schema=_schema(width),
    )


def _parquet(path: Path, size: int) -> Iterator[Frame]:
    pl, head, start = polars(), head_of(path), 0
    with _faults(path):
        whole = pl.scan_parquet(path)
        while len(part := whole.slice(start, size).collect()):
            columns = {str(place): _text(part[name]) for place, name in enumerate(head)}
            words = _narrow(pl.DataFrame(columns), path.name, start + 2)
            yield _framed(path.name, head, start + 2, words)
            start += len(part)


@contextmanager
def _faults(path: Path) -> Iterator[None]:
    if not path.is_file():
        raise no_table(path, "no such file")
    try:
        yield
    except polars().exceptions.PolarsError as error:
        found = f"a fault: {str(error).splitlines()[0][:120]}"
        raise FileFaultError(file=path.name, due="Parquet", found=found) from None


def _text(column: Any) -> Any:
    """A column as Python writes it; words and most numbers without an object of each."""
    pl = polars()
    if column.dtype.is_float():
        column = column.cast(pl.Float64)
        size = column.drop_nulls().abs()
        if (((size >= SMALL) | (size == 0)) & (size < LARGE)).all():
            return column.cast(pl.String)
    if column.dtype == pl.String or column.dtype.is_integer():
        return column.cast(pl.String)
    return pl.Series([None if cell is None else str(cell) for cell in column], dtype=pl.String)


SMALL, LARGE = 1e-4, 1e16
"""Between these Python writes a number without an exponent."""
_STEERS: Final = r"[\x00-\x08\x0b\x0e-\x1f\x7f-\x{9f}]"


def _narrow(words: Any, file: str, first: int) -> Any:
    """A frame as it is; FileFaultError where a cell is too long, or steers a terminal."""
    every = polars().all()
    longest = words.select(every.str.len_chars().max()).row(0)
    odd = words.select(every.str.contains(_STEERS).any()).row(0)
    if any(odd) or max([x or 0 for x in longest], default=0) > LIMITS["cell"].most:
        for number, row in enumerate(words.iter_rows(), start=first):
            narrow([cell or "" for cell in row], file, number)
    return words
