"""Which label a text is of: said only where its own words say so, and nothing speaks against it."""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Literal

Unit = Literal["mass", "pressure"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A number of a label: the key it states, the words ahead of it; `each`: several lines state it
    and must agree."""

    at: str
    name: re.Pattern[str]
    unit: Unit
    each: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of label; `stop` is where it is due, empty where it is only recognised."""

    name: str
    called: str
    stop: str
    needs: tuple[re.Pattern[str], ...]
    bars: tuple[re.Pattern[str], ...]
    lines: tuple[Line, ...]

    def fits(self, text: str) -> bool:
        """Whether a text in capitals is of this kind."""
        said = all(one.search(text) for one in self.needs)
        return said and not any(one.search(text) for one in self.bars)


def kinds_of(text: str) -> tuple[Kind, ...]:
    """The kinds whose words stand in a text in capitals."""
    return tuple(kind for kind in KINDS if kind.fits(text))


def _kind(row: Mapping[str, Any]) -> Kind:
    return Kind(
        name=row["name"],
        called=row["called"],
        stop=row.get("stop", ""),
        needs=tuple(re.compile(one) for one in row["needs"]),
        bars=tuple(re.compile(one) for one in row.get("bars", ())),
        lines=tuple(_line(one) for one in row.get("line", ())),
    )


def _line(row: Mapping[str, Any]) -> Line:
    name = re.compile(rf"(?<![\w])(?:{row['name']})(?!\w)")
    return Line(at=row["at"], name=name, unit=row["unit"], each=row.get("each", False))


KINDS: Final = tuple(
    _kind(row)
    for row in tomllib.loads(Path(__file__).with_name("kinds.toml").read_text("utf-8"))["kind"]
)
"""Every kind that is recognised."""
