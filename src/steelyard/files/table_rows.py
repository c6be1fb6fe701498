"""Rows of a table as words: CSV by the standard library; what any cell and row may be."""

import csv
from collections.abc import Iterator
from io import TextIOWrapper
from itertools import chain
from pathlib import Path
from typing import Any, Final

from steelyard.fault import Fault, quoted
from steelyard.files.faults import FileFaultError
from steelyard.files.limits import LIMITS, beyond, unprintable

LONGEST: Final = LIMITS["line"].most
BYTES: Final = 1 << 20


def count_rows(path: Path) -> int | None:
    """About how many there are below the head; None where that cannot be said. OSError."""
    if path.suffix.lower() == ".parquet":
        return _rows_of_parquet(path)
    lines, last = 0, b"\n"
    with path.open("rb") as file:
        while some := file.read(BYTES):
            lines, last = lines + some.count(b"\n"), some[-1:]
    return max(lines - (last == b"\n"), 0)


def csv_rows(path: Path, start: int = 0, first: int = 1) -> Iterator[list[str]]:
    """Every row, the head first, or from a byte on where a row begins, that one's number said;
    FileFaultError where the file cannot be read as CSV."""
    try:
        with path.open("rb") as letters:
            mark = separator(letters.readline(LONGEST).decode("utf-8-sig", "replace"))
            letters.seek(start)
            file = TextIOWrapper(letters, encoding="utf-8" if start else "utf-8-sig", newline="")
            lines = iter(lambda: file.readline(LONGEST), "")
            rows = csv.reader(_bounded(lines, path.name, first), delimiter=mark, strict=True)
            yield from (narrow(row, path.name, n) for n, row in enumerate(rows, start=first))
    except UnicodeDecodeError:
        fault = Fault(file=path.name, due="UTF-8 text", found="something else")
        raise FileFaultError(fault) from None
    except csv.Error as error:
        raise not_csv(path.name, error) from None
    except OSError as error:
        raise no_table(path, (error.strerror or "no file").lower()) from None


def separator(line: str) -> str:
    """What parts the cells of a head."""
    return max(",;\t", key=line.count)


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
        raise FileFaultError(file=name, row=number, due=due, found=quoted(odd))
    return row


def not_csv(name: str, error: csv.Error) -> FileFaultError:
    """Text that is no CSV, with what its reader says of it."""
    return FileFaultError(file=name, due="CSV", found=f"a fault: {error}")


def no_table(path: Path, why: str) -> FileFaultError:
    """What is at a path is no table."""
    return FileFaultError(file=str(path), due="a table", found="none", hint=why)


def _bounded(lines: Iterator[str], name: str, first: int) -> Iterator[str]:
    for number, line in enumerate(lines, start=first):
        if len(line) >= LONGEST:
            due = f"a line under {LONGEST:,} letters"
            raise FileFaultError(file=name, line=number, due=due, found="a longer one")
        yield line


def polars() -> Any:
    """The library that reads and writes Parquet; FileFaultError saying what to install."""
    try:
        import polars as found
    except ModuleNotFoundError:
        due, hint = "Polars to read or write Parquet with", "install steelyard[tables], or use CSV"
        raise FileFaultError(due=due, found="none", hint=hint) from None
    return found


def _rows_of_parquet(path: Path) -> int | None:
    pl = polars()
    try:
        return int(pl.scan_parquet(path).select(pl.len()).collect().item())
    except (pl.exceptions.PolarsError, OSError):
        return None
