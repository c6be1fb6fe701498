"""Tables of vehicles or trailers, one a row, and folders of rig files. Read a part at a time, the
names that were seen put aside on disk, so a million rows need no more memory than a thousand."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.columns.alike import Alike, Many, alike
from steelyard.fault import Fault
from steelyard.files.candidate_columns import Ints, groups
from steelyard.files.candidate_rows import STAND_IN, Column, Which, columns_of, row_rig
from steelyard.files.faults import FileFaultError
from steelyard.files.reader import read_text, toml, validated
from steelyard.files.scratch import Names, scratch
from steelyard.files.table_frames import Rows, Some, head_of, tables
from steelyard.files.table_rows import count_rows, polars
from steelyard.rig import Rig

ROWS: Final = 1000
"""Rows of a part."""
MORE_ROWS: Final = 4000
"""The same where there are very many pairs: alike rows stand together the more rows there are."""
TABLES: Final = (".csv", ".parquet")


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """Some rigs with their names and their rows' numbers, what could not be read, and remarks on
    what was. twins: for each the first of these that says the same but for its name."""

    rigs: Many[Rig]
    rows: Ints
    twins: Ints
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
        yield _listed({_called(rig, which, where.stem): rig}, 1)


def count(path: str | Path) -> int | None:
    """About how many there are, for a progress bar; None where that is not cheap to know."""
    where = Path(path)
    try:
        if where.is_dir():
            return len(list(where.glob("*.toml")))
        if where.suffix.lower() in TABLES:
            return count_rows(where) if where.is_file() else None
    except OSError:
        return None
    return 1


def read_part(path: Path, which: Which) -> Rig:
    """A rig file, or one with its vehicle and hitch or its trailer alone; the rest stands in."""
    text = read_text(path, "rig file")
    data = toml(text, path.name)
    if which not in data:
        raise FileFaultError(file=path.name, due=f"a table [{which}]", found="none")
    for key, table in STAND_IN[which].items():
        data.setdefault(key, table)
    return validated(Rig, data, text, path.name)


def _called(rig: Rig, which: Which, otherwise: str) -> str:
    own = rig.vehicle.title if which == "vehicle" else rig.trailer.title
    return own or (rig.name if rig.name != "rig" else otherwise)


def _folder(folder: Path, which: Which, names: Names, size: int) -> Iterator[Read]:
    files = [file for file in sorted(folder.glob("*.toml")) if not _is_ticket(file)]
    if not files:
        raise FileFaultError(file=str(folder), due="rig files (.toml) in it", found="none")
    for start in range(0, len(files), size):
        rigs, faults = dict[str, Rig](), list[Fault]()
        for file in files[start : start + size]:
            try:
                rig = read_part(file, which)
            except FileFaultError as error:
                faults += error.faults
                continue
            rigs[names.own(_called(rig, which, file.stem), file.name)] = rig
        yield _listed(rigs, start + 1, tuple(faults), tuple(names.remarks))
        names.remarks.clear()


def _listed(
    rigs: Mapping[str, Rig], first: int, faults: tuple[Fault, ...] = (), remarks: Sequence[str] = ()
) -> Read:
    """Rigs of files, numbered from the first."""
    every, index = list(rigs.values()), np.arange(len(rigs))
    return Read(
        rigs=Many(list(rigs), every.__getitem__),
        rows=index + first,
        twins=index,
        faults=faults,
        remarks=tuple(remarks),
    )


def _is_ticket(file: Path) -> bool:
    """Whether a file of the folder is a ticket of readings, which is left alone."""
    if not file.is_file():
        return False
    try:
        with file.open("rb") as lines:
            return lines.readline(200).lstrip().startswith(b"ticket")
    except OSError:
        return False


def chunks(path: Path, which: Which, size: int = ROWS) -> Iterator[Some]:
    """A table's rows as words, `size` at a time. FileFaultError as of `parts`."""
    columns_of(head_of(path), path.name, which)
    return tables(path, size)


def _table(path: Path, which: Which, names: Names, size: int) -> Iterator[Read]:
    for some in chunks(path, which, size):
        found = read_rows(some, which)
        own = zip(found.rigs.names, found.rows.tolist(), strict=True)
        rigs = found.rigs.called([names.own(name, f"row {row}") for name, row in own])
        yield replace(found, rigs=rigs, remarks=tuple(names.remarks))
        names.remarks.clear()


