"""What is believed of a rig beyond its file: a ticket reconciled, a weighing from the logbook."""

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from steelyard.cli.options import about
from steelyard.cli.words import paragraph
from steelyard.estimate import Estimate
from steelyard.fault import FaultError
from steelyard.rig import Rig
from steelyard.words.trade import units_of

if TYPE_CHECKING:
    from steelyard.weighing.reconcile import Reconciled
    from steelyard.weighing.ticket import Ticket

LOGGED = "log:"


def weighed(rig: Rig, path: str) -> "tuple[Reconciled, tuple[str, ...]]":
    """A ticket reconciled with its rig, and what asks whether it belongs to it."""
    from steelyard.files.tickets import read_ticket

    return reconciled(rig, read_ticket(path), path)


def reconciled(rig: Rig, ticket: "Ticket", path: str) -> "tuple[Reconciled, tuple[str, ...]]":
    """The same for a ticket at hand; `path` stands for it in what is told."""
    from steelyard.weighing.reconcile import reconcile

    _tell_age(ticket.date)
    with about(path):
        found = reconcile(rig, ticket)
    return found, _asked(found, Path(path).name)


def _asked(found: "Reconciled", file: str) -> tuple[str, ...]:
    """What asks whether a ticket belongs to its rig, and whether a slip was made."""
    from steelyard.weighing.agreement import questions

    doubts = questions(found.weighed.ticket, found.weighed.rig, _today())
    return FaultError(*doubts, *found.slips).within(file=file).sentences


def _today() -> date:
    return datetime.now().astimezone().date()


def _tell_age(taken: str | None) -> None:
    from steelyard.weighing.agreement import old
    from steelyard.words.weighed import age_line

    days = old(taken, _today())
    if days is not None:
        click.echo(age_line(days), err=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sharper:
    """A belief sharper than the rig file's own, None for that one, what its readings `told` of each
    other and of the file, and the `words` that ask a reader to look at them."""

    estimate: Estimate | None
    told: tuple[str, ...]
    words: tuple[str, ...]

    def warned(self) -> Estimate | None:
        """The belief, what should be known of it said beside the answer."""
        for words in (*self.told, *self.words):
            click.echo(paragraph(words), err=True)
        return self.estimate


def sharper(rig: Rig, asked: str | None) -> Sharper:
    """What `--with` names, if anything: a ticket reconciled now, or a weighing from the logbook
    carried over."""
    if asked is None:
        return Sharper(estimate=None, told=(), words=())
    if asked.startswith(LOGGED):
        return _from_log(rig, asked.removeprefix(LOGGED))
    from steelyard.words.weighed import agreement, file_line

    found, questions = weighed(rig, asked)
    system = units_of(rig, None)
    see = "The readings do not agree with each other: see `steelyard weigh` before trusting this."
    doubt = None if found.agrees else see
    words = (*questions, *(line for line in (doubt, file_line(found, system)) if line))
    return Sharper(estimate=found.posterior, told=(agreement(found, system),), words=words)


def _from_log(rig: Rig, number: str) -> Sharper:
    from steelyard.cli.logging_weighings import kept
    from steelyard.weighing.agreement import DOUBTFUL
    from steelyard.weighing.carry import carried
    from steelyard.words.weighed import (
        agreement,
        changed_line,
        contradicted_line,
        file_line,
        other_line,
    )

    old, posterior, weighing, read = kept(number, rig.owned)
    _tell_age(weighing.taken)
    found = carried(old, posterior, rig)
    if note := changed_line(found):
        click.echo(note, err=True)
    lines = (other_line(old, rig), contradicted_line(found.contradicted))
    words = [line for line in lines if line]
    if weighing.chance is not None and weighing.chance < DOUBTFUL:
        words.append("The readings of that weighing do not agree: do not trust this.")
    system = units_of(old, None)
    told: tuple[str, ...] = ()
    if read is not None:
        line = file_line(read, system)
        words += [*_asked(read, f"ticket of weighing {number}"), *([line] if line else [])]
        told = (agreement(read, system),)
    return Sharper(estimate=found.estimate, told=told, words=tuple(words))
