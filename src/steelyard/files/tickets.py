"""Reading a ticket: TOML in full, or CSV with a line a pass."""

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from steelyard.fault import Fault, require
from steelyard.fault import Path as Path_
from steelyard.files.faults import FileFaultError
from steelyard.files.reader import Form, parse_form, parse_rig, read_text, toml, validated
from steelyard.files.table_rows import headed, narrow, not_csv
from steelyard.rig import Owned
from steelyard.weighing.reconcile import Reconciled, reconcile
from steelyard.weighing.ticket import ARRANGEMENTS, TICKET, Ticket

TICKET_FILE: Final = Form(noun="ticket", key="ticket", newest=TICKET)

PADS: Final = ("front", "rear", "trailer", "trailer-1", "trailer-2", "trailer-3", "all")
STEP: Final = "graduation"
"""The column of what the pads show no finer than."""
FENDERS: Final = {"front fender": "front", "rear fender": "rear"}
OTHERS: Final = {
    "hitch": {"kind": "hitch-scale", "cell": "shank"},
    "hitch at ball": {"kind": "hitch-scale", "cell": "ball"},
    "tongue": {"kind": "tongue-scale", "station": "0 m"},
}


Cells = dict[Path_, tuple[int, str]]
"""Row and column that a path of the ticket was read from."""


def read_ticket(path: str | Path) -> Ticket:
    """The ticket in a TOML or CSV file.

    path: of the file, text or Path. Readings become SI. Raises FileFaultError with one sentence a
    fault, as `read_rig` does.

    >>> from steelyard import read_ticket
    >>> list(read_ticket("camper-at-the-fuel-stop.toml").passes)
    ['bars-on', 'bars-off', 'pickup-alone']
    """
    require(path, str | Path, "path", "the path of a ticket")
    where = Path(path)
    return parse_ticket(read_text(where, TICKET_FILE.noun), where.name)


def parse_ticket(text: str, name: str) -> Ticket:
    """The ticket in text; a name that ends in .csv has a line a pass."""
    if name.lower().endswith(".csv"):
        return _of_rows(text, name)[1]
    return parse_form(Ticket, text, name, TICKET_FILE)


def again(rig_text: str, ticket_text: str, number: int, own: Owned | None = None) -> Reconciled:
    """A kept weighing reconciled again from both files as they were; FaultError where that fails.
    number: the weighing's, by which it is called."""
    rig = parse_rig(rig_text, f"rig of weighing {number}").owning(own or {})
    lines = [line for line in ticket_text.splitlines() if line.strip() and line[0] != "#"]
    ending = "toml" if lines and "=" in lines[0] else "csv"
    return reconcile(rig, parse_ticket(ticket_text, f"ticket of weighing {number}.{ending}"))


def ticket_data(text: str, name: str) -> dict[str, Any]:
    """The plain values of a ticket in text. Raises FileFaultError where it holds none."""
    if name.lower().endswith(".csv"):
        return _of_rows(text, name)[0]
    parse_form(Ticket, text, name, TICKET_FILE)
    return toml(text, name)


def typed_ticket(
    given: Mapping[str, str], bars: str | None, *, sure: bool = False
) -> tuple[Ticket, str]:
    """A ticket of readings typed one by one, and its text: columns of a CSV ticket by name.

    A scale under the tongue is a pass of the trailer alone; the others are one pass, coupled. What
    is wrong is told of the argument it was given as.
    """
    alone = {word: cell for word, cell in given.items() if word == "tongue"}
    coupled = {word: cell for word, cell in given.items() if word != "tongue"}
    passes: dict[str, Any] = {}
    if coupled:
        readings = [_reading(word, cell) for word, cell in coupled.items()]
        passes["coupled"] = {**({"bars": bars} if bars else {}), "readings": readings}
    if alone:
        readings = [_reading(word, cell) for word, cell in alone.items()]
        passes["alone"] = {**ARRANGEMENTS["trailer alone"], "readings": readings}
    data = {"ticket": TICKET, "sure": sure, "passes": passes}
    arguments: Cells = {
        ("passes", name, "readings", place): (0, word)
        for name, words in (("coupled", coupled), ("alone", alone))
        for place, word in enumerate(words)
    }
    try:
        return validated(Ticket, data, "", "readings"), _tomlkit().dumps(data)
    except FileFaultError as error:
        raise FileFaultError(*(_of_argument(fault, arguments) for fault in error.faults)) from None


def _of_argument(fault: Fault, arguments: Cells) -> Fault:
    placed = _placed(fault, arguments)
    return replace(placed, argument=str(placed.path[0]), path=(), file="", row=None)


def _tomlkit() -> Any:
    import tomlkit

    return tomlkit


def _of_rows(text: str, name: str) -> tuple[dict[str, Any], Ticket]:
    """Columns: pass, arrangement, stage, then what was read: front, rear, trailer, hitch, ...

    Cells are parted by commas, semicolons or tabs; where by semicolons, a comma in a number is its
    decimal mark. A unit in a heading is that of its column's bare numbers.
    """
    cells: Cells = {}
    text = text.removeprefix("\ufeff")
    mark = max(",;\t", key=text.partition("\n")[0].count)
    try:
        rows = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
        data = _passes(rows, comma=mark == ";", cells=cells)
        return data, validated(Ticket, data, "", name)
    except csv.Error as error:
        raise not_csv(name, error) from None
    except FileFaultError as error:
        placed = FileFaultError(*(_placed(fault, cells) for fault in error.faults))
        raise placed.within(file=name) from None


