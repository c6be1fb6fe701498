"""Reading a ticket: TOML in full, or CSV with a line a pass."""

import csv
import io
from pathlib import Path
from typing import Any, Final

from steelyard.fault import Fault
from steelyard.files.faults import FileFaultError
from steelyard.files.reader import Form, parse_form, read_text, toml, validated
from steelyard.files.rows import narrow, not_csv
from steelyard.weighing import TICKET, Ticket

TICKET_FILE: Final = Form(noun="ticket", key="ticket", newest=TICKET)

ARRANGEMENTS: Final = {
    "vehicle alone": {"arrangement": "vehicle-alone"},
    "bars off": {"bars": "off"},
    "bars on": {"bars": "on"},
    "coupled": {},
    "trailer alone": {"arrangement": "trailer-alone"},
}
"""The words of a CSV ticket's `arrangement` column."""
PADS: Final = ("front", "rear", "trailer", "trailer-1", "trailer-2", "trailer-3", "all")
FENDERS: Final = {"front fender": "front", "rear fender": "rear"}
OTHERS: Final = {
    "hitch": {"kind": "hitch-scale", "cell": "shank"},
    "hitch at ball": {"kind": "hitch-scale", "cell": "ball"},
    "tongue": {"kind": "tongue-scale", "station": "0 m"},
}


def read_ticket(path: str | Path) -> Ticket:
    """The ticket in a TOML or CSV file. Raises FileFaultError with one sentence a fault."""
    where = Path(path)
    return parse_ticket(read_text(where, TICKET_FILE.noun), where.name)


def parse_ticket(text: str, name: str) -> Ticket:
    """The ticket in text; a name that ends in .csv has a line a pass."""
    if name.lower().endswith(".csv"):
        return validated(Ticket, _from_csv(text, name), "", name)
    return parse_form(Ticket, text, name, TICKET_FILE)


def ticket_data(text: str, name: str) -> dict[str, Any]:
    """The plain values of a ticket in text. Raises FileFaultError where it holds none."""
    if name.lower().endswith(".csv"):
        data = _from_csv(text, name)
        validated(Ticket, data, "", name)
        return data
    parse_form(Ticket, text, name, TICKET_FILE)
    return toml(text, name)


def _from_csv(text: str, name: str) -> dict[str, Any]:
    """Columns: pass, arrangement, stage, then what was read: front, rear, trailer, hitch, ..."""
    try:
        return _passes(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")), name)
    except csv.Error as error:
        raise not_csv(name, error) from None


def _passes(rows: Any, name: str) -> dict[str, Any]:
    head = [word.strip().lower() for word in narrow(next(rows, []), name, 1)]
    known = ("pass", "arrangement", "stage", *PADS, *FENDERS, *OTHERS, "ball height")
    for word in head:
        if word not in known:
            due, found = f"columns among {', '.join(known)}", f'"{word[:40]}"'
            raise FileFaultError(Fault(file=name, line=1, due=due, found=found))
        if head.count(word) > 1:
            found = f'"{word}" twice'
            raise FileFaultError(Fault(file=name, line=1, due="each column once", found=found))
    if "arrangement" not in head:
        due = "a column arrangement"
        raise FileFaultError(Fault(file=name, line=1, due=due, found="none"))
    passes: dict[str, Any] = {}
    for row in rows:
        if any(cell.strip() for cell in row):
            try:
                key, one = _pass(head, row, len(passes))
                if key in passes:
                    fault = Fault(due="each pass once", found=f'"{key[:40]}" again')
                    raise FileFaultError(fault)
            except FileFaultError as error:
                raise error.within(file=name, line=rows.line_num) from None
            passes[key] = one
    return {"ticket": TICKET, "passes": passes}


def _pass(head: list[str], row: list[str], before: int) -> tuple[str, dict[str, Any]]:
    if len(row) > len(head):
        raise FileFaultError(Fault(due=f"{len(head)} cells", found=str(len(row))))
    cells = {word: cell.strip() for word, cell in zip(head, row, strict=False) if cell.strip()}
    words = cells.get("arrangement", "").lower()
    if words not in ARRANGEMENTS:
        due, found = f"an arrangement among {', '.join(ARRANGEMENTS)}", f'"{words[:40]}"'
        raise FileFaultError(Fault(path=("arrangement",), due=due, found=found))
    readings = [
        _reading(word, cell)
        for word, cell in cells.items()
        if word not in ("pass", "arrangement", "stage")
    ]
    one: dict[str, Any] = {**ARRANGEMENTS[words], "readings": readings}
    if "stage" in cells:
        one["stage"] = cells["stage"]
    return cells.get("pass", f"pass {before + 1}"), one


def _reading(word: str, cell: str) -> dict[str, Any]:
    if word in PADS:
        return {"kind": "platform", "axles": [word], "weight": cell}
    if word in FENDERS:
        return {"kind": "fender-height", "at": FENDERS[word], "height": cell}
    if word == "ball height":
        return {"kind": "ball-height", "height": cell}
    return {**OTHERS[word], "weight": cell}