def read_rows(some: Some, which: Which) -> Read:
    """Some rows of a table of vehicles or trailers; a faulty one is left out and named."""
    own = columns_of(some.head, some.file, which)
    rigs = _Rigs(some, own, which)
    rows = np.flatnonzero(_filled(some))
    twins = _twins(some, own, rows)
    first = np.unique(twins)
    found, left = _groups(some, own, rigs, first)
    alone = [place for place in left.tolist() if rigs.of(place) is not None]
    found += [
        Alike(members=np.array(alone)[one.members], numbers=one.numbers)
        for one in alike(_facts(rigs.of(place), which) for place in alone)
    ]
    bad = np.isin(twins, np.setdiff1d(left, alone))
    index = np.cumsum(~bad) - 1
    at = np.full(len(some), -1)
    at[rows] = np.where(bad, -1, index)
    told = zip(rows[bad].tolist(), twins[bad].tolist(), strict=True)
    faults = [fault for row, twin in told for fault in rigs.faults(row, twin)]
    good, whose = rows[~bad], twins[~bad]
    return Read(
        rigs=Many(
            _names(some, own, good),
            lambda k: rigs.rig(int(good[k])),
            tuple(_every(one, whose, len(some)) for one in found),
        ),
        rows=good + some.first,
        twins=at[whose],
        faults=tuple(faults),
        remarks=(),
    )


@dataclass(frozen=True, slots=True)
class _Rigs:
    """Rigs of rows by their places, what was made or found faulty kept."""

    some: Some
    own: Sequence[Column]
    which: Which
    kept: dict[int, Rig | tuple[Fault, ...]] = field(default_factory=dict)

    def rig(self, place: int) -> Rig:
        """A row as a rig. FileFaultError where it is faulty."""
        return row_rig(self.own, self.some.row(place), self.which, len(self.some.head))

    def of(self, place: int) -> Rig | None:
        """The same, None where it is faulty."""
        if place not in self.kept:
            try:
                self.kept[place] = self.rig(place)
            except FileFaultError as error:
                self.kept[place] = error.faults  # not itself: it holds all that led to it
        found = self.kept[place]
        return found if isinstance(found, Rig) else None

    def faults(self, place: int, twin: int) -> Sequence[Fault]:
        """What is wrong with a row that says what another says."""
        found = self.kept[twin]
        assert isinstance(found, tuple)
        return (
            FileFaultError(*found)
            .within(file=self.some.file, row=self.some.first + int(place))
            .faults
        )


def _filled(some: Some) -> NDArray[np.bool_]:
    """Whether there is anything in a row."""
    if isinstance(some, Rows):
        return np.array([any(some.row(place)) for place in range(len(some))], dtype=bool)
    every = some.words.select(~polars().all_horizontal(polars().all().is_null()))
    there: NDArray[np.bool_] = every.to_series().to_numpy().copy()
    there[list(some.long)] = True
    return there


def _twins(some: Some, own: Sequence[Column], rows: Ints) -> Ints:
    """For each row the place of the first that says the same but for its name."""
    if isinstance(some, Rows):
        return rows
    told = [str(one.place) for one in own if one.path != ("name",)]
    first = some.words.with_row_index("first").select(
        polars().col("first").first().over(told).cast(polars().Int64)
    )
    found: Ints = first.to_series().to_numpy().copy()
    found[list(some.long)] = list(some.long)
    return found[rows]


def _groups(
    some: Some, own: Sequence[Column], rigs: _Rigs, first: Ints
) -> tuple[list[Alike], Ints]:
    if isinstance(some, Rows):
        return [], first
    long = np.array(list(some.long), dtype=np.intp)
    found, left = groups(some, own, rigs.of, np.setdiff1d(first, long))
    return found, np.union1d(left, np.intersect1d(first, long))


def _facts(rig: Rig | None, which: Which) -> Mapping[str, Any]:
    """What rows must be alike in."""
    assert rig is not None
    speed = None if rig.speed is None else rig.speed.value
    said = {"region": rig.region, "country": rig.country, "speed": speed}
    return {which: getattr(rig, which), "hitch": rig.hitch, **said}


def _names(some: Some, own: Sequence[Column], rows: Ints) -> list[str]:
    """What rows are called: by their name, or their number."""
    place = next((one.place for one in own if one.path == ("name",)), None)
    if place is None:
        named: Sequence[str | None] = [None] * len(rows)
    elif isinstance(some, Rows):
        named = [some.row(row)[place] for row in rows.tolist()]
    else:
        named = some.words[rows][str(place)].to_list()
    return [(name or f"row {some.first + row}")[:80] for name, row in zip(named, rows, strict=True)]


def _every(one: Alike, whose: Ints, size: int) -> Alike:
    """All rows whose first is a member, by their number."""
    at = np.full(size, -1)
    at[one.members] = np.arange(len(one.members))
    mine = np.flatnonzero(at[whose] >= 0)
    return Alike(members=mine, numbers=one.numbers.some(at[whose[mine]]))