def _placed(fault: Fault, cells: Cells) -> Fault:
    """A fault of the ticket with the row and the column that it is read from."""
    ends = (fault.path[:end] for end in range(len(fault.path), 0, -1))
    row, column = next((cells[end] for end in ends if end in cells), (fault.row, ""))
    return replace(fault, row=row, path=(column,) if column else fault.path)


def _passes(rows: Any, *, comma: bool, cells: Cells) -> dict[str, Any]:
    head = [headed(word) for word in narrow(next(rows, []), "", 1)]
    columns = {word.lower(): unit for word, unit in head}
    known = ("pass", "arrangement", "stage", "sure", STEP, *PADS, *FENDERS, *OTHERS, "ball height")
    for word in columns:
        if word not in known:
            due, found = f"columns among {', '.join(known)}", f'"{word[:40]}"'
            raise FileFaultError(row=1, due=due, found=found)
    if len(columns) < len(head):
        twice = next(
            word for word, _ in head if [w.lower() for w, _ in head].count(word.lower()) > 1
        )
        raise FileFaultError(row=1, due="each column once", found=f'"{twice}" twice')
    if "arrangement" not in columns:
        raise FileFaultError(row=1, due="a column arrangement", found="none")
    passes: dict[str, Any] = {}
    sure, scales = False, dict[str, Any]()
    for row in rows:
        if any(cell.strip() for cell in row):
            sure = sure or "yes" in _column("sure", columns, row)
            for step in filter(None, _column(STEP, columns, row)):
                said = _with_unit(step, columns[STEP], comma=comma)
                scales = {"scales": {"platform": {STEP: said}}}
                cells[("scales", "platform", STEP)] = (rows.line_num, STEP)
            try:
                _add_pass(passes, columns, row, comma=comma, cells=cells, number=rows.line_num)
            except FileFaultError as error:
                raise error.within(row=rows.line_num) from None
    return {"ticket": TICKET, "sure": sure, **scales, "passes": passes}


def _column(word: str, columns: Mapping[str, str], row: list[str]) -> list[str]:
    """The cell of a column in a row, in lower case; none where it has none."""
    pairs = zip(columns, row, strict=False)
    return [cell.strip().lower() for name, cell in pairs if name == word]


def _add_pass(
    passes: dict[str, Any],
    columns: Mapping[str, str],
    row: list[str],
    *,
    comma: bool,
    cells: Cells,
    number: int,
) -> None:
    if len(row) > len(columns):
        raise FileFaultError(due=f"{len(columns)} cells", found=str(len(row)))
    found = {word: cell.strip() for word, cell in zip(columns, row, strict=False) if cell.strip()}
    for word in ("sure", STEP):
        found.pop(word, None)
    words = found.pop("arrangement", "").lower()
    key = found.pop("pass", f"pass {len(passes) + 1}")
    if words not in ARRANGEMENTS:
        due, shown = f"an arrangement among {', '.join(ARRANGEMENTS)}", f'"{words[:40]}"'
        raise FileFaultError(path=("arrangement",), due=due, found=shown)
    if key in passes:
        raise FileFaultError(path=("pass",), due="each pass once", found=f'"{key[:40]}" again')
    one = dict[str, Any](ARRANGEMENTS[words])
    cells[("passes", key)] = (number, "")
    if "stage" in found:
        one["stage"] = found.pop("stage")
        cells[("passes", key, "stage")] = (number, "stage")
    one["readings"] = [
        _reading(word, _with_unit(cell, columns[word], comma=comma)) for word, cell in found.items()
    ]
    for word, cell in found.items():
        if comma and word in (*PADS, *OTHERS) and _GROUPED.match(cell):
            due, shown = 'a weight whose point cannot be of thousands, as "1769" or', f'"{cell}"'
            raise FileFaultError(path=(word,), due=f'{due} "1769,0"', found=shown)
    for place, word in enumerate(found):
        cells[("passes", key, "readings", place)] = (number, word)
    passes[key] = one


_BARE: Final = re.compile(r"[+-]?[\d.,' ]*\d[\d.,' ]*")
_GROUPED: Final = re.compile(r"[1-9]\d{0,2}(\.\d{3})+(?![\d.,])")
_COMMA: Final = re.compile(r"(?<![\d.,])(\d{1,3}(?:\.\d{3})+|\d+),(\d+)(?![\d.,])")


def _with_unit(cell: str, unit: str, *, comma: bool) -> str:
    """A cell as a quantity's text: a decimal comma turned, the heading's unit put on if bare."""
    text = f"{cell} {unit}" if unit and _BARE.fullmatch(cell) else cell
    if not comma:
        return text
    return _COMMA.sub(lambda found: f"{found[1].replace('.', '')}.{found[2]}", text)


def _reading(word: str, cell: str) -> dict[str, Any]:
    if word in PADS:
        return {"kind": "platform", "axles": [word], "weight": cell}
    if word in FENDERS:
        return {"kind": "fender-height", "at": FENDERS[word], "height": cell}
    if word == "ball height":
        return {"kind": "ball-height", "height": cell}
    return {**OTHERS[word], "weight": cell}
