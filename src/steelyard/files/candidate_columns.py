"""Rows of a table as columns of numbers: which are alike, and what each of them states.

No object is made of a row. Numbers are read a column at a time; rows alike in all else are checked
together, by the checks that one rig is held to. Whatever is doubtful is read as a row by itself.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from pydantic import TypeAdapter, ValidationError

from steelyard.columns.alike import ONE_BY_ONE, Alike, Numbers, Path
from steelyard.columns.columns_of import columns
from steelyard.files.candidate_rows import OWN, Column, quantity
from steelyard.files.table_frames import Frame
from steelyard.files.table_rows import polars
from steelyard.quantity import Value, parted
from steelyard.quantity.columns import DifferError
from steelyard.quantity.parse import LARGEST, PARTED
from steelyard.quantity.units import UNITS
from steelyard.rig import Rig
from steelyard.rig.checks import first_fault
from steelyard.rig.validation import field_at, quantity_at

Ints = NDArray[np.intp]
MISSING, BARE, SPREAD, DOUBTFUL = range(4)
"""What a cell of numbers is: nothing, a number, one with its spread, or none that is sure."""
TITLE: Final = 80
"""Letters of a title."""
_PLAIN: Final = r"^([+-]?\d+(?:\.\d+)?) *([A-Za-z%][A-Za-z0-9/]*)?$"


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """A column of numbers, (N,) each, SI; `how`: see `MISSING`; `parted`: see `quantity.parted`."""

    path: Path
    value: NDArray[np.float64]
    sd: NDArray[np.float64]
    how: NDArray[np.int8]
    parted: NDArray[np.bool_]


RigOf = Callable[[int], Rig | None]
"""A row's rig by its place, None where the row is faulty."""


def groups(
    some: Frame, own: Sequence[Column], rig_of: RigOf, rows: Ints
) -> tuple[list[Alike], Ints]:
    """Rows (by their places, those with something in them) in groups alike, and those that are to
    be read one by one."""
    words = some.words[rows]
    titled, numbered, worded = _sorted(own)
    read = [_read(words[str(one.place)], one) for one in numbered]
    doubtful = np.zeros(len(rows), dtype=bool)
    for number in read:
        doubtful |= number.how == DOUBTFUL
    for one in titled:
        letters = words[str(one.place)].str.len_chars().fill_null(0).to_numpy()
        doubtful |= letters > TITLE
    found, left = list[Alike](), [np.flatnonzero(doubtful)]
    for members in _alike(words, worded, read, np.flatnonzero(~doubtful)):
        good = _sound(read, rig_of(int(rows[members[0]])), members)
        left.append(np.setdiff1d(members, good.members))
        if len(good.members):
            found.append(Alike(members=rows[good.members], numbers=good.numbers))
    return found, np.sort(rows[np.concatenate(left)])


def _sorted(own: Sequence[Column]) -> tuple[list[Column], list[Column], list[Column]]:
    """Columns of titles, of numbers that may differ among the alike, and of words."""
    aside = {one.path[:-1] for one in own if one.path[-1] == "spread"}
    titled, numbered, worded = list[Column](), list[Column](), list[Column]()
    for one in own:
        differs = one.path[0] not in OWN and one.path not in aside and not ONE_BY_ONE & {*one.path}
        if one.path[-1] == "title":
            titled.append(one)
        elif differs and quantity_at(one.path, Rig):
            numbered.append(one)
        elif one.path != ("name",):
            worded.append(one)
    return titled, numbered, worded


def _read(cells: Any, column: Column) -> Read:
    """A column's numbers: plain ones together, the spelling of each other one by its own reader."""
    of = quantity_at(column.path, Rig)
    assert of is not None
    pl = polars()
    units, cell = dict(UNITS[of.dimension]), pl.col("cells")
    whole = pl.select(cells=cells).select(
        cell, number=cell.str.extract(_PLAIN, 1), unit=cell.str.extract(_PLAIN, 2)
    )
    told = whole.with_columns(unit=pl.col("unit").fill_null(column.unit)).select(
        value=pl.col("number").cast(pl.Float64)
        * pl.col("unit").replace_strict(units, default=None, return_dtype=pl.Float64),
        parted=(pl.col("number") + " " + pl.col("unit")).str.contains(f"^{PARTED}$"),
    )
    value, parts = told["value"].to_numpy().copy(), told["parted"].fill_null(value=False)
    plain = of.inside(value) & (np.abs(value) <= LARGEST)
    how = np.where(plain, BARE, np.where(cells.is_null().to_numpy(), MISSING, DOUBTFUL))
    sd, thousands = np.full(len(value), np.nan), parts.to_numpy().copy()
    rest = np.flatnonzero(how == DOUBTFUL)
    known = {text: _spelt(quantity(text, column), column.path) for text in cells[rest].unique()}
    for place, text in zip(rest.tolist(), cells[rest], strict=True):
        one = known[text]
        if one is not None:
            value[place], sd[place] = one.value, np.nan if one.sd is None else one.sd
            how[place] = BARE if one.sd is None else SPREAD
            thousands[place] = parted(one.text)
    return Read(path=column.path, value=value, sd=sd, how=how, parted=thousands)


def _spelt(text: str, path: Path) -> Value | None:
    """A quantity as it is written, by the reader of its field; None for none."""
    try:
        found = _reader(path).validate_python(text)
    except ValidationError:
        return None
    return found if isinstance(found, Value) else None


@cache
def _reader(path: Path) -> TypeAdapter[Any]:
    field = field_at(path, Rig)
    assert field is not None
    return TypeAdapter(field.rebuild_annotation())


def _alike(
    words: Any, worded: Sequence[Column], read: Sequence[Read], members: Ints
) -> Iterator[Ints]:
    """Some of the rows in groups that say the same words, and numbers of the same things."""
    pl = polars()
    told = words.select(str(one.place) for one in worded)
    how = pl.DataFrame({f"how {k}": one.how + 10 * one.parted for k, one in enumerate(read)})
    whole = pl.concat([told, how], how="horizontal").with_row_index("member")[members]
    keys = [name for name in whole.columns if name != "member"]
    for found in whole.group_by(keys, maintain_order=True).agg("member")["member"]:
        yield found.to_numpy().astype(np.intp)


def _sound(read: Sequence[Read], rig: Rig | None, members: Ints) -> Alike:
    """Those members whose numbers contradict nothing, as the checks of a rig see it."""
    first = members[0]
    given = [one for one in read if one.how[first] != MISSING]
    own = Numbers(
        paths=tuple(one.path for one in given),
        value=np.array([one.value[members] for one in given]).reshape(len(given), -1).T,
        sd=np.array([one.sd[members] for one in given]).reshape(len(given), -1).T,
    )
    holds = np.zeros(len(members), dtype=bool)
    left = [np.arange(len(members))] if rig is not None else []
    while left and rig is not None:
        some = left.pop()
        try:
            holds[some] = first_fault(columns(rig, own.some(some))) is None
        except DifferError as differ:
            left += [some[~differ.holds], some[differ.holds]]
        except ValueError:
            if len(some) == 1:
                raise
            left += np.split(some, len(some))
    good = np.flatnonzero(holds)
    return Alike(members=members[good], numbers=own.some(good))
