"""What is wrong is data: where it stands, what is due, what was found; one place makes it words."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, time
from difflib import get_close_matches
from reprlib import Repr
from typing import Any, Final, Self, TypedDict

from typing_extensions import Unpack

Path = tuple[str | int, ...]
SHOWN: Final = 10
"""At most this many faults are told at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that cannot be as it is, or that nobody believes unasked.

    path: keys of the rig file or ticket, columns of a table; argument: instead, what was asked for
    in the call; due, found and hint are phrases, found as it was written. A line is of a text, a
    row of a table. One that `asks` is a question: what it touches is unknown until its value is
    said to be sure.
    """

    due: str
    found: str = ""
    hint: str = ""
    path: Path = ()
    argument: str = ""
    file: str = ""
    line: int | None = None
    row: int | None = None
    asks: bool = False


class _One(TypedDict, total=False):
    """A `Fault` in its parts."""

    due: str
    found: str
    hint: str
    path: Path
    argument: str
    file: str
    line: int | None
    row: int | None


class FaultError(ValueError):
    """Something given that cannot be used; `faults` holds each as data, the text a line each. One
    alone may be said by its parts."""

    def __init__(self, *faults: Fault, **one: Unpack[_One]) -> None:
        self.faults = faults if faults or not one else (Fault(**one),)
        super().__init__("\n".join(self.sentences))

    @property
    def sentences(self) -> tuple[str, ...]:
        """A sentence for each fault, and how many more there are than can be told."""
        more = len(self.faults) - SHOWN
        tail = [f"and {more} more faults"] if more > 0 else []
        return (*map(sentence, self.faults[:SHOWN]), *tail)

    @property
    def path(self) -> str:
        """Where the first of them stands: a path in the file, or the argument."""
        return self.faults[0].argument or dotted(self.faults[0].path)

    @property
    def due(self) -> str:
        """What is due there."""
        return self.faults[0].due

    @property
    def found(self) -> str:
        """What was found."""
        return self.faults[0].found

    def within(self, **where: Any) -> Self:
        """The same faults where they were met: a file, a line, the beginning of a path."""
        return type(self)(*(_within(fault, **where) for fault in self.faults))


def _within(fault: Fault, path: Path = (), **where: Any) -> Fault:
    """What the fault says of itself is kept; an argument of the call is in no file."""
    unsaid = {key: one for key, one in where.items() if not getattr(fault, key)}
    return fault if fault.argument else replace(fault, path=(*path, *fault.path), **unsaid)


def sentence(fault: Fault) -> str:
    """`my.toml, line 3, items.bikes.weight: expected ..., found ...`."""
    place = _place(fault)
    words = f"{place}: {said(fault)}" if place else said(fault)
    return words if words.isprintable() else "".join(map(_shown, words))


def _shown(letter: str) -> str:
    """A letter, or how it is written where it would steer the terminal."""
    return letter if letter.isprintable() else repr(letter)[1:-1]


def _place(fault: Fault) -> str:
    places = (
        fault.file,
        f"line {fault.line}" if fault.line else "",
        f"row {fault.row}" if fault.row else "",
        fault.argument or dotted(fault.path),
    )
    return ", ".join(place for place in places if place)


def said(fault: Fault) -> str:
    """`expected ..., found ...`, for one who knows where."""
    pause = ";" if ", " in fault.due.partition("(")[0] else ","
    found = f"{pause} found {fault.found}" if fault.found else ""
    hint = f" ({fault.hint})" if fault.hint else ""
    asks = "; is that right? say `sure = true` beside it if so" if fault.asks else ""
    return f"expected {fault.due}{found}{hint}{asks}"


def dotted(path: Path) -> str:
    """`items.bikes.weight`, `tyres.table[2]`; at most 120 letters."""
    words = ""
    for part in path:
        words += f"[{part}]" if isinstance(part, int) else (f".{part}" if words else part)
        if len(words) > 120:
            return words[:120]
    return words


def require(given: object, kind: Any, argument: str, due: str) -> None:
    """Refuse what is of another type."""
    if not isinstance(given, kind):
        raise FaultError(argument=argument, due=due, found=quoted(given))


def quoted(found: object, most: int = 60) -> str:
    """What was found, in quotes and not too long."""
    if isinstance(found, dict):
        return "a table"
    if isinstance(found, date | time):
        return found.isoformat()
    shown = repr(found[:most]) if isinstance(found, str) else Repr().repr(found)
    cut = len(shown) > most or (isinstance(found, str) and len(found) > most)
    return shown[: most - 3] + "..." if cut else shown


def listed(names: Iterable[object], most: int = 8) -> str:
    """The first of some names, so that one may be chosen; `none` where there is none."""
    return ", ".join(str(name)[:60] for name, _ in zip(names, range(most), strict=False)) or "none"


def joined(names: Sequence[str]) -> str:
    """`a, b and c`; nothing of none."""
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))


def article(word: str) -> str:
    """`a` or `an`, as a word is spoken: an enclosed-cargo, an SUV, a one-ton."""
    initials = word[1:2].isupper() and word[:1] in "FHLMNRSX"
    spoken = word[:1].lower() in "aeiou" and not word.startswith("one")
    return "an" if spoken or initials else "a"


def near(found: str, known: Iterable[str]) -> str:
    """`did you mean "x"?` for the closest known name that has every word found, in any order, else
    for the closest of all; or nothing."""
    names = {_sorted_words(name): name for name in list(known)[:1000][::-1]}
    asked = _sorted_words(found[:60])
    whole = [one for one in names if set(asked.split("_")) <= set(one.split("_"))]
    close = get_close_matches(asked, whole, 1, 0.0) or get_close_matches(asked, names, n=1)
    return f'did you mean "{names[close[0]]}"?' if close else ""


def _sorted_words(name: str) -> str:
    return "_".join(sorted(name.replace("-", "_").split("_")))


def missing(kind: str, found: str, known: Sequence[str] | Iterable[str], **where: Any) -> Fault:
    """A name that is not among those it should be one of; `where` as in a Fault."""
    names = list(known)
    due = (
        f"one of the {kind} ({listed(names)})"
        if names
        else f"one of the {kind}, of which there is none yet"
    )
    return Fault(due=due, found=f'"{found[:60]}"', hint=near(found, names), **where)
