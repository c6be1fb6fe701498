"""What is handed to a function, made what the parts take; refused in the command line's words."""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias, cast

from pydantic import TypeAdapter, ValidationError

from steelyard.estimate import Estimate
from steelyard.fault import Fault, FaultError, missing, quoted
from steelyard.files import read_rig
from steelyard.quantity import Dimension, FillLevel, Level, QuantityError, parse
from steelyard.rig import Rig

if TYPE_CHECKING:
    from steelyard.weighing.reconcile import Reconciled
    from steelyard.weighing.ticket import Ticket

Place: TypeAlias = str | Path
"""A path."""
RigLike: TypeAlias = Rig | Place
Weighed: TypeAlias = "Reconciled | Ticket | Estimate | Place | None"
Number: TypeAlias = str | float
"""Text with a unit, or an SI float."""


def rig_of(rig: RigLike) -> Rig:
    """A rig, or the one in a file."""
    if isinstance(rig, Rig):
        return rig
    require(rig, str | Path, "rig", "a rig, or the path of a rig file")
    return read_rig(rig)


def ticket_of(ticket: "Ticket | Place") -> "Ticket":
    """A ticket, or the one in a file."""
    from steelyard.files.tickets import read_ticket
    from steelyard.weighing.ticket import Ticket

    if isinstance(ticket, Ticket):
        return ticket
    require(ticket, str | Path, "ticket", "a ticket, or the path of one")
    return read_ticket(ticket)


def belief_of(rig: Rig, weighed: Weighed) -> Estimate | None:
    """What is believed of a rig after a weighing; None where there was none."""
    from steelyard.weighing.reconcile import Reconciled, reconcile

    if weighed is None or isinstance(weighed, Estimate):
        return weighed
    if isinstance(weighed, Reconciled):
        return weighed.posterior
    return reconcile(rig, ticket_of(weighed)).posterior


def require(given: object, kind: Any, argument: str, due: str) -> None:
    """Refuse what is of another type."""
    if not isinstance(given, kind):
        raise FaultError(Fault(argument=argument, due=due, found=quoted(given)))


def keys_of(stages: Sequence[str] | None) -> tuple[str, ...] | None:
    """Keys of stages, None for all."""
    if stages is None:
        return None
    require(stages, list | tuple, "stages", "a list of stages")
    return tuple(stages)


def si(number: Number, dimension: Dimension, argument: str) -> float:
    """A number in SI: text with its unit, or an SI number as it is."""
    require(
        number, str | int | float, argument, f"text with a unit of {dimension}, or an SI number"
    )
    if not isinstance(number, str):
        return float(number)
    try:
        return parse(number, dimension).value
    except QuantityError as error:
        raise FaultError(*error.faults).within(argument=argument) from None


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
        due = str(error.errors()[0]["msg"]).removeprefix("expected ")
        raise FaultError(Fault(argument=tank, due=due)) from None


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
    for rig in cast("Iterable[RigLike]", given):
        yield None, rig_of(rig)
