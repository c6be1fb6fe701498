"""Rows of a table as words, some at a time: CSV by the standard library, Parquet by Polars."""

import csv
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from typing import Any, Final

from steelyard.fault import Fault, quoted
from steelyard.files.faults import FileFaultError
from steelyard.files.limits import LIMITS, beyond, unprintable

LONGEST: Final = LIMITS["line"].most
BYTES: Final = 1 << 20
BATCH: Final = 4096
"""Rows of Parquet that are taken out at a time."""


def rows_of(path: Path) -> Iterator[list[str]]:
    """Every row, the head first; FileFaultError where the file cannot be read as what it is."""
    if path.exists() and not path.is_file():
        raise _no_table(path, "a folder, a pipe or a device")
    rows = _parquet_rows(path) if path.suffix.lower() == ".parquet" else _csv_rows(path)
    return (narrow(row, path.name, number) for number, row in enumerate(rows, start=1))


def count_rows(path: Path) -> int | None:
    """About how many there are below the head; None where that cannot be said. OSError."""
    if path.suffix.lower() == ".parquet":
        return _rows_of_parquet(path)
    lines, last = 0, b"\n"
    with path.open("rb") as file:
        while some := file.read(BYTES):
            lines, last = lines + some.count(b"\n"), some[-1:]
    return max(lines - (last == b"\n"), 0)


def _csv_rows(path: Path) -> Iterator[list[str]]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            first = file.readline(LONGEST)
            file.seek(0)
            mark = max(",;\t", key=first.count)
            lines = iter(lambda: file.readline(LONGEST), "")
            yield from csv.reader(_bounded(lines, path.name), delimiter=mark, strict=True)
    except UnicodeDecodeError:
        fault = Fault(file=path.name, due="UTF-8 text", found="something else")
        raise FileFaultError(fault) from None
    except csv.Error as error:
        raise not_csv(path.name, error) from None
    except OSError as error:
        raise _no_table(path, (error.strerror or "no file").lower()) from None


def headed(cell: str) -> tuple[str, str]:
    """`weight (lb)` or `speed [mph]` as its word and its unit."""
    whole = cell.strip()
    at = max(whole.rfind("("), whole.rfind("["))
    if at < 0 or not whole.endswith((")", "]")):
        return whole, ""
    return whole[:at].strip(), whole[at + 1 : -1].strip()


def narrow(row: list[str], name: str, number: int) -> list[str]:
    """A row as it is; FileFaultError where it has too many cells, or one too long."""
    cells = (fault for cell in row for fault in beyond("cell", len(cell)))
    for fault in chain(beyond("columns", len(row)), cells):
        raise FileFaultError(fault).within(file=name, row=number)
    odd = next((found for found in map(unprintable, row) if found), "")
    if odd:
        due = "text without control characters"
        raise FileFaultError(Fault(file=name, row=number, due=due, found=quoted(odd)))
    return row


def not_csv(name: str, error: csv.Error) -> FileFaultError:
    """Text that is no CSV, with what its reader says of it."""
    return FileFaultError(Fault(file=name, due="CSV", found=f"a fault: {error}"))


def _no_table(path: Path, why: str) -> FileFaultError:
    return FileFaultError(Fault(file=str(path), due="a table", found="none", hint=why))


def _bounded(lines: Iterator[str], name: str) -> Iterator[str]:
    for number, line in enumerate(lines, start=1):
        if len(line) >= LONGEST:
            due = f"a line under {LONGEST:,} letters"
            raise FileFaultError(Fault(file=name, line=number, due=due, found="a longer one"))
        yield line


def polars() -> Any:
    """The library that reads and writes Parquet; FileFaultError saying what to install."""
    try:
        import polars as found
    except ModuleNotFoundError:
        due, hint = "Polars to read or write Parquet with", "install steelyard[tables], or use CSV"
        raise FileFaultError(Fault(due=due, found="none", hint=hint)) from None
    return found


def _parquet_rows(path: Path) -> Iterator[list[str]]:
    pl = polars()
    if not path.is_file():
        raise _no_table(path, "no such file")
    try:
        frame = pl.scan_parquet(path)
        yield list(frame.collect_schema().names())
        start = 0
        while True:
            part = frame.slice(start, BATCH).collect()
            for row in part.iter_rows():
                yield ["" if cell is None else str(cell) for cell in row]
            start += BATCH
            if len(part) < BATCH:
                return
    except pl.exceptions.PolarsError as error:
        found = f"a fault: {str(error).splitlines()[0][:120]}"
        raise FileFaultError(Fault(file=path.name, due="Parquet", found=found)) from None


def _rows_of_parquet(path: Path) -> int | None:
    pl = polars()
    try:
        return int(pl.scan_parquet(path).select(pl.len()).collect().item())
    except (pl.exceptions.PolarsError, OSError):
        return None
