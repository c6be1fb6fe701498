"""What is handed to a function, made what the parts take; refused in the command line's words."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf
from numbers import Integral
from pathlib import Path
from typing import Final, TypeAlias, TypeVar, cast

from pydantic import TypeAdapter, ValidationError

from steelyard.estimate import Estimate
from steelyard.fault import FaultError, listed, missing, quoted, require
from steelyard.files import read_rig
from steelyard.learning import Taught
from steelyard.quantity import Dimension, FillLevel, Level, QuantityError, parse
from steelyard.rig import Rig
from steelyard.weighing.reconcile import Reconciled, reconcile
from steelyard.weighing.ticket import Ticket

Place: TypeAlias = str | Path
"""A path."""
RigLike: TypeAlias = Rig | Place
Weighed: TypeAlias = "Reconciled | Ticket | Estimate | Place | None"
Word = TypeVar("Word", bound=str)
Number: TypeAlias = str | float
"""Text with a unit, or an SI float."""


def rig_of(rig: RigLike) -> Rig:
    """A rig, or the one in a file."""
    if isinstance(rig, Rig):
        return rig
    require(rig, str | Path, "rig", "a rig, or the path of a rig file")
    return read_rig(rig)


def ticket_of(ticket: Ticket | Place) -> Ticket:
    """A ticket, or the one in a file."""
    from steelyard.files.tickets import read_ticket

    if isinstance(ticket, Ticket):
        return ticket
    require(ticket, str | Path, "ticket", "a ticket, or the path of one")
    return read_ticket(ticket)


def belief_of(rig: Rig, weighed: Weighed) -> Estimate | None:
    """What is believed of a rig after a weighing; None where there was none."""
    if weighed is None or isinstance(weighed, Estimate):
        return weighed
    if isinstance(weighed, Reconciled):
        return weighed.posterior
    return reconcile(rig, ticket_of(weighed)).posterior


def whole(number: int, argument: str, low: int, high: int) -> int:
    """A whole number in a range, both ends included."""
    due = f"a whole number from {low:,} to {high:,}"
    require(number, Integral, argument, due)
    if isinstance(number, bool) or not low <= number <= high:
        raise FaultError(argument=argument, due=due, found=quoted(number))
    return int(number)


def keys_of(stages: Sequence[str] | None) -> tuple[str, ...] | None:
    """Keys of stages, None for all."""
    if stages is None:
        return None
    for one in [stages, *(stages if isinstance(stages, list | tuple) else ())]:
        kind = list | tuple if one is stages else str
        require(one, kind, "stages", "a list of keys of stages")
    return tuple(stages)


@dataclass(frozen=True, slots=True)
class Bound:
    """What a number must be: which SI values will do, and in words what would."""

    dimension: Dimension
    holds: Callable[[float], bool]
    due: str


SPEED: Final = Bound("speed", lambda x: 0 < x < inf, "a speed above zero")
CHANCE: Final = Bound("share", lambda x: 0 < x < 0.5, "a chance above 0 and under 50 %")
AIM: Final = Bound("share", lambda x: 0 < x < 0.5, "a share above 0 and under 50 %")
PART: Final = Bound("share", lambda x: 0 <= x <= 1, "a share from 0 to 100 %")


def si(number: Number, bound: Bound, argument: str) -> float:
    """A number in SI: text with its unit, or an SI number as it is."""
    found = _si(number, bound.dimension, argument)
    if not bound.holds(found):
        raise FaultError(argument=argument, due=bound.due, found=quoted(number))
    return found


def _si(number: Number, dimension: Dimension, argument: str) -> float:
    require(
        number, str | int | float, argument, f"text with a unit of {dimension}, or an SI number"
    )
    if not isinstance(number, str):
        return float(number)
    try:
        return parse(number, dimension).value
    except QuantityError as error:
        raise FaultError(*error.faults).within(argument=argument) from None


def ranges_of(ranges: Mapping[str, tuple[str, str]]) -> Mapping[str, tuple[str, str]]:
    """Paths, each with its two ends."""
    require(ranges, Mapping, "ranges", "paths in the rig file, each with its two ends")
    for path, ends in ranges.items():
        given: object = ends
        if not isinstance(given, list | tuple) or len(given) != 2:
            due = 'two ends, as in ("40 lb", "140 lb")'
            raise FaultError(argument=str(path), due=due, found=quoted(given))
    return ranges


def one_of(argument: str, found: Word, known: Sequence[Word]) -> Word:
    """A word that is known; others are refused."""
    if found not in known:
        raise FaultError(argument=argument, due=listed(known), found=quoted(found))
    return found


def known_name(kind: str, found: str, known: Iterable[str]) -> bool:
    """True for a name that is known; others are refused."""
    if found not in (names := list(known)):
        raise FaultError(missing(kind, found, names))
    return True


def level_of(tank: str, text: str) -> Level:
    """A tank's level as a rig file writes it."""
    reader: TypeAdapter[Level] = TypeAdapter(FillLevel)
    try:
        return reader.validate_python(text)
    except ValidationError as error:
        raise FaultError(replace(error.errors()[0]["ctx"]["fault"], argument=tank)) from None


def taught_by(logbook: Place | None) -> Iterator[Taught]:
    """What the sound weighings of a logbook teach, the usual one when left out."""
    from steelyard.logbook.store import Logbook
    from steelyard.logbook.where import default_path

    require(logbook, str | Path | None, "logbook", "the path of a logbook")
    where = Path(logbook) if logbook is not None else default_path()
    if not where.exists():
        raise FaultError(argument=str(where), due="a logbook", found="none")
    with Logbook.open(where) as book:
        for one in book.lessons():
            if one.evidence is not None and all(piece.sound() for piece in one.evidence):
                yield Taught(rig_name=one.rig_name, rig_hash=one.rig_hash, evidence=one.evidence)


def candidates(given: object, which: str) -> "Iterable[tuple[str | None, Rig]]":
    """Rigs with their names: of a file, a folder, a table, or as they are."""
    from steelyard.files.candidate_rows import Which
    from steelyard.files.candidate_tables import parts

    if isinstance(given, str | Path):
        for some in parts(Path(given), cast("Which", which)):
            if some.faults:
                raise FaultError(*some.faults)
            yield from some.rigs.items()
        return
    due = "rig files, a folder of them, a table, or a list of rigs"
    require(given, Iterable, f"{which}s", due)
    for rig in cast("Iterable[RigLike]", given):
        yield None, rig_of(rig)
