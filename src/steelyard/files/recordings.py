"""Reading a recording: CSV with time, yaw rate or articulation, and speed, units in the header."""

import csv
import io
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

import numpy as np

from steelyard.estimate import Array
from steelyard.fault import Fault
from steelyard.files.faults import FileFaultError
from steelyard.files.limits import LIMITS
from steelyard.files.reader import decoded, read_bytes
from steelyard.files.table_rows import headed, narrow, not_csv
from steelyard.quantity.units import UNITS
from steelyard.swaying.recordings.recording import Quantity, Recording

LARGEST: Final = LIMITS["recording bytes"].most
"""More than an hour at 100 lines a second."""

NAMES: Final = {
    "time": ("time", "t", "timestamp", "elapsed", "elapsed time", "seconds elapsed"),
    "yaw rate": ("yaw rate", "yaw velocity", "gyro z", "gyroscope z", "yaw"),
    "articulation": ("articulation", "articulation angle", "hitch angle"),
    "speed": ("speed", "gps speed", "vehicle speed", "velocity"),
}
"""What a column may be called, letters' case and underscores aside."""
SIZES: Final = {
    "time": {"s": 1.0, "sec": 1.0, "ms": 1e-3, "us": 1e-6, "µs": 1e-6, "min": 60.0},
    "yaw rate": {"rad/s": 1.0, "deg/s": math.pi / 180, "°/s": math.pi / 180},
    "articulation": dict(UNITS["angle"]),
    "speed": {**UNITS["speed"], "km/hr": 1 / 3.6, "kph": 1 / 3.6, "kn": 1852 / 3600},
}
"""SI size of each unit a header may state."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column that is read: what it holds, its place in a line, its unit as written, and that
    unit's size."""

    key: str
    place: int
    unit: str
    size: float


def read_recording(path: str | Path) -> Recording:
    """The recording in a CSV file. Raises FileFaultError with one sentence."""
    where = Path(path)
    text = decoded(read_bytes(where, "recording", LARGEST), where.name)
    return parse_recording(text, where.name)


def parse_recording(text: str, name: str) -> Recording:
    """The recording in CSV text; cells parted by commas, semicolons or tabs."""
    if not text.strip():
        raise FileFaultError(file=name, due="a recording", found="an empty file")
    first = text.lstrip().split("\n", 1)[0]
    mark = max(";\t,", key=first.count)
    try:
        rows = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
        return _read(rows, name, decimal="," if mark == ";" else ".")
    except csv.Error as error:
        raise not_csv(name, error) from None


def _read(rows: Any, name: str, decimal: str) -> Recording:
    head: list[str] = next((row for row in rows if any(cell.strip() for cell in row)), [])
    narrow(head, name, rows.line_num)
    try:
        columns, ignored = _columns(head)
    except FileFaultError as error:
        raise error.within(file=name, line=rows.line_num) from None
    quantity: Quantity = "articulation" if "articulation" in columns else "yaw rate"
    remarks = [f"columns not read: {', '.join(ignored)}"] if ignored else []
    wanted = [columns[key] for key in ("time", quantity, "speed")]
    table, lines = _numbers(rows, wanted, name, decimal)
    times, swing, speed = (column * one.size for column, one in zip(table.T, wanted, strict=True))
    _rising(times, lines, name)
    swing, times, speed, more = _whole(times, swing, speed, lines, name)
    return Recording(
        quantity=quantity,
        unit=columns[quantity].unit,
        speed_unit=columns["speed"].unit,
        times=times,
        swing=swing,
        speed=speed,
        remarks=(*remarks, *more),
    )


def _columns(head: list[str]) -> tuple[dict[str, Column], list[str]]:
    found: dict[str, Column] = {}
    ignored = []
    for place, cell in enumerate(head):
        word, unit = headed(cell)
        bare = word.lower().replace("_", " ")
        key = next((key for key, names in NAMES.items() if bare in names), None)
        if key is None:
            ignored.append(cell.strip()[:40] or "(no name)")
            continue
        if key in found:
            raise FileFaultError(due=f"one {key} column", found="another")
        found[key] = _column(key, place, unit)
    if "yaw rate" in found and "articulation" in found:
        ignored.append("yaw rate (articulation is there)")
    _complete(found)
    return found, ignored


