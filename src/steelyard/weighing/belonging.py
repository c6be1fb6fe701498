"""Whose a ticket is, and of when: questions where it may be of another rig or another time."""

from collections.abc import Iterator
from datetime import date
from typing import Final

from steelyard.fault import Fault, quoted
from steelyard.rig import Rig
from steelyard.weighing.ticket import Ticket

SEASON: Final = 183
"""Days after which a weighing is old: tyres, springs and what rides along are not as they were."""


def questions(ticket: Ticket, rig: Rig, today: date) -> tuple[Fault, ...]:
    """What makes a ticket doubtful for this rig; none where it says that it is sure."""
    return () if ticket.sure else tuple(_doubts(ticket, rig, today))


def _doubts(ticket: Ticket, rig: Rig, today: date) -> Iterator[Fault]:
    names = (
        (("rig",), ticket.rig, rig.name),
        (("vehicle",), ticket.vehicle, rig.vehicle.title),
    )
    for path, found, due in names:
        if found and due and _plain(found) != _plain(due):
            yield Fault(path=path, due=f"a ticket of {quoted(due)}", found=quoted(found), asks=True)
    taken = day(ticket.date)
    if ticket.date and taken is None:
        yield Fault(
            path=("date",), due="a day such as 2026-05-03", found=quoted(ticket.date), asks=True
        )
    if taken is not None and taken > today:
        due = f"a day up to today ({today})"
        yield Fault(path=("date",), due=due, found=str(taken), asks=True)
    since = day(rig.since)
    if taken is not None and since is not None and taken < since:
        due = f"a day from {since} on, since when the rig is as its file says"
        yield Fault(path=("date",), due=due, found=str(taken), asks=True)


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def day(text: str | None) -> date | None:
    """The day of an ISO date, with a time or without; None where it is none."""
    try:
        return date.fromisoformat((text or "")[:10])
    except ValueError:
        return None


def old(taken: str | None, today: date) -> int | None:
    """Days since a weighing, where a season or more has passed."""
    then = day(taken)
    days = (today - then).days if then else 0
    return days if days > SEASON else None
