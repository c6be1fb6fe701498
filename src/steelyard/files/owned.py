"""The file of the owner's own typical values: written from what was learned, read by every door."""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any, Final, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, model_validator

from steelyard.fault import Fault, missing
from steelyard.files.reader import Form, parse_form, read_text
from steelyard.files.writer import write_new, write_over
from steelyard.learning import Learnt
from steelyard.quantity import Z95, refused
from steelyard.rig import Own, Owned
from steelyard.rig.kinds import TrailerStyle, VehicleClass
from steelyard.typical.shipped_tables import relation, trailer_style, vehicle_class

NAME: Final = "learned.toml"
"""Beside the logbook."""
FORM: Final = Form(noun="file of your own typical values", key="learned", newest=1)
WIDEST: Final = 5.0
"""Times the shipped value or spread, or that part of it, beyond which nobody's own can be."""
LEAST: Final = 0.1
"""Of the shipped spread; a smaller one would be surer than rigs can make it."""
PARTS: Final = {"trailers": get_args(TrailerStyle), "vehicles": get_args(VehicleClass)}
TOP: Final = """\
# Your own typical values, learned from your logbook by `steelyard learn`, which writes this file
# anew. They stand in for the shipped ones. Take a line out, or the whole file, to go back to those.
# value ± spread holds 95 % of rigs; "rigs" is how many were weighed. Rigs that come to be weighed
# are no random sample of all there are.
learned = 1
"""


class _Row(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    value: float
    spread: float
    rigs: Annotated[int, Field(strict=True, ge=1)]


_Rows = Mapping[str, Mapping[str, _Row]]


class _File(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    learned: Literal[1]
    trailers: _Rows = {}
    vehicles: _Rows = {}

    @model_validator(mode="after")
    def _believable(self) -> "_File":
        for fault in _faults(self):
            raise refused(fault)
        return self


def _faults(found: _File) -> Iterator[Fault]:
    for part, styles in (("trailers", found.trailers), ("vehicles", found.vehicles)):
        for style, rows in styles.items():
            if style not in PARTS[part]:
                yield missing(part, style, PARTS[part], path=(part, style))
                return
            shipped = trailer_style(style) if part == "trailers" else vehicle_class(style)
            for name, row in rows.items():
                path = (part, style, name)
                if name not in shipped["relations"]:
                    yield missing("typical values", name, shipped["relations"], path=path)
                    return
                yield from _beyond(row, shipped, path)


def _beyond(row: _Row, shipped: Mapping[str, Any], path: tuple[str, str, str]) -> Iterator[Fault]:
    one = relation(shipped, path[-1])
    least, most = sorted((one.value / WIDEST, one.value * WIDEST))
    wide = Z95 * one.sd
    for key, value, low, high in (
        ("value", row.value, least, most),
        ("spread", row.spread, LEAST * wide, WIDEST * wide),
    ):
        if not low * 0.999 <= value <= high * 1.001:
            due = f"{low:.3g} to {high:.3g}, from what is shipped"
            yield Fault(path=(*path, key), due=due, found=f"{value:g}")


def read_owned(path: Path) -> Owned:
    """The owner's typical values; none where there is no file. FileFaultError names its faults."""
    if not path.exists():
        return {}
    found = parse_form(_File, read_text(path, FORM.noun), str(path), FORM)
    return {
        style: {
            name: Own(value=row.value, sd=row.spread / Z95, rigs=row.rigs)
            for name, row in rows.items()
        }
        for styles in (found.trailers, found.vehicles)
        for style, rows in styles.items()
    }


def write_owned(path: Path, rows: Sequence[Learnt]) -> Path | None:
    """Write them, whole or not at all; where one was there before, the place it is kept at."""
    if not path.exists():
        write_new(path, owned_text(rows))
        return None
    return write_over(path, owned_text(rows), lambda: None)


def owned_text(rows: Sequence[Learnt]) -> str:
    """The file's text; beside each value what is shipped."""
    lines = [TOP]
    for part in ("trailer", "vehicle"):
        for style in dict.fromkeys(row.style for row in rows if row.part == part):
            mine = [row for row in rows if (row.part, row.style) == (part, style)]
            lines += ["", f"[{part}s.{style}]", *map(_line, mine)]
    return "\n".join(lines).replace("\n\n\n", "\n\n") + "\n"


def _line(row: Learnt) -> str:
    spread = min(max(row.sd, LEAST * row.shipped_sd), WIDEST * row.shipped_sd) * Z95
    value = min(max(row.value, row.shipped / WIDEST), row.shipped * WIDEST)
    return (
        f"{row.name} = {{ value = {value:.5g}, spread = {spread:.4g}, rigs = {row.rigs} }}"
        f"  # shipped {row.shipped:.4g} ± {Z95 * row.shipped_sd:.3g}"
    )