def _column(key: str, place: int, unit: str) -> Column:
    sizes = SIZES[key]
    if unit not in sizes:
        given = f'"{unit[:20]}"' if unit else "none"
        due = f'its unit in the header, such as "{key} [{next(iter(sizes))}]"'
        hint = f"one of {', '.join(sizes)}"
        raise FileFaultError(path=(key,), due=due, found=given, hint=hint)
    return Column(key=key, place=place, unit=unit, size=sizes[unit])


def _complete(found: dict[str, Column]) -> None:
    examples = {"time": "time [s]", "speed": "speed [mph]"}
    for key, example in examples.items():
        if key not in found:
            raise FileFaultError(due=f'a column "{example}"', found=f"no {key}")
    if "yaw rate" not in found and "articulation" not in found:
        due = 'a column "yaw rate [deg/s]" or "articulation [deg]"'
        raise FileFaultError(due=due, found="neither")


def _numbers(rows: Any, wanted: list[Column], name: str, decimal: str) -> tuple[Array, list[int]]:
    """Cells of the wanted columns (n, 3), NaN where empty, and the line of each."""
    table, lines = [], []
    for row in rows:
        if any(cell.strip() for cell in row):
            where = Fault(file=name, line=rows.line_num, due="a number")
            table.append(list(_cells(row, wanted, where, decimal)))
            lines.append(rows.line_num)
    if not table:
        raise FileFaultError(file=name, due="lines of numbers below the header", found="none")
    return np.array(table), lines


def _cells(row: list[str], wanted: list[Column], where: Fault, decimal: str) -> Iterator[float]:
    for one in wanted:
        cell = row[one.place].strip() if one.place < len(row) else ""
        if not cell:
            yield math.nan
            continue
        try:
            number = float(cell.replace(decimal, "."))
        except ValueError:
            number = math.inf
        if not abs(number) < 1e15:
            raise FileFaultError(replace(where, path=(one.key,), found=f'"{cell[:30]}"'))
        yield number


def _rising(times: Array, lines: list[int], name: str) -> None:
    missing = np.flatnonzero(np.isnan(times))
    if missing.size:
        at = lines[missing[0]]
        raise FileFaultError(file=name, line=at, path=("time",), due="a time", found="none")
    back = np.flatnonzero(np.diff(times) <= 0)
    if back.size:
        k = int(back[0])
        found = f"{times[k + 1]:.10g} s after {times[k]:.10g} s"
        raise FileFaultError(file=name, line=lines[k + 1], due="time to rise", found=found)


def _whole(
    times: Array, swing: Array, speed: Array, lines: list[int], name: str
) -> tuple[Array, Array, Array, list[str]]:
    """Lines that have a swing and roll, speed filled in where a slower sensor left it empty."""
    known = ~np.isnan(speed)
    if not known.any():
        raise FileFaultError(file=name, due="a speed", found="none in any line")
    below = np.flatnonzero(speed < 0)
    if below.size:
        line, found = lines[below[0]], f"{speed[below[0]]:.3g} m/s"
        raise FileFaultError(file=name, line=line, due="a speed above zero", found=found)
    if not np.nanmax(speed) > 0:
        raise FileFaultError(file=name, due="a speed above zero", found="zero in every line")
    full = np.interp(times, times[known], speed[known])
    there, rolls = ~np.isnan(swing), full > 0
    keep = there & rolls
    if not keep.any():
        raise FileFaultError(file=name, due="a swing in lines that roll", found="none")
    return swing[keep], times[keep], full[keep], _remarks(known, there, rolls)


def _remarks(known: Any, there: Any, rolls: Any) -> list[str]:
    counts = {
        "lines without a speed, filled in between neighbours": int(np.sum(~known)),
        "lines without a swing, left out": int(np.sum(~there)),
        "lines at a standstill, left out": int(np.sum(there & ~rolls)),
    }
    return [f"{count} {what}" for what, count in counts.items() if count]
